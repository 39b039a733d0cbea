//! The holes: a resolved harness and where it lies in; each hole to scale with what is packed in it out.
//!
//! ```text
//! opening (what passes, in the order of feeding; what may be added) ─┬─ view ─┬─ card ─ deck (sheets)
//! wire_end (a conductor end-on) ─────────────────────────────────────┘        │
//! key_table ──────────────────────────────────────────────────────────────────┘
//! ```
//!
//! Guarantees: every conductor is drawn once in each hole that it passes, and numbered as in the table beside it; circles
//! are to scale, do not overlap, and lie within the bore wherever the packed bundle passes it; the holes of one barrier
//! have one scale.

mod card;
mod opening;
mod view;

use std::collections::BTreeSet;

use super::block::{Block, words};
use super::deck::{Card, Common, deal, room, sheets};
use super::geometry::{Area, Mm, mm};
use super::legend::Legend;
use super::lettering::Lettering;
use super::mark::{Layer, Mark};
use super::palette::Ink;
use super::scale::Scale;
use super::scene::Scene;
use super::stroke::{Dash, Stroke};
use super::title_block::TitleBlock;
use super::wire_end;
use crate::draw::insulation::Insulation;
use crate::graph::{Bundles, Routing};
use crate::harness::{BarrierId, CableId, Harness, HoleId};
use crate::parts::library::Library;
use crate::trade::colour::{Colour, Hue};
pub use opening::Fed;
use opening::{Cores, Opening};
use view::{View, Words};

/// Largest picture: what the drawing area of A1 is high.
const LARGEST: Mm = mm(470.0);

/// The sheets, barrier by barrier; none where the harness has no hole. `fed` says by hole id which way each is fed.
/// `banner` stands across each head, where the harness must not be built yet.
pub fn holes(
    h: &Harness,
    library: &Library,
    routing: &Routing,
    bundles: &Bundles,
    fed: &[Option<Fed>],
    banner: Option<&str>,
) -> Vec<Scene> {
    let mut cores = Cores::default();
    let mut open = |id: &HoleId| {
        let fed = fed.get(id.index()).and_then(Option::as_ref);
        Opening::of(h, library, routing, bundles, &mut cores, (*id, fed))
    };
    let mut barriers: Vec<Vec<Opening>> = Vec::new();
    for barrier in 0..h.barriers.len() {
        barriers.push(h.barrier(BarrierId::at(barrier)).holes.iter().map(&mut open).collect());
    }
    if barriers.iter().all(Vec::is_empty) {
        return Vec::new();
    }
    let (all, notes) = (legend(), notes());
    let block = TitleBlock::of(&h.header, "Holes", "Pass-throughs");
    let whole = |_: &[Opening]| View::Whole(Scale::FULL);
    let signs = used(h, library, &barriers, whole);
    let first = all.only(|words| signs.contains(words));
    let common = Common { legend: &first, notes: &notes, block: block.clone(), banner };
    // A detail beside a hole is one sign more, for which the room is measured again.
    let highest = room(&common).height - AROUND;
    let view = |openings: &[Opening]| view(h, library, openings, highest);
    let signs = used(h, library, &barriers, view);
    let second = all.only(|words| signs.contains(words));
    let common = Common { legend: &second, notes: &notes, block, banner };
    let room = room(&common);
    let mut choices: Vec<Vec<Card>> = Vec::new();
    for openings in &barriers {
        let view = view(openings);
        choices.extend(openings.iter().map(|opening| card::of(h, library, opening, view, room)));
    }
    deal(&chosen(choices, &common), &common)
}

/// The signs that any hole needs.
fn used(
    h: &Harness,
    library: &Library,
    barriers: &[Vec<Opening>],
    view: impl Fn(&[Opening]) -> View,
) -> BTreeSet<&'static str> {
    let mut used: BTreeSet<&'static str> = BTreeSet::new();
    for openings in barriers.iter().filter(|openings| !openings.is_empty()) {
        let view = view(openings);
        used.extend(openings.iter().flat_map(|opening| signs(h, library, opening, view)));
    }
    used
}

/// Of each hole the first of its cards; then, where that takes no more sheets, the next one, which says more. Cost: the
/// holes are dealt once for each of them.
fn chosen(choices: Vec<Vec<Card>>, common: &Common) -> Vec<Card> {
    let mut cards: Vec<Card> = choices.iter().filter_map(|cards| cards.first()).cloned().collect();
    let least = sheets(&cards, common);
    for (i, choice) in choices.iter().enumerate() {
        for better in choice.iter().skip(1) {
            let Some(card) = cards.get_mut(i) else { continue };
            let before = std::mem::replace(card, better.clone());
            if sheets(&cards, common) > least
                && let Some(card) = cards.get_mut(i)
            {
                *card = before;
            }
        }
    }
    cards
}

/// What a card needs above and below its picture: head, caption, dimensions.
const AROUND: Mm = mm(50.0);
/// Widest picture of a hole of which a detail is drawn beside it.
const OVERVIEW: Mm = mm(80.0);

