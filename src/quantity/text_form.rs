//! How a quantity travels as text: through YAML, JSON and the JSON schema, always with its unit.

use std::fmt::{self, Display};
use std::marker::PhantomData;
use std::str::FromStr;

use serde::de::{Error, Visitor};

use super::error::QuantityError;

/// A value that is written as text with its unit.
pub trait Quantity: FromStr<Err = QuantityError> + Display {
    /// With its article: `a voltage`.
    const NOUN: &'static str;
    /// A text that reads: `14 V`.
    const EXAMPLE: &'static str;
    /// For the JSON schema: what may be written.
    const DESCRIPTION: &'static str;
}

/// Takes strings only, so that a bare YAML number is answered by a sentence about units.
pub struct TextVisitor<T>(pub PhantomData<T>);

impl<T: Quantity> Visitor<'_> for TextVisitor<T> {
    type Value = T;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} as text, as in `{}`", T::NOUN, T::EXAMPLE)
    }

    fn visit_str<E: Error>(self, text: &str) -> Result<T, E> {
        text.parse().map_err(E::custom)
    }

    fn visit_i64<E: Error>(self, n: i64) -> Result<T, E> {
        Err(E::custom(bare::<T>(n)))
    }

    fn visit_u64<E: Error>(self, n: u64) -> Result<T, E> {
        Err(E::custom(bare::<T>(n)))
    }

    fn visit_f64<E: Error>(self, n: f64) -> Result<T, E> {
        Err(E::custom(bare::<T>(n)))
    }
}

fn bare<T: Quantity>(n: impl Display) -> QuantityError {
    // Reading the number as text gives the same sentence as a quoted number would get.
    let text = n.to_string();
    text.parse::<T>().err().unwrap_or_else(|| {
        QuantityError::new(
            format!("`{text}` is a bare number"),
            format!("write {} as in `{}`", T::NOUN, T::EXAMPLE),
        )
    })
}

/// Serde and JSON schema by way of `Display` and `FromStr`, for a type that implements [`Quantity`].
macro_rules! text_form {
    ($name:ident) => {
        impl serde::Serialize for $name {
            fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
                serializer.collect_str(self)
            }
        }

        impl<'de> serde::Deserialize<'de> for $name {
            fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<$name, D::Error> {
                // `any`, because asked for a string the YAML reader would pass `14` as text.
                deserializer.deserialize_any($crate::quantity::TextVisitor(std::marker::PhantomData))
            }
        }

        impl schemars::JsonSchema for $name {
            fn schema_name() -> std::borrow::Cow<'static, str> {
                stringify!($name).into()
            }

            fn json_schema(_: &mut schemars::SchemaGenerator) -> schemars::Schema {
                schemars::json_schema!({
                    "type": "string",
                    "description": <$name as $crate::quantity::Quantity>::DESCRIPTION,
                    "examples": [<$name as $crate::quantity::Quantity>::EXAMPLE],
                })
            }
        }
    };
}
pub(crate) use text_form;
