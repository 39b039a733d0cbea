//! What is written on a board: of a place, of a leg, of an end. The harness in, measured blocks out.

use super::Job;
use super::ends::End;
use super::loom::Knot;
use super::words::Row;
use crate::draw::block::{Block, Words, words};
use crate::draw::geometry::{Area, Extent, Mm, Point, mm};
use crate::draw::lettering::{self, Height, Lettering};
use crate::draw::mark::{Layer, Mark};
use crate::draw::palette::Ink;
use crate::draw::scene::{Anchor, Scene, Turn};
use crate::draw::signs;
use crate::draw::stroke::Stroke;
use crate::graph::clamp::is_tied;
use crate::harness::{DeviceClass, PlaceId, RunId};
use crate::quantity::Length;

const NAME: Lettering = Lettering::PLAIN.bold();
const PLAIN: Lettering = Lettering::SMALL;
const QUIET: Lettering = Lettering::SMALL.inked(Ink::SLATE);
const PLACE: Lettering = Lettering::LARGE.bold();

/// Widest line of a place's card, of a leg's label, of an end.
const LIMIT: Mm = mm(76.0);

/// Height of a line that says where a leg goes on.
const JOIN: Mm = mm(6.6);
/// Radius of the ring around its letter.
pub(super) const RING: Mm = mm(2.8);

/// A leg that goes on elsewhere, as it is told at a place.
#[derive(Clone, Debug)]
pub(super) struct Join {
    /// Number of its letter.
    pub letter: usize,
    pub words: String,
}

/// The card of a place.
#[derive(Clone, Debug)]
pub(super) struct Card {
    block: Block,
    joins: Vec<(Join, Mark)>,
}

impl Card {
    pub fn size(&self) -> Extent {
        let own = self.block.size();
        let line = |(join, _): &(Join, Mark)| RING * 2 + mm(1.6) + lettering::width(&join.words, PLAIN);
        let width = self.joins.iter().map(line).max().unwrap_or_default();
        Extent::new(own.width.max(width), own.height + JOIN.times(self.joins.len()))
    }

    pub fn draw(&self, scene: &mut Scene, corner: Point) {
        self.block.draw(scene, corner);
        let mut y = corner.y + self.block.size().height + JOIN / 2;
        for (join, mark) in &self.joins {
            ring(scene, mark, Point::new(corner.x + RING, y), join.letter);
            let at = Point::new(corner.x + RING * 2 + mm(1.6), y + PLAIN.height.capital() / 2);
            scene.text(&mark.on(Layer::Label), at, &join.words, PLAIN);
            y += JOIN;
        }
    }
}

/// A letter in a ring: a leg goes on where the same stands.
pub(super) fn ring(scene: &mut Scene, mark: &Mark, at: Point, letter: usize) {
    // In a legend all stays where the legend is.
    let on = |layer: Layer| if mark.layer == Layer::Note { mark.clone() } else { mark.on(layer) };
    let symbol = on(Layer::Symbol);
    scene.circle(&symbol, at, RING, Stroke::WIDE.filled(Ink::WHITE));
    let (wide, tall) = (RING - mm(1.0), mm(1.5));
    scene.rect(&symbol, Area::between(at.by(-wide, -tall), at.by(wide, tall)), Ink::WHITE);
    let foot = at.by(Mm::ZERO, Lettering::SMALL.height.capital() / 2);
    let lettering = Lettering::SMALL.bold();
    scene.text_at(&on(Layer::Label), foot, &letters(letter), lettering, Anchor::Middle, Turn::Level);
}

/// `A` to `Z`, then `AA` and on.
pub(super) fn letters(index: usize) -> String {
    let last = u8::try_from(index % 26).map_or('?', |i| char::from(b'A' + i));
    match index / 26 {
        0 => last.to_string(),
        n => format!("{}{last}", letters(n - 1)),
    }
}

/// The card of a place: its name, its splices, what goes on elsewhere.
pub(super) fn of_place(job: &Job, knot: &Knot, joins: Vec<Join>, root: bool) -> Card {
    let place = job.h.place(knot.place);
    let mark = job.place_mark(knot.place).on(Layer::Label);
    let mut block = Block::default();
    if knot.broken {
        block.add(&[words("to", PLAIN, &mark), words(&place.name, NAME, &mark)], LIMIT);
    } else {
        block.add(&[words(&place.name, PLACE, &mark)], LIMIT);
        if let Some(title) = &place.title {
            block.add(&[words(title, PLAIN, &mark)], LIMIT);
        }
        if let Some(hole) = place.hole {
            let barrier = job.h.barrier(job.h.hole(hole).barrier);
            let told = format!("hole: {}", barrier.title.as_deref().unwrap_or(&barrier.name));
            block.add(&[words(&told, PLAIN, &mark)], LIMIT);
        }
    }
    if root {
        block.add(&[words("datum: lengths start here", QUIET, &mark)], LIMIT);
    }
    for splice in &knot.splices {
        let device = job.h.device(*splice);
        let own = job.device_mark(*splice, knot.place);
        let mut entry = vec![words(&device.name, NAME, &own)];
        let shift = job.routing.shift_words(job.h, *splice);
        let mut told = shift.unwrap_or_else(|| "here".to_owned());
        if let Some(length) = job.splice_length(*splice) {
            told.push_str(&format!(", {} long", length.show(job.units)));
        }
        entry.push(words(&told, PLAIN, &own));
        block.add_signed(signs::splice, &own.on(Layer::Symbol), &entry, LIMIT);
    }
    Card { block, joins: joins.into_iter().map(|join| (join, mark.clone())).collect() }
}

