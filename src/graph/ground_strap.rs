//! Solved network in; for each bond, what becomes of the harness when it comes loose, out.
//!
//! Its current then takes whatever ways are left: ground wires, returns, screens. Each wire of the ring is held against
//! what it may carry in a full bundle (AC 43.13-1B Table 11-9), reduced for the warmth of its zone.

use std::collections::{BTreeMap, BTreeSet};

use super::ground_network::{Phase, Solved, Unsure, bond_current, drives_out_of_first};
use super::rating::by_table;
use crate::harness::{BondId, ConductorId};
use crate::quantity::{Current, Resistance, Voltage};
use crate::trade::network::Ring;
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
    pub opened: Opened<'s, 'r, 'n>,
    declared: Current,
    flows: Current,
    /// What is driven through the bond more than before, from its first body to its second.
    pub more: Current,
}

/// Opens every bond that lies on a ring, in each phase for which its current is said.
pub(super) fn opened<'s, 'r, 'n>(s: &Solved<'s, 'r, 'n>) -> Vec<Case<'s, 'r, 'n>> {
    let mut cases = Vec::new();
    for i in 0..s.h.bonds.len() {
        let bond = BondId::at(i);
        let ring_of = |branch| Some((branch, s.reduced.ring_of(branch)?));
        let Some((branch, ring)) = s.points.bonds[i].and_then(ring_of) else { continue };
        // Its own resistance does not matter once it is open.
        let Some(alone) = s.rings.get(&ring).filter(|_| s.sure.unknown_of(ring, Some(branch)).is_none())
        else {
            continue;
        };
        for phase in Phase::ALL {
            let (Some(declared), Some(whole)) =
                (bond_current(s.h, bond, phase), s.solutions.get(&Some(phase)))
            else {
                continue;
            };
            let Some(opened) = alone.opened(branch, whole) else { continue };
            let flows = limited(s, declared, opened.around());
            let less = declared - flows;
            let more = if drives_out_of_first(s.h, bond, phase) { -less } else { less };
            cases.push(Case { bond, phase, ring, opened, declared, flows, more });
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
    let wires_of = |ring: &Ring| s.reduced.members(*ring).filter_map(|branch| s.points.conductor_of(branch));
    let with_wires: BTreeSet<Ring> =
        s.rings.keys().filter(|ring| wires_of(ring).next().is_some()).copied().collect();
    let rating = |id: ConductorId| (id, by_table(s.h, s.library, s.routing, id));
    let ratings: Ratings = with_wires.iter().flat_map(wires_of).map(rating).collect();
    let of_bond = |i: usize| {
        let bond = BondId::at(i);
        let branch = s.points.bonds[i];
        let Some(ring) = branch.and_then(|branch| s.reduced.ring_of(branch)) else { return Strap::Alone };
        if !with_wires.contains(&ring) {
            return Strap::Alone;
        }
        if let Some(unknown) = s.sure.unknown_of(ring, branch) {
            return Strap::Unsure(Unsure::Resistance(unknown));
        }
        let first = cases.partition_point(|c| c.bond < bond);
        let own = cases[first..].iter().take_while(|c| c.bond == bond);
        let opens: Vec<StrapOpen> = own.map(|case| strap_open(s, case, &ratings)).collect();
        if opens.is_empty() { Strap::Unsure(Unsure::Current(bond)) } else { Strap::Around(opens) }
    };
    (0..s.h.bonds.len()).map(of_bond).collect()
}

/// What each wire of the rings of bonds may carry.
type Ratings = BTreeMap<ConductorId, Option<TableRating>>;

fn strap_open(s: &Solved, case: &Case, ratings: &Ratings) -> StrapOpen {
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
        match ratings.get(&conductor).copied().flatten() {
            Some(rating) if current.abs() > rating.ampacity => open.overloads.push(Overload {
                conductor,
                current: current.abs(),
                whole: s.current(Some(case.phase), conductor).and_then(|i| i.exact().map(|i| i.abs())),
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
