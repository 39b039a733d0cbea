//! A hole in; what passes it in the order of feeding, numbered, and what may still be added, out.

use std::cmp::Reverse;
use std::collections::BTreeMap;

use super::view::View;
use crate::draw::mark::{Layer, Mark, TagKind};
use crate::graph::{Bundle, Bundles, Fit, HoleRoom, Routing, Strand};
use crate::harness::{CableId, ConductorId, Harness, Hole, HoleId, ZoneId};
use crate::parts::library::Library;
use crate::parts::model::LiningPart;
use crate::quantity::Length;
use crate::trade::packing::{Circle, Packing, pack};

/// Which way a hole is fed, and what goes through when, as the plan has it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fed {
    /// Side on which the bundle is finished first.
    pub from: ZoneId,
    /// Side whose ends are fed through.
    pub towards: ZoneId,
    /// Conductors whose ends are fed through, in the order of feeding; what is fed the other way comes last.
    pub order: Vec<ConductorId>,
    /// How many of them are fed the other way.
    pub back: usize,
}

/// A conductor and its number in the picture and the table.
#[derive(Clone, Copy, Debug)]
pub(super) struct Numbered {
    pub number: usize,
    pub id: ConductorId,
    /// Diameter over its own insulation.
    pub outside: Length,
}

/// A round thing in its place. The origin is the middle of the bore, y upwards.
pub(super) struct Laid {
    pub circle: Circle,
    /// The cable that it is; None for a single wire.
    pub cable: Option<CableId>,
    pub conductors: Vec<Numbered>,
    /// Places of a cable's conductors about its middle; empty for a single wire.
    pub cores: Packing,
}

/// Packings of the cores of cables, by their diameters: many cables are alike.
#[derive(Default)]
pub(super) struct Cores(BTreeMap<Vec<Length>, Packing>);

impl Cores {
    fn of(&mut self, cable: Option<CableId>, conductors: &[Numbered]) -> Packing {
        let sizes = if cable.is_some() { conductors.iter().map(|c| c.outside).collect() } else { Vec::new() };
        self.0.entry(sizes).or_insert_with_key(|sizes| pack(sizes)).clone()
    }
}

/// A hole with everything in it.
pub(super) struct Opening<'a> {
    pub hole: &'a Hole,
    /// With the conductors of other harnesses whose size is known.
    pub bundle: &'a Bundle,
    pub lining: Option<(&'a str, &'a LiningPart)>,
    pub fed: Option<&'a Fed>,
    /// In the order of feeding.
    pub laid: Vec<Laid>,
    /// Conductors of other harnesses whose size is known, in their places.
    pub others: Vec<Circle>,
    /// What it holds, and what may be added.
    pub room: &'a HoleRoom,
    /// How many of the wires that the harness is made of may be added.
    pub fits: &'a [Fit],
    /// The bundle as it was packed, lying at the bottom of the bore: its circles in the order of `laid`, then those of
    /// other harnesses, and what may be added above it without moving it.
    pub packed: (Vec<Circle>, Option<Circle>),
}

