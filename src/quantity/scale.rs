//! A quantity's units as data; reading a text into whole steps and printing steps back.

use super::error::QuantityError;
use super::number::{Number, decimals, divide, normalise, take_decimal};
use super::units::Units;

/// A unit that may be written. A number `x` of it is `(x * steps + zero) / per` steps, exactly.
pub(super) struct Unit {
    /// Spellings; the first one is shown in remedies.
    pub names: &'static [&'static str],
    pub steps: i128,
    pub per: i128,
    /// Where the unit's zero lies, in `1 / per` steps: only temperatures need it.
    pub zero: i128,
}

/// A unit that is printed, for values below `below` steps (either sign).
pub(super) struct Print {
    pub below: i128,
    pub unit: &'static str,
    pub steps: i128,
    pub per: i128,
    pub zero: i128,
    /// Decimals for people.
    pub places: u32,
}

/// What one kind of quantity reads and prints.
pub(super) struct Scale {
    /// With its article: `a voltage`.
    pub noun: &'static str,
    pub example: &'static str,
    pub least: i64,
    pub most: i64,
    /// The first one is suggested where a unit is missing.
    pub units: &'static [Unit],
    /// Ascending `below`; each must hold a power of ten steps, because the canonical text is exact.
    pub metric: &'static [Print],
    pub inch: &'static [Print],
}

/// A unit of `steps` steps.
pub(super) const fn unit(names: &'static [&'static str], steps: i128) -> Unit {
    Unit { names, steps, per: 1, zero: 0 }
}

/// A unit of `steps / per` steps.
pub(super) const fn ratio(names: &'static [&'static str], steps: i128, per: i128) -> Unit {
    Unit { names, steps, per, zero: 0 }
}

/// Prints with this unit below `below` steps.
pub(super) const fn print(below: i128, unit: &'static str, steps: i128, places: u32) -> Print {
    Print { below, unit, steps, per: 1, zero: 0, places }
}

/// Every value that is left.
pub(super) const ANY: i128 = i128::MAX;

impl Scale {
    pub fn read(&self, text: &str) -> Result<i64, QuantityError> {
        let clean = normalise(text);
        refuse_comma(text, self.example)?;
        let Some((number, rest)) = take_decimal(&clean) else { return Err(self.no_number(text)) };
        let name = rest.trim();
        let unit = self.unit(name).ok_or_else(|| self.wrong_unit(text, &clean, name))?;
        self.within(text, steps_of(number, unit))
    }

    pub fn unit(&self, name: &str) -> Option<&'static Unit> {
        self.units.iter().find(|u| u.names.contains(&name))
    }

    /// Refuses what is out of range; `None` is a value too large to hold.
    pub fn within(&self, text: &str, steps: Option<i128>) -> Result<i64, QuantityError> {
        let steps = steps.and_then(|s| i64::try_from(s).ok());
        match steps {
            Some(s) if (self.least..=self.most).contains(&s) => Ok(s),
            Some(s) if s < 0 && self.least >= 0 => Err(QuantityError::new(
                format!("`{text}` is negative"),
                format!("{} here is zero or more: write it without the minus sign", self.noun),
            )),
            _ => Err(QuantityError::new(
                format!("`{text}` is out of range"),
                format!(
                    "write {} between {} and {}",
                    self.noun,
                    self.canonical(self.least),
                    self.canonical(self.most)
                ),
            )),
        }
    }

    /// The exact text, which reads back to the same steps.
    pub fn canonical(&self, steps: i64) -> String {
        let Some(print) = choose(self.metric, steps) else { return String::new() };
        let places = u32::try_from(print.steps.to_string().len() - 1).unwrap_or(0);
        format!("{} {}", decimals(i128::from(steps), places), print.unit)
    }

    /// The rounded text for people.
    pub fn shown(&self, steps: i64, units: Units) -> String {
        let prints = match units {
            Units::Metric => self.metric,
            Units::Inch => self.inch,
        };
        let Some(p) = choose(prints, steps) else { return self.canonical(steps) };
        let fine = (i128::from(steps) * p.per - p.zero) * 10_i128.pow(p.places);
        match divide(fine, p.steps) {
            Some(value) => format!("{} {}", decimals(value, p.places), p.unit),
            None => self.canonical(steps),
        }
    }

    pub fn no_number(&self, text: &str) -> QuantityError {
        QuantityError::new(
            format!("`{text}` does not start with a plain number"),
            format!("write {} as in `{}`", self.noun, self.example),
        )
    }

    pub fn wrong_unit(&self, text: &str, clean: &str, name: &str) -> QuantityError {
        if name.is_empty() {
            let unit = self.units.first().and_then(|u| u.names.first()).copied().unwrap_or_default();
            return QuantityError::new(
                format!("`{text}` has no unit"),
                format!("write it as `{clean} {unit}` if that is what is meant"),
            );
        }
        let known: Vec<&str> = self.units.iter().filter_map(|u| u.names.first().copied()).collect();
        let noun = self.noun.split_once(' ').map_or(self.noun, |(_, n)| n);
        QuantityError::new(
            format!("`{name}` in `{text}` is not a unit of {noun}"),
            format!("write it with one of {}, as in `{}`", known.join(", "), self.example),
        )
    }
}

/// Steps of `number` of `unit`, rounded to the nearest; None on overflow.
pub(super) fn steps_of(number: Number, unit: &Unit) -> Option<i128> {
    let scaled = number.num.checked_mul(unit.steps)?;
    let moved = scaled.checked_add(unit.zero.checked_mul(number.den)?)?;
    divide(moved, number.den.checked_mul(unit.per)?)
}

/// Steps nearest to `value * steps_per_one`, held at the ends of the range; None for NaN.
pub(super) fn from_float(value: f64, steps_per_one: f64) -> Option<i64> {
    let steps = (value * steps_per_one).round();
    // `as` saturates, which is what is wanted for infinities and overflow.
    (!steps.is_nan()).then_some(steps as i64)
}

pub(super) fn refuse_comma(text: &str, example: &str) -> Result<(), QuantityError> {
    if !text.contains(',') {
        return Ok(());
    }
    Err(QuantityError::new(
        format!("`{text}` has a comma in its number"),
        format!("write decimals with a point and thousands without a mark, as in `{example}`"),
    ))
}

fn choose(prints: &[Print], steps: i64) -> Option<&Print> {
    prints.iter().find(|p| i128::from(steps).abs() < p.below)
}
