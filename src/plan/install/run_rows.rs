//! Runs in; how each is covered, kept apart, bent and clamped out.

use super::measure::{above, at_least, at_most, below};
use super::{Job, Said, Subject, Task, Visit};
use crate::graph::{LeastBends, conductors_at_place};
use crate::harness::{ConductorId, Located, PlaceId, Run, RunId};
use crate::parts::model::{CoveringUse, SundryUse};
use crate::quantity::Length;
use crate::spec::words::Hazard;
use crate::trade::installation::{
    Requirement, clearance_from_control_cables, least_separation_from_fluid, requirement, sag,
    separation_from_fluid, support_spacing, ties_beyond,
};

/// Runs that hold something, zone by zone in the order of the spec.
pub(super) fn laying(job: &Job<'_>) -> Vec<Visit> {
    let mut runs: Vec<RunId> = (0..job.h.runs.len()).map(RunId::at).collect();
    runs.retain(|id| job.routing.in_run.get(id.index()).is_some_and(|inside| !inside.is_empty()));
    runs.sort_by_key(|id| job.h.run(*id).zone);
    runs.into_iter().map(|id| visit(job, id)).collect()
}

fn visit(job: &Job<'_>, id: RunId) -> Visit {
    let h = job.h;
    let units = h.header.units;
    let run = h.run(id);
    let bundle = job.bundles.run(id);
    let inside = job.routing.in_run.get(id.index()).map_or(&[][..], Vec::as_slice);
    let [from, to] = run.ends.map(|place| h.place(place).title.as_deref().unwrap_or(&h.place(place).name));
    let details = vec![
        ("from, to", format!("{from}; {to}")),
        (
            "bundle",
            format!(
                "{} conductors, {} thick, over {}",
                bundle.conductors,
                bundle.diameter().show(units),
                run.length.value.show(units)
            ),
        ),
    ];
    let mut tasks = Vec::new();
    tasks.extend(cover(job, id));
    tasks.extend(bend(job, run.bend, inside));
    tasks.push(clamps(job, id));
    tasks.extend(ties(job, run));
    tasks.extend(run.slack.map(|slack| {
        let (measure, said) =
            (format!("at most {}", at_most(sag(), units)), against(job, slack, slack.value <= sag().value));
        Task::new("slack", "Push the bundle by hand midway between two clamps")
            .measure(measure)
            .said(said)
            .by(sag().source())
    }));
    tasks.extend(run.beside.iter().filter_map(|hazard| apart(job, run, *hazard)));
    let zone = h.zone(run.zone);
    let zone = zone.title.as_deref().unwrap_or(&zone.name);
    Visit {
        subject: Subject::Run,
        name: run.name.clone(),
        title: format!("Run {}: {zone}", run.name),
        details,
        tasks,
    }
}

/// A declared length as it stands against its limit.
fn against(job: &Job<'_>, declared: Located<Length>, keeps: bool) -> Said {
    let value = declared.value.show(job.h.header.units);
    if keeps { Said::Kept(value) } else { Said::Broken(value) }
}

fn cover(job: &Job<'_>, id: RunId) -> Vec<Task> {
    let run = job.h.run(id);
    let units = job.h.header.units;
    let Some(cover) = &run.cover else { return Vec::new() };
    let Some((_, part)) = job.library.coverings.look_up(&cover.value) else { return Vec::new() };
    let mut tasks = vec![
        Task::new("cover", format!("Put on {}, before it is clamped", part.title))
            .measure(format!("{} long", run.length.value.show(units)))
            .said(Said::Given(cover.value.clone())),
    ];
    if part.use_for == CoveringUse::Fire {
        let band = job.library.sundry_for(SundryUse::SleeveClamp, job.covered(id));
        let with = band.map_or_else(
            || "a band that it takes".to_owned(),
            |id| job.library.sundries.get(id).title.clone(),
        );
        tasks.push(Task::new("cover ends", format!("Close both ends of the sleeve: {with}")).measure("2"));
    }
    if job.h.zone(run.zone).hazards.contains(&Hazard::Water) {
        let drain = requirement(Requirement::DrainHole);
        tasks
            .push(Task::new("drain", "Let water out of the covering at its lowest point").by(drain.source()));
    }
    tasks
}

fn bend(job: &Job<'_>, declared: Option<Located<Length>>, inside: &[ConductorId]) -> Option<Task> {
    let h = job.h;
    let units = h.header.units;
    let least = LeastBends::of(h, job.library, inside)?.to_keep();
    let radius = above(least.radius.value, units).show(units);
    let more = format!("{} × {} of {}", least.times(), least.outside.show(units), least.strand.name(h));
    let said = declared.map_or(Said::Nothing, |bend| against(job, bend, bend.value >= least.radius.value));
    let task = Task::new("bend", "Bend the bundle no tighter; the maker of the wire may ask for more");
    Some(task.measure(format!("radius {radius} or more")).more(more).said(said).by(least.radius.source()))
}

