//! Circles laid into the crescent that a large circle at the wall of a bore leaves: their diameters, the bore and the
//! large circle in; their places out.
//!
//! Each circle, from the largest to the smallest, takes the corner between two of wall, large circle and those already
//! laid that lies furthest from the large one, else the deepest one: so they line the wall. The places that are met
//! first are good enough; a large circle for which none are found may still have room. Cost: for n circles of k
//! diameters about n² looks for each diameter, counted in `spent`. Ties go to the smaller x. Only square roots are
//! taken, so that every machine finds the same places.

/// Tangent circles are found to a rounding error, micrometres.
const TOUCH: f64 = 1e-4;

/// A circle: x, y, radius.
type Disc = [f64; 3];

/// What makes a corner good.
#[derive(Clone, Copy, Debug)]
enum Wish {
    Far,
    Deep,
}

/// Centres of circles with these radii, sorted from large to small, beside a circle of the radius `large` that touches
/// the wall of a bore of the radius `bore` at its top; None where they were not all laid. All in one unit.
pub fn beside(radii: &[f64], bore: f64, large: f64, spent: &mut u64) -> Option<Vec<(f64, f64)>> {
    [Wish::Far, Wish::Deep].into_iter().find_map(|wish| {
        let mut crescent =
            Crescent { bore, laid: vec![[0.0, bore - large, large]], corners: Vec::new(), wish };
        let mut radius = f64::NAN;
        for r in radii {
            if *r != radius {
                radius = *r;
                crescent.look(radius, spent);
            }
            crescent.lay(radius, spent)?;
        }
        Some(crescent.laid.iter().skip(1).map(|[x, y, _]| (*x, *y)).collect())
    })
}

struct Crescent {
    bore: f64,
    /// The large circle, then those that were laid.
    laid: Vec<Disc>,
    /// Free places for a circle of the radius that is being laid.
    corners: Vec<(f64, f64)>,
    wish: Wish,
}

impl Crescent {
    /// Gathers all corners for circles of another radius.
    fn look(&mut self, radius: f64, spent: &mut u64) {
        self.corners = Vec::new();
        // The bottom of the bore, which touches nothing but the wall.
        self.offer((0.0, radius - self.bore), radius, spent);
        for i in 0..self.laid.len() {
            self.around(i, radius, spent);
        }
    }

    /// Corners between one circle, the wall and those before it.
    fn around(&mut self, i: usize, radius: f64, spent: &mut u64) {
        let Some(&[x, y, own]) = self.laid.get(i) else { return };
        for place in meeting([x, y, own + radius], [0.0, 0.0, self.bore - radius]).into_iter().flatten() {
            self.offer(place, radius, spent);
        }
        *spent += i as u64;
        for j in 0..i {
            let Some(&[u, v, other]) = self.laid.get(j) else { continue };
            for place in meeting([x, y, own + radius], [u, v, other + radius]).into_iter().flatten() {
                self.offer(place, radius, spent);
            }
        }
    }

    fn offer(&mut self, (x, y): (f64, f64), radius: f64, spent: &mut u64) {
        let free = self.bore - radius + TOUCH;
        if radius <= self.bore && x * x + y * y <= free * free {
            *spent += self.laid.len() as u64;
            if self.laid.iter().all(|disc| apart(*disc, (x, y), radius)) {
                self.corners.push((x, y));
            }
        }
    }

    /// Lays one circle into the best corner.
    fn lay(&mut self, radius: f64, spent: &mut u64) -> Option<()> {
        let top = self.laid.first().map_or(0.0, |[_, y, _]| *y);
        let wish = self.wish;
        let bad = move |(x, y): &(f64, f64)| match wish {
            Wish::Far => -(x * x + (y - top) * (y - top)),
            Wish::Deep => *y,
        };
        let best = |a: &(f64, f64), b: &(f64, f64)| bad(a).total_cmp(&bad(b)).then(a.0.total_cmp(&b.0));
        let (x, y) = self.corners.iter().copied().min_by(best)?;
        *spent += self.corners.len() as u64;
        let own = [x, y, radius];
        self.corners.retain(|place| apart(own, *place, radius));
        self.laid.push(own);
        self.around(self.laid.len() - 1, radius, spent);
        Some(())
    }
}

fn apart([x, y, other]: Disc, (u, v): (f64, f64), radius: f64) -> bool {
    let reach = other + radius - TOUCH;
    (x - u) * (x - u) + (y - v) * (y - v) >= reach * reach
}

/// Where two circles cross.
fn meeting([x, y, p]: Disc, [u, v, q]: Disc) -> Option<[(f64, f64); 2]> {
    let (dx, dy) = (u - x, v - y);
    let squared = dx * dx + dy * dy;
    let between = squared.sqrt();
    if between <= 0.0 || between > p + q || between < (p - q).abs() {
        return None;
    }
    let along = (squared + p * p - q * q) / (2.0 * between);
    let aside = (p * p - along * along).max(0.0).sqrt();
    let (ex, ey) = (dx / between, dy / between);
    let (mx, my) = (x + along * ex, y + along * ey);
    Some([(mx - aside * ey, my + aside * ex), (mx + aside * ey, my - aside * ex)])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_circle_lies_at_the_bottom_and_no_large_one_leaves_no_room() {
        let mut spent = 0;
        assert_eq!(beside(&[2.0], 10.0, 8.0, &mut spent), Some(vec![(0.0, -8.0)]));
        assert_eq!(beside(&[2.0], 10.0, 8.1, &mut spent), None);
        assert_eq!(beside(&[], 10.0, 10.0, &mut spent), Some(Vec::new()));
    }

    #[test]
    fn what_is_laid_is_apart_and_in_the_bore() {
        let radii = [3.0, 2.0, 2.0, 2.0, 1.0, 1.0, 1.0, 1.0, 1.0];
        let (bore, large) = (20.0, 15.0);
        let mut spent = 0;
        let places = beside(&radii, bore, large, &mut spent).unwrap();
        let mut discs: Vec<Disc> = places.iter().zip(radii).map(|((x, y), r)| [*x, *y, r]).collect();
        assert!(spent > 0 && discs.iter().all(|[x, y, r]| x.hypot(*y) + r <= bore + 1e-3));
        discs.push([0.0, bore - large, large]);
        for (i, a) in discs.iter().enumerate() {
            assert!(discs.iter().skip(i + 1).all(|b| apart(*a, (b[0], b[1]), b[2])), "{a:?} of {discs:?}");
        }
    }
}
