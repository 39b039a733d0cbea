//! What couples into wires of small signals: nothing in, limits with their sources out.

use super::limit::{Limit, Reading};
use crate::quantity::Current;

/// From here on a current counts as large where it lies beside thermocouple and millivolt wires.
pub fn large_current() -> Limit<Current> {
    Limit { value: Current::from_amps(5.0), document: "", place: "", reading: Reading::Practice }
}
