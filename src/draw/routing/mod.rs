//! The routing drawing: a resolved harness and where it lies in; the structure as measured out: places, runs with
//! length and bundle, zones, walls with their holes, and what is fitted where.
//!
//! ```text
//! tree ─ order ─ patch ─ plan ─┬─ chord (loops; those that find no way go back as broken runs) ─ drawn ─┐
//!                              └───────────────────────────────── lists (tables, notes, legend) ────────┴─ arrange
//! ```
//!
//! Guarantees: every place, run and hole is drawn once, with its figures once in the drawing and once in the tables;
//! no run crosses another; every line of a run carries the names of the circuits and conductors in it.

mod arrange;
mod card;
mod chord;
mod drawn;
mod job;
mod lists;
mod order;
mod patch;
mod plan;

mod table;
mod tree;

use std::cmp::Reverse;

use super::geometry::mm;
use super::scene::Scene;
use super::title_block::TitleBlock;
use crate::graph::{Bundles, Routing};
use crate::harness::{DeviceClass, Harness, PlaceId, RunId};
use crate::parts::library::Library;
use job::Job;

/// Rounds in which runs that find no way are broken off, before all that are left are.
const ROUNDS: usize = 4;

/// The routing drawing, on one sheet. `banner` stands across its head, where the harness must not be built yet.
pub fn routing(h: &Harness, library: &Library, routing: &Routing, banner: Option<&str>) -> Scene {
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
) -> Scene {
    let job = Job::new(h, library, routing, bundles);
    let grown = tree::grow(h, &job.weight, busiest_place(h, routing));
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
            loops.iter().filter_map(|r| chord::ends(&job, &tree, *r)).map(|(a, b, _)| (a, b)).collect();
        // First with rows as near as they may stand, then with room between them.
        let mut plan = plan::lay_out(&job, &tree, &ends, false);
        let (mut chords, mut failed) = chord::close(&job, &tree, &plan, &loops);
        if !failed.is_empty() {
            plan = plan::lay_out(&job, &tree, &ends, true);
            (chords, failed) = chord::close(&job, &tree, &plan, &loops);
        }
        if failed.is_empty() {
            break (tree, plan, chords);
        }
        broken.extend(failed);
        broken.sort_unstable();
    };
    let drawing = drawn::draw(&job, &tree, &plan, &chords);
    let area = drawing.bounds().unwrap_or(plan.area).grown(mm(0.5));
    let contents = arrange::Contents {
        drawing: &drawing,
        area,
        taken: &plan.taken(),
        tables: [&lists::runs(&job, &tree, &plan, &chords), &lists::holes(&job, &tree, &plan)],
        notes: &lists::notes(&job, mm(96.0)),
        legend: &lists::legend(&job, &tree),
    };
    arrange::on_sheet(&contents, &title_block(h), banner)
}

/// The place where most conductors of equipment end: the indicator's, as a rule. Without equipment, the place where
/// most conductors end; None without places.
fn busiest_place(h: &Harness, routing: &Routing) -> Option<PlaceId> {
    let mut ends = vec![(0_usize, 0_usize); h.places.len()];
    for pin in h.conductors.iter().flat_map(|c| [c.from, c.to]) {
        if let Some(place) = routing.place_of_pin(h, pin) {
            let equipment = matches!(h.device(h.pin(pin).device).class, DeviceClass::Equipment);
            ends[place.index()].0 += usize::from(equipment);
            ends[place.index()].1 += 1;
        }
    }
    (0..h.places.len()).max_by_key(|i| (ends[*i], Reverse(*i))).map(PlaceId::at)
}

fn title_block(h: &Harness) -> TitleBlock {
    TitleBlock { scale: "not to scale".into(), ..TitleBlock::of(&h.header, "Routing", "Routing drawing") }
}
