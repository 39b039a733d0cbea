//! Many starts and small upsets, each led downhill: radii in, the tightest packing met out.
//!
//! Monotonic basin hopping, which Grosso, Jamali, Locatelli and Schoen (2008) study for this problem: from the
//! placement at hand circles are shaken, moved into vacancies or exchanged, and the result is led downhill again; what
//! is not tighter is dropped. While it hops the circles are soft, which is quicker and ranks placements nearly as hard
//! circles do; the promising ones are made hard. The numbers that choose come from a fixed seed and the work is
//! counted, not timed, so the same radii always give the same packing.

use super::descent::{Descent, Stop};
use super::energy::Energy;
use super::random::Random;
use super::start;

/// Stiffness of the circles in a fresh start, and while it hops.
const LOOSE: f64 = 1.0;
const SOFT: f64 = 7.0;
/// For a placement that may become the tightest packing: stiffness and most steps.
const FIRM: [(f64, usize); 2] = [(300.0, 60), (6_000.0, 80)];
/// For the packing that is handed out.
const HARD: [(f64, usize); 3] = [(2e4, 200), (4e5, 200), (1e7, 300)];
/// Steps are cut short where there are so many circles that a stage would cost more than this.
const MOST_FOR_STAGE: usize = 400_000;

/// Starts that are led downhill before any is upset.
const FIRST_LOOK: usize = 10;
/// Soft placements that are so much wider than the best are not made hard.
const NEAR: f64 = 0.004;

/// A placement, and its value with soft circles.
struct Found {
    soft: f64,
    z: Vec<f64>,
}

/// How long to look.
#[derive(Clone, Copy, Debug)]
pub struct Effort {
    /// Most work, in pairs of circles looked at; one start is always finished.
    pub budget: u64,
    /// A container of this radius is small enough: no further look is taken.
    pub enough: f64,
}

struct Search {
    energy: Energy,
    descent: Descent,
    random: Random,
    effort: Effort,
    /// Tightest packing so far, and its radius.
    best: (f64, Vec<f64>),
    best_soft: f64,
}

/// Centres (x and y of each circle, last the container radius) of a packing of circles with these radii, whose mean
/// is about 1 and which are sorted from large to small. Of two equally tight packings the one met first is taken.
pub fn tightest(radii: &[f64], effort: Effort) -> Vec<f64> {
    let mut search = Search {
        energy: Energy::new(radii.to_vec()),
        descent: Descent::new(2 * radii.len() + 1),
        random: Random::new(0x5eed),
        effort,
        // Whatever comes, circles in a row are a packing.
        best: row(radii),
        best_soft: f64::INFINITY,
    };
    search.run();
    search.polished()
}

impl Search {
    fn may_go_on(&self) -> bool {
        self.energy.spent < self.effort.budget && self.best.0 > self.effort.enough
    }

    fn run(&mut self) {
        let mut number = 0;
        let mut begun: Vec<Found> = Vec::new();
        // A look at each kind of start before work is put into the best of them.
        while number < FIRST_LOOK && (number == 0 || self.may_go_on()) {
            let found = self.begin(number);
            self.consider(&found);
            begun.push(found);
            number += 1;
        }
        begun.sort_by(|a, b| a.soft.total_cmp(&b.soft));
        let mut begun = begun.into_iter();
        while self.may_go_on() {
            let mut found = begun.next().unwrap_or_else(|| {
                number += 1;
                self.begin(number)
            });
            self.hop(&mut found);
            self.consider(&found);
        }
    }

    fn begin(&mut self, number: usize) -> Found {
        let mut z = start::place(self.energy.radii(), number, &mut self.random);
        if !start::is_lattice(number) {
            self.lead(&mut z, LOOSE, 30, 1e-4, f64::INFINITY);
        }
        let soft = self.lead(&mut z, SOFT, 80, 1e-5, f64::INFINITY);
        Found { soft, z }
    }

    /// Upsets a placement until that has failed often enough; keeps what is tighter.
    fn hop(&mut self, found: &mut Found) {
        let patience = 10 + 2 * self.energy.radii().len();
        let (mut failures, mut turn) = (0, 0);
        while failures < patience && self.may_go_on() {
            let mut z = found.z.clone();
            self.upset(&mut z, turn);
            turn += 1;
            let soft = self.lead(&mut z, SOFT, 60, 1e-4, found.soft);
            if soft < found.soft - 1e-5 {
                *found = Found { soft, z };
                failures = 0;
            } else {
                failures += 1;
            }
        }
    }

