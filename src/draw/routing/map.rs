//! A harness whose places have positions in; places, runs, walls and lettering on paper at a standard scale, out; or
//! why no map can be drawn.
//!
//! Places stand where the spec puts them and runs are straight, or bent once, so only lettering is arranged. A map that
//! cannot be read (a run under a place that it does not pass, signs on one another, lettering without room) is none.

use std::collections::BTreeSet;

use super::card;
use super::drawn::{self, EMBLEM};
use super::job::Job;
use super::room::{Label, Paper, Wish, along, around};
use crate::draw::audit::meet::{Piece, crossing, touches};
use crate::draw::block::{Block, words};
use crate::draw::geometry::{Area, Extent, Mm, Point, mm};
use crate::draw::grid::Grid;
use crate::draw::lettering::Lettering;
use crate::draw::mark::{Layer, Mark, TagKind};
use crate::draw::scale::Scale;
use crate::draw::sheet::{Format, Sheet};
use crate::draw::title_block::TitleBlock;
use crate::harness::{BarrierId, Harness, PlaceId, Run, RunId};
use crate::quantity::Length;

/// Least room between the outermost places and the edge of the drawing area, for lettering and walls.
const MARGIN: Mm = mm(20.0);
/// Scales that are tried on a sheet, from the largest that fits.
const TRIES: usize = 3;
/// One in so many blocks of lettering may stand at the end of a leader line before a larger sheet is tried.
const MOST_LED: usize = 4;
/// How far a wall goes on beyond its outermost holes.
const BEYOND: f64 = 9.0;
/// How far a run may bulge to either side, in turn.
const BULGES: [f64; 11] = [0.0, 6.0, -6.0, 10.0, -10.0, 14.0, -14.0, 18.0, -18.0, 23.0, -23.0];
/// Half the width of an ordinary sign.
const SIGN: Mm = mm(1.8);
/// Widest line of what is written at a place: narrower than on the tree, where it has a column of its own.
const LIMIT: Mm = mm(44.0);

/// The sign of a place: its middle, and half its width.
#[derive(Clone, Copy)]
pub(super) struct Spot {
    pub at: Point,
    pub radius: Mm,
}

/// A run: where it turns, where what stands on it has room, where the signs of its clamps stand and which way they lie, and
/// where it passes over a run drawn before it.
pub(super) struct Line {
    pub run: RunId,
    pub corners: Vec<Point>,
    pub middle: Point,
    pub clamps: Vec<(Point, (f64, f64))>,
    pub over: Vec<Point>,
}

pub(super) struct Wall {
    pub barrier: BarrierId,
    pub points: Vec<Point>,
}

pub(super) struct Map {
    pub scale: Scale,
    /// By place; None for one without a position.
    pub spots: Vec<Option<Spot>>,
    pub lines: Vec<Line>,
    pub walls: Vec<Wall>,
    pub labels: Vec<Label>,
    /// True where the signs of clamps stand at the ends of their runs; else one stands for all.
    pub clamps_at_ends: bool,
}

/// Why there is no map.
pub(super) enum Refusal {
    /// No place has a position: nobody asked for a map.
    NotAsked,
    /// These places on the route have none.
    Without(Vec<String>),
    /// At no scale can it be read.
    Crowded,
}

impl Map {
    /// Where runs pass over one another.
    pub fn crossings(&self) -> usize {
        self.lines.iter().map(|l| l.over.len()).sum()
    }

    /// Draws it up: on A3 if it can be read there, else on A2, at the largest scale that leaves room for lettering.
    pub fn of(job: &Job, block: &TitleBlock, banner: Option<&str>) -> Result<Map, Refusal> {
        let h = job.h;
        if h.places.iter().all(|p| p.position.is_none()) {
            return Err(Refusal::NotAsked);
        }
        let on_route: BTreeSet<PlaceId> = h.runs.iter().flat_map(|r| r.ends).collect();
        let without = on_route.into_iter().map(|p| h.place(p)).filter(|p| p.position.is_none());
        let without: Vec<String> = without.map(|p| p.name.clone()).collect();
        if !without.is_empty() {
            return Err(Refusal::Without(without));
        }
        // Where the signs of clamps at both ends leave no room for lettering, one in the middle stands for all of a run.
        [true, false]
            .into_iter()
            .find_map(|at_ends| Map::best(job, block, banner, at_ends))
            .ok_or(Refusal::Crowded)
    }

