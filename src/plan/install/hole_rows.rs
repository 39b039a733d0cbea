//! Holes and the ends that are fed through them in; how each is lined, fed and closed out.
//!
//! Holes come in the order in which ends reach them: one that is passed second is fed second. What goes through finished
//! goes first, while there is room; then contacts without their shells, then bare wire.

use std::collections::BTreeMap;

use super::measure::at_least;
use super::{Job, Said, Subject, Task, Visit};
use crate::harness::{DeviceClass, DeviceId, HoleId};
use crate::plan::termination::Termination;
use crate::trade::installation::clearance_without_grommet;

/// What goes through in which turn.
const TURNS: [(&str, &str); 4] = [
    ("finished", "the ends that pass finished"),
    (
        "contacts",
        "the ends with their contacts on; their shells are put on behind the hole, cavity by cavity",
    ),
    ("bare", "the bare ends; they are terminated behind the hole, as the crimp list says"),
    ("look", "these ends, after a look: it is not known whether they pass finished"),
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

/// The ends that go through a hole: the way it is fed, then back; turn by turn.
type Ends<'a> = [[Vec<&'a Termination>; 4]; 2];

/// Lining and feeding, hole by hole.
pub(super) fn feeding(job: &Job<'_>) -> Vec<Visit> {
    let mut ends: Vec<Ends<'_>> = vec![Ends::default(); job.h.holes.len()];
    for end in job.plan.terminations.of.iter().flatten() {
        for passage in &end.through {
            let ways = ends.get_mut(passage.hole.index());
            let turns = ways.map(|ways| &mut ways[usize::from(passage.back)]);
            if let Some(slot) = turns.and_then(|turns| turns.get_mut(end.when.turn())) {
                slot.push(end);
            }
        }
    }
    let connectors = connectors_in_holes(job);
    let visit = |id: HoleId| visit(job, id, ends.get(id.index()), connectors.get(&id).copied());
    in_order(job).into_iter().map(visit).collect()
}

fn visit(job: &Job<'_>, id: HoleId, ends: Option<&Ends<'_>>, connector: Option<DeviceId>) -> Visit {
    let h = job.h;
    let units = h.header.units;
    let hole = h.hole(id);
    let barrier = h.barrier(hole.barrier);
    let bundle = job.bundles.hole(id);
    let mut details = vec![(
        "what passes",
        format!("{} conductors, {} thick", bundle.conductors, bundle.diameter().show(units)),
    )];
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
    let [there, back] = ends.map_or_else(Default::default, |ways| ways.each_ref().map(of_turns));
    for (i, (ends, (kind, what))) in there.iter().enumerate() {
        let when = match i {
            _ if there.len() == 1 => "Feed through",
            0 => "Feed through first",
            _ => "Then feed through",
        };
        let task = Task::new(format!("feed {kind}"), format!("{when} {what}"));
        tasks.push(task.measure(count(ends)).more(devices(job, ends)).said(Said::Derived));
    }
    // Wires that went through another hole before.
    let out = feed.map_or_else(String::new, |feed| name(feed.from));
    for (ends, (kind, what)) in back {
        let task = Task::new(format!("feed back {kind}"), format!("Feed back into {out} {what}"));
        let more = format!("{}; they have come through another hole before", devices(job, ends));
        tasks.push(task.measure(count(ends)).more(more).said(Said::Derived));
    }
    let barrier = barrier.title.as_deref().unwrap_or(&barrier.name);
    Visit {
        subject: Subject::Hole,
        name: hole.name.clone(),
        title: format!("Hole {}: {barrier}", hole.name),
        details,
        tasks,
    }
}

/// Turns in which anything goes through, with their words.
fn of_turns<'a, 'e>(
    turns: &'e [Vec<&'a Termination>; 4],
) -> Vec<(&'e [&'a Termination], (&'static str, &'static str))> {
    let used = turns.iter().zip(TURNS).filter(|(ends, _)| !ends.is_empty());
    used.map(|(ends, words)| (ends.as_slice(), words)).collect()
}

fn count(ends: &[&Termination]) -> String {
    if ends.len() == 1 { "1 end".to_owned() } else { format!("{} ends", ends.len()) }
}

/// Names of the devices that the ends go to, each once, with the number of its ends where there are several.
fn devices(job: &Job<'_>, ends: &[&Termination]) -> String {
    let mut names: Vec<(&str, usize)> = Vec::new();
    for end in ends {
        let name = job.h.device(job.h.pin(end.pin).device).name.as_str();
        match names.last_mut().filter(|(last, _)| *last == name) {
            Some((_, count)) => *count += 1,
            None => names.push((name, 1)),
        }
    }
    let one = |(name, count): &(&str, usize)| match count {
        1 => (*name).to_owned(),
        count => format!("{name} ({count})"),
    };
    format!("to {}", names.iter().map(one).collect::<Vec<_>>().join(", "))
}

fn lining(job: &Job<'_>, id: HoleId) -> Task {
    let units = job.h.header.units;
    let hole = job.h.hole(id);
    match hole.lining.map(|part| (job.library.linings.name(part), job.library.linings.get(part))) {
        Some((name, part)) => {
            Task::new("lining", format!("Line the hole: {}; no bare edge is left", part.title))
                .measure(format!("hole of {}", part.hole.show(units)))
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
            details: Vec::new(),
            tasks: vec![task],
        }
    };
    in_order(job).into_iter().map(visit).collect()
}
