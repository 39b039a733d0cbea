//! A plan in; zones, walls, runs, holes and places drawn into a scene.

use super::chord::{Chord, SHORT_BEND};
use super::job::Job;
use super::patch::{Node, Tree};
use super::plan::{BEND, Plan, Spot, WALL};
use crate::draw::geometry::{Area, Mm, Point, mm};
use crate::draw::lettering::Lettering;
use crate::draw::mark::{Layer, Mark, TagKind};
use crate::draw::palette::Ink;
use crate::draw::scene::{Anchor, Scene, Turn};
use crate::draw::stroke::{Dash, Stroke};
use crate::harness::RunId;

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
    let end = if tree.nodes[node].stub.is_some() { spot.at.by(-spot.radius, Mm::ZERO) } else { spot.at };
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

/// Draws everything.
pub(super) fn draw(job: &Job, tree: &Tree, plan: &Plan, chords: &[Chord]) -> Scene {
    let mut scene = Scene::default();
    zones(job, tree, plan, &mut scene);
    for (i, node) in tree.nodes.iter().enumerate() {
        if let Some(run) = node.run {
            bundle(job, &mut scene, run, &bent(&run_corners(tree, plan, i), BEND));
            let spot = &plan.spots[i];
            spot.label.draw_centred(&mut scene, spot.label_at);
        }
    }
    for chord in chords {
        bundle(job, &mut scene, chord.run, &bent(&chord.corners, SHORT_BEND));
        chord.label.draw_centred(&mut scene, chord.label_at);
    }
    for (node, spot) in tree.nodes.iter().zip(&plan.spots) {
        place(job, &mut scene, node, spot);
    }
    scene
}

fn zones(job: &Job, tree: &Tree, plan: &Plan, scene: &mut Scene) {
    for (field, patch) in plan.fields.iter().zip(&tree.patches) {
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

fn is_fire(job: &Job, cover: &str) -> bool {
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
    spot.card.draw(scene, spot.card_at);
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
    let hole = job.h.place(node.place).hole.is_some();
    if hole && node.opens.is_some() {
        // The lining: what stands in the wall above and below the bundle.
        for y in [capsule.min.y - mm(0.9), capsule.max.y - mm(0.1)] {
            let corner = Point::new(capsule.min.x, y);
            scene.rect(&mark, Area::between(corner, Point::new(capsule.max.x, y + mm(1.0))), Ink::BLACK);
        }
        scene.rect(&mark, capsule, Stroke::MEDIUM.filled(Ink::WHITE));
    } else {
        let round = if hole { Mm::ZERO } else { spot.radius };
        scene.rounded_rect(&mark, capsule, round, Stroke::WIDE.filled(Ink::WHITE));
    }
}
