//! Solved network in; what of it is sure although some of its resistances are not known, out.
//!
//! A conductor without a path and a bond without `resistance:` are of unknown resistance. Where nothing leads around such
//! a one, what passes it is sure, and voltages on either side of it are; the voltage from one side to the other is not.
//! Where it lies on a ring, it is taken as none and as open, and what lies in the ring is told by the ends between which
//! it lies ([`crate::trade::network_unknown`]); what lies in other rings does not depend on it. A ring with more unknown
//! resistances than [`MOST`] is left untold.
//!
//! A conductor of which the resistance is known to lie between two ends, because a zone does not say how hot it gets, is
//! solved with the nearer end; where nothing leads around it, what it may drop more is added here. For those on rings see
//! [`super::ground_warmth`].

use std::collections::{BTreeMap, BTreeSet};

use petgraph::unionfind::UnionFind;

use super::electrical::{Point, Through};
use super::ground_drive::Drives;
use super::ground_network::Phase;
use super::ground_points::{Loose, Points, Unsure};
use super::ground_range::{Range, SAME};
use super::ground_ways::Ways;
use crate::harness::{BondId, PinId};
use crate::quantity::{Current, Voltage};
use crate::trade::network::{Branch, Node, Reduced, Ring, Solution};
use crate::trade::network_alone::Alone;
use crate::trade::network_drive::Drive;
use crate::trade::network_unknown::Corners;

/// Unknown resistances of a ring that are tried at both their ends: sixteen corners.
const MOST: usize = 4;

/// The loads alone, or with what the bonds carry in a phase.
pub(super) type State = Option<Phase>;

/// A pin, and the node at which it is looked at.
pub(super) type At = (PinId, Node);

/// What is sure.
pub(super) struct Sure<'s, 'r, 'n> {
    points: &'s Points,
    reduced: &'r Reduced<'n>,
    solutions: &'s BTreeMap<State, Solution<'r, 'n>>,
    /// Unknown resistances around which nothing leads.
    bridges: BTreeSet<Through>,
    /// Unknown resistances of each ring.
    unknown: BTreeMap<Ring, Vec<(Branch, Through)>>,
    /// Rings of which it was not found what the supply drives through them, each with a bond of it.
    unsolved: BTreeMap<(Ring, Phase), BondId>,
    corners: BTreeMap<(Ring, State), Corners<'s, 'r, 'n>>,
    /// By node of a pin or body: number of what no unknown bridge parts; empty where nothing is unknown.
    side: Vec<usize>,
}

impl<'s, 'r, 'n> Sure<'s, 'r, 'n> {
    pub(super) fn of(
        points: &'s Points,
        reduced: &'r Reduced<'n>,
        alone: &'s BTreeMap<Ring, Alone<'r, 'n>>,
        solutions: &'s BTreeMap<State, Solution<'r, 'n>>,
        limit: Option<(&BTreeMap<Phase, Drives>, Voltage)>,
        unsolved: BTreeMap<(Ring, Phase), BondId>,
    ) -> Self {
        let mut unknown: BTreeMap<Ring, Vec<(Branch, Through)>> = BTreeMap::new();
        let mut bridges = BTreeSet::new();
        let mut side = Vec::new();
        if !points.unknown.is_empty() {
            let mut sides = UnionFind::<usize>::new(points.known.len());
            for (i, known) in points.known.iter().enumerate() {
                sides.union(i, *known);
            }
            for ([a, b], branch, through) in &points.unknown {
                let Some(ring) = reduced.ring_of(*branch) else {
                    bridges.insert(*through);
                    continue;
                };
                unknown.entry(ring).or_default().push((*branch, *through));
                sides.union(a.index(), b.index());
            }
            side = sides.into_labeling();
        }
        let mut corners = BTreeMap::new();
        for (ring, of_ring) in unknown.iter().filter(|(_, of_ring)| of_ring.len() <= MOST) {
            let branches: Vec<Branch> = of_ring.iter().map(|(branch, _)| *branch).collect();
            let Some(alone) = alone.get(ring) else { continue };
            for (state, solution) in solutions {
                let drives = state.and_then(|phase| limit?.0.get(&phase)).into_iter().flatten().flatten();
                let drives: Vec<Drive> =
                    drives.map(|d| d.drive(points)).filter(|d| d.current > Current::ZERO).collect();
                let limit = limit.map(|(_, most)| (drives.as_slice(), most));
                corners.insert((*ring, *state), alone.unknown(&branches, solution, limit));
            }
        }
        Sure { points, reduced, solutions, bridges, unknown, unsolved, corners, side }
    }

    /// True where a drive comes to its limit with an unknown resistance taken as none or as open.
    pub(super) fn is_limited(&self) -> bool {
        self.corners.values().any(Corners::is_limited)
    }

    /// A bond of a ring of which it was not found what the supply drives through it.
    pub(super) fn unsolved(&self, ring: Ring, state: State) -> Option<BondId> {
        self.unsolved.get(&(ring, state?)).copied()
    }

    /// The first unknown resistance of a ring, the one of `but` left out.
    pub(super) fn unknown_of(&self, ring: Ring, but: Option<Branch>) -> Option<Through> {
        let of_ring = self.unknown.get(&ring)?.iter();
        of_ring.filter(|(branch, _)| Some(*branch) != but).map(|(_, through)| *through).next()
    }

