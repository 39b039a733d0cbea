//! A place in; what is written at it (name, hole, what is fitted there) out, as a block.

use std::collections::BTreeMap;

use super::job::Job;
use super::patch::Stub;
use crate::draw::block::{Block, Words, words};
use crate::draw::geometry::{Mm, mm};
use crate::draw::lettering::{self, Lettering};
use crate::draw::mark::{Layer, Mark, TagKind};
use crate::draw::palette::Ink;
use crate::draw::signs;
use crate::graph::clamp::{clamp_count, clamp_spacing};
use crate::harness::{DeviceClass, DeviceId, HoleId, PlaceId, Run, RunId};
use crate::quantity::Length;

/// Widest line of a block.
pub(super) const LIMIT: Mm = mm(50.0);

const NAME: Lettering = Lettering::PLAIN.bold();
const DEVICE: Lettering = Lettering::SMALL.bold();
const PLAIN: Lettering = Lettering::SMALL;
const ALARM: Lettering = Lettering::SMALL.bold().inked(Ink::ALARM);

/// Widest line of a block with nothing on its right.
pub(super) const WIDE: Mm = mm(60.0);

/// The same on a run, left of a place and right of one, in turn, where a narrower drawing comes onto a smaller sheet.
pub(super) const NARROWER: [[Mm; 3]; 3] =
    [[LIMIT, mm(34.0), mm(40.0)], [mm(39.0), mm(34.0), mm(36.0)], [mm(28.0), mm(38.0), mm(42.0)]];

/// The block of a place, no wider than `limit`; `pierces` where it stands in a barrier without being a hole.
pub(super) fn of_place(job: &Job, id: PlaceId, pierces: bool, limit: Mm) -> Block {
    let place = job.h.place(id);
    let mark = job.place_mark(id).on(Layer::Label);
    let mut block = Block::default();
    block.add(&[words(&place.name, NAME, &mark)], limit);
    if let Some(title) = &place.title {
        block.add(&[words(title, PLAIN, &mark)], limit);
    }
    if pierces {
        block.add(&[words("⚠ no hole declared here", ALARM, &mark)], limit);
    }
    if let Some(hole) = place.hole {
        of_hole(job, hole, &mark, &mut block);
    }
    for group in alike(job, &job.devices_at[id.index()]) {
        let Some(first) = group.first() else { continue };
        let mut entry: Vec<Words> = Vec::new();
        for (i, device) in group.iter().enumerate() {
            let comma = if i + 1 < group.len() { "," } else { "" };
            let name = format!("{}{comma}", job.h.device(*device).name);
            entry.push(words(&name, DEVICE, &job.device_mark(*device, id)));
        }
        let own = job.device_mark(*first, id);
        entry.push(words(&told(job, *first), PLAIN, &own));
        block.add_signed(signs::of(&job.h.device(*first).class), &own.on(Layer::Symbol), &entry, limit);
    }
    for device in &job.leads_at[id.index()] {
        let own = job.device_mark(*device, id);
        let entry = [words(&job.h.device(*device).name, DEVICE, &own), words("leads end here", PLAIN, &own)];
        block.add_signed(signs::lead_end, &own.on(Layer::Symbol), &entry, limit);
    }
    block
}

/// Devices of the same kind and title stand in one entry.
fn alike(job: &Job, devices: &[DeviceId]) -> Vec<Vec<DeviceId>> {
    let mut groups: Vec<Vec<DeviceId>> = Vec::new();
    let mut known: BTreeMap<(String, &'static str), usize> = BTreeMap::new();
    for id in devices {
        let class = class_word(&job.h.device(*id).class);
        let group = *known.entry((told(job, *id), class)).or_insert(groups.len());
        match groups.get_mut(group) {
            Some(group) => group.push(*id),
            None => groups.push(vec![*id]),
        }
    }
    groups
}

pub(super) fn class_word(class: &DeviceClass) -> &'static str {
    match class {
        DeviceClass::Equipment => "equipment",
        DeviceClass::Sensor => "sensor",
        DeviceClass::Ground { .. } => "ground",
        DeviceClass::Supply { .. } => "supply",
        DeviceClass::InLine { .. } => "in-line connector",
        DeviceClass::Splice { .. } => "splice",
        DeviceClass::Stud { .. } => "stud",
    }
}

/// Title, and what else is to be known at the place.
pub(super) fn told(job: &Job, id: DeviceId) -> String {
    let device = job.h.device(id);
    // What kind of part it is stands in the table; on the drawing, what the spec calls it.
    let mut told =
        if device.title == device.name || is_of_part(job, id) { String::new() } else { device.title.clone() };
    let mut say = |more: &str| {
        if !told.is_empty() {
            told.push_str(", ");
        }
        told.push_str(more);
    };
    match &device.class {
        // One that the designer pinned has its place from the spec.
        DeviceClass::Splice { .. } if device.place.is_none() => {
            let saved = job.routing.saved.get(id.index()).copied().flatten();
            match saved.filter(|saved| *saved > Length::ZERO) {
                Some(saved) => say(&format!("place chosen for least wire, saves {}", saved.show(job.units))),
                None => say("place chosen for least wire"),
            }
        }
        DeviceClass::InLine { plug_faces, .. } => {
            say(&format!("plug towards {}", job.h.place(*plug_faces).name));
        }
        _ => {}
    }
    if let Some(shift) = job.routing.shift_words(job.h, id) {
        say(&format!("shifted {shift}"));
    }
    if let Some(end) = device.lead_ends_at.filter(|end| Some(end.value) != device.place) {
        say(&format!("its leads end at {}", job.h.place(end.value).name));
    }
    told
}

