//! Currents and the bundles of the runs in; conductors that carry more than the free-air method allows where they lie out.

use std::collections::{BTreeMap, BTreeSet};

use super::amps::{self, Weighed};
use super::{Facts, Fault, Rule, Source, Verdict};
use crate::diag::Severity;
use crate::graph::by_table;
use crate::harness::{ConductorId, RunId};
use crate::quantity::Current;
use crate::trade::bundled::Bundled;
use crate::trade::thermocouple_colour::Alloy;

/// The rule.
pub static RULE: Rule = Rule {
    name: "crowded-wire",
    title: "A wire gets too hot among the others of its bundle",
    severity: Severity::Stop,
    why: "Wires in a bundle warm each other, thin air carries less heat away, a hot place leaves less room for any: the \
          same wire carries far less there than alone on the bench.",
    limit: "for each run: current in free air at the difference between insulation class and ambient, times the factor of \
            the bundle for all conductors of the run and the share of its capacity that they use, times the factor of the \
            altitude (`ceiling:`, else sea level). A conductor whose current nobody says counts as fully loaded",
    source: Source::Document {
        document: "FAA AC 43.13-1B CHG 1",
        place: "par. 11-67 to 11-69, figures 11-4 to 11-6",
    },
    remedy: "use thicker wire, or take it out of the bundle",
    check,
};

fn check(facts: &Facts<'_>, verdict: &mut Verdict) {
    let h = facts.harness;
    // Each conductor in the run in which it may carry least.
    let mut over: BTreeMap<RunId, Vec<(ConductorId, Bundled)>> = BTreeMap::new();
    let mut told = amps::Unjudged::default();
    for id in h.conductor_ids() {
        let c = h.conductor(id);
        let Some(current) = facts.currents.in_conductor(id) else {
            amps::unknown(facts, id, &mut told, verdict);
            continue;
        };
        let Some(path) = facts.routing.path_of(h, id) else { continue };
        if current == Current::ZERO || c.alloy != Alloy::Copper || path.runs.is_empty() {
            continue;
        }
        if amps::no_rating(facts, id, &mut told, verdict) {
            continue;
        }
        let mut worst: Option<(RunId, Bundled)> = None;
        for run in &path.runs {
            let zone = h.run(*run).zone;
            if h.zone(zone).ambient.is_none() {
                amps::no_ambient(facts, zone, &mut told, verdict);
                continue;
            }
            match facts.ratings.in_run(h, facts.library, id, *run) {
                // Where the place alone is too hot for the insulation, `hot-insulation` says so.
                Some(Ok(_)) if too_hot(facts, id, *run) => {}
                Some(Ok(rating)) => {
                    if rating.ampacity < current && worst.is_none_or(|(_, w)| rating.ampacity < w.ampacity) {
                        worst = Some((*run, rating));
                    }
                }
                Some(Err(why)) => amps::outside(facts, id, &why, &mut told, verdict),
                None => amps::outside(facts, id, &"the altitude curve ends at 60,000 ft", &mut told, verdict),
            }
        }
        if let Some((run, rating)) = worst {
            over.entry(run).or_default().push((id, rating));
        }
    }
    for (run, conductors) in &over {
        let short = |(id, rating): &&(ConductorId, Bundled)| {
            let current = facts.currents.in_conductor(*id).unwrap_or_default();
            (current.amps() / rating.ampacity.amps().max(f64::MIN_POSITIVE)).to_bits()
        };
        if let Some((id, rating)) = conductors.iter().rev().max_by_key(short) {
            verdict.finds(fault(facts, *run, (*id, rating), conductors));
        }
    }
}

/// True where the ambient of the run is above what the insulation stands.
fn too_hot(facts: &Facts<'_>, id: ConductorId, run: RunId) -> bool {
    let rated = facts.library.wires.get(facts.harness.conductor(id).wire).rated;
    let ambient = facts.harness.zone(facts.harness.run(run).zone).ambient;
    ambient.zip(rated).is_some_and(|(ambient, rated)| ambient.value > rated)
}

fn fault(
    facts: &Facts<'_>,
    run: RunId,
    (worst, rating): (ConductorId, &Bundled),
    all: &[(ConductorId, Bundled)],
) -> Fault {
    let h = facts.harness;
    let units = h.header.units;
    let (c, run_of) = (h.conductor(worst), h.run(run));
    let weighed = Weighed::of(facts, worst);
    let table = by_table(h, facts.library, facts.routing, worst)
        .map_or_else(String::new, |t| format!(", by Table 11-9 {}", t.ampacity.show(units)));
    let more = match all.len() {
        0 | 1 => String::new(),
        2 => "; 1 more of that bundle carries too much".to_owned(),
        n => format!("; {} more of that bundle carry too much", n - 1),
    };
    let caution = rating.reading().caution().map_or_else(String::new, |caution| format!(" ({caution})"));
    let mut fault = Fault::new(format!(
        "`{}`, {}, carries {}; in the bundle of `{}` it may carry {}{table}{more}",
        c.mark,
        c.gauge,
        weighed.words(units),
        run_of.name,
        rating.ampacity.show(units),
    ))
    .weighs(weighed.severity);
    let terms = format!(
        "{} in free air, times {:.2} for the bundle, times {:.2} for the altitude{caution}",
        rating.free_air.current.show(units),
        rating.bundle.share.ratio(),
        rating.altitude.share.ratio(),
    );
    let (span, circuit) = facts.spot(worst);
    fault = fault.at(span, circuit, terms);
    let mut named = BTreeSet::from([span]);
    for (id, rating) in all {
        let (span, circuit) = facts.spot(*id);
        if named.insert(span) {
            let current = facts.currents.in_conductor(*id).unwrap_or_default();
            let words = format!("{} of {}", current.show(units), rating.ampacity.show(units));
            fault = fault.at(span, circuit, words);
        }
    }
    if let Some(load) = facts.ratings.run(run) {
        let wires = if load.wires == 1 { "wire" } else { "wires" };
        let taken = match load.unknown {
            0 => String::new(),
            n => format!(", {n} of them taken as fully loaded"),
        };
        let words = format!("{} {wires} at {} of their capacity{taken}", load.wires, load.load.show(units));
        fault = fault.at(run_of.span, &run_of.name, words);
    }
    if let Some(ambient) = h.zone(run_of.zone).ambient {
        let words = format!("leaves a rise of {}", rating.rise.show(units));
        fault = fault.at(ambient.span, &h.zone(run_of.zone).name, words);
    }
    if let Some(ceiling) = h.header.ceiling {
        fault = fault.limit(ceiling.span, format!("up to {:.0} ft", ceiling.value.inches() / 12.0));
    }
    fault.seen("insulation that hardens and cracks in the middle of the bundle, where nobody sees it")
}