/// What is written on a leg: its length, what lies in it, what covers it.
pub(super) fn of_leg(job: &Job, id: RunId) -> Block {
    let run = job.h.run(id);
    let mark = job.run_mark(id).on(Layer::Label);
    let bundle = job.bundles.run(id);
    let mut block = Block::default();
    block.add(&[words(&run.length.value.show(job.units), PLACE, &mark)], LIMIT);
    // What is fed through a hole is tied and covered when it is through.
    let after = job.fed_into(id).map(|hole| format!("after {}", job.h.hole(hole).name)).unwrap_or_default();
    let tied = if after.is_empty() || !is_tied(run) { String::new() } else { format!("; tie {after}") };
    let figures = format!("{}, Ø {}{tied}", conductors(bundle.conductors), bundle.diameter().show(job.units));
    block.add(&[words(&figures, PLAIN, &mark)], LIMIT);
    if let Some(cover) = &run.cover {
        block.add(&[words(&cover.value, PLAIN.bold(), &mark), words(&after, PLAIN, &mark)], LIMIT);
    }
    block
}

/// What is written at an end: its name, its wires, how its length comes about.
pub(super) fn of_end(job: &Job, place: PlaceId, end: &End) -> Row {
    let mark = job.end_mark(place, end).on(Layer::Label);
    let (mut name, mut told) = (Block::default(), Block::default());
    let class = &job.h.device(end.device).class;
    // Each half of an in-line connector has a line of its own.
    let lines: Vec<String> = match class {
        DeviceClass::InLine { plug_faces, .. } => {
            let faces = &job.h.place(*plug_faces).name;
            let [plug, receptacle] = end.halves().map(conductors);
            let plug = (end.halves()[0] > 0).then(|| format!("plug: {plug}, from {faces}"));
            let receptacle = (end.halves()[1] > 0).then(|| format!("receptacle: {receptacle}"));
            plug.into_iter().chain(receptacle).collect()
        }
        _ => vec![conductors(end.conductors.len())],
    };
    let mut lines = lines.iter();
    let first = lines.next().map(|line| words(line, PLAIN, &mark));
    let entry: Vec<Words> = [words(&end.name(job.h), NAME, &mark)].into_iter().chain(first).collect();
    name.add_signed(signs::of(class), &mark.on(Layer::Symbol), &entry, LIMIT);
    for line in lines {
        name.add(&[words(line, PLAIN, &mark)], LIMIT);
    }
    let told_words = said(job, end);
    told.add(&[words(&told_words, QUIET, &mark)], LIMIT);
    Row { name, told, told_words }
}

/// `250 mm: tail 100 mm, service loop 150 mm; cut 12 mm longer`.
fn said(job: &Job, end: &End) -> String {
    let show = |length: Length| length.show(job.units);
    let b = end.beyond;
    let parts = [("tail", b.tail), ("service loop", b.service_loop), ("reach", b.reach)];
    let parts: Vec<String> = parts
        .iter()
        .filter(|(_, length)| *length > Length::ZERO)
        .map(|(word, length)| format!("{word} {}", show(*length)))
        .collect();
    let mut told = match parts.as_slice() {
        [] => "no tail".to_owned(),
        [one] => one.clone(),
        several => format!("{}: {}", show(b.laid()), several.join(", ")),
    };
    let [least, most] = end.reserve.map(show);
    if end.reserve[1] > Length::ZERO {
        let range = if least == most { most } else { format!("{least} to {most}") };
        told.push_str(&format!("; cut {range} longer"));
    }
    told
}

/// What stands where something laid apart starts.
pub(super) fn of_start(job: &Job, place: PlaceId) -> Block {
    let mark = job.place_mark(place).on(Layer::Label);
    let mut block = Block::default();
    block.add(&[words("from", PLAIN, &mark), words(&job.h.place(place).name, PLAIN.bold(), &mark)], LIMIT);
    block
}

/// `F1`, and where from.
pub(super) fn of_fold(job: &Job, run: RunId, number: usize, station: Length, from: PlaceId) -> Block {
    let mark = job.run_mark(run).on(Layer::Label);
    let mut block = Block::default();
    block.add(&[words(&format!("F{number}"), PLACE, &mark)], LIMIT);
    let told = format!("{} from {}", station.show(job.units), job.h.place(from).name);
    block.add(&[words(&told, PLAIN, &mark)], mm(40.0));
    block
}

/// `1 conductor`, `12 conductors`.
pub(super) fn conductors(count: usize) -> String {
    format!("{count} {}", noun(count))
}

fn noun(count: usize) -> &'static str {
    if count == 1 { "conductor" } else { "conductors" }
}

/// Least width that lettering of this height needs between two lines, for what is checked by eye.
pub(super) fn fold_room() -> Mm {
    Height::H5.pitch() + PLAIN.height.pitch().times(2) + mm(4.0)
}
