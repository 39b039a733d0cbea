//! The routing drawing: a resolved harness and where it lies in; the structure as measured out: places, runs with
//! length and bundle, zones, walls with their holes, and what is fitted where. A map to scale where every place on the
//! route has a position and the map can be read; else a tree:
//!
//! ```text
//! tree ─ order ─ patch ─ plan, rows ─┬─ chord (loops; those that find no way go back as broken runs) ─ drawn ─┐
//!                                    └─────────────────────────── lists (tables, notes, legend) ────────┴─ arrange
//!
//! map (room: where lettering stands) ─ chart ─ lists ─ arrange
//! ```
//!
//! Guarantees: every place, run and hole is drawn once, with its figures once in the drawing and once in the tables;
//! no run of a tree crosses another, one of a map passes over with a gap; every line of a run carries the names of the circuits and conductors in it.

mod arrange;
mod card;
mod chart;
mod chord;
mod drawn;
mod job;
mod lists;
mod map;
mod order;
mod patch;
mod plan;
mod raster;
mod room;
mod rows;
mod table;
mod tree;

use std::ops::Range;

use super::geometry::{Area, Point, mm};
use super::scale::Scale;
use super::scene::Scene;
use super::title_block::{NOT_TO_SCALE, TitleBlock};
use crate::graph::{Bundles, Routing};
use crate::harness::{DeviceClass, Harness, PlaceId, RunId};
use crate::parts::library::Library;
use arrange::{Piece, Sheets};
use job::Job;
use map::Refusal;

/// Rounds in which runs that find no way are broken off, before all that are left are.
const ROUNDS: usize = 4;

/// The routing drawing, in its sheets. `banner` stands across the head of each, where the harness must not be built yet.
pub fn routing(h: &Harness, library: &Library, routing: &Routing, banner: Option<&str>) -> Vec<Scene> {
    let bundles = Bundles::of(h, library, routing);
    routing_with(h, library, routing, &bundles, banner)
}

/// The same for a caller that has the bundles already: packing them is most of the work.
pub fn routing_with(
    h: &Harness,
    library: &Library,
    routing: &Routing,
    bundles: &Bundles,
    banner: Option<&str>,
) -> Vec<Scene> {
    let job = Job::new(h, library, routing, bundles);
    let found = map::Map::of(&job, &title_block(h, &Scale::FULL.to_string()), banner);
    let why = match found {
        Ok(map) => return map_drawing(&job, &map, banner),
        Err(Refusal::NotAsked) => None,
        Err(Refusal::Without(places)) => {
            Some(format!("Drawn as a tree: these places have no position: {}.", places.join(", ")))
        }
        Err(Refusal::Crowded) => Some(
            "Drawn as a tree: places have positions, but at no scale that fits A2 is there room to read a map of them."
                .to_owned(),
        ),
    };
    // Lettering is broken over more lines where the drawing comes onto a smaller sheet so.
    let mut best = tree_drawing(&job, why.as_deref(), banner);
    let mut job = job;
    for limits in card::NARROWER {
        if best.are_small() {
            break;
        }
        job = job.narrower(limits);
        let other = tree_drawing(&job, why.as_deref(), banner);
        if other.rank() < best.rank() {
            best = other;
        }
    }
    best.scenes
}

/// The structure as it lies, to scale.
fn map_drawing(job: &Job, map: &map::Map, banner: Option<&str>) -> Vec<Scene> {
    let drawing = chart::draw(job, map);
    let area = drawing.bounds().unwrap_or_default().grown(mm(0.5));
    let at_run = |run: RunId| map.lines.get(run.index()).map(|line| line.middle);
    let at_place = |place: PlaceId| map.spots.get(place.index()).copied().flatten().map(|spot| spot.at);
    let mut first = vec![
        "Places lie where the spec puts them, to scale; runs are drawn straight from place to place, bent once where another place is in the way. Lengths are measured \
         along the structure, not on the drawing; tails, service loops and reserves are in the cut list."
            .to_owned(),
    ];
    let unseen = job.h.places.iter().filter(|p| p.position.is_none()).map(|p| p.name.as_str());
    let unseen: Vec<&str> = unseen.collect();
    if !unseen.is_empty() {
        first.push(format!("⚠ On no run and without a position, not drawn: {}.", unseen.join(", ")));
    }
    let contents = arrange::Contents {
        pieces: &[Piece { drawing, area, taken: vec![area] }],
        tables: &lists::tables(job, &at_run, &at_place),
        notes: &lists::notes(job, &first),
        legend: &lists::legend(
            job,
            &lists::Picture::Map { crossings: map.crossings(), at_ends: map.clamps_at_ends },
        ),
    };
    arrange::on_sheets(&contents, &title_block(job.h, &map.scale.to_string()), banner).scenes
}

