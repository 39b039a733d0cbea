//! A plan in; zones, walls, runs, holes and places drawn into a scene.

use std::ops::Range;

use super::chord::{Chord, SHORT_BEND};
use super::job::Job;
use super::patch::{Node, Tree};
use super::plan::{BEND, Plan, Spot, WALL};
use crate::draw::block::Sign;
use crate::draw::geometry::{Area, Mm, Point, mm};
use crate::draw::lettering::Lettering;
use crate::draw::mark::{Layer, Mark, TagKind};
use crate::draw::palette::Ink;
use crate::draw::scene::{Anchor, Scene, Turn};
use crate::draw::signs;
use crate::draw::stroke::{Dash, Stroke};
use crate::graph::clamp::clamp_count;
use crate::harness::{DeviceClass, DeviceId, PlaceId, RunId};

impl Spot {
    /// The rectangle of its capsule.
    pub fn capsule(&self) -> Area {
        let left = self.at.by(-self.shoulder, -self.radius);
        Area::between(left, self.at.by(self.reach + self.shoulder, self.radius))
    }
}

/// The corners of the run that leads to a node, its bend not yet taken off; empty for a root.
pub(super) fn run_corners(tree: &Tree, plan: &Plan, node: usize) -> Vec<Point> {
    let Some(parent) = tree.nodes[node].parent.and_then(|p| plan.spots.get(p)) else { return Vec::new() };
    let spot = &plan.spots[node];
    // A place hides what ends under it; the ring of a stub has a letter in it, so the line ends at its edge.
    let end = match &tree.nodes[node].stub {
        Some(stub) if stub.near => {
            return vec![Point::new(spot.at.x, parent.at.y), spot.at.by(Mm::ZERO, -spot.radius)];
        }
        Some(_) => spot.at.by(-spot.radius, Mm::ZERO),
        None => spot.at,
    };
    match spot.lane {
        Some(x) => vec![Point::new(x, parent.at.y), Point::new(x, spot.at.y), end],
        None => vec![parent.at.by(parent.reach, Mm::ZERO), end],
    }
}

/// The same way with so much of its corners cut off: a bundle is bent, not folded.
pub(super) fn bent(corners: &[Point], most: Mm) -> Vec<Point> {
    let mut out = Vec::new();
    for (i, at) in corners.iter().enumerate() {
        let (before, after) = (i.checked_sub(1).and_then(|b| corners.get(b)), corners.get(i + 1));
        let (Some(before), Some(after)) = (before, after) else {
            out.push(*at);
            continue;
        };
        let towards = |other: &Point| {
            let cut = most.min(at.distance(*other) / 2);
            let toward = |from: Mm, to: Mm| match to.cmp(&from) {
                std::cmp::Ordering::Greater => cut,
                std::cmp::Ordering::Less => -cut,
                std::cmp::Ordering::Equal => Mm::ZERO,
            };
            at.by(toward(at.x, other.x), toward(at.y, other.y))
        };
        out.extend([towards(before), towards(after)]);
    }
    out
}

/// Draws the nodes and patches of these numbers, and the loops among them.
pub(super) fn draw(
    job: &Job,
    tree: &Tree,
    plan: &Plan,
    chords: &[Chord],
    nodes: Range<usize>,
    patches: Range<usize>,
) -> Scene {
    let mut scene = Scene::default();
    zones(job, tree, plan, &mut scene, patches);
    for i in nodes.clone() {
        let (Some(node), Some(spot)) = (tree.nodes.get(i), plan.spots.get(i)) else { continue };
        if let Some(run) = node.run {
            bundle(job, &mut scene, run, &bent(&run_corners(tree, plan, i), BEND));
            clamps_of(job, &mut scene, tree, plan, i);
            spot.label.draw_centred(&mut scene, spot.label_at);
        }
    }
    let here = |chord: &&Chord| {
        let [from, _] = job.h.run(chord.run).ends;
        tree.node_of.get(from.index()).is_some_and(|node| nodes.contains(node))
    };
    for chord in chords.iter().filter(here) {
        bundle(job, &mut scene, chord.run, &bent(&chord.corners, SHORT_BEND));
        clamps_of_loop(job, &mut scene, tree, plan, chord);
        chord.label.draw_centred(&mut scene, chord.label_at);
    }
    for i in nodes {
        if let (Some(node), Some(spot)) = (tree.nodes.get(i), plan.spots.get(i)) {
            place(job, &mut scene, node, spot);
        }
    }
    scene
}