/// Bends that the spec declares at places.
pub(super) fn bends_at_places(job: &Job<'_>) -> Vec<Visit> {
    let places = job.h.places.iter().enumerate().filter(|(_, place)| place.bend.is_some());
    places
        .map(|(i, place)| {
            let inside = conductors_at_place(job.h, job.routing, PlaceId::at(i));
            Visit {
                subject: Subject::Place,
                name: place.name.clone(),
                title: format!("Place {}", place.title.as_deref().unwrap_or(&place.name)),
                details: Vec::new(),
                tasks: bend(job, place.bend, &inside).into_iter().collect(),
            }
        })
        .collect()
}

impl Job<'_> {
    /// Diameter of what lies on a run, covering included.
    fn covered(&self, id: RunId) -> Length {
        let bundle = self.bundles.run(id);
        let cover =
            self.h.run(id).cover.as_ref().and_then(|cover| self.library.coverings.look_up(&cover.value));
        cover.map_or_else(|| bundle.diameter(), |(_, part)| bundle.covered_diameter(part))
    }
}

fn clamps(job: &Job<'_>, id: RunId) -> Task {
    let run = job.h.run(id);
    let units = job.h.header.units;
    let limit = support_spacing();
    let spacing = run.clamps.map_or(limit.value, |declared| declared.value);
    let between = clamps_between(run.length.value, spacing);
    let apart = match run.clamps {
        Some(declared) => declared.value.show(units),
        None => at_most(limit, units),
    };
    let points = match between {
        0 => "at both ends".to_owned(),
        1 => "at both ends and once between".to_owned(),
        n => format!("at both ends and {n} times between"),
    };
    let thick = job.covered(id);
    let clamp = match job.library.sundry_for(SundryUse::Clamp, thick) {
        Some(id) => format!(
            "{}, {} times; the bundle is {} thick, or a little more",
            job.library.sundries.name(id),
            between + 2,
            thick.show(units)
        ),
        None => format!(
            "no clamp of the library closes on {}: build it up with tape, or tie it",
            thick.show(units)
        ),
    };
    let said = run.clamps.map_or(Said::Nothing, |declared| {
        let apart = declared.value.min(run.length.value);
        against(job, declared, apart <= limit.value)
    });
    Task::new("clamps", format!("Clamp the bundle {points}"))
        .measure(format!("at most {apart} apart"))
        .more(clamp)
        .said(said)
        .by(limit.source())
}

/// Clamps between those at the ends of a run, so that no two are further apart than `spacing`.
pub(in crate::plan) fn clamps_between(length: Length, spacing: Length) -> i64 {
    let (length, spacing) = (length.um(), spacing.um().max(1));
    ((length + spacing - 1) / spacing - 1).max(0)
}

/// Where clamps are far apart the bundle is tied between them.
fn ties(job: &Job<'_>, run: &Run) -> Option<Task> {
    let units = job.h.header.units;
    let limit = ties_beyond();
    let spacing = run.clamps.map_or(support_spacing().value, |declared| declared.value);
    let apart = spacing.min(run.length.value);
    // A covering holds the bundle together.
    (apart > limit.value && run.cover.is_none()).then(|| {
        Task::new("ties", "Tie the bundle between the clamps")
            .measure(format!("up to {} apart", below(apart, units).show(units)))
            .more(format!("needed where they are more than {} apart", at_most(limit, units)))
            .said(Said::Derived)
            .by(limit.source())
    })
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
        Hazard::Ignition | Hazard::Charging => {
            let what =
                if hazard == Hazard::Ignition { "ignition leads" } else { "charging and starter cables" };
            Some(Task::new(kind, format!("{}; cross them at a right angle", keep_off(what))).said(given()))
        }
        Hazard::Water => Some(Task::new(kind, keep_off("standing water and spray")).said(given())),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_two_clamps_are_further_apart_than_allowed() {
        let mm = Length::from_mm;
        for (length, spacing, count) in
            [(200.0, 609.6, 0), (609.6, 609.6, 0), (609.7, 609.6, 1), (1219.2, 609.6, 1), (1300.0, 300.0, 4)]
        {
            assert_eq!(clamps_between(mm(length), mm(spacing)), count, "{length} by {spacing}");
            assert!(length / (count as f64 + 1.0) <= spacing);
        }
        assert_eq!(clamps_between(mm(100.0), Length::ZERO), 99_999);
    }
}
