//! Measured cards in; as many sheets as they need, with legend, notes and title block, out.
//!
//! Cards keep their order, but for those that still go onto a sheet before their own. A card larger than a sheet of A3
//! gets a larger sheet to itself. Nothing is made smaller to fit.

use std::collections::BTreeSet;

use super::block::Block;
use super::free::Free;
use super::geometry::{Area, Extent, Mm, Point, mm};
use super::legend::Legend;
use super::scale::Scale;
use super::scene::Scene;
use super::sheet::{Format, Sheet};
use super::title_block::{NOT_TO_SCALE, TitleBlock};

/// Free space between cards.
pub const GAP: Mm = mm(4.0);

/// Width of a small card: three fill the drawing area of a sheet of A3.
pub const SMALL: Mm = mm(123.0);
/// Width of a narrow card: two fill the drawing area of a sheet of A3.
pub const NARROW: Mm = mm(186.0);
/// Width of a wide card: the drawing area of a sheet of A3.
pub const WIDE: Mm = mm(378.0);

/// A part of a drawing, drawn from its own corner.
#[derive(Clone, Debug)]
pub struct Card {
    /// What is drawn.
    pub scene: Scene,
    /// What it takes.
    pub size: Extent,
    /// Scale of its main picture, where it has one.
    pub scale: Option<Scale>,
    /// Words of the legend's entries that it needs.
    pub signs: BTreeSet<&'static str>,
    /// The card that explains this one, by its number: this one comes onto no sheet before it.
    pub after: Option<usize>,
}

/// What stands on every sheet.
pub struct Common<'a> {
    /// Explains all signs; each sheet has those entries that its cards need.
    pub legend: &'a Legend,
    /// Explains the figures.
    pub notes: &'a Block,
    /// Title block; sheet, number of sheets and scale are filled in here.
    pub block: TitleBlock,
    /// Words across the head.
    pub banner: Option<&'a str>,
}

/// Sheets that are looked at for a card, the last ones first filled: a reader finds it near its neighbours.
const BACK: usize = 6;

/// One sheet's cards with their corners from the drawing area's.
struct Page {
    cards: Vec<(usize, Point)>,
    used: Extent,
    free: Free,
}

/// What a sheet of A3 has room for above the legend and the notes: a card that is no larger needs no larger sheet.
pub fn room(common: &Common) -> Extent {
    let a3 = Format::series().into_iter().find(|f| f.name == "A3");
    a3.map_or_else(Extent::default, |format| {
        let sheet = Sheet::on(format, &common.block, common.banner);
        let beside = sheet.beside_block.map_or(Mm::ZERO, |b| b.height());
        let over =
            (common.foot(sheet.beside_block.map_or(WIDE, |b| b.width())).height - beside).max(Mm::ZERO);
        Extent::new(sheet.drawing.width(), sheet.drawing.height() - over)
    })
}

/// How many sheets these cards take.
pub fn sheets(cards: &[Card], common: &Common) -> usize {
    share(cards, room(common)).len()
}

/// Shares the cards out and draws every sheet.
pub fn deal(cards: &[Card], common: &Common) -> Vec<Scene> {
    let pages = share(cards, room(common));
    let count = pages.len();
    let sheet = |(i, page): (usize, &Page)| {
        let scales = page.cards.iter().filter_map(|(card, _)| cards.get(*card)).filter_map(|c| c.scale);
        let block = TitleBlock {
            sheet: i + 1,
            sheets: count,
            scale: principal(scales).map_or_else(|| NOT_TO_SCALE.to_owned(), |s| s.to_string()),
            ..common.block.clone()
        };
        let cards_here = || page.cards.iter().filter_map(|(card, _)| cards.get(*card));
        let used = |words: &str| cards_here().any(|card| card.signs.contains(words));
        let common = Common { legend: &common.legend.only(used), block: common.block.clone(), ..*common };
        draw(cards, page, &common, &block)
    };
    pages.iter().enumerate().map(sheet).collect()
}

impl Common<'_> {
    /// Size of legend and notes, one under the other.
    fn foot(&self, width: Mm) -> Extent {
        let notes = self.notes.size();
        if self.legend.is_empty() {
            return notes;
        }
        let legend = self.legend.measure(width);
        Extent::new(legend.width.max(notes.width), legend.height + mm(4.0) + notes.height)
    }
}

