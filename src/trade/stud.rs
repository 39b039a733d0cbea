//! Screw and stud sizes of the trade, in and out as text.
//!
//! Major diameters: numbered sizes by ASME B1.1 (`0.060 in + number x 0.013 in`), metric sizes by ISO 261 (the
//! nominal diameter).

use std::fmt;
use std::str::FromStr;

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::{Deserialize, Deserializer, Serialize, Serializer, de};

use crate::quantity::Length;

/// Name and major diameter in micrometres, smallest first.
const SIZES: [(&str, i64); 15] = [
    ("#4", 2845),
    ("M3", 3000),
    ("#6", 3505),
    ("M3.5", 3500),
    ("M4", 4000),
    ("#8", 4166),
    ("#10", 4826),
    ("M5", 5000),
    ("M6", 6000),
    ("1/4 in", 6350),
    ("5/16 in", 7938),
    ("M8", 8000),
    ("3/8 in", 9525),
    ("M10", 10000),
    ("1/2 in", 12700),
];

/// A screw or stud size. Two sizes are equal when they have the same name.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct StudSize(u8);

impl StudSize {
    /// The name, as it is written in a spec.
    pub fn name(self) -> &'static str {
        SIZES.get(usize::from(self.0)).map_or("", |s| s.0)
    }

    /// Major diameter.
    pub fn diameter(self) -> Length {
        Length::from_um(SIZES.get(usize::from(self.0)).map_or(0, |s| s.1))
    }
}

impl fmt::Display for StudSize {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

impl FromStr for StudSize {
    type Err = String;
    fn from_str(text: &str) -> Result<StudSize, String> {
        let plain =
            |s: &str| s.to_ascii_lowercase().replace([' ', '"'], "").trim_end_matches("in").to_owned();
        let wanted = plain(&text.replace("No.", "#"));
        SIZES
            .iter()
            .position(|(name, _)| plain(name) == wanted)
            .and_then(|i| u8::try_from(i).ok())
            .map(StudSize)
            .ok_or_else(|| {
                let names: Vec<&str> = SIZES.iter().map(|s| s.0).collect();
                format!("`{text}` is not a stud size; write one of {}", names.join(", "))
            })
    }
}

impl Serialize for StudSize {
    fn serialize<S: Serializer>(&self, s: S) -> Result<S::Ok, S::Error> {
        s.serialize_str(self.name())
    }
}

impl<'de> Deserialize<'de> for StudSize {
    fn deserialize<D: Deserializer<'de>>(d: D) -> Result<StudSize, D::Error> {
        String::deserialize(d)?.parse().map_err(de::Error::custom)
    }
}

impl JsonSchema for StudSize {
    fn schema_name() -> std::borrow::Cow<'static, str> {
        "StudSize".into()
    }
    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        let names: Vec<&str> = SIZES.iter().map(|s| s.0).collect();
        json_schema!({"type": "string", "enum": names, "description": "A screw or stud size."})
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reads_names_as_people_write_them() {
        for (text, name) in
            [("#10", "#10"), ("1/4\"", "1/4 in"), ("m6", "M6"), ("3/8in", "3/8 in"), ("No. 8", "#8")]
        {
            assert_eq!(text.parse::<StudSize>().map(StudSize::name), Ok(name), "{text}");
        }
        assert!("M7".parse::<StudSize>().is_err());
    }

    // ASME B1.1: nominal size of a numbered screw = 0.060 in + number x 0.013 in.
    #[test]
    fn numbered_sizes_follow_the_law() {
        for n in [4, 6, 8, 10] {
            let size: StudSize = format!("#{n}").parse().unwrap();
            let law = 25400.0 * (0.060 + 0.013 * f64::from(n));
            assert!((size.diameter().mm() * 1000.0 - law).abs() < 1.0, "#{n}");
        }
    }
}
