//! Limits in; measures to keep out, rounded to the side on which the limit holds.

use crate::quantity::{Length, Units};
use crate::trade::limit::Limit;

/// Whole millimetres or hundredths of an inch.
fn step(units: Units) -> i64 {
    match units {
        Units::Metric => 1_000,
        Units::Inch => 254,
    }
}

/// Not less than the length, to the next step above.
pub(super) fn above(length: Length, units: Units) -> Length {
    length.round_up_to(Length::from_um(step(units)))
}

/// A largest length, as hands keep it.
pub(super) fn at_most(limit: Limit<Length>, units: Units) -> String {
    limit.at_most(units)
}

/// A least length, as hands keep it.
pub(super) fn at_least(limit: Limit<Length>, units: Units) -> String {
    limit.at_least(units)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::trade::installation::{sag, separation_from_fluid, support_spacing};

    #[test]
    fn a_rounded_limit_still_keeps_to_the_limit() {
        let metric = Units::Metric;
        assert_eq!(at_most(support_spacing(), metric), "609 mm (24 in)");
        assert_eq!(at_most(sag(), metric), "12 mm (0.5 in)");
        assert_eq!(at_least(separation_from_fluid(), metric), "153 mm (6 in)");
        assert_eq!(at_least(separation_from_fluid(), Units::Inch), "6 in");
        assert_eq!(above(Length::from_mm(67.2), metric), Length::from_mm(68.0));
    }
}
