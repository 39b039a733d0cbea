//! The packing problem as a smooth function: centres and container radius in, value and slope out.
//!
//! f = R + λ/2 · Σ overlap², summed over circles outside the container and over pairs of circles. With growing λ its
//! minimum goes to a packing with the smallest R near the start. Lengths are in mean radii of the circles.

/// Two circles that are near enough to touch soon, and the sum of their radii.
struct Pair {
    a: u32,
    b: u32,
    sum: f64,
}

/// Circles to be packed, with the list of near pairs kept up to date.
pub struct Energy {
    radii: Vec<f64>,
    /// How far each circle may move before its neighbours are gathered anew.
    slack: Vec<f64>,
    pairs: Vec<Pair>,
    /// Centres for which `pairs` was gathered.
    gathered: Vec<f64>,
    /// Work done so far, in pairs and circles looked at: the search's budget.
    pub spent: u64,
}

/// Pairs further apart than both may move are left out of the list: until one has moved so far, they cannot overlap.
/// A circle may move this far; a very thin one less, or it would have all other thin ones as neighbours.
const SLACK: f64 = 0.25;
/// A step downhill costs about as much for each circle, beside what is done in [`Energy::at`], as so many pairs.
const STEP_COST: u64 = 4;

impl Energy {
    /// For circles of these radii, sorted from large to small.
    pub fn new(radii: Vec<f64>) -> Energy {
        let slack = radii.iter().map(|r| SLACK.min(2.5 * r)).collect();
        Energy { radii, slack, pairs: Vec::new(), gathered: Vec::new(), spent: 0 }
    }

    pub fn radii(&self) -> &[f64] {
        &self.radii
    }

    /// Value at `z` (x and y of each circle, last the container radius); writes the slope into `slope`.
    pub fn at(&mut self, z: &[f64], lambda: f64, slope: &mut [f64]) -> f64 {
        self.refresh(z);
        self.spent += self.pairs.len() as u64 + STEP_COST * self.radii.len() as u64;
        let Some((container, centres)) = z.split_last() else { return 0.0 };
        let Some((container_slope, slopes)) = slope.split_last_mut() else { return 0.0 };
        slopes.fill(0.0);
        let (centres, slopes) = (centres.as_chunks::<2>().0, slopes.as_chunks_mut::<2>().0);
        let (mut squares, mut outside) = (0.0, 0.0);
        for (([x, y], slope), radius) in centres.iter().zip(slopes.iter_mut()).zip(&self.radii) {
            let limit = container - radius;
            let squared = x * x + y * y;
            if limit < 0.0 || squared > limit * limit {
                let distance = squared.sqrt();
                let over = distance - limit;
                squares += over * over;
                outside += over;
                let pull = if distance > 0.0 { lambda * over / distance } else { 0.0 };
                slope[0] += pull * x;
                slope[1] += pull * y;
            }
        }
        *container_slope = 1.0 - lambda * outside;
        for Pair { a, b, sum } in &self.pairs {
            let (a, b) = (*a as usize, *b as usize);
            let ([ax, ay], [bx, by]) = (centres[a], centres[b]);
            let (dx, dy) = (ax - bx, ay - by);
            let squared = dx * dx + dy * dy;
            if squared < sum * sum {
                let distance = squared.sqrt();
                let over = sum - distance;
                squares += over * over;
                // Two circles on one spot are pushed apart along x.
                let (px, py) = if distance > 0.0 {
                    let push = lambda * over / distance;
                    (push * dx, push * dy)
                } else {
                    (lambda * over, 0.0)
                };
                slopes[a][0] -= px;
                slopes[a][1] -= py;
                slopes[b][0] += px;
                slopes[b][1] += py;
            }
        }
        container + 0.5 * lambda * squares
    }

    /// Spreads the centres of `z` just so far that no pair overlaps, and returns the container radius that then
    /// holds all circles.
    pub fn settle(&mut self, z: &mut [f64]) -> f64 {
        self.refresh(z);
        let Some((container, centres)) = z.split_last_mut() else { return 0.0 };
        let centres = centres.as_chunks_mut::<2>().0;
        let mut spread = 1.0_f64;
        for Pair { a, b, sum } in &self.pairs {
            let ([ax, ay], [bx, by]) = (centres[*a as usize], centres[*b as usize]);
            let (dx, dy) = (ax - bx, ay - by);
            spread = spread.max(sum / (dx * dx + dy * dy).sqrt());
        }
        if !spread.is_finite() {
            *container = f64::INFINITY;
            return f64::INFINITY;
        }
        let mut radius = 0.0_f64;
        for ([x, y], r) in centres.iter_mut().zip(&self.radii) {
            *x *= spread;
            *y *= spread;
            radius = radius.max((*x * *x + *y * *y).sqrt() + r);
        }
        *container = radius;
        radius
    }

    fn refresh(&mut self, z: &[f64]) {
        let centres = z.split_last().map_or(z, |(_, c)| c);
        let (now, then) = (centres.as_chunks::<2>().0, self.gathered.as_chunks::<2>().0);
        let moved = |((now, then), slack): ((&[f64; 2], &[f64; 2]), &f64)| {
            let (dx, dy) = (now[0] - then[0], now[1] - then[1]);
            dx * dx + dy * dy >= slack * slack
        };
        if now.len() != then.len() || now.iter().zip(then).zip(&self.slack).any(moved) {
            self.gather(centres);
        }
    }

    /// Sweep over the circles in order of x. Each looks for those that are no larger, so that one thick cable among
    /// many thin wires costs no more than the wires do: near-linear.
    fn gather(&mut self, centres: &[f64]) {
        self.gathered.clear();
        self.gathered.extend_from_slice(centres);
        self.pairs.clear();
        let centres = centres.as_chunks::<2>().0;
        let mut order: Vec<(f64, u32)> = centres.iter().map(|c| c[0]).zip(0..).collect();
        order.sort_unstable_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        for (place, &(ax, a)) in order.iter().enumerate() {
            let (radius, slack) = (self.radii[a as usize], self.slack[a as usize]);
            let reach = 2.0 * (radius + slack);
            let ay = centres[a as usize][1];
            let (before, after) = (order[..place].iter().rev(), order[place + 1..].iter());
            let within = |(bx, _): &&(f64, u32)| (bx - ax).abs() <= reach;
            for &(bx, b) in before.take_while(within).chain(after.take_while(within)) {
                self.spent += 1;
                // Radii fall with the index: those behind are no larger.
                if b <= a {
                    continue;
                }
                let (dx, dy) = (bx - ax, centres[b as usize][1] - ay);
                let sum = radius + self.radii[b as usize];
                let near = sum + slack + self.slack[b as usize];
                if dx * dx + dy * dy < near * near {
                    self.pairs.push(Pair { a, b, sum });
                }
            }
        }
    }
}
