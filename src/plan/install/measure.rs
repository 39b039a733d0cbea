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

/// Not more than the length, to the next step below; as it is where that would be nothing.
pub(super) fn below(length: Length, units: Units) -> Length {
    let down = length.um() - length.um().rem_euclid(step(units));
    if down > 0 { Length::from_um(down) } else { length }
}

/// Not less than the length, to the next step above.
pub(super) fn above(length: Length, units: Units) -> Length {
    length.round_up_to(Length::from_um(step(units)))
}

/// `609 mm (24 in)`: a largest length that its document gives in inches.
pub(super) fn at_most(limit: Limit<Length>, units: Units) -> String {
    in_both(below(limit.value, units), limit, units)
}

/// `153 mm (6 in)`: a least length that its document gives in inches.
pub(super) fn at_least(limit: Limit<Length>, units: Units) -> String {
    in_both(above(limit.value, units), limit, units)
}

fn in_both(rounded: Length, limit: Limit<Length>, units: Units) -> String {
    match units {
        Units::Metric => format!("{} ({})", rounded.show(units), limit.value.show(Units::Inch)),
        Units::Inch => limit.value.show(units),
    }
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
        assert_eq!(below(Length::from_mm(0.4), metric), Length::from_mm(0.4));
    }
}
