//! Circle packing against the best known packings.

use crate::published::{number, rows};
use fairlead::quantity::Length;
use fairlead::trade::packing::{Packing, pack};

/// Radius of the enclosing circle in the unit of `radii`, and the packing itself.
fn packed(radii: &[f64]) -> (f64, Packing) {
    // A unit of 10 mm, so that rounding to a micrometre is far below the tolerance.
    let diameters: Vec<Length> = radii.iter().map(|r| Length::from_mm(20.0 * r)).collect();
    let packing = pack(&diameters);
    (packing.diameter.mm() / 20.0, packing)
}

fn check(radii: &[f64], best_known: f64, share: f64, place: &str) {
    let (radius, packing) = packed(radii);
    assert!(radius <= best_known * (1.0 + share), "{place}: {radius}, best known {best_known}");
    // Nobody beats a proved or long-standing record by more than rounding: if this does, something overlaps.
    assert!(radius >= best_known * 0.999_99, "{place}: {radius} is too good, best known {best_known}");
    for (i, a) in packing.circles.iter().enumerate() {
        assert!(
            (a.x.mm().hypot(a.y.mm()) + a.diameter.mm() / 2.0) <= packing.diameter.mm() / 2.0 + 1e-9,
            "{place}"
        );
        for b in packing.circles.iter().skip(i + 1) {
            let apart = (a.x - b.x).mm().hypot((a.y - b.y).mm());
            assert!(apart + 1e-9 >= (a.diameter.mm() + b.diameter.mm()) / 2.0, "{place}: circles overlap");
        }
    }
}

#[test]
fn equal_circles_of_the_published_table() {
    for row in rows("circles_equal.csv") {
        let n = number(&row, "n") as usize;
        check(&vec![1.0; n], number(&row, "R"), 0.001, &format!("Graham et al. 1998, {n} equal circles"));
    }
}

// Kravitz 1967 as quoted with a public modelling example: 11 and 13 equal circles have the closed forms
// 1 + 1/sin(π/9) and 1 + 1/sin(π/10). For 31 the hexagonal lattice gives 1 + 2√7; for 37 and 61 the curved hexagonal
// packings are the best known (values from memory).
#[test]
fn equal_circles_by_closed_form_and_from_memory() {
    use std::f64::consts::PI;
    for (n, best_known, share, place) in [
        (11, 1.0 + 1.0 / (PI / 9.0).sin(), 0.001, "Kravitz 1967"),
        (13, 1.0 + 1.0 / (PI / 10.0).sin(), 0.001, "Kravitz 1967"),
        (31, 1.0 + 2.0 * 7.0_f64.sqrt(), 0.01, "lattice"),
        (37, 6.758_774, 0.01, "from memory"),
        (61, 8.661_298, 0.01, "from memory"),
    ] {
        check(&vec![1.0; n], best_known, share, &format!("{place}, {n} equal circles"));
    }
}

// Circles of radius 1, 2, … n: best known values from memory of the contest on this problem (2005/06).
#[test]
fn circles_of_radius_one_to_n_from_memory() {
    for (n, best_known) in
        [(3, 5.0), (4, 7.0), (5, 9.001_397_7), (6, 11.057_040_4), (7, 13.462_110_7), (8, 16.221_746_7)]
    {
        let radii: Vec<f64> = (1..=n).map(f64::from).collect();
        check(&radii, best_known, 0.001, &format!("from memory, radii 1 to {n}"));
    }
}