    fn best(job: &Job, block: &TitleBlock, banner: Option<&str>, at_ends: bool) -> Option<Map> {
        let h = job.h;
        let (least, most) = span(h);
        let formats = Format::series().into_iter().filter(|f| f.name == "A3" || f.name == "A2");
        let mut best: Option<(usize, Map)> = None;
        for format in formats {
            let room = Sheet::on(format, block, banner).drawing.grown(-mm(1.0)).extent();
            let fits = |scale: &Scale| {
                let size = |i: usize| scale.of(most[i]) - scale.of(least[i]) + MARGIN * 2;
                room.holds(Extent::new(size(0), size(1)))
            };
            let scales = Scale::REDUCING.into_iter().filter(fits).take(TRIES);
            for map in scales.into_iter().filter_map(|scale| lay_out(job, room, scale, at_ends)) {
                let led = map.labels.iter().filter(|label| label.leader.is_some()).count();
                if led * MOST_LED <= map.labels.len() {
                    return Some(map);
                }
                if best.as_ref().is_none_or(|(least, _)| led < *least) {
                    best = Some((led, map));
                }
            }
        }
        best.map(|(_, map)| map)
    }
}

/// Least and greatest coordinates of all positions.
fn span(h: &Harness) -> ([Length; 2], [Length; 2]) {
    let all = || h.places.iter().filter_map(|p| p.position).map(|p| p.value);
    let least = |i: usize| all().map(|p| p[i]).min().unwrap_or_default();
    let most = |i: usize| all().map(|p| p[i]).max().unwrap_or_default();
    ([least(0), least(1)], [most(0), most(1)])
}

/// None where it cannot be read at this scale.
fn lay_out(job: &Job, room: Extent, scale: Scale, at_ends: bool) -> Option<Map> {
    let h = job.h;
    let (least, most) = span(h);
    let middle = |i: usize| (scale.of(least[i]) + scale.of(most[i])) / 2;
    let mut broad = vec![SIGN; h.places.len()];
    for (i, run) in h.runs.iter().enumerate() {
        for end in run.ends.map(PlaceId::index) {
            broad[end] = broad[end].max(job.breadth(RunId::at(i)) / 2 + mm(0.7));
        }
    }
    let spot = |i: usize| {
        let id = PlaceId::at(i);
        let [x, y] = h.place(id).position?.value.map(|length| scale.of(length));
        // On paper y runs down.
        let at = Point::new(room.width / 2 + x - middle(0), room.height / 2 - (y - middle(1)));
        let least = if drawn::emblem(job, id).is_some() { EMBLEM } else { SIGN };
        Some(Spot { at, radius: broad[i].max(least) })
    };
    let spots: Vec<Option<Spot>> = (0..h.places.len()).map(spot).collect();
    let signs = Signs::of(&spots)?;
    let mut lines = lines(job, &spots, &signs)?;
    pass_over(&mut lines);
    clamp(job, &spots, &mut lines, at_ends);
    let walls: Vec<Wall> = (0..h.barriers.len()).filter_map(|i| wall(h, &spots, BarrierId::at(i))).collect();
    let paper = Paper::new(Area::at(Point::default(), room));
    let labels = lettering(job, paper, &spots, &lines, &walls)?;
    Some(Map { scale, spots, lines, walls, labels, clamps_at_ends: at_ends })
}

fn pieces(corners: &[Point]) -> impl Iterator<Item = (Point, Point)> {
    corners.iter().copied().zip(corners.iter().copied().skip(1))
}

