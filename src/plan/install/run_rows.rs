//! Runs in; how each is covered, bent, clamped and kept apart out.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet};

use super::measure::{above, at_least, at_most};
use super::{Job, Said, Subject, Task, Visit, clamp_rows};
use crate::graph::{LeastBend, LeastBends, bent_places};
use crate::harness::{ConductorId, Located, Run, RunId};
use crate::parts::model::{CoveringUse, SundryUse};
use crate::plan::clamping::cover_of;
use crate::quantity::{Length, Temperature, Units};
use crate::spec::words::Hazard;
use crate::trade::installation::{
    Requirement, clearance_from_control_cables, least_separation_from_fluid, requirement, sag,
    separation_from_fluid,
};

/// Runs that hold something, zone by zone in the order of the spec.
pub(super) fn laying(job: &Job<'_>) -> Vec<Visit> {
    let splices = clamp_rows::splices_at_places(job);
    let held = laid(job).into_iter().map(|id| visit(job, id, &splices));
    let mut all: Vec<(RunId, Visit)> = laid(job).into_iter().zip(held).collect();
    all.extend(leads_only(job).into_iter().map(|id| (id, lead_visit(job, id))));
    all.sort_by_key(|(id, _)| (job.h.run(*id).zone, *id));
    all.into_iter().map(|(_, visit)| visit).collect()
}

/// Covered runs in which no wire of the harness lies: leads that devices bring are in the covering.
fn leads_only(job: &Job<'_>) -> Vec<RunId> {
    let empty = |id: &RunId| job.routing.in_run.get(id.index()).is_none_or(Vec::is_empty);
    let lead = |id: &RunId| job.h.run(*id).cover.is_some() && !job.bundles.run(*id).leads.is_empty();
    (0..job.h.runs.len()).map(RunId::at).filter(|id| empty(id) && lead(id)).collect()
}

/// The covering goes over the lead of a device.
fn lead_visit(job: &Job<'_>, id: RunId) -> Visit {
    let h = job.h;
    let run = h.run(id);
    let brings = job.bundles.run(id).leads.iter();
    let names: Vec<&str> = brings.map(|device| h.device(*device).name.as_str()).collect();
    let mut tasks = cover(job, id);
    let work = format!("Lay the lead of {} in its covering and clamp it at both ends", names.join(", "));
    let more = "no wire of this harness lies here: choose the clamps by what is laid";
    tasks.push(Task::new("lead", work).more(more).said(Said::Derived));
    tasks.extend(run.beside.iter().filter_map(|hazard| apart(job, run, *hazard)));
    at_run(job, id, None, tasks)
}

/// What is done at a run; with what lies in it, where that is of this harness.
fn at_run(job: &Job<'_>, id: RunId, bundle: Option<String>, tasks: Vec<Task>) -> Visit {
    let h = job.h;
    let run = h.run(id);
    let zone = h.zone(run.zone);
    let zone = zone.title.as_deref().unwrap_or(&zone.name);
    let [from, to] = run.ends.map(|place| h.place(place).title.as_deref().unwrap_or(&h.place(place).name));
    let ends = ("from, to", format!("{from}; {to}"));
    Visit {
        subject: Subject::Run,
        name: run.name.clone(),
        title: format!("Run {}: {zone}", run.name),
        cautions: too_hot(job, id).into_iter().collect(),
        details: std::iter::once(ends).chain(bundle.map(|bundle| ("bundle", bundle))).collect(),
        tasks,
    }
}

fn counted(conductors: usize) -> String {
    if conductors == 1 { "1 conductor".to_owned() } else { format!("{conductors} conductors") }
}

/// A covering beside a surface that is hotter than it may get.
fn too_hot(job: &Job<'_>, id: RunId) -> Option<String> {
    let units = job.h.header.units;
    let (surface, part) = (job.h.run(id).surface?, cover_of(job.h, job.library, id)?);
    let rated = part.rated.filter(|rated| *rated < surface.value)?;
    Some(format!(
        "the covering is rated {}, the surface beside it has {}: it must not touch it; ask for a distance, a shield or a \
         hotter covering",
        rated.show(units),
        surface.value.show(units)
    ))
}

/// The same runs by themselves.
pub(super) fn laid(job: &Job<'_>) -> Vec<RunId> {
    let mut runs: Vec<RunId> = (0..job.h.runs.len()).map(RunId::at).collect();
    runs.retain(|id| job.routing.in_run.get(id.index()).is_some_and(|inside| !inside.is_empty()));
    runs.sort_by_key(|id| job.h.run(*id).zone);
    runs
}

