//! A hole with everything in it in; its card out: the picture, the table that its numbers are explained in, and what is
//! to be known of it: lining, seal, count, fill, what may be added, which way it is fed.

use super::opening::Opening;
use super::view::{self, View};
use crate::draw::block::{Block, words};
use crate::draw::deck::{Card, NARROW, WIDE};
use crate::draw::geometry::{Area, Extent, Mm, Point, mm};
use crate::draw::insulation::Insulation;
use crate::draw::key_table::{KeyTable, Kind, Row};
use crate::draw::lettering::Lettering;
use crate::draw::mark::{Layer, Mark};
use crate::draw::palette::Ink;
use crate::draw::particulars::Particulars;
use crate::draw::scene::Scene;
use crate::draw::stroke::Stroke;
use crate::graph::{Fit, More};
use crate::harness::{Harness, PinId, PinSite, ZoneId};
use crate::parts::library::Library;
use crate::quantity::Length;

const NAME: Lettering = Lettering::LARGE.bold();
const PLAIN: Lettering = Lettering::SMALL;
const QUIET: Lettering = Lettering::SMALL.inked(Ink::SLATE);
const ALARM: Lettering = Lettering::SMALL.bold().inked(Ink::ALARM);
const GAP: Mm = mm(6.0);
/// Widest picture that leaves room for a table beside it on a narrow card.
pub(super) const PICTURE: Mm = mm(126.0);
/// Room that a table takes beside a picture on a wide card.
const TABLE: Mm = mm(110.0);

/// The cards of a hole, the first to be taken first, each no larger than `room` where that is possible: narrow where that
/// serves, then wide, which says of each conductor where it comes from and goes to.
pub(super) fn of(h: &Harness, library: &Library, opening: &Opening, view: View, room: Extent) -> Vec<Card> {
    let picture = view::draw(h, library, opening, view);
    let narrow = (picture.1.width() <= NARROW).then_some(true);
    let mut cards: Vec<Card> = narrow
        .into_iter()
        .chain([false])
        .map(|narrow| laid_out(h, library, opening, view, &picture, narrow))
        .collect();
    if cards.iter().any(|card| room.holds(card.size)) {
        cards.retain(|card| room.holds(card.size));
    } else {
        cards.sort_by_key(|card| card.size.height);
        cards.truncate(1);
    }
    cards
}

/// The card around this picture.
fn laid_out(
    h: &Harness,
    library: &Library,
    opening: &Opening,
    view: View,
    (picture, area): &(Scene, Area),
    narrow: bool,
) -> Card {
    let width = if narrow { NARROW } else { WIDE.max(area.width()) };
    let mut scene = Scene::default();
    let note = Mark::new(Layer::Note);
    scene.line(&note, Point::default(), Point::new(width, Mm::ZERO), Stroke::MEDIUM);
    let mut y = mm(2.4);
    let head = head(h, opening, width);
    head.draw(&mut scene, Point::new(Mm::ZERO, y));
    y += head.size().height + mm(2.0);
    y = caption(&mut scene, h, opening, view, Point::new(Mm::ZERO, y), width) + mm(5.0);

    let beside = width - area.width() - GAP;
    let full = !narrow && beside >= TABLE;
    let under = if narrow { area.width() > PICTURE + mm(1.0) } else { !full };
    let table = table(h, opening, !narrow, if under { width } else { beside });
    let top = y;
    // A small picture stands in the middle of the place that the largest takes.
    let taken = table.size(table.abreast(beside)).width;
    let room = if narrow && !under { PICTURE.min(width - GAP - taken) } else { area.width() };
    let left = ((room - area.width()) / 2).max(Mm::ZERO);
    scene.place(picture, left - area.min.x, y - area.min.y);
    y += area.height();
    let under_picture = y + mm(4.0);
    let mut lowest = y;
    if under {
        lowest += GAP;
        let abreast = table.abreast(width);
        table.draw(&mut scene, Point::new(Mm::ZERO, lowest), abreast);
        lowest += table.size(abreast).height;
    } else {
        let abreast = table.abreast(beside);
        let size = table.size(abreast);
        table.draw(&mut scene, Point::new(width - size.width, top), abreast);
        lowest = lowest.max(top + size.height);
    }
    // On a wide card the facts stand under the table, else under the picture, beside a table that is longer than it.
    let (corner, facts_width) = if full {
        (Point::new(area.width() + GAP, top + table.size(table.abreast(beside)).height + mm(8.0)), beside)
    } else if lowest > under_picture && !under {
        (Point::new(Mm::ZERO, under_picture), width - table.width() - GAP)
    } else {
        (Point::new(Mm::ZERO, lowest + mm(4.0)), width)
    };
    lowest = lowest.max(facts(h, library, opening, view).draw(&mut scene, corner, facts_width));
    let signs = super::signs(h, library, opening, view);
    Card { scene, size: Extent::new(width, lowest), scale: Some(view.hole_scale()), signs, after: None }
}

