//! Many starts and small upsets, each led downhill: radii in, the tightest packing met out.
//!
//! Basin hopping: from the packing at hand, circles are moved into vacancies or exchanged, and the result is led
//! downhill again. The numbers that choose come from a fixed seed and the work is counted, not timed, so the same
//! radii always give the same packing.

use super::descent::descend;
use super::energy::Energy;
use super::random::Random;
use super::start;

/// Stiffness of the circles while they find their places, and the most steps taken with it.
const LOOSE: (f64, usize) = (4.0, 40);
const SOFT: (f64, usize) = (60.0, 60);
const FIRM: (f64, usize) = (1_500.0, 80);
/// For the packing that is handed out.
const HARD: [(f64, usize); 3] = [(2e4, 200), (4e5, 200), (1e7, 300)];

/// Starts that are settled before any is upset.
const FIRST_LOOK: usize = 12;

/// Centres (x and y of each circle, last the container radius) of a packing of circles with these radii, whose mean
/// is about 1 and which are sorted from large to small. `budget` bounds the work, in pairs of circles looked at; one
/// start is always finished. Of two equally tight packings the one met first is taken.
pub fn tightest(radii: &[f64], budget: u64) -> Vec<f64> {
    let mut energy = Energy::new(radii.to_vec());
    let mut random = Random::new(0x5eed);
    let mut begun: Vec<(f64, Vec<f64>)> = Vec::new();
    let mut number = 0;
    // A look at each kind of start before work is put into the best of them.
    while number < FIRST_LOOK && (number == 0 || energy.spent < budget) {
        begun.extend(begin(&mut energy, number, f64::INFINITY, &mut random));
        number += 1;
    }
    begun.sort_by(|a, b| a.0.total_cmp(&b.0));
    // Whatever comes, circles in a row are a packing.
    let mut best = row(radii);
    if let Some(first) = begun.first().filter(|first| first.0 < best.0) {
        best = first.clone();
    }
    let mut begun = begun.into_iter();
    while energy.spent < budget {
        let next = begun.next().or_else(|| {
            number += 1;
            begin(&mut energy, number, best.0 * 1.02, &mut random)
        });
        let Some((mut radius, mut z)) = next else { continue };
        hop(&mut energy, &mut z, &mut radius, &mut random, budget);
        if radius < best.0 {
            best = (radius, z);
        }
    }
    let (radius, z) = best;
    let mut polished = z.clone();
    HARD.iter().for_each(|stage| _ = step(&mut energy, &mut polished, *stage));
    if energy.settle(&mut polished) <= radius { polished } else { z }
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

/// A packing from start `number`; None where it stays above `limit`.
fn begin(energy: &mut Energy, number: usize, limit: f64, random: &mut Random) -> Option<(f64, Vec<f64>)> {
    let mut z = start::place(energy.radii(), number, random);
    if !start::is_lattice(number) {
        step(energy, &mut z, LOOSE);
    }
    settle(energy, &mut z, limit).map(|radius| (radius, z))
}

/// Upsets the packing until that has failed often enough; keeps what is tighter.
fn hop(energy: &mut Energy, z: &mut Vec<f64>, radius: &mut f64, random: &mut Random, budget: u64) {
    let patience = 8 + energy.radii().len();
    let mut failures = 0;
    while failures < patience && energy.spent < budget {
        let mut other = z.clone();
        upset(&mut other, energy.radii(), failures, random);
        match settle(energy, &mut other, *radius) {
            Some(reached) if reached < *radius - 1e-7 => (*radius, *z, failures) = (reached, other, 0),
            _ => failures += 1,
        }
    }
}

/// Leads `z` downhill to a packing and returns its radius; None as soon as it cannot come under `limit`. The minimum
/// of a soft function lies under the radius of every packing near it.
fn settle(energy: &mut Energy, z: &mut [f64], limit: f64) -> Option<f64> {
    if step(energy, z, SOFT) > limit || step(energy, z, FIRM) > limit {
        return None;
    }
    Some(energy.settle(z))
}

fn step(energy: &mut Energy, z: &mut [f64], (lambda, most): (f64, usize)) -> f64 {
    descend(z, most, 1e-6, |z, slope| energy.at(z, lambda, slope))
}

/// Moves circles of a packing so that going downhill again leads elsewhere.
fn upset(z: &mut [f64], radii: &[f64], turn: usize, random: &mut Random) {
    let n = radii.len();
    if radii.first() != radii.last() && turn.is_multiple_of(2) {
        let (a, b) = (random.below(n), random.below(n));
        z.swap(2 * a, 2 * b);
        z.swap(2 * a + 1, 2 * b + 1);
        return;
    }
    if turn % 4 == 3 {
        z.iter_mut().take(2 * n).for_each(|c| *c += 0.5 * random.signed());
        return;
    }
    let i = random.below(n);
    let (x, y) = vacancy(z, radii, i, random);
    z[2 * i] = x;
    z[2 * i + 1] = y;
}

/// The roomiest of some random places in the container, for circle `i`.
fn vacancy(z: &[f64], radii: &[f64], i: usize, random: &mut Random) -> (f64, f64) {
    let container = z.last().copied().unwrap_or(0.0);
    let mut best = (f64::NEG_INFINITY, 0.0, 0.0);
    for _ in 0..24 {
        let (x, y) = (container * random.signed(), container * random.signed());
        let wall = container - (x * x + y * y).sqrt();
        let others = z.chunks_exact(2).zip(radii).enumerate().filter(|(j, _)| *j != i);
        let room = others
            .map(|(_, (c, r))| ((c[0] - x) * (c[0] - x) + (c[1] - y) * (c[1] - y)).sqrt() - r)
            .fold(wall, f64::min);
        if room > best.0 {
            best = (room, x, y);
        }
    }
    (best.1, best.2)
}
