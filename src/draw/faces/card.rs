//! A connector half in; its card out: what it is, its face from the wire-entry side, the mating side small beside it, and
//! a table of what goes into each cavity.

use super::half::{Cavity, Half};
use super::plate::Side;
use super::{eye, inset, picture};
use crate::draw::block::{Block, words};
use crate::draw::deck::{Card, NARROW, WIDE};
use crate::draw::geometry::{Area, Extent, Mm, Point, mm};
use crate::draw::insulation::Insulation;
use crate::draw::key_table::{KeyTable, Kind, Row};
use crate::draw::lettering::Lettering;
use crate::draw::mark::{Layer, Mark};
use crate::draw::palette::Ink;
use crate::draw::particulars::Particulars;
use crate::draw::scale::Scale;
use crate::draw::scene::Scene;
use crate::draw::stroke::Stroke;
use crate::harness::{DeviceClass, Harness, PinSite};
use crate::parts::library::{ContactPartId, Library};

const NAME: Lettering = Lettering::LARGE.bold();
const PLAIN: Lettering = Lettering::SMALL;
const QUIET: Lettering = Lettering::SMALL.inked(Ink::SLATE);
const ALARM: Lettering = Lettering::SMALL.bold().inked(Ink::ALARM);
const VIEW: Lettering = Lettering::SMALL.bold();
const GAP: Mm = mm(8.0);

/// Widest picture that has everything else beside it.
const SMALL: Mm = mm(88.0);
/// From the left edge to what stands beside a small picture.
const BESIDE: Mm = mm(94.0);

/// The card of a half.
pub(super) fn of(h: &Harness, library: &Library, half: &Half) -> Card {
    let (face, area, scale) = picture::draw(h, library, half, WIDE);
    let wide = area.width() > NARROW;
    let width = if wide { WIDE.max(area.width()) } else { NARROW };
    let mut scene = Scene::default();
    scene.line(&Mark::new(Layer::Note), Point::default(), Point::new(width, Mm::ZERO), Stroke::MEDIUM);
    let mut card = Drawn { scene, face, area, scale, width };
    let height =
        if area.width() <= SMALL { card.small(h, library, half) } else { card.large(h, library, half) };
    Card { scene: card.scene, size: Extent::new(width, height), scale }
}

struct Drawn {
    scene: Scene,
    face: Scene,
    area: Area,
    scale: Scale,
    width: Mm,
}

impl Drawn {
    /// Both views on the left, all that is said on the right; returns where it ends.
    fn small(&mut self, h: &Harness, library: &Library, half: &Half) -> Mm {
        let head = head(h, half, self.width);
        head.draw(&mut self.scene, Point::new(Mm::ZERO, mm(2.4)));
        let top = mm(2.4) + head.size().height + mm(2.0);
        let y = self.view(Point::new(Mm::ZERO, top), Side::WireEntry, self.scale);
        self.scene.place(&self.face, -self.area.min.x, y - self.area.min.y);
        let below = y + self.area.height() + mm(5.0);
        let left = self.mating(h, half, Point::new(Mm::ZERO, below));
        let room = self.width - BESIDE;
        let facts = facts(h, library, half);
        let y = facts.draw(&mut self.scene, Point::new(BESIDE, top), room) + mm(4.0);
        let table = table(h, half, room);
        table.draw(&mut self.scene, Point::new(BESIDE, y), 1);
        left.max(y + table.size(1).height)
    }