/// True where the spec gives no title of its own and that of the part stands for it.
fn is_of_part(job: &Job, id: DeviceId) -> bool {
    let device = job.h.device(id);
    let part = device.part.as_ref().and_then(|name| job.library.devices.look_up(name));
    part.is_some_and(|(_, part)| part.title == device.title)
}

fn of_hole(job: &Job, id: HoleId, mark: &Mark, block: &mut Block) {
    let hole = job.h.hole(id);
    let room = job.bundles.room(job.h, id);
    let count = room.conductors;
    let limit = hole.max_conductors.map(|m| m.value as usize);
    let over = limit.is_some_and(|limit| count > limit);
    let lettering = if over { ALARM } else { DEVICE };
    let sign = if over { "⚠ " } else { "" };
    let count = match limit {
        Some(limit) => format!("{sign}{count} of {limit} conductors"),
        None => conductors(count),
    };
    block.add(&[words(&count, lettering, mark)], LIMIT);
    if let Some(bore) = hole.bore {
        let fill = room.fill_words(job.units).map(|fill| format!(", fill {fill}"));
        let text = format!("bore {}{}", bore.value.show(job.units), fill.unwrap_or_default());
        block.add(&[words(&text, PLAIN, mark)], LIMIT);
    }
}

/// `1 conductor`, `12 conductors`.
pub(super) fn conductors(count: usize) -> String {
    match count {
        1 => "1 conductor".to_owned(),
        n => format!("{n} conductors"),
    }
}

/// `3 clamps ≤ 400 mm`: so many, so far apart at most, as they are counted; with a star where that is the limit and not
/// the spec's spacing.
fn clamps(job: &Job, run: &Run) -> String {
    let count = clamp_count(run);
    let said = match run.clamps {
        Some(_) => format!("{count} clamps ≤ {}", pitch(job, run)),
        None => format!("{count} clamps*"),
    };
    // Kept on one line.
    said.replace(' ', "\u{a0}")
}

/// How far apart the clamps of a run may be, `400 mm`: what they are counted by, never rounded up; `609 mm*` where the
/// spec gives no spacing, or a wider one than the limit.
pub(super) fn pitch(job: &Job, run: &Run) -> String {
    let spacing = clamp_spacing(run);
    let star = if run.clamps.is_some_and(|declared| declared.value <= spacing) { "" } else { "*" };
    format!("{}{star}", spacing.show_at_most(job.units))
}

/// The block of an end where a run is broken off.
pub(super) fn of_stub(job: &Job, run: RunId, stub: &Stub) -> Block {
    let mark = job.run_mark(run).on(Layer::Label).with(TagKind::Place, &job.h.place(stub.to).name);
    // Beside a wall there is no level piece that its figures could stand over.
    let mut block = if stub.near && stub.labelled { of_run(job, run) } else { Block::default() };
    block.add(&[words("goes on to", PLAIN, &mark), words(&job.h.place(stub.to).name, DEVICE, &mark)], LIMIT);
    if !stub.labelled {
        block.add(&[words(&format!("figures at the other end {}", stub.letter), PLAIN, &mark)], LIMIT);
    }
    block
}

/// What is written on a run.
pub(super) fn of_run(job: &Job, id: RunId) -> Block {
    let run = job.h.run(id);
    let mark = job.run_mark(id).on(Layer::Label);
    let mut block = Block::default();
    if !run.beside.is_empty() {
        let beside: Vec<&str> = run.beside.iter().map(|x| x.words()).collect();
        block.add(&[words(&format!("⚠ beside {}", beside.join(", ")), ALARM, &mark)], job.label);
    }
    if let Some(surface) = run.surface {
        let text = format!("⚠ surface {}", surface.value.show(job.units));
        block.add(&[words(&text, ALARM, &mark)], job.label);
    }
    if let Some(cover) = &run.cover {
        block.add(&[words(&cover.value, PLAIN, &mark)], job.label);
    }
    let mut measured = vec![words(&run.length.value.show(job.units), NAME, &mark)];
    if job.weight.get(id.index()).is_some_and(|count| *count > 0) {
        measured.push(words(&clamps(job, run), PLAIN, &mark));
    }
    block.add(&measured, job.label);
    let bundle = job.bundles.run(id);
    let figures = match bundle.conductors {
        0 => "no conductors".to_owned(),
        n => format!("{}, Ø {}", conductors(n), bundle.diameter().show(job.units)),
    };
    // A figure is not parted from its sign.
    match figures.split_once(", ").filter(|_| lettering::width(&figures, PLAIN) > job.label) {
        Some((count, diameter)) => {
            block.add(&[words(&format!("{count},"), PLAIN, &mark)], job.label);
            block.add(&[words(&diameter.replace(' ', "\u{a0}"), PLAIN, &mark)], job.label);
        }
        None => block.add(&[words(&figures, PLAIN, &mark)], job.label),
    }
    let leads: Vec<&str> = bundle.leads.iter().map(|d| job.h.device(*d).name.as_str()).collect();
    if !leads.is_empty() {
        block.add(&[words(&format!("own leads of {}", leads.join(", ")), PLAIN, &mark)], job.label);
    }
    block
}