fn visit(job: &Job<'_>, id: RunId, splices: &clamp_rows::Splices<'_>) -> Visit {
    let h = job.h;
    let units = h.header.units;
    let run = h.run(id);
    let bundle = job.bundles.run(id);
    let inside = job.routing.in_run.get(id.index()).map_or(&[][..], Vec::as_slice);
    let lies = format!(
        "{}, {} thick, over {}",
        counted(bundle.conductors),
        bundle.diameter().show(units),
        run.length.value.show(units)
    );
    let mut tasks = Vec::new();
    tasks.extend(cover(job, id));
    tasks.extend(run.bend.and_then(|declared| bend(job, declared, inside)));
    tasks.push(clamp_rows::clamps(job, id, splices));
    tasks.extend(run.slack.map(|slack| {
        let (measure, said) =
            (format!("at most {}", at_most(sag(), units)), against(job, slack, slack.value <= sag().value));
        Task::new("slack", "Push the bundle by hand midway between two clamps")
            .measure(measure)
            .said(said)
            .by(sag().source())
    }));
    tasks.extend(run.beside.iter().filter_map(|hazard| apart(job, run, *hazard)));
    at_run(job, id, Some(lies), tasks)
}

/// A declared length as it stands against its limit.
pub(super) fn against(job: &Job<'_>, declared: Located<Length>, keeps: bool) -> Said {
    let value = declared.value.show(job.h.header.units);
    if keeps { Said::Kept(value) } else { Said::Broken(value) }
}

fn cover(job: &Job<'_>, id: RunId) -> Vec<Task> {
    let run = job.h.run(id);
    let units = job.h.header.units;
    let Some(cover) = &run.cover else { return Vec::new() };
    let Some((_, part)) = job.library.coverings.look_up(&cover.value) else { return Vec::new() };
    let mut tasks = vec![
        Task::new("cover", "Cover the run before it is clamped")
            .more(format!("{}: {}, {}", cover.value, part.title, rated(part.rated, units)))
            .measure(format!("{} long", run.length.value.show(units)))
            .said(Said::Given(cover.value.clone())),
    ];
    if part.use_for == CoveringUse::Fire {
        let band = job.library.sundry_for(SundryUse::SleeveClamp, job.covered(id));
        let with = band.map_or("bands that go over it", |id| job.library.sundries.get(id).title.as_str());
        let task = Task::new("cover ends", "Close both ends of the sleeve").measure("2 bands");
        tasks.push(task.more(with).said(Said::Derived));
    }
    if job.h.zone(run.zone).hazards.contains(&Hazard::Water) {
        let drain = requirement(Requirement::DrainHole);
        tasks
            .push(Task::new("drain", "Let water out of the covering at its lowest point").by(drain.source()));
    }
    tasks
}

fn rated(rated: Option<Temperature>, units: Units) -> String {
    rated.map_or_else(
        || "its highest temperature is not known".to_owned(),
        |r| format!("rated {}", r.show(units)),
    )
}

/// A bend that the spec declares. How tightly a run may be bent that says nothing stands in [`every_run`].
fn bend(job: &Job<'_>, declared: Located<Length>, inside: &[ConductorId]) -> Option<Task> {
    let h = job.h;
    let units = h.header.units;
    let least = LeastBends::of(h, job.library, inside)?.to_keep();
    let radius = above(least.radius.value, units).show(units);
    let more = format!("{} × {} of {}", least.times(), least.outside.show(units), least.strand.name(h));
    let said = against(job, declared, declared.value >= least.radius.value);
    let task = Task::new("bend", "Bend the bundle no tighter");
    Some(task.measure(format!("radius {radius} or more")).more(more).said(said).by(least.radius.source()))
}

/// What holds for every run, said once: how it is clamped and tied, and how tightly it may be bent.
pub(super) fn every_run(job: &Job<'_>) -> Option<Visit> {
    let mut tasks = clamp_rows::every_run(job);
    tasks.extend(bends(job));
    tasks.extend(keep_off(job));
    (!tasks.is_empty()).then(|| Visit {
        subject: Subject::EveryRun,
        name: String::new(),
        title: "Every run, as it is laid".to_owned(),
        cautions: Vec::new(),
        details: Vec::new(),
        tasks,
    })
}

/// What circuits are kept off, on runs that do not say that they pass it: hazard by hazard.
fn keep_off(job: &Job<'_>) -> Vec<Task> {
    let h = job.h;
    let mut asked: BTreeMap<&'static str, (BTreeSet<&str>, BTreeSet<RunId>)> = BTreeMap::new();
    for id in h.conductor_ids() {
        let circuit = h.circuit(h.conductor(id).circuit);
        let Some(path) = job.routing.path_of(h, id) else { continue };
        for hazard in &circuit.keep_off {
            let runs = path.runs.iter().filter(|run| !h.run(**run).beside.contains(hazard));
            let (circuits, all) = asked.entry(lines(*hazard)).or_default();
            circuits.insert(&circuit.name);
            all.extend(runs);
        }
    }
    let task = |(what, (circuits, runs)): (&'static str, (BTreeSet<&str>, BTreeSet<RunId>))| {
        let names = |all: Vec<&str>| all.join(", ");
        let runs = names(runs.iter().map(|run| h.run(*run).name.as_str()).collect());
        Task::new(format!("keep off {what}"), format!("Keep these runs off {what}: {runs}"))
            .measure("as far as can be")
            .more(format!(
                "for {}; where they must meet, cross at a right angle",
                names(circuits.into_iter().collect())
            ))
            .said(Said::Derived)
    };
    asked.into_iter().filter(|(_, (_, runs))| !runs.is_empty()).map(task).collect()
}

