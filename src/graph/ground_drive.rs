//! Bonds and the supply in; what drives current from body to body, and how hard it can, out.
//!
//! What a bond is said to carry flows with the grounds as the spec gives them: somebody measured it, or read it off the
//! alternator. What drives it is the supply, and the supply has no more than its voltage V. So it is taken as V behind a
//! resistance of its own (Thévenin), that of the alternator's loads or the starter's windings: whatever it takes for the
//! current I that is said to flow while the bodies lie U apart,
//!
//! ```text
//! R = (V − U) / I
//! ```
//!
//! No resistance lies below none. Where I would need a U above V, R is none, U is V, and what flows is less than what is
//! said: 40 A said of a bond of 100 Ω on 14 V are 0.14 A, not 4000 V ([`crate::trade::network_drive`]). Once a bond opens, all
//! that drives current through its ring stays V behind R, and each pushes what is left of its voltage over R: of a bond
//! that lay alone, with U' for what lies between its bodies then,
//!
//! ```text
//! I' = (V − U') / R
//! ```
//!
//! So a bond of many ohms that is whole and the same bond open come to the same. U is millivolts where straps are sound,
//! and I is what is said. Where the resistance of a bond in the ring is not given, U is not known; there what is said is
//! taken to be what flows, and U to be nothing. Where the spec names no supply voltage nothing limits what flows.
//!
//! A bond of the harness's own loads is no drive: those are currents that flow, and where they cannot (a gauge grounded
//! over insulation) what they would need is told as more than the supply has.

use std::collections::{BTreeMap, BTreeSet};

use super::ground_network::{Phase, bond_current};
use super::ground_points::Points;
use crate::harness::{BodyId, BondId, Harness};
use crate::quantity::{Current, Resistance, Voltage};
use crate::spec::words::BodyKind;
use crate::trade::network::{Reduced, Ring, Solution, Source};
use crate::trade::network_alone::{Alone, Behind};
use crate::trade::network_drive::{Drive, NONE};

/// What drives the current of a bond in a phase.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Driven {
    /// The body that current is taken out of, and the one that it is put into.
    pub bodies: [BodyId; 2],
    /// What the bond is said to carry.
    pub said: Current,
    /// What is driven from body to body: less than said where the supply cannot drive as much.
    pub drives: Current,
    /// How far the second body is lifted above the first.
    pub lift: Voltage,
    /// Its resistance of its own; None where nothing limits it.
    pub own: Option<Resistance>,
}

/// What drives current through each bond in a phase, by bond; None where it is not said.
pub(super) type Drives = Vec<Option<Driven>>;

/// True where what drives the current of a bond takes it out of the bond's first body: the current flows to where it is
/// taken out.
fn drives_out_of_first(h: &Harness, bond: BondId, phase: Phase) -> bool {
    let kind = h.bond(bond).ends.map(|end| h.body(end).kind);
    match kind {
        [BodyKind::Engine, BodyKind::Engine] => false,
        [BodyKind::Engine, _] => phase == Phase::Cruise,
        [_, BodyKind::Engine] => phase == Phase::Cranking,
        [BodyKind::Structure, _] => true,
        _ => false,
    }
}

/// What is said to flow in a phase, as if nothing limited it.
pub(super) fn said(h: &Harness, phase: Phase) -> Drives {
    let of_bond = |i: usize| {
        let id = BondId::at(i);
        let said = bond_current(h, id, phase)?;
        let [a, b] = h.bond(id).ends;
        let bodies = if drives_out_of_first(h, id, phase) { [a, b] } else { [b, a] };
        Some(Driven { bodies, said, drives: said, lift: Voltage::ZERO, own: None })
    };
    (0..h.bonds.len()).map(of_bond).collect()
}

impl Driven {
    pub(super) fn drive(&self, points: &Points) -> Drive {
        let [from, to] = self.bodies.map(|body| points.body(body));
        Drive { from, to, current: self.drives }
    }

    /// As a voltage behind a resistance; None where nothing limits it, or nothing is driven.
    pub(super) fn behind(&self, points: &Points) -> Option<Behind> {
        Some(Behind { drive: self.drive(points), lift: self.lift, own: self.own? })
    }
}

pub(super) fn sources<'d>(drives: &'d Drives, points: &'d Points) -> impl Iterator<Item = Source> + 'd {
    drives.iter().flatten().map(|driven| {
        let Drive { from, to, current } = driven.drive(points);
        Source { from, to, current }
    })
}

