//! What each wire drops in; what is dropped between any two pins, and what of it is not known, out.
//!
//! Sums along the forest of ways, from its roots down to every node: O(V) to add up, O(log V) a question, however many
//! wires lie between.

use super::electrical::{Point, Through};
use super::ground_drop::{DropTerm, NoDrop, against};
use super::ground_points::Unsure;
use super::ground_range::{Range, SAME};
use super::ground_ways::{Knot, Ways};
use crate::harness::{ConductorId, Harness, PinId};
use crate::parts::library::Library;
use crate::quantity::Voltage;

/// What lies between the root and a node, on the way down.
#[derive(Clone, Copy, Debug, Default)]
struct Sums {
    low: Voltage,
    high: Voltage,
    /// Wires of which it is not known what they drop.
    unknown: u32,
    /// Wires that leave it open.
    open: u32,
    /// Wires that carry current, get no ampacity from the table and do not say what they stand: at the low end, and at the
    /// high one.
    unwarmed: [u32; 2],
}

/// One stretch of a way.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Passed {
    pub low: Voltage,
    pub high: Voltage,
    /// What leaves it open, the first.
    pub open: Option<Through>,
    /// The first wire at each end that is warmer by its own current, nobody knows how much.
    pub unwarmed: [Option<ConductorId>; 2],
}

/// The sums.
pub(super) struct Tally<'w> {
    ways: &'w Ways,
    terms: &'w [Option<Range<DropTerm>>],
    sums: Vec<Sums>,
}

impl<'w> Tally<'w> {
    /// From what each wire drops from its `from` to its `to`, by conductor.
    pub(super) fn of(
        h: &Harness,
        library: &Library,
        ways: &'w Ways,
        terms: &'w [Option<Range<DropTerm>>],
    ) -> Tally<'w> {
        let mut sums = vec![Sums::default(); ways.order().len()];
        for node in ways.order() {
            let Some((above, through)) = ways.up(*node) else { continue };
            let mut sum = sums[above.index()];
            if let Through::Conductor(id) = through {
                let c = h.conductor(id);
                let unrated = library.wires.get(c.wire).rated.is_none();
                match terms[id.index()] {
                    None => sum.unknown += 1,
                    Some(term) => {
                        let down = if ways.point(above) == Point::Pin(c.from) { term } else { against(term) };
                        sum.low += down.low.drop;
                        sum.high += down.high.drop;
                        sum.open += u32::from(down.open.is_some());
                        for (count, end) in sum.unwarmed.iter_mut().zip(down.ends()) {
                            *count += u32::from(unrated && end.current.amps().abs() > SAME);
                        }
                    }
                }
            }
            sums[node.index()] = sum;
        }
        Tally { ways, terms, sums }
    }

    /// What is dropped from one pin to another.
    ///
    /// # Errors
    /// Where nothing joins them, or of something between them it is not known what it drops.
    pub(super) fn between(&self, [from, to]: [PinId; 2]) -> Result<Passed, NoDrop> {
        let [from, to] = [from, to].map(Ways::knot);
        let turn = self.ways.turn(from, to).ok_or(NoDrop::Unsure(Unsure::Apart))?;
        let [a, at, b] = [from, turn, to].map(|node| self.sums[node.index()]);
        let first = |up: fn(&Sums) -> u32, down: fn(&Sums) -> u32| {
            self.nearest(from, turn, up).or_else(|| self.furthest(turn, to, down))
        };
        if let Some(through) = first(|s| s.unknown, |s| s.unknown) {
            return Err(NoDrop::Unsure(Unsure::Resistance(through)));
        }
        let wire = |through| if let Through::Conductor(id) = through { Some(id) } else { None };
        // What is passed upwards drops least where it would drop most downwards.
        let unwarmed = [
            first(|s| s.unwarmed[1], |s| s.unwarmed[0]).and_then(wire),
            first(|s| s.unwarmed[0], |s| s.unwarmed[1]).and_then(wire),
        ];
        let open = match first(|s| s.open, |s| s.open) {
            Some(Through::Conductor(id)) => self.terms[id.index()].and_then(|term| term.open),
            other => other,
        };
        let low = (b.low - at.low) - (a.high - at.high);
        let high = (b.high - at.high) - (a.low - at.low);
        Ok(Passed { low, high, open, unwarmed })
    }

    /// Going up from `node` to `turn`, the first that is counted.
    fn nearest(&self, node: Knot, turn: Knot, count: fn(&Sums) -> u32) -> Option<Through> {
        let of = |node: Knot| count(&self.sums[node.index()]);
        if of(node) == of(turn) {
            return None;
        }
        let counted = self.ways.last(node, |above| of(above) == of(node));
        self.ways.up(counted).map(|(_, through)| through)
    }

    /// Going down from `turn` to `node`, the first that is counted.
    fn furthest(&self, turn: Knot, node: Knot, count: fn(&Sums) -> u32) -> Option<Through> {
        let of = |node: Knot| count(&self.sums[node.index()]);
        if of(node) == of(turn) {
            return None;
        }
        let counted = self.ways.last(node, |above| of(above) > of(turn));
        self.ways.up(counted).map(|(_, through)| through)
    }
}