fn zone(h: &Harness, id: ZoneId) -> &str {
    let zone = h.zone(id);
    zone.title.as_deref().unwrap_or(&zone.name)
}

fn head(h: &Harness, opening: &Opening, width: Mm) -> Block {
    let mark = opening.mark(h, Layer::Label);
    let barrier = h.barrier(opening.hole.barrier);
    let [a, b] = barrier.between;
    let mut block = Block::default();
    block.add(&[words(&opening.hole.name, NAME, &mark)], width);
    let title = barrier.title.as_deref().unwrap_or(&barrier.name);
    let between = format!("between {} and {}", zone(h, a), zone(h, b));
    block.add(&[words(title, PLAIN, &mark), words(&between, QUIET, &mark)], width);
    block
}

/// From which side the picture is seen, and which way the hole is fed; returns where it ends.
fn caption(scene: &mut Scene, h: &Harness, opening: &Opening, view: View, corner: Point, width: Mm) -> Mm {
    let (scale, moved) = (view.hole_scale(), opening.is_moved(view));
    let mark = opening.mark(h, Layer::Note);
    let says = match opening.fed {
        Some(fed) => format!(
            "seen from {}, {scale}; feed away from you, into {}",
            zone(h, fed.from),
            zone(h, fed.towards)
        ),
        None => format!("seen from {}, {scale}", zone(h, h.barrier(opening.hole.barrier).between[0])),
    };
    // What is drawn packed needs no words.
    let says = if moved { format!("{says}; all moved aside for the dashed circle") } else { says };
    let mut block = Block::default();
    block.add(&[words(&says, PLAIN.bold(), &mark)], width - mm(10.0));
    block.draw(scene, corner.by(mm(10.0), mm(0.8)));
    if opening.fed.is_some() {
        away(scene, &mark, Area::at(corner, Extent::new(mm(6.0), mm(6.0))));
    }
    corner.y + block.size().height.max(mm(6.0))
}

/// An arrow seen from behind, its feathers: away from the eye. As physics draws it; common practice, no source.
pub(super) fn away(scene: &mut Scene, mark: &Mark, area: Area) {
    let (at, radius) = (area.centre(), area.width().min(area.height()) / 2 - mm(0.2));
    scene.circle(mark, at, radius, Stroke::MEDIUM.filled(Ink::WHITE));
    // The feathers meet the ring: its radius over the root of two.
    let reach = radius.scaled(0.707);
    for side in [-reach, reach] {
        scene.line(mark, at.by(-reach, -side), at.by(reach, side), Stroke::MEDIUM);
    }
}

/// Count, fill and the rest, each under its word.
fn facts(h: &Harness, library: &Library, opening: &Opening, view: View) -> Particulars {
    let (hole, units) = (opening.hole, h.header.units);
    let mark = opening.mark(h, Layer::Label);
    let mut facts = Particulars::new(&mark);
    let mut say = |what: &'static str, is: &str, alarm: bool| {
        facts.say(what, vec![words(is, if alarm { ALARM } else { PLAIN }, &mark)]);
    };
    match opening.lining {
        Some((name, lining)) => say("lining", &format!("{name}: {}", lining.title), false),
        None => say("lining", "not given", false),
    }
    say("seal", hole.seal.as_deref().unwrap_or("not given"), false);
    let (room, own) = (opening.room, opening.bundle.conductors);
    let all = room.conductors;
    let others = match (hole.others, hole.others_outside) {
        (0, _) => String::new(),
        (n, Some(_)) => format!(", {n} of other harnesses among them, drawn grey"),
        (n, None) => format!(", {n} of other harnesses among them, not drawn: their size is not known"),
    };
    let (count, over) = match hole.max_conductors.map(|m| m.value as usize) {
        Some(most) => (format!("{all} of {most} allowed{others}"), all > most),
        None => (format!("{all}, no limit given{others}"), false),
    };
    say("conductors", &count, over);
    let mut area = match (room.fill_words(units), hole.max_fill) {
        (Some(fill), Some(most)) => format!("{fill} of {} allowed", most.value.show(units)),
        (Some(fill), None) => format!("{fill}, no limit given"),
        (None, _) => "not known, no bore given".to_owned(),
    };
    if room.diameter > Length::ZERO {
        area.push_str(&format!("; packed tightest the bundle is Ø {}", room.diameter_words(units)));
    }
    let leads: Vec<&str> = opening.bundle.leads.iter().map(|d| h.device(*d).name.as_str()).collect();
    if !leads.is_empty() {
        area.push_str(&format!("; own leads of {} besides, their size is not known", leads.join(", ")));
    }
    let too_full = room.fill.zip(hole.max_fill).is_some_and(|(fill, most)| fill.ratio() > most.value.ratio());
    say("fill by area", &area, too_full);
    if !opening.fits() {
        say("bore", "⚠ the bundle does not pass it", true);
    }
    say("may still be added", &addable(h, library, opening, view), false);
    let feed = match opening.fed {
        Some(fed) => {
            let there = fed.order.len().saturating_sub(fed.back);
            format!(
                "{there} {} from {} into {}{}, numbers rising",
                if there == 1 { "end" } else { "ends" },
                zone(h, fed.from),
                zone(h, fed.towards),
                match fed.back {
                    0 => String::new(),
                    back => format!(", {back} back"),
                }
            )
        }
        None if own == 0 => "nothing passes".to_owned(),
        None => "which way is not settled; numbers rising".to_owned(),
    };
    say("feed", &feed, false);
    facts
}

