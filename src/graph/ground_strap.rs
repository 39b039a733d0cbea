//! Solved network in; for each bond, what becomes of the harness when it comes loose, out.
//!
//! Its current then takes whatever ways are left: ground wires, returns, screens. Each wire of the ring is held against
//! what it may carry in a full bundle (AC 43.13-1B Table 11-9), reduced for the warmth of its zone.

use std::collections::{BTreeMap, BTreeSet};

use super::electrical::Through;
use super::ground_drive::Driven;
use super::ground_network::{Phase, Solved, Unsure};
use super::rating::by_table;
use crate::harness::{BondId, ConductorId, PinId};
use crate::quantity::{Current, Resistance, Voltage};
use crate::trade::network::Ring;
use crate::trade::network_alone::{Alone, Behind};
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
    /// What drives the current that it is said to carry; where `open`, only what is said holds.
    pub driven: Driven,
    /// What that still drives from body to body with all that is left in its way.
    pub flows: Current,
    /// Resistance of all the ways that are left.
    pub around: Resistance,
    /// Voltage from body to body then, without its sign.
    pub gap: Voltage,
    /// Wires that carry more than they may, worst first.
    pub overloads: Vec<Overload>,
    /// Wires on the ways left of which nobody knows what they may carry.
    pub unrated: Vec<ConductorId>,
    /// Another bond on these ways of which nobody says what flows through it.
    pub unsaid: Option<BondId>,
    /// A load of unknown size whose current takes these ways too.
    pub silent: Option<PinId>,
    /// The first of the resistances that decide what flows, where a zone does not say how hot it gets: then currents and
    /// voltages are what they are at least, and `around` at most. None where all figures are what they are.
    pub open: Option<Through>,
    /// Wires that carry more than they may at some of these resistances only.
    pub perhaps: Vec<ConductorId>,
    /// How much more each other wire may carry, where it is known; asked for only where a resistance lies between ends.
    pub(super) room: Vec<(ConductorId, Current)>,
    /// True where its first body lies above its second.
    pub(super) above: bool,
    /// True where nothing else that has a resistance of its own drives current through the ring.
    pub(super) alone: bool,
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
    /// True where its current goes from its first end to its second.
    pub(super) along: bool,
}

/// A bond that is opened in the network.
pub(super) struct Case<'a, 'r, 'n> {
    pub bond: BondId,
    pub phase: Phase,
    pub ring: Ring,
    pub opened: Opened<'a, 'r, 'n>,
    driven: Driven,
    flows: Current,
    around: Resistance,
}

/// The rings of bonds with what drives current through them, in each phase.
pub(super) type Driving<'r, 'n> = BTreeMap<(Ring, Phase), Alone<'r, 'n>>;

/// Makes ready every ring that a bond lies on.
pub(super) fn driving<'r, 'n>(s: &Solved<'_, 'r, 'n>) -> Driving<'r, 'n> {
    let mut by: BTreeMap<(Ring, Phase), Vec<Behind>> = BTreeMap::new();
    for (ring, bonds) in s.bonds_of_rings() {
        for (phase, drives) in s.driven {
            let behind = bonds.iter().filter_map(|b| drives.get(b.index())?.as_ref()?.behind(s.points));
            by.insert((ring, *phase), behind.collect());
        }
    }
    by.into_iter().filter_map(|(key, by)| Some((key, s.rings.get(&key.0)?.driven(&by)))).collect()
}

/// Opens every bond that lies on a ring, in each phase for which its current is said.
pub(super) fn opened<'a, 'r, 'n>(
    s: &Solved<'_, 'r, 'n>,
    driving: &'a Driving<'r, 'n>,
) -> Vec<Case<'a, 'r, 'n>> {
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
        let Some(around) = alone.around(branch) else { continue };
        for phase in Phase::ALL {
            if s.sure.unsolved(ring, Some(phase)).is_some() {
                continue;
            }
            let driven = s.driven.get(&phase).and_then(|drives| *drives.get(i)?);
            let (Some(driven), Some(whole)) = (driven, s.solutions.get(&Some(phase))) else { continue };
            let Some(opened) = driving.get(&(ring, phase)).and_then(|d| d.opened(branch, whole)) else {
                continue;
            };
            let pushes = driven.behind(s.points).and_then(|by| opened.pushes(&by));
            let flows = pushes.unwrap_or(driven.drives);
            cases.push(Case { bond, phase, ring, opened, driven, flows, around });
        }
    }
    cases
}

