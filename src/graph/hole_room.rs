//! A hole and the bundle in it in; what it holds, what may still be added within its limits, and where all of it lies in
//! the bore, out. Every paper that tells of a hole takes its figures from here, so that no two papers differ.
//!
//! Conductors of other harnesses are counted, and take room where the spec tells their size. Where something in the hole
//! has no known size, fill and diameter are the least that they can be, and nobody knows what may be added.

use super::bundle::Bundle;
use crate::harness::Hole;
use crate::quantity::{Fraction, Length, Units};
use crate::trade::packing::{Circle, pack_into};

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
    /// At most so thick. Found by packing, so there may be room for a little more.
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
    /// Where everything lies, laid anew around what may be added where that makes much more room.
    pub arranged: Lying,
    /// The bundle as it was packed, at the bottom of the bore.
    pub packed: Lying,
}

impl HoleRoom {
    /// Of a hole and its bundle, the conductors of other harnesses in it. Packs.
    pub(super) fn of(hole: &Hole, all: &Bundle) -> HoleRoom {
        let conductors = all.conductors + hole.others as usize;
        let count = hole.max_conductors.map(|most| (most.value as usize).saturating_sub(conductors));
        let others_unsized = hole.others > 0 && hole.others_outside.is_none();
        let at_least = others_unsized || !all.leads.is_empty();
        let wanted = wanted(hole, all, count == Some(0) || at_least);
        let anew = wanted.filter(|w| w.anew).and_then(|w| anew(hole, all, w.most));
        let packed = lying(hole, all, wanted.map(|w| w.most.min(w.gap)));
        let arranged = anew.unwrap_or_else(|| packed.clone());
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

/// What is looked for.
#[derive(Clone, Copy)]
struct Wanted {
    /// Largest circle that may be added.
    most: Length,
    /// What the packed bundle leaves of the bore.
    gap: Length,
    /// True where it is much more than that.
    anew: bool,
}

/// None where the bundle does not pass, or nothing may be added.
fn wanted(hole: &Hole, all: &Bundle, nothing: bool) -> Option<Wanted> {
    let bore = hole.bore?.value;
    let gap = Some(bore - all.diameter()).filter(|gap| *gap >= Length::ZERO && !nothing)?;
    let squares: f64 = all.diameters.iter().map(|d| d.mm() * d.mm()).sum();
    let by_fill = hole.max_fill.map(|most| {
        let left = most.value.ratio() * bore.mm() * bore.mm() - squares;
        Length::from_mm(left.max(0.0).sqrt())
    });
    // A little more is not worth laying the bundle anew; nor, then, looking for it.
    let enough = Length::from_um(gap.um() / 4 * 5);
    let most = match by_fill.filter(|most| *most <= enough) {
        Some(most) => most.min(gap),
        None => all.spare(bore).unwrap_or(gap).min(by_fill.unwrap_or(bore)),
    };
    Some(Wanted { most, gap, anew: most > enough && !all.diameters.is_empty() })
}

/// Everything laid anew around a circle that is added; None where no such packing is found.
fn anew(hole: &Hole, all: &Bundle, most: Length) -> Option<Lying> {
    let sizes: Vec<Length> = all.diameters.iter().copied().chain([most]).collect();
    let mut circles = pack_into(&sizes, hole.bore?.value)?.circles;
    let spare = circles.pop();
    Some(Lying { circles, spare })
}

/// The packed bundle at the bottom of the bore, and above it a circle of this diameter, where it has room there.
fn lying(hole: &Hole, all: &Bundle, beside: Option<Length>) -> Lying {
    let Some(bore) = hole.bore.map(|b| b.value).filter(|bore| *bore >= all.diameter()) else {
        return Lying { circles: all.circles(), spare: None };
    };
    let half = |d: Length| Length::from_um(d.um() / 2);
    let gap = bore - all.diameter();
    let lay = |c: Circle| Circle { y: c.y - half(gap), ..c };
    let beside = beside.filter(|d| *d >= THINNEST && *d <= gap);
    let spare = beside.map(|diameter| Circle { x: Length::ZERO, y: half(bore) - half(diameter), diameter });
    Lying { circles: all.circles().into_iter().map(lay).collect(), spare }
}