    /// What is said over the picture, the mating side beside it, the table where there is room for it.
    fn large(&mut self, h: &Harness, library: &Library, half: &Half) -> Mm {
        let (_, small, _) = inset::draw(h, half);
        let left = self.width - small.width().max(mm(52.0));
        let right = self.mating(h, half, Point::new(left, mm(3.0)));
        let head = head(h, half, left - GAP);
        head.draw(&mut self.scene, Point::new(Mm::ZERO, mm(2.4)));
        let corner = Point::new(Mm::ZERO, mm(2.4) + head.size().height + mm(1.0));
        let end = facts(h, library, half).draw(&mut self.scene, corner, left - GAP);
        let top = end.max(right) + mm(5.0);
        let y = self.view(Point::new(Mm::ZERO, top), Side::WireEntry, self.scale);
        self.scene.place(&self.face, -self.area.min.x, y - self.area.min.y);
        let end = y + self.area.height();
        let table = self::table(h, half, self.width.min(NARROW));
        // Beside the picture, or under it: where the card is shorter for it.
        let (beside, under) = (self.width - self.area.width() - GAP, end + mm(6.0));
        let (narrow, wide) = (table.size(table.abreast(beside)), table.size(table.abreast(self.width)));
        if narrow.width <= beside && top + narrow.height <= under + wide.height {
            let corner = Point::new(self.width - narrow.width, top);
            table.draw(&mut self.scene, corner, table.abreast(beside));
            return end.max(top + narrow.height);
        }
        table.draw(&mut self.scene, Point::new(Mm::ZERO, under), table.abreast(self.width));
        under + wide.height
    }

    /// The small view of the mating side; returns where it ends.
    fn mating(&mut self, h: &Harness, half: &Half, corner: Point) -> Mm {
        let (small, area, scale) = inset::draw(h, half);
        let y = self.view(corner, Side::Mating, scale);
        self.scene.place(&small, corner.x - area.min.x, y - area.min.y);
        y + area.height()
    }

    /// Sign and words of a view; returns where the view may start.
    fn view(&mut self, corner: Point, side: Side, scale: Scale) -> Mm {
        view(&mut self.scene, corner, side, scale);
        corner.y + eye::SIZE.height + mm(2.2)
    }
}

/// Sign and words of a view.
fn view(scene: &mut Scene, corner: Point, side: Side, scale: Scale) {
    let mark = Mark::new(Layer::Note);
    eye::draw(scene, &mark, corner, side);
    let says = match side {
        Side::WireEntry => format!("seen from the wire-entry side, {scale}"),
        Side::Mating => format!("mating side, {scale}"),
    };
    let middle = corner.y + eye::SIZE.height / 2 + VIEW.height.capital() / 2;
    scene.text(&mark, Point::new(corner.x + eye::SIZE.width + mm(2.0), middle), &says, VIEW);
}

/// What the half is called and belongs to.
fn head(h: &Harness, half: &Half, width: Mm) -> Block {
    let mark = half.mark(Layer::Label);
    let mut block = Block::default();
    block.add(&[words(&half.name, NAME, &mark)], width);
    let place = half.device.place.map(|p| format!("at {}", h.place(p).name)).unwrap_or_default();
    block.add(&[words(&half.device.title, PLAIN, &mark), words(&place, QUIET, &mark)], width);
    block
}

