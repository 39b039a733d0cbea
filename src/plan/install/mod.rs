//! The install sheet: the plan of a harness in; what hands do in the machine, in the order in which they do it, out.
//!
//! The machine is made safe, clamps are laid ready, holes are lined and fed, runs are laid zone by zone, devices are
//! connected, what holds everywhere is looked at, and holes are closed last. Each row is one thing to do, with its measure
//! and its source. What the spec declares was checked by the rules, and the row says so; what it leaves open becomes an
//! instruction.

mod clamp_rows;
mod connect_rows;
mod end_rows;
mod everywhere;
mod hole_rows;
mod measure;
mod run_rows;
mod safe_rows;

use serde::Serialize;

use super::Plan;
use crate::graph::{Bundles, Routing};
use crate::harness::Harness;
use crate::parts::library::Library;

/// What the sheet is made of.
#[derive(Clone, Copy, Debug)]
pub struct Job<'a> {
    /// The harness.
    pub h: &'a Harness,
    /// Parts.
    pub library: &'a Library,
    /// Where it lies.
    pub routing: &'a Routing,
    /// How thick it is.
    pub bundles: &'a Bundles,
    /// Ends and lengths.
    pub plan: &'a Plan,
}

/// What kind of thing the rows of a group are about.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Subject {
    /// What to have at hand before the work starts.
    AtHand,
    /// A hole, before and while it is fed.
    Hole,
    /// Every run, before the first of them is laid.
    EveryRun,
    /// A run.
    Run,
    /// A place.
    Place,
    /// A device or splice.
    Device,
    /// A hole, when all is laid.
    Closing,
    /// All of the harness.
    Everywhere,
}

impl Subject {
    /// The word for it on the list.
    pub fn word(self) -> &'static str {
        match self {
            Subject::AtHand => "at hand",
            Subject::Hole | Subject::Closing => "hole",
            Subject::EveryRun => "every run",
            Subject::Run => "run",
            Subject::Place => "place",
            Subject::Device => "device",
            Subject::Everywhere => "everywhere",
        }
    }
}

/// What the spec has to say about a row.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Said {
    /// Nothing, and it is to be kept all the same.
    Nothing,
    /// Nothing here; what holds everywhere is said once elsewhere on the sheet.
    Everywhere,
    /// This, and it keeps to the limit.
    Kept(String),
    /// This, and it does not keep to the limit: a finding tells it.
    Broken(String),
    /// This; there is no limit to hold it against.
    Given(String),
    /// Nothing: the tool worked it out from what the spec says elsewhere.
    Derived,
    /// The tool's own figure is used, because the spec says nothing.
    Default(String),
}

impl Said {
    /// Words for the papers; a default of the tool carries the star of the papers.
    pub fn words(&self) -> String {
        match self {
            Said::Nothing => "nothing; keep it".to_owned(),
            Said::Everywhere => "nothing; as every run".to_owned(),
            Said::Kept(value) => format!("{value}, checked"),
            Said::Broken(value) => format!("{value}: NOT RIGHT, see the findings"),
            Said::Given(value) => value.clone(),
            Said::Derived => "worked out".to_owned(),
            Said::Default(value) => format!("{value} *"),
        }
    }

    /// A word for machines.
    pub fn standing(&self) -> &'static str {
        match self {
            Said::Nothing | Said::Everywhere => "open",
            Said::Kept(_) => "checked",
            Said::Broken(_) => "broken",
            Said::Given(_) => "declared",
            Said::Derived => "worked out",
            Said::Default(_) => "default",
        }
    }
}

/// One thing to do.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Task {
    /// A word or two that tell it from the other tasks of its subject.
    pub kind: String,
    /// What to do.
    pub work: String,
    /// The measure to keep, with its unit; empty where there is none.
    pub measure: String,
    /// More to know; empty where there is nothing.
    pub more: String,
    /// What the spec says.
    pub said: Said,
    /// Document, law or practice behind it.
    pub source: String,
}

impl Task {
    fn new(kind: impl Into<String>, work: impl Into<String>) -> Task {
        Task {
            kind: kind.into(),
            work: work.into(),
            measure: String::new(),
            more: String::new(),
            said: Said::Nothing,
            source: COMMON.to_owned(),
        }
    }

    fn measure(self, measure: impl Into<String>) -> Task {
        Task { measure: measure.into(), ..self }
    }

    fn more(self, more: impl Into<String>) -> Task {
        Task { more: more.into(), ..self }
    }

    fn said(self, said: Said) -> Task {
        Task { said, ..self }
    }

    fn by(self, source: impl Into<String>) -> Task {
        Task { source: source.into(), ..self }
    }
}

/// What stands as the source of a task for which nobody knows a document.
pub const COMMON: &str = "common practice, no source";

/// Tasks that are done at one spot, one after the other.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Visit {
    /// What the tasks are about.
    pub subject: Subject,
    /// Its name in the spec; empty for all of the harness.
    pub name: String,
    /// Heading.
    pub title: String,
    /// What can hurt somebody or the machine here.
    pub cautions: Vec<String>,
    /// What a person should know before the tasks, each under its name.
    pub details: Vec<(&'static str, String)>,
    /// The tasks, in order.
    pub tasks: Vec<Task>,
}

/// The install sheet, in the order of the work. Where nothing is to be done nothing is said.
pub fn install_sheet(job: &Job<'_>) -> Vec<Visit> {
    let mut visits = vec![clamp_rows::at_hand(job)];
    visits.extend(hole_rows::feeding(job));
    visits.extend(run_rows::every_run(job));
    visits.extend(run_rows::laying(job));
    visits.extend(run_rows::bends_at_places(job));
    visits.extend(end_rows::at_devices(job));
    visits.extend(everywhere::everywhere(job));
    visits.extend(hole_rows::closing(job));
    visits.retain(|visit| !visit.tasks.is_empty());
    visits
}
