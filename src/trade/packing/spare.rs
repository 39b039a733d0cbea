//! The room left beside a bundle in a bore: a packing and the bore in, the diameter of one more circle that fits out.

use super::{MOST_WORK, Packing, into};
use crate::quantity::Length;

/// Sizes that are tried.
const TRIES: u32 = 9;

impl Packing {
    /// Diameter of one more circle that fits into a round bore beside these, which may be laid anew for it. It is a
    /// lower bound: a packing with this circle was found, and the largest there is may be larger. `None` where these
    /// circles do not fit the bore themselves; zero where nothing more does.
    ///
    /// Pushed against the wall, the bundle leaves a circle as wide as the bore is wider than it. Larger ones are
    /// looked for by halving, each with its part of the work of one packing.
    pub fn spare(&self, bore: Length) -> Option<Length> {
        let mut found = Some(bore - self.diameter).filter(|left| *left >= Length::ZERO)?;
        let mut sizes: Vec<Length> = self.circles.iter().map(|c| c.diameter).collect();
        let squares = |sizes: &[Length]| sizes.iter().map(|d| d.mm() * d.mm()).sum::<f64>();
        // By area, and beside the largest.
        let by_area = Length::from_mm((bore.mm() * bore.mm() - squares(&sizes)).max(0.0).sqrt());
        let largest = sizes.iter().copied().max().unwrap_or(Length::ZERO);
        let mut too_large = by_area.min(bore - largest);
        sizes.push(Length::ZERO);
        for _ in 0..TRIES {
            let middle = Length::from_um((found.um() + too_large.um()) / 2);
            if middle <= found {
                break;
            }
            if let Some(last) = sizes.last_mut() {
                *last = middle;
            }
            if into(&sizes, bore, MOST_WORK / u64::from(TRIES)).is_some() {
                found = middle;
            } else {
                too_large = middle;
            }
        }
        Some(found)
    }
}

#[cfg(test)]
mod tests {
    use super::super::pack;
    use super::*;

    fn mm(value: f64) -> Length {
        Length::from_mm(value)
    }

    #[test]
    fn an_empty_bore_and_a_full_one() {
        assert_eq!(pack(&[]).spare(mm(8.0)), Some(mm(8.0)));
        assert_eq!(pack(&[mm(8.0)]).spare(mm(8.0)), Some(Length::ZERO));
        assert_eq!(pack(&[mm(8.0)]).spare(mm(7.0)), None);
        // Beside one circle the other is as wide as what is left.
        assert_eq!(pack(&[mm(3.0)]).spare(mm(8.0)), Some(mm(5.0)));
    }

    // Six equal circles around a seventh fill a circle of three times their diameter; 18 need no smaller one than 19
    // (Graham et al. 1998).
    #[test]
    fn the_last_of_seven_and_of_nineteen() {
        let bore = mm(6.02);
        let spare = pack(&[mm(2.0); 6]).spare(bore).unwrap();
        assert!(spare >= mm(1.98) && spare <= mm(2.05), "{spare}");
        let bore = mm(2.0 * 4.863_703_3 + 0.02);
        let spare = pack(&[mm(2.0); 18]).spare(bore).unwrap();
        assert!(spare >= mm(1.95) && spare <= mm(2.1), "{spare}");
    }

    #[test]
    fn what_is_said_to_fit_does() {
        let mut sizes = vec![mm(1.1), mm(2.3), mm(1.1), mm(3.4), mm(1.8)];
        let packing = pack(&sizes);
        let bore = packing.diameter + mm(0.6);
        let spare = packing.spare(bore).unwrap();
        sizes.push(spare);
        // More than the gap at the wall: the wires move aside.
        assert!(spare >= mm(0.6) && pack(&sizes).diameter <= bore + mm(0.01), "{spare}");
    }
}
