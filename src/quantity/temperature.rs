//! A temperature on the Celsius scale, and a difference of two.

use super::define::{plain_text, quantity};
use super::scale::{ANY, Print, Scale, Unit, print, ratio, unit};

const SCALE: Scale = Scale {
    noun: "a temperature",
    example: "120 °C",
    least: -273_150_000_000,
    most: 5_000_000_000_000,
    units: &[
        unit(&["°C", "C", "degC"], 1_000_000_000),
        // C = (F - 32) * 5 / 9
        Unit { names: &["°F", "F", "degF"], steps: 5_000_000_000, per: 9, zero: -160_000_000_000 },
        Unit { names: &["K"], steps: 1_000_000_000, per: 1, zero: -273_150_000_000 },
    ],
    metric: &[print(ANY, "°C", 1_000_000_000, 1)],
    inch: &[Print {
        below: ANY,
        unit: "°F",
        steps: 5_000_000_000,
        per: 9,
        zero: -160_000_000_000,
        places: 1,
    }],
};

quantity! {
    /// A temperature, in whole nanodegrees Celsius.
    Temperature, SCALE, 1e9, "a temperature with its unit: °C or C, °F or F, K",
    /// From degrees Celsius.
    from_celsius, try_from_celsius,
    /// In degrees Celsius.
    celsius
}
plain_text!(Temperature, SCALE);

impl Temperature {
    /// How much warmer this is than `other`.
    pub fn above(self, other: Temperature) -> TemperatureDifference {
        TemperatureDifference(self.0.saturating_sub(other.0))
    }

    /// In degrees Fahrenheit.
    pub fn fahrenheit(self) -> f64 {
        self.celsius() * 1.8 + 32.0
    }

    /// Warmer by `rise`.
    pub fn plus(self, rise: TemperatureDifference) -> Temperature {
        Temperature(self.0.saturating_add(rise.0))
    }
}

const DIFFERENCE: Scale = Scale {
    noun: "a temperature difference",
    example: "25 °C",
    least: -5_000_000_000_000,
    most: 5_000_000_000_000,
    units: &[
        unit(&["°C", "C", "degC"], 1_000_000_000),
        ratio(&["°F", "F", "degF"], 5_000_000_000, 9),
        unit(&["K"], 1_000_000_000),
    ],
    metric: &[print(ANY, "°C", 1_000_000_000, 1)],
    inch: &[Print { below: ANY, unit: "°F", steps: 5_000_000_000, per: 9, zero: 0, places: 1 }],
};

quantity! {
    /// How far two temperatures lie apart, in whole nanodegrees Celsius.
    TemperatureDifference, DIFFERENCE, 1e9, "a temperature difference with its unit: °C, °F or K",
    /// From degrees Celsius (the same as kelvins for a difference).
    from_celsius, try_from_celsius,
    /// In degrees Celsius.
    celsius
}
plain_text!(TemperatureDifference, DIFFERENCE);

impl TemperatureDifference {
    /// In degrees Fahrenheit.
    pub fn fahrenheit(self) -> f64 {
        self.celsius() * 1.8
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Units;
    super::super::define::round_trip!(Temperature, SCALE);

    #[test]
    fn reads_three_scales() {
        for text in ["100 °C", "100C", "212 °F", "212 F", "373.15 K", "100 ℃"] {
            assert_eq!(text.parse(), Ok(Temperature::from_celsius(100.0)), "{text}");
        }
        assert_eq!("-40 F".parse(), Ok(Temperature::from_celsius(-40.0)));
        assert!("-300 °C".parse::<Temperature>().unwrap_err().remedy.contains("-273.15 °C"));
    }

    #[test]
    fn shows_either_scale() {
        let hot = Temperature::from_celsius(180.0);
        assert_eq!((hot.show(Units::Metric), hot.show(Units::Inch)), ("180 °C".into(), "356 °F".into()));
        let rise = hot.above(Temperature::from_celsius(100.0));
        assert_eq!((rise.to_string(), rise.show(Units::Inch)), ("80 °C".into(), "144 °F".into()));
        assert_eq!("9 °F".parse(), Ok(TemperatureDifference::from_celsius(5.0)));
        // 0 °C is 32 °F, and a kelvin is 1.8 degrees Fahrenheit (NIST SP 811, appendix B.8).
        assert_eq!(
            (Temperature::ZERO.fahrenheit(), Temperature::from_celsius(-40.0).fahrenheit()),
            (32.0, -40.0)
        );
        assert_eq!(TemperatureDifference::from_celsius(-5.0).fahrenheit(), -9.0);
    }
}
