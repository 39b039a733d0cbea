//! The fixed words of the spec language, and the small values that may be written in two ways.

use std::borrow::Borrow;
use std::fmt;

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::{Deserialize, Deserializer, Serialize, Serializer, de};

/// What a conducting body is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum BodyKind {
    /// The engine block: where senders are grounded through their threads.
    Engine,
    /// Airframe, hull, chassis.
    Structure,
    /// Ground of radios and other electronics.
    Avionics,
}

/// Something near a run or in a zone that wires are kept away from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Hazard {
    /// Fuel lines, tanks, pumps.
    Fuel,
    /// Oil lines and coolers.
    Oil,
    /// Oxygen lines and bottles.
    Oxygen,
    /// Exhaust pipes, turbochargers.
    Exhaust,
    /// Magnetos, ignition leads, coils.
    Ignition,
    /// Alternator and starter cables.
    Charging,
    /// Bilge, spray, condensation.
    Water,
    /// Belts, shafts, control cables.
    MovingParts,
}

impl Hazard {
    /// The word, as it is read aloud.
    pub fn words(self) -> &'static str {
        match self {
            Hazard::Fuel => "fuel",
            Hazard::Oil => "oil",
            Hazard::Oxygen => "oxygen",
            Hazard::Exhaust => "exhaust",
            Hazard::Ignition => "ignition",
            Hazard::Charging => "charging",
            Hazard::Water => "water",
            Hazard::MovingParts => "moving parts",
        }
    }
}

/// Whether splices may lie in a zone.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum SplicePolicy {
    /// They may.
    #[default]
    Allowed,
    /// They may not.
    Forbidden,
}

/// How the ends that go through a hole are fed through it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum FedEnds {
    /// With terminals and shells on: the harness arrives made up.
    Finished,
    /// Bare; terminals and shells are put on afterwards.
    Bare,
}

/// What became of the gauge that a sender served before.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum OldGauge {
    /// Its wire is still on the sender.
    Connected,
    /// Its wire is off the sender.
    Removed,
    /// There never was one: the sender is new.
    None,
}

/// What a circuit is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum CircuitKind {
    /// A thermocouple pair.
    Thermocouple,
    /// A sender, transducer or pick-up.
    Signal,
    /// Power to a load.
    Power,
    /// A ground or return to a body.
    Ground,
    /// A lamp or other warning.
    Warning,
}

/// A name that YAML may read as a number: cavity `7`, revision `2`. Kept as the text that stands in the file.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Label(pub String);

impl fmt::Display for Label {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

// A label hashes, compares and orders as its text does, so maps of labels can be asked with a plain text.
impl Borrow<str> for Label {
    fn borrow(&self) -> &str {
        &self.0
    }
}

impl Serialize for Label {
    fn serialize<S: Serializer>(&self, s: S) -> Result<S::Ok, S::Error> {
        s.serialize_str(&self.0)
    }
}

struct LabelVisitor;

impl de::Visitor<'_> for LabelVisitor {
    type Value = Label;
    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a name or a whole number")
    }
    fn visit_str<E: de::Error>(self, v: &str) -> Result<Label, E> {
        if v.trim().is_empty() {
            Err(E::custom("a name is empty; write one"))
        } else {
            Ok(Label(v.to_owned()))
        }
    }
    fn visit_u64<E: de::Error>(self, v: u64) -> Result<Label, E> {
        Ok(Label(v.to_string()))
    }
    fn visit_i64<E: de::Error>(self, v: i64) -> Result<Label, E> {
        Ok(Label(v.to_string()))
    }
}

impl<'de> Deserialize<'de> for Label {
    fn deserialize<D: Deserializer<'de>>(d: D) -> Result<Label, D::Error> {
        // Asked for text, a YAML reader gives what stands in the file: `007`, `0x1F` and `1.50` stay as they are.
        d.deserialize_str(LabelVisitor)
    }
}

impl JsonSchema for Label {
    fn schema_name() -> std::borrow::Cow<'static, str> {
        "Label".into()
    }
    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({"type": ["string", "integer"], "description": "A name or a whole number."})
    }
}

/// Cavities of an in-line connector for the legs of a circuit.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Cavities {
    /// The next free ones, in order.
    Auto,
    /// These, one for each leg in order.
    Named(Vec<Label>),
}

impl Serialize for Cavities {
    fn serialize<S: Serializer>(&self, s: S) -> Result<S::Ok, S::Error> {
        match self {
            Cavities::Auto => s.serialize_str("auto"),
            Cavities::Named(names) => names.serialize(s),
        }
    }
}

struct CavitiesVisitor;

impl<'de> de::Visitor<'de> for CavitiesVisitor {
    type Value = Cavities;
    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("`auto` or a list of cavities such as [3, 4]")
    }
    fn visit_str<E: de::Error>(self, v: &str) -> Result<Cavities, E> {
        match v {
            "auto" => Ok(Cavities::Auto),
            other => Err(E::unknown_variant(other, &["auto"])),
        }
    }
    fn visit_seq<A: de::SeqAccess<'de>>(self, mut seq: A) -> Result<Cavities, A::Error> {
        let mut names = Vec::new();
        while let Some(name) = seq.next_element()? {
            names.push(name);
        }
        Ok(Cavities::Named(names))
    }
}

impl<'de> Deserialize<'de> for Cavities {
    fn deserialize<D: Deserializer<'de>>(d: D) -> Result<Cavities, D::Error> {
        d.deserialize_any(CavitiesVisitor)
    }
}

impl JsonSchema for Cavities {
    fn schema_name() -> std::borrow::Cow<'static, str> {
        "Cavities".into()
    }
    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        let label = generator.subschema_for::<Label>();
        json_schema!({
            "description": "`auto`, or the cavities for the legs in order.",
            "oneOf": [{"const": "auto"}, {"type": "array", "items": label}]
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_label_is_the_text_of_the_file() {
        let labels: Vec<Label> = serde_yaml::from_str("[7, 007, 0x1F, 1.50, 1e3, true, A, '8']").unwrap();
        let texts: Vec<&str> = labels.iter().map(|l| l.0.as_str()).collect();
        assert_eq!(texts, ["7", "007", "0x1F", "1.50", "1e3", "true", "A", "8"]);
        assert!(serde_yaml::from_str::<Label>("[7]").is_err());
        assert!(serde_yaml::from_str::<Label>("''").unwrap_err().to_string().contains("a name is empty"));
    }
}
