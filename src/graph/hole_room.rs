//! A hole and the bundle in it in; what it holds, what may still be added within its limits, and where all of it lies in
//! the bore, out. Every paper that tells of a hole takes its figures from here, so that no two papers differ.
//!
//! Conductors of other harnesses are counted, and take room where the spec tells their size. Where something in the hole
//! has no known size, fill and diameter are the least that they can be, and nobody knows what may be added.

use super::bundle::{Bundle, Kind};
use crate::harness::Hole;
use crate::parts::library::WirePartId;
use crate::quantity::{Fraction, Length, Units};
use crate::trade::packing::{Beside, Circle, how_many};

/// No wire is thinner than this, insulation included; less room than that is none. Common practice, no source.
const THINNEST: Length = Length::from_um(500);

/// How thick one more wire or cable may be.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum More {
    /// Not known: no bore is given.
    NoBore,
    /// Not known: something in the hole has no known size.
    Unsized,
    /// As many conductors as may be are in the hole.
    CountReached,
    /// No room by size: neither the bore nor its greatest fill leave any.
    Nothing,
    /// At most so thick: what the greatest fill allows, or the thickest for which a place was found, the rest laid anew
    /// for it; there may be room for a little more.
    Thick(Length),
}

impl More {
    /// For a column of a table.
    pub fn show(self, units: Units) -> String {
        match self {
            More::NoBore | More::Unsized => "not known".to_owned(),
            More::CountReached | More::Nothing => "none".to_owned(),
            More::Thick(most) => most.show(units),
        }
    }
}

/// Places of circles in a bore, y upwards from its middle: those of the bundle in the order of
/// [`Bundle::diameters`], and one that may be added.
#[derive(Clone, Debug)]
pub struct Lying {
    /// What is in the bore.
    pub circles: Vec<Circle>,
    /// What may be added; None where nothing may, or where there is no place for it so.
    pub spare: Option<Circle>,
}

/// What a hole holds.
#[derive(Clone, Debug)]
pub struct HoleRoom {
    /// Conductors, those of other harnesses among them: what its limit counts.
    pub conductors: usize,
    /// Thickness of all that has a size, packed; zero where nothing passes.
    pub diameter: Length,
    /// Share of the bore's area; None without a bore.
    pub fill: Option<Fraction>,
    /// True where something in it has no known size: then thickness and fill are the least.
    pub at_least: bool,
    /// How many conductors may be added; None where the spec limits none.
    pub count: Option<usize>,
    /// How thick one of them may be.
    pub more: More,
    /// Where everything lies, laid anew around what may be added where it has no room beside the packed bundle.
    pub arranged: Lying,
    /// True where it was laid anew.
    pub moved: bool,
    /// The bundle as it was packed, at the bottom of the bore.
    pub packed: Lying,
}

impl HoleRoom {
    /// Of a hole and its bundle, the conductors of other harnesses in it, and of holes that are no wider and hold more.
    /// Packs.
    pub(super) fn of(hole: &Hole, all: &Bundle, fuller: &[(&Hole, &Bundle)]) -> HoleRoom {
        let conductors = all.conductors + hole.others as usize;
        let count = hole.max_conductors.map(|most| (most.value as usize).saturating_sub(conductors));
        let others_unsized = hole.others > 0 && hole.others_outside.is_none();
        let at_least = others_unsized || !all.leads.is_empty();
        let beside = if count == Some(0) || at_least { None } else { beside(hole, all, fuller) };
        let packed = lying(hole, all, beside.as_ref().map(|beside| beside.spare.diameter));
        let moved = beside.as_ref().is_some_and(|beside| beside.moved && !all.diameters.is_empty());
        let arranged = match beside.filter(|_| moved) {
            Some(Beside { circles, spare, .. }) => {
                Lying { circles: all.in_order(&circles), spare: Some(spare) }
            }
            None => packed.clone(),
        };
        let more = match (hole.bore, arranged.spare) {
            (Some(bore), _) if all.diameter() > bore.value => More::Nothing,
            // Known whatever its size.
            _ if count == Some(0) => More::CountReached,
            (None, _) => More::NoBore,
            _ if at_least => More::Unsized,
            (_, Some(spare)) => More::Thick(spare.diameter),
            (_, None) => More::Nothing,
        };
        HoleRoom {
            conductors,
            diameter: all.diameter(),
            fill: hole.bore.and_then(|bore| all.fill(bore.value)),
            at_least,
            count,
            more,
            arranged,
            moved,
            packed,
        }
    }

    /// `36.7 %`, or `≥ 36.7 %` where something in the hole has no known size; None without a bore.
    pub fn fill_words(&self, units: Units) -> Option<String> {
        Some(self.least(self.fill?.show(units)))
    }

    /// Thickness of the packed bundle, in the same way.
    pub fn diameter_words(&self, units: Units) -> String {
        self.least(self.diameter.show(units))
    }

