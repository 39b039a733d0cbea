//! A ring of a network taken by itself: what the rest of the network pushes into it, one of its resistances opened, or
//! some of them of unknown size.
//!
//! Currents are pushed, not voltages, so what enters a ring at its points does not depend on any resistance within it:
//! each ring can be solved alone. It is made ready once, and asked for as often as it has resistances.

use petgraph::unionfind::UnionFind;

use super::network::{Branch, Node, Reduced, Ring, Solution};
use super::network_drive::Drive;
use super::network_opened::Opened;
use super::network_stars::Stars;
use super::network_unknown::Corners;
use crate::quantity::{Resistance, Voltage};

/// A resistance of a ring.
#[derive(Clone, Copy, Debug)]
pub(super) struct Member {
    pub branch: Branch,
    /// Places of its ends.
    pub ends: [usize; 2],
    pub ohms: f64,
}

/// What a voltage behind a resistance pushes through a ring: less where the ring holds it back more.
#[derive(Clone, Copy, Debug)]
pub struct Behind {
    /// What it pushes where the ring holds it back by `lift`.
    pub drive: Drive,
    /// How far its second node then lies above its first.
    pub lift: Voltage,
    /// Its resistance, above zero.
    pub own: Resistance,
}

/// A ring taken by itself. Its points are numbered by their places.
#[derive(Clone, Debug)]
pub struct Alone<'r, 'n> {
    reduced: &'r Reduced<'n>,
    points: Vec<u32>,
    /// In order of their branches.
    pub(super) members: Vec<Member>,
    /// Resistances of what pushes: places of its ends, ohms, and the volts from the second down to the first that are in
    /// what it pushes already.
    pub(super) behind: Vec<([usize; 2], f64, f64)>,
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
        let stars = stars(points.len(), members.iter(), &[]);
        Alone { reduced, points, members, behind: Vec::new(), stars }
    }

    /// The same ring, where what drives currents through it is no longer taken to push them whatever comes, but to be
    /// voltages behind resistances (Norton's theorem: each pushes what it would into no resistance at all, and its own
    /// lies beside). Those that are not of this ring are left out.
    pub fn driven(&self, by: &[Behind]) -> Alone<'r, 'n> {
        let place = |b: &Behind| {
            let ends = [self.place(b.drive.from)?, self.place(b.drive.to)?];
            (ends[0] != ends[1]).then_some((ends, b.own.ohms(), b.lift.volts()))
        };
        let behind: Vec<([usize; 2], f64, f64)> = by.iter().filter_map(place).collect();
        let stars = stars(self.size(), self.members.iter(), &behind);
        Alone {
            reduced: self.reduced,
            points: self.points.clone(),
            members: self.members.clone(),
            behind,
            stars,
        }
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
        self.place_of(self.reduced.point(node)?)
    }

    fn place_of(&self, point: u32) -> Option<usize> {
        self.points.binary_search(&point).ok()
    }

    /// Ohms between two of its points; None for one that is not of this ring.
    pub(super) fn ohms(&self, a: u32, b: u32) -> Option<f64> {
        let (a, b) = (self.place_of(a)?, self.place_of(b)?);
        let mut pushed = vec![0.0; self.size()];
        pushed[a] += 1.0;
        pushed[b] -= 1.0;
        let volts = self.stars.volts(pushed);
        Some(volts[a] - volts[b])
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
        for ([a, b], ohms, lift) in &self.behind {
            pushed[*b] += lift / ohms;
            pushed[*a] -= lift / ohms;
        }
        pushed
    }

    /// Resistance of all ways from one end of a resistance to the other, itself left out. None for one of another ring.
    pub fn around(&self, branch: Branch) -> Option<Resistance> {
        super::network_opened::around(self, branch)
    }

    /// What becomes of the ring when one of its resistances opens while everything that is pushed into it in `solved` is
    /// pushed on, but for what is [driven](Alone::driven). None for a resistance of another ring. Costs about the size of
    /// the ring.
    pub fn opened(&self, branch: Branch, solved: &Solution<'_, '_>) -> Option<Opened<'_, 'r, 'n>> {
        Opened::of(self, branch, solved)
    }

    /// What is left open where these resistances of the ring may each be anything from none to open, with what is pushed
    /// into the ring in `solved`. Costs the size of the ring two to the power of their number times.
    ///
    /// What drives currents through the ring may have no more than so many volts, where that is given.
    pub fn unknown(
        &self,
        unknown: &[Branch],
        solved: &Solution<'_, '_>,
        limit: Option<(&[Drive], Voltage)>,
    ) -> Corners<'_, 'r, 'n> {
        Corners::of(self, unknown, solved, limit)
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

/// Made ready to be solved over these members, and what lies behind drives, alone.
pub(super) fn stars<'m>(
    points: usize,
    members: impl Iterator<Item = &'m Member>,
    behind: &[([usize; 2], f64, f64)],
) -> Stars {
    let line = |[a, b]: [usize; 2], ohms: f64| (a as u32, b as u32, 1.0 / ohms);
    let behind = behind.iter().map(|(ends, ohms, _)| line(*ends, *ohms));
    Stars::of(points, members.map(|m| line(m.ends, m.ohms)).chain(behind))
}
