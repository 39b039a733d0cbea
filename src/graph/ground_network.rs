//! The ground of a harness as a network of resistances, solved: what its wires carry and drop, what straps that come
//! loose do to them, and how far each sender reads wrong.
//!
//! Three times the network is solved: with the loads of the harness alone, with what flows through the bonds in cruise,
//! and with what flows while the engine is cranked. The alternator sits on the engine: what it sends to the machine comes
//! back through the strap from the structure into the engine, so the engine lies below the structure. The starter takes
//! its current the other way, and the engine lies above. Of a bond without the engine, the current goes to the structure;
//! of one between other bodies, as it is written.
//!
//! A strap that comes loose changes its own ring only ([`crate::trade::network_opened`]). What drives current from body to
//! body has no more than the supply's voltage, whether straps are sound, corroded or open: see [`super::ground_drive`].

use std::collections::BTreeMap;

use super::Currents;
use super::conductor_ohms::NoResistance;
use super::electrical::{Electrical, Through};
use super::ground_drive::{Drives, Limits, said, sources};
use super::ground_drop::WireDrops;
use super::ground_flows::{Flows, Outlets};
use super::ground_points::Points;
use super::ground_sender::Asked;
use super::ground_sure::{State, Sure};
use super::ground_ways::Ways;
use super::routing::Routing;
use super::{ground_drop, ground_probe, ground_strap, ground_warmth};
use crate::harness::{BondId, ConductorId, Harness, PinId};
use crate::parts::library::Library;
use crate::quantity::{Current, Resistance, Voltage};
use crate::spec::words::BodyKind;
use crate::trade::network::{Reduced, Ring, Solution};
use crate::trade::network_alone::Alone;

pub use super::ground_drive::Driven;
pub use super::ground_drop::{Drop, DropTerm, Dropped, Lost, NoDrop, regauged};
pub use super::ground_points::Unsure;
pub use super::ground_probe::{GroundedProbe, ProbeShift, Shift};
pub use super::ground_range::Range;
pub use super::ground_sender::{Offset, Sender, Unread, Zeros};
pub use super::ground_strap::{Overload, Strap, StrapOpen};
pub use super::sender_reading::Misread;

/// When currents flow from body to body.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Phase {
    /// The engine runs and the alternator charges.
    Cruise,
    /// The starter turns the engine.
    Cranking,
}

impl Phase {
    /// Both, in this order.
    pub const ALL: [Phase; 2] = [Phase::Cruise, Phase::Cranking];

    /// Words after a figure.
    pub fn words(self) -> &'static str {
        match self {
            Phase::Cruise => "in cruise",
            Phase::Cranking => "while cranking",
        }
    }
}

/// The state of the grounds.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Scenario {
    /// Every bond as it should be.
    Whole(Phase),
    /// This bond has come loose.
    Open(BondId, Phase),
}

/// The network, solved.
#[derive(Clone, Debug)]
pub struct GroundNetwork {
    pub(super) ohms: Vec<Result<Range<Resistance>, NoResistance>>,
    pub(super) carried: BTreeMap<Phase, Vec<Result<Range<Current>, Unsure>>>,
    /// Conductors that lie on a ring with a bond, by conductor.
    beside_bonds: Vec<bool>,
    pub(super) across: BTreeMap<Phase, Vec<Option<Range<Voltage>>>>,
    /// A load of unknown size whose current takes the ring of a conductor, by conductor.
    silent: Vec<Option<PinId>>,
    pub(super) driven: BTreeMap<Phase, Drives>,
    /// True where a drive comes to its limit with an unknown resistance as none or as open.
    pub(super) limited: bool,
    /// What the loads drop, wire by wire.
    pub(super) wires: WireDrops,
    /// What becomes of the harness where a bond opens, by bond.
    pub straps: Vec<Strap>,
    /// The drop of each load that a feed of the spec serves, in the order of the loads.
    pub drops: Vec<Drop>,
    /// Each sender that an indicator reads, in the order of devices.
    pub senders: Vec<Sender>,
    /// Each thermocouple whose junction touches its case and that a gauge reads, in the order of devices.
    pub probes: Vec<GroundedProbe>,
}

