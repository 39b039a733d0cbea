//! A connector half in; its card out: what it is, its face from the wire-entry side, the mating side small beside it, and
//! a table of what goes into each cavity.

use std::collections::BTreeSet;

use super::facts::{self, listed};
use super::half::{Cavity, Half};
use super::picture::Labels;
use super::plate::Side;
use super::{eye, inset, picture};
use crate::draw::block::{Block, words};
use crate::draw::deck::{Card, NARROW, SMALL, WIDE};
use crate::draw::geometry::{Area, Extent, Mm, Point, mm};
use crate::draw::insulation::Insulation;
use crate::draw::key_table::{KeyTable, Kind, Row};
use crate::draw::lettering::{self, Lettering};
use crate::draw::mark::{Layer, Mark};
use crate::draw::palette::Ink;
use crate::draw::scale::Scale;
use crate::draw::scene::Scene;
use crate::draw::stroke::Stroke;
use crate::harness::{Harness, PinId, PinSite};
use crate::parts::library::Library;

const NAME: Lettering = Lettering::LARGE.bold();
const SMALL_NAME: Lettering = Lettering::PLAIN.bold();
const PLAIN: Lettering = Lettering::SMALL;
const QUIET: Lettering = Lettering::SMALL.inked(Ink::SLATE);
const VIEW: Lettering = Lettering::SMALL.bold();
const GAP: Mm = mm(8.0);
/// Between the sign of a view and its words.
const BETWEEN: Mm = mm(1.4);

/// Widest picture that has everything else beside it.
const MIDDLE: Mm = mm(88.0);
/// From the left edge to what stands beside such a picture.
const BESIDE: Mm = mm(94.0);
/// Widest picture of a small card, and where its right column begins.
const NARROWEST: Mm = mm(76.4);
const COLUMN: Mm = mm(77.6);
/// Wires that a small card has room for.
const FEW: usize = 4;

/// The card of a half that is no larger than `room`, where that is possible. `all` are the halves that are alike: their
/// facts are told once, on a card of their own, where there are several.
pub(super) fn of(h: &Harness, library: &Library, half: &Half, all: &[&Half], room: Extent) -> Card {
    let mut drawn: Vec<Card> = Vec::new();
    // Every next one says less in the picture.
    for labels in Labels::ALL {
        let (face, area, scale) = picture::draw(h, library, half, WIDE, labels);
        let card = |width: Mm| Drawn {
            scene: Scene::default(),
            face: &face,
            area,
            scale,
            signs: super::signs(library, half),
            width,
        };
        let mut own: Vec<Card> = Vec::new();
        let few = half.wires().count() <= FEW && half.cavities().count() <= FEW;
        if few && area.width() <= NARROWEST {
            own.extend(card(SMALL).small(h, library, half, all));
        }
        if own.is_empty() && area.width() <= MIDDLE {
            own.push(card(NARROW).middle(h, library, half, all));
        }
        if own.is_empty() {
            let width = if area.width() > NARROW { WIDE.max(area.width()) } else { NARROW };
            for facts_beside in [false, true] {
                own.extend(card(width).large(h, library, half, all, facts_beside));
            }
        }
        drawn.extend(own);
        // Fewer words in the picture are worth it only for the sake of the sheet.
        let fitting = drawn.iter().position(|card| room.holds(card.size));
        if fitting.is_some() {
            break;
        }
    }
    let too_large = |card: &Card| !room.holds(card.size);
    let best = drawn.into_iter().min_by_key(|card| (too_large(card), card.size.height));
    best.unwrap_or_else(|| Card {
        scene: Scene::default(),
        size: Extent::default(),
        scale: None,
        signs: BTreeSet::new(),
        after: None,
    })
}

/// The card of what is the same of several halves.
pub(super) fn shared(h: &Harness, library: &Library, all: &[&Half]) -> Option<Card> {
    let half = all.first()?;
    let mut scene = Scene::default();
    rule(&mut scene, SMALL);
    let mark = Mark::new(Layer::Label);
    let mut head = Block::default();
    let title = format!("{} connectors are alike", all.len());
    head.add(&[words(library.shells.name(half.shell), SMALL_NAME, &mark)], SMALL);
    head.add(&[words(&title, QUIET, &mark)], SMALL);
    head.draw(&mut scene, Point::new(Mm::ZERO, mm(1.8)));
    let corner = Point::new(Mm::ZERO, mm(2.4) + head.size().height);
    let end = facts::of(h, library, half, all).draw(&mut scene, corner, SMALL);
    Some(Card { scene, size: Extent::new(SMALL, end), scale: None, signs: BTreeSet::new(), after: None })
}