/// The scale of most cards, of those the first: ISO 5455:1979, clause 5 (from memory): the title block names the
/// principal scale, all others stand at their views.
fn principal(scales: impl Iterator<Item = Scale>) -> Option<Scale> {
    let all: Vec<Scale> = scales.collect();
    let count = |scale: &Scale| all.iter().filter(|s| *s == scale).count();
    let most = all.iter().map(count).max()?;
    all.iter().find(|s| count(s) == most).copied()
}

/// Each card goes onto the first of the last sheets that still has room for it, column by column.
fn share(cards: &[Card], room: Extent) -> Vec<Page> {
    let mut pages: Vec<Page> = Vec::new();
    let mut page_of: Vec<usize> = Vec::new();
    for (i, card) in cards.iter().enumerate() {
        let explained = card.after.and_then(|after| page_of.get(after)).copied().unwrap_or_default();
        let recent = pages.len().saturating_sub(BACK).max(explained);
        let place = |page: &mut Page| page.free.put(card.size, |at| (at.x, at.y));
        let found =
            pages.iter_mut().enumerate().skip(recent).find_map(|(n, page)| Some((n, place(page)?, page)));
        if let Some((n, corner, page)) = found {
            page.put(i, corner, card.size);
            page_of.push(n);
            continue;
        }
        let mut page = Page {
            cards: Vec::new(),
            used: Extent::default(),
            free: Free::new(vec![Area::at(Point::default(), room)], GAP),
        };
        match place(&mut page) {
            Some(corner) => page.put(i, corner, card.size),
            // A card that is larger than a sheet has a larger sheet to itself.
            None => {
                page.free = Free::new(Vec::new(), GAP);
                page.put(i, Point::default(), card.size);
            }
        }
        page_of.push(pages.len());
        pages.push(page);
    }
    pages
}

impl Page {
    fn put(&mut self, card: usize, corner: Point, size: Extent) {
        let (right, end) = (corner.x + size.width, corner.y + size.height);
        self.used = Extent::new(self.used.width.max(right), self.used.height.max(end));
        self.cards.push((card, corner));
    }
}

/// The smallest sheet that holds the page.
fn draw(cards: &[Card], page: &Page, common: &Common, block: &TitleBlock) -> Scene {
    let fits = |format: Format| {
        let sheet = Sheet::on(format, block, common.banner);
        let (foot, left) = (common.foot(foot_width(&sheet)), sheet.drawing.extent());
        let beside = sheet.beside_block.is_some_and(|b| b.extent().holds(foot));
        let under = if beside { Mm::ZERO } else { foot.height - beside_height(&sheet) + GAP / 2 };
        let holds = page.used.width <= left.width && page.used.height + under.max(Mm::ZERO) <= left.height;
        (holds && foot.width <= foot_width(&sheet)).then_some(sheet)
    };
    let sheet = Format::series().into_iter().find_map(fits).unwrap_or_else(|| {
        let foot = common.foot(WIDE);
        let needed = Extent::new(page.used.width.max(foot.width), page.used.height + GAP + foot.height);
        Sheet::fitting(needed, block, common.banner)
    });
    let mut scene = sheet.scene();
    for (card, corner) in &page.cards {
        if let Some(card) = cards.get(*card) {
            scene.place(&card.scene, sheet.drawing.min.x + corner.x, sheet.drawing.min.y + corner.y);
        }
    }
    let width = foot_width(&sheet);
    let foot = common.foot(width);
    let lowest = sheet.beside_block.map_or(sheet.drawing.max.y, |b| b.max.y);
    let corner = Point::new(sheet.drawing.min.x, lowest - foot.height);
    let top = if common.legend.is_empty() {
        corner.y
    } else {
        common.legend.draw(&mut scene, corner, width).max.y + mm(4.0)
    };
    common.notes.draw(&mut scene, Point::new(corner.x, top));
    scene
}

fn foot_width(sheet: &Sheet) -> Mm {
    sheet.beside_block.map_or(sheet.drawing.width(), |b| b.width()).min(WIDE)
}

/// Height that the foot may take without reaching into the drawing area.
fn beside_height(sheet: &Sheet) -> Mm {
    sheet.beside_block.map_or(Mm::ZERO, |b| b.height())
}