/// What the questions are asked of.
pub(super) struct Solved<'s, 'r, 'n> {
    pub h: &'s Harness,
    pub library: &'s Library,
    pub routing: &'s Routing,
    pub electrical: &'s Electrical,
    pub points: &'s Points,
    pub ways: &'s Ways,
    pub outlets: &'s Outlets,
    pub flows: &'s Flows,
    pub reduced: &'r Reduced<'n>,
    /// With the loads of the harness alone, and with what flows through the bonds besides.
    pub solutions: &'s BTreeMap<State, Solution<'r, 'n>>,
    /// Rings that bonds or unknown resistances lie on.
    pub rings: &'s BTreeMap<Ring, Alone<'r, 'n>>,
    /// What drives current through the bonds in each phase.
    pub driven: &'s BTreeMap<Phase, Drives>,
    /// A load of unknown size whose current takes a ring.
    pub silent: &'s BTreeMap<Ring, PinId>,
    /// A bond of which nobody says what flows through it, by ring and phase.
    unsaid: BTreeMap<(Ring, Phase), BondId>,
    pub sure: &'s Sure<'s, 'r, 'n>,
}

impl GroundNetwork {
    /// Solves it. Near-linear in the number of conductors where the harness is nearly a tree.
    pub fn of(
        h: &Harness,
        library: &Library,
        routing: &Routing,
        electrical: &Electrical,
        currents: &Currents,
    ) -> GroundNetwork {
        ground_warmth::solved(h, library, routing, electrical, |points| {
            GroundNetwork::once(h, library, routing, electrical, currents, points)
        })
    }

    /// Solves it with these resistances.
    fn once(
        h: &Harness,
        library: &Library,
        routing: &Routing,
        electrical: &Electrical,
        currents: &Currents,
        points: Points,
    ) -> GroundNetwork {
        let outlets = Outlets::of(h, electrical, &points);
        let loads = currents.loads();
        let flows = Flows::of(h, electrical, &points, &outlets, loads);
        let forest = Ways::over(h, electrical);
        let reduced = points.network.reduced();
        let mut made = GroundNetwork {
            ohms: points.ohms.clone(),
            carried: BTreeMap::new(),
            beside_bonds: Vec::new(),
            across: BTreeMap::new(),
            silent: Vec::new(),
            driven: BTreeMap::new(),
            limited: false,
            wires: WireDrops::default(),
            straps: Vec::new(),
            drops: Vec::new(),
            senders: Vec::new(),
            probes: Vec::new(),
        };
        let branches =
            points.bonds.iter().flatten().chain(points.unknown.iter().map(|(_, branch, _)| branch));
        let mut rings = BTreeMap::new();
        for ring in branches.filter_map(|branch| reduced.ring_of(*branch)) {
            rings.entry(ring).or_insert_with(|| reduced.alone(ring));
        }
        let limits = Limits::of(h, &points, &reduced, &rings);
        let solve = |drives: &Drives| {
            reduced.solve(&flows.sources.iter().copied().chain(sources(drives, &points)).collect::<Vec<_>>())
        };
        let mut driven = BTreeMap::new();
        let mut unsolved = BTreeMap::new();
        // Every source comes with its way back, so this never fails; if it did, nothing would be known.
        let Ok(loads_alone) = solve(&Vec::new()) else { return made };
        let mut solutions = BTreeMap::from([(None, loads_alone)]);
        for phase in Phase::ALL {
            let mut drives = said(h, phase);
            let Ok(mut solution) = solve(&drives) else { return made };
            let mut of_phase = BTreeMap::new();
            let lessened = limits.lessen(&mut drives, &solution, &mut of_phase);
            unsolved.extend(of_phase.into_iter().map(|(ring, bond)| ((ring, phase), bond)));
            if lessened {
                let Ok(again) = solve(&drives) else { return made };
                solution = again;
            }
            limits.own(&mut drives, &solution);
            solutions.insert(Some(phase), solution);
            driven.insert(phase, drives);
        }
        let limit = limits.supply().map(|v| (&driven, v));
        let sure = Sure::of(&points, &reduced, &rings, &solutions, limit, unsolved);
        let ways: Vec<_> = flows.silent.iter().map(|(way, _)| *way).collect();
        let through = reduced.first_through(&ways).into_iter();
        let silent = through.filter_map(|(ring, way)| Some((ring, flows.silent.get(way)?.1))).collect();
        let solved = Solved {
            h,
            library,
            routing,
            electrical,
            points: &points,
            ways: &forest,
            outlets: &outlets,
            flows: &flows,
            reduced: &reduced,
            solutions: &solutions,
            rings: &rings,
            driven: &driven,
            silent: &silent,
            unsaid: unsaid(h, &points, &reduced),
            sure: &sure,
        };
        let bonds_of = solved.bonds_of_rings();
        let ring = |id: ConductorId| reduced.ring_of(points.conductors[id.index()]?);
        let bonds = |id: ConductorId| ring(id).and_then(|ring| bonds_of.get(&ring));
        made.beside_bonds = h.conductor_ids().map(|id| bonds(id).is_some()).collect();
        made.silent = h.conductor_ids().map(|id| solved.silent.get(&ring(id)?).copied()).collect();
        for phase in Phase::ALL {
            // What nobody says of a bond is missing in all that lies on a ring with it, and nowhere else.
            let current = |id: ConductorId| match ring(id).and_then(|ring| solved.unsaid(ring, phase)) {
                Some(bond) => Err(Unsure::Current(bond)),
                None => {
                    let branch = points.conductors[id.index()].ok_or(Unsure::Apart)?;
                    sure.current(Some(phase), branch)
                }
            };
            made.carried.insert(phase, h.conductor_ids().map(current).collect());
            let across = |i: usize| solved.across(phase, BondId::at(i));
            made.across.insert(phase, (0..h.bonds.len()).map(across).collect());
        }
        let driving = ground_strap::driving(&solved);
        let opened = ground_strap::opened(&solved, &driving);
        let (terms, drops) = ground_drop::drops(&solved, loads);
        made.drops = drops;
        let asked = Asked::of(&solved, &opened);
        made.senders = asked.senders();
        made.probes = ground_probe::probes(&asked, electrical);
        made.straps = ground_strap::straps(&solved, &opened);
        made.limited = sure.is_limited();
        made.driven = driven;
        made.wires = WireDrops { ways: forest, terms };
        made
    }

