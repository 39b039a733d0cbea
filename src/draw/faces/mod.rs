//! The faces: a resolved harness in; every connector half that its wires go into, as the hands see it, out.
//!
//! ```text
//! half (what goes into each cavity) ─┬─ picture (wire-entry side) ─┐
//! plate (where cavities lie) ────────┼─ inset (mating side) ───────┼─ card ─ deck (sheets)
//! facts (shell, contacts, seal) ─────┤                             │
//! eye (sign of a view) ──────────────┘                             │
//! key_table ───────────────────────────────────────────────────────┘
//! ```
//!
//! Guarantees: each end of a conductor in a cavity is one disc in the picture, one row in the table; both views name the
//! side that is seen; the mating side is the mirror image, its lettering is not.

mod card;
mod eye;
mod facts;
mod half;
mod inset;
mod picture;
mod plate;

use std::collections::{BTreeMap, BTreeSet};

use super::block::{Block, words};
use super::deck::{Card, Common, SMALL, deal, room};
use super::geometry::{Area, mm};
use super::insulation::Insulation;
use super::legend::Legend;
use super::lettering::Lettering;
use super::mark::{Layer, Mark};
use super::palette::Ink;
use super::scene::Scene;
use super::stroke::Stroke;
use super::title_block::TitleBlock;
use super::wire_end;
use crate::harness::Harness;
use crate::parts::library::Library;
use crate::trade::colour::{Colour, Hue};
use facts::Alike;
use half::{Half, halves};
use plate::Side;

/// The sheets, in the order of the spec; none where no wire goes into a connector. `banner` stands across each head,
/// where the harness must not be built yet.
pub fn faces(h: &Harness, library: &Library, banner: Option<&str>) -> Vec<Scene> {
    let (halves, unwired) = halves(h, library);
    if halves.is_empty() {
        return Vec::new();
    }
    let notes = notes(&unwired);
    let common = Common {
        legend: &legend(library, &halves),
        notes: &notes,
        block: TitleBlock::of(&h.header, "Connector faces", "Connector faces"),
        banner,
    };
    let room = room(&common);
    let mut groups: BTreeMap<Alike, Vec<&Half>> = BTreeMap::new();
    for half in &halves {
        groups.entry(facts::alike(half)).or_default().push(half);
    }
    // Only small cards leave to another one what they have in common: a large one tells all of itself.
    for group in groups.values_mut().filter(|group| group.len() > 1) {
        let all = group.clone();
        group.retain(|half| card::of(h, library, half, &all, room).size.width <= SMALL);
    }
    let mut cards: Vec<Card> = Vec::new();
    let mut shared: BTreeMap<Alike, usize> = BTreeMap::new();
    for half in &halves {
        let all = groups.get(&facts::alike(half)).map_or(&[][..], Vec::as_slice);
        let own = [half];
        let all = if all.iter().any(|other| other.name == half.name) { all } else { &own };
        let mut card = card::of(h, library, half, all, room);
        // Of several small ones what is the same is said once, before the first.
        if card.size.width <= SMALL && all.len() > 1 {
            let told = shared.entry(facts::alike(half)).or_insert_with(|| {
                cards.extend(card::shared(h, library, all));
                cards.len() - 1
            });
            card.after = Some(*told);
        }
        cards.push(card);
    }
    deal(&cards, &common)
}

fn notes(unwired: &[String]) -> Block {
    let mark = Mark::new(Layer::Note);
    let mut notes = vec![
        "Distances between cavities and diameters of wires are to scale; rings and outlines are signs."
            .to_owned(),
    ];
    if !unwired.is_empty() {
        notes.push(format!("Not drawn, no wire goes into them: {}.", unwired.join(", ")));
    }
    let mut block = Block::default();
    for note in &notes {
        block.add(&[words(note, Lettering::SMALL, &mark)], mm(186.0));
    }
    block
}

/// The signs, as the legend explains them.
mod sign {
    pub const ENTRY: &str = "seen from the side where the wires enter";
    pub const MATING: &str = "seen from the mating side: the mirror image";
    pub const WIRED: &str =
        "cavity with its wire in the colours of its insulation; letters by IEC 60757, ground colour first";
    pub const EMPTY: &str = "empty cavity";
    pub const PLUG: &str = "empty cavity, closed with a plug";
    pub const ONE_WAY: &str = "in a square: one-way contact, check the cavity before the push";
}

/// Signs of the card of a half.
fn signs(library: &Library, half: &Half) -> BTreeSet<&'static str> {
    let empty = half.cavities().any(|c| c.wires.is_empty());
    let plugs = half.part.cavity_plug.is_some();
    let all = [
        (sign::ENTRY, true),
        (sign::MATING, true),
        (sign::WIRED, half.wires().next().is_some()),
        (sign::EMPTY, empty && !plugs),
        (sign::PLUG, empty && plugs),
        (sign::ONE_WAY, half.cavities().any(|c| picture::is_one_way(library, c))),
    ];
    all.into_iter().filter(|(_, used)| *used).map(|(sign, _)| sign).collect()
}

/// What the signs mean; those that any of the halves needs.
fn legend(library: &Library, halves: &[Half]) -> Legend {
    let used: BTreeSet<&str> = halves.iter().flat_map(|half| signs(library, half)).collect();
    let mut legend = Legend::new();
    legend.entry(sign::ENTRY, |s, m, a| eye::draw(s, m, corner(a), Side::WireEntry));
    legend.entry(sign::MATING, |s, m, a| eye::draw(s, m, corner(a), Side::Mating));
    let ring = mm(3.0);
    let cavity =
        |s: &mut Scene, m: &Mark, a: Area| s.circle(m, a.centre(), ring, Stroke::MEDIUM.filled(Ink::WHITE));
    legend.entry(sign::WIRED, |s, m, a| {
        cavity(s, m, a);
        let insulation = Insulation::of(Colour::striped(Hue::White, &[Hue::Blue]));
        wire_end::draw(s, m, a.centre(), mm(2.2), insulation, &[]);
    });
    legend.entry(sign::EMPTY, |s, m, a| {
        s.circle(m, a.centre(), ring, Stroke::THIN.filled(Ink::WHITE));
    });
    legend.entry(sign::PLUG, |s, m, a| {
        cavity(s, m, a);
        picture::plug(s, m, a.centre(), ring);
    });
    legend.entry(sign::ONE_WAY, |s, m, a| {
        picture::one_way(s, m, a.centre(), ring);
        cavity(s, m, a);
    });
    legend.only(|words| used.contains(words))
}

fn corner(area: Area) -> super::geometry::Point {
    area.min.by(mm(0.0), (area.height() - eye::SIZE.height) / 2)
}
