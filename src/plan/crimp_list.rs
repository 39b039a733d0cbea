//! The crimp list: one row a termination, in the order in which hands make them.
//!
//! First what is finished on the bench, then what is crimped there and goes into its shell after feeding, then what is
//! made after feeding, then what is joined to the devices' own leads; last what could not be judged. Inside each,
//! device by device and cavity by cavity, so that a connector is filled in one go.

use serde::Serialize;

use super::Plan;
use super::end_words::{EndWords, words};
use super::fitting::Fitting;
use super::termination::{Termination, When};
use crate::graph::Routing;
use crate::harness::Harness;
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

/// One row for each end of each conductor.
pub fn crimp_list(h: &Harness, library: &Library, routing: &Routing, plan: &Plan) -> Vec<CrimpRow> {
    let mut ends: Vec<&Termination> = plan.terminations.of.iter().flatten().collect();
    // Pins of a device lie side by side in the order of its cavities; the screen of a cable follows its device's pins.
    ends.sort_by_key(|end| (stage(end.when), h.pin(end.pin).device, end.pin, end.conductor));
    let row = |(i, end): (usize, &&Termination)| {
        let c = h.conductor(end.conductor);
        CrimpRow {
            step: i + 1,
            mark: c.mark.clone(),
            circuit: h.circuit(c.circuit).name.clone(),
            wire: library.wires.name(c.wire).to_owned(),
            gauge: c.gauge,
            colour: c.colour.value.code(),
            end: words(h, library, routing, end),
            terminal_title: end.hold.as_ref().map_or_else(String::new, |hold| hold.title.clone()),
            stop: matches!(end.fitting, Fitting::Unknown { .. }),
            one_way: end.hold.as_ref().is_some_and(|hold| hold.one_way),
        }
    };
    ends.iter().enumerate().map(row).collect()
}
