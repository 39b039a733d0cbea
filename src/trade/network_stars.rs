//! Conductances between points in; the order in which points are taken out, and voltages for any currents, out.
//!
//! A point that has conductances g₁ … gₙ to its neighbours can be taken out if every two of them get gᵢ gⱼ / Σg more
//! between them, and each its share gᵢ / Σg of the current that was pushed into the point (star to mesh). The last point
//! of each part is its reference; going back, the voltage of a point is (its current + Σ g V) / Σg.
//!
//! Taking out is sums, products and quotients of positive numbers only: nothing cancels, however far strap and insulation
//! lie apart.
//! This is Gaussian elimination of the grounded Laplacian, the diagonal taken as the sum of its row (Grassmann, Taksar and
//! Heyman 1985, from memory).
//!
//! The point with the fewest neighbours goes first (minimum degree); of equals the one with the least conductance, so
//! that a strap is not told by the small difference of large currents; then the lowest. A tree costs its size; what is
//! nearly a tree costs nearly that. Neighbours that come in twice are summed when their point's turn comes, so a hub with
//! thousands of rays is looked through once.

use std::collections::BTreeSet;

/// A point taken out.
#[derive(Clone, Copy, Debug)]
struct Star {
    point: u32,
    /// Sum of its conductances.
    sum: f64,
    /// Its rays end before this one of the common list, and start where those of the star before end.
    end: u32,
}

/// All points taken out, in order.
#[derive(Clone, Debug)]
pub(super) struct Stars {
    points: usize,
    stars: Vec<Star>,
    /// Neighbour and conductance.
    rays: Vec<(u32, f64)>,
}

impl Stars {
    /// Takes out every point. Each line joins two different points with a conductance above zero.
    pub(super) fn of(points: usize, lines: impl Iterator<Item = (u32, u32, f64)>) -> Stars {
        let mut near: Vec<Vec<(u32, f64)>> = vec![Vec::new(); points];
        for (a, b, g) in lines {
            near[a as usize].push((b, g));
            near[b as usize].push((a, g));
        }
        let mut made = Stars { points, stars: Vec::with_capacity(points), rays: Vec::new() };
        near.iter_mut().for_each(merge);
        // An upper bound of the neighbours that are left: what comes in twice is counted twice.
        let mut degree: Vec<u32> = near.iter().map(|rays| rays.len() as u32).collect();
        // Power of two of the conductance at each point: the exponent of the float.
        let weight: Vec<u64> =
            near.iter().map(|r| r.iter().map(|(_, g)| g).sum::<f64>().to_bits() >> 52).collect();
        let key = |degree: u32, point: u32| (degree, weight[point as usize], point);
        let mut queue: BTreeSet<(u32, u64, u32)> =
            degree.iter().zip(0_u32..).map(|(d, point)| key(*d, point)).collect();
        let mut out = vec![false; points];
        while let Some((_, _, point)) = queue.pop_first() {
            out[point as usize] = true;
            let mut rays = std::mem::take(&mut near[point as usize]);
            rays.retain(|(to, _)| !out[*to as usize]);
            merge(&mut rays);
            let sum: f64 = rays.iter().map(|(_, g)| g).sum();
            for (i, (a, g)) in rays.iter().enumerate() {
                for (b, h) in &rays[i + 1..] {
                    // Quotient first: the product of two small conductances might leave the range.
                    let more = g / sum * h;
                    near[*a as usize].push((*b, more));
                    near[*b as usize].push((*a, more));
                }
                let known = &mut degree[*a as usize];
                queue.remove(&key(*known, *a));
                *known = (*known + rays.len() as u32).saturating_sub(2);
                queue.insert(key(*known, *a));
            }
            made.rays.append(&mut rays);
            made.stars.push(Star { point, sum, end: made.rays.len() as u32 });
        }
        made
    }

    /// How many points there are.
    pub(super) fn points(&self) -> usize {
        self.points
    }

    fn each(&self) -> impl DoubleEndedIterator<Item = (Star, &[(u32, f64)])> {
        self.stars.iter().enumerate().map(|(i, star)| {
            let start = if i == 0 { 0 } else { self.stars[i - 1].end };
            (*star, &self.rays[start as usize..star.end as usize])
        })
    }

    /// Volts of every point against the last one of its part, with these amperes pushed into the points. In each part they
    /// sum up to nothing.
    pub(super) fn volts(&self, mut amps: Vec<f64>) -> Vec<f64> {
        for (star, rays) in self.each() {
            let pushed = amps[star.point as usize];
            if pushed != 0.0 {
                rays.iter().for_each(|(to, g)| amps[*to as usize] += g / star.sum * pushed);
            }
        }
        let mut volts = vec![0.0; self.points];
        for (star, rays) in self.each().rev().filter(|(_, rays)| !rays.is_empty()) {
            let around: f64 = rays.iter().map(|(to, g)| g / star.sum * volts[*to as usize]).sum();
            volts[star.point as usize] = amps[star.point as usize] / star.sum + around;
        }
        volts
    }
}

/// Sums what leads to the same neighbour; in order of neighbours.
fn merge(rays: &mut Vec<(u32, f64)>) {
    rays.sort_by_key(|(to, _)| *to);
    rays.dedup_by(|later, kept| {
        let same = later.0 == kept.0;
        if same {
            kept.1 += later.1;
        }
        same
    });
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A hub with ten thousand rays, and a chain as long: one ray a point is kept.
    #[test]
    fn trees_cost_their_size() {
        let count = 10_000_u32;
        for stars in [
            Stars::of(count as usize, (1..count).map(|i| (0, i, 1.0))),
            Stars::of(count as usize, (1..count).map(|i| (i - 1, i, 1.0))),
        ] {
            assert_eq!(stars.rays.len(), count as usize - 1);
        }
    }

    /// A ladder of rungs has loops all along, and still costs its size.
    #[test]
    fn ladders_cost_their_size() {
        let rungs = 5_000_u32;
        let lines = (0..rungs).flat_map(|i| {
            let rail = (i + 1 < rungs).then_some([(2 * i, 2 * i + 2, 1.0), (2 * i + 1, 2 * i + 3, 1.0)]);
            rail.into_iter().flatten().chain([(2 * i, 2 * i + 1, 1.0)])
        });
        let stars = Stars::of(2 * rungs as usize, lines);
        assert!(stars.rays.len() < 4 * rungs as usize, "{}", stars.rays.len());
    }
}