/// How far beyond the sign of a place the clamp of a run's end stands.
pub(super) const OFF: Mm = mm(1.7);

/// True where a run has clamps between those at its ends.
pub(super) fn clamped_between(job: &Job, run: RunId) -> bool {
    clamp_count(job.h.run(run)) > 2
}

/// The clamps of the run to a node: at both its ends, and one between where there are any. Of a run that is broken off
/// one end is here.
fn clamps_of(job: &Job, scene: &mut Scene, tree: &Tree, plan: &Plan, i: usize) {
    let (node, spot) = (&tree.nodes[i], &plan.spots[i]);
    let (Some(run), Some(above)) = (node.run, node.parent.and_then(|p| plan.spots.get(p))) else { return };
    match spot.lane {
        // Below the lining of a hole too, which stands out over its capsule.
        Some(x) => {
            clamp(job, scene, run, Point::new(x, above.at.y + above.radius + mm(0.9) + OFF), false);
        }
        None => {
            let x = above.at.x + above.reach + above.shoulder + OFF;
            clamp(job, scene, run, Point::new(x, spot.at.y), true);
        }
    }
    if node.stub.is_none() {
        clamp(job, scene, run, spot.at.by(-spot.shoulder - OFF, Mm::ZERO), true);
    }
    if clamped_between(job, run) && !node.is_near() && node.stub.as_ref().is_none_or(|stub| stub.labelled) {
        let middle = spot.label.area(spot.label_at).centre();
        clamp(job, scene, run, Point::new(middle.x, spot.at.y), true);
    }
}

/// The same of a run that closes a loop.
fn clamps_of_loop(job: &Job, scene: &mut Scene, tree: &Tree, plan: &Plan, chord: &Chord) {
    let mut ends = job.h.run(chord.run).ends.map(|end| tree.node_of.get(end.index()));
    let mut corners = chord.corners.clone();
    for _ in 0..2 {
        if let (Some(spot), [from, to, rest @ ..]) =
            (ends[0].and_then(|node| plan.spots.get(*node)), corners.as_slice())
        {
            let level = from.y == to.y;
            let off = if level { spot.shoulder } else { spot.radius } + OFF;
            let fits = from.distance(*to) > off + mm(0.8) + SHORT_BEND;
            match (fits, rest.first()) {
                (false, Some(next)) => {
                    let along = (SHORT_BEND + mm(1.0)).min(to.distance(*next) / 2);
                    clamp(job, scene, chord.run, towards(*to, *next, along), to.y == next.y);
                }
                (false, None) => {
                    clamp(job, scene, chord.run, towards(*from, *to, from.distance(*to) / 2), level)
                }
                (true, _) => clamp(job, scene, chord.run, towards(*from, *to, off), level),
            }
        }
        ends.reverse();
        corners.reverse();
    }
    let pieces = corners.iter().zip(corners.iter().skip(1));
    if let Some((from, to)) =
        pieces.max_by_key(|(a, b)| a.distance(**b)).filter(|_| clamped_between(job, chord.run))
    {
        clamp(job, scene, chord.run, towards(*from, *to, from.distance(*to) / 2), from.y == to.y);
    }
}

/// So far along a level or upright piece.
fn towards(from: Point, to: Point, along: Mm) -> Point {
    let sign = |a: Mm, b: Mm| (b.um() - a.um()).signum();
    from.by(along * sign(from.x, to.x), along * sign(from.y, to.y))
}

/// The sign of a clamp on a run that has any.
pub(super) fn clamp(job: &Job, scene: &mut Scene, run: RunId, at: Point, level: bool) {
    if job.weight.get(run.index()).is_some_and(|count| *count > 0) {
        signs::band(scene, job.run_mark(run), at, job.breadth(run), level);
    }
}

