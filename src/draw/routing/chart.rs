//! A map in; its walls, runs, places and lettering drawn into a scene.

use super::drawn::{self, LOOM};
use super::job::Job;
use super::lists::zone_ink;
use super::map::{Line, Map, Spot, direction};
use crate::draw::geometry::{Area, Mm, Point, mm};
use crate::draw::mark::{Layer, Mark, TagKind};
use crate::draw::palette::Ink;
use crate::draw::scene::Scene;
use crate::draw::stroke::{Dash, Stroke};
use crate::harness::{PlaceId, RunId};

/// White on either side of a run where it passes over another one.
const GAP: Mm = mm(0.8);

/// Draws all of it.
pub(super) fn draw(job: &Job, map: &Map) -> Scene {
    let mut scene = Scene::default();
    for wall in &map.walls {
        let mark = Mark::new(Layer::Structure).with(TagKind::Barrier, &job.h.barrier(wall.barrier).name);
        scene.polyline(&mark, wall.points.clone(), Stroke::BAR.inked(Ink::SLATE));
    }
    for line in &map.lines {
        run(job, &mut scene, line, &map.spots);
    }
    for (i, spot) in map.spots.iter().enumerate() {
        if let Some(spot) = spot {
            place(job, &mut scene, PlaceId::at(i), *spot);
        }
    }
    for label in &map.labels {
        if let Some((from, to)) = label.leader {
            scene.line(&label.mark, from, to, Stroke::THIN);
        }
        if label.centred {
            label.block.draw_centred(&mut scene, label.at);
        } else {
            label.block.draw(&mut scene, label.at);
        }
    }
    scene
}

fn run(job: &Job, scene: &mut Scene, line: &Line, spots: &[Option<Spot>]) {
    let mark = job.run_mark(line.run);
    let breadth = job.breadth(line.run);
    for at in &line.over {
        let pieces = line.corners.iter().zip(line.corners.iter().skip(1));
        // The piece that the crossing lies on: the way over its middle is no longer than itself.
        let own = pieces.min_by_key(|(a, b)| a.distance(*at) + at.distance(**b) - a.distance(**b));
        let Some((from, to)) = own else { continue };
        let (ux, uy) = direction(*from, *to);
        let reach = crossed(job, line.run) / 2 + mm(2.0);
        let off = |sign: f64| at.by(reach.scaled(ux * sign), reach.scaled(uy * sign));
        let ground = Stroke::WIDE.measured(breadth + GAP * 2).inked(Ink::WHITE);
        scene.line(&Mark::new(Layer::Structure), off(-1.0), off(1.0), ground);
    }
    match &job.h.run(line.run).cover {
        Some(cover) => {
            drawn::sleeve(scene, mark, &line.corners, breadth, drawn::is_fire(job, &cover.value));
            strokes(job, scene, line, spots);
        }
        None if job.weight.get(line.run.index()).is_some_and(|count| *count > 0) => {
            let stroke = Stroke::WIDE.measured(job.thickness(line.run)).inked(LOOM);
            scene.polyline(mark, line.corners.clone(), stroke);
        }
        None => scene.polyline(mark, line.corners.clone(), Stroke::MEDIUM.dashed(Dash::Dashed)),
    }
    clamps(job, scene, line);
}

/// Thickest of the runs: what may lie under this one at most.
fn crossed(job: &Job, run: RunId) -> Mm {
    let all = (0..job.h.runs.len()).map(RunId::at).filter(|r| *r != run);
    all.map(|r| job.breadth(r)).max().unwrap_or_default()
}

/// The strokes across a sleeve that runs neither level nor upright, which is drawn with its own.
fn strokes(job: &Job, scene: &mut Scene, line: &Line, spots: &[Option<Spot>]) {
    let run = job.h.run(line.run);
    let Some(cover) = &run.cover else { return };
    let ways: &[f64] = if drawn::is_fire(job, &cover.value) { &[1.0] } else { &[1.0, -1.0] };
    let half = (job.breadth(line.run) - mm(0.7)) / 2;
    let shown = |at: Point| {
        let near = |spot: &Spot| spot.at.distance(at) < spot.radius;
        !run.ends.iter().filter_map(|end| spots.get(end.index())?.as_ref()).any(near)
    };
    for (from, to) in line.corners.iter().zip(line.corners.iter().skip(1)) {
        if from.x == to.x || from.y == to.y {
            continue;
        }
        let (ux, uy) = direction(*from, *to);
        let mut along = half + mm(0.4);
        while along < from.distance(*to) - half - mm(0.4) {
            let at = from.by(along.scaled(ux), along.scaled(uy));
            for way in ways.iter().filter(|_| shown(at)) {
                let (dx, dy) = (half.scaled(ux - uy * way), half.scaled(uy + ux * way));
                scene.line(job.run_mark(line.run), at.by(-dx, -dy), at.by(dx, dy), Stroke::THIN);
            }
            along += mm(1.8);
        }
    }
}

/// The bands of the clamps across a run.
fn clamps(job: &Job, scene: &mut Scene, line: &Line) {
    let (along, across) = (mm(0.8), job.breadth(line.run) / 2 + mm(0.6));
    for (at, (ux, uy)) in &line.clamps {
        let corner = |a: f64, c: f64| {
            let (dx, dy) =
                (along.scaled(ux * a) - across.scaled(uy * c), along.scaled(uy * a) + across.scaled(ux * c));
            at.by(dx, dy)
        };
        let corners = vec![corner(-1.0, -1.0), corner(1.0, -1.0), corner(1.0, 1.0), corner(-1.0, 1.0)];
        scene.polygon(job.run_mark(line.run), corners, Stroke::MEDIUM.filled(Ink::WHITE));
    }
}

/// A sign filled in the ink of its zone; square for a hole, white as it lies between two.
fn place(job: &Job, scene: &mut Scene, id: PlaceId, spot: Spot) {
    let mark = job.place_mark(id).on(Layer::Symbol);
    let place = job.h.place(id);
    let area = Area::between(spot.at, spot.at).grown(spot.radius);
    if place.hole.is_some() {
        scene.rect(&mark, area, Stroke::WIDE.filled(Ink::WHITE));
        return;
    }
    scene.rounded_rect(&mark, area, spot.radius, Stroke::WIDE.filled(zone_ink(job, place)));
    if let Some((device, sign)) = drawn::emblem(job, id) {
        sign(scene, &job.device_mark(device, id).on(Layer::Symbol), spot.at);
    }
}
