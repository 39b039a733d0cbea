//! What lies side by side in a run or a hole: conductors in; the pieces that take room, their bundle diameter and
//! their share of a bore out.
//!
//! Guarantees: a cable takes room once, by its jacket, screen included, however many of its cores pass; the diameter is
//! that of the tightest packing found (see `trade::packing`), so a bundle laid by hand is never thinner. Bundles are
//! packed when their diameter is first asked for, and those of equal wires once; what is asked first changes nothing.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::{Arc, Mutex, OnceLock, PoisonError};

use super::hole_room::{Fit, HoleRoom};
use super::own_leads::OwnLeads;
use super::routing::Routing;
use crate::harness::{CableId, ConductorId, DeviceId, Harness, Hole, HoleId, RunId};
use crate::parts::library::{Library, WirePartId};
use crate::parts::model::CoveringPart;
use crate::quantity::{Fraction, Length};
use crate::trade::packing::{Beside, Circle, Packing, at_least, never_wider_than, pack};
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
    /// Room for one more, by bore and by what is enough.
    besides: Mutex<BTreeMap<(Length, Length), Option<Beside>>>,
}

impl Pile {
    fn of(mut sorted: Vec<Length>) -> Arc<Pile> {
        sorted.sort_unstable_by(|a, b| b.cmp(a));
        Arc::new(Pile { sorted, packing: OnceLock::new(), besides: Mutex::default() })
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
        self.in_order(&self.packing().circles)
    }

    /// Circles that are given from the largest to the smallest, in the order of the strands.
    pub(super) fn in_order(&self, sorted: &[Circle]) -> Vec<Circle> {
        let mut order: Vec<usize> = (0..self.diameters.len()).collect();
        order.sort_by(|a, b| self.diameters[*b].cmp(&self.diameters[*a]).then(a.cmp(b)));
        let mut circles = sorted.to_vec();
        for (&i, circle) in order.iter().zip(sorted) {
            circles[i] = *circle;
        }
        circles
    }

    /// Diameters from large to small.
    pub(super) fn sorted(&self) -> &[Length] {
        &self.pile.sorted
    }

    /// True where this takes more room than the other whatever the bore: for each strand of the other it has one that is
    /// no thinner.
    pub(super) fn outweighs(&self, other: &Bundle) -> bool {
        let (own, other) = (self.sorted(), other.sorted());
        own.len() >= other.len() && own.iter().zip(other).all(|(own, other)| own >= other)
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

    /// Diameter of one more strand that fits into a bore beside these: a lower bound, see [`Packing::beside`]. `None`
    /// where these do not fit. Packs when a bore is first asked about, several times; what was found is kept.
    pub fn spare(&self, bore: Length) -> Option<Length> {
        Some(self.beside(bore, bore)?.spare.diameter)
    }

    /// The same with the places of all, from the largest to the smallest; no larger one is looked for than is `enough`.
    pub(super) fn beside(&self, bore: Length, enough: Length) -> Option<Beside> {
        if self.at_least() > bore {
            return None;
        }
        // Nothing can go wrong while the lock is held that would leave the map half written.
        let mut besides = self.pile.besides.lock().unwrap_or_else(PoisonError::into_inner);
        besides.entry((bore, enough)).or_insert_with(|| self.packing().beside(bore, enough)).clone()
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
    kinds: Vec<Kind>,
    fits: Vec<OnceLock<Vec<Fit>>>,
}

/// A wire or cable that a harness uses.
#[derive(Clone, Copy, Debug)]
pub(super) struct Kind {
    pub wire: WirePartId,
    pub outside: Length,
    /// Conductors that it counts as in a hole.
    pub conductors: usize,
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
        let fits = h.holes.iter().map(|_| OnceLock::new()).collect();
        Bundles { runs, holes, shared_holes, rooms, piles, kinds: kinds(h, library), fits }
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
    /// found is kept. What has room in a hole that holds more has room in this one too.
    pub fn room(&self, h: &Harness, id: HoleId) -> &HoleRoom {
        self.rooms[id.index()]
            .get_or_init(|| HoleRoom::of(h.hole(id), self.hole_with_others(id), &self.fuller(h, id)))
    }

    /// How many more of the thickest wire or cable of the harness may be added to a hole, and of the one that it uses most;
    /// empty where that is not known. Packs where more than half of the bore would be filled; what was found is kept.
    pub fn fits(&self, h: &Harness, id: HoleId) -> &[Fit] {
        self.fits[id.index()].get_or_init(|| {
            let (room, fuller) = (self.room(h, id), self.fuller(h, id));
            let fit = |kind: &Kind| Fit::of(h.hole(id), self.hole_with_others(id), room, *kind, &fuller);
            self.kinds.iter().filter_map(fit).collect()
        })
    }

    /// Holes that are no wider than this one and hold more, as far as all in them has a known size.
    fn fuller<'a>(&'a self, h: &'a Harness, id: HoleId) -> Vec<(&'a Hole, &'a Bundle)> {
        let (own, all) = (h.hole(id), self.hole_with_others(id));
        let bore = |hole: &Hole| hole.bore.map(|bore| bore.value);
        let others = h.holes.iter().zip(&self.shared_holes).enumerate().filter(|(i, _)| *i != id.index());
        let fuller = |(_, (hole, bundle)): (usize, (&'a Hole, &'a Bundle))| {
            let known = bundle.leads.is_empty() && (hole.others == 0 || hole.others_outside.is_some());
            let no_wider = bore(hole).zip(bore(own)).is_some_and(|(other, own)| other <= own);
            (known && no_wider && bundle.outweighs(all)).then_some((hole, bundle))
        };
        others.filter_map(fuller).collect()
    }
}

/// The thickest wire or cable that a harness uses, and the one that it uses most where that is another. Of several alike
/// the thicker, then the first.
fn kinds(h: &Harness, library: &Library) -> Vec<Kind> {
    let mut used: BTreeMap<WirePartId, usize> = BTreeMap::new();
    let loose = h.conductors.iter().filter(|c| c.cable.is_none()).map(|c| c.wire);
    for wire in loose.chain(h.cables.iter().map(|c| c.wire)) {
        *used.entry(wire).or_default() += 1;
    }
    let outside = |wire: &WirePartId| library.wires.get(*wire).outside;
    let thickest = used.keys().min_by_key(|wire| (Reverse(outside(wire)), **wire)).copied();
    let most = used.iter().min_by_key(|(wire, n)| (Reverse(**n), Reverse(outside(wire)), **wire));
    let mut found: Vec<WirePartId> = thickest.into_iter().chain(most.map(|(wire, _)| *wire)).collect();
    found.dedup();
    let kind = |wire: WirePartId| {
        let part = library.wires.get(wire);
        Kind { wire, outside: part.outside, conductors: part.cores.len().max(1) }
    };
    found.into_iter().map(kind).collect()
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
