//! What the rules on ampacity share: how sure a current is, where a wire may carry least, and what could not be judged,
//! said once for each thing that is missing.

use std::collections::BTreeSet;

use super::{Facts, Verdict};
use crate::diag::{Severity, Span};
use crate::graph::Basis;
use crate::harness::{ConductorId, RunId, ZoneId};
use crate::parts::library::WirePartId;
use crate::quantity::{Current, Gauge, Units};
use crate::trade::bundled::Bundled;
use crate::trade::voltage_drop::Duty;

/// A current and how much a finding about it weighs.
pub(super) struct Weighed {
    pub current: Current,
    pub severity: Severity,
    note: &'static str,
}

impl Weighed {
    /// The current of a conductor. One that may divide, or that flows for two minutes at most, is for a person to look
    /// at: the tables are for what flows for good.
    pub(super) fn of(facts: &Facts<'_>, id: ConductorId) -> Weighed {
        let current = facts.currents.in_conductor(id).unwrap_or_default();
        let (severity, note) = match (facts.currents.basis(id), facts.circuit_of(id).duty) {
            (Basis::AtMost, _) => (Severity::Doubt, "up to "),
            (_, Duty::Intermittent) => (Severity::Doubt, "for short times "),
            _ => (Severity::Stop, ""),
        };
        Weighed { current, severity, note }
    }

    pub(super) fn words(&self, units: Units) -> String {
        format!("{}{}", self.note, self.current.show(units))
    }
}

/// Of the runs that a conductor passes, the one in which it may carry least by the free-air method; `None` where it
/// passes none that can be told.
pub(super) fn least_in_runs(facts: &Facts<'_>, id: ConductorId) -> Option<(RunId, Bundled)> {
    let path = facts.routing.path_of(facts.harness, id)?;
    let rated = |run: &RunId| {
        let found = facts.ratings.in_run(facts.harness, facts.library, id, *run)?.ok()?;
        Some((*run, found))
    };
    path.runs.iter().filter_map(rated).min_by_key(|(run, found)| (found.ampacity, *run))
}

/// What was said already.
#[derive(Default)]
pub(super) struct Unjudged {
    spans: BTreeSet<Span>,
    zones: BTreeSet<ZoneId>,
    wires: BTreeSet<WirePartId>,
    sizes: BTreeSet<Gauge>,
}

/// The current is not known.
pub(super) fn unknown(facts: &Facts<'_>, id: ConductorId, told: &mut Unjudged, verdict: &mut Verdict) {
    let (span, circuit) = facts.spot(id);
    if !told.spans.insert(span) {
        return;
    }
    let reason = match facts.currents.basis(id) {
        Basis::Beside => "it joins what is joined without it; what it carries is not known".to_owned(),
        _ => {
            let shares = facts.currents.shares(id);
            let silent = shares.iter().find(|s| s.load.current.is_none()).and_then(|s| s.load.pin());
            let name = silent.map_or("a load", |pin| facts.pin_name(pin));
            format!("nobody says how much `{name}` takes; write `current:` at its circuit")
        }
    };
    verdict.not_judged(span, circuit, reason);
}

/// A zone says no ambient.
pub(super) fn no_ambient(facts: &Facts<'_>, zone: ZoneId, told: &mut Unjudged, verdict: &mut Verdict) {
    if told.zones.insert(zone) {
        let zone = facts.harness.zone(zone);
        verdict.not_judged(zone.span, &zone.name, "how hot it gets there is not said (`ambient:`)");
    }
}

/// True where the insulation of the conductor's wire is not rated.
pub(super) fn no_rating(
    facts: &Facts<'_>,
    id: ConductorId,
    told: &mut Unjudged,
    verdict: &mut Verdict,
) -> bool {
    let wire = facts.harness.conductor(id).wire;
    let unrated = facts.library.wires.get(wire).rated.is_none();
    if unrated && told.wires.insert(wire) {
        let (span, circuit) = facts.spot(id);
        let name = facts.library.wires.name(wire);
        verdict.not_judged(
            span,
            circuit,
            format!("`{name}` does not say what its insulation stands (`rated:`)"),
        );
    }
    unrated
}

/// The size is beside the tables.
pub(super) fn no_table(facts: &Facts<'_>, id: ConductorId, told: &mut Unjudged, verdict: &mut Verdict) {
    let gauge = facts.harness.conductor(id).gauge;
    if told.sizes.insert(gauge) {
        let (span, circuit) = facts.spot(id);
        verdict.not_judged(span, circuit, format!("the table goes from 24 AWG to 4/0 AWG, not to {gauge}"));
    }
}

/// The curves do not cover it.
pub(super) fn outside(
    facts: &Facts<'_>,
    id: ConductorId,
    why: &dyn std::fmt::Display,
    told: &mut Unjudged,
    verdict: &mut Verdict,
) {
    let (span, circuit) = facts.spot(id);
    if told.spans.insert(span) {
        verdict.not_judged(span, circuit, why.to_string());
    }
}