/// Straight from place to place; bent once where a sign or another run between the same two places is in the way. None
/// where a run finds no such way.
fn lines(job: &Job, spots: &[Option<Spot>], signs: &Signs) -> Option<Vec<Line>> {
    let mut taken = BTreeSet::new();
    let line = |(i, run): (usize, &Run)| {
        let mut sorted = run.ends;
        sorted.sort_unstable();
        let [a, b] = sorted.map(|end| spots.get(end.index()).copied().flatten());
        let (a, b) = (a?.at, b?.at);
        let (ux, uy) = direction(a, b);
        let half = job.breadth(RunId::at(i)) / 2;
        let clear =
            |corners: &[Point]| pieces(corners).all(|piece| signs.passed_by(piece, half, sorted).is_none());
        BULGES.into_iter().find_map(|off| {
            let bulge = between(a, b, 8).by(mm(-uy * off), mm(ux * off));
            let corners = if off == 0.0 { vec![a, b] } else { vec![a, bulge, b] };
            let free = clear(&corners) && taken.insert((sorted, mm(off)));
            free.then(|| Line {
                run: RunId::at(i),
                corners,
                middle: bulge,
                clamps: Vec::new(),
                over: Vec::new(),
            })
        })
    };
    job.h.runs.iter().enumerate().map(line).collect()
}

/// The signs of places, by where they are.
struct Signs {
    all: Vec<(PlaceId, Area)>,
    grid: Grid,
}

impl Signs {
    /// None where two of them meet.
    fn of(spots: &[Option<Spot>]) -> Option<Signs> {
        let mut signs = Signs { all: Vec::new(), grid: Grid::default() };
        for (i, spot) in spots.iter().enumerate() {
            let Some(spot) = spot else { continue };
            let area = Area::between(spot.at, spot.at).grown(spot.radius + mm(0.5));
            let mut near = signs.grid.near(area).into_iter().filter_map(|n| signs.all.get(n));
            if near.any(|(_, other)| other.overlaps(area)) {
                return None;
            }
            signs.grid.add(signs.all.len(), area);
            signs.all.push((PlaceId::at(i), area));
        }
        Some(signs)
    }

    /// A sign that a line passes under on its way between two others.
    fn passed_by(&self, (from, to): (Point, Point), half: Mm, ends: [PlaceId; 2]) -> Option<PlaceId> {
        let piece = Piece { item: 0, from, to, half };
        let near = self.grid.near(piece.area()).into_iter().filter_map(|n| self.all.get(n));
        near.filter(|(place, _)| !ends.contains(place))
            .find(|(_, area)| touches(&piece, *area))
            .map(|(place, _)| *place)
    }
}

fn between(a: Point, b: Point, sixteenths: i64) -> Point {
    a.by((b.x - a.x) * sixteenths / 16, (b.y - a.y) * sixteenths / 16)
}

/// Of unit length; to the right where the two are one.
pub(super) fn direction(from: Point, to: Point) -> (f64, f64) {
    let (dx, dy) = ((to.x - from.x).as_f64(), (to.y - from.y).as_f64());
    let length = (dx * dx + dy * dy).sqrt();
    if length > 0.0 { (dx / length, dy / length) } else { (1.0, 0.0) }
}

/// Finds where later lines cross earlier ones, and the middle of each where none do.
fn pass_over(lines: &mut [Line]) {
    let mut grid = Grid::default();
    let all: Vec<Piece> = lines
        .iter()
        .enumerate()
        .flat_map(|(item, l)| {
            pieces(&l.corners).map(move |(from, to)| Piece { item, from, to, half: Mm::ZERO })
        })
        .collect();
    let mut met: Vec<Vec<Point>> = vec![Vec::new(); lines.len()];
    for (n, piece) in all.iter().enumerate() {
        for earlier in grid.near(piece.area()).into_iter().filter_map(|e: usize| all.get(e)) {
            if let Some(at) = crossing(piece, earlier).filter(|_| piece.item != earlier.item) {
                lines[piece.item].over.push(at);
                met[piece.item].push(at);
                met[earlier.item].push(at);
            }
        }
        grid.add_piece(n, piece.from, piece.to, Mm::ZERO);
    }
    for (line, met) in lines.iter_mut().zip(met) {
        let (Some(from), Some(to)) = (line.corners.first(), line.corners.get(1)) else { continue };
        let shares = if line.corners.len() > 2 { [12, 13, 11, 10, 9] } else { [8, 7, 9, 6, 10] };
        let shares = shares.map(|share| between(*from, *to, share));
        let free = |at: &&Point| met.iter().all(|crossing| crossing.distance(**at) > mm(4.0));
        line.middle = *shares.iter().find(free).unwrap_or(&shares[0]);
    }
}

