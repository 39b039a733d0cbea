//! The smallest circle around circles of unequal size: outside diameters of wires in, bundle diameter and places out.
//!
//! The problem has no known exact method beyond a few circles. This searches (see `search`) with a fixed amount of
//! work: equal circles come within a thousandth of the best known packings up to 19 and within a hundredth up to 61,
//! circles of radius 1, 2, … n within a thousandth up to 8; dozens of mixed wires come within a few hundredths. What it
//! returns is always a true packing, checked in whole micrometres, so a bundle is never shown smaller than it can be
//! made. Real bundles are never this tight: hands do not sort wires. What can be said without a packing stands in
//! `bounds`, and costs nothing beside it.

mod bounds;
mod crescent;
mod descent;
mod energy;
mod random;
mod search;
mod spare;
mod start;

pub use bounds::{at_least, never_wider_than};
pub use spare::{Beside, how_many};

use crate::quantity::{Fraction, Length};

/// A circle in its place. The origin is the middle of the enclosing circle, y upwards.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Circle {
    /// Centre, to the right.
    pub x: Length,
    /// Centre, upwards.
    pub y: Length,
    /// Its diameter.
    pub diameter: Length,
}

/// Circles without overlap in an enclosing circle.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Packing {
    /// Diameter of the enclosing circle.
    pub diameter: Length,
    /// The circles, in the order in which they were given.
    pub circles: Vec<Circle>,
}

/// Most work for one packing, in pairs of circles looked at: as little as keeps the published packings within what is said
/// above.
const MOST_WORK: u64 = 3_200_000;
/// Work for each pair of circles there is; a handful of circles is soon done.
const WORK_PER_PAIR: u64 = 16_000;

/// Packs circles of these diameters. A diameter below zero counts as zero. The same diameters in any order give the
/// same bundle diameter.
pub fn pack(diameters: &[Length]) -> Packing {
    pack_with(diameters, MOST_WORK, Length::ZERO)
}

/// The same with at most so much work, but what is met first that passes a bore is good enough. `None` where no packing was
/// found that does.
fn into(diameters: &[Length], bore: Length, most_work: u64) -> Option<Packing> {
    if at_least(diameters) > bore {
        return None;
    }
    Some(pack_with(diameters, most_work, bore)).filter(|packing| packing.diameter <= bore)
}

/// Packs with at most so much work, and with no more once the circles pass a bore of the size `enough`.
fn pack_with(diameters: &[Length], most_work: u64, enough: Length) -> Packing {
    let mut order: Vec<usize> = (0..diameters.len()).collect();
    order.sort_by(|a, b| diameters[*b].cmp(&diameters[*a]).then(a.cmp(b)));
    let sorted: Vec<i64> = order.iter().map(|i| diameters[*i].um().max(0)).collect();
    let centres = centres(&sorted, most_work, enough);
    let mut circles =
        vec![Circle { x: Length::ZERO, y: Length::ZERO, diameter: Length::ZERO }; diameters.len()];
    for ((&i, &d), (x, y)) in order.iter().zip(&sorted).zip(&centres) {
        circles[i] = Circle { x: Length::from_um(*x), y: Length::from_um(*y), diameter: Length::from_um(d) };
    }
    Packing { diameter: Length::from_um(enclosing(&sorted, &centres)), circles }
}

impl Packing {
    /// Share of the enclosing circle that the circles cover; zero where there are none.
    pub fn cover(&self) -> Fraction {
        let covered: f64 = self.circles.iter().map(|c| c.diameter.mm() * c.diameter.mm()).sum();
        Fraction::try_from_ratio(covered / (self.diameter.mm() * self.diameter.mm()))
            .unwrap_or(Fraction::ZERO)
    }
}

/// Centres in micrometres for diameters sorted from large to small.
fn centres(sorted: &[i64], most_work: u64, enough: Length) -> Vec<(i64, i64)> {
    let total: i64 = sorted.iter().sum();
    match sorted {
        [] => return Vec::new(),
        // Two circles side by side; the enclosing circle is as wide as both.
        [_] | [_, _] => return in_a_row(sorted),
        _ if total == 0 => return vec![(0, 0); sorted.len()],
        _ => {}
    }
    // Packed a micrometre larger in radius, circles stay apart when their centres are rounded to whole micrometres.
    let radii: Vec<f64> = sorted.iter().map(|d| *d as f64 / 2.0 + 1.0).collect();
    let mean = radii.iter().sum::<f64>() / radii.len() as f64;
    let scaled: Vec<f64> = radii.iter().map(|r| r / mean).collect();
    let pairs = (sorted.len() * (sorted.len() - 1) / 2) as u64;
    let effort = search::Effort {
        budget: most_work.min(WORK_PER_PAIR.saturating_mul(pairs)),
        enough: enough.um() as f64 / 2.0 / mean,
    };
    let z = search::tightest(&scaled, effort);
    let whole = |v: f64| (v * mean).round() as i64;
    let found: Vec<(i64, i64)> = z.chunks_exact(2).map(|c| (whole(c[0]), whole(c[1]))).collect();
    if overlap(sorted, &found) { in_a_row(sorted) } else { found }
}

