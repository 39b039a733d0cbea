//! What the hands may do to a wire and what a crimp must show: gauge and metal in, limits with their sources out.
//!
//! FAA AC 43.13-1B Table 11-13 (page 11-62) for strands, NASA-STD-8739.4 for crimps and screens. The least pull of a crimp
//! is in [`super::contact_pull`].

use super::limit::{Limit, Reading};
use crate::quantity::{Fraction, Gauge, Length};

/// What the conductor is of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Metal {
    /// Copper or copper alloy.
    Copper,
    /// Aluminium.
    Aluminium,
}

/// Strands that may be hurt when a wire is stripped.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct HurtStrands {
    /// Nicked strands.
    pub nicked: usize,
    /// Broken strands.
    pub broken: usize,
    /// Fewest and most strands of the wire the row is for; None where the table leaves the end open or says all.
    pub strands: (Option<usize>, Option<usize>),
}

/// One row of copper: thinnest and thickest gauge, strands from and to, nicked, broken.
type Row = (i8, i8, usize, Option<usize>, usize, usize);

/// AC 43.13-1B Table 11-13, copper.
const COPPER: [Row; 7] = [
    (24, 14, 19, Some(19), 2, 0),
    (12, 10, 37, Some(37), 4, 0),
    (8, 4, 133, Some(133), 6, 6),
    (2, 1, 665, Some(817), 6, 6),
    (0, -1, 1045, Some(1330), 6, 6),
    (-2, -2, 1665, None, 6, 6),
    (-3, -3, 2109, None, 6, 6),
];

/// Strands of a wire that may be nicked or broken. A size between two rows, metric sizes included, takes the thinner,
/// which allows no more. None where the table does not go: copper thinner than 24 AWG, aluminium thinner than 8 AWG or
/// thicker than 3/0.
pub fn hurt_strands(gauge: Gauge, metal: Metal) -> Option<Limit<HurtStrands>> {
    let value =
        match metal {
            Metal::Copper => {
                let (_, _, from, to, nicked, broken) =
                    COPPER.iter().rfind(|row| Gauge::Awg(row.0) <= gauge)?;
                HurtStrands { nicked: *nicked, broken: *broken, strands: (Some(*from), *to) }
            }
            Metal::Aluminium => (Gauge::Awg(8) <= gauge && gauge <= Gauge::Awg(-2))
                .then_some(HurtStrands { nicked: 0, broken: 0, strands: (None, None) })?,
        };
    Some(Limit {
        value,
        document: "FAA AC 43.13-1B",
        place: "Table 11-13, page 11-62",
        reading: Reading::Text,
    })
}

fn nasa<T>(value: T, place: &'static str) -> Limit<T> {
    Limit { value, document: "NASA-STD-8739.4", place, reading: Reading::Text }
}

/// Least gap between the end of the insulation and the crimp barrel.
pub fn least_insulation_gap() -> Limit<Length> {
    nasa(Length::from_mm(0.25), "chapter 6 par. 10.1b")
}

/// Largest gap between the end of the insulation and the crimp barrel: 0.75 mm for 20 AWG and thinner, 1.25 mm for
/// thicker wire. The standard's second class begins with 18 AWG; what lies between the two sizes takes the smaller gap.
pub fn largest_insulation_gap(gauge: Gauge) -> Limit<Length> {
    let mm = if gauge < Gauge::Awg(18) { 0.75 } else { 1.25 };
    nasa(Length::from_mm(mm), "chapter 6 par. 10.1b")
}

/// Share of a screen's strands that may be nicked; none may be severed.
pub fn nicked_screen_strands() -> Limit<Fraction> {
    nasa(Fraction::from_percent(10.0), "par. 10.2")
}

/// Share of the wire's tensile strength that a crimp must hold where no force is listed for the size.
pub fn crimp_share_of_wire_strength() -> Limit<Fraction> {
    nasa(Fraction::from_percent(60.0), "par. 13.7 and Table 13-1")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn strands_between_and_beyond_the_rows() {
        let copper = |gauge: &str| {
            hurt_strands(gauge.parse().unwrap(), Metal::Copper).map(|l| (l.value.nicked, l.value.broken))
        };
        assert_eq!((copper("26 AWG"), copper("24 AWG")), (None, Some((2, 0))));
        assert_eq!(
            (copper("13 AWG"), copper("2.5 mm²"), copper("4 mm²")),
            (Some((2, 0)), Some((2, 0)), Some((4, 0)))
        );
        assert_eq!(copper("120 mm²"), Some((6, 6)));
        let aluminium = |n| hurt_strands(Gauge::Awg(n), Metal::Aluminium).map(|l| l.value.nicked);
        assert_eq!(
            (aluminium(10), aluminium(8), aluminium(-2), aluminium(-3)),
            (None, Some(0), Some(0), None)
        );
    }

    #[test]
    fn the_gap_grows_at_18() {
        let gap = |n| largest_insulation_gap(Gauge::Awg(n)).value.mm();
        assert_eq!((gap(22), gap(20), gap(19), gap(18), gap(10)), (0.75, 0.75, 0.75, 1.25, 1.25));
    }
}
