//! Runs in; how each is clamped and tied, and what clamps to have at hand, out.
//!
//! A clamp stands at both ends of a run, and as many between as keep the spacing; one clamp serves where two runs of one
//! thickness meet, so the numbers are not too small. Its size is that of the packed bundle, covering included: a bundle
//! laid by hand is a little thicker.

use std::collections::BTreeMap;

use super::measure::{at_most, below};
use super::run_rows::{against, laid};
use super::safe_rows;
use super::{Job, Said, Subject, Task, Visit};
use crate::harness::{Run, RunId};
use crate::parts::library::SundryPartId;
use crate::parts::model::{CoveringUse, SundryUse};
use crate::quantity::Length;
use crate::trade::installation::{lacing_pitch, single_cord_below, support_spacing, ties_beyond};

impl Job<'_> {
    /// Diameter of what lies on a run, covering included.
    pub(super) fn covered(&self, id: RunId) -> Length {
        let bundle = self.bundles.run(id);
        let cover =
            self.h.run(id).cover.as_ref().and_then(|cover| self.library.coverings.look_up(&cover.value));
        cover.map_or_else(|| bundle.diameter(), |(_, part)| bundle.covered_diameter(part))
    }
}

pub(super) fn clamps(job: &Job<'_>, id: RunId) -> Task {
    let run = job.h.run(id);
    let units = job.h.header.units;
    let limit = support_spacing();
    let between = points(run) - 2;
    let apart = match run.clamps.filter(|declared| declared.value <= limit.value) {
        Some(declared) => declared.value.show(units),
        None => at_most(limit, units),
    };
    let where_to = match between {
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
    Task::new("clamps", format!("Clamp the bundle {where_to}"))
        .measure(format!("at most {apart} apart"))
        .more(clamp)
        .said(said)
        .by(limit.source())
}

/// Furthest that the clamps of a run may be apart: as declared, where that keeps to the limit.
pub(in crate::plan) fn clamp_spacing(run: &Run) -> Length {
    let most = support_spacing().value;
    run.clamps.map_or(most, |declared| declared.value.min(most))
}

/// Clamps on a run, those at its ends counted.
fn points(run: &Run) -> i64 {
    clamps_between(run.length.value, clamp_spacing(run)) + 2
}

/// Clamps between those at the ends of a run, so that no two are further apart than `spacing`.
pub(in crate::plan) fn clamps_between(length: Length, spacing: Length) -> i64 {
    let (length, spacing) = (length.um(), spacing.um().max(1));
    ((length + spacing - 1) / spacing - 1).max(0)
}

/// Where clamps are far apart the bundle is tied between them.
pub(super) fn ties(job: &Job<'_>, id: RunId) -> Option<Task> {
    let run = job.h.run(id);
    let units = job.h.header.units;
    let limit = ties_beyond();
    let apart = clamp_spacing(run).min(run.length.value);
    // A covering holds the bundle together.
    (apart > limit.value && run.cover.is_none()).then(|| {
        let (single, pitch) = (single_cord_below(), lacing_pitch());
        let cord = if job.covered(id) < single.value { "single cord" } else { "doubled cord" };
        Task::new("ties", "Tie the bundle between the clamps")
            .measure(format!("up to {} apart", below(apart, units).show(units)))
            .more(format!(
                "{cord} ({}); needed where they are more than {} apart; lace continuously, at most {} a turn, inside \
                 panels and junction boxes only",
                single.place,
                at_most(limit, units),
                at_most(pitch, units)
            ))
            .said(Said::Derived)
            .by(limit.source())
    })
}

/// Clamps and bands by size, to have at hand before the work starts.
pub(super) fn at_hand(job: &Job<'_>) -> Visit {
    let mut count: BTreeMap<SundryPartId, i64> = BTreeMap::new();
    let mut without = 0;
    for id in laid(job) {
        let run = job.h.run(id);
        let thick = job.covered(id);
        match job.library.sundry_for(SundryUse::Clamp, thick) {
            Some(clamp) => *count.entry(clamp).or_default() += points(run),
            None => without += points(run),
        }
        let cover = run.cover.as_ref().and_then(|cover| job.library.coverings.look_up(&cover.value));
        let sleeved = cover.is_some_and(|(_, part)| part.use_for == CoveringUse::Fire);
        if let Some(band) = job.library.sundry_for(SundryUse::SleeveClamp, thick).filter(|_| sleeved) {
            *count.entry(band).or_default() += 2;
        }
    }
    let have = |(id, count): (&SundryPartId, &i64)| {
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
