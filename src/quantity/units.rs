//! Which units the papers are printed in.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// The units a person reads. The spec may mix units freely; this only chooses what is printed.
#[derive(
    Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "lowercase")]
pub enum Units {
    /// Millimetres, degrees Celsius, newtons, kilopascals, grams.
    #[default]
    Metric,
    /// Inches and feet, degrees Fahrenheit, pounds-force, psi, pounds.
    Inch,
}