fn zones(job: &Job, tree: &Tree, plan: &Plan, scene: &mut Scene, patches: Range<usize>) {
    for (field, patch) in plan.fields.iter().zip(&tree.patches).take(patches.end).skip(patches.start) {
        if let Some(zone) = patch.zone.map(|z| job.h.zone(z)) {
            let mark = Mark::new(Layer::Underlay).with(TagKind::Zone, &zone.name);
            let hot = !zone.hazards.is_empty();
            scene.rect(&mark, field.area, if hot { Ink::SAND } else { Ink::MIST });
        }
        field.header.draw(scene, field.header_at(patch.behind.is_some()));
        field.barrier.draw(scene, field.barrier_at());
        let Some((_, barrier)) = patch.behind else { continue };
        let foot = Point::new(field.area.min.x + WALL, field.area.max.y);
        let area = Area::between(field.area.min, foot);
        match barrier {
            Some(id) => {
                let mark = Mark::new(Layer::Structure).with(TagKind::Barrier, &job.h.barrier(id).name);
                wall(scene, &mark, area);
            }
            None => {
                let x = area.centre().x;
                let mark = Mark::new(Layer::Structure);
                let (top, foot) = (Point::new(x, area.min.y), Point::new(x, area.max.y));
                scene.line(&mark, top, foot, Stroke::MEDIUM.dashed(Dash::Chain));
            }
        }
    }
}

/// A wall in section: wide edges and hatching at 45° (ISO 128-50, clause on hatching; from memory).
fn wall(scene: &mut Scene, mark: &Mark, area: Area) {
    scene.rect(mark, area, Ink::WHITE);
    let pitch = mm(3.0);
    let mut y = area.min.y + area.width();
    while y <= area.max.y {
        let (from, to) = (Point::new(area.min.x, y), Point::new(area.max.x, y - area.width()));
        scene.line(mark, from, to, Stroke::HAIR);
        y += pitch;
    }
    scene.rect(mark, area, Stroke::FRAME);
}

/// A run: a line as thick as its bundle at the drawing's reduction; a sleeve with strokes across where it is covered.
fn bundle(job: &Job, scene: &mut Scene, run: RunId, points: &[Point]) {
    let mark = job.run_mark(run);
    let Some(cover) = &job.h.run(run).cover else {
        let stroke = match job.weight[run.index()] {
            0 => Stroke::MEDIUM.dashed(Dash::Dashed),
            _ => Stroke::WIDE.measured(job.thickness(run)).inked(LOOM),
        };
        scene.polyline(mark, points.to_vec(), stroke);
        return;
    };
    sleeve(scene, mark, points, job.breadth(run), is_fire(job, &cover.value));
}

/// Ink of the bundles.
pub(super) const LOOM: Ink = Ink::new(52, 60, 68);

pub(super) fn is_fire(job: &Job, cover: &str) -> bool {
    use crate::parts::model::CoveringUse;
    job.library
        .coverings
        .find(cover)
        .is_some_and(|id| job.library.coverings.get(id).use_for == CoveringUse::Fire)
}

/// A sleeve along the points: strokes across it for a fire sleeve, slanted both ways for any other covering.
pub(super) fn sleeve(scene: &mut Scene, mark: &Mark, points: &[Point], breadth: Mm, fire: bool) {
    let line = |width: Mm, ink| Stroke::WIDE.measured(width).inked(ink);
    scene.polyline(mark, points.to_vec(), line(breadth, Ink::BLACK));
    scene.polyline(mark, points.to_vec(), line(breadth - mm(0.7), Ink::WHITE));
    let half = (breadth - mm(0.7)) / 2;
    for (from, to) in points.iter().zip(points.iter().skip(1)) {
        if from.x != to.x && from.y != to.y {
            continue;
        }
        let length = from.distance(*to);
        let sign = |a: Mm, b: Mm| (b.um() - a.um()).signum();
        let (ux, uy) = (sign(from.x, to.x), sign(from.y, to.y));
        let mut along = half + mm(0.4);
        while along < length - half - mm(0.4) {
            let middle = from.by(along * ux, along * uy);
            let slant = |way: i64| {
                let (dx, dy) = (half * ux - half * uy * way, half * uy + half * ux * way);
                (middle.by(-dx, -dy), middle.by(dx, dy))
            };
            for way in if fire { &[1_i64][..] } else { &[1, -1][..] } {
                let (a, b) = slant(*way);
                scene.line(mark, a, b, Stroke::THIN);
            }
            along += mm(1.8);
        }
    }
}

