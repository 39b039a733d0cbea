//! A loom and the width that is free for it in; for each leg whether it goes straight on, is folded back or turns
//! back, out.
//!
//! Told from the root along every way: a leg that would leave the bench is folded back on itself before the edge, as
//! often as it must be; one that is too short for a fold leaves sideways, and what hangs on it runs back. A leg that
//! leaves at an angle gets less far than is reckoned here, so nothing runs over the edge it was folded at; at the other
//! one the caller looks and folds anew.

use std::collections::BTreeSet;

use super::loom::{Knot, Leg, Loom};
use super::words::{Row, Texts};
use crate::draw::geometry::{Mm, mm};

/// Room beyond a fold, for its mark.
pub(super) const BEYOND: Mm = mm(46.0);
/// What is left of a leg behind its last fold, at least.
const REST: Mm = mm(75.0);
/// Height between two parts of a leg that is folded, as reckoned here.
const DROP: Mm = mm(70.0);

/// The sides of the bench as seen from the root.
#[derive(Clone, Copy, Debug)]
pub(super) struct Sides {
    pub left: Mm,
    pub right: Mm,
}

/// How a leg goes on.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Course {
    /// In the direction of the leg before.
    On,
    /// Folded where the straight has got so far from its start, seen in its direction.
    Folded(Vec<Mm>),
    /// Sideways; what hangs on it runs back.
    Back,
}

/// A knot's place and direction as reckoned.
#[derive(Clone, Copy)]
struct Spot {
    x: Mm,
    left: bool,
}

/// The course of the leg to each knot; the root's is of no use. Those in `cuts` are laid apart and start anew at the
/// left.
pub(super) fn courses(loom: &Loom, texts: &Texts, sides: Sides, cuts: &BTreeSet<usize>) -> Vec<Course> {
    let mut spots: Vec<Spot> = Vec::with_capacity(loom.knots.len());
    let mut courses = Vec::with_capacity(loom.knots.len());
    for (i, knot) in loom.knots.iter().enumerate() {
        let Some((parent, leg)) = knot.up else {
            spots.push(Spot { x: Mm::ZERO, left: false });
            courses.push(Course::On);
            continue;
        };
        let anew = Spot { x: sides.left + mm(70.0), left: false };
        let from = if cuts.contains(&i) { Some(&anew) } else { spots.get(parent) };
        let from = from.copied().unwrap_or(Spot { x: Mm::ZERO, left: false });
        let (course, spot) = course(&leg, ahead(knot, texts, i), from, sides);
        spots.push(spot);
        courses.push(course);
    }
    courses
}

/// Room that a knot's own ends and words take ahead of it.
fn ahead(knot: &Knot, texts: &Texts, i: usize) -> Mm {
    let rows = knot.ends.iter().zip(texts.rows(i));
    let wide = |row: &Row| row.name.size().width.max(row.told.size().width);
    let ends = rows.map(|(end, row)| end.length() + wide(row)).max().unwrap_or(Mm::ZERO);
    // Those of a place where the loom goes on may lie the other way.
    mm(12.0) + if knot.children.is_empty() { ends } else { ends.min(mm(60.0)) }
}

fn course(leg: &Leg, ahead: Mm, from: Spot, sides: Sides) -> (Course, Spot) {
    let room = |spot: Spot| if spot.left { spot.x - sides.left } else { sides.right - spot.x };
    let on = |spot: Spot, by: Mm| Spot { x: if spot.left { spot.x - by } else { spot.x + by }, ..spot };
    if leg.length + ahead <= room(from) {
        return (Course::On, on(from, leg.length));
    }
    let turn = leg.radius.scaled(std::f64::consts::PI) + DROP - leg.radius * 2;
    let turn = turn.max(leg.radius.scaled(std::f64::consts::PI));
    let (mut folds, mut left, mut at) = (Vec::new(), leg.length, Mm::ZERO);
    let mut spot = from;
    // The straight before a fold ends a radius and the mark before the edge.
    while left + ahead > room(spot) {
        let far = (room(spot) - leg.radius - leg.half - BEYOND).min(left - turn - REST);
        if far < mm(10.0) || folds.len() > 60 {
            break;
        }
        // Seen from the start of the leg, in the direction in which it starts.
        at = if folds.len() % 2 == 0 { at + far } else { at - far };
        folds.push(at);
        spot = on(spot, far);
        spot.left = !spot.left;
        left = left - far - turn;
    }
    if folds.is_empty() {
        return (Course::Back, on(Spot { left: !from.left, ..from }, leg.length));
    }
    (Course::Folded(folds), on(spot, left))
}