fn rule(scene: &mut Scene, width: Mm) {
    scene.line(&Mark::new(Layer::Note), Point::default(), Point::new(width, Mm::ZERO), Stroke::MEDIUM);
}

struct Drawn<'a> {
    scene: Scene,
    face: &'a Scene,
    area: Area,
    scale: Scale,
    signs: BTreeSet<&'static str>,
    width: Mm,
}

impl Drawn<'_> {
    fn done(self, height: Mm) -> Card {
        Card {
            size: Extent::new(self.width, height),
            scale: Some(self.scale),
            signs: self.signs,
            after: None,
            scene: self.scene,
        }
    }

    fn face(&mut self, corner: Point) {
        self.scene.place(self.face, corner.x - self.area.min.x, corner.y - self.area.min.y);
    }

    /// Few cavities: the face on the left, the mating side and where the wires go on the right. None where the mating
    /// side is too wide.
    fn small(mut self, h: &Harness, library: &Library, half: &Half, all: &[&Half]) -> Option<Card> {
        let (mating, mating_area, mating_scale) = inset::draw(h, half);
        let column = self.width - COLUMN;
        let says = format!("mating side, {mating_scale}");
        let caption = eye::SIZE.width + BETWEEN + lettering::width(&says, PLAIN);
        if mating_area.width().max(caption) > column {
            return None;
        }
        rule(&mut self.scene, self.width);
        let mark = half.mark(Layer::Label);
        let mut head = Block::default();
        let told = [words(&half.name, SMALL_NAME, &mark), words(&place(h, half), QUIET, &mark)];
        // Beside the words of the view, where there is room for it.
        let gauges = gauges(h, half);
        let entry = format!("wire-entry side, {}; {gauges}", self.scale);
        let room = eye::SIZE.width + BETWEEN + lettering::width(&entry, PLAIN) <= NARROWEST;
        let entry = if room { entry } else { format!("wire-entry side, {}", self.scale) };
        let gauge = (!room).then(|| words(&gauges, PLAIN, &mark));
        head.add(&told.into_iter().chain(gauge).collect::<Vec<_>>(), NARROWEST);
        head.draw(&mut self.scene, Point::new(Mm::ZERO, mm(1.4)));
        let shell = words(library.shells.name(half.shell), QUIET, &mark);
        let mut own = Block::default();
        own.add(&[shell], column);
        own.draw(&mut self.scene, Point::new(COLUMN, mm(1.8)));
        let y = mm(1.4) + head.size().height.max(own.size().height);
        view(&mut self.scene, Point::new(Mm::ZERO, y), &entry, PLAIN, Side::WireEntry);
        view(&mut self.scene, Point::new(COLUMN, y), &says, PLAIN, Side::Mating);
        let y = y + eye::SIZE.height + mm(0.8);
        self.face(Point::new(Mm::ZERO, y));
        let left = y + self.area.height();
        self.scene.place(&mating, COLUMN - mating_area.min.x, y - mating_area.min.y);
        let y = y + mating_area.height() + mm(1.4);
        let table = where_to(h, half, column);
        table.draw(&mut self.scene, Point::new(COLUMN, y), 1);
        let mut end = left.max(y + table.size(1).height);
        if all.len() <= 1 {
            let facts = facts::of(h, library, half, all);
            end = facts.draw(&mut self.scene, Point::new(Mm::ZERO, end + mm(2.0)), self.width);
        }
        Some(self.done(end))
    }

    /// Both views on the left, all that is said on the right.
    fn middle(mut self, h: &Harness, library: &Library, half: &Half, all: &[&Half]) -> Card {
        rule(&mut self.scene, self.width);
        let head = head(h, half, self.width);
        head.draw(&mut self.scene, Point::new(Mm::ZERO, mm(2.4)));
        let top = mm(2.4) + head.size().height + mm(2.0);
        let y = self.entry(Point::new(Mm::ZERO, top));
        self.face(Point::new(Mm::ZERO, y));
        let below = y + self.area.height() + mm(5.0);
        let left = self.mating(h, half, Point::new(Mm::ZERO, below));
        let room = self.width - BESIDE;
        let facts = facts::of(h, library, half, if all.len() > 1 { &[] } else { all });
        let y = facts.draw(&mut self.scene, Point::new(BESIDE, top), room) + mm(4.0);
        let table = table(h, half, room);
        table.draw(&mut self.scene, Point::new(BESIDE, y), 1);
        self.done(left.max(y + table.size(1).height))
    }

    /// A large picture: what is said stands over it, the mating side beside that; or it stands right of the picture,
    /// None where there is no room for it. The table stands beside the picture, or under it.
    fn large(
        mut self,
        h: &Harness,
        library: &Library,
        half: &Half,
        all: &[&Half],
        facts_beside: bool,
    ) -> Option<Card> {
        const LEAST: Mm = mm(70.0);
        let beside = self.width - self.area.width() - GAP;
        if facts_beside && beside < LEAST {
            return None;
        }
        rule(&mut self.scene, self.width);
        let (_, small, _) = inset::draw(h, half);
        let left = self.width - small.width().max(mm(52.0));
        let right = self.mating(h, half, Point::new(left, mm(3.0)));
        let head = head(h, half, left - GAP);
        head.draw(&mut self.scene, Point::new(Mm::ZERO, mm(2.4)));
        let facts = facts::of(h, library, half, if all.len() > 1 { &[] } else { all });
        let corner = Point::new(Mm::ZERO, mm(2.4) + head.size().height + mm(1.0));
        let (top, facts_end) = if facts_beside {
            let under = right.max(corner.y) + mm(4.0);
            let corner = Point::new(self.width - beside, under);
            // The picture may stand beside the small one, where it ends left of it.
            let top = if self.area.width() + GAP <= left {
                corner.y.min(mm(4.0) + head.size().height)
            } else {
                under
            };
            (top, facts.draw(&mut self.scene, corner, beside))
        } else {
            (facts.draw(&mut self.scene, corner, left - GAP).max(right) + mm(5.0), Mm::ZERO)
        };
        let y = self.entry(Point::new(Mm::ZERO, top));
        self.face(Point::new(Mm::ZERO, y));
        let end = (y + self.area.height()).max(facts_end);
        let table = self::table(h, half, self.width.min(NARROW));
        // Beside the picture, or under it: where the card is shorter for it.
        let under = end + mm(6.0);
        let (narrow, wide) = (table.size(table.abreast(beside)), table.size(table.abreast(self.width)));
        if !facts_beside && narrow.width <= beside && top + narrow.height <= under + wide.height {
            let corner = Point::new(self.width - narrow.width, top);
            table.draw(&mut self.scene, corner, table.abreast(beside));
            return Some(self.done(end.max(top + narrow.height)));
        }
        table.draw(&mut self.scene, Point::new(Mm::ZERO, under), table.abreast(self.width));
        Some(self.done(under + wide.height))
    }

    /// Sign and words of the large view; returns where it may start.
    fn entry(&mut self, corner: Point) -> Mm {
        let says = format!("seen from the wire-entry side, {}", self.scale);
        view(&mut self.scene, corner, &says, VIEW, Side::WireEntry);
        corner.y + eye::SIZE.height + mm(2.2)
    }

    /// The small view of the mating side; returns where it ends.
    fn mating(&mut self, h: &Harness, half: &Half, corner: Point) -> Mm {
        let (small, area, scale) = inset::draw(h, half);
        view(&mut self.scene, corner, &format!("mating side, {scale}"), VIEW, Side::Mating);
        let y = corner.y + eye::SIZE.height + mm(2.2);
        self.scene.place(&small, corner.x - area.min.x, y - area.min.y);
        y + area.height()
    }
}

