//! Runs in; how each is clamped and tied, and what clamps to have at hand, out. The numbers are those of
//! [`crate::plan::clamping`].

use std::collections::BTreeMap;

use super::measure::at_most;
use super::run_rows::{against, laid};
use super::safe_rows;
use super::{Job, Said, Subject, Task, Visit};
use crate::harness::{Run, RunId};
use crate::parts::library::SundryPartId;
use crate::parts::model::SundryUse;
use crate::plan::clamping::{self, Clamping, clamp_spacing, clamps_between};
use crate::quantity::Length;
use crate::trade::installation::{lacing_pitch, single_cord_below, support_spacing, ties_beyond};

impl Job<'_> {
    /// Diameter of what lies on a run, covering included.
    pub(super) fn covered(&self, id: RunId) -> Length {
        clamping::covered(self.h, self.library, self.bundles, id)
    }
}

/// The clamps of one run. What holds for all runs is said once, in [`every_run`].
pub(super) fn clamps(job: &Job<'_>, id: RunId) -> Task {
    let run = job.h.run(id);
    let units = job.h.header.units;
    let limit = support_spacing();
    let between = clamps_between(run.length.value, clamp_spacing(run));
    let where_to = match between {
        0 => "at both ends".to_owned(),
        1 => "at both ends and once between".to_owned(),
        n => format!("at both ends and {n} times between"),
    };
    let thick = job.covered(id);
    let tied = match is_tied(run) {
        true if thick >= single_cord_below().value => "; tie it between them with doubled cord",
        true => "; tie it between them",
        false => "",
    };
    let clamp = match job.library.sundry_for(SundryUse::Clamp, thick) {
        Some(id) => format!(
            "{}; the bundle is {} thick, or a little more",
            job.library.sundries.name(id),
            thick.show(units)
        ),
        None => format!(
            "no clamp of the library closes on {}: build it up with tape, or tie it",
            thick.show(units)
        ),
    };
    let said = run.clamps.map_or(Said::Everywhere, |declared| {
        let apart = declared.value.min(run.length.value);
        against(job, declared, apart <= limit.value)
    });
    let task = Task::new("clamps", format!("Lay the run and clamp it {where_to}{tied}"));
    let keeps = run.clamps.filter(|declared| declared.value <= limit.value && between > 0);
    let measure = match (keeps, run.clamps) {
        (Some(declared), _) => format!("at most {} apart", declared.value.show(units)),
        // What does not keep to the limit is not passed on.
        (None, Some(declared)) if declared.value > limit.value => {
            format!("at most {} apart", at_most(limit, units))
        }
        _ => String::new(),
    };
    task.measure(measure).more(clamp).said(said).by(limit.source())
}

/// Where clamps are far apart the bundle is tied between them; a covering holds it together.
fn is_tied(run: &Run) -> bool {
    clamp_spacing(run).min(run.length.value) > ties_beyond().value && run.cover.is_none()
}

/// How every run is clamped and tied: said once, before the first of them.
pub(super) fn every_run(job: &Job<'_>) -> Vec<Task> {
    let units = job.h.header.units;
    let runs = laid(job);
    if runs.is_empty() {
        return Vec::new();
    }
    let (limit, tied) = (support_spacing(), ties_beyond());
    let (single, pitch) = (single_cord_below(), lacing_pitch());
    let mut tasks = vec![
        Task::new("clamps", "Clamp every run at both ends, and between as often as its own line says")
            .measure(format!("at most {} apart", at_most(limit, units)))
            .more("one clamp serves where two runs of one size meet")
            .by(limit.source()),
    ];
    if runs.iter().any(|id| is_tied(job.h.run(*id))) {
        tasks.push(
            Task::new("ties", "Tie the bundle wherever two clamps are farther apart than this")
                .measure(at_most(tied, units))
                .more(format!(
                    "not runs in a covering; single cord below {}, doubled from there on ({}); lace continuously, at \
                     most {} a turn, inside panels and junction boxes only",
                    single.value.show(units),
                    single.place,
                    at_most(pitch, units)
                ))
                .by(tied.source()),
        );
    }
    tasks
}

/// Clamps and bands by size, to have at hand before the work starts.
pub(super) fn at_hand(job: &Job<'_>) -> Visit {
    let clamping = Clamping::of(job.h, job.library, job.routing, job.bundles);
    let mut count: BTreeMap<SundryPartId, usize> = BTreeMap::new();
    let mut without = 0;
    for (clamp, [all, _]) in clamping.totals() {
        match clamp {
            Some(clamp) => *count.entry(clamp).or_default() += all,
            None => without += all,
        }
    }
    for (_, band) in &clamping.bands {
        *count.entry(*band).or_default() += 2;
    }
    let have = |(id, count): (&SundryPartId, &usize)| {
        let (name, part) = (job.library.sundries.name(*id), job.library.sundries.get(*id));
        Task::new(name, format!("Have at hand: {}", part.title))
            .measure(count.to_string())
            .more(name)
            .said(Said::Derived)
    };
    let mut tasks = safe_rows::safe(job);
    tasks.extend(count.iter().map(have));
    if without > 0 {
        let task = Task::new("tape", "Have at hand: tape or ties for what no clamp of the library closes on");
        tasks.push(task.measure(without.to_string()).said(Said::Derived));
    }
    Visit {
        subject: Subject::AtHand,
        name: String::new(),
        title: "Before the first step".to_owned(),
        details: Vec::new(),
        tasks,
    }
}
