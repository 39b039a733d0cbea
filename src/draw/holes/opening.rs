//! A hole in; what passes it in the order of feeding, numbered, and what may still be added, out.

use std::cmp::Reverse;
use std::collections::BTreeMap;

use crate::draw::mark::{Layer, Mark, TagKind};
use crate::graph::{Bundle, Bundles, Routing, Strand};
use crate::harness::{CableId, ConductorId, Harness, Hole, HoleId, ZoneId};
use crate::parts::library::Library;
use crate::parts::model::LiningPart;
use crate::quantity::Length;
use crate::trade::packing::{Circle, Packing, pack, pack_into};

/// Which way a hole is fed, and what goes through when, as the plan has it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fed {
    /// Side on which the bundle is finished first.
    pub from: ZoneId,
    /// Side whose ends are fed through.
    pub towards: ZoneId,
    /// Ends fed through: each conductor with its turn, the lowest first.
    pub ends: Vec<(ConductorId, usize)>,
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
    pub bundle: &'a Bundle,
    pub lining: Option<(&'a str, &'a LiningPart)>,
    pub fed: Option<&'a Fed>,
    /// In the order of feeding.
    pub laid: Vec<Laid>,
    /// One more round thing that may be added, in its place.
    pub spare: Option<Circle>,
    /// The bundle as it was packed, lying at the bottom of the bore: its circles in the order of `laid`, and what may be
    /// added above it without moving it.
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
        let bundle = bundles.hole(id);
        let (circles, spare) = arranged(hole, bundle);
        let lying = lying(hole, bundle, spare.map(|s| s.diameter));
        let mut order: Vec<usize> = (0..bundle.strands.len()).collect();
        // As the plan has it, and of the same turn the thickest while there is most room.
        let turns: BTreeMap<ConductorId, usize> = fed.iter().flat_map(|f| &f.ends).copied().collect();
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
        let at_bottom: Vec<Circle> = order.iter().filter_map(|i| lying.0.get(*i)).copied().collect();
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
        let packed = (at_bottom, lying.1);
        let mut opening = Opening { hole, bundle, lining, fed, laid, spare, packed };
        // What does not pass lies beside the hole.
        let aside = opening.aside();
        opening.laid.iter_mut().for_each(|laid| laid.circle.x += aside);
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

/// Places in the bore, in the order of the strands, and one more circle that may be added. What lies in a bore lies at
/// its bottom; where much more may be added than the gap above holds, everything is laid anew around it.
fn arranged(hole: &Hole, bundle: &Bundle) -> (Vec<Circle>, Option<Circle>) {
    let Some(bore) = hole.bore.map(|b| b.value).filter(|bore| *bore >= bundle.diameter()) else {
        return (bundle.circles(), None);
    };
    let gap = bore - bundle.diameter();
    let squares: f64 = bundle.diameters.iter().map(|d| d.mm() * d.mm()).sum();
    let by_fill = hole.max_fill.map(|most| {
        let left = most.value.ratio() * bore.mm() * bore.mm() - squares;
        Length::from_mm(left.max(0.0).sqrt())
    });
    let taken = bundle.conductors + hole.others as usize;
    let full = hole.max_conductors.is_some_and(|most| taken >= most.value as usize);
    // A little more is not worth showing the bundle torn apart.
    let enough = Length::from_um(gap.um() / 4 * 5);
    let beside = if full { Some(Length::ZERO) } else { by_fill.filter(|d| *d <= enough).map(|d| d.min(gap)) };
    let (beside, anew) = beside.map_or_else(
        || {
            let most = bundle.spare(bore).unwrap_or(gap).min(by_fill.unwrap_or(bore));
            let sizes: Vec<Length> = bundle.diameters.iter().copied().chain([most]).collect();
            let anew = (most > enough && !bundle.strands.is_empty()).then(|| pack_into(&sizes, bore));
            (most.min(gap), anew.flatten())
        },
        |beside| (beside, None),
    );
    if let Some(mut anew) = anew {
        let spare = anew.circles.pop();
        return (anew.circles, spare);
    }
    lying(hole, bundle, Some(beside))
}

/// The packed bundle at the bottom of the bore, and above it a circle of this diameter, where it has room there.
fn lying(hole: &Hole, bundle: &Bundle, beside: Option<Length>) -> (Vec<Circle>, Option<Circle>) {
    let Some(bore) = hole.bore.map(|b| b.value).filter(|bore| *bore >= bundle.diameter()) else {
        return (bundle.circles(), None);
    };
    let gap = bore - bundle.diameter();
    let half = |d: Length| Length::from_um(d.um() / 2);
    let down = half(gap);
    let lay = |c: Circle| Circle { y: c.y - down, ..c };
    // Not thinner than any wire is.
    let beside = beside.filter(|d| *d >= Length::from_mm(0.5) && *d <= gap);
    let spare = beside.map(|diameter| Circle { x: Length::ZERO, y: half(bore) - half(diameter), diameter });
    (bundle.circles().into_iter().map(lay).collect(), spare)
}