    fn least(&self, shown: String) -> String {
        if self.at_least { format!("≥ {shown}") } else { shown }
    }
}

/// How many more of a wire or cable may be added.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Fit {
    /// The wire or cable.
    pub wire: WirePartId,
    /// So many pieces of it, each of its cores counted where the spec limits the conductors. Where they fill more than half
    /// of the bore a place was found for them, and there may be one for more.
    pub pieces: usize,
}

impl Fit {
    /// Of a hole, what is in it and what is known of its room; None where that is not known. Packs.
    pub(super) fn of(
        hole: &Hole,
        all: &Bundle,
        room: &HoleRoom,
        kind: Kind,
        fuller: &[(&Hole, &Bundle)],
    ) -> Option<Fit> {
        let bore = hole.bore?.value;
        let pieces = match room.more {
            More::NoBore | More::Unsized => return None,
            More::CountReached | More::Nothing => 0,
            More::Thick(thickest) => {
                let by_count = room.count.map(|count| count / kind.conductors.max(1));
                let most = by_count.unwrap_or(usize::MAX).min(by_fill_pieces(hole, all, bore, kind.outside));
                let found = how_many(all.sorted(), bore, kind.outside, most);
                // A place for one alone was looked for in more ways.
                let found = found.max(usize::from(most > 0 && thickest >= kind.outside));
                let beside = |(hole, all): &(&Hole, &Bundle)| {
                    hole.bore.map(|bore| how_many(all.sorted(), bore.value, kind.outside, most))
                };
                // What has room beside more has room here.
                let more = || fuller.iter().filter_map(beside).max().unwrap_or(0);
                if found < most { found.max(more()) } else { found }
            }
        };
        Some(Fit { wire: kind.wire, pieces })
    }
}

/// Sum of the squares of all diameters, in square millimetres.
fn squares(all: &Bundle) -> f64 {
    all.diameters.iter().map(|d| d.mm() * d.mm()).sum()
}

/// Pieces so thick that the greatest fill allows, or the bore where there is none.
fn by_fill_pieces(hole: &Hole, all: &Bundle, bore: Length, outside: Length) -> usize {
    let share = hole.max_fill.map_or(1.0, |most| most.value.ratio().min(1.0));
    let left = share * bore.mm() * bore.mm() - squares(all);
    (left.max(0.0) / (outside.mm() * outside.mm()).max(1e-9) + 1e-9) as usize
}

/// The largest circle that the greatest fill of a hole allows; its bore where there is none.
fn by_fill(hole: &Hole, all: &Bundle, bore: Length) -> Length {
    let most = hole.max_fill.map(|most| {
        let left = most.value.ratio() * bore.mm() * bore.mm() - squares(all);
        Length::from_mm(left.max(0.0).sqrt())
    });
    most.unwrap_or(bore).min(bore)
}

/// The largest circle that may be added, and where all lie then, from the largest to the smallest; None where the bundle does
/// not pass or none that is worth it was found. What was found for a hole that holds more is as good here.
fn beside(hole: &Hole, all: &Bundle, fuller: &[(&Hole, &Bundle)]) -> Option<Beside> {
    let bore = hole.bore?.value;
    let most = by_fill(hole, all, bore);
    let mut best = all.beside(bore, most)?;
    for (other, bundle) in fuller {
        let Some(narrower) = other.bore.map(|bore| bore.value) else { continue };
        if best.spare.diameter >= most {
            break;
        }
        let found = bundle.beside(narrower, by_fill(other, bundle, narrower));
        if let Some(found) = found.filter(|found| found.spare.diameter > best.spare.diameter) {
            let own = all.sorted().iter().zip(&found.circles);
            let circles = own.map(|(diameter, circle)| Circle { diameter: *diameter, ..*circle }).collect();
            best = Beside { circles, spare: found.spare, moved: true };
        }
    }
    let spare = best.spare.diameter.min(most);
    // Beside the packed bundle it has room as well.
    let moved = best.moved && spare > bore - all.diameter();
    (spare >= THINNEST).then(|| Beside { moved, ..best.with_spare(spare) })
}

/// The packed bundle at the bottom of the bore, and above it a circle of this diameter, or as large as it has room there.
fn lying(hole: &Hole, all: &Bundle, beside: Option<Length>) -> Lying {
    let Some(bore) = hole.bore.map(|b| b.value).filter(|bore| *bore >= all.diameter()) else {
        return Lying { circles: all.circles(), spare: None };
    };
    let half = |d: Length| Length::from_um(d.um() / 2);
    let gap = bore - all.diameter();
    let lay = |c: Circle| Circle { y: c.y - half(gap), ..c };
    let beside = beside.map(|d| d.min(gap)).filter(|d| *d >= THINNEST);
    let spare = beside.map(|diameter| Circle { x: Length::ZERO, y: half(bore) - half(diameter), diameter });
    Lying { circles: all.circles().into_iter().map(lay).collect(), spare }
}