/// Bonds by their rings, those of no ring by themselves.
pub(super) struct Limits<'a, 'r, 'n> {
    h: &'a Harness,
    points: &'a Points,
    reduced: &'r Reduced<'n>,
    rings: &'a BTreeMap<Ring, Alone<'r, 'n>>,
    /// Rings of which a resistance is not known: what drives current through them is not limited.
    unsure: BTreeSet<Ring>,
}

impl<'a, 'r, 'n> Limits<'a, 'r, 'n> {
    pub(super) fn of(
        h: &'a Harness,
        points: &'a Points,
        reduced: &'r Reduced<'n>,
        rings: &'a BTreeMap<Ring, Alone<'r, 'n>>,
    ) -> Self {
        let unsure = points.unknown.iter().filter_map(|(_, branch, _)| reduced.ring_of(*branch)).collect();
        Limits { h, points, reduced, rings, unsure }
    }

    /// Lessens what the supply cannot drive, given what all of it would do. True where anything is less. Rings of which that
    /// was not found go to `unsolved`, each with its first bond.
    pub(super) fn lessen(
        &self,
        drives: &mut Drives,
        solved: &Solution,
        unsolved: &mut BTreeMap<Ring, BondId>,
    ) -> bool {
        let Some(supply) = self.supply() else { return false };
        let before: Vec<Option<Current>> = drives.iter().map(|d| d.map(|d| d.drives)).collect();
        let mut of_ring: BTreeMap<Ring, Vec<usize>> = BTreeMap::new();
        for (i, driven) in drives.iter_mut().enumerate() {
            let (Some(driven), Some(branch)) = (driven.as_mut(), self.points.bonds[i]) else { continue };
            if let Some(ring) = self.reduced.ring_of(branch) {
                of_ring.entry(ring).or_default().push(i);
                continue;
            }
            // Nothing leads around: what it drives goes through the bond.
            let Some(ohms) = self.h.bond(BondId::at(i)).resistance.map(|r| r.value.ohms()) else { continue };
            let over = self.lift(driven, solved) - supply;
            if driven.said > Current::ZERO && over > Voltage::ZERO && ohms > 0.0 {
                driven.drives = (driven.said - Current::from_amps(over.volts() / ohms)).max(Current::ZERO);
            }
        }
        for (ring, bonds) in of_ring.iter().filter(|(ring, _)| !self.unsure.contains(ring)) {
            let at_work: Vec<usize> = bonds
                .iter()
                .copied()
                .filter(|i| drives[*i].is_some_and(|d| d.said > Current::ZERO))
                .collect();
            let all: Vec<Drive> =
                at_work.iter().filter_map(|i| Some(drives[*i]?.drive(self.points))).collect();
            let left = self.rings.get(ring).and_then(|alone| alone.limited(&all, solved, supply));
            if let (None, Some(first)) = (&left, bonds.first()) {
                unsolved.insert(*ring, BondId::at(*first));
            }
            for (i, current) in at_work.iter().zip(left.unwrap_or_default()) {
                if let Some(driven) = &mut drives[*i] {
                    driven.drives = current;
                }
            }
        }
        drives.iter().map(|d| d.map(|d| d.drives)).ne(before)
    }

    /// Gives each what it has of a resistance of its own, in the network as it is solved with all of them.
    pub(super) fn own(&self, drives: &mut Drives, solved: &Solution) {
        let Some(supply) = self.supply() else { return };
        for (i, driven) in drives.iter_mut().enumerate() {
            let (Some(driven), Some(branch)) = (driven.as_mut(), self.points.bonds[i]) else { continue };
            if driven.said <= Current::ZERO {
                continue;
            }
            let ring = self.reduced.ring_of(branch);
            let unsure = ring.is_some_and(|ring| self.unsure.contains(&ring));
            if !unsure && self.h.bond(BondId::at(i)).resistance.is_some() {
                driven.lift = self.lift(driven, solved);
            }
            let at_most = supply.volts() / driven.said.amps();
            let own = match driven.drives == driven.said {
                true => (supply - driven.lift).volts() / driven.said.amps(),
                // Others lift the bodies further apart than it could: it pushes nothing, and nothing comes back.
                false if driven.drives <= Current::ZERO => continue,
                false => 0.0,
            };
            driven.own = Some(Resistance::from_ohms(own.max(NONE * at_most)));
        }
    }

    fn lift(&self, driven: &Driven, solved: &Solution) -> Voltage {
        let [from, to] = driven.bodies.map(|body| self.points.body(body));
        solved.between(to, from).unwrap_or_default()
    }

    /// The supply's voltage; None where it is not given.
    pub(super) fn supply(&self) -> Option<Voltage> {
        self.h.header.supply.map(|v| v.value).filter(|v| *v > Voltage::ZERO)
    }
}
