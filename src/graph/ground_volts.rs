//! A voltage of the ground network in; whether there can be such a one, out.

use crate::harness::Harness;
use crate::quantity::Voltage;

/// A supply and the drops of the harness's own loads add up to a little more than the supply.
const WITH_LOADS: f64 = 1.05;

/// Where the spec gives no supply: what no harness has. Common practice, no source.
const MOST: f64 = 1000.0;

/// What a voltage is more than, where it cannot be. The currents of loads are given, so over insulation the law gives any
/// number of volts, and none of them is ever there: nothing drives more than the supply does. None where it can be.
pub fn beyond(h: &Harness, volts: Voltage) -> Option<String> {
    match h.header.supply.map(|supply| supply.value) {
        Some(supply) => (volts.abs() > supply * WITH_LOADS)
            .then(|| format!("more than the {} of the supply", supply.show(h.header.units))),
        None => (volts.abs() > Voltage::from_volts(MOST)).then(|| "more than 1 kV".to_owned()),
    }
}