/// What becomes of each bond, by bond.
pub(super) fn straps(s: &Solved, cases: &[Case]) -> Vec<Strap> {
    let wires_of = |ring: &Ring| s.reduced.members(*ring).filter_map(|branch| s.points.conductor_of(branch));
    let with_wires: BTreeSet<Ring> =
        s.rings.keys().filter(|ring| wires_of(ring).next().is_some()).copied().collect();
    let rating = |id: ConductorId| (id, by_table(s.h, s.library, s.routing, id));
    let ratings: Ratings = with_wires.iter().flat_map(wires_of).map(rating).collect();
    let mut drives: Behinds = BTreeMap::new();
    for (phase, of_phase) in s.driven {
        for (driven, branch) in of_phase.iter().zip(&s.points.bonds) {
            let ring = branch.and_then(|branch| s.reduced.ring_of(branch));
            if let (Some(ring), Some(_)) = (ring, driven.and_then(|d| d.own)) {
                *drives.entry((ring, *phase)).or_default() += 1;
            }
        }
    }
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
        if let Some(bond) = Phase::ALL.into_iter().find_map(|phase| s.sure.unsolved(ring, Some(phase))) {
            return Strap::Unsure(Unsure::Drive(bond));
        }
        let first = cases.partition_point(|c| c.bond < bond);
        let own = cases[first..].iter().take_while(|c| c.bond == bond);
        let opens: Vec<StrapOpen> = own.map(|case| strap_open(s, case, &ratings, &drives)).collect();
        if opens.is_empty() { Strap::Unsure(Unsure::Current(bond)) } else { Strap::Around(opens) }
    };
    (0..s.h.bonds.len()).map(of_bond).collect()
}

/// What each wire of the rings of bonds may carry.
type Ratings = BTreeMap<ConductorId, Option<TableRating>>;
/// How many that have a resistance of their own drive current through each ring.
type Behinds = BTreeMap<(Ring, Phase), usize>;

fn strap_open(s: &Solved, case: &Case, ratings: &Ratings, drives: &Behinds) -> StrapOpen {
    let mut open = StrapOpen {
        phase: case.phase,
        driven: case.driven,
        flows: case.flows,
        around: case.around,
        gap: case.opened.gap().abs(),
        overloads: Vec::new(),
        unrated: Vec::new(),
        unsaid: s.unsaid(case.ring, case.phase),
        silent: s.silent.get(&case.ring).copied(),
        open: None,
        perhaps: Vec::new(),
        room: Vec::new(),
        above: case.opened.gap() <= Voltage::ZERO,
        alone: drives.get(&(case.ring, case.phase)).is_none_or(|n| *n <= 1),
    };
    for (branch, current) in case.opened.currents() {
        let Some(conductor) = s.points.conductor_of(branch) else { continue };
        match ratings.get(&conductor).copied().flatten() {
            Some(rating) if current.abs() > rating.ampacity => open.overloads.push(Overload {
                conductor,
                current: current.abs(),
                whole: s.current(Some(case.phase), conductor).and_then(|i| i.exact().map(|i| i.abs())),
                rating,
                along: current >= Current::ZERO,
            }),
            Some(rating) if !s.points.loose.is_empty() => {
                open.room.push((conductor, rating.ampacity - current.abs()));
            }
            Some(_) => {}
            None => open.unrated.push(conductor),
        }
    }
    worst_first(&mut open.overloads);
    open
}

/// By what each carries against what it may.
pub(super) fn worst_first(overloads: &mut [Overload]) {
    let share = |o: &Overload| o.current.amps() / o.rating.ampacity.amps().max(1e-9);
    overloads.sort_by(|a, b| share(b).total_cmp(&share(a)).then(a.conductor.cmp(&b.conductor)));
}
