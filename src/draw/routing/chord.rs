//! Runs that close a loop in; a way for each over free paper, or none, out.
//!
//! Shortest way with fewest bends over a raster (A*, ties by place), inside one patch, clear of everything that is drawn there
//! already; what finds no way is broken off instead, so that no run ever crosses another. Work is limited in raster
//! points, whatever the drawing's size.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BinaryHeap};

use super::card;
use super::drawn::{bent, run_corners};
use super::job::Job;
use super::patch::Tree;
use super::plan::{Plan, STEP, WALL};
use super::raster::{Cell, Raster};
use crate::draw::block::Block;
use crate::draw::geometry::{Area, Mm, Point, mm};
use crate::draw::grid::Grid;
use crate::harness::RunId;

/// Most raster points looked at for all loops of a drawing.
const WORK: usize = 400_000;
/// A bend costs as much as this many steps.
const BEND: u32 = 6;
const CLEAR: Mm = mm(0.9);
/// So much more is kept on either side of what is written on another run: it belongs to the run that it is nearest to. Above
/// and below, lines of lettering have most of that in themselves.
const APART: Mm = mm(1.1);
/// Bend of a loop: so short that cutting the corner keeps clear of what stands inside of it.
pub(super) const SHORT_BEND: Mm = mm(1.5);

/// A loop that found its way.
#[derive(Clone, Debug)]
pub(super) struct Chord {
    pub run: RunId,
    pub corners: Vec<Point>,
    pub label: Block,
    pub label_at: Point,
}

/// The two nodes of a run that closes a loop, where both stand in or on the edge of one patch of the run's zone.
pub(super) fn ends(job: &Job, tree: &Tree, run: RunId) -> Option<(usize, usize, usize)> {
    let [a, b] = job.h.run(run).ends.map(|p| tree.node_of[p.index()]);
    let zone = Some(job.h.run(run).zone);
    let patches = |n: usize| [Some(tree.nodes[n].patch), tree.nodes[n].opens];
    let shared = patches(a)
        .into_iter()
        .flatten()
        .find(|p| patches(b).contains(&Some(*p)) && tree.patches[*p].zone == zone)?;
    (a != b).then_some((a, b, shared))
}

/// Finds ways for all of `runs`; those that find none are in the second list.
pub(super) fn close(job: &Job, tree: &Tree, plan: &Plan, runs: &[RunId]) -> (Vec<Chord>, Vec<RunId>) {
    let mut taken = Taken::of(job, tree, plan);
    let (mut chords, mut failed, mut work) = (Vec::new(), Vec::new(), WORK);
    for run in runs {
        let chord = ends(job, tree, *run).and_then(|(a, b, patch)| {
            let half = job.breadth(*run) / 2;
            let search = Search { tree, plan, taken: &taken, patch, reach: half + CLEAR, own: [a, b] };
            let corners = search.way(&mut work)?;
            let label = card::of_run(job, *run);
            let label_at = place_label(&taken, &corners, half, &label, plan.fields[patch].area)?;
            Some(Chord { run: *run, corners, label, label_at })
        });
        match chord {
            Some(chord) => {
                let half = job.breadth(*run) / 2;
                for piece in pieces(&chord.corners) {
                    taken.add(piece.grown(half), None);
                }
                taken.add(apart(chord.label.area(chord.label_at)), None);
                chords.push(chord);
            }
            None => failed.push(*run),
        }
    }
    (chords, failed)
}

/// What stands on the paper already.
struct Taken {
    areas: Vec<(Area, Option<usize>)>,
    grid: Grid,
}

impl Taken {
    fn of(job: &Job, tree: &Tree, plan: &Plan) -> Taken {
        let mut taken = Taken { areas: Vec::new(), grid: Grid::default() };
        for (i, (spot, node)) in plan.spots.iter().zip(&tree.nodes).enumerate() {
            taken.add(spot.capsule(), Some(i));
            taken.add(spot.card.area(spot.card_at), None);
            if let Some(run) = node.run {
                taken.add(apart(spot.label.area(spot.label_at)), None);
                let corners = run_corners(tree, plan, i);
                for (from, to) in corners.iter().zip(corners.iter().skip(1)) {
                    taken.add(Area::between(*from, *to).grown(job.breadth(run) / 2), None);
                }
            }
        }
        for (field, patch) in plan.fields.iter().zip(&tree.patches) {
            let walled = patch.behind.is_some();
            taken.add(field.header.area(field.header_at(walled)), None);
            if walled {
                let foot = Point::new(field.area.min.x + WALL, field.area.max.y);
                taken.add(Area::between(field.area.min, foot), None);
            }
        }
        taken
    }

    fn add(&mut self, area: Area, owner: Option<usize>) {
        self.grid.add(self.areas.len(), area);
        self.areas.push((area, owner));
    }

