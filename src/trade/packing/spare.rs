//! The room left beside a bundle in a bore: a packing and the bore in; the largest circle for which a place was found, and
//! where all then lie, out.

use super::{Circle, MOST_WORK, Packing, crescent, enclosing, into, overlap};
use crate::quantity::Length;

/// Sizes that are tried with the bundle along the wall, and then with all laid anywhere.
const TRIES: [u32; 2] = [16, 8];

/// Places are looked for among no more circles than these, so that neither time nor memory runs out in a wide hole.
const MOST_LAID: usize = 400;

/// Circles in a bore and one more beside them. The origin is the middle of the bore.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Beside {
    /// In the order of the packing.
    pub circles: Vec<Circle>,
    /// The one more.
    pub spare: Circle,
    /// False where the bundle lies as it was packed.
    pub moved: bool,
}

impl Beside {
    /// The same with a smaller circle in the place of the one more, at that side of it where the wall is.
    pub fn with_spare(&self, diameter: Length) -> Beside {
        let wide = self.spare.diameter.um();
        let less = (wide - diameter.um()).max(0);
        let (x, y) = (self.spare.x.um() as f64, self.spare.y.um() as f64);
        let out = (x * x + y * y).sqrt();
        let by = |v: f64| if out > 0.0 { v + v / out * (less / 2) as f64 } else { v };
        let spare = Circle {
            x: Length::from_um(by(x) as i64),
            y: Length::from_um(by(y) as i64),
            diameter: Length::from_um(wide - less),
        };
        Beside { spare, ..self.clone() }
    }
}

impl Packing {
    /// One more circle in a round bore beside these, which may be laid anew for it; no larger one is looked for than is
    /// `enough`. It is a lower bound: a packing with this circle was found, and the largest there is may be larger. `None`
    /// where these circles do not fit the bore themselves; of no diameter where nothing more does.
    ///
    /// Pushed against the wall, the bundle leaves a circle as wide as the bore is wider than it. Then larger ones are
    /// looked for by halving: first with the circles along the wall (see `crescent`), which is best where the bore is
    /// wide, then packed from many starts, each with its part of the work of one packing.
    pub fn beside(&self, bore: Length, enough: Length) -> Option<Beside> {
        let gap = Some(bore - self.diameter).filter(|left| *left >= Length::ZERO)?;
        let mut best = self.at_the_bottom(bore, gap);
        let squares: f64 = self.circles.iter().map(|c| c.diameter.mm() * c.diameter.mm()).sum();
        // By area, and beside the largest.
        let by_area = Length::from_mm((bore.mm() * bore.mm() - squares).max(0.0).sqrt());
        let largest = self.circles.iter().map(|c| c.diameter).max().unwrap_or(Length::ZERO);
        let most = by_area.min(bore - largest).min(enough);
        let mut spent = 0;
        self.halve(&mut best, most, TRIES[0], |size| {
            (spent < MOST_WORK && self.circles.len() <= MOST_LAID)
                .then(|| self.along_the_wall(bore, size, &mut spent))
                .flatten()
        });
        self.halve(&mut best, most, TRIES[1], |size| self.packed_anew(bore, size));
        Some(best)
    }

    /// The largest tried size that a place is found for; the very largest is tried first.
    fn halve(
        &self,
        best: &mut Beside,
        most: Length,
        tries: u32,
        mut find: impl FnMut(Length) -> Option<Beside>,
    ) {
        let mut too_large = most;
        for turn in 0..tries {
            let middle = match turn {
                0 => most,
                _ => Length::from_um((best.spare.diameter.um() + too_large.um()) / 2),
            };
            if middle <= best.spare.diameter {
                break;
            }
            match find(middle) {
                Some(found) => *best = found,
                None => too_large = middle,
            }
        }
    }

    fn at_the_bottom(&self, bore: Length, gap: Length) -> Beside {
        let half = |d: Length| Length::from_um(d.um() / 2);
        // Every centre is a whole number of micrometres, so a bore or a gap of an odd one leaves a little less.
        let even = gap.um() - gap.um() % 2 - 2 * (bore.um() % 2);
        let gap = Length::from_um(even.max(0));
        let lay = |c: &Circle| Circle { y: c.y - half(gap), ..*c };
        let spare = Circle { x: Length::ZERO, y: half(bore) - half(gap), diameter: gap };
        Beside { circles: self.circles.iter().map(lay).collect(), spare, moved: false }
    }

