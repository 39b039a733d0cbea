//! The crimp list: one row a termination, in the order in which hands make them.
//!
//! First what is finished on the bench, then what is crimped there and goes into its shell after feeding, then what is
//! made after feeding, then what is joined to the devices' own leads; last what could not be judged. Inside each,
//! device by device and cavity by cavity, so that a connector is filled in one go. A screen is dressed before the cores
//! of its cable.

use serde::Serialize;

use super::Plan;
use super::end_words::{EndWords, words};
use super::fitting::Fitting;
use super::termination::{Termination, When};
use super::when_words;
use crate::graph::Routing;
use crate::harness::{DeviceId, Harness, PinId, PinSite};
use crate::parts::library::Library;
use crate::quantity::Gauge;

/// A termination to make.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct CrimpRow {
    /// Number of the row, from 1.
    pub step: usize,
    /// Wire mark.
    pub mark: String,
    /// Circuit.
    pub circuit: String,
    /// Name of the wire, pair or cable.
    pub wire: String,
    /// Gauge.
    pub gauge: Gauge,
    /// Letters of its colour.
    pub colour: String,
    /// The end, and what is done there.
    pub end: EndWords,
    /// Trade description of the terminal; empty where none is known.
    pub terminal_title: String,
    /// True where no part fits: the end cannot be made.
    pub stop: bool,
    /// True for a contact that cannot be pulled out of its cavity again.
    pub one_way: bool,
}

fn stage(when: When) -> u8 {
    match when {
        When::Bench => 0,
        When::InsertAfterFeeding(_) => 1,
        When::AfterFeeding(_) => 2,
        When::InPlace => 3,
        When::Look(_) => 4,
    }
}

/// Pins of a device lie side by side in the order of its cavities.
fn key(h: &Harness, end: &Termination) -> (u8, DeviceId, PinId) {
    (stage(end.when), h.pin(end.pin).device, end.pin)
}

/// For the dressing of a screen the end that is made first of the cores there: what goes over the jacket does not go
/// over the contacts any more, so that it comes before them. None for every other end.
fn first_core<'a>(
    h: &Harness,
    routing: &Routing,
    plan: &'a Plan,
    end: &Termination,
) -> Option<&'a Termination> {
    let PinSite::Screen(cable) = h.pin(end.pin).site else { return None };
    let drain = h.conductor(end.conductor);
    let tied = if drain.from == end.pin { drain.to } else { drain.from };
    let place = routing.place_of_pin(h, tied)?;
    let cores = h.cable(cable).cores.iter().flatten();
    cores
        .filter_map(|core| plan.terminations.of.get(core.index()))
        .flatten()
        .filter(|core| routing.place_of_pin(h, core.pin) == Some(place))
        .min_by_key(|core| key(h, core))
}

/// When a screen is dressed: as late as the first of its cores, and before it.
fn dressed(h: &Harness, core: &Termination) -> String {
    match core.when {
        When::Bench | When::InsertAfterFeeding(_) => "bench, before the cores of this cable".to_owned(),
        When::AfterFeeding(_) | When::InPlace | When::Look(_) => {
            format!("{}; before the cores of this cable", when_words::when(h, core))
        }
    }
}

/// One row for each end of each conductor.
pub fn crimp_list(h: &Harness, library: &Library, routing: &Routing, plan: &Plan) -> Vec<CrimpRow> {
    let mut ends: Vec<&Termination> = plan.terminations.of.iter().flatten().collect();
    ends.sort_by_cached_key(|end| match first_core(h, routing, plan, end) {
        Some(core) => (key(h, core), false, end.conductor),
        None => (key(h, end), true, end.conductor),
    });
    let at = |end: &Termination| {
        let words = words(h, library, routing, end);
        match first_core(h, routing, plan, end) {
            Some(core) => EndWords { when: dressed(h, core), ..words },
            None => words,
        }
    };
    let row = |(i, end): (usize, &&Termination)| {
        let c = h.conductor(end.conductor);
        CrimpRow {
            step: i + 1,
            mark: c.mark.clone(),
            circuit: h.circuit(c.circuit).name.clone(),
            wire: library.wires.name(c.wire).to_owned(),
            gauge: c.gauge,
            colour: c.colour.value.code(),
            end: at(end),
            terminal_title: end.hold.as_ref().map_or_else(String::new, |hold| hold.title.clone()),
            stop: matches!(end.fitting, Fitting::Unknown { .. }),
            one_way: end.hold.as_ref().is_some_and(|hold| hold.one_way),
        }
    };
    ends.iter().enumerate().map(row).collect()
}
