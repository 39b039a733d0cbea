//! A thermocouple's legs as they are wired in; what the gauge would show over them out.
//!
//! Every piece of the legs gives the emf of the pair that its two materials form between the temperatures of its ends
//! (law of intermediate temperatures, see [`crate::trade::thermocouple_chain`]). The ends are taken to be at the
//! declared ambient temperature of their zone.

use super::routing::Routing;
use super::thermocouple_leg::{Leg, Piece, ThermocoupleRun};
use crate::harness::{ConductorId, Harness, PinId};
use crate::parts::words::{Measure, Role};
use crate::quantity::Temperature;
use crate::trade::thermocouple::Shown;
use crate::trade::thermocouple_chain::{Section, indicated};

impl ThermocoupleRun {
    /// What the gauge shows with the probe at `probe`. `None` where a leg comes to no pin, the legs have not the same
    /// number of pieces, a zone's ambient is not declared, or the emf does not follow from the reference functions.
    pub fn shown(&self, harness: &Harness, routing: &Routing, probe: Temperature) -> Option<Shown> {
        let lands_on_plus = |leg: &Leg| Some(harness.port_of(leg.end()?)?.1 == Role::Plus);
        let (plus, minus) = match (lands_on_plus(&self.plus)?, lands_on_plus(&self.minus)?) {
            (true, false) => (&self.plus, &self.minus),
            (false, true) => (&self.minus, &self.plus),
            _ => return None,
        };
        let (over_plus, over_minus) = (over(plus), over(minus));
        if over_plus.is_empty() || over_plus.len() != over_minus.len() {
            return None;
        }
        // The probe's own leads first: what they are made of, its pins say.
        let own = |leg: &Leg| leg.pieces.first().map(|p| p.alloy(harness));
        let mut sections = vec![Section {
            plus: own(plus)?,
            minus: own(minus)?,
            to: ambient(harness, routing, start(plus)?)?,
        }];
        for ((p, to), (m, _)) in over_plus.into_iter().zip(over_minus) {
            let to = ambient(harness, routing, to)?;
            sections.push(Section {
                plus: harness.conductor(p).alloy,
                minus: harness.conductor(m).alloy,
                to,
            });
        }
        indicated(self.kind, probe, &sections).map(|reading| reading.shown)
    }

    /// A temperature of the probe that is usual for what it measures, to give an example by.
    pub fn example(&self, harness: &Harness) -> Temperature {
        let device = harness.device(self.sensor);
        let port = device.ports.get(self.port as usize);
        let celsius = match port.and_then(|p| p.measures).or(device.measures) {
            Some(Measure::CylinderHead) => 200.0,
            Some(Measure::ExhaustGas | Measure::TurbineInlet) => 700.0,
            _ => 100.0,
        };
        Temperature::from_celsius(celsius)
    }
}

fn start(leg: &Leg) -> Option<PinId> {
    match leg.pieces.first() {
        Some(Piece::Pin(p)) => Some(*p),
        _ => None,
    }
}

/// The conductors of a leg, each with the pin it leads to.
fn over(leg: &Leg) -> Vec<(ConductorId, PinId)> {
    let next = leg.pieces.iter().skip(1);
    leg.pieces
        .iter()
        .zip(next)
        .filter_map(|pair| match pair {
            (Piece::Conductor(c), Piece::Pin(to)) => Some((*c, *to)),
            _ => None,
        })
        .collect()
}

/// Highest declared ambient temperature of the zones at a pin's place.
fn ambient(harness: &Harness, routing: &Routing, pin: PinId) -> Option<Temperature> {
    let place = routing.place_of_pin(harness, pin)?;
    let zones = &harness.place(place).zones;
    zones.iter().filter_map(|z| harness.zone(*z).ambient).map(|t| t.value).max()
}
