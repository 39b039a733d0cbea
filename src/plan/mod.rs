//! What the bench and the hands in the machine are told: cut lengths, terminations, masses and the lists made of them.
//!
//! Guarantees: every conductor is once in the cut list and each of its two ends once in the crimp list; the terms of a
//! cut length add up to it; a figure that rests on a default of the tool says so; what is not known is `None` with the
//! reason beside it.

pub mod cable_ends;
pub mod clamping;
pub mod crimp_list;
pub mod cut_list;
pub mod drop_table;
pub mod end_words;
pub mod feed_order;
pub mod ground_words;
pub mod heat;
pub mod install;
pub mod length;
pub mod load_table;
pub mod load_words;
pub mod mass;
pub mod offset_table;
pub mod parts_list;
pub mod pieces;
pub mod standing;
pub mod termination;
pub mod when_words;
pub mod why;
mod why_bus;
mod why_current;
mod why_device;
mod why_feeding;
mod why_ground;
mod why_install;
mod why_mass;
mod why_offset;
mod why_probe;
mod why_splice;
mod why_structure;
pub mod why_text;
mod why_thermocouple;
mod why_wire;

pub use crate::graph::{feeding, fitting};

use crate::graph::Routing;
use crate::harness::{Harness, HoleId};
use crate::parts::library::Library;
use cable_ends::CableEnd;
use feed_order::FedStrand;
use length::CutLength;
use termination::Terminations;

/// All that the lists are made of.
#[derive(Clone, Debug)]
pub struct Plan {
    /// Both ends of each conductor.
    pub terminations: Terminations,
    /// Cut length of each conductor, by conductor id.
    pub lengths: Vec<CutLength>,
    /// What is fed through each hole, in order, by hole id.
    pub fed: Vec<Vec<FedStrand>>,
    /// By run id: the hole that some of its wires are fed through before they lie there.
    pub fed_into: Vec<Option<HoleId>>,
    /// Every end of every screened cable.
    pub cables: Vec<CableEnd>,
}

impl Plan {
    /// Works out ends first, then lengths, which need what is cut off at each end.
    pub fn of(h: &Harness, library: &Library, routing: &Routing) -> Plan {
        let terminations = termination::terminate(h, library, routing);
        let lengths = length::lengths(h, library, routing, &terminations);
        let fed = feed_order::feed_orders(h, library, &terminations);
        let fed_into = feed_order::fed_into(h, routing, &terminations);
        let cables = cable_ends::cable_ends(h, library, routing, &terminations);
        Plan { terminations, lengths, fed, fed_into, cables }
    }
}