/// Puts the signs of the clamps: beside the sign of either place, further out where another run is near, and in the
/// middle where there are any between, or where neither end has room.
fn clamp(job: &Job, spots: &[Option<Spot>], lines: &mut [Line], at_ends: bool) {
    let mut grid = Grid::default();
    let all: Vec<Piece> = lines
        .iter()
        .flat_map(|l| {
            let (item, half) = (l.run.index(), job.breadth(l.run) / 2);
            pieces(&l.corners).map(move |(from, to)| Piece { item, from, to, half })
        })
        .collect();
    all.iter().enumerate().for_each(|(n, piece)| grid.add_piece(n, piece.from, piece.to, piece.half));
    for line in lines.iter_mut() {
        let run = line.run.index();
        if job.weight.get(run).is_none_or(|count| *count == 0) {
            continue;
        }
        let reach = job.breadth(line.run) / 2 + mm(1.0);
        let clear = |at: &Point| {
            let area = Area::between(*at, *at).grown(reach);
            grid.near(area).into_iter().filter_map(|n| all.get(n)).all(|p| p.item == run || !touches(p, area))
        };
        let mut sorted = job.h.run(line.run).ends;
        sorted.sort_unstable();
        let mut corners = line.corners.clone();
        for end in sorted.into_iter().filter(|_| at_ends) {
            let spot = spots.get(end.index()).copied().flatten();
            if let (Some(spot), [from, to, ..]) = (spot, corners.as_slice()) {
                let (ux, uy) = direction(*from, *to);
                let most = from.distance(*to).scaled(0.4);
                let tries = [1.7, 3.2, 5.0, 7.5, 10.5].map(|off| spot.radius + mm(off));
                let ways = tries.into_iter().filter(|off| *off <= most);
                let found = ways.map(|off| from.by(off.scaled(ux), off.scaled(uy))).find(clear);
                line.clamps.extend(found.map(|at| (at, (ux, uy))));
            }
            corners.reverse();
        }
        if drawn::clamped_between(job, line.run) || line.clamps.is_empty() {
            let way = line.corners.first().zip(line.corners.get(1)).map(|(from, to)| direction(*from, *to));
            line.clamps.push((line.middle, way.unwrap_or((1.0, 0.0))));
        }
    }
}

/// A line through all holes of a barrier; a bar across the runs where there is only one.
fn wall(h: &Harness, spots: &[Option<Spot>], id: BarrierId) -> Option<Wall> {
    let at = |place: PlaceId| spots.get(place.index()).copied().flatten().map(|s| s.at);
    let barrier = h.barrier(id);
    let mut points: Vec<Point> = barrier.holes.iter().filter_map(|x| at(h.hole(*x).place)).collect();
    let area = Area::around(points.iter().copied())?;
    if area.width() > area.height() {
        points.sort();
    } else {
        points.sort_by_key(|p| (p.y, p.x));
    }
    if let ([only], Some(hole)) =
        (points.as_slice(), barrier.holes.iter().map(|x| h.hole(*x)).find(|x| at(x.place).is_some()))
    {
        // Across the mean way of its runs, those of one side turned round.
        let mut mean = (0.0, 0.0);
        for run in h.runs.iter().filter(|r| r.ends.contains(&hole.place)) {
            let other = if run.ends[0] == hole.place { run.ends[1] } else { run.ends[0] };
            let (ux, uy) = direction(*only, at(other)?);
            let sign = if run.zone == barrier.between[0] { -1.0 } else { 1.0 };
            mean = (mean.0 + sign * ux, mean.1 + sign * uy);
        }
        let (ux, uy) = direction(Point::default(), Point::new(mm(mean.0), mm(mean.1)));
        let end = |sign: f64| only.by(mm(-uy * BEYOND * sign), mm(ux * BEYOND * sign));
        return Some(Wall { barrier: id, points: vec![end(-1.0), end(1.0)] });
    }
    let (first, last) = (*points.first()?, *points.last()?);
    let beyond = |from: Point, to: Point| {
        let (ux, uy) = direction(from, to);
        to.by(mm(ux * BEYOND), mm(uy * BEYOND))
    };
    let (start, end) = (beyond(*points.get(1)?, first), beyond(*points.get(points.len() - 2)?, last));
    points.insert(0, start);
    points.push(end);
    Some(Wall { barrier: id, points })
}

