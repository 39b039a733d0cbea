//! Currents and Table 11-9 in; conductors that carry more than the table allows for their insulation and place out.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet};

use super::amps::{self, InRuns, Looping, Weighed};
use super::{Facts, Fault, Rule, Source, Verdict};
use crate::diag::Severity;
use crate::graph::{above_the_figures, ambient_of, by_table};
use crate::harness::{CircuitId, ConductorId, RunId};
use crate::quantity::Current;
use crate::trade::bundled::Bundled;
use crate::trade::limit::Reading;
use crate::trade::table_rating::TableRating;

/// The rule.
pub static RULE: Rule = Rule {
    name: "thin-wire",
    title: "A wire is too thin for its current",
    severity: Severity::Stop,
    why: "The conductor gets hotter than its insulation stands: it hardens, cracks, and in the end lets the wires of the \
          bundle touch.",
    limit: "by Table 11-9 for the gauge and the temperature class of the insulation, times √((class − ambient) / (class − \
            70 °C)) where a zone that is passed is hotter than 70 °C; sizes between two rows by their copper area. The \
            table is for a full bundle at 60,000 ft, not judged above: where the free-air method allows the current in \
            every run that is passed (at sea level, without `ceiling:`), or for a wire that lies in no run, alone at its \
            place, the finding is a note. What may divide between \
            several ways carries at most the loads of them all, and what the ground network sends there in cruise and \
            while cranking: not judged where a bond beside it does not say what it carries, or a resistance that decides \
            it is not known",
    source: Source::Document { document: "FAA AC 43.13-1B CHG 1", place: "Table 11-9" },
    remedy: "use thicker wire, or wire of a hotter class where the part has one",
    check,
};

/// A wire that carries too much.
struct Over {
    id: ConductorId,
    weighed: Weighed,
    rating: TableRating,
    in_runs: InRuns,
    /// What it may carry by the free-air method where it lies in no run.
    alone: Option<Bundled>,
}

impl Over {
    /// How much a finding about it weighs: little where the other method allows it in every run.
    fn severity(&self) -> Severity {
        let allowed = |(_, rating): &(RunId, Bundled)| rating.ampacity >= self.weighed.most;
        let alone = self.alone.is_some_and(|lain| lain.ampacity >= self.weighed.most);
        match self.in_runs.open {
            None if alone || self.in_runs.least.as_ref().is_some_and(allowed) => Severity::Note,
            _ => self.weighed.severity,
        }
    }

    fn excess(&self) -> Current {
        self.weighed.current - self.rating.ampacity
    }
}

fn check(facts: &Facts<'_>, verdict: &mut Verdict) {
    let h = facts.harness;
    let mut over: BTreeMap<CircuitId, Vec<Over>> = BTreeMap::new();
    let mut told = amps::Unjudged::default();
    for id in h.conductor_ids() {
        let c = h.conductor(id);
        let Some(carried) = amps::carried(facts, id, &mut told, verdict) else { continue };
        let ambient = ambient_of(h, facts.routing, id);
        if let Some(zone) = ambient.unsaid {
            amps::no_ambient(facts, zone, &mut told, verdict);
            continue;
        }
        if amps::no_rating(facts, id, &mut told, verdict) {
            continue;
        }
        let Some((zone, hot)) = ambient.hottest else {
            amps::no_way(facts, id, &mut told, verdict);
            continue;
        };
        if above_the_figures(h) {
            amps::outside(facts, id, &amps::ABOVE_THE_TABLE, &mut told, verdict);
            continue;
        }
        let Some(rating) = by_table(h, facts.library, facts.routing, id) else {
            amps::no_table(facts, id, &mut told, verdict);
            continue;
        };
        if hot > rating.limit {
            amps::too_hot(facts, id, (zone, hot, rating.limit), &mut told, verdict);
        } else if let Some(weighed) = carried.over(rating.ampacity) {
            let in_runs = InRuns::of(facts, id);
            let alone = facts.ratings.alone(h, facts.library, facts.routing, id).and_then(Result::ok);
            over.entry(c.circuit).or_default().push(Over { id, weighed, rating, in_runs, alone });
        } else if let Some(why) = carried.why_open(facts, rating.ampacity) {
            amps::outside(facts, id, &why, &mut told, verdict);
        }
    }
    let looping = Looping::of(facts);
    for wires in over.values_mut() {
        wires.sort_by_key(|over| (Reverse(over.severity()), Reverse(over.excess()), over.id));
        if let Some((worst, others)) = wires.split_first() {
            verdict.finds(looping.mended(facts, worst.id, &worst.weighed, fault(facts, worst, others)));
        }
    }
}

/// What is found of a circuit: its wire for which it weighs most, then the others.
fn fault(facts: &Facts<'_>, worst: &Over, others: &[Over]) -> Fault {
    let h = facts.harness;
    let units = h.header.units;
    let Over { id, weighed, rating, in_runs, alone } = worst;
    let c = h.conductor(*id);
    let at = amps::sea_level(h);
    let by_free_air = |lain: &Bundled| format!(", by the free-air method {}{at}", lain.ampacity.show(units));
    let cross_check = match (&in_runs.least, &in_runs.open) {
        (least, Some((run, why))) => {
            let least = least.map(|(_, lain)| format!("{}{at}, but ", lain.ampacity.show(units)));
            let run = &h.run(*run).name;
            format!(", by the free-air method {}not judged in `{run}`: {why}", least.unwrap_or_default())
        }
        (Some((_, lain)), None) => by_free_air(lain),
        (None, None) => alone.as_ref().map(|lain| by_free_air(lain) + ", lying alone").unwrap_or_default(),
    };
    let [carries, may] = weighed.beside(rating.ampacity, units);
    let mut fault = Fault::new(format!(
        "`{}`, {}, carries {carries}; by Table 11-9 it may carry {may}{cross_check}",
        c.mark, c.gauge,
    ))
    .weighs(worst.severity());
    let mut terms = format!("{} insulation: {}", rating.limit.show(units), rating.tabled.show(units));
    let hot = ambient_of(h, facts.routing, *id).hottest.filter(|_| rating.ampacity < rating.tabled);
    if let Some((zone, ambient)) = hot {
        let share = rating.factor.ratio();
        terms.push_str(&format!(" times {share:.2} in `{}` at {}", h.zone(zone).name, ambient.show(units)));
    }
    if rating.reading == Reading::Extended {
        terms.push_str(", extended from the table");
    }
    let mut named = BTreeSet::new();
    for over in std::iter::once(worst).chain(others) {
        let (span, circuit) = facts.spot(over.id);
        if named.insert(span) {
            let terms = if over.id == *id { format!("; {terms}") } else { String::new() };
            let words =
                format!("`{}` carries {}{terms}", h.conductor(over.id).mark, over.weighed.words(units));
            fault = fault.at(span, circuit, words);
        }
    }
    if let Some(said) = hot.and_then(|(zone, _)| h.zone(zone).ambient) {
        fault = fault.limit(said.span, "the hottest zone it passes");
    } else if let Some(span) = c.wire_span {
        fault = fault.limit(span, "the wire is chosen here");
    }
    if rating.ampacity == Current::ZERO {
        fault = fault.mend(amps::NO_RISE);
    }
    fault.seen("insulation that hardens, cracks and lets the wires of the bundle touch")
}