/// Sign and words of a view.
fn view(scene: &mut Scene, corner: Point, says: &str, lettering: Lettering, side: Side) {
    let mark = Mark::new(Layer::Note);
    eye::draw(scene, &mark, corner, side);
    let middle = corner.y + eye::SIZE.height / 2 + lettering.height.capital() / 2;
    scene.text(&mark, Point::new(corner.x + eye::SIZE.width + BETWEEN, middle), says, lettering);
}

fn place(h: &Harness, half: &Half) -> String {
    half.device.place.map(|p| format!("at {}", h.place(p).name)).unwrap_or_default()
}

/// `22 AWG`, or with their cavities where there are several.
fn gauges(h: &Harness, half: &Half) -> String {
    let mut all: Vec<(String, Vec<&str>)> = Vec::new();
    for cavity in half.cavities() {
        for wire in &cavity.wires {
            let gauge = h.conductor(wire.id).gauge.show(h.header.units);
            match all.iter_mut().find(|(known, _)| *known == gauge) {
                Some((_, cavities)) => cavities.push(cavity.name),
                None => all.push((gauge, vec![cavity.name])),
            }
        }
    }
    match all.as_slice() {
        [(one, _)] => one.clone(),
        several => {
            let told = several.iter().map(|(gauge, cavities)| format!("{} {gauge}", listed(cavities)));
            told.collect::<Vec<_>>().join(", ")
        }
    }
}

