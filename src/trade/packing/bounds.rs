//! What can be said of a bundle without packing it: outside diameters in, a diameter that it cannot go below and one
//! that it need not exceed out.

use crate::quantity::Length;

/// No circle around circles of these diameters is smaller: it is as wide as the two largest side by side, and its area
/// is not less than theirs.
pub fn at_least(diameters: &[Length]) -> Length {
    let (mut largest, mut second) = (Length::ZERO, Length::ZERO);
    for &d in diameters {
        if d > largest {
            (largest, second) = (d, largest);
        } else {
            second = second.max(d);
        }
    }
    Length::from_um(squares(diameters).sqrt().floor() as i64).max(largest + second)
}

/// A circle that surely holds circles of these diameters: all in a row, or with twice their area.
///
/// Fekete, Keldenich and Scheffer, "Packing Disks into Disks with Optimal Worst-Case Density" (arXiv 1903.07908, 2019;
/// abstract read) prove that discs of at most half of a disc's area can always be packed into it.
pub fn never_wider_than(diameters: &[Length]) -> Length {
    let row: Length = diameters.iter().copied().map(positive).sum();
    row.min(Length::from_um((2.0 * squares(diameters)).sqrt().ceil() as i64))
}

/// Sum of the squares, in square micrometres.
fn squares(diameters: &[Length]) -> f64 {
    diameters.iter().map(|d| positive(*d).um() as f64).map(|d| d * d).sum()
}

fn positive(diameter: Length) -> Length {
    diameter.max(Length::ZERO)
}

#[cfg(test)]
mod tests {
    use super::super::pack;
    use super::*;
    use proptest::prelude::*;

    fn mm(values: &[f64]) -> Vec<Length> {
        values.iter().map(|v| Length::from_mm(*v)).collect()
    }

    #[test]
    fn one_and_two_leave_nothing_open() {
        for sizes in [mm(&[]), mm(&[1.7]), mm(&[2.0, 2.0])] {
            assert_eq!(at_least(&sizes), pack(&sizes).diameter);
            assert_eq!(never_wider_than(&sizes), pack(&sizes).diameter);
        }
        assert_eq!(at_least(&mm(&[1.0, 3.0])), Length::from_mm(4.0));
        assert_eq!(at_least(&[Length::from_um(-5)]), Length::ZERO);
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(16))]
        #[test]
        fn hold_the_packing_between_them(sizes in proptest::collection::vec(0_i64..5_000, 0..8)) {
            let sizes: Vec<Length> = sizes.into_iter().map(Length::from_um).collect();
            let packed = pack(&sizes).diameter;
            prop_assert!(at_least(&sizes) <= packed);
            // The packing is searched in whole micrometres, with one to spare around each circle.
            prop_assert!(packed <= never_wider_than(&sizes) + Length::from_um(10));
        }
    }
}
