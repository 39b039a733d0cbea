//! What lies side by side in a run or a hole: conductors in; the pieces that take room, their bundle diameter and
//! their share of a bore out.
//!
//! Guarantees: a cable takes room once, by its jacket, screen included, however many of its cores pass; the diameter is
//! that of the tightest packing found (see `trade::packing`), so a bundle laid by hand is never thinner. Bundles are
//! packed when their diameter is first asked for, and those of equal wires once; what is asked first changes nothing.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::{Arc, Mutex, OnceLock, PoisonError};

use super::hole_room::HoleRoom;
use super::own_leads::OwnLeads;
use super::routing::Routing;
use crate::harness::{CableId, ConductorId, DeviceId, Harness, Hole, HoleId, RunId};
use crate::parts::library::Library;
use crate::parts::model::CoveringPart;
use crate::quantity::{Fraction, Length};
use crate::trade::packing::{Circle, Packing, at_least, never_wider_than, pack};
use crate::workers;

/// One round thing in a bundle.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Strand {
    /// A single wire.
    Wire(ConductorId),
    /// A pair or cable with all its cores.
    Cable(CableId),
}

/// What lies side by side.
#[derive(Clone, Debug)]
pub struct Bundle {
    /// Conductors, cores counted singly: what a hole's limit counts.
    pub conductors: usize,
    /// The round things, in the order of their first conductor.
    pub strands: Vec<Strand>,
    /// Their outside diameters, in the same order.
    pub diameters: Vec<Length>,
    /// Devices whose own leads lie here too; nobody knows how thick those are, so no figure counts them.
    pub leads: Vec<DeviceId>,
    pile: Arc<Pile>,
}

/// Diameters from large to small, and what somebody asked of them: shared by all bundles of such wires.
#[derive(Debug)]
struct Pile {
    sorted: Vec<Length>,
    packing: OnceLock<Packing>,
    /// Room for one more, by bore.
    spares: Mutex<BTreeMap<Length, Option<Length>>>,
}

impl Pile {
    fn of(mut sorted: Vec<Length>) -> Arc<Pile> {
        sorted.sort_unstable_by(|a, b| b.cmp(a));
        Arc::new(Pile { sorted, packing: OnceLock::new(), spares: Mutex::default() })
    }

    fn packing(&self) -> &Packing {
        self.packing.get_or_init(|| pack(&self.sorted))
    }
}

impl Bundle {
    /// The same with the conductors of other harnesses in the hole, where the spec tells their size.
    fn with_others(&self, hole: &Hole) -> Bundle {
        let mut all = self.clone();
        if let Some(outside) = hole.others_outside.filter(|_| hole.others > 0) {
            all.diameters.extend(std::iter::repeat_n(outside.value, hole.others as usize));
            all.pile = Pile::of(all.diameters.clone());
        }
        all
    }

    /// Diameter over all; zero where nothing passes. Packs.
    pub fn diameter(&self) -> Length {
        self.packing().diameter
    }

    /// The places of the strands, in their order, about the middle of the bundle. Packs.
    pub fn circles(&self) -> Vec<Circle> {
        let mut order: Vec<usize> = (0..self.diameters.len()).collect();
        order.sort_by(|a, b| self.diameters[*b].cmp(&self.diameters[*a]).then(a.cmp(b)));
        let packed = &self.packing().circles;
        let mut circles = packed.clone();
        for (&i, circle) in order.iter().zip(packed) {
            circles[i] = *circle;
        }
        circles
    }

    /// Diameter with a covering on; zero where nothing passes. Packs.
    pub fn covered_diameter(&self, covering: &CoveringPart) -> Length {
        if self.strands.is_empty() { Length::ZERO } else { self.diameter() + covering.wall.times(2) }
    }

    /// Share of a bore's area that the strands cover; may exceed one. `None` for a bore of no size.
    pub fn fill(&self, bore: Length) -> Option<Fraction> {
        let covered: f64 = self.diameters.iter().map(|d| d.mm() * d.mm()).sum();
        Fraction::try_from_ratio(covered / (bore.mm() * bore.mm()))
    }

    /// False where the strands cannot pass a bore, or no packing of them was found that does. Packs only where that
    /// cannot be told otherwise.
    pub fn fits(&self, bore: Length) -> bool {
        self.at_least() <= bore && (never_wider_than(&self.diameters) <= bore || self.diameter() <= bore)
    }

    /// A diameter that no packing of the strands is below.
    pub fn at_least(&self) -> Length {
        at_least(&self.diameters)
    }

