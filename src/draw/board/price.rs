//! Places on a knot in, each with what it costs in height of the bench; the cheapest out, and whether a place is worth
//! looking for at all.

use super::branch::Hung;
use crate::draw::geometry::{Area, Mm};

/// What a leg costs that runs another way than was reckoned with, in millimetres of bench.
pub(super) const ASTRAY: f64 = 3000.0;
/// What a place costs for each millimetre that it lies beside the knot.
const BESIDE: f64 = 0.2;
/// Ways are rounded to micrometres, so a limit is not taken more exactly than this, in millimetres.
const ROUNDING: f64 = 0.01;

/// The cheapest place found so far, on what is taken up to this rectangle.
pub(super) struct Best {
    hull: Area,
    found: Option<(f64, Hung)>,
}

impl Best {
    pub fn on(hull: Area) -> Best {
        Best { hull, found: None }
    }

    pub fn is_none(&self) -> bool {
        self.found.is_none()
    }

    pub fn into_found(self) -> Option<Hung> {
        self.found.map(|(_, hung)| hung)
    }

    /// What a place with this bias must keep to in order to be cheaper.
    pub fn limit(&self, bias: f64) -> Limit {
        match &self.found {
            Some((cost, _)) => Limit::Below { cost: *cost, on: self.hull, bias },
            None => Limit::None,
        }
    }

    /// Keeps a place where it is the cheapest so far.
    pub fn offer(&mut self, bias: f64, found: Option<Hung>) {
        let Some(mut hung) = found else { return };
        let grown = hung.hull.union(self.hull).height() - self.hull.height();
        let cost = grown.as_f64() + hung.kid.frame.at.y.abs().as_f64() * BESIDE + bias;
        if self.found.as_ref().is_none_or(|(known, _)| cost < *known) {
            hung.kid.astray = bias >= ASTRAY;
            self.found = Some((cost, hung));
        }
    }
}

/// What a place must cost less than to be worth finding.
#[derive(Clone, Copy, Debug)]
pub(super) enum Limit {
    /// It is, whatever it costs.
    None,
    /// On what is taken up to a rectangle, and with this bias.
    Below { cost: f64, on: Area, bias: f64 },
}

impl Limit {
    /// False where a shape that takes at least this rectangle, so far beside its knot, costs too much there and wherever
    /// it is moved further out: down or up.
    pub fn allows(&self, own: Area, beside: Mm, down: bool) -> bool {
        let Limit::Below { cost: below, on, bias } = *self else { return true };
        // How far it reaches beyond what is taken, outwards and on the other side; below zero: not as far.
        let (above, under) = (on.min.y - own.min.y, own.max.y - on.max.y);
        let (outer, inner) = if down { (under, above) } else { (above, under) };
        let over = |by: Mm| by.max(Mm::ZERO);
        // Moved out it costs less only as long as it does not reach out further, and gets shorter on the other side.
        let moved = over(-outer).min(over(inner));
        let grown = over(outer + moved) + over(inner - moved);
        let cost = grown.as_f64() + (beside.abs() + moved).as_f64() * BESIDE + bias;
        cost - ROUNDING < below
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::draw::geometry::{Extent, Point, mm};

    // A limit leaves out only what would have been dearer, wherever it is moved to.
    #[test]
    fn a_limit_refuses_nothing_cheaper() {
        let area =
            |y: f64, height: f64| Area::at(Point::new(Mm::ZERO, mm(y)), Extent::new(mm(10.0), mm(height)));
        let (on, bias) = (area(-50.0, 80.0), 6.0);
        for down in [false, true] {
            for (y, height) in [(-70.0, 10.0), (-20.0, 30.0), (-60.0, 100.0), (10.0, 60.0), (-140.0, 200.0)] {
                let cost = |by: f64| {
                    let own = area(if down { y + by } else { y - by }, height);
                    let grown = own.union(on).height() - on.height();
                    grown.as_f64() + (30.0 + by) * BESIDE + bias
                };
                let cheapest = (0..4000).map(|by| cost(f64::from(by) / 10.0)).fold(f64::INFINITY, f64::min);
                let allows = |below: f64| {
                    Limit::Below { cost: below, on, bias }.allows(area(y, height), mm(30.0), down)
                };
                assert!(allows(cheapest + 0.02), "{down} {y}: {cheapest}");
                assert!(!allows(cheapest - 0.12), "{down} {y}: {cheapest}");
            }
        }
    }
}