    fn along_the_wall(&self, bore: Length, size: Length, spent: &mut u64) -> Option<Beside> {
        // As in a packing: a micrometre larger in radius, so that centres may be rounded to whole ones.
        let radius = |d: Length| d.um() as f64 / 2.0 + 1.0;
        let mut order: Vec<usize> = (0..self.circles.len()).collect();
        order.sort_by_key(|i| (self.circles.get(*i).map(|c| std::cmp::Reverse(c.diameter)), *i));
        let radii: Vec<f64> =
            order.iter().filter_map(|i| self.circles.get(*i)).map(|c| radius(c.diameter)).collect();
        let wall = bore.um() as f64 / 2.0 - 1.0;
        let places = crescent::beside(&radii, wall, radius(size), spent)?;
        let whole = |v: f64| Length::from_um(v.round() as i64);
        let mut circles = self.circles.clone();
        for (i, (x, y)) in order.into_iter().zip(places) {
            if let Some(circle) = circles.get_mut(i) {
                (circle.x, circle.y) = (whole(x), whole(y));
            }
        }
        let spare = Circle { x: Length::ZERO, y: whole(wall - radius(size)), diameter: size };
        Some(Beside { circles, spare, moved: true }).filter(|found| found.is_true(bore))
    }

    fn packed_anew(&self, bore: Length, size: Length) -> Option<Beside> {
        let sizes: Vec<Length> = self.circles.iter().map(|c| c.diameter).chain([size]).collect();
        let mut circles = into(&sizes, bore, MOST_WORK / u64::from(TRIES[1]))?.circles;
        let spare = circles.pop()?;
        Some(Beside { circles, spare, moved: true })
    }
}

impl Beside {
    /// True where nothing overlaps or leaves the bore.
    fn is_true(&self, bore: Length) -> bool {
        let mut all: Vec<&Circle> = self.circles.iter().chain([&self.spare]).collect();
        all.sort_by_key(|circle| std::cmp::Reverse(circle.diameter));
        let sizes: Vec<i64> = all.iter().map(|c| c.diameter.um()).collect();
        let places: Vec<(i64, i64)> = all.iter().map(|c| (c.x.um(), c.y.um())).collect();
        !overlap(&sizes, &places) && enclosing(&sizes, &places) <= bore.um()
    }
}

/// How many more circles of one diameter fit into a bore beside these, at most `most`: as many as a place was found for.
/// It is a lower bound where what is laid covers more than half of the bore, else exact (see `never_wider_than`). Where
/// there would be very many, no place is looked for beyond that half.
pub fn how_many(diameters: &[Length], bore: Length, one: Length, most: usize) -> usize {
    let squared = |d: &Length| d.mm() * d.mm();
    let squares: f64 = diameters.iter().map(squared).sum();
    let room = |share: f64| ((share * squared(&bore) - squares) / squared(&one).max(1e-9)).max(0.0) as usize;
    if diameters.len().saturating_add(room(1.0).min(most)) > MOST_LAID {
        return room(0.5).min(most);
    }
    // Never so many that they would not go in by area.
    let (mut sure, mut too_many) = (room(0.5).min(most), room(1.0).min(most) + 1);
    while sure + 1 < too_many {
        let middle = (sure + too_many) / 2;
        let sizes: Vec<Length> = diameters.iter().copied().chain(std::iter::repeat_n(one, middle)).collect();
        match into(&sizes, bore, MOST_WORK / u64::from(TRIES[1])) {
            Some(_) => sure = middle,
            None => too_many = middle,
        }
    }
    sure
}

#[cfg(test)]
mod tests {
    use super::super::pack;
    use super::*;
    use proptest::prelude::*;

    fn mm(value: f64) -> Length {
        Length::from_mm(value)
    }

    fn spare(packing: &Packing, bore: Length) -> Option<Length> {
        Some(packing.beside(bore, bore)?.spare.diameter)
    }

    #[test]
    fn a_bore_as_wide_as_a_door_is_told_by_half_its_area() {
        let half = 0.5 * 3000.0 * 3000.0 / (1.3 * 1.3);
        assert_eq!(how_many(&[mm(1.3)], mm(3000.0), mm(1.3), usize::MAX), (half - 1.0) as usize);
        assert_eq!(how_many(&[], mm(3000.0), mm(1.3), 7), 7);
        assert!(how_many(&[], Length::from_mm(2e7), Length::from_um(1), usize::MAX) > 1_000_000_000);
    }