/// How many conductors may be added, how many of the wires that the harness is made of have room, and the largest circle.
fn addable(h: &Harness, library: &Library, opening: &Opening, view: View) -> String {
    let units = h.header.units;
    let room = opening.room;
    let count = match room.count {
        None => None,
        Some(1) => Some("1 conductor".to_owned()),
        Some(n) => Some(format!("{n} conductors")),
    };
    let size = match room.more {
        More::CountReached => {
            let most = opening.hole.max_conductors.map_or(room.conductors, |most| most.value as usize);
            return match room.conductors.saturating_sub(most) {
                0 => "nothing: the count is reached".to_owned(),
                over => format!("nothing: the count is exceeded by {over}"),
            };
        }
        More::Nothing => return "nothing: no room by size".to_owned(),
        More::NoBore => "by size not known, no bore given".to_owned(),
        More::Unsized => "by size not known, as not everything in it has a known size".to_owned(),
        More::Thick(most) => {
            let kind = |(i, fit): (usize, &Fit)| {
                let part = library.wires.get(fit.wire);
                let rank = match (i, opening.fits.len()) {
                    (0, 1) => "thickest and most used here",
                    (0, _) => "thickest here",
                    _ => "most used here",
                };
                let (name, outside) = (library.wires.name(fit.wire), part.outside.show(units));
                format!("{} × {name} (Ø {outside}, {rank})", fit.pieces)
            };
            let kinds: Vec<String> = opening.fits.iter().enumerate().map(kind).collect();
            let shown = match view {
                View::Detailed { .. } if room.moved => "",
                _ => " (dashed)",
            };
            let alone = format!("one alone Ø {} at most{shown}", most.show(units));
            if kinds.is_empty() { alone } else { format!("{}; {alone}", kinds.join(" or ")) }
        }
    };
    count.into_iter().chain([size]).collect::<Vec<_>>().join("; ")
}

/// Every conductor by its number.
fn table(h: &Harness, opening: &Opening, full: bool, most: Mm) -> KeyTable {
    let mut columns = vec![("no.", Kind::Number), ("conductor", Kind::Name), ("colour", Kind::Colour)];
    if full {
        columns.extend([("gauge", Kind::Words), ("from", Kind::Words), ("to", Kind::Words)]);
    }
    let pin = |id: PinId| match h.pin(id).site {
        PinSite::Screen(cable) => format!("screen of {}", h.cable(cable).name),
        _ => h.pin(id).name.clone(),
    };
    let row = |numbered: &super::opening::Numbered| {
        let c = h.conductor(numbered.id);
        let mut cells = vec![numbered.number.to_string(), c.mark.clone(), c.colour.value.code()];
        if full {
            cells.extend([c.gauge.show(h.header.units), pin(c.from), pin(c.to)]);
        }
        Row {
            mark: opening.conductor_mark(h, numbered.id, Layer::Note),
            insulation: Insulation::of(Some(c.colour.value)),
            cells,
        }
    };
    KeyTable::new(&columns, opening.conductors().map(row).collect(), most)
}
