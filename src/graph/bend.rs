//! How tightly what lies side by side may be bent: conductors in; the least radius, and the strand that sets it, out.
//!
//! A radius is so many times the outside diameter of the largest wire or cable. Thermocouple wire asks for more than
//! other wire, on weaker authority, so the two are told apart.

use std::collections::{BTreeMap, BTreeSet};

use super::bundle::Strand;
use super::routing::Routing;
use crate::harness::{ConductorId, Harness, PlaceId};
use crate::parts::library::Library;
use crate::quantity::Length;
use crate::trade::bend::{Bent, Term, bend_radius};
use crate::trade::limit::Limit;

/// The least radius that one strand of a bundle asks for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct LeastBend {
    /// The strand: the thickest of its kind.
    pub strand: Strand,
    /// Its outside diameter.
    pub outside: Length,
    /// The radius.
    pub radius: Limit<Length>,
}

impl LeastBend {
    /// The radius as a multiple of the diameter; zero for a strand of no size.
    pub fn times(&self) -> i64 {
        self.radius.value.um().checked_div(self.outside.um()).unwrap_or(0)
    }
}

/// The least radii of a bundle.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct LeastBends {
    /// What the thickest wire or cable asks for, of whatever kind.
    pub any: LeastBend,
    /// What the thickest thermocouple wire asks for; `None` where none passes.
    pub thermocouple: Option<LeastBend>,
}

impl LeastBends {
    /// What the conductors ask for; `None` where there are none. Of equals the first named sets it.
    pub fn of(h: &Harness, library: &Library, conductors: &[ConductorId]) -> Option<LeastBends> {
        let mut seen = BTreeSet::new();
        let mut any: Option<LeastBend> = None;
        let mut thermocouple: Option<LeastBend> = None;
        let more = |known: &mut Option<LeastBend>, strand, outside, kind: Bent| {
            if known.is_none_or(|known| known.outside < outside) {
                let radius = bend_radius(kind, Term::Long, outside);
                *known = Some(LeastBend { strand, outside, radius });
            }
        };
        for id in conductors {
            let conductor = h.conductor(*id);
            let (strand, wire) = match conductor.cable {
                Some(cable) if !seen.insert(cable) => continue,
                Some(cable) => (Strand::Cable(cable), h.cable(cable).wire),
                None => (Strand::Wire(*id), conductor.wire),
            };
            let part = library.wires.get(wire);
            more(&mut any, strand, part.outside, Bent::WireOrCable);
            if part.thermocouple().is_some() {
                more(&mut thermocouple, strand, part.outside, Bent::Thermocouple);
            }
        }
        any.map(|any| LeastBends { any, thermocouple })
    }

    /// The larger of the radii: what to keep where nothing is built yet.
    pub fn to_keep(self) -> LeastBend {
        self.thermocouple.filter(|t| t.radius.value > self.any.radius.value).unwrap_or(self.any)
    }
}

impl Strand {
    /// A conductor of it.
    pub fn conductor(self, h: &Harness) -> Option<ConductorId> {
        match self {
            Strand::Wire(id) => Some(id),
            Strand::Cable(id) => h.cable(id).cores.iter().flatten().next().copied(),
        }
    }

    /// Its wire mark, or the name of the cable.
    pub fn name(self, h: &Harness) -> &str {
        match self {
            Strand::Wire(id) => &h.conductor(id).mark,
            Strand::Cable(id) => &h.cable(id).name,
        }
    }
}

/// Places at which the spec says how tightly the bundle is bent, each with the conductors on the runs that meet there,
/// in order and each once: what a bend there bends. One pass over the runs.
pub fn bent_places(h: &Harness, routing: &Routing) -> Vec<(PlaceId, Vec<ConductorId>)> {
    let mut bent: BTreeMap<PlaceId, Vec<ConductorId>> = BTreeMap::new();
    for (run, conductors) in h.runs.iter().zip(&routing.in_run) {
        for place in run.ends.into_iter().filter(|place| h.place(*place).bend.is_some()) {
            bent.entry(place).or_default().extend(conductors);
        }
    }
    for conductors in bent.values_mut() {
        conductors.sort_unstable();
        conductors.dedup();
    }
    bent.into_iter().collect()
}