fn in_a_row(sorted: &[i64]) -> Vec<(i64, i64)> {
    // An odd diameter takes a micrometre more, so that every centre is a whole number.
    let room = |d: &i64| d + d % 2;
    let total: i64 = sorted.iter().map(room).sum();
    let mut edge = -total / 2;
    let place = |d: &i64| {
        let centre = edge + room(d) / 2;
        edge += room(d);
        (centre, 0)
    };
    sorted.iter().map(place).collect()
}

/// True where two circles overlap by any part of a micrometre. Sweeps over them in order of x; each looks for those
/// that are no larger.
fn overlap(sorted: &[i64], centres: &[(i64, i64)]) -> bool {
    let mut order: Vec<(i64, i64, i64)> =
        centres.iter().zip(sorted).map(|((x, y), d)| (*x, *y, *d)).collect();
    order.sort_unstable();
    order.iter().enumerate().any(|(place, &(x, y, d))| {
        let (before, after) = (order[..place].iter().rev(), order[place + 1..].iter());
        let within = |other: &&(i64, i64, i64)| (other.0 - x).abs() < d;
        let mut near = before.take_while(within).chain(after.take_while(within));
        near.any(|&(u, v, e)| {
            let (dx, dy, reach) = (i128::from(x - u), i128::from(y - v), i128::from(d + e));
            e <= d && 4 * (dx * dx + dy * dy) < reach * reach
        })
    })
}

/// Diameter of the circle around the origin that holds all circles, rounded up.
fn enclosing(sorted: &[i64], centres: &[(i64, i64)]) -> i64 {
    let reach = |(d, (x, y)): (&i64, &(i64, i64))| {
        let (x, y) = (*x as f64, *y as f64);
        (2.0 * (x * x + y * y).sqrt()).ceil() as i64 + d
    };
    sorted.iter().zip(centres).map(reach).max().unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn mm(values: &[f64]) -> Vec<Length> {
        values.iter().map(|v| Length::from_mm(*v)).collect()
    }

    fn is_true(packing: &Packing) -> bool {
        let d: Vec<i64> = packing.circles.iter().map(|c| c.diameter.um()).collect();
        let places: Vec<(i64, i64)> = packing.circles.iter().map(|c| (c.x.um(), c.y.um())).collect();
        !overlap(&d, &places) && enclosing(&d, &places) <= packing.diameter.um()
    }

    #[test]
    fn none_one_and_two_are_exact() {
        assert_eq!(pack(&[]), Packing { diameter: Length::ZERO, circles: Vec::new() });
        assert_eq!(pack(&mm(&[1.3])).diameter, Length::from_mm(1.3));
        let two = pack(&mm(&[1.0, 3.0]));
        assert_eq!((two.diameter, two.circles[0].diameter), (Length::from_mm(4.0), Length::from_mm(1.0)));
        assert!(is_true(&two) && is_true(&pack(&[Length::from_um(3), Length::from_um(4)])));
        assert_eq!(pack(&mm(&[0.0, 0.0, 0.0])).diameter, Length::ZERO);
    }

    #[test]
    fn order_changes_nothing() {
        let (a, b) = (mm(&[2.0, 1.3, 3.4, 1.3]), mm(&[1.3, 3.4, 1.3, 2.0]));
        let (first, second) = (pack(&a), pack(&b));
        assert_eq!(first.diameter, second.diameter);
        for (packing, sizes) in [(first, a), (second, b)] {
            let given: Vec<Length> = packing.circles.iter().map(|c| c.diameter).collect();
            assert_eq!(given, sizes);
        }
    }

    #[test]
    fn a_thick_cable_and_many_thin_wires() {
        let mut sizes = vec![12.0];
        sizes.extend([1.1; 9]);
        let packing = pack(&mm(&sizes));
        // The nine fit beside the cable in less than two more layers.
        assert!(is_true(&packing) && packing.diameter < Length::from_mm(14.3), "{:?}", packing.diameter);
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(12))]
        #[test]
        fn never_overlaps_and_never_beats_the_area(sizes in proptest::collection::vec(0_i64..5_000, 0..9)) {
            let sizes: Vec<Length> = sizes.into_iter().map(Length::from_um).collect();
            let packing = pack(&sizes);
            prop_assert!(is_true(&packing));
            prop_assert!(packing.cover().ratio() <= 1.0);
            let total: Length = sizes.iter().copied().sum();
            prop_assert!(packing.diameter <= total + Length::from_um(10));
        }
    }
}
