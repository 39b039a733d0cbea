//! The packing problem as a smooth function: centres and container radius in, value and slope out.
//!
//! f = R + λ/2 · Σ overlap², summed over circles outside the container and over pairs of circles. With growing λ its
//! minimum goes to a packing with the smallest R near the start. Lengths are in mean radii of the circles.

/// Two circles that are near enough to touch soon, and the sum of their radii.
struct Pair {
    a: usize,
    b: usize,
    sum: f64,
}

/// Circles to be packed, with the list of near pairs kept up to date.
pub struct Energy {
    radii: Vec<f64>,
    largest: f64,
    pairs: Vec<Pair>,
    /// Centres for which `pairs` was gathered.
    gathered: Vec<f64>,
    /// Work done so far, in pairs and circles looked at: the search's budget.
    pub spent: u64,
}

/// Pairs further apart than this gap are left out of the list; until a centre has moved half of it, none of them can
/// overlap.
const GAP: f64 = 0.6;

impl Energy {
    pub fn new(radii: Vec<f64>) -> Energy {
        let largest = radii.iter().copied().fold(0.0, f64::max);
        Energy { radii, largest, pairs: Vec::new(), gathered: Vec::new(), spent: 0 }
    }

    pub fn radii(&self) -> &[f64] {
        &self.radii
    }

    /// Value at `z` (x and y of each circle, last the container radius); writes the slope into `slope`.
    pub fn at(&mut self, z: &[f64], lambda: f64, slope: &mut [f64]) -> f64 {
        self.refresh(z);
        self.spent += (self.pairs.len() + self.radii.len()) as u64;
        let Some((container, centres)) = z.split_last() else { return 0.0 };
        let Some((container_slope, slopes)) = slope.split_last_mut() else { return 0.0 };
        slopes.fill(0.0);
        let mut value = *container;
        let mut outward = 1.0;
        for ((centre, slope), radius) in
            centres.chunks_exact(2).zip(slopes.chunks_exact_mut(2)).zip(&self.radii)
        {
            let (&[x, y], [sx, sy]) = (centre, slope) else { continue };
            let limit = container - radius;
            let squared = x * x + y * y;
            if limit < 0.0 || squared > limit * limit {
                let distance = squared.sqrt();
                let over = distance - limit;
                value += 0.5 * lambda * over * over;
                outward -= lambda * over;
                let pull = if distance > 0.0 { lambda * over / distance } else { 0.0 };
                *sx += pull * x;
                *sy += pull * y;
            }
        }
        *container_slope = outward;
        for Pair { a, b, sum } in &self.pairs {
            let (ax, bx) = (2 * a, 2 * b);
            let (dx, dy) = (centres[ax] - centres[bx], centres[ax + 1] - centres[bx + 1]);
            let squared = dx * dx + dy * dy;
            if squared < sum * sum {
                let distance = squared.sqrt();
                let over = sum - distance;
                value += 0.5 * lambda * over * over;
                // Two circles on one spot are pushed apart along x.
                let (ux, uy) = if distance > 0.0 { (dx / distance, dy / distance) } else { (1.0, 0.0) };
                let push = lambda * over;
                slopes[ax] -= push * ux;
                slopes[ax + 1] -= push * uy;
                slopes[bx] += push * ux;
                slopes[bx + 1] += push * uy;
            }
        }
        value
    }

    /// Spreads the centres of `z` just so far that no pair overlaps, and returns the container radius that then
    /// holds all circles.
    pub fn settle(&mut self, z: &mut [f64]) -> f64 {
        self.refresh(z);
        let Some((container, centres)) = z.split_last_mut() else { return 0.0 };
        let mut spread = 1.0_f64;
        for Pair { a, b, sum } in &self.pairs {
            let (dx, dy) = (centres[2 * a] - centres[2 * b], centres[2 * a + 1] - centres[2 * b + 1]);
            spread = spread.max(sum / (dx * dx + dy * dy).sqrt());
        }
        if !spread.is_finite() {
            *container = f64::INFINITY;
            return f64::INFINITY;
        }
        let mut radius = 0.0_f64;
        for (centre, r) in centres.chunks_exact_mut(2).zip(&self.radii) {
            let [x, y] = centre else { continue };
            *x *= spread;
            *y *= spread;
            radius = radius.max((*x * *x + *y * *y).sqrt() + r);
        }
        *container = radius;
        radius
    }

    fn refresh(&mut self, z: &[f64]) {
        let centres = z.split_last().map_or(z, |(_, c)| c);
        let far = (0.5 * GAP) * (0.5 * GAP);
        let moved = |(now, then): (&[f64], &[f64])| {
            let (dx, dy) = (now[0] - then[0], now[1] - then[1]);
            dx * dx + dy * dy >= far
        };
        let stale = self.gathered.len() != centres.len()
            || centres.chunks_exact(2).zip(self.gathered.chunks_exact(2)).any(moved);
        if stale {
            self.gather(centres);
        }
    }

    /// Sweep over the circles in order of x: near-linear work for circles of like size.
    fn gather(&mut self, centres: &[f64]) {
        self.gathered.clear();
        self.gathered.extend_from_slice(centres);
        self.pairs.clear();
        let mut order: Vec<usize> = (0..self.radii.len()).collect();
        order.sort_by(|a, b| centres[2 * a].total_cmp(&centres[2 * b]).then(a.cmp(b)));
        for (place, &a) in order.iter().enumerate() {
            let reach = self.radii[a] + self.largest + GAP;
            for &b in &order[place + 1..] {
                let (dx, dy) = (centres[2 * b] - centres[2 * a], centres[2 * b + 1] - centres[2 * a + 1]);
                if dx > reach {
                    break;
                }
                let sum = self.radii[a] + self.radii[b];
                let near = sum + GAP;
                if dx * dx + dy * dy < near * near {
                    self.pairs.push(Pair { a, b, sum });
                }
                self.spent += 1;
            }
        }
    }
}
