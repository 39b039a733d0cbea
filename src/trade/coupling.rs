//! What couples into wires of small signals: nothing in, limits with their sources out.

use super::limit::Limit;
use crate::quantity::Current;

/// From here on a current counts as large where it lies beside thermocouple and millivolt wires.
pub fn large_current() -> Limit<Current> {
    Limit::practice(Current::from_amps(5.0))
}
