//! What a rule about the ground network says where something in it is not known.

use super::Facts;
use crate::graph::{Through, Unsure};
use crate::quantity::{Units, Voltage};

/// A voltage in three figures, without its sign: what lies below a tenth of a millivolt is nothing to a mechanic, and what
/// lies above a kilovolt nothing that a harness has: something is insulated that should not be.
pub(super) fn size(volts: Voltage, units: Units) -> String {
    let size = volts.abs().volts();
    if size > 1000.0 {
        return "over 1 kV".to_owned();
    }
    let step = match size {
        s if s >= 1.0 => 0.01,
        s if s >= 0.1 => 0.001,
        _ => 0.000_1,
    };
    Voltage::from_volts((size / step).round() * step).show(units)
}

/// A voltage that is added to an emf, without its sign: whole microvolts where there are few of them.
pub(super) fn probe_volts(volts: Voltage, units: Units) -> String {
    match volts.abs().millivolts() {
        few if few < 10.0 => format!("{:.0} µV", few * 1e3),
        _ => size(volts, units),
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
        Unsure::Current(bond) => {
            let b = h.bond(bond);
            let key = if b.carries.is_some() { "cranking" } else { "carries" };
            format!("what flows through the bond `{}` is not given (`{key}:`)", b.name)
        }
    }
}
