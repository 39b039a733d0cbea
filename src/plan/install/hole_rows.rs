//! Holes and the ends that are fed through them in; how each is lined, fed and closed out.
//!
//! Holes come in the order in which ends reach them: one that is passed second is fed second. What goes through a hole
//! goes in the order and with the numbers of the drawing of the holes (`plan::feed_order`).

use std::collections::BTreeMap;

use super::measure::at_least;
use super::{Job, Said, Subject, Task, Visit};
use crate::harness::{ConductorId, DeviceClass, DeviceId, HoleId};
use crate::plan::feed_order::FedStrand;
use crate::spec::words::Hazard;
use crate::trade::installation::{Requirement, clearance_without_grommet, requirement};

/// What goes through in which turn.
const TURNS: [(&str, &str); 4] = [
    ("finished", "the pre-terminated ends"),
    (
        "contacts",
        "the ends with their contacts on; their shells are put on at the far side, cavity by cavity",
    ),
    ("bare", "the bare ends; they are terminated at the far side, as the crimp list says"),
    ("look", "these ends, after a look: it is not known whether they pass with their terminals on"),
];

/// Holes that something passes, in the order in which ends reach them.
fn in_order(job: &Job<'_>) -> Vec<HoleId> {
    let mut depth = vec![0_usize; job.h.holes.len()];
    for end in job.plan.terminations.of.iter().flatten() {
        for (i, passage) in end.through.iter().enumerate() {
            if let Some(known) = depth.get_mut(passage.hole.index()) {
                *known = (*known).max(i);
            }
        }
    }
    let used = |hole: &HoleId| job.routing.in_hole.get(hole.index()).is_some_and(|inside| !inside.is_empty());
    let mut holes: Vec<HoleId> = (0..job.h.holes.len()).map(HoleId::at).filter(used).collect();
    holes.sort_by_key(|hole| (depth.get(hole.index()).copied(), *hole));
    holes
}

/// Lining and feeding, hole by hole.
pub(super) fn feeding(job: &Job<'_>) -> Vec<Visit> {
    let connectors = connectors_in_holes(job);
    let visit = |id: HoleId| visit(job, id, connectors.get(&id).copied());
    in_order(job).into_iter().map(visit).collect()
}

fn visit(job: &Job<'_>, id: HoleId, connector: Option<DeviceId>) -> Visit {
    let h = job.h;
    let hole = h.hole(id);
    let barrier = h.barrier(hole.barrier);
    let mut details = vec![("what passes", passes(job, id))];
    let name = |zone| h.zone(zone).title.as_deref().unwrap_or(&h.zone(zone).name).to_owned();
    let feed = job.plan.terminations.feeds.get(id.index()).copied().flatten();
    if let Some(feed) = feed.filter(|feed| feed.ends > 0) {
        details.push(("feed", format!("from {} towards {}", name(feed.from), name(feed.towards))));
    }
    if let Some(feed) = feed.filter(|feed| feed.back > 0) {
        details.push(("back", format!("from {} towards {}", name(feed.towards), name(feed.from))));
    }
    let mut tasks = vec![lining(job, id)];
    tasks.extend(connector.and_then(|connector| mount(job, connector)));
    let fed = job.plan.fed.get(id.index()).map_or(&[][..], Vec::as_slice);
    let groups: Vec<&[FedStrand]> = fed.chunk_by(|a, b| (a.back, a.turn) == (b.back, b.turn)).collect();
    let there = groups.iter().filter(|group| group.iter().any(|strand| !strand.back)).count();
    if there > 0 {
        let into = feed.map_or_else(String::new, |feed| name(feed.towards));
        let work = format!("See that nothing is tied, clamped or sleeved yet that goes into {into} here");
        tasks.push(Task::new("loose", work).more("it is, after feeding").said(Said::Derived));
    }
    let out = feed.map_or_else(String::new, |feed| name(feed.from));
    for (i, group) in groups.into_iter().enumerate() {
        let Some(first) = group.first() else { continue };
        let Some((kind, what)) = TURNS.get(first.turn) else { continue };
        let (kind, work) = match first.back {
            // Wires that went through another hole before.
            true => (format!("feed back {kind}"), format!("Feed back into {out} {what}")),
            false if there == 1 => (format!("feed {kind}"), format!("Feed through {what}")),
            false if i == 0 => (format!("feed {kind}"), format!("Feed through first {what}")),
            false => (format!("feed {kind}"), format!("Then feed through {what}")),
        };
        let before = if first.back { "; they have come through another hole before" } else { "" };
        let more = format!("numbers of the drawing of the holes: {}{before}", to_devices(job, id, group));
        tasks.push(Task::new(kind, work).measure(count(group)).more(more).said(Said::Derived));
    }
    let barrier = barrier.title.as_deref().unwrap_or(&barrier.name);
    Visit {
        subject: Subject::Hole,
        name: hole.name.clone(),
        title: format!("Hole {}: {barrier}", hole.name),
        cautions: fireproof(job, id).into_iter().collect(),
        details,
        tasks,
    }
}

/// `36 conductors, 3 of other harnesses among them; 9.85 mm thick, fill 22.2 % of 40 %`.
fn passes(job: &Job<'_>, id: HoleId) -> String {
    let (units, hole, room) = (job.h.header.units, job.h.hole(id), job.bundles.room(job.h, id));
    let noun = if room.conductors == 1 { "conductor" } else { "conductors" };
    let others = match hole.others {
        0 => String::new(),
        n => format!(", {n} of other harnesses among them"),
    };
    let most =
        hole.max_fill.map(|most| format!(" of {} allowed", most.value.show(units))).unwrap_or_default();
    let fill = room.fill_words(units).map(|fill| format!(", fill {fill}{most}")).unwrap_or_default();
    format!("{} {noun}{others}; {} thick{fill}", room.conductors, room.diameter_words(units))
}