    /// Makes the circles of a placement hard, and keeps it where it is the tightest packing so far.
    fn consider(&mut self, found: &Found) {
        if found.soft > self.best_soft * (1.0 + NEAR) {
            return;
        }
        self.best_soft = self.best_soft.min(found.soft);
        let mut z = found.z.clone();
        for (lambda, most) in FIRM {
            self.lead(&mut z, lambda, most, 1e-7, f64::INFINITY);
        }
        let radius = self.energy.settle(&mut z);
        if radius < self.best.0 {
            self.best = (radius, z);
        }
    }

    fn polished(mut self) -> Vec<f64> {
        if self.best.0 <= self.effort.enough {
            return self.best.1;
        }
        let mut z = self.best.1.clone();
        for (lambda, most) in HARD {
            self.lead(&mut z, lambda, most, 0.0, f64::INFINITY);
        }
        if self.energy.settle(&mut z) <= self.best.0 { z } else { self.best.1 }
    }

    fn lead(&mut self, z: &mut [f64], lambda: f64, most: usize, slow: f64, goal: f64) -> f64 {
        let energy = &mut self.energy;
        let most = most.min(MOST_FOR_STAGE / z.len()).max(20);
        self.descent.run(z, Stop { most, flat: 1e-7, slow, goal }, |z, slope| energy.at(z, lambda, slope))
    }

    /// Moves circles so that going downhill again leads elsewhere.
    fn upset(&mut self, z: &mut [f64], turn: usize) {
        let radii = self.energy.radii();
        let n = radii.len();
        let random = &mut self.random;
        let mixed = radii.first() != radii.last();
        if mixed && turn % 4 < 3 {
            // Circles of nearly the same size change places: a wider step seldom leads to anything tighter.
            let a = random.below(n);
            let b = (a + 1 + random.below(3)).min(n - 1);
            z.swap(2 * a, 2 * b);
            z.swap(2 * a + 1, 2 * b + 1);
        } else if turn.is_multiple_of(2) {
            shake(z, random);
        } else {
            let i = random.below(n);
            (z[2 * i], z[2 * i + 1]) = vacancy(z, radii, i, random);
            self.energy.spent += (PLACES_TRIED * n) as u64 / 4;
        }
    }
}

fn row(radii: &[f64]) -> (f64, Vec<f64>) {
    let half: f64 = radii.iter().sum();
    let mut x = -half;
    let mut z = Vec::with_capacity(2 * radii.len() + 1);
    for r in radii {
        z.extend([x + r, 0.0]);
        x += 2.0 * r;
    }
    z.push(half);
    (half, z)
}

/// Shakes the circles about one of them, the less the further away they are.
fn shake(z: &mut [f64], random: &mut Random) {
    let centres = z.as_chunks_mut::<2>().0;
    let [cx, cy] = centres[random.below(centres.len())];
    for [x, y] in centres {
        let (dx, dy) = (*x - cx, *y - cy);
        let share = 1.2 * (1.0 - (dx * dx + dy * dy) / 20.0).max(0.0);
        *x += share * random.signed();
        *y += share * random.signed();
    }
}

/// Places that are tried in the search for a vacancy.
const PLACES_TRIED: usize = 64;

/// The roomiest of some random places in the container, for circle `i`.
fn vacancy(z: &[f64], radii: &[f64], i: usize, random: &mut Random) -> (f64, f64) {
    let container = z.last().copied().unwrap_or(0.0);
    let mut best = (f64::NEG_INFINITY, 0.0, 0.0);
    for _ in 0..PLACES_TRIED {
        let (x, y) = (container * random.signed(), container * random.signed());
        let wall = container - (x * x + y * y).sqrt();
        let others = z.as_chunks::<2>().0.iter().zip(radii).enumerate().filter(|(j, _)| *j != i);
        let room = others
            .map(|(_, (c, r))| ((c[0] - x) * (c[0] - x) + (c[1] - y) * (c[1] - y)).sqrt() - r)
            .fold(wall, f64::min);
        if room > best.0 {
            best = (room, x, y);
        }
    }
    (best.1, best.2)
}