/// What is to be known before anything is put in.
fn facts(h: &Harness, library: &Library, half: &Half) -> Particulars {
    let mark = half.mark(Layer::Label);
    let part = half.part;
    let plain = |text: &str| words(text, PLAIN, &mark);
    let mut facts = Particulars::new(&mark);
    let name = words(library.shells.name(half.shell), PLAIN.bold(), &mark);
    facts.say("shell", vec![name, plain(&part.title)]);
    let mate = match half.device.class {
        DeviceClass::InLine { .. } => {
            let own = half.name.strip_prefix(&half.device.name).and_then(|n| n.strip_prefix('.'));
            let other = half.device.connectors.iter().find(|c| Some(c.name.as_str()) != own);
            let other = other.map(|c| format!(", {}.{}", half.device.name, c.name)).unwrap_or_default();
            format!("{}{other}", part.mate)
        }
        _ => format!("{}, on the device", part.mate),
    };
    facts.say("mates with", vec![plain(&mate)]);
    if let Some(key) = &part.key {
        facts.say("key", vec![plain(key)]);
    }
    let (all, wired) = (half.cavities().count(), half.cavities().filter(|c| !c.wires.is_empty()).count());
    facts.say("wired", vec![plain(&format!("{wired} of {all} cavities"))]);
    for (contact, cavities) in contacts(half) {
        let Some(contact) = contact else {
            let none = format!("⚠ none of this shell takes the wire in {}", listed(&cavities));
            facts.say("contact", vec![words(&none, ALARM, &mark)]);
            continue;
        };
        let name = words(library.contacts.name(contact), PLAIN.bold(), &mark);
        let mut is = vec![name, plain(&library.contacts.get(contact).title)];
        if cavities.len() < wired {
            is.insert(0, plain(&format!("{}:", listed(&cavities))));
        }
        facts.say("contact", is);
    }
    if half.cavities().any(|c| picture::is_one_way(library, c)) {
        let stop = "⚠ one-way contacts, double ring: check the cavity before the push";
        facts.say("stop", vec![words(stop, ALARM, &mark)]);
    }
    if let Some(seal) = part.seal {
        let units = h.header.units;
        let (low, high) = (seal.low().show(units), seal.high().show(units));
        facts.say("seal", vec![plain(&format!("closes on wires of {low} to {high}"))]);
    }
    if let Some(plug) = part.cavity_plug.as_ref().filter(|_| wired < all) {
        facts.say("plug", vec![plain(&format!("{plug} in each empty cavity"))]);
    }
    if let Some(backshell) = &part.backshell {
        facts.say("backshell", vec![plain(backshell)]);
    }
    facts
}

/// Each contact with the cavities that it goes into, in the order of the face; None: no contact takes the wire.
fn contacts<'a>(half: &'a Half) -> Vec<(Option<ContactPartId>, Vec<&'a str>)> {
    let mut all: Vec<(Option<ContactPartId>, Vec<&str>)> = Vec::new();
    for cavity in half.cavities() {
        for wire in &cavity.wires {
            match all.iter_mut().find(|(contact, _)| *contact == wire.contact) {
                Some((_, cavities)) if cavities.last() == Some(&cavity.name) => {}
                Some((_, cavities)) => cavities.push(cavity.name),
                None => all.push((wire.contact, vec![cavity.name])),
            }
        }
    }
    all
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
            let to = match h.pin(wire.other).site {
                PinSite::Screen(cable) => format!("screen of {}", h.cable(cable).name),
                _ => h.pin(wire.other).name.clone(),
            };
            let cells = vec![
                cavity.name.to_owned(),
                c.mark.clone(),
                c.gauge.show(h.header.units),
                c.colour.value.code(),
                to,
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

/// `3, 7 to 12`; names that are no numbers as they are.
fn listed(names: &[&str]) -> String {
    let Ok(mut numbers) = names.iter().map(|n| n.parse::<u32>()).collect::<Result<Vec<_>, _>>() else {
        return names.join(", ");
    };
    numbers.sort_unstable();
    let mut parts: Vec<(u32, u32)> = Vec::new();
    for number in numbers {
        match parts.last_mut() {
            Some((_, last)) if last.checked_add(1) == Some(number) => *last = number,
            _ => parts.push((number, number)),
        }
    }
    let said = |(first, last): &(u32, u32)| match last - first {
        0 => first.to_string(),
        1 => format!("{first}, {last}"),
        _ => format!("{first} to {last}"),
    };
    parts.iter().map(said).collect::<Vec<_>>().join(", ")
}

#[cfg(test)]
mod tests {
    use super::listed;

    #[test]
    fn numbers_in_a_row_are_told_as_one() {
        assert_eq!(listed(&["13", "3", "12", "11", "4", "9"]), "3, 4, 9, 11 to 13");
        assert_eq!(listed(&["minus", "plus"]), "minus, plus");
        assert_eq!(listed(&[]), "");
    }
}
