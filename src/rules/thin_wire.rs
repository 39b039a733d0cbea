//! Currents and Table 11-9 in; conductors that carry more than the table allows for their insulation and place out.

use std::collections::{BTreeMap, BTreeSet};

use super::amps::{self, Weighed};
use super::{Facts, Fault, Rule, Source, Verdict};
use crate::diag::Severity;
use crate::graph::{ambient_of, by_table};
use crate::harness::{CircuitId, ConductorId};
use crate::quantity::Current;
use crate::trade::limit::Reading;
use crate::trade::thermocouple_colour::Alloy;

/// The rule.
pub static RULE: Rule = Rule {
    name: "thin-wire",
    title: "A wire is too thin for its current",
    severity: Severity::Stop,
    why: "The conductor gets hotter than its insulation stands: it hardens, cracks, and in the end lets the wires of the \
          bundle touch.",
    limit: "by Table 11-9 for the gauge and the temperature class of the insulation, times √((class − ambient) / (class − \
            70 °C)) where a zone that is passed is hotter than 70 °C; sizes between two rows by their copper area. The \
            table is for a full bundle at 60,000 ft: where the free-air method allows the current in every run that is \
            passed, the finding is a note",
    source: Source::Document { document: "FAA AC 43.13-1B CHG 1", place: "Table 11-9" },
    remedy: "use thicker wire, or wire of a hotter class where the part has one",
    check,
};

fn check(facts: &Facts<'_>, verdict: &mut Verdict) {
    let h = facts.harness;
    let mut over: BTreeMap<CircuitId, Vec<ConductorId>> = BTreeMap::new();
    let mut told = amps::Unjudged::default();
    for id in h.conductor_ids() {
        let c = h.conductor(id);
        let Some(current) = facts.currents.in_conductor(id) else {
            amps::unknown(facts, id, &mut told, verdict);
            continue;
        };
        if current == Current::ZERO || c.alloy != Alloy::Copper {
            continue;
        }
        let ambient = ambient_of(h, facts.routing, id);
        if let Some(zone) = ambient.unsaid {
            amps::no_ambient(facts, zone, &mut told, verdict);
            continue;
        }
        if amps::no_rating(facts, id, &mut told, verdict) || ambient.hottest.is_none() {
            continue;
        }
        match by_table(h, facts.library, facts.routing, id) {
            // Where the place alone is too hot for the insulation, `hot-insulation` says so.
            Some(rating) if ambient.hottest.is_some_and(|(_, hot)| hot > rating.limit) => {}
            Some(rating) if rating.ampacity < current => over.entry(c.circuit).or_default().push(id),
            Some(_) => {}
            None => amps::no_table(facts, id, &mut told, verdict),
        }
    }
    for conductors in over.values() {
        verdict.finds(fault(facts, conductors));
    }
}

fn fault(facts: &Facts<'_>, conductors: &[ConductorId]) -> Fault {
    let h = facts.harness;
    let units = h.header.units;
    let excess = |id: &ConductorId| {
        let may = by_table(h, facts.library, facts.routing, *id).map_or(Current::ZERO, |r| r.ampacity);
        facts.currents.in_conductor(*id).unwrap_or_default() - may
    };
    let Some(worst) = conductors.iter().copied().max_by_key(excess) else { return Fault::new("") };
    let c = h.conductor(worst);
    let Some(rating) = by_table(h, facts.library, facts.routing, worst) else { return Fault::new("") };
    let weighed = Weighed::of(facts, worst);
    let (cross_check, severity) = match amps::least_in_runs(facts, worst) {
        Some((_, lain)) => {
            let allowed = lain.ampacity >= weighed.current;
            let severity = if allowed { Severity::Note } else { weighed.severity };
            (format!(", by the free-air method {}", lain.ampacity.show(units)), severity)
        }
        None => (String::new(), weighed.severity),
    };
    let mut fault = Fault::new(format!(
        "`{}`, {}, carries {}; by Table 11-9 it may carry {}{cross_check}",
        c.mark,
        c.gauge,
        weighed.words(units),
        rating.ampacity.show(units),
    ))
    .weighs(severity);
    let mut terms = format!("{} insulation: {}", rating.limit.show(units), rating.tabled.show(units));
    let hot = ambient_of(h, facts.routing, worst).hottest.filter(|_| rating.ampacity < rating.tabled);
    if let Some((zone, ambient)) = hot {
        let share = rating.factor.ratio();
        terms.push_str(&format!(" times {share:.2} in `{}` at {}", h.zone(zone).name, ambient.show(units)));
    }
    if rating.reading == Reading::Extended {
        terms.push_str(", extended from the table");
    }
    let mut named = BTreeSet::new();
    for id in std::iter::once(&worst).chain(conductors) {
        let (span, circuit) = facts.spot(*id);
        let (mark, current) = (&h.conductor(*id).mark, facts.currents.in_conductor(*id).unwrap_or_default());
        if named.insert(span) {
            let terms = if *id == worst { format!("; {terms}") } else { String::new() };
            fault = fault.at(span, circuit, format!("`{mark}` carries {}{terms}", current.show(units)));
        }
    }
    if let Some(said) = hot.and_then(|(zone, _)| h.zone(zone).ambient) {
        fault = fault.limit(said.span, "the hottest zone it passes");
    } else if let Some(span) = c.wire_span {
        fault = fault.limit(span, "the wire is chosen here");
    }
    fault.seen("insulation that hardens, cracks and lets the wires of the bundle touch")
}