    #[test]
    fn an_empty_bore_and_a_full_one() {
        assert_eq!(spare(&pack(&[]), mm(8.0)), Some(mm(8.0)));
        assert_eq!(spare(&pack(&[mm(8.0)]), mm(8.0)), Some(Length::ZERO));
        assert_eq!(spare(&pack(&[mm(8.0)]), mm(7.0)), None);
        // Beside one circle the other is as wide as what is left.
        assert_eq!(spare(&pack(&[mm(3.0)]), mm(8.0)), Some(mm(5.0)));
    }

    // Six equal circles around a seventh fill a circle of three times their diameter; 18 need no smaller one than 19
    // (Graham et al. 1998).
    #[test]
    fn the_last_of_seven_and_of_nineteen() {
        let bore = mm(6.02);
        let wide = spare(&pack(&[mm(2.0); 6]), bore).unwrap();
        assert!(wide >= mm(1.98) && wide <= mm(2.05), "{wide}");
        let bore = mm(2.0 * 4.863_703_3 + 0.02);
        let wide = spare(&pack(&[mm(2.0); 18]), bore).unwrap();
        assert!(wide >= mm(1.95) && wide <= mm(2.1), "{wide}");
    }

    #[test]
    fn what_is_said_to_fit_does() {
        let mut sizes = vec![mm(1.1), mm(2.3), mm(1.1), mm(3.4), mm(1.8)];
        let packing = pack(&sizes);
        let bore = packing.diameter + mm(0.6);
        let wide = spare(&packing, bore).unwrap();
        sizes.push(wide);
        // More than the gap at the wall: the wires move aside.
        assert!(wide >= mm(0.6) && pack(&sizes).diameter <= bore + mm(0.01), "{wide}");
    }

    // One wire at the wall leaves all of the bore but its own thickness; thin ones beside it lie in the crescent, and take
    // hardly more.
    #[test]
    fn thin_wires_line_the_wall() {
        let thin = pack(&[mm(1.3); 7]);
        let found = thin.beside(mm(25.0), mm(25.0)).unwrap();
        assert!(found.moved && found.is_true(mm(25.0)));
        assert!(found.spare.diameter > mm(23.2), "{}", found.spare.diameter);
        let less = found.with_spare(mm(10.0));
        assert!(less.is_true(mm(25.0)) && less.spare.diameter == mm(10.0));
        // No larger one is looked for than is enough.
        let enough = thin.beside(mm(25.0), mm(22.0)).unwrap();
        assert_eq!(enough.spare.diameter, mm(22.0));
    }

    #[test]
    fn as_many_as_go_in() {
        // Seven equal circles in one of three times their diameter; the search leaves a hundredth.
        assert_eq!(how_many(&[mm(2.0); 3], mm(6.03), mm(2.0), 60), 4);
        assert_eq!(how_many(&[], mm(6.03), mm(2.0), 60), 7);
        assert_eq!(how_many(&[mm(2.0)], mm(20.0), mm(2.0), 5), 5);
        assert_eq!(how_many(&[mm(6.0)], mm(6.0), mm(2.0), 5), 0);
    }

    /// More than is lost where places are rounded to whole micrometres.
    const THIN: Length = Length::from_um(5);

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(12))]
        #[test]
        fn the_place_of_one_more_is_a_true_one(
            sizes in proptest::collection::vec(500_i64..5_000, 0..9),
            wider in 0_i64..20_000,
        ) {
            let sizes: Vec<Length> = sizes.into_iter().map(Length::from_um).collect();
            let packing = pack(&sizes);
            let bore = packing.diameter + Length::from_um(wider);
            let found = packing.beside(bore, bore).unwrap();
            // A circle of no size lies anywhere.
            prop_assert!(found.spare.diameter < THIN || found.is_true(bore));
            let largest = sizes.iter().copied().max().unwrap_or(Length::ZERO);
            prop_assert!(found.spare.diameter + THIN >= bore - packing.diameter);
            prop_assert!(found.spare.diameter <= bore - largest);
        }
    }
}