/// The smallest scale at which every conductor has room for its number; with letters, where two pictures then still
/// stand side by side. Where the hole is then higher than `most`, what is in it is drawn on its own beside it; where that
/// is too large too, the sheet grows.
fn view(h: &Harness, library: &Library, openings: &[Opening], most: Mm) -> View {
    let widest = |scale: Scale| openings.iter().map(|o| scale.of(o.breadth())).max().unwrap_or_default();
    let bundle =
        |scale: Scale| openings.iter().map(|o| scale.of(o.bundle.diameter())).max().unwrap_or_default();
    let first = |words: Words| {
        let all = |scale: &Scale| openings.iter().all(|o| view::lettered(h, library, o, *scale, words));
        Scale::ALL.into_iter().find(all)
    };
    let large = |scale: &Scale| widest(*scale) >= mm(40.0);
    let at_least = |words: Words| {
        let first = first(words)?;
        Scale::ALL.into_iter().skip_while(|s| *s != first).find(large)
    };
    if let Some(scale) = at_least(Words::NumberAndLetters).filter(|s| widest(*s) <= card::PICTURE) {
        return View::Whole(scale);
    }
    let numbered = at_least(Words::Number);
    if let Some(scale) = numbered.filter(|s| widest(*s) <= most) {
        return View::Whole(scale);
    }
    let lettered = first(Words::NumberAndLetters).filter(|s| bundle(*s) <= card::PICTURE - mm(16.0));
    let detail = lettered.or_else(|| first(Words::Number)).filter(|s| bundle(*s) <= most - mm(6.0));
    let hole = Scale::ALL.into_iter().rev().find(|s| widest(*s) <= OVERVIEW);
    if let Some((hole, bundle)) = hole.zip(detail) {
        return View::Detailed { hole, bundle };
    }
    let largest = Scale::ALL.into_iter().rev().find(|s| widest(*s) <= LARGEST).unwrap_or(Scale::FULL);
    View::Whole(numbered.filter(|s| widest(*s) <= LARGEST).unwrap_or(largest))
}

fn notes() -> Block {
    let mark = Mark::new(Layer::Note);
    let mut block = Block::default();
    for note in [
        "Circles are to scale, packed as tight as was computed or, where said, moved aside; hands need more room. \
         Fed by the numbers, as on the install sheet: finished ends, then contacts, then bare ends; what ends in one connector \
         together, the thickest first (common practice, no source). Beyond a hole nothing is tied or sleeved before.",
        "Cores are counted singly; ≥ stands where something of unknown size is in the hole. What may be added keeps the \
         limits of count and fill, and says nothing of heat or of separation.",
    ] {
        block.add(&[words(note, Lettering::SMALL, &mark)], mm(186.0));
    }
    block
}

/// The signs, as the legend explains them; the arrow has its words beside it wherever it stands.
mod sign {
    pub const CONDUCTOR: &str = "conductor in the colours of its insulation, with its number in the table";
    pub const CABLE: &str = "cable with its cores";
    pub const SCREEN: &str = "cable in a screen: the dashed ring";
    pub const OTHERS: &str = "conductor of another harness";
    pub const DETAIL: &str = "in a ring: drawn larger beside the hole, at A";
    pub const SPARE: &str = "wire or cable that may still be added";
}

/// Signs of a card.
fn signs(h: &Harness, library: &Library, opening: &Opening, view: View) -> BTreeSet<&'static str> {
    let screened = |cable: CableId| library.wires.get(h.cable(cable).wire).screen.is_some();
    let cables = || opening.laid.iter().filter_map(|laid| laid.cable);
    let all = [
        (sign::CONDUCTOR, opening.conductors().next().is_some()),
        (sign::CABLE, cables().any(|cable| !screened(cable))),
        (sign::SCREEN, cables().any(screened)),
        (sign::OTHERS, !opening.others.is_empty()),
        (sign::DETAIL, matches!(view, View::Detailed { .. })),
        (sign::SPARE, opening.spare(view).is_some()),
    ];
    all.into_iter().filter(|(_, used)| *used).map(|(sign, _)| sign).collect()
}

/// What the signs mean; all that holes may need.
fn legend() -> Legend {
    let mut legend = Legend::new();
    let striped = Insulation::of(Colour::striped(Hue::White, &[Hue::Blue]));
    legend.entry(sign::CONDUCTOR, move |s, m, a| {
        wire_end::draw(s, m, a.centre(), mm(3.3), striped, &["7"]);
    });
    let cable = |s: &mut Scene, m: &Mark, a: Area, screen: bool| {
        s.circle(m, a.centre(), mm(3.6), Stroke::THIN.filled(Ink::BONE));
        if screen {
            s.circle(m, a.centre(), mm(3.0), Stroke::HAIR.dashed(Dash::Dashed));
        }
        for x in [-1.2, 1.2] {
            wire_end::draw(s, m, a.centre().by(mm(x), Mm::ZERO), mm(1.2), Insulation::default(), &[]);
        }
    };
    legend.entry(sign::CABLE, |s, m, a| cable(s, m, a, false));
    legend.entry(sign::SCREEN, |s, m, a| cable(s, m, a, true));
    legend.entry(sign::OTHERS, |s, m, a| {
        s.circle(m, a.centre(), mm(2.0), Stroke::HAIR.filled(view::GREY));
    });
    legend.entry(sign::DETAIL, |s, m, a| {
        for (x, y) in [(-1.0, 0.6), (1.0, 0.6), (0.0, -1.1)] {
            s.circle(m, a.centre().by(mm(x), mm(y)), mm(0.95), Stroke::HAIR.filled(view::GREY));
        }
        s.circle(m, a.centre(), mm(2.8), Stroke::HAIR);
    });
    legend.entry(sign::SPARE, |s, m, a| {
        s.circle(m, a.centre(), mm(3.2), Stroke::THIN.inked(Ink::SLATE).dashed(Dash::Dashed));
    });
    legend
}