/// What of a hazard a run is kept off.
fn lines(hazard: Hazard) -> &'static str {
    match hazard {
        Hazard::Ignition => "ignition leads",
        Hazard::Charging => "charging and starter cables",
        Hazard::Exhaust => "the exhaust",
        Hazard::MovingParts => "what moves",
        Hazard::Water => "standing water and spray",
        Hazard::Fuel => "lines with fuel",
        Hazard::Oil => "lines with oil",
        Hazard::Oxygen => "lines with oxygen",
    }
}

/// The least radius of every run that declares none, each run once.
fn bends(job: &Job<'_>) -> Vec<Task> {
    let h = job.h;
    let units = h.header.units;
    let mut by_radius: BTreeMap<Reverse<Length>, (LeastBend, Vec<&str>)> = BTreeMap::new();
    for id in laid(job) {
        let inside = job.routing.in_run.get(id.index()).map_or(&[][..], Vec::as_slice);
        if let Some(least) = LeastBends::of(h, job.library, inside).filter(|_| h.run(id).bend.is_none()) {
            let least = least.to_keep();
            let radius = Reverse(above(least.radius.value, units));
            by_radius.entry(radius).or_insert((least, Vec::new())).1.push(&h.run(id).name);
        }
    }
    let mut tasks = Vec::new();
    for (Reverse(radius), (least, runs)) in &by_radius {
        let radius = radius.show(units);
        let more =
            format!("{} × {}, as of {}", least.times(), least.outside.show(units), least.strand.name(h));
        let work = format!("Minimum bend radius of {}", runs.join(", "));
        let task = Task::new(format!("bend {radius}"), work).measure(format!("radius {radius} or more"));
        tasks.push(task.more(more).by(least.radius.source()));
    }
    tasks
}

/// Bends that the spec declares at places.
pub(super) fn bends_at_places(job: &Job<'_>) -> Vec<Visit> {
    let bent = bent_places(job.h, job.routing).into_iter();
    bent.map(|(id, inside)| {
        let place = job.h.place(id);
        Visit {
            subject: Subject::Place,
            name: place.name.clone(),
            title: format!("Place {}", place.title.as_deref().unwrap_or(&place.name)),
            cautions: Vec::new(),
            details: Vec::new(),
            tasks: place.bend.and_then(|declared| bend(job, declared, &inside)).into_iter().collect(),
        }
    })
    .collect()
}

fn apart(job: &Job<'_>, run: &Run, hazard: Hazard) -> Option<Task> {
    let units = job.h.header.units;
    let declared = run.apart.iter().find(|(other, _)| *other == hazard).map(|(_, length)| *length);
    let kind = format!("apart {}", hazard.words());
    let keep_off = |what: &str| format!("Keep the run off {what}");
    let given = || declared.map_or(Said::Nothing, |d| Said::Given(d.value.show(units)));
    match hazard {
        Hazard::Fuel | Hazard::Oil | Hazard::Oxygen => {
            let (full, reduced) = (separation_from_fluid(), least_separation_from_fluid());
            let least = if run.rigid { reduced } else { full };
            let more = if run.rigid {
                "clamped closely and rigidly: a broken wire or a lost clamp touches nothing".to_owned()
            } else {
                format!(
                    "less, down to {}, only with close clamps on rigid supports",
                    at_least(reduced, units)
                )
            };
            let said = declared.map_or(Said::Nothing, |d| against(job, d, d.value >= least.value));
            Some(
                Task::new(
                    kind,
                    format!("{}, and above it", keep_off(&format!("the line with {}", hazard.words()))),
                )
                .measure(format!("at least {}", at_least(least, units)))
                .more(more)
                .said(said)
                .by(least.source()),
            )
        }
        Hazard::MovingParts => {
            let limit = clearance_from_control_cables();
            let said = declared.map_or(Said::Nothing, |d| against(job, d, d.value >= limit.value));
            Some(
                Task::new(kind, keep_off("what moves"))
                    .measure(format!("at least {}", at_least(limit, units)))
                    .more("more commonly 3 in, unless there is a guard")
                    .said(said)
                    .by(limit.source()),
            )
        }
        Hazard::Exhaust => Some(
            Task::new(kind, keep_off("the exhaust"))
                .measure(run.surface.map_or_else(String::new, |s| format!("surface {}", s.value.show(units))))
                .said(given()),
        ),
        Hazard::Ignition | Hazard::Charging => Some(
            Task::new(kind, format!("{}; cross them at a right angle", keep_off(lines(hazard))))
                .said(given()),
        ),
        Hazard::Water => Some(Task::new(kind, keep_off("standing water and spray")).said(given())),
    }
}
