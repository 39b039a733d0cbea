//! Pressure.

use super::define::{plain_text, quantity};
use super::scale::{ANY, Print, Scale, print, ratio, unit};

/// Steps of one psi: 6.894757293168 kPa (lbf and in² are both exact; this is rounded at the twelfth decimal).
const PSI: (i128, i128) = (6_894_757_293_168, 1_000);

const SCALE: Scale = Scale {
    noun: "a pressure",
    example: "60 psi",
    least: -1_000_000_000_000,
    most: 1_000_000_000_000_000,
    units: &[
        ratio(&["psi"], PSI.0, PSI.1),
        unit(&["kPa"], 1_000_000_000),
        unit(&["bar"], 100_000_000_000),
        unit(&["mbar", "hPa"], 100_000_000),
        unit(&["MPa"], 1_000_000_000_000),
    ],
    metric: &[print(ANY, "kPa", 1_000_000_000, 1)],
    inch: &[Print { below: ANY, unit: "psi", steps: PSI.0, per: PSI.1, zero: 0, places: 1 }],
};

quantity! {
    /// A pressure, in whole micropascals; gauge or absolute as the sender reads it.
    Pressure, SCALE, 1e9, "a pressure with its unit: psi, kPa, bar, mbar, hPa or MPa",
    /// From kilopascals.
    from_kilopascals, try_from_kilopascals,
    /// In kilopascals.
    kilopascals
}
plain_text!(Pressure, SCALE);

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Units;
    super::super::define::round_trip!(Pressure, SCALE);

    #[test]
    fn reads_and_shows_psi() {
        let oil: Pressure = "60 psi".parse().unwrap();
        assert_eq!((oil.show(Units::Metric), oil.show(Units::Inch)), ("413.7 kPa".into(), "60 psi".into()));
        assert_eq!("1 bar".parse(), Ok(Pressure::from_kilopascals(100.0)));
    }
}
