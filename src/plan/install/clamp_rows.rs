//! Runs in; how each is clamped and tied, and what clamps to have at hand, out. The numbers are those of
//! [`crate::plan::clamping`].

use std::collections::BTreeMap;

use super::measure::at_most;
use super::run_rows::{against, laid};
use super::safe_rows;
use super::{Job, Said, Subject, Task, Visit};
use crate::harness::{DeviceClass, PlaceId, RunId};
use crate::parts::model::SundryUse;
use crate::plan::clamping::{self, Clamping, clamp_spacing, clamps_between, is_tied, is_tied_between_clamps};
use crate::quantity::Length;
use crate::trade::installation::{lacing_pitch, single_cord_below, support_spacing, ties_beyond};

impl Job<'_> {
    /// Diameter of what lies on a run, covering included.
    pub(super) fn covered(&self, id: RunId) -> Length {
        clamping::covered(self.h, self.library, self.bundles, id)
    }
}

/// The clamps of one run. What holds for all runs is said once, in [`every_run`].
pub(super) fn clamps(job: &Job<'_>, id: RunId, splices: &Splices<'_>) -> Task {
    let run = job.h.run(id);
    let units = job.h.header.units;
    let limit = support_spacing();
    let between = clamps_between(run.length.value, clamp_spacing(run));
    let where_to = match between {
        0 => "at both ends".to_owned(),
        1 => "at both ends and once between, near the middle".to_owned(),
        n => format!("at both ends and {n} times between, evenly"),
    };
    let thick = job.covered(id);
    let fed = job.plan.fed_into.get(id.index()).copied().flatten().is_some();
    let tied = match is_tied_between_clamps(run) {
        true if thick >= single_cord_below().value => "; tie it between them with doubled cord",
        true => "; tie it between them",
        // On the bench it was left loose.
        false if fed && is_tied(run) => "; tie it, for it was fed through loose",
        false => "",
    };
    let clamp = clamp_words(job, thick);
    let said = run.clamps.map_or(Said::Everywhere, |declared| {
        let apart = declared.value.min(run.length.value);
        against(job, declared, apart <= limit.value)
    });
    let clear: Vec<&str> =
        run.ends.iter().filter_map(|place| splices.get(place)).flatten().copied().collect();
    let clear = if clear.is_empty() { String::new() } else { format!(", clear of {}", clear.join(", ")) };
    let task = Task::new("clamps", format!("Lay the run and clamp it {where_to}{clear}{tied}"));
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

/// Within so much of the upper end of a clamp's range its next size is laid ready too. Common practice, no source.
const NEAR: f64 = 0.95;

/// The clamp for a packed bundle, with its range: laid by hand the bundle is thicker.
fn clamp_words(job: &Job<'_>, thick: Length) -> String {
    let units = job.h.header.units;
    let library = job.library;
    let Some(id) = library.sundry_for(SundryUse::Clamp, thick) else {
        return format!(
            "no clamp of the library closes on {}: build it up with tape, or tie it",
            thick.show(units)
        );
    };
    let name = library.sundries.name(id);
    let Some(over) = library.sundries.get(id).over else { return name.to_owned() };
    let range = format!("{name} closes on {} to {}", over.low().show(units), over.high().show(units));
    let next = library.sundry_for(SundryUse::Clamp, over.high() + Length::from_um(1));
    let next = next.filter(|_| thick > over.high() * NEAR).map(|next| library.sundries.name(next));
    let next = next.map_or_else(String::new, |next| format!("; have {next} ready too"));
    format!("{range}; the bundle is {} at its tightest: choose by it as laid{next}", thick.show(units))
}

/// Splices that lie at places themselves, where clamps would sit on them.
pub(super) type Splices<'a> = BTreeMap<PlaceId, Vec<&'a str>>;

/// Of the whole harness.
pub(super) fn splices_at_places<'a>(job: &Job<'a>) -> Splices<'a> {
    let mut splices = Splices::new();
    for ((place, shift), device) in job.routing.place_of.iter().zip(&job.routing.shift_of).zip(&job.h.devices)
    {
        if let (Some(place), None, DeviceClass::Splice { .. }) = (place, shift, &device.class) {
            splices.entry(*place).or_default().push(&device.name);
        }
    }
    splices
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
    if runs.iter().any(|id| is_tied_between_clamps(job.h.run(*id))) {
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

/// What is made safe, and what is laid out before the work starts.
pub(super) fn at_hand(job: &Job<'_>) -> Visit {
    let clamping = Clamping::of(job.h, job.library, job.routing, job.bundles);
    let clamps: usize = clamping.clamps.iter().map(|clamps| clamps.count).sum::<usize>() - clamping.unheld();
    let bands = clamping.bands.len() * 2;
    let mut tasks = safe_rows::safe(job);
    if clamps + bands > 0 {
        let work =
            "Lay out clamps, bands, linings and coverings: sizes, numbers and places stand in the parts list";
        let measure = [(clamps, "clamps"), (bands, "bands")];
        let measure =
            measure.iter().filter(|(count, _)| *count > 0).map(|(count, what)| format!("{count} {what}"));
        tasks.push(
            Task::new("lay out", work).measure(measure.collect::<Vec<_>>().join(", ")).said(Said::Derived),
        );
    }
    if clamping.unheld() > 0 {
        let task = Task::new("tape", "Have at hand: tape or ties for what no clamp of the library closes on");
        tasks.push(task.measure(format!("{} places", clamping.unheld())).said(Said::Derived));
    }
    Visit {
        subject: Subject::AtHand,
        name: String::new(),
        title: "Before the first step".to_owned(),
        cautions: Vec::new(),
        details: Vec::new(),
        tasks,
    }
}
