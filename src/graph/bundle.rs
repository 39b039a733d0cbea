//! What lies side by side in a run or a hole: conductors in; the pieces that take room, their bundle diameter and
//! their share of a bore out.
//!
//! Guarantees: a cable takes room once, by its jacket, however many of its cores pass; the diameter is that of the
//! tightest packing found (see `trade::packing`), so a bundle laid by hand is never thinner.

use std::collections::BTreeSet;

use super::routing::Routing;
use crate::harness::{CableId, ConductorId, Harness, HoleId, RunId};
use crate::parts::library::Library;
use crate::quantity::{Fraction, Length};
use crate::trade::packing::{Packing, Packings};

/// One round thing in a bundle.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Strand {
    /// A single wire.
    Wire(ConductorId),
    /// A pair or cable with all its cores.
    Cable(CableId),
}

/// What lies side by side.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Bundle {
    /// Conductors, cores counted singly: what a hole's limit counts.
    pub conductors: usize,
    /// The round things, in the order of their first conductor.
    pub strands: Vec<Strand>,
    /// Their places; the circles stand in the order of `strands`.
    pub packing: Packing,
}

impl Bundle {
    /// Diameter over all; zero where nothing passes.
    pub fn diameter(&self) -> Length {
        self.packing.diameter
    }

    /// Share of a bore's area that the strands cover; may exceed one. `None` for a bore of no size.
    pub fn fill(&self, bore: Length) -> Option<Fraction> {
        let covered: f64 = self.packing.circles.iter().map(|c| c.diameter.mm() * c.diameter.mm()).sum();
        Fraction::try_from_ratio(covered / (bore.mm() * bore.mm()))
    }
}

/// The bundles of every run and hole.
#[derive(Clone, Debug)]
pub struct Bundles {
    runs: Vec<Bundle>,
    holes: Vec<Bundle>,
}

impl Bundles {
    /// Packs every run and hole. Equal bundles are packed once.
    pub fn of(h: &Harness, library: &Library, routing: &Routing) -> Bundles {
        let mut packings = Packings::default();
        let mut pack = |all: &Vec<Vec<ConductorId>>| -> Vec<Bundle> {
            all.iter().map(|conductors| bundle(h, library, conductors, &mut packings)).collect()
        };
        Bundles { runs: pack(&routing.in_run), holes: pack(&routing.in_hole) }
    }

    /// The bundle along a run.
    pub fn run(&self, id: RunId) -> &Bundle {
        &self.runs[id.index()]
    }

    /// The bundle through a hole; conductors of other harnesses are not in it, nobody knows their size.
    pub fn hole(&self, id: HoleId) -> &Bundle {
        &self.holes[id.index()]
    }
}

/// Packs what these conductors take.
pub fn bundle(h: &Harness, library: &Library, conductors: &[ConductorId], packings: &mut Packings) -> Bundle {
    let mut seen = BTreeSet::new();
    let mut strands = Vec::new();
    let mut sizes = Vec::new();
    for id in conductors {
        let conductor = h.conductor(*id);
        let (strand, wire) = match conductor.cable {
            Some(cable) if !seen.insert(cable) => continue,
            Some(cable) => (Strand::Cable(cable), h.cable(cable).wire),
            None => (Strand::Wire(*id), conductor.wire),
        };
        strands.push(strand);
        sizes.push(library.wires.get(wire).outside);
    }
    Bundle { conductors: conductors.len(), strands, packing: packings.pack(&sizes) }
}
