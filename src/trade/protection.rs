//! The largest breaker or fuse that still protects a wire: gauge in, ratings out.
//!
//! FAA AC 43.13-1B (9/8/98) Table 11-3, page 11-15: DC wire and circuit protector chart, copper. Its basis (135 °F
//! ambient, up to 30,000 ft, bundles of 15 or more wires) is from memory.
//!
//! How near the source a protector has to be, AC 43.13-1B par. 11-47 says without a figure: as close as possible to the
//! bus. The figures are of the rule for boats, 33 CFR 183.455, read in a copy.

use super::limit::{Limit, Reading};
use crate::quantity::{Current, Gauge, Length};

/// A figure of 33 CFR 183.455 (b), in inches along the conductor.
fn along_the_conductor(inches: f64, place: &'static str) -> Limit<Length> {
    let value = Length::from_inches(inches);
    Limit { value, document: "33 CFR 183.455", place, reading: Reading::Secondary }
}

/// Furthest that a breaker or fuse may be from its source of power where it cannot be at the source itself.
pub fn bare_to_protector() -> Limit<Length> {
    along_the_conductor(7.0, "(b)(1)")
}

/// The same where the conductor lies in a sheath or enclosure all the way.
pub fn covered_to_protector() -> Limit<Length> {
    along_the_conductor(40.0, "(b)(2)")
}

/// What may protect a wire.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Protection {
    /// The row of the chart that was used: the wire's gauge, or the next thinner that the chart has.
    pub row: Gauge,
    /// Largest breaker; None where the chart has none for the gauge.
    pub breaker: Option<Current>,
    /// Largest fuse.
    pub fuse: Current,
}

/// Gauge, breaker amperes, fuse amperes.
const TABLE_11_3: [(i8, Option<f64>, f64); 13] = [
    (22, Some(5.0), 5.0),
    (20, Some(7.5), 5.0),
    (18, Some(10.0), 10.0),
    (16, Some(15.0), 10.0),
    (14, Some(20.0), 15.0),
    (12, Some(30.0), 20.0),
    (10, Some(40.0), 30.0),
    (8, Some(50.0), 50.0),
    (6, Some(80.0), 70.0),
    (4, Some(100.0), 70.0),
    (2, Some(125.0), 100.0),
    (1, None, 150.0),
    (0, None, 150.0),
];

/// Largest protector of a copper wire of this gauge. A gauge between two rows, metric sizes included, is treated as
/// the thinner row. None for wire thinner than 22 AWG, which the chart does not cover.
pub fn largest_protector(gauge: Gauge) -> Option<Protection> {
    let (n, breaker, fuse) = TABLE_11_3.iter().rev().find(|(n, _, _)| Gauge::Awg(*n) <= gauge)?;
    Some(Protection {
        row: Gauge::Awg(*n),
        breaker: breaker.map(Current::from_amps),
        fuse: Current::from_amps(*fuse),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sizes_between_rows_take_the_thinner() {
        assert_eq!(largest_protector(Gauge::Awg(24)), None);
        assert_eq!(largest_protector(Gauge::Awg(21)).map(|p| p.row), Some(Gauge::Awg(22)));
        // 0.5 mm² lies between 22 AWG (0.326 mm²) and 20 AWG (0.518 mm²).
        assert_eq!(largest_protector("0.5 mm²".parse().unwrap()).map(|p| p.row), Some(Gauge::Awg(22)));
        assert_eq!(
            largest_protector(Gauge::Awg(-3)).map(|p| (p.row, p.breaker)),
            Some((Gauge::Awg(0), None))
        );
    }
}
