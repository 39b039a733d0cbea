//! What a rule about the ground network says where something in it is not known.

use super::Facts;
use crate::graph::ground_volts::beyond;
use crate::graph::{Through, Unsure};
use crate::harness::Harness;
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
        Unsure::Resistance(Through::Conductor(id)) => {
            format!(
                "the resistance of wire `{}` is not known: it has no path, or is not of copper",
                h.conductor(id).mark
            )
        }
        Unsure::Resistance(_) => "a resistance on the way is not known".to_owned(),
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
