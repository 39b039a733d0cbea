//! A ring of a network taken by itself: what the rest of the network pushes into it, one of its resistances opened, or
//! some of them of unknown size.
//!
//! Currents are pushed, not voltages, so what enters a ring at its points does not depend on any resistance within it:
//! each ring can be solved alone. It is made ready once, and asked for as often as it has resistances.

use petgraph::unionfind::UnionFind;

use super::network::{Branch, Node, Reduced, Ring, Solution};
use super::network_opened::Opened;
use super::network_stars::Stars;
use super::network_unknown::Corners;

/// A resistance of a ring.
#[derive(Clone, Copy, Debug)]
pub(super) struct Member {
    pub branch: Branch,
    /// Places of its ends.
    pub ends: [usize; 2],
    pub ohms: f64,
}

/// A ring taken by itself. Its points are numbered by their places.
#[derive(Clone, Debug)]
pub struct Alone<'r, 'n> {
    reduced: &'r Reduced<'n>,
    points: Vec<u32>,
    /// In order of their branches.
    pub(super) members: Vec<Member>,
    pub(super) stars: Stars,
}

impl<'r, 'n> Alone<'r, 'n> {
    pub(super) fn of(reduced: &'r Reduced<'n>, ring: Ring) -> Alone<'r, 'n> {
        let lines: Vec<(Branch, [u32; 2], f64)> = reduced
            .members(ring)
            .filter_map(|branch| {
                let (points, ohms) = reduced.line(branch)?;
                Some((branch, points, ohms))
            })
            .collect();
        let mut points: Vec<u32> = lines.iter().flat_map(|(_, points, _)| *points).collect();
        points.sort_unstable();
        points.dedup();
        let place = |point: u32| points.binary_search(&point).unwrap_or_default();
        let member =
            |(branch, ends, ohms): (Branch, [u32; 2], f64)| Member { branch, ends: ends.map(place), ohms };
        let members: Vec<Member> = lines.into_iter().map(member).collect();
        let stars = stars(points.len(), members.iter());
        Alone { reduced, points, members, stars }
    }

    pub(super) fn size(&self) -> usize {
        self.points.len()
    }

    /// A resistance of this ring; None for one of another.
    pub(super) fn member(&self, branch: Branch) -> Option<&Member> {
        let at = self.members.binary_search_by_key(&branch, |m| m.branch).ok()?;
        self.members.get(at)
    }

    /// The place of a node; None for one that is not of this ring.
    pub(super) fn place(&self, node: Node) -> Option<usize> {
        self.points.binary_search(&self.reduced.point(node)?).ok()
    }

    /// Volts of each place in a solution of the whole network.
    pub(super) fn volts(&self, solved: &Solution<'_, '_>) -> Vec<f64> {
        self.points.iter().map(|point| solved.point_volts(*point)).collect()
    }

    /// Amperes that the rest of the network pushes in at each place.
    pub(super) fn pushed(&self, solved: &Solution<'_, '_>) -> Vec<f64> {
        let mut pushed = vec![0.0; self.size()];
        for member in &self.members {
            let amps = solved.amps(member.branch);
            pushed[member.ends[0]] += amps;
            pushed[member.ends[1]] -= amps;
        }
        pushed
    }

    /// What becomes of the ring when one of its resistances opens while everything that is pushed into it in `solved` is
    /// pushed on. None for a resistance of another ring. Costs about the size of the ring.
    pub fn opened(&self, branch: Branch, solved: &Solution<'_, '_>) -> Option<Opened<'_, 'r, 'n>> {
        Opened::of(self, branch, solved)
    }

    /// What is left open where these resistances of the ring may each be anything from none to open, with what is pushed
    /// into the ring in `solved`. Costs the size of the ring two to the power of their number times.
    pub fn unknown(&self, unknown: &[Branch], solved: &Solution<'_, '_>) -> Corners<'_, 'r, 'n> {
        Corners::of(self, unknown, solved)
    }

    /// Sets of places that these members join.
    pub(super) fn joined<'m>(&self, members: impl Iterator<Item = &'m Member>) -> UnionFind<usize> {
        let mut sets = UnionFind::new(self.size());
        members.for_each(|m| {
            sets.union(m.ends[0], m.ends[1]);
        });
        sets
    }
}

/// Made ready to be solved over these members alone.
pub(super) fn stars<'m>(points: usize, members: impl Iterator<Item = &'m Member>) -> Stars {
    Stars::of(points, members.map(|m| (m.ends[0] as u32, m.ends[1] as u32, 1.0 / m.ohms)))
}
