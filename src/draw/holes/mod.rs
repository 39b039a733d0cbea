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

use super::block::{Block, words};
use super::deck::{Card, Common, deal, room};
use super::geometry::{Mm, mm};
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
use crate::harness::{BarrierId, Harness, HoleId};
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
    let common = Common {
        legend: &legend(h),
        notes: &notes(),
        block: TitleBlock::of(&h.header, "Holes", "Pass-throughs"),
        banner,
    };
    let room = room(&common);
    let mut cards: Vec<Card> = Vec::new();
    let mut cores = Cores::default();
    for barrier in 0..h.barriers.len() {
        let of_it = h.barrier(BarrierId::at(barrier)).holes.iter();
        let mut open = |id: &HoleId| {
            let fed = fed.get(id.index()).and_then(Option::as_ref);
            Opening::of(h, library, routing, bundles, &mut cores, (*id, fed))
        };
        let openings: Vec<Opening> = of_it.map(&mut open).collect();
        let view = view(h, library, &openings, room.height - AROUND);
        cards.extend(openings.iter().map(|opening| card::of(h, library, opening, view, room)));
    }
    if cards.is_empty() {
        return Vec::new();
    }
    deal(&cards, &common)
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
        "All circles are to scale, packed as tight as was computed; laid by hand a bundle takes more room. Fed by the \
         numbers, as on the install sheet: finished ends, then contacts, then bare ends; what ends in one connector \
         together, the thickest first (common practice, no source). Beyond a hole nothing is tied or sleeved before.",
        "Cores are counted singly; ≥ stands where something of unknown size is in the hole. What may be added keeps the \
         limits of count and fill, and says nothing of heat or of separation.",
    ] {
        block.add(&[words(note, Lettering::SMALL, &mark)], mm(186.0));
    }
    block
}

/// What the signs mean.
fn legend(h: &Harness) -> Legend {
    let mut legend = Legend::new();
    let striped = Insulation::of(Colour::striped(Hue::White, &[Hue::Blue]));
    legend.entry(
        "conductor in the colours of its insulation, with its number in the table",
        move |s, m, a| {
            wire_end::draw(s, m, a.centre(), mm(3.3), striped, &["7"]);
        },
    );
    legend.entry("cable with its cores; the dashed ring is its screen", |s, m, a| {
        s.circle(m, a.centre(), mm(3.6), Stroke::THIN.filled(Ink::BONE));
        s.circle(m, a.centre(), mm(3.0), Stroke::HAIR.dashed(Dash::Dashed));
        for x in [-1.2, 1.2] {
            wire_end::draw(s, m, a.centre().by(mm(x), Mm::ZERO), mm(1.2), Insulation::default(), &[]);
        }
    });
    if h.holes.iter().any(|hole| hole.others > 0 && hole.others_outside.is_some()) {
        legend.entry("conductor of another harness", |s, m, a| {
            s.circle(m, a.centre(), mm(2.0), Stroke::HAIR.filled(view::GREY));
        });
    }
    legend.entry("wire or cable that may still be added", |s, m, a| {
        s.circle(m, a.centre(), mm(3.2), Stroke::THIN.inked(Ink::SLATE).dashed(Dash::Dashed));
    });
    legend.entry("fed away from you", card::away);
    legend
}