/// Puts all lettering down: first right beside its thing, then at the end of a leader line. None where no room is left.
fn lettering(
    job: &Job,
    mut paper: Paper,
    spots: &[Option<Spot>],
    lines: &[Line],
    walls: &[Wall],
) -> Option<Vec<Label>> {
    let mut wishes = Vec::new();
    for (i, spot) in spots.iter().enumerate() {
        let Some(spot) = spot else { continue };
        paper.add_area(Area::between(spot.at, spot.at).grown(spot.radius + mm(0.25)));
        let block = of_place(job, PlaceId::at(i));
        let near = around(spot.at, spot.radius, block.size());
        let mark = job.place_mark(PlaceId::at(i)).on(Layer::Label);
        wishes.push(Wish {
            block,
            mark,
            near,
            anchor: spot.at,
            reach: spot.radius + mm(0.25),
            centred: false,
        });
    }
    for wall in walls {
        pieces(&wall.points).for_each(|(from, to)| paper.add_line(from, to, mm(0.5)));
        let barrier = job.h.barrier(wall.barrier);
        let mark = Mark::new(Layer::Label).with(TagKind::Barrier, &barrier.name);
        let mut block = Block::default();
        block.add(
            &[words(barrier.title.as_ref().unwrap_or(&barrier.name), Lettering::SMALL.bold(), &mark)],
            LIMIT,
        );
        let ends = [wall.points.first()?, wall.points.last()?];
        let near = ends.iter().flat_map(|end| around(**end, mm(0.6), block.size())).collect();
        wishes.push(Wish { block, mark, near, anchor: *ends[0], reach: mm(0.6), centred: false });
    }
    for line in lines {
        let half = job.breadth(line.run) / 2;
        pieces(&line.corners).for_each(|(from, to)| paper.add_line(from, to, half));
        for (at, _) in &line.clamps {
            paper.add_area(Area::between(*at, *at).grown(half + mm(0.9)));
        }
        let block = card::of_run(job, line.run);
        let near = pieces(&line.corners).flat_map(|(a, b)| along(a, b, half, block.size())).collect();
        let mark = job.run_mark(line.run).on(Layer::Label);
        let anchor = between(*line.corners.first()?, *line.corners.get(1)?, 11);
        wishes.push(Wish { block, mark, near, anchor, reach: half, centred: true });
    }
    let (mut labels, mut left) = (Vec::new(), Vec::new());
    for wish in wishes {
        match paper.put_near(wish) {
            Ok(label) => labels.push(label),
            Err(wish) => left.push(wish),
        }
    }
    for wish in left {
        labels.push(paper.put_away(wish)?);
    }
    Some(labels)
}

/// What is written at a place, and the zones it lies in or between.
fn of_place(job: &Job, id: PlaceId) -> Block {
    let zones = &job.h.place(id).zones;
    let walled = job.h.barriers.iter().any(|b| b.between.iter().all(|side| zones.contains(side)));
    let mut block = card::of_place(job, id, walled && job.h.place(id).hole.is_none(), LIMIT);
    for zone in zones.iter().map(|z| job.h.zone(*z)) {
        let mark = Mark::new(Layer::Label).with(TagKind::Zone, &zone.name);
        let name = zone.title.as_ref().unwrap_or(&zone.name);
        block.add(&[words(&format!("zone: {name}"), Lettering::SMALL, &mark)], LIMIT);
    }
    block
}