/// `9 ends, 4 to 12`.
fn count(group: &[FedStrand]) -> String {
    let count: usize = group.iter().map(|strand| strand.conductors.len()).sum();
    let first = group.first().map_or(1, |strand| strand.number);
    match count {
        1 => format!("1 end, no. {first}"),
        2 => format!("2 ends, nos. {first}, {}", first + 1),
        n => format!("{n} ends, nos. {first} to {}", first + n - 1),
    }
}

/// Names of the devices that the ends go to, with their numbers: `1 to 3 to ENG, 4 to OILT`.
fn to_devices(job: &Job<'_>, hole: HoleId, group: &[FedStrand]) -> String {
    let h = job.h;
    let device = |id: ConductorId| -> Option<&str> {
        let ends = job.plan.terminations.of.get(id.index())?;
        let end = ends.iter().find(|end| end.through.iter().any(|passage| passage.hole == hole))?;
        Some(h.device(h.pin(end.pin).device).name.as_str())
    };
    // First and last number, and the device.
    let mut ranges: Vec<([usize; 2], &str)> = Vec::new();
    for strand in group {
        for (i, id) in strand.conductors.iter().enumerate() {
            let (number, name) = (strand.number + i, device(*id).unwrap_or_default());
            match ranges.last_mut().filter(|(_, last)| *last == name) {
                Some(([_, to], _)) => *to = number,
                None => ranges.push(([number, number], name)),
            }
        }
    }
    let one = |([from, to], name): &([usize; 2], &str)| match to - from {
        0 => format!("{from} to {name}"),
        1 => format!("{from}, {to} to {name}"),
        _ => format!("{from}–{to} to {name}"),
    };
    ranges.iter().map(one).collect::<Vec<_>>().join("; ")
}

fn lining(job: &Job<'_>, id: HoleId) -> Task {
    let units = job.h.header.units;
    let hole = job.h.hole(id);
    match hole.lining.map(|part| (job.library.linings.name(part), job.library.linings.get(part))) {
        Some((name, part)) => {
            Task::new("lining", format!("Line the hole: {}; no bare edge is left", part.title))
                .measure(format!("hole of {}", part.hole.show_both(units)))
                .more(name)
                .said(Said::Given(name.to_owned()))
                .by(clearance_without_grommet().source())
        }
        None => Task::new(
            "lining",
            "No lining is named: fit a grommet, or clamp the wires so that they stay clear of the edge",
        )
        .measure(format!("at least {} clear", at_least(clearance_without_grommet(), units)))
        .by(clearance_without_grommet().source()),
    }
}

/// In-line connectors that sit in holes, by hole.
fn connectors_in_holes(job: &Job<'_>) -> BTreeMap<HoleId, DeviceId> {
    let h = job.h;
    let places =
        job.routing.place_of.iter().enumerate().filter_map(|(i, at)| Some((DeviceId::at(i), (*at)?)));
    let inside = places.filter(|(device, _)| matches!(h.device(*device).class, DeviceClass::InLine { .. }));
    inside.filter_map(|(device, place)| Some((h.place(place).hole?, device))).collect()
}

fn mount(job: &Job<'_>, id: DeviceId) -> Option<Task> {
    let device = job.h.device(id);
    let DeviceClass::InLine { plug_faces, .. } = device.class else { return None };
    let task = Task::new("connector", format!("Mount connector {} in the hole", device.name));
    let faces = format!("the plug's wires run towards {}", job.h.place(plug_faces).name);
    Some(task.more(faces).said(Said::Given("in this hole".to_owned())))
}

/// What a wall must stand that has an exhaust on one side only: it is the one that keeps a fire out.
fn fireproof(job: &Job<'_>, id: HoleId) -> Option<String> {
    let h = job.h;
    let sides = h.barrier(h.hole(id).barrier).between;
    let [one, other] = sides.map(|zone| h.zone(zone).hazards.contains(&Hazard::Exhaust));
    let asked = requirement(Requirement::FireproofOpening);
    (one != other).then(|| {
        format!(
            "if this wall is a firewall, {}, as the data of the machine ask for: a silicone lining or a fire-retardant sealant \
             alone is not fireproof ({})",
            asked.value,
            asked.source()
        )
    })
}

/// What closes each hole, when all is laid and tested.
pub(super) fn closing(job: &Job<'_>) -> Vec<Visit> {
    let visit = |id: HoleId| {
        let hole = job.h.hole(id);
        // What closes it is text, also where it says that nothing does: no hole leaves the sheet for a word.
        let task = match &hole.seal {
            Some(seal) => {
                Task::new("seal", format!("Close out the hole; its seal, as the spec says: {seal}"))
                    .more("where the barrier keeps fire or fumes out, no opening is left")
                    .said(Said::Given(seal.clone()))
            }
            None => Task::new("seal", "Close the hole as its barrier asks: what closes it is not named"),
        };
        Visit {
            subject: Subject::Closing,
            name: hole.name.clone(),
            title: format!("Hole {}, when all is laid and rung out", hole.name),
            cautions: fireproof(job, id).into_iter().collect(),
            details: Vec::new(),
            tasks: vec![task],
        }
    };
    in_order(job).into_iter().map(visit).collect()
}