    /// Resistance of a conductor; both ends where a zone does not say how hot it gets.
    ///
    /// # Errors
    /// Where it is not known.
    pub fn resistance(&self, id: ConductorId) -> Result<Range<Resistance>, NoResistance> {
        self.ohms.get(id.index()).copied().unwrap_or(Err(NoResistance::NoPath))
    }

    /// Current in a conductor, from its `from` to its `to`, loads and bonds at work.
    ///
    /// # Errors
    /// Where nothing bounds it: a bond on its ring does not say what flows through it, or too many resistances of the ring
    /// are unknown.
    pub fn carried(&self, id: ConductorId, phase: Phase) -> Result<Range<Current>, Unsure> {
        let of_phase = self.carried.get(&phase);
        of_phase.and_then(|of| of.get(id.index())).copied().unwrap_or(Err(Unsure::Apart))
    }

    /// A load of which nobody says how much it takes, and whose current divides between a conductor and others on its ring:
    /// what [`carried`](Self::carried) tells lacks its share, whichever way that goes.
    pub fn silent(&self, id: ConductorId) -> Option<PinId> {
        self.silent.get(id.index()).copied().flatten()
    }

    /// True where a conductor lies on a ring with a bond, so that what flows from body to body takes its way too.
    pub fn is_beside_bonds(&self, id: ConductorId) -> bool {
        self.beside_bonds.get(id.index()).copied().unwrap_or_default()
    }

    /// How far the first body of a bond lies above the second, the bond whole. None where it is not known.
    pub fn across(&self, bond: BondId, phase: Phase) -> Option<Voltage> {
        self.across.get(&phase)?.get(bond.index())?.as_ref()?.exact().copied()
    }

    /// What drives the current of a bond in a phase; None where it is not said, or hangs on how hot it gets where that is not
    /// said.
    pub fn driven(&self, bond: BondId, phase: Phase) -> Option<Driven> {
        *self.driven.get(&phase)?.get(bond.index())?
    }

    /// True where a resistance that decides between what something lies has ends itself, for it hangs on how warm copper
    /// gets; false where it may be none or open.
    pub fn is_bounded(&self, through: Through) -> bool {
        match through {
            Through::Conductor(id) => self.resistance(id).is_ok(),
            Through::Lead(_) => true,
            _ => false,
        }
    }