    /// True when nothing but the capsules of `own` stands there.
    fn free(&self, area: Area, own: &[usize]) -> bool {
        let mut near = self.grid.in_reach(area).filter_map(|n| self.areas.get(n));
        near.all(|(taken, owner)| !taken.overlaps(area) || owner.is_some_and(|o| own.contains(&o)))
    }
}

/// Where a way may leave a capsule: the raster point beside it and the point on the capsule.
struct Port {
    on: Point,
    beside: Point,
}

struct Search<'a> {
    tree: &'a Tree,
    plan: &'a Plan,
    taken: &'a Taken,
    patch: usize,
    /// Clear space on both sides of the line's middle.
    reach: Mm,
    own: [usize; 2],
}

/// Directions: right, down, left, up.
const WAYS: [(i64, i64); 4] = [(1, 0), (0, 1), (-1, 0), (0, -1)];

/// What a search knows of a raster point.
#[derive(Clone, Default)]
struct Seen {
    /// True where a way may pass; None where that was not asked yet.
    open: Option<bool>,
    /// How it was reached best in each direction.
    reached: [Option<Reached>; 4],
}

/// A raster point that was reached in some direction.
#[derive(Clone, Copy)]
struct Reached {
    cost: u32,
    /// The direction in which the point before was reached; None at the start.
    before: Option<usize>,
}

impl Search<'_> {
    fn ports(&self, node: usize) -> Vec<Port> {
        let spot = &self.plan.spots[node];
        let here = &self.tree.nodes[node];
        let step = |at: Point, dx: i64, dy: i64| at.by(STEP * dx, STEP * dy);
        let mut ports = Vec::new();
        let tall = (spot.radius.um() + STEP.um() - 1) / STEP.um() + 1;
        // On the edge of the patch only the half of the capsule that stands in it can be left.
        let side = match here.opens {
            Some(_) if here.patch == self.patch => -(WALL / 2 + STEP),
            Some(_) => WALL / 2 + STEP,
            None => Mm::ZERO,
        };
        let x = spot.at.x + side;
        for y in [-tall, tall] {
            let on = Point::new(x, spot.at.y);
            ports.push(Port { on, beside: step(on, 0, y) });
        }
        if here.opens.is_none() && spot.reach > Mm::ZERO {
            let on = spot.at.by(spot.reach, Mm::ZERO);
            ports.push(Port { on, beside: Point::new(snap(on.x), on.y).by(Mm::ZERO, STEP * -tall) });
        }
        let leaf = here.children.is_empty() && (here.opens.is_none() || here.opens == Some(self.patch));
        if leaf {
            let on = spot.at;
            let away = (spot.shoulder.um() + STEP.um() - 1) / STEP.um() + 1;
            ports.push(Port { on, beside: step(on, away, 0) });
        }
        ports
    }

    fn way(&self, work: &mut usize) -> Option<Vec<Point>> {
        let room = self.plan.fields[self.patch].area.grown(-self.reach);
        let [from, to] = self.own.map(|n| self.ports(n));
        let cell = |p: Point| (p.x.um().div_euclid(STEP.um()), p.y.um().div_euclid(STEP.um()));
        let point = |c: Cell| Point::new(STEP * c.0, STEP * c.1);
        let open = |c: Cell| {
            let at = point(c);
            room.holds(at) && self.taken.free(Area::between(at, at).grown(self.reach), &[])
        };
        let usable = |port: &Port, node: usize| room.holds(port.beside) && self.clear_of_others(port, node);
        let goals: BTreeMap<Cell, usize> = to
            .iter()
            .enumerate()
            .filter(|(_, p)| usable(p, self.own[1]))
            .map(|(i, p)| (cell(p.beside), i))
            .collect();
        // Steps that are left at the least.
        let ahead = |c: Cell| {
            let steps = goals.keys().map(|g| g.0.abs_diff(c.0) + g.1.abs_diff(c.1)).min().unwrap_or(0);
            u32::try_from(steps).unwrap_or(u32::MAX / 2)
        };
        let mut seen: Raster<Seen> = Raster::new(cell(room.min), cell(room.max));
        let mut heap = BinaryHeap::new();
        let mut starts: BTreeMap<Cell, usize> = BTreeMap::new();
        for (i, port) in from.iter().enumerate().filter(|(_, p)| usable(p, self.own[0])) {
            let at = cell(port.beside);
            starts.insert(at, i);
            let way = direction(port.on, port.beside);
            seen.at(at)?.reached[way] = Some(Reached { cost: 0, before: None });
            heap.push(Reverse((ahead(at), 0, at, way)));
        }
        while let Some(Reverse((_, cost, at, way))) = heap.pop() {
            if seen.at(at)?.reached[way].is_some_and(|reached| reached.cost < cost) {
                continue;
            }
            if let Some(goal) = goals.get(&at).and_then(|i| to.get(*i)) {
                let mut cells = vec![at];
                let (mut back, mut way) = (at, way);
                while let Some(Reached { before: Some(before), .. }) = seen.at(back)?.reached[way] {
                    let (dx, dy) = WAYS[way];
                    (back, way) = ((back.0 - dx, back.1 - dy), before);
                    cells.push(back);
                }
                let start = starts.get(&back).and_then(|i| from.get(*i))?;
                let inner = cells.iter().rev().map(|c| point(*c));
                let all: Vec<Point> = [start.on].into_iter().chain(inner).chain([goal.on]).collect();
                return Some(corners(&all));
            }
            *work = work.checked_sub(1)?;
            for (next_way, (dx, dy)) in WAYS.into_iter().enumerate() {
                if (next_way + 2) % 4 == way {
                    continue;
                }
                let next = (at.0 + dx, at.1 + dy);
                let Some(there) = seen.at(next) else { continue };
                let is_open = goals.contains_key(&next) || *there.open.get_or_insert_with(|| open(next));
                if !is_open {
                    continue;
                }
                let cost = cost + 1 + if next_way == way { 0 } else { BEND };
                let known = &mut there.reached[next_way];
                if known.is_none_or(|known| cost < known.cost) {
                    *known = Some(Reached { cost, before: Some(way) });
                    heap.push(Reverse((cost + ahead(next), cost, next, next_way)));
                }
            }
        }
        None
    }

    /// The short piece at a port may touch its own capsule, and the lines that end in it, but nothing else: what lies
    /// under the capsule's ink is hidden by it.
    fn clear_of_others(&self, port: &Port, node: usize) -> bool {
        let capsule = self.plan.spots[node].capsule();
        let piece = Area::between(port.on, port.beside).grown(self.reach);
        let outside = match direction(port.on, port.beside) {
            0 => Area { min: Point::new(capsule.max.x, piece.min.y), ..piece },
            1 => Area { min: Point::new(piece.min.x, capsule.max.y), ..piece },
            _ => Area { max: Point::new(piece.max.x, capsule.min.y), ..piece },
        };
        self.taken.free(outside, &[node])
    }
}

