//! What the rules on ampacity share: how sure a current is, where a wire may carry least, and what could not be judged,
//! said once for each thing that is missing.

use std::collections::BTreeSet;

use super::hot_part::unsaid_ambient;
use super::sender_offset::why_not;
use super::{Facts, Fault, Verdict};
use crate::diag::{Severity, Span};
use crate::graph::{Basis, Phase, Through, Unsure, around};
use crate::harness::{ConductorId, Harness, RunId, ZoneId};
use crate::parts::library::WirePartId;
use crate::quantity::{Current, Gauge, Temperature, Units, beside};
use crate::trade::bundled::Bundled;
use crate::trade::thermocouple_colour::Alloy;
use crate::trade::voltage_drop::Duty;

/// A current and how much a finding about it weighs.
#[derive(Clone, Copy)]
pub(super) struct Weighed {
    /// What flows for sure.
    pub current: Current,
    /// The most that flows; the same, unless a resistance that nobody knows leaves it open.
    pub most: Current,
    /// That resistance.
    open: Option<Through>,
    pub severity: Severity,
    /// When it flows; `None` for that of the loads.
    pub phase: Option<Phase>,
    /// Words before the figure.
    before: &'static str,
}

impl Weighed {
    pub(super) fn words(&self, units: Units) -> String {
        self.with(&self.current.show(units))
    }

    /// The same and the limit that it is above, between which a reader sees the difference.
    pub(super) fn beside(&self, limit: Current, units: Units) -> [String; 2] {
        let [current, limit] = beside(self.current, limit, |current| current.show(units));
        [self.with(&current), limit]
    }

    fn with(&self, figure: &str) -> String {
        let after = self.phase.map_or_else(String::new, |phase| format!(" {}", phase.words()));
        format!("{}{figure}{after}", self.before)
    }
}

/// The wires of ground loops, in which current goes round.
pub(super) struct Looping(BTreeSet<ConductorId>);

impl Looping {
    pub(super) fn of(facts: &Facts<'_>) -> Looping {
        Looping(facts.ground_loops.iter().flat_map(|found| found.conductors.iter().copied()).collect())
    }

    /// What is found of a wire that is too thin; where what comes from body to body loads it, with another remedy, for
    /// thicker wire would draw more of that.
    pub(super) fn mended(
        &self,
        facts: &Facts<'_>,
        id: ConductorId,
        weighed: &Weighed,
        found: Fault,
    ) -> Fault {
        let loops = weighed.phase.is_some() && facts.ground.is_beside_bonds(id) && self.0.contains(&id);
        if !loops {
            return found;
        }
        found.mend(
            "open the loop first (`ground-loop`), and check again: the figures will be others, and thicker wire would only \
             draw more of this current",
        )
    }
}

/// The currents of a conductor.
pub(super) struct Carried {
    /// Those of which something is known, none of them nothing.
    all: Vec<Weighed>,
    /// A phase in which nobody can say what comes from body to body besides, and why.
    unsure: Option<(Phase, Unsure)>,
}

impl Carried {
    /// The currents of a conductor, none of them nothing; why they are not known, where none is.
    ///
    /// That of the loads first. One that may divide, or that flows for two minutes at most, is for a person to look at: the
    /// tables are for what flows for good. Where it may divide, what comes from body to body (alternator, starter) besides
    /// takes this way too, by the resistances of the ground network.
    pub(super) fn of(facts: &Facts<'_>, id: ConductorId) -> Result<Carried, String> {
        let basis = facts.currents.basis(id);
        let loads = match facts.currents.in_conductor(id) {
            Some(loads) => loads,
            None if basis == Basis::Beside => Current::ZERO,
            None => {
                let silent = facts.currents.silent(id).and_then(|load| load.pin());
                let name = silent.map_or("a load", |pin| facts.pin_name(pin));
                return Err(format!("nobody says how much `{name}` takes; write `current:` at its circuit"));
            }
        };
        let (severity, before) = match (basis, facts.circuit_of(id).duty) {
            (Basis::AtMost, _) => (Severity::Doubt, "up to "),
            (_, Duty::Intermittent) => (Severity::Doubt, "for short times "),
            _ => (Severity::Stop, ""),
        };
        let of_loads = Weighed { current: loads, most: loads, open: None, severity, phase: None, before };
        let mut carried = Carried { all: vec![of_loads], unsure: None };
        // The starter turns for seconds.
        for (phase, severity) in [(Phase::Cruise, Severity::Stop), (Phase::Cranking, Severity::Doubt)] {
            let around = around(facts.harness, facts.currents, facts.ground, id, phase);
            if let (Ok(Some(_)), Some(load)) = (&around, facts.ground.silent(id)) {
                carried.unsure = carried.unsure.or(Some((phase, Unsure::Load(load))));
            }
            match around {
                Ok(Some(range)) if range.high > loads => {
                    let before = if range.open.is_some() { "at least " } else { "" };
                    let (current, most, open) = (range.low, range.high, range.open);
                    carried.all.push(Weighed { current, most, open, severity, phase: Some(phase), before });
                }
                Ok(None) if basis == Basis::Beside => {
                    return Err("it joins what is joined without it; what it carries is not known".to_owned());
                }
                Ok(_) => {}
                Err(why) => carried.unsure = carried.unsure.or(Some((phase, why))),
            }
        }
        carried.all.retain(|weighed| weighed.most > Current::ZERO);
        match (carried.all.is_empty(), carried.why_open(facts, Current::ZERO)) {
            (true, Some(why)) => Err(why),
            _ => Ok(carried),
        }
    }

    /// True where nothing flows.
    pub(super) fn is_none(&self) -> bool {
        self.all.is_empty()
    }