fn place(job: &Job, scene: &mut Scene, node: &Node, spot: &Spot) {
    symbol(job, scene, node, spot);
    // After its capsule: signs of one device are written together where the first of them stands.
    match spot.ended {
        true => spot.card.draw_ended(scene, spot.card_at),
        false => spot.card.draw(scene, spot.card_at),
    }
}

/// The capsule of a place with the sign of a joint in it, the lining of a hole, or the ring of a broken run.
fn symbol(job: &Job, scene: &mut Scene, node: &Node, spot: &Spot) {
    if let Some(stub) = &node.stub {
        let Some(run) = node.run else { return };
        let mark = job.run_mark(run).on(Layer::Symbol);
        scene.circle(&mark, spot.at, spot.radius, Stroke::WIDE.filled(Ink::WHITE));
        // The letter's own ground inside the ring.
        let (wide, tall) = (spot.radius - mm(1.2), mm(1.5));
        scene.rect(&mark, Area::between(spot.at.by(-wide, -tall), spot.at.by(wide, tall)), Ink::WHITE);
        let at = spot.at.by(Mm::ZERO, Lettering::SMALL.height.capital() / 2);
        let lettering = Lettering::SMALL.bold();
        scene.text_at(&mark.on(Layer::Label), at, &stub.letter, lettering, Anchor::Middle, Turn::Level);
        return;
    }
    let mark = job.place_mark(node.place).on(Layer::Symbol);
    let capsule = spot.capsule();
    let emblem = emblem(job, node.place);
    if let Some(hole) = job.h.place(node.place).hole {
        bored(scene, &mark, capsule, job.h.hole(hole).lining.is_some());
    } else {
        scene.rounded_rect(&mark, capsule, spot.radius, Stroke::WIDE.filled(Ink::WHITE));
        if let Some((device, sign)) = emblem.filter(|_| spot.radius >= EMBLEM) {
            sign(scene, &job.device_mark(device, node.place).on(Layer::Symbol), capsule.centre());
        }
    }
}

/// A hole, and its lining where the spec gives one: what stands in the wall above and below the bundle.
pub(super) fn bored(scene: &mut Scene, mark: &Mark, capsule: Area, lined: bool) {
    for y in [capsule.min.y - mm(0.9), capsule.max.y - mm(0.1)].into_iter().filter(|_| lined) {
        let corner = Point::new(capsule.min.x, y);
        scene.rect(mark, Area::between(corner, Point::new(capsule.max.x, y + mm(1.0))), Ink::BLACK);
    }
    scene.rect(mark, capsule, Stroke::MEDIUM.filled(Ink::WHITE));
}

/// Radius of a capsule that the sign of a joint fits into.
pub(super) const EMBLEM: Mm = mm(2.5);

/// What joins conductors at a place, the first of it: an in-line connector or a splice. Its sign stands in the capsule.
pub(super) fn emblem(job: &Job, place: PlaceId) -> Option<(DeviceId, Sign)> {
    let devices = job.devices_at.get(place.index())?;
    let find =
        |wanted: fn(&DeviceClass) -> bool| devices.iter().find(|d| wanted(&job.h.device(**d).class)).copied();
    let in_line =
        find(|class| matches!(class, DeviceClass::InLine { .. })).map(|d| (d, signs::in_line as Sign));
    in_line
        .or_else(|| Some((find(|class| matches!(class, DeviceClass::Splice { .. }))?, signs::splice as Sign)))
}