/// The structure as a tree: where things are measured along it, not where they lie.
fn tree_drawing(job: &Job, why: Option<&str>, banner: Option<&str>) -> Sheets {
    let h = job.h;
    let grown = tree::grow(h, &job.weight, &ends_at(h, job.routing));
    let mut broken: Vec<RunId> = Vec::new();
    let mut round = 0;
    let (tree, plan, chords) = loop {
        round += 1;
        let mut loops: Vec<RunId> = grown.closing.iter().copied().filter(|r| !broken.contains(r)).collect();
        if round > ROUNDS {
            broken.append(&mut loops);
            broken.sort_unstable();
        }
        let mut forest = grown.clone();
        order::sort(h, &mut forest, &job.weight, &loops);
        let tree = patch::patches(h, &forest, &broken);
        let ends: Vec<(usize, usize)> =
            loops.iter().filter_map(|r| chord::ends(job, &tree, *r)).map(|(a, b, _)| (a, b)).collect();
        // First with rows as near as they may stand, then with room between them.
        let mut plan = plan::lay_out(job, &tree, &ends, false);
        let (mut chords, mut failed) = chord::close(job, &tree, &plan, &loops);
        if !failed.is_empty() {
            plan = plan::lay_out(job, &tree, &ends, true);
            (chords, failed) = chord::close(job, &tree, &plan, &loops);
        }
        if failed.is_empty() {
            break (tree, plan, chords);
        }
        broken.extend(failed);
        broken.sort_unstable();
    };
    let pieces: Vec<Piece> = (0..tree.nodes.len())
        .filter(|n| tree.nodes.get(*n).is_some_and(|node| node.parent.is_none()))
        .map(|root| piece(job, &tree, &plan, &chords, root))
        .collect();
    let at_place =
        |place: PlaceId| tree.node_of.get(place.index()).and_then(|n| plan.spots.get(*n)).map(|spot| spot.at);
    let mut at_run = vec![None; h.runs.len()];
    for (node, spot) in tree.nodes.iter().zip(&plan.spots) {
        let labelled = node.stub.as_ref().is_none_or(|s| s.labelled);
        if let Some(run) = node.run.filter(|_| labelled) {
            at_run[run.index()] = Some(spot.label.area(spot.label_at).centre());
        }
    }
    for chord in &chords {
        at_run[chord.run.index()] = Some(chord.label.area(chord.label_at).centre());
    }
    let tables = lists::tables(job, &|run| at_run.get(run.index()).copied().flatten(), &at_place);
    let first: Vec<String> = [MEASURED.to_owned()].into_iter().chain(why.map(str::to_owned)).collect();
    let contents = arrange::Contents {
        pieces: &pieces,
        tables: &tables,
        notes: &lists::notes(job, &first),
        legend: &lists::legend(
            job,
            &lists::Picture::Tree {
                broken: tree.nodes.iter().any(|n| n.stub.is_some()),
                open: tree.patches.iter().any(|p| matches!(p.behind, Some((_, None)))),
            },
        ),
    };
    arrange::on_sheets(&contents, &title_block(h, NOT_TO_SCALE), banner)
}

const MEASURED: &str = "Lengths are measured along the structure from place to place; tails, service loops and reserves \
    are in the cut list. Not to scale: read the figures, measure nothing on the sheet. A field in a table is that of the \
    sign of the place, or of what is written on the run.";

/// All that hangs on one root.
fn piece(job: &Job, tree: &patch::Tree, plan: &plan::Plan, chords: &[chord::Chord], root: usize) -> Piece {
    let end =
        (root + 1..tree.nodes.len()).find(|n| tree.nodes.get(*n).is_some_and(|node| node.parent.is_none()));
    let nodes = root..end.unwrap_or(tree.nodes.len());
    let patches =
        tree.nodes.iter().take(nodes.end).skip(nodes.start).flat_map(|node| [Some(node.patch), node.opens]);
    let patches = patches.flatten().fold(None, |span: Option<Range<usize>>, p| {
        let span = span.unwrap_or(p..p + 1);
        Some(span.start.min(p)..span.end.max(p + 1))
    });
    let patches = patches.unwrap_or(0..0);
    let fields = plan.fields.iter().take(patches.end).skip(patches.start);
    let taken = fields.map(|f| f.area.union(f.barrier.area(f.barrier_at())));
    let drawing = drawn::draw(job, tree, plan, chords, nodes, patches);
    let area = drawing.bounds().unwrap_or_default().grown(mm(0.5));
    let inside = |taken: Area| Area {
        min: Point::new(taken.min.x.max(area.min.x), taken.min.y.max(area.min.y)),
        max: Point::new(taken.max.x.min(area.max.x), taken.max.y.min(area.max.y)),
    };
    let taken = taken.map(inside).collect();
    Piece { drawing, area, taken }
}

/// Conductors of equipment that end at each place, and all that do: the indicator's place has most, as a rule.
fn ends_at(h: &Harness, routing: &Routing) -> Vec<(usize, usize)> {
    let mut ends = vec![(0_usize, 0_usize); h.places.len()];
    for pin in h.conductors.iter().flat_map(|c| [c.from, c.to]) {
        if let Some(place) = routing.place_of_pin(h, pin) {
            let equipment = matches!(h.device(h.pin(pin).device).class, DeviceClass::Equipment);
            ends[place.index()].0 += usize::from(equipment);
            ends[place.index()].1 += 1;
        }
    }
    ends
}

fn title_block(h: &Harness, scale: &str) -> TitleBlock {
    TitleBlock { scale: scale.to_owned(), ..TitleBlock::of(&h.header, "Routing", "Routing drawing") }
}
