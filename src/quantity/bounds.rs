//! A range of a quantity, both ends included: `24..20 AWG`, `0.9..1.8 mm`, or one value alone.

use std::borrow::Cow;
use std::fmt;
use std::marker::PhantomData;
use std::str::FromStr;

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::de::{Error, Visitor};
use serde::{Deserialize, Deserializer, Serialize, Serializer};

use super::error::QuantityError;
use super::text_form::Quantity;

/// From `low` to `high`, both included; sorted by value, whatever order they were written in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Bounds<T> {
    low: T,
    high: T,
}

impl<T: Copy + PartialOrd> Bounds<T> {
    /// The range that has these two ends, in either order.
    pub fn new(a: T, b: T) -> Bounds<T> {
        if b < a { Bounds { low: b, high: a } } else { Bounds { low: a, high: b } }
    }

    /// The lesser end (for gauges: the thinner conductor).
    pub fn low(self) -> T {
        self.low
    }

    /// The greater end.
    pub fn high(self) -> T {
        self.high
    }

    /// True for the ends and everything between them.
    pub fn contains(self, value: T) -> bool {
        self.low <= value && value <= self.high
    }
}

impl<T: Quantity + Copy + PartialOrd> FromStr for Bounds<T> {
    type Err = QuantityError;

    fn from_str(text: &str) -> Result<Bounds<T>, QuantityError> {
        let Some((left, right)) = text.split_once("..") else {
            return match text.parse::<T>() {
                Ok(one) => Ok(Bounds::new(one, one)),
                Err(error) => Err(dash_error::<T>(text).unwrap_or(error)),
            };
        };
        let (left, right) = (left.trim(), right.trim());
        let a = match left.parse::<T>() {
            Ok(value) => value,
            // `0.9..1.8 mm`: the unit stands once, behind both.
            Err(error) => match unit_behind(right) {
                Some(unit) if is_bare(left) => format!("{left} {unit}").parse::<T>()?,
                _ => return Err(error),
            },
        };
        let b = match right.parse::<T>() {
            Ok(value) => value,
            // `AWG 24..20`: the unit stands once, before both.
            Err(error) => match unit_before(left) {
                Some(unit) if is_bare(right) => format!("{unit} {right}").parse::<T>()?,
                _ => return Err(error),
            },
        };
        Ok(Bounds::new(a, b))
    }
}

/// True for a number without a unit.
fn is_bare(text: &str) -> bool {
    !text.is_empty() && text.chars().all(|c| c.is_ascii_digit() || "+-−./ ".contains(c))
}

/// The unit behind the one number of `text`; None where a second number follows (`4 ft 6 in`).
fn unit_behind(text: &str) -> Option<&str> {
    let start = text.find(|c: char| !(c.is_ascii_digit() || "+-−./ ".contains(c)))?;
    let unit = text.get(start..)?;
    let stem = unit.trim_end_matches('2');
    (!stem.contains(|c: char| c.is_ascii_digit())).then_some(unit)
}

fn unit_before(text: &str) -> Option<&str> {
    let end = text.find(|c: char| !c.is_ascii_alphabetic())?;
    text.get(..end).filter(|unit| !unit.is_empty())
}

/// `0.9-1.8 mm` and `0.9 to 1.8 mm` are understood well enough to say what to write.
fn dash_error<T: Quantity>(text: &str) -> Option<QuantityError> {
    let (left, right) = ["–", "—", " to ", "-"].iter().find_map(|mark| text.split_once(mark))?;
    let (left, right) = (left.trim(), right.trim());
    (is_bare(left) || left.parse::<T>().is_ok()).then(|| {
        QuantityError::new(format!("`{text}` is not a range"), format!("write it as `{left}..{right}`"))
    })
}

impl<T: fmt::Display + PartialEq> fmt::Display for Bounds<T> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let high = self.high.to_string();
        if self.low == self.high {
            return f.pad(&high);
        }
        let low = self.low.to_string();
        let shared = match (low.split_once(' '), high.split_once(' ')) {
            (Some((number, a)), Some((_, b))) if a == b => number,
            _ => &low,
        };
        f.pad(&format!("{shared}..{high}"))
    }
}

