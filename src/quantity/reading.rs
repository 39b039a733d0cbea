//! What an indicator shows: a number with the unit that is written on its face.

use std::fmt;
use std::str::FromStr;

use super::error::QuantityError;
use super::number::{decimals, divide, normalise, take_decimal};
use super::scale::refuse_comma;
use super::text_form::{Quantity, text_form};

/// Steps of one unit.
const STEPS: i128 = 1_000_000;
/// More than any face shows.
const MOST: i64 = 1_000_000_000_000_000;

/// A unit on the face of an indicator.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum ReadingUnit {
    /// Pounds-force on the square inch.
    Psi,
    /// Bar.
    Bar,
    /// Kilopascal.
    Kilopascal,
    /// Inches of mercury.
    InchOfMercury,
    /// Degrees Celsius.
    Celsius,
    /// Degrees Fahrenheit.
    Fahrenheit,
    /// US gallons in an hour.
    GallonPerHour,
    /// Litres in an hour.
    LitrePerHour,
    /// US gallons.
    Gallon,
    /// Litres.
    Litre,
    /// Turns in a minute.
    Rpm,
    /// Percent of full.
    Percent,
    /// Amperes.
    Ampere,
    /// Volts.
    Volt,
}

/// Spellings of each unit; the first one is printed.
const UNITS: [(ReadingUnit, &[&str]); 14] = [
    (ReadingUnit::Psi, &["psi"]),
    (ReadingUnit::Bar, &["bar"]),
    (ReadingUnit::Kilopascal, &["kPa"]),
    (ReadingUnit::InchOfMercury, &["inHg"]),
    (ReadingUnit::Celsius, &["°C", "C", "degC"]),
    (ReadingUnit::Fahrenheit, &["°F", "F", "degF"]),
    (ReadingUnit::GallonPerHour, &["gal/h"]),
    (ReadingUnit::LitrePerHour, &["L/h", "l/h"]),
    (ReadingUnit::Gallon, &["gal"]),
    (ReadingUnit::Litre, &["L", "l"]),
    (ReadingUnit::Rpm, &["rpm", "1/min"]),
    (ReadingUnit::Percent, &["%", "percent"]),
    (ReadingUnit::Ampere, &["A"]),
    (ReadingUnit::Volt, &["V"]),
];

impl ReadingUnit {
    /// As it is printed.
    pub fn word(self) -> &'static str {
        UNITS
            .iter()
            .find(|(unit, _)| *unit == self)
            .and_then(|(_, names)| names.first())
            .copied()
            .unwrap_or("")
    }
}

/// A reading, in whole millionths of its unit. Readings in different units are different, whatever they mean.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Reading {
    steps: i64,
    unit: ReadingUnit,
}

impl Reading {
    /// A number of units; None where it is not finite.
    pub fn try_new(value: f64, unit: ReadingUnit) -> Option<Reading> {
        let most = MOST as f64;
        let held = (value * STEPS as f64).round().clamp(-most, most);
        value.is_finite().then_some(Reading { steps: held as i64, unit })
    }

    /// The number before the unit.
    pub fn value(self) -> f64 {
        self.steps as f64 / STEPS as f64
    }

    /// The unit.
    pub fn unit(self) -> ReadingUnit {
        self.unit
    }

    /// Without its sign.
    pub fn abs(self) -> Reading {
        Reading { steps: self.steps.saturating_abs(), ..self }
    }

    /// Rounded for people: three figures, and no fewer than the whole units.
    pub fn show(self) -> String {
        let size = self.value().abs();
        let places = match size {
            s if s >= 99.95 => 0,
            s if s >= 9.995 => 1,
            s if s >= 0.9995 => 2,
            _ => 3,
        };
        let coarse = STEPS / 10_i128.pow(places);
        let rounded = divide(i128::from(self.steps), coarse).unwrap_or(0);
        format!("{} {}", decimals(rounded, places), self.unit.word())
    }
}

impl fmt::Display for Reading {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&format!("{} {}", decimals(i128::from(self.steps), 6), self.unit.word()))
    }
}

impl Quantity for Reading {
    const NOUN: &'static str = "a reading";
    const EXAMPLE: &'static str = "60 psi";
    const DESCRIPTION: &'static str = "a reading with the unit on the face of the indicator: psi, bar, kPa, inHg, \
         °C, °F, gal/h, L/h, gal, L, rpm, %, A, V";
}

impl FromStr for Reading {
    type Err = QuantityError;
    fn from_str(text: &str) -> Result<Reading, QuantityError> {
        let clean = normalise(text);
        refuse_comma(text, Self::EXAMPLE)?;
        let Some((number, rest)) = take_decimal(&clean) else {
            return Err(QuantityError::new(
                format!("`{text}` does not start with a plain number"),
                format!("write a reading as in `{}`", Self::EXAMPLE),
            ));
        };
        let name = rest.trim();
        let found = UNITS.iter().find(|(_, names)| names.contains(&name)).map(|(unit, _)| *unit);
        let Some(unit) = found else {
            let known: Vec<&str> = UNITS.iter().map(|(unit, _)| unit.word()).collect();
            let message = match name {
                "" => format!("`{text}` has no unit"),
                name => format!("`{name}` in `{text}` is not a unit that an indicator shows"),
            };
            let remedy = format!("write it with one of {}, as in `{}`", known.join(", "), Self::EXAMPLE);
            return Err(QuantityError::new(message, remedy));
        };
        let steps = number.num.checked_mul(STEPS).and_then(|n| divide(n, number.den));
        match steps.and_then(|s| i64::try_from(s).ok()).filter(|s| s.abs() <= MOST) {
            Some(steps) => Ok(Reading { steps, unit }),
            None => Err(QuantityError::new(
                format!("`{text}` is out of range"),
                "write what the indicator can show".to_owned(),
            )),
        }
    }
}

text_form!(Reading);

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn reads_what_faces_show() {
        let psi = "60 psi".parse::<Reading>().unwrap();
        assert_eq!((psi.value(), psi.unit()), (60.0, ReadingUnit::Psi));
        assert_eq!("12.5 gal/h".parse::<Reading>().unwrap().to_string(), "12.5 gal/h");
        assert_eq!("-40 C".parse::<Reading>().unwrap().to_string(), "-40 °C");
        for bad in ["60", "60 furlong", "x psi", "1,5 bar", "99999999999999999 psi"] {
            assert!(bad.parse::<Reading>().is_err(), "{bad}");
        }
    }

    #[test]
    fn shows_three_figures() {
        let show = |value: f64| Reading::try_new(value, ReadingUnit::Psi).unwrap().show();
        assert_eq!(
            [show(4.2049), show(123.4), show(-0.01234), show(12.345)],
            ["4.2 psi", "123 psi", "-0.012 psi", "12.3 psi"]
        );
        assert_eq!(Reading::try_new(f64::NAN, ReadingUnit::Psi), None);
    }

    proptest! {
        #[test]
        fn canonical_text_reads_back(steps in -MOST..=MOST, unit in 0..UNITS.len()) {
            let reading = Reading { steps, unit: UNITS[unit].0 };
            prop_assert_eq!(reading.to_string().parse::<Reading>(), Ok(reading));
        }

        #[test]
        fn no_text_panics(text in ".{0,24}") {
            let _ = text.parse::<Reading>();
        }
    }
}