    /// Of the currents the one that is surely above `may` and weighs most, then the largest.
    pub(super) fn over(&self, may: Current) -> Option<Weighed> {
        let over = self.all.iter().copied().filter(|weighed| weighed.current > may);
        over.max_by_key(|weighed| (weighed.severity, weighed.current))
    }

    /// Of the currents the one that is surely as large and weighs most: steady before passing, then the largest.
    pub(super) fn at_least(&self, large: Current) -> Option<Weighed> {
        let large = self.all.iter().copied().filter(|weighed| weighed.current >= large);
        large.max_by_key(|weighed| (weighed.phase != Some(Phase::Cranking), weighed.current))
    }

    /// Why nobody can say that no current is above `may`.
    pub(super) fn why_open(&self, facts: &Facts<'_>, may: Current) -> Option<String> {
        let open = |weighed: &Weighed| {
            let phase = weighed.phase?;
            Some((phase, Unsure::Resistance(weighed.open.filter(|_| weighed.most > may)?)))
        };
        let (phase, why) = self.unsure.or_else(|| self.all.iter().find_map(open))?;
        Some(match why {
            Unsure::Apart => format!("what comes to it from body to body {} is not known", phase.words()),
            why => format!("what comes to it from body to body is not known: {}", why_not(facts, why, phase)),
        })
    }
}

/// What a conductor may carry by the free-air method in the runs that it passes.
pub(super) struct InRuns {
    /// The run in which it may carry least, of those that can be told.
    pub least: Option<(RunId, Bundled)>,
    /// A run in which it cannot be told, and why.
    pub open: Option<(RunId, String)>,
}

impl InRuns {
    pub(super) fn of(facts: &Facts<'_>, id: ConductorId) -> InRuns {
        let mut found = InRuns { least: None, open: None };
        for run in facts.routing.path_of(facts.harness, id).iter().flat_map(|path| &path.runs) {
            let key = |(run, found): (RunId, Bundled)| (found.ampacity, run);
            match facts.ratings.in_run(facts.harness, facts.library, id, *run) {
                Some(Ok(rating)) if found.least.is_none_or(|least| key((*run, rating)) < key(least)) => {
                    found.least = Some((*run, rating));
                }
                Some(Ok(_)) => {}
                Some(Err(why)) => found.open = found.open.or(Some((*run, why.to_string()))),
                None => found.open = found.open.or(Some((*run, ABOVE_THE_CURVES.to_owned()))),
            }
        }
        found
    }
}

/// Why there is no rating in a run of which the ambient is known.
pub(super) const ABOVE_THE_CURVES: &str = "the altitude curve ends at 60,000 ft";

/// Why there is no rating by the table.
pub(super) const ABOVE_THE_TABLE: &str = "Table 11-9 is for 60,000 ft at most";

/// What to say behind a figure of the free-air method where nobody says how high the harness is used: it is the most that
/// any altitude allows.
pub(super) fn sea_level(h: &Harness) -> &'static str {
    if h.header.ceiling.is_none() { " at sea level (no `ceiling:` is given)" } else { "" }
}

/// What helps where the place is as hot as the insulation may get: no gauge does.
pub(super) const NO_RISE: &str = "use wire of a hotter class, or lead it a cooler way (`through:`): where the place is as \
                                  hot as the insulation may get, thicker wire carries nothing either";

/// What a conductor of copper carries; None for one that carries nothing, and, said so, for one that is not of copper or of
/// whose currents nothing is known.
pub(super) fn carried(
    facts: &Facts<'_>,
    id: ConductorId,
    told: &mut Unjudged,
    verdict: &mut Verdict,
) -> Option<Carried> {
    match Carried::of(facts, id) {
        Ok(carried) if carried.is_none() || not_copper(facts, id, told, verdict) => None,
        Ok(carried) => Some(carried),
        Err(why) => {
            outside(facts, id, &why, told, verdict);
            None
        }
    }
}

/// What was said already.
#[derive(Default)]
pub(super) struct Unjudged {
    spans: BTreeSet<Span>,
    zones: BTreeSet<ZoneId>,
    wires: BTreeSet<WirePartId>,
    sizes: BTreeSet<Gauge>,
}

/// A zone says no ambient.
pub(super) fn no_ambient(facts: &Facts<'_>, zone: ZoneId, told: &mut Unjudged, verdict: &mut Verdict) {
    if told.zones.insert(zone) {
        unsaid_ambient(facts, zone, verdict);
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

/// True where it is not copper, for which alone there are figures.
fn not_copper(facts: &Facts<'_>, id: ConductorId, told: &mut Unjudged, verdict: &mut Verdict) -> bool {
    let alloy = facts.harness.conductor(id).alloy;
    if alloy != Alloy::Copper {
        let reason = format!("it carries current and is of {}; the tables are for copper", alloy.name());
        outside(facts, id, &reason, told, verdict);
    }
    alloy != Alloy::Copper
}

/// The place alone is hotter than the insulation stands: it may carry nothing there, and `hot-insulation` finds it.
pub(super) fn too_hot(
    facts: &Facts<'_>,
    id: ConductorId,
    (zone, ambient, stands): (ZoneId, Temperature, Temperature),
    told: &mut Unjudged,
    verdict: &mut Verdict,
) {
    let units = facts.harness.header.units;
    let reason = format!(
        "`{}` is at {}, its insulation stands {}: no current is allowed there before `hot-insulation` is mended",
        facts.harness.zone(zone).name,
        ambient.show(units),
        stands.show(units),
    );
    outside(facts, id, &reason, told, verdict);
}

/// It has no way along the route, or the zone it lies in is not known.
pub(super) fn no_way(facts: &Facts<'_>, id: ConductorId, told: &mut Unjudged, verdict: &mut Verdict) {
    outside(facts, id, &"where it lies is not known", told, verdict);
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
