//! Mass, and mass for each metre of wire.

use super::define::{plain_text, quantity};
use super::scale::{ANY, Print, Scale, print, ratio, unit};

const SCALE: Scale = Scale {
    noun: "a mass",
    example: "250 g",
    least: 0,
    most: 1_000_000_000_000_000_000,
    units: &[
        unit(&["g"], 1_000_000_000),
        unit(&["kg"], 1_000_000_000_000),
        unit(&["mg"], 1_000_000),
        // International pound, 0.45359237 kg exactly.
        unit(&["lb", "lbs"], 453_592_370_000),
        ratio(&["oz"], 453_592_370_000, 16),
    ],
    metric: &[print(1_000_000_000_000, "g", 1_000_000_000, 1), print(ANY, "kg", 1_000_000_000_000, 3)],
    inch: &[Print { below: ANY, unit: "lb", steps: 453_592_370_000, per: 1, zero: 0, places: 3 }],
};

quantity! {
    /// A mass, in whole nanograms.
    Mass, SCALE, 1e9, "a mass with its unit: g, kg, mg, lb or oz",
    /// From grams.
    from_grams, try_from_grams,
    /// In grams.
    grams
}
plain_text!(Mass, SCALE);

/// Grams in an international pound, exactly.
const POUND: f64 = 453.592_37;

impl Mass {
    /// In international pounds.
    pub fn pounds(self) -> f64 {
        self.grams() / POUND
    }
}

const LINEAR: Scale = Scale {
    noun: "a mass per length",
    example: "7.4 g/m",
    least: 0,
    most: 1_000_000_000_000_000,
    units: &[
        unit(&["g/m", "kg/km"], 1_000_000_000),
        unit(&["kg/m"], 1_000_000_000_000),
        // 453.59237 g over 304.8 m
        ratio(&["lb/1000ft", "lb/1000 ft", "lb/kft"], 4_535_923_700_000, 3_048),
    ],
    metric: &[print(ANY, "g/m", 1_000_000_000, 2)],
    inch: &[Print {
        below: ANY,
        unit: "lb/1000ft",
        steps: 4_535_923_700_000,
        per: 3_048,
        zero: 0,
        places: 2,
    }],
};

quantity! {
    /// Mass of a metre of wire, in whole nanograms per metre.
    LinearMass, LINEAR, 1e9, "a mass per length with its unit: g/m, kg/km, kg/m or lb/1000ft",
    /// From grams per metre.
    from_grams_per_metre, try_from_grams_per_metre,
    /// In grams per metre.
    grams_per_metre
}
plain_text!(LinearMass, LINEAR);

impl LinearMass {
    /// From pounds in a thousand feet (304.8 m).
    pub fn from_pounds_per_1000_ft(value: f64) -> LinearMass {
        LinearMass::from_grams_per_metre(value * POUND / 304.8)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Units;
    super::super::define::round_trip!(LinearMass, LINEAR);

    #[test]
    fn reads_pounds_and_grams() {
        assert_eq!("1 lb".parse(), Ok(Mass::from_grams(453.59237)));
        assert_eq!("2 lb".parse::<Mass>().map(Mass::pounds), Ok(2.0));
        assert_eq!("5 lb/1000ft".parse(), Ok(LinearMass::from_pounds_per_1000_ft(5.0)));
        assert_eq!("16 oz".parse::<Mass>(), "1 lb".parse());
        assert_eq!(Mass::from_grams(1250.0).to_string(), "1.25 kg");
        let wire: LinearMass = "5 lb/1000ft".parse().unwrap();
        assert_eq!(
            (wire.show(Units::Metric), wire.show(Units::Inch)),
            ("7.44 g/m".into(), "5 lb/1000ft".into())
        );
    }
}
