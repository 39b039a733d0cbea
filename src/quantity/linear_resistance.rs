//! Resistance for each metre of wire.

use super::define::{plain_text, quantity};
use super::scale::{ANY, Print, Scale, print, ratio, unit};

const SCALE: Scale = Scale {
    noun: "a resistance per length",
    example: "53.1 mΩ/m",
    least: 0,
    most: 1_000_000_000_000_000_000,
    units: &[
        unit(&["Ω/m", "ohm/m"], 1_000_000_000_000),
        unit(&["mΩ/m", "mohm/m", "Ω/km", "ohm/km"], 1_000_000_000),
        ratio(&["Ω/ft", "ohm/ft"], 10_000_000_000_000_000, 3_048),
        ratio(&["Ω/1000ft", "Ω/1000 ft", "ohm/1000ft", "ohm/1000 ft"], 10_000_000_000_000, 3_048),
    ],
    metric: &[print(1_000_000_000_000, "mΩ/m", 1_000_000_000, 2), print(ANY, "Ω/m", 1_000_000_000_000, 3)],
    inch: &[Print {
        below: ANY,
        unit: "Ω/1000ft",
        steps: 10_000_000_000_000,
        per: 3_048,
        zero: 0,
        places: 2,
    }],
};

quantity! {
    /// Resistance of a metre of wire, in whole pico-ohms per metre.
    LinearResistance, SCALE, 1e12, "a resistance per length with its unit: Ω/m, mΩ/m, Ω/km, Ω/ft or Ω/1000ft",
    /// From ohms per metre.
    from_ohms_per_metre, try_from_ohms_per_metre,
    /// In ohms per metre.
    ohms_per_metre
}
plain_text!(LinearResistance, SCALE);

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Units;
    super::super::define::round_trip!(LinearResistance, SCALE);

    #[test]
    fn reads_feet_and_metres() {
        let twenty: LinearResistance = "9.88 Ω/1000ft".parse().unwrap();
        assert_eq!(
            (twenty.show(Units::Metric), twenty.show(Units::Inch)),
            ("32.41 mΩ/m".into(), "9.88 Ω/1000ft".into())
        );
        assert_eq!("0.00988 ohm/ft".parse(), Ok(twenty));
    }
}
