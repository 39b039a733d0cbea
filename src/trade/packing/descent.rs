//! Limited-memory BFGS with a backtracking line search: a function and a start in, a nearby minimum out.
//!
//! Nocedal and Wright, Numerical Optimization, algorithm 7.4 (two-loop recursion) and Armijo's condition. Sums are
//! taken in four strands that are added up at the end: faster than one by one, and the same on every machine.

/// Pairs of step and slope change that are remembered.
const MEMORY: usize = 5;
/// Armijo's share of the promised decrease.
const ENOUGH: f64 = 1e-4;
/// Steps over which `Stop::slow` is measured.
const SPAN: usize = 4;
/// What the last steps won is hoped to be won so many times more.
const HOPE: f64 = 4.0;

/// When to stop.
#[derive(Clone, Copy, Debug)]
pub struct Stop {
    /// Most steps.
    pub most: usize,
    /// The slope is shorter than this.
    pub flat: f64,
    /// The last four steps together won less than this.
    pub slow: f64,
    /// Not worth going on where the value stays above this even if what the last four steps won is won four times
    /// more; infinite: always worth it.
    pub goal: f64,
}

/// A step that was taken, how the slope changed over it, and one over their product.
#[derive(Clone, Debug)]
struct Remembered {
    step: Vec<f64>,
    change: Vec<f64>,
    rho: f64,
}

/// Room to work in, for functions of so many variables; kept between descents.
#[derive(Clone, Debug)]
pub struct Descent {
    memory: Vec<Remembered>,
    /// Entries of `memory` that hold something, and the one that is written next.
    held: usize,
    next: usize,
    slope: Vec<f64>,
    trial: Vec<f64>,
    trial_slope: Vec<f64>,
    direction: Vec<f64>,
}

impl Descent {
    /// For functions of `n` variables.
    pub fn new(n: usize) -> Descent {
        let empty = Remembered { step: vec![0.0; n], change: vec![0.0; n], rho: 0.0 };
        Descent {
            memory: vec![empty; MEMORY],
            held: 0,
            next: 0,
            slope: vec![0.0; n],
            trial: vec![0.0; n],
            trial_slope: vec![0.0; n],
            direction: vec![0.0; n],
        }
    }

    /// Moves `z` downhill until `stop`. `f` writes the slope at its first argument into its second and returns the
    /// value. Returns the value that was reached.
    pub fn run(&mut self, z: &mut [f64], stop: Stop, mut f: impl FnMut(&[f64], &mut [f64]) -> f64) -> f64 {
        self.held = 0;
        let mut value = f(z, &mut self.slope);
        let mut before = [f64::INFINITY; SPAN];
        for turn in 0..stop.most {
            let steepness = dot(&self.slope, &self.slope).sqrt();
            let was = std::mem::replace(&mut before[turn % SPAN], value);
            let won = was - value;
            if steepness < stop.flat || won < stop.slow || value - HOPE * won > stop.goal {
                return value;
            }
            self.point_downhill();
            let mut promise = dot(&self.direction, &self.slope);
            if promise >= 0.0 {
                self.held = 0;
                self.point_downhill();
                promise = -steepness * steepness;
            }
            // Without memory the length of the slope says nothing about the distance: begin with a small step.
            let mut step = if self.held == 0 { 0.1 / steepness.max(1.0) } else { 1.0 };
            let mut lower = None;
            for _ in 0..20 {
                for ((t, z), d) in self.trial.iter_mut().zip(z.iter()).zip(&self.direction) {
                    *t = z + step * d;
                }
                let reached = f(&self.trial, &mut self.trial_slope);
                if reached <= value + ENOUGH * step * promise {
                    lower = Some(reached);
                    break;
                }
                step *= 0.5;
            }
            let Some(reached) = lower else { return value };
            self.remember(z);
            z.copy_from_slice(&self.trial);
            std::mem::swap(&mut self.slope, &mut self.trial_slope);
            value = reached;
        }
        value
    }

    /// Keeps the step from `z` to the trial point.
    fn remember(&mut self, z: &[f64]) {
        let Some(entry) = self.memory.get_mut(self.next) else { return };
        for ((s, t), z) in entry.step.iter_mut().zip(&self.trial).zip(z) {
            *s = t - z;
        }
        for ((c, t), s) in entry.change.iter_mut().zip(&self.trial_slope).zip(&self.slope) {
            *c = t - s;
        }
        let curvature = dot(&entry.step, &entry.change);
        if curvature > 1e-14 {
            entry.rho = 1.0 / curvature;
            self.next = (self.next + 1) % MEMORY;
            self.held = (self.held + 1).min(MEMORY);
        }
    }

    /// Sets the direction to minus the approximate inverse Hessian times the slope.
    fn point_downhill(&mut self) {
        let Descent { memory, held, next, slope, direction: q, .. } = self;
        for (q, s) in q.iter_mut().zip(slope.iter()) {
            *q = -s;
        }
        let mut alphas = [0.0; MEMORY];
        let newest_first = (1..=*held).map(|back| (*next + MEMORY - back) % MEMORY);
        for i in newest_first.clone() {
            let Remembered { step, change, rho } = &memory[i];
            alphas[i] = rho * dot(step, q);
            add(q, -alphas[i], change);
        }
        if let Some(i) = newest_first.clone().next() {
            let Remembered { change, rho, .. } = &memory[i];
            let scale = 1.0 / (rho * dot(change, change));
            q.iter_mut().for_each(|v| *v *= scale);
        }
        for i in newest_first.rev() {
            let Remembered { step, change, rho } = &memory[i];
            let beta = rho * dot(change, q);
            add(q, alphas[i] - beta, step);
        }
    }
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    let ((a4, a_rest), (b4, b_rest)) = (a.as_chunks::<4>(), b.as_chunks::<4>());
    let mut sums = [0.0; 4];
    for (a, b) in a4.iter().zip(b4) {
        for i in 0..4 {
            sums[i] += a[i] * b[i];
        }
    }
    let rest: f64 = a_rest.iter().zip(b_rest).map(|(a, b)| a * b).sum();
    (sums[0] + sums[2]) + (sums[1] + sums[3]) + rest
}

fn add(to: &mut [f64], factor: f64, what: &[f64]) {
    for (t, w) in to.iter_mut().zip(what) {
        *t += factor * w;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn finds_the_bottom_of_rosenbrocks_valley() {
        let mut z = vec![-1.2, 1.0];
        Descent::new(2).run(
            &mut z,
            Stop { most: 200, flat: 1e-9, slow: 0.0, goal: f64::INFINITY },
            |z, slope| {
                let (x, y) = (z[0], z[1]);
                slope[0] = -2.0 * (1.0 - x) - 400.0 * x * (y - x * x);
                slope[1] = 200.0 * (y - x * x);
                (1.0 - x).powi(2) + 100.0 * (y - x * x).powi(2)
            },
        );
        assert!((z[0] - 1.0).abs() < 1e-6 && (z[1] - 1.0).abs() < 1e-6, "{z:?}");
    }
}
