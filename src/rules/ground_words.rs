//! What a rule about the ground network says where something in it is not known.

use super::{Facts, amps};
use crate::graph::conductor_ohms::{NoResistance, Unsaid, unsaid};
use crate::graph::ground_volts::beyond;
use crate::graph::{Through, Unsure, above_the_figures};
use crate::harness::{ConductorId, Harness};
use crate::quantity::Voltage;

/// A voltage in three figures, without its sign: what lies below a tenth of a millivolt is nothing to a mechanic. Where there
/// can be no such voltage, what it is more than: something is insulated that should not be.
pub(super) fn size(h: &Harness, volts: Voltage) -> String {
    let size = volts.abs().volts();
    if let Some(words) = beyond(h, volts) {
        return words;
    }
    let step = match size {
        s if s >= 1.0 => 0.01,
        s if s >= 0.1 => 0.001,
        _ => 0.000_1,
    };
    Voltage::from_volts((size / step).round() * step).show(h.header.units)
}

/// A voltage that is added to an emf, without its sign: whole microvolts where there are few of them.
pub(super) fn probe_volts(h: &Harness, volts: Voltage) -> String {
    match volts.abs().millivolts() {
        few if few < 10.0 => format!("{:.0} µV", few * 1e3),
        _ => size(h, volts),
    }
}

/// Why a voltage or current cannot be told, and what mends it; lower case.
pub(super) fn unsure(facts: &Facts<'_>, unsure: Unsure) -> String {
    let h = facts.harness;
    match unsure {
        Unsure::Apart => {
            "nothing joins the ground it gives its signal against to that of its indicator".to_owned()
        }
        Unsure::Resistance(Through::Bond(bond)) => {
            format!("the resistance of the bond `{}` is not given (`resistance:`)", h.bond(bond).name)
        }
        Unsure::Resistance(Through::Conductor(id)) => of_wire(facts, id),
        Unsure::Resistance(Through::Lead(pin)) => format!(
            "how hot the lead of `{}` gets is not said (`ambient:` of its zone), and its resistance hangs on that",
            facts.device_spot(pin).1
        ),
        Unsure::Resistance(_) => "a resistance on the way is not known".to_owned(),
        Unsure::Drive(bond) => {
            format!("what the supply drives through the bond `{}` was not found", h.bond(bond).name)
        }
        Unsure::Load(pin) => {
            format!(
                "nobody says how much `{}` takes (`current:`), and it shares the ring",
                facts.pin_name(pin)
            )
        }
        Unsure::Current(bond) => {
            let b = h.bond(bond);
            let key = if b.carries.is_some() { "cranking" } else { "carries" };
            format!("what flows through the bond `{}` is not given (`{key}:`)", b.name)
        }
    }
}

/// Why the resistance of a wire is not known, or how warm it is.
fn of_wire(facts: &Facts<'_>, id: ConductorId) -> String {
    let h = facts.harness;
    let c = h.conductor(id);
    let mark = &c.mark;
    match facts.ground.resistance(id) {
        Err(NoResistance::NoPath | NoResistance::Alloy(_)) => {
            format!("the resistance of wire `{mark}` is not known: it has no path, or is not of copper")
        }
        Err(NoResistance::Warmth(unsaid) | NoResistance::Open(unsaid)) => unsaid_warmth(facts, id, unsaid),
        Ok(range) => match unsaid(h, facts.routing, id).filter(|_| range.exact().is_none()) {
            Some(unsaid) => unsaid_warmth(facts, id, unsaid),
            None if above_the_figures(h) => {
                format!("how far its current warms wire `{mark}` is not known: {}", amps::ABOVE_THE_TABLE)
            }
            None => format!(
                "how far its current warms wire `{mark}` is not known: the table goes from 24 AWG to 4/0 AWG, not to {}",
                c.gauge
            ),
        },
    }
}

fn unsaid_warmth(facts: &Facts<'_>, id: ConductorId, unsaid: Unsaid) -> String {
    let h = facts.harness;
    let mark = &h.conductor(id).mark;
    match unsaid {
        Unsaid::Zone(zone) => format!(
            "how hot it gets in `{}` is not said (`ambient:`), and the resistance of wire `{mark}` hangs on it",
            h.zone(zone).name
        ),
        Unsaid::Place => {
            format!(
                "where wire `{mark}` lies is not known, and its resistance hangs on how hot it gets there"
            )
        }
    }
}

/// How a resistance was taken that is not known.
pub(super) fn taken(facts: &Facts<'_>, through: Through) -> &'static str {
    match through {
        Through::Conductor(id) if facts.ground.resistance(id).is_ok() => {
            "how hot it gets there is not said: its copper taken at 20 °C and as warm as its insulation stands"
        }
        Through::Lead(_) => {
            "how hot it gets there is not said: its lead taken at 20 °C and as warm as it stands"
        }
        _ => "its resistance is not known: taken as none and as open",
    }
}
