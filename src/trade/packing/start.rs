//! First placements for the search: radii and the number of the start in, rough centres out.
//!
//! Three kinds. Rings: circles lie along the wall, the next ones along the wall of the space that is left, and so on
//! inwards; the best known packings of 19, 37 and 61 equal circles are of this kind. Lattice: the places of a hexagonal
//! lattice nearest to some point, as in the best known packings of 7 and 31. Spiral: circles along a sunflower
//! spiral. All use only square roots, so that every machine finds the same centres.

use super::random::Random;

/// A rough placement (x and y of each circle, last a container radius); circles may overlap.
pub fn place(radii: &[f64], start: usize, random: &mut Random) -> Vec<f64> {
    let mut order: Vec<usize> = (0..radii.len()).collect();
    match start {
        0 | 1 => {}
        2 => order.reverse(),
        _ => shuffle(&mut order, random),
    }
    // Share of the container that the circles cover; good packings of like circles have 0.75 to 0.85.
    let cover = if start == 0 { 0.8 } else { 0.8 + 0.06 * random.signed() };
    let mut z = vec![0.0; 2 * radii.len() + 1];
    match start % 4 {
        _ if is_lattice(start) => lattice(&mut z, radii, &order, start / 4, random),
        3 => spiral(&mut z, radii, &order, cover),
        _ => rings(&mut z, radii, &order, cover, random),
    }
    z
}

/// True where `place` puts the circles on a lattice, which soft circles would lose.
pub fn is_lattice(start: usize) -> bool {
    start % 4 == 1
}

fn shuffle(order: &mut [usize], random: &mut Random) {
    for i in (1..order.len()).rev() {
        order.swap(i, random.below(i + 1));
    }
}

fn area(radii: &[f64], of: &[usize]) -> f64 {
    of.iter().map(|i| radii[*i] * radii[*i]).sum()
}

fn rings(z: &mut [f64], radii: &[f64], order: &[usize], cover: f64, random: &mut Random) {
    let mut left = order;
    let mut first = true;
    while !left.is_empty() {
        let widest = left.iter().map(|i| radii[*i]).fold(0.0, f64::max);
        let wall = (area(radii, left) / cover).sqrt().max(widest);
        if first {
            let last = z.len() - 1;
            z[last] = wall;
            first = false;
        }
        left = &left[ring(z, radii, left, wall, random)..];
    }
}

/// Lays circles along the inside of a wall until they have gone round; returns how many.
fn ring(z: &mut [f64], radii: &[f64], left: &[usize], wall: f64, random: &mut Random) -> usize {
    let (mut ux, mut uy) = random.direction();
    let (sx, sy) = (ux, uy);
    let mut past_half = false;
    for (count, pair) in left.iter().zip(left.iter().skip(1).map(Some).chain([None])).enumerate() {
        let (&i, next) = pair;
        let from = wall - radii[i];
        z[2 * i] = from * ux;
        z[2 * i + 1] = from * uy;
        let Some(&j) = next else { return count + 1 };
        // Law of cosines in the triangle of the wall's centre and two circles that touch.
        let to = wall - radii[j];
        let reach = radii[i] + radii[j];
        let cos = (from * from + to * to - reach * reach) / (2.0 * from * to);
        if !(cos > -1.0 && cos < 1.0) {
            return count + 1;
        }
        let sin = (1.0 - cos * cos).sqrt();
        (ux, uy) = (ux * cos - uy * sin, ux * sin + uy * cos);
        // Which side of the first circle's direction the next one lies on tells half turns apart.
        let side = sx * uy - sy * ux;
        past_half |= side < 0.0;
        let first = left[0];
        let (dx, dy) = (to * ux - z[2 * first], to * uy - z[2 * first + 1]);
        let room = 0.97 * (radii[first] + radii[j]);
        let round = past_half && (side >= 0.0 || dx * dx + dy * dy < room * room);
        if round {
            return count + 1;
        }
    }
    left.len()
}

/// Circles in `order` on lattice places from the middle outwards; the middle is a place, lies between
/// places, or anywhere.
fn lattice(z: &mut [f64], radii: &[f64], order: &[usize], turn: usize, random: &mut Random) {
    let n = radii.len();
    let (mx, my) = match turn {
        0 => (0.0, 0.0),
        // Between three places, then between two.
        1 => (1.0, 0.577_350_269_189_625_8),
        2 => (1.0, 0.0),
        _ => (random.signed(), random.signed()),
    };
    let half = (1..).find(|h: &i32| h * h >= n as i32).unwrap_or(1) + 2;
    let mut places: Vec<(f64, f64, f64)> = (-half..=half)
        .flat_map(|row| (-half..=half).map(move |column| (row, column)))
        .map(|(row, column)| {
            // Neighbours lie two mean radii apart; √3 between rows.
            let x = f64::from(2 * column + (row & 1)) - mx;
            let y = f64::from(row) * 1.732_050_807_568_877_2 - my;
            (x * x + y * y, x, y)
        })
        .collect();
    places.sort_by(|a, b| a.0.total_cmp(&b.0));
    for (&i, (squared, x, y)) in order.iter().zip(&places) {
        z[2 * i] = *x;
        z[2 * i + 1] = *y;
        let last = z.len() - 1;
        z[last] = squared.sqrt() + 1.0;
    }
}

fn spiral(z: &mut [f64], radii: &[f64], order: &[usize], cover: f64) {
    // Cosine and sine of the golden angle, π (3 − √5).
    let (c, s) = (-0.737_368_878_078_319_7, 0.675_490_294_261_523_8);
    let (mut ux, mut uy) = (1.0, 0.0);
    let mut inside = 0.0;
    for &i in order {
        let half = 0.5 * radii[i] * radii[i];
        let distance = ((inside + half) / cover).sqrt();
        inside += 2.0 * half;
        z[2 * i] = distance * ux;
        z[2 * i + 1] = distance * uy;
        (ux, uy) = (c * ux - s * uy, s * ux + c * uy);
    }
    let last = z.len() - 1;
    z[last] = (inside / cover).sqrt();
}
