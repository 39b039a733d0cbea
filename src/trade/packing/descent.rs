//! Limited-memory BFGS with a backtracking line search: a function and a start in, a nearby minimum out.
//!
//! Nocedal and Wright, Numerical Optimization, algorithm 7.4 (two-loop recursion) and Armijo's condition. One run
//! costs at most `most` steps.

/// Pairs of step and slope change that are remembered.
const MEMORY: usize = 6;
/// Armijo's share of the promised decrease.
const ENOUGH: f64 = 1e-4;

/// Moves `z` downhill, at most `most` steps, until the slope's length falls under `flat`. `f` writes the slope at its
/// first argument into its second and returns the value. Returns the value that was reached.
pub fn descend(z: &mut [f64], most: usize, flat: f64, mut f: impl FnMut(&[f64], &mut [f64]) -> f64) -> f64 {
    let n = z.len();
    let mut slope = vec![0.0; n];
    let mut value = f(z, &mut slope);
    let mut memory: Vec<(Vec<f64>, Vec<f64>, f64)> = Vec::with_capacity(MEMORY + 1);
    let (mut trial, mut trial_slope) = (vec![0.0; n], vec![0.0; n]);
    for _ in 0..most {
        let steepness = dot(&slope, &slope).sqrt();
        if steepness < flat {
            return value;
        }
        let mut direction = downhill(&slope, &memory);
        let mut promise = dot(&direction, &slope);
        if promise >= 0.0 {
            memory.clear();
            direction = slope.iter().map(|s| -s).collect();
            promise = -steepness * steepness;
        }
        // Without memory the length of the slope says nothing about the distance: begin with a small step.
        let mut step = if memory.is_empty() { 0.1 / steepness.max(1.0) } else { 1.0 };
        let mut lower = None;
        for _ in 0..20 {
            for ((t, z), d) in trial.iter_mut().zip(z.iter()).zip(&direction) {
                *t = z + step * d;
            }
            let reached = f(&trial, &mut trial_slope);
            if reached <= value + ENOUGH * step * promise {
                lower = Some(reached);
                break;
            }
            step *= 0.5;
        }
        let Some(reached) = lower else { return value };
        remember(&mut memory, z, &trial, &slope, &trial_slope);
        z.copy_from_slice(&trial);
        std::mem::swap(&mut slope, &mut trial_slope);
        value = reached;
    }
    value
}

fn remember(
    memory: &mut Vec<(Vec<f64>, Vec<f64>, f64)>,
    z: &[f64],
    next: &[f64],
    slope: &[f64],
    next_slope: &[f64],
) {
    let difference = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(a, b)| a - b).collect::<Vec<f64>>();
    let (step, change) = (difference(next, z), difference(next_slope, slope));
    let curvature = dot(&step, &change);
    if curvature > 1e-14 {
        if memory.len() == MEMORY {
            memory.remove(0);
        }
        memory.push((step, change, 1.0 / curvature));
    }
}

/// Minus the approximate inverse Hessian times the slope.
fn downhill(slope: &[f64], memory: &[(Vec<f64>, Vec<f64>, f64)]) -> Vec<f64> {
    let mut q: Vec<f64> = slope.iter().map(|s| -s).collect();
    let mut alphas = [0.0; MEMORY];
    for ((step, change, rho), alpha) in memory.iter().zip(&mut alphas).rev() {
        *alpha = rho * dot(step, &q);
        add(&mut q, -*alpha, change);
    }
    if let Some((_, change, rho)) = memory.last() {
        let scale = 1.0 / (rho * dot(change, change));
        q.iter_mut().for_each(|v| *v *= scale);
    }
    for ((step, change, rho), alpha) in memory.iter().zip(&alphas) {
        let beta = rho * dot(change, &q);
        add(&mut q, alpha - beta, step);
    }
    q
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
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
        descend(&mut z, 200, 1e-9, |z, slope| {
            let (x, y) = (z[0], z[1]);
            slope[0] = -2.0 * (1.0 - x) - 400.0 * x * (y - x * x);
            slope[1] = 200.0 * (y - x * x);
            (1.0 - x).powi(2) + 100.0 * (y - x * x).powi(2)
        });
        assert!((z[0] - 1.0).abs() < 1e-6 && (z[1] - 1.0).abs() < 1e-6, "{z:?}");
    }
}