/// What the half is called and belongs to.
fn head(h: &Harness, half: &Half, width: Mm) -> Block {
    let mark = half.mark(Layer::Label);
    let mut block = Block::default();
    block.add(&[words(&half.name, NAME, &mark)], width);
    block.add(&[words(&half.device.title, PLAIN, &mark), words(&place(h, half), QUIET, &mark)], width);
    block
}

fn other_end(h: &Harness, pin: PinId) -> String {
    match h.pin(pin).site {
        PinSite::Screen(cable) => format!("screen of {}", h.cable(cable).name),
        _ => h.pin(pin).name.clone(),
    }
}

/// Where the wires of a small connector go; all else stands in its picture.
fn where_to(h: &Harness, half: &Half, most: Mm) -> KeyTable {
    let mut rows = Vec::new();
    for cavity in half.cavities() {
        for wire in &cavity.wires {
            let colour = h.conductor(wire.id).colour.value;
            rows.push(Row {
                mark: half.wire_mark(h, cavity, wire, Layer::Note),
                insulation: Insulation::of(Some(colour)),
                cells: vec![cavity.name.to_owned(), colour.code(), other_end(h, wire.other)],
            });
        }
    }
    let columns = [("", Kind::Number), ("", Kind::Colour), ("", Kind::Words)];
    KeyTable::new(&columns, rows, most)
}

/// Every wired cavity in the order of its number, then the empty ones together.
fn table(h: &Harness, half: &Half, most: Mm) -> KeyTable {
    let columns = [
        ("cavity", Kind::Number),
        ("conductor", Kind::Name),
        ("gauge", Kind::Words),
        ("colour", Kind::Colour),
        ("goes to", Kind::Words),
    ];
    let mut wired: Vec<&Cavity> = half.cavities().filter(|c| !c.wires.is_empty()).collect();
    wired.sort_by_key(|c| c.name.parse::<u32>().unwrap_or(u32::MAX));
    let mut rows = Vec::new();
    for cavity in wired {
        for wire in &cavity.wires {
            let c = h.conductor(wire.id);
            let cells = vec![
                cavity.name.to_owned(),
                c.mark.clone(),
                c.gauge.show(h.header.units),
                c.colour.value.code(),
                other_end(h, wire.other),
            ];
            rows.push(Row {
                mark: half.wire_mark(h, cavity, wire, Layer::Note),
                insulation: Insulation::of(Some(c.colour.value)),
                cells,
            });
        }
    }
    let empty: Vec<&str> = half.cavities().filter(|c| c.wires.is_empty()).map(|c| c.name).collect();
    if !empty.is_empty() {
        let what = if half.part.cavity_plug.is_some() { "plug" } else { "empty" };
        let said = format!("{what}: {}", listed(&empty));
        rows.push(Row { mark: half.mark(Layer::Note), insulation: Insulation::default(), cells: vec![said] });
    }
    KeyTable::new(&columns, rows, most)
}
