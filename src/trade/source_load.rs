//! How much of what a generator or alternator gives may be used for good.

use super::limit::{Limit, Reading};
use crate::quantity::Fraction;

/// Share of a source's output above which continuous loads call for a placard or a monitor, or else for less load or a
/// larger source. The document calls it a rule of thumb and no load analysis.
pub fn watched_above() -> Limit<Fraction> {
    Limit {
        value: Fraction::from_percent(80.0),
        document: "FAA AC 43.13-1B CHG 1",
        place: "par. 11-35a",
        reading: Reading::Text,
    }
}