fn snap(x: Mm) -> Mm {
    STEP * x.um().div_euclid(STEP.um())
}

fn direction(from: Point, to: Point) -> usize {
    match (to.x - from.x, to.y - from.y) {
        (x, Mm::ZERO) if x > Mm::ZERO => 0,
        (_, Mm::ZERO) => 2,
        (_, y) if y > Mm::ZERO => 1,
        _ => 3,
    }
}

/// The points at which the way turns, ends included.
fn corners(points: &[Point]) -> Vec<Point> {
    let mut out: Vec<Point> = Vec::new();
    for point in points {
        if let [.., before, last] = out.as_slice()
            && ((before.x == last.x && last.x == point.x) || (before.y == last.y && last.y == point.y))
        {
            out.pop();
        }
        if out.last() != Some(point) {
            out.push(*point);
        }
    }
    out
}

/// The rectangles around the pieces of a way: as it was found, and as it is drawn with its corners cut off.
fn pieces(corners: &[Point]) -> Vec<Area> {
    let bent = bent(corners, SHORT_BEND);
    let both = [corners, &bent];
    let areas = both.iter().flat_map(|way| way.iter().zip(way.iter().skip(1)));
    areas.map(|(from, to)| Area::between(*from, *to)).collect()
}

fn apart(label: Area) -> Area {
    Area::between(label.min.by(-APART, mm(-0.4)), label.max.by(APART, mm(0.4)))
}

/// A free place beside the way: above or below its level pieces, beside its upright ones, the longest first.
fn place_label(taken: &Taken, corners: &[Point], half: Mm, label: &Block, room: Area) -> Option<Point> {
    let mut level_or_upright: Vec<(Point, Point)> =
        corners.iter().copied().zip(corners.iter().copied().skip(1)).collect();
    level_or_upright.sort_by_key(|(a, b)| Reverse(a.distance(*b)));
    let size = label.size();
    let gap = half + CLEAR;
    let mut own = Taken { areas: Vec::new(), grid: Grid::default() };
    for piece in pieces(corners) {
        own.add(piece.grown(half), None);
    }
    let places = level_or_upright.iter().flat_map(|(from, to)| {
        let shares = [4, 3, 5, 2, 6, 1, 7];
        let level = from.y == to.y;
        shares.into_iter().flat_map(move |share| {
            let along =
                Point::new(from.x + (to.x - from.x) * share / 8, from.y + (to.y - from.y) * share / 8);
            if level {
                let left = along.x - size.width / 2;
                [Point::new(left, along.y - gap - size.height), Point::new(left, along.y + gap)]
            } else {
                let top = along.y - size.height / 2;
                [Point::new(along.x + gap, top), Point::new(along.x - gap - size.width, top)]
            }
        })
    });
    let fits = |at: &Point| {
        let area = label.area(*at);
        let around = apart(area.grown(CLEAR + mm(0.1)));
        room.grown(-mm(0.5)).contains(area) && taken.free(around, &[]) && own.free(area.grown(mm(0.3)), &[])
    };
    places.into_iter().find(fits)
}