    /// What each wire and bond between the zeros of a sender and its indicator adds to the offset, the grounds whole, those of
    /// which nothing can be said left out. What is left to the whole offset lies in leads of the senders' own.
    pub fn terms(&self, sender: &Sender, phase: Phase) -> Vec<(Through, Range<Voltage>)> {
        let term = |(through, along): &(Through, bool)| {
            let volts = match through {
                Through::Conductor(id) => {
                    let ohms = self.resistance(*id).ok()?;
                    let current = self.carried(*id, phase).ok()?;
                    let all = current.ends().map(|i| ohms.ends().map(|r| *i * *r));
                    let all = all.as_flattened();
                    let open = current.open.or(ohms.open).filter(|_| all.iter().any(|v| *v != all[0]));
                    Range {
                        low: all.iter().copied().min().unwrap_or_default(),
                        high: all.iter().copied().max().unwrap_or_default(),
                        open,
                    }
                }
                Through::Bond(id) => (*self.across.get(&phase)?.get(id.index())?)?,
                _ => return None,
            };
            let against = Range { low: -volts.high, high: -volts.low, open: volts.open };
            Some((*through, if *along { volts } else { against }))
        };
        sender.way.iter().filter_map(term).collect()
    }
}

impl Solved<'_, '_, '_> {
    /// The bonds that lie on each ring, those rings that have any.
    pub(super) fn bonds_of_rings(&self) -> BTreeMap<Ring, Vec<BondId>> {
        let mut bonds_of: BTreeMap<Ring, Vec<BondId>> = BTreeMap::new();
        for (i, branch) in self.points.bonds.iter().enumerate() {
            if let Some(ring) = branch.and_then(|b| self.reduced.ring_of(b)) {
                bonds_of.entry(ring).or_default().push(BondId::at(i));
            }
        }
        bonds_of
    }

    /// A bond on a ring of which nobody says what flows through it in a phase.
    pub(super) fn unsaid(&self, ring: Ring, phase: Phase) -> Option<BondId> {
        self.unsaid.get(&(ring, phase)).copied()
    }

    /// Current in a conductor from its `from` to its `to`; None where nothing bounds it.
    pub(super) fn current(&self, state: State, id: ConductorId) -> Option<Range<Current>> {
        self.sure.current(state, self.points.conductors[id.index()]?).ok()
    }

    /// How far the first body of a bond lies above the second; None where it is not known. Exactly nothing over a bond that
    /// is said to have no resistance.
    fn across(&self, phase: Phase, bond: BondId) -> Option<Range<Voltage>> {
        let resistance = self.h.bond(bond).resistance?.value;
        if resistance == Resistance::ZERO {
            return Some(Range::of(Voltage::ZERO));
        }
        let branch = self.points.bonds[bond.index()]?;
        if self.reduced.ring_of(branch).and_then(|ring| self.unsaid(ring, phase)).is_some() {
            return None;
        }
        let current = self.sure.current(Some(phase), branch).ok()?;
        Some(current.map(|current| current * resistance))
    }
}

/// What a bond is said to carry in a phase. A bond without the engine carries the same in both.
pub fn bond_current(h: &Harness, bond: BondId, phase: Phase) -> Option<Current> {
    let b = h.bond(bond);
    let of_engine = b.ends.iter().any(|end| h.body(*end).kind == BodyKind::Engine);
    let said = if of_engine && phase == Phase::Cranking { b.cranking } else { b.carries };
    said.map(|c| c.value)
}

fn unsaid(h: &Harness, points: &Points, reduced: &Reduced) -> BTreeMap<(Ring, Phase), BondId> {
    let mut unsaid = BTreeMap::new();
    for (id, branch) in points.bonds.iter().enumerate().map(|(i, branch)| (BondId::at(i), branch)) {
        let Some(ring) = branch.and_then(|branch| reduced.ring_of(branch)) else { continue };
        for phase in Phase::ALL.into_iter().filter(|phase| bond_current(h, id, *phase).is_none()) {
            unsaid.entry((ring, phase)).or_insert(id);
        }
    }
    unsaid
}
