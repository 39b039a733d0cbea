//! Solved network in; for each bond, what becomes of the harness when it comes loose, out.
//!
//! Its current then takes whatever ways are left: ground wires, returns, screens. Each wire of the ring is held against
//! what it may carry in a full bundle (AC 43.13-1B Table 11-9), reduced for the warmth of its zone.

use super::ground_network::{Phase, Solved, Unsure, bond_current, drives_out_of_first};
use super::rating::by_table;
use crate::harness::{BondId, ConductorId};
use crate::quantity::{Current, Resistance, Voltage};
use crate::trade::network::{Ring, Solution};
use crate::trade::network_opened::Opened;
use crate::trade::table_rating::TableRating;

/// What becomes of the harness when a bond comes loose.
#[derive(Clone, Debug)]
pub enum Strap {
    /// No wire joins its bodies too: its current has no other way, or only other bonds.
    Alone,
    /// The harness joins its bodies too: what the current does there, in each phase for which it is said.
    Around(Vec<StrapOpen>),
    /// Not known.
    Unsure(Unsure),
}

/// A bond that has come loose, in one phase.
#[derive(Clone, Debug)]
pub struct StrapOpen {
    /// The phase.
    pub phase: Phase,
    /// What the bond is said to carry.
    pub declared: Current,
    /// What still flows with all that is left in its way: never more than `declared`.
    pub flows: Current,
    /// Resistance of all the ways that are left.
    pub around: Resistance,
    /// Voltage from body to body then, without its sign.
    pub gap: Voltage,
    /// Wires that carry more than they may, worst first.
    pub overloads: Vec<Overload>,
    /// Wires on the ways left of which nobody knows what they may carry.
    pub unrated: Vec<ConductorId>,
}

/// A wire that carries more than it may.
#[derive(Clone, Copy, Debug)]
pub struct Overload {
    /// The wire.
    pub conductor: ConductorId,
    /// What it carries with the bond open.
    pub current: Current,
    /// What it carries with the bond whole; None where not known.
    pub whole: Option<Current>,
    /// What it may carry.
    pub rating: TableRating,
}

/// A bond that is opened in the network.
pub(super) struct Case<'s, 'r, 'n> {
    pub bond: BondId,
    pub phase: Phase,
    pub ring: Ring,
    pub opened: Opened<'r, 'n>,
    declared: Current,
    flows: Current,
    /// What is driven through the bond more than before, from its first body to its second.
    pub more: Current,
    whole: &'s Solution<'r, 'n>,
}

/// Opens every bond that lies on a ring, in each phase for which its current is said.
pub(super) fn opened<'s, 'r, 'n>(s: &Solved<'s, 'r, 'n>) -> Vec<Case<'s, 'r, 'n>> {
    let mut cases = Vec::new();
    for i in 0..s.h.bonds.len() {
        let bond = BondId::at(i);
        let branch = s.points.bonds[i];
        let sure = s.points.sure_around(s.h, bond).is_ok();
        let Some((branch, ring)) = branch.filter(|_| sure).and_then(|b| Some((b, s.reduced.ring_of(b)?)))
        else {
            continue;
        };
        for phase in Phase::ALL {
            let (Some(declared), Some(whole)) = (bond_current(s.h, bond, phase), s.whole.get(&phase)) else {
                continue;
            };
            let Some(opened) = s.reduced.opened(branch, whole) else { continue };
            let flows = limited(s, declared, opened.around());
            let less = declared - flows;
            let more = if drives_out_of_first(s.h, bond, phase) { -less } else { less };
            cases.push(Case { bond, phase, ring, opened, declared, flows, more, whole });
        }
    }
    cases
}

/// I / (1 + I R / V): what drew the current at the supply's voltage draws less with `around` in its way. All of it where
/// the spec names no supply voltage.
fn limited(s: &Solved, current: Current, around: Resistance) -> Current {
    let Some(supply) = s.h.header.supply.map(|v| v.value.volts()).filter(|v| *v > 0.0) else {
        return current;
    };
    current * (1.0 / (1.0 + current.amps().abs() * around.ohms() / supply))
}

/// What becomes of each bond, by bond.
pub(super) fn straps(s: &Solved, cases: &[Case]) -> Vec<Strap> {
    let of_bond = |i: usize| {
        let bond = BondId::at(i);
        let ring = s.points.bonds[i].and_then(|branch| s.reduced.ring_of(branch));
        let Some(ring) = ring else { return Strap::Alone };
        if s.reduced.members(ring).all(|branch| s.points.conductor_of(branch).is_none()) {
            return Strap::Alone;
        }
        if let Err(unsure) = s.points.sure_around(s.h, bond) {
            return Strap::Unsure(unsure);
        }
        let first = cases.partition_point(|c| c.bond < bond);
        let own = cases[first..].iter().take_while(|c| c.bond == bond);
        let opens: Vec<StrapOpen> = own.map(|case| strap_open(s, case)).collect();
        if opens.is_empty() { Strap::Unsure(Unsure::Current(bond)) } else { Strap::Around(opens) }
    };
    (0..s.h.bonds.len()).map(of_bond).collect()
}

fn strap_open(s: &Solved, case: &Case) -> StrapOpen {
    let mut open = StrapOpen {
        phase: case.phase,
        declared: case.declared,
        flows: case.flows,
        around: case.opened.around(),
        gap: {
            let b = s.h.bond(case.bond).ends.map(|end| s.points.body(end));
            case.opened.between(b[1], b[0], case.more).unwrap_or_default().abs()
        },
        overloads: Vec::new(),
        unrated: Vec::new(),
    };
    for (branch, current) in case.opened.currents(case.more) {
        let Some(conductor) = s.points.conductor_of(branch) else { continue };
        match by_table(s.h, s.library, s.routing, conductor) {
            Some(rating) if current.abs() > rating.ampacity => open.overloads.push(Overload {
                conductor,
                current: current.abs(),
                whole: s.current(case.whole, conductor).map(Current::abs),
                rating,
            }),
            Some(_) => {}
            None => open.unrated.push(conductor),
        }
    }
    let share = |o: &Overload| o.current.amps() / o.rating.ampacity.amps().max(1e-9);
    open.overloads.sort_by(|a, b| share(b).total_cmp(&share(a)).then(a.conductor.cmp(&b.conductor)));
    open
}