impl<T: fmt::Display + PartialEq> Serialize for Bounds<T> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl<'de, T: Quantity + Copy + PartialOrd> Deserialize<'de> for Bounds<T> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Bounds<T>, D::Error> {
        deserializer.deserialize_any(BoundsVisitor(PhantomData))
    }
}

struct BoundsVisitor<T>(PhantomData<T>);

impl<T: Quantity + Copy + PartialOrd> BoundsVisitor<T> {
    fn bare<E: Error>(n: impl fmt::Display) -> Result<Bounds<T>, E> {
        n.to_string().parse().map_err(E::custom)
    }
}

impl<T: Quantity + Copy + PartialOrd> Visitor<'_> for BoundsVisitor<T> {
    type Value = Bounds<T>;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} or a range of it as text, as in `{}`", T::NOUN, T::EXAMPLE)
    }

    fn visit_str<E: Error>(self, text: &str) -> Result<Bounds<T>, E> {
        text.parse().map_err(E::custom)
    }

    fn visit_i64<E: Error>(self, n: i64) -> Result<Bounds<T>, E> {
        Self::bare(n)
    }

    fn visit_u64<E: Error>(self, n: u64) -> Result<Bounds<T>, E> {
        Self::bare(n)
    }

    fn visit_f64<E: Error>(self, n: f64) -> Result<Bounds<T>, E> {
        Self::bare(n)
    }
}

impl<T: Quantity> JsonSchema for Bounds<T> {
    fn schema_name() -> Cow<'static, str> {
        let noun = T::NOUN.split_once(' ').map_or(T::NOUN, |(_, noun)| noun);
        format!("range of {noun}").replace(' ', "-").into()
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({
            "type": "string",
            "description": format!("{}, or a range of it written low..high", T::DESCRIPTION),
            "examples": [T::EXAMPLE],
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::{Gauge, Length, Temperature};
    use proptest::prelude::*;

    #[test]
    fn reads_ranges_in_either_order() {
        let wire: Bounds<Gauge> = "24..20 AWG".parse().unwrap();
        assert_eq!((wire.low(), wire.high()), (Gauge::Awg(24), Gauge::Awg(20)));
        for text in ["20..24 AWG", "AWG 24..20", "24 AWG .. 20 AWG", "AWG 24..AWG 20"] {
            assert_eq!(text.parse(), Ok(wire), "{text}");
        }
        assert!(
            wire.contains(Gauge::Awg(22)) && wire.contains(Gauge::Awg(20)) && !wire.contains(Gauge::Awg(18))
        );
        assert_eq!(wire.to_string(), "24..20 AWG");
        let seal: Bounds<Length> = "0.9..1.8 mm".parse().unwrap();
        assert_eq!(seal, Bounds::new(Length::from_mm(1.8), Length::from_mm(0.9)));
        assert_eq!("24 AWG".parse(), Ok(Bounds::new(Gauge::Awg(24), Gauge::Awg(24))));
        assert_eq!("-40..125 °C".parse::<Bounds<Temperature>>().unwrap().to_string(), "-40..125 °C");
        assert_eq!("0.5..1 mm2".parse::<Bounds<Gauge>>().unwrap().to_string(), "0.5..1 mm²");
    }

    #[test]
    fn refuses_half_ranges_and_dashes() {
        for bad in ["0.9..", "..1.8 mm", "0.9..1.8", "1..2 ft 6 in", "0.9..1.8 V", "1..2..3 mm", "..", ""] {
            assert!(bad.parse::<Bounds<Length>>().is_err(), "{bad}");
        }
        let dash = "0.9-1.8 mm".parse::<Bounds<Length>>().unwrap_err();
        assert_eq!(dash.remedy, "write it as `0.9..1.8 mm`");
        assert!(serde_yaml::from_str::<Bounds<Length>>("5").unwrap_err().to_string().contains("has no unit"));
    }

    proptest! {
        #[test]
        fn any_range_reads_back(a in 0_i64..10_000_000_000, b in 0_i64..10_000_000_000, m in -3_i8..=40, n in -3_i8..=40) {
            let lengths = Bounds::new(Length::from_um(a), Length::from_um(b));
            prop_assert_eq!(lengths.to_string().parse(), Ok(lengths));
            let gauges = Bounds::new(Gauge::Awg(m), Gauge::Awg(n));
            prop_assert_eq!(gauges.to_string().parse(), Ok(gauges));
        }
    }
}