impl<'a> Opening<'a> {
    pub fn of(
        h: &'a Harness,
        library: &'a Library,
        routing: &Routing,
        bundles: &'a Bundles,
        cores: &mut Cores,
        (id, fed): (HoleId, Option<&'a Fed>),
    ) -> Opening<'a> {
        let hole = h.hole(id);
        let (bundle, room) = (bundles.hole_with_others(id), bundles.room(h, id));
        let fits = bundles.fits(h, id);
        let circles = &room.arranged.circles;
        let mut order: Vec<usize> = (0..bundle.strands.len()).collect();
        // As the plan has it; what only ends in the hole comes last, the thickest first.
        let turns: BTreeMap<ConductorId, usize> =
            fed.iter().flat_map(|f| &f.order).enumerate().map(|(turn, id)| (*id, turn)).collect();
        let turn = |strand: &Strand| match strand {
            Strand::Wire(id) => turns.get(id).copied(),
            Strand::Cable(cable) => {
                h.cable(*cable).cores.iter().flatten().filter_map(|c| turns.get(c)).min().copied()
            }
        };
        order.sort_by_key(|i| {
            let turn = bundle.strands.get(*i).and_then(turn).unwrap_or(usize::MAX);
            (turn, circles.get(*i).map(|c| Reverse(c.diameter)), *i)
        });
        let passing: Vec<ConductorId> = routing.in_hole.get(id.index()).cloned().unwrap_or_default();
        let mut number = 0;
        let mut next = |id: ConductorId| {
            number += 1;
            let c = h.conductor(id);
            let wire = library.wires.get(c.wire);
            let outside = if c.cable.is_some() { wire.insulation() } else { wire.outside };
            Numbered { number, id, outside }
        };
        let mut laid = Vec::new();
        let lying = &room.packed;
        let own = bundle.strands.len();
        let all = order.iter().copied().chain(own..lying.circles.len());
        let at_bottom: Vec<Circle> = all.filter_map(|i| lying.circles.get(i)).copied().collect();
        let others = circles.get(own..).unwrap_or_default().to_vec();
        for i in order {
            let (Some(strand), Some(circle)) = (bundle.strands.get(i), circles.get(i)) else { continue };
            let (cable, ids) = match strand {
                Strand::Wire(id) => (None, vec![*id]),
                Strand::Cable(cable) => {
                    let cores = h.cable(*cable).cores.iter().flatten();
                    (Some(*cable), cores.filter(|c| passing.contains(c)).copied().collect())
                }
            };
            let conductors: Vec<Numbered> = ids.into_iter().map(&mut next).collect();
            let cores = cores.of(cable, &conductors);
            laid.push(Laid { circle: *circle, cable, conductors, cores });
        }
        let lining = hole.lining.map(|l| (library.linings.name(l), library.linings.get(l)));
        let packed = (at_bottom, lying.spare);
        let mut opening = Opening { hole, bundle, lining, fed, laid, others, room, fits, packed };
        // What does not pass lies beside the hole.
        let aside = opening.aside();
        opening.laid.iter_mut().for_each(|laid| laid.circle.x += aside);
        opening.others.iter_mut().for_each(|circle| circle.x += aside);
        opening.packed.0.iter_mut().for_each(|circle| circle.x += aside);
        opening
    }

    /// How far the bundle is drawn from the middle of the hole.
    fn aside(&self) -> Length {
        let half = |d: Length| Length::from_um(d.um() / 2);
        let apart = half(self.widest()) + half(self.bundle.diameter()) + half(half(self.bundle.diameter()));
        if self.fits() { Length::ZERO } else { apart }
    }

    /// The middle of the packed bundle, where it is drawn.
    pub fn bundle_middle(&self) -> Circle {
        let half = |d: Length| Length::from_um(d.um() / 2);
        let (diameter, aside) = (self.bundle.diameter(), self.aside());
        let down = match self.clear() {
            Some(bore) if self.fits() => half(bore - diameter),
            _ => Length::ZERO,
        };
        Circle { x: aside, y: Length::ZERO - down, diameter }
    }

    /// Width of all that is drawn.
    pub fn breadth(&self) -> Length {
        let half = |d: Length| Length::from_um(d.um() / 2);
        match self.fits() {
            true => self.widest(),
            false => half(self.widest()) + self.aside() + half(self.bundle.diameter()),
        }
    }

    /// The hole in the wall, or what is in it where no bore is given.
    pub fn widest(&self) -> Length {
        let wall = self.lining.map(|(_, lining)| lining.hole).max(self.clear());
        wall.unwrap_or_else(|| self.bundle.diameter())
    }

    /// True where it is drawn otherwise than it was packed.
    pub fn is_moved(&self, view: View) -> bool {
        matches!(view, View::Whole(_)) && self.room.moved
    }

    /// What may be added, as it is drawn.
    pub fn spare(&self, view: View) -> Option<Circle> {
        match view {
            View::Whole(_) => self.room.arranged.spare,
            View::Detailed { .. } => self.packed.1,
        }
    }

    /// Clear diameter.
    pub fn clear(&self) -> Option<Length> {
        self.hole.bore.map(|b| b.value)
    }

    /// False where the packed bundle is wider than the bore.
    pub fn fits(&self) -> bool {
        self.clear().is_none_or(|bore| self.bundle.diameter() <= bore)
    }

    pub fn conductors(&self) -> impl Iterator<Item = &Numbered> {
        self.laid.iter().flat_map(|l| &l.conductors)
    }

    pub fn mark(&self, h: &Harness, layer: Layer) -> Mark {
        Mark::new(layer)
            .with(TagKind::Hole, &self.hole.name)
            .with(TagKind::Barrier, &h.barrier(self.hole.barrier).name)
    }

    /// A conductor in the hole.
    pub fn conductor_mark(&self, h: &Harness, id: ConductorId, layer: Layer) -> Mark {
        let c = h.conductor(id);
        let mark = Mark::new(layer).with(TagKind::Conductor, &c.mark);
        mark.with(TagKind::Circuit, &h.circuit(c.circuit).name)
            .with_all(TagKind::Cable, c.cable.map(|c| h.cable(c).name.as_str()))
            .with(TagKind::Hole, &self.hole.name)
    }
}
