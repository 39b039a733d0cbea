//! What a typed reader objects to, and where: kept as data until it is put into words.

use std::fmt::{self, Display};

use serde::de::{self, Expected, Unexpected};

use super::tree::NodeId;

/// Where a fault lies in the tree.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Place {
    /// Not known yet; the innermost reader that has one sets it.
    Unknown,
    /// In the key of this value.
    Key { key: NodeId, value: NodeId },
    /// In this value.
    Value(NodeId),
}

/// What the fault is.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Objection {
    /// A name that is none of these.
    UnknownField { name: String, known: &'static [&'static str] },
    /// A word that is none of these.
    UnknownWord { word: String, known: &'static [&'static str] },
    /// A map lacks this entry. `of` is the type that wants it.
    Missing { name: &'static str, of: Option<&'static str> },
    /// Something else was expected.
    WrongKind { found: String, expected: String },
    /// A value says so itself: `message; remedy`.
    Said(String),
}

/// A fault at its place.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Fault {
    pub place: Place,
    pub objection: Objection,
}

impl Fault {
    fn new(objection: Objection) -> Fault {
        Fault { place: Place::Unknown, objection }
    }

    /// Sets the place unless a reader further in has set it.
    pub(super) fn at(mut self, place: Place) -> Fault {
        if self.place == Place::Unknown {
            self.place = place;
        }
        self
    }

    /// Notes which type lacks the missing entry, unless that is known.
    pub(super) fn of(mut self, kind: &'static str) -> Fault {
        if let (Place::Unknown, Objection::Missing { of, .. }) = (self.place, &mut self.objection) {
            of.get_or_insert(kind);
        }
        self
    }
}

impl Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:?}", self.objection)
    }
}

impl std::error::Error for Fault {}

impl de::Error for Fault {
    fn custom<T: Display>(message: T) -> Fault {
        Fault::new(Objection::Said(message.to_string()))
    }

    fn invalid_type(found: Unexpected<'_>, expected: &dyn Expected) -> Fault {
        Fault::new(Objection::WrongKind {
            found: found_words(found),
            expected: expected_words(&expected.to_string()),
        })
    }

    fn invalid_value(found: Unexpected<'_>, expected: &dyn Expected) -> Fault {
        Fault::invalid_type(found, expected)
    }

    fn invalid_length(count: usize, expected: &dyn Expected) -> Fault {
        let found = format!("a list of {count}");
        Fault::new(Objection::WrongKind { found, expected: expected_words(&expected.to_string()) })
    }

    fn unknown_variant(word: &str, known: &'static [&'static str]) -> Fault {
        Fault::new(Objection::UnknownWord { word: word.to_owned(), known })
    }

    fn unknown_field(name: &str, known: &'static [&'static str]) -> Fault {
        Fault::new(Objection::UnknownField { name: name.to_owned(), known })
    }

    fn missing_field(name: &'static str) -> Fault {
        Fault::new(Objection::Missing { name, of: None })
    }

    fn duplicate_field(name: &'static str) -> Fault {
        // The gate refuses the same name twice, so this is one entry under two names.
        Fault::new(Objection::Said(format!("`{name}` is given twice; remove one of the two")))
    }
}

fn found_words(found: Unexpected<'_>) -> String {
    match found {
        Unexpected::Bool(b) => format!("`{b}`"),
        Unexpected::Unsigned(n) => format!("the number {n}"),
        Unexpected::Signed(n) => format!("the number {n}"),
        Unexpected::Float(n) => format!("the number {n}"),
        Unexpected::Str(text) => format!("the text `{text}`"),
        Unexpected::Unit | Unexpected::Option => "nothing".to_owned(),
        Unexpected::Seq => "a list".to_owned(),
        Unexpected::Map => "a map".to_owned(),
        other => other.to_string(),
    }
}

/// Words of the derive macro become words of the language; those of our own types are fine as they are.
fn expected_words(expected: &str) -> String {
    let list_of = |n: &str| format!("a list of {n}");
    match expected {
        "a map" => "a map".to_owned(),
        "a sequence" | "a tuple" => "a list".to_owned(),
        "a string" => "text".to_owned(),
        "a boolean" => "`true` or `false`".to_owned(),
        "a character" => "one character".to_owned(),
        "u8" | "u16" | "u32" | "u64" | "usize" => "a whole number of 0 or more".to_owned(),
        "i8" | "i16" | "i32" | "i64" | "isize" => "a whole number".to_owned(),
        "f32" | "f64" => "a number".to_owned(),
        "null" | "unit" => "nothing".to_owned(),
        "variant identifier" => "a word".to_owned(),
        "an empty array" => "an empty list".to_owned(),
        other => {
            if other.starts_with("struct ") {
                "a map".to_owned()
            } else if other.starts_with("enum ") {
                "a word".to_owned()
            } else if let Some(n) = other.strip_prefix("an array of length ") {
                list_of(n)
            } else if let Some(n) = other.strip_prefix("a tuple of size ") {
                list_of(n)
            } else {
                other.to_owned()
            }
        }
    }
}