    /// How far `a` lies above `b`; a ring for which the answer is known otherwise is left out.
    pub(super) fn between(
        &self,
        ways: &Ways,
        state: State,
        [a, b]: [At; 2],
        but: Option<Ring>,
    ) -> Result<Range<Voltage>, Unsure> {
        let solution = self.solutions.get(&state).ok_or(Unsure::Apart)?;
        let whole = solution.between(a.1, b.1).ok_or(Unsure::Apart)?;
        self.bridged(ways, a.0, b.0)?;
        let mut range = Range::of(whole);
        if !self.unknown.is_empty() || !self.unsolved.is_empty() || but.is_some() {
            self.over_rings(&mut range, state, [a.1, b.1], but)?;
        }
        self.over_loose(&mut range, ways, state, [a, b])?;
        Ok(range)
    }

    /// Takes the rings of which something is unknown by their ends.
    fn over_rings(
        &self,
        range: &mut Range<Voltage>,
        state: State,
        [a, b]: [Node; 2],
        but: Option<Ring>,
    ) -> Result<(), Unsure> {
        let solution = self.solutions.get(&state).ok_or(Unsure::Apart)?;
        for c in self.reduced.crossings(a, b).unwrap_or_default() {
            if let Some(bond) = self.unsolved(c.ring, state) {
                return Err(Unsure::Drive(bond));
            }
            let unknown = self.unknown_of(c.ring, None);
            if but != Some(c.ring) && unknown.is_none() {
                continue;
            }
            let taken = solution.between(c.enters, c.leaves).unwrap_or_default();
            (range.low, range.high) = (range.low - taken, range.high - taken);
            if let Some(through) = unknown.filter(|_| but != Some(c.ring)) {
                let corners = self.corners.get(&(c.ring, state));
                let ends = corners.and_then(|corners| corners.between(c.enters, c.leaves));
                let [low, high] = ends.ok_or(Unsure::Resistance(through))?;
                range.low += low;
                range.high += high;
                if (high - low).volts() > SAME {
                    range.open = range.open.or(Some(through));
                }
            }
        }
        if range.open.is_none() {
            range.high = range.low;
        }
        Ok(())
    }

    /// Adds what resistances between two ends may drop more than with the nearer, those of which nothing leads around: what
    /// passes them is sure.
    fn over_loose(
        &self,
        range: &mut Range<Voltage>,
        ways: &Ways,
        state: State,
        [a, b]: [At; 2],
    ) -> Result<(), Unsure> {
        let (loose, leads) = (&self.points.loose, &self.points.loose_leads);
        if loose.is_empty() && leads.is_empty() {
            return Ok(());
        }
        let solution = self.solutions.get(&state).ok_or(Unsure::Apart)?;
        let mut add = |loose: &Loose, along: bool, through: Through| {
            let current = solution.current(loose.branch).unwrap_or_default();
            if current.amps().abs() <= SAME {
                return Ok(());
            }
            let more = loose.more.ok_or(Unsure::Resistance(through))?;
            let volts = if along { current * more } else { -(current * more) };
            range.low += volts.min(Voltage::ZERO);
            range.high += volts.max(Voltage::ZERO);
            if volts.abs().volts() > SAME {
                range.open = range.open.or(Some(through));
            }
            Ok(())
        };
        // `a` lies above `b` by what is dropped on the way from `a` to `b`; a lead starts at its pin.
        for (at, along) in [(a, false), (b, true)] {
            let (pin, node) = at;
            if let Some(lead) = leads.get(&pin).filter(|_| node != self.points.pin(pin)) {
                add(lead, along, Through::Lead(pin))?;
            }
        }
        if loose.is_empty() {
            return Ok(());
        }
        let mut at = Point::Pin(a.0);
        for step in ways.way(a.0, b.0).unwrap_or_default() {
            if let Through::Conductor(id) = step.through
                && let Some(loose) = loose.get(&id)
            {
                add(loose, at == Point::Pin(loose.from), step.through)?;
            }
            at = step.to;
        }
        Ok(())
    }

    /// Whether no unknown resistance alone joins the two.
    fn bridged(&self, ways: &Ways, a: PinId, b: PinId) -> Result<(), Unsure> {
        let side = |pin: PinId| self.side.get(pin.index());
        if side(a) == side(b) {
            return Ok(());
        }
        let steps = ways.way(a, b).ok_or(Unsure::Apart)?;
        let bridge = steps.iter().map(|step| step.through).find(|through| self.bridges.contains(through));
        bridge.map_or(Ok(()), |bridge| Err(Unsure::Resistance(bridge)))
    }

    /// Current through a resistance, from its first end to its second.
    pub(super) fn current(&self, state: State, branch: Branch) -> Result<Range<Current>, Unsure> {
        let solution = self.solutions.get(&state).ok_or(Unsure::Apart)?;
        let ring = self.reduced.ring_of(branch);
        if let Some(bond) = ring.and_then(|ring| self.unsolved(ring, state)) {
            return Err(Unsure::Drive(bond));
        }
        let unknown = ring.and_then(|ring| Some((ring, self.unknown_of(ring, None)?)));
        let Some((ring, through)) = unknown else {
            return solution.current(branch).map(Range::of).ok_or(Unsure::Apart);
        };
        let corners = self.corners.get(&(ring, state));
        let ends = corners.and_then(|corners| corners.current(branch));
        let [low, high] = ends.ok_or(Unsure::Resistance(through))?;
        let open = Some(through).filter(|_| (high - low).amps() > SAME);
        Ok(Range { low, high: if open.is_some() { high } else { low }, open })
    }
}