    /// Diameter of one more strand that fits into a bore beside these: a lower bound, see [`Packing::spare`]. `None`
    /// where these do not fit. Packs when a bore is first asked about, several times; what was found is kept.
    pub fn spare(&self, bore: Length) -> Option<Length> {
        if self.at_least() > bore {
            return None;
        }
        // Nothing can go wrong while the lock is held that would leave the map half written.
        let mut spares = self.pile.spares.lock().unwrap_or_else(PoisonError::into_inner);
        *spares.entry(bore).or_insert_with(|| self.packing().spare(bore))
    }

    fn packing(&self) -> &Packing {
        self.pile.packing()
    }
}

/// The bundles of every run and hole.
#[derive(Clone, Debug)]
pub struct Bundles {
    runs: Vec<Bundle>,
    holes: Vec<Bundle>,
    shared_holes: Vec<Bundle>,
    rooms: Vec<OnceLock<HoleRoom>>,
    /// What any of them is packed from.
    piles: Piles,
}

impl Bundles {
    /// Gathers what lies in every run and hole; packs nothing yet.
    pub fn of(h: &Harness, library: &Library, routing: &Routing) -> Bundles {
        let mut piles = Piles::new();
        let mut gather = |all: &[Vec<ConductorId>], leads: Vec<Vec<DeviceId>>| -> Vec<Bundle> {
            all.iter()
                .zip(leads)
                .map(|(inside, leads)| bundle(h, library, inside, leads, &mut piles))
                .collect()
        };
        let leads = OwnLeads::of(h, routing);
        let runs = gather(&routing.in_run, leads.along);
        let holes = gather(&routing.in_hole, leads.through);
        let shared_holes = holes.iter().zip(&h.holes).map(|(own, hole)| own.with_others(hole)).collect();
        let rooms = h.holes.iter().map(|_| OnceLock::new()).collect();
        Bundles { runs, holes, shared_holes, rooms, piles }
    }

    /// The bundles of other groups of conductors of the harness: those that leave a place for the same connector. Packs
    /// nothing yet; equal ones share what is packed, with each other and with the runs and holes: many a run ends at
    /// one connector.
    pub fn gathered(&self, h: &Harness, library: &Library, groups: &[&[ConductorId]]) -> Vec<Bundle> {
        let mut piles = self.piles.clone();
        groups.iter().map(|group| bundle(h, library, group, Vec::new(), &mut piles)).collect()
    }

    /// Packs all of them, and finds what the holes of their harness have room for: for whoever will ask for everything.
    pub fn pack(&self, h: &Harness) {
        let mut piles: Vec<&Pile> = self.piles.values().map(Arc::as_ref).collect();
        piles.sort_by_key(|pile| Reverse(pile.sorted.len()));
        workers::each(piles.len(), |n| {
            piles[n].packing();
        });
        workers::each(h.holes.len(), |n| {
            self.room(h, HoleId::at(n));
        });
    }

    /// The bundle along a run.
    pub fn run(&self, id: RunId) -> &Bundle {
        &self.runs[id.index()]
    }

    /// The bundle through a hole, conductors of other harnesses left out.
    pub fn hole(&self, id: HoleId) -> &Bundle {
        &self.holes[id.index()]
    }

    /// The same with the conductors of other harnesses, where the spec tells their size; they come last and are no
    /// strands of this harness.
    pub fn hole_with_others(&self, id: HoleId) -> &Bundle {
        &self.shared_holes[id.index()]
    }

    /// What a hole of the harness that these bundles were gathered of holds, and what may still be added. Packs; what was
    /// found is kept.
    pub fn room(&self, h: &Harness, id: HoleId) -> &HoleRoom {
        self.rooms[id.index()].get_or_init(|| HoleRoom::of(h.hole(id), self.hole_with_others(id)))
    }
}

/// How many there are of each diameter.
type Count = BTreeMap<Length, usize>;

/// Each pile once.
type Piles = BTreeMap<Count, Arc<Pile>>;

fn bundle(
    h: &Harness,
    library: &Library,
    conductors: &[ConductorId],
    leads: Vec<DeviceId>,
    piles: &mut Piles,
) -> Bundle {
    let mut seen = BTreeSet::new();
    let mut strands = Vec::new();
    let mut diameters = Vec::new();
    let mut count = Count::new();
    for id in conductors {
        let conductor = h.conductor(*id);
        let (strand, wire) = match conductor.cable {
            Some(cable) if !seen.insert(cable) => continue,
            Some(cable) => (Strand::Cable(cable), h.cable(cable).wire),
            None => (Strand::Wire(*id), conductor.wire),
        };
        let outside = library.wires.get(wire).outside;
        strands.push(strand);
        diameters.push(outside);
        *count.entry(outside).or_default() += 1;
    }
    let pile = piles.entry(count).or_insert_with_key(|count| {
        Pile::of(count.iter().rev().flat_map(|(d, n)| std::iter::repeat_n(*d, *n)).collect())
    });
    Bundle { conductors: conductors.len(), strands, diameters, leads, pile: Arc::clone(pile) }
}
