//! Currents and the bundles of the runs in; conductors that carry more than the free-air method allows where they lie out.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet};

use super::amps::{self, Looping, Weighed};
use super::{Facts, Fault, Rule, Source, Verdict};
use crate::diag::Severity;
use crate::graph::by_table;
use crate::harness::{ConductorId, RunId};
use crate::quantity::Current;
use crate::trade::bundled::Bundled;

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
    let mut over: BTreeMap<RunId, Vec<Over>> = BTreeMap::new();
    let mut told = amps::Unjudged::default();
    for id in h.conductor_ids() {
        let Some(carried) = amps::carried(facts, id, &mut told, verdict) else { continue };
        let Some(path) = facts.routing.path_of(h, id) else {
            amps::no_way(facts, id, &mut told, verdict);
            continue;
        };
        if path.runs.is_empty() || amps::no_rating(facts, id, &mut told, verdict) {
            continue;
        }
        let mut worst: Option<(RunId, Over)> = None;
        let mut open = None;
        for run in &path.runs {
            let zone = h.run(*run).zone;
            let Some(ambient) = h.zone(zone).ambient else {
                amps::no_ambient(facts, zone, &mut told, verdict);
                continue;
            };
            let stands = facts.library.wires.get(h.conductor(id).wire).rated;
            if let Some(stands) = stands.filter(|stands| ambient.value > *stands) {
                amps::too_hot(facts, id, (zone, ambient.value, stands), &mut told, verdict);
                continue;
            }
            match facts.ratings.in_run(h, facts.library, id, *run) {
                Some(Ok(rating)) => {
                    let is_worst = || worst.as_ref().is_none_or(|(_, w)| rating.ampacity < w.rating.ampacity);
                    match carried.over(rating.ampacity) {
                        Some(weighed) if is_worst() => worst = Some((*run, Over { id, weighed, rating })),
                        Some(_) => {}
                        None => open = open.or_else(|| carried.why_open(facts, rating.ampacity)),
                    }
                }
                Some(Err(why)) => amps::outside(facts, id, &why, &mut told, verdict),
                None => amps::outside(facts, id, &amps::ABOVE_THE_CURVES, &mut told, verdict),
            }
        }
        match (worst, open) {
            (Some((run, wire)), _) => over.entry(run).or_default().push(wire),
            (None, Some(why)) => amps::outside(facts, id, &why, &mut told, verdict),
            (None, None) => {}
        }
    }
    let looping = Looping::of(facts);
    for (run, wires) in &mut over {
        wires.sort_by_key(|over| (Reverse(over.weighed.severity), Reverse(over.share()), over.id));
        if let Some((worst, others)) = wires.split_first() {
            verdict.finds(looping.mended(facts, worst.id, &worst.weighed, fault(facts, *run, worst, others)));
        }
    }
}

/// A wire that carries too much.
struct Over {
    id: ConductorId,
    weighed: Weighed,
    rating: Bundled,
}

impl Over {
    /// What it carries against what it may, as bits that sort like the number.
    fn share(&self) -> u64 {
        (self.weighed.current.amps() / self.rating.ampacity.amps().max(f64::MIN_POSITIVE)).to_bits()
    }
}

/// What is found of a run: its wire for which it weighs most, then the others.
fn fault(facts: &Facts<'_>, run: RunId, worst: &Over, others: &[Over]) -> Fault {
    let h = facts.harness;
    let units = h.header.units;
    let Over { id, weighed, rating } = worst;
    let (c, run_of) = (h.conductor(*id), h.run(run));
    let table = by_table(h, facts.library, facts.routing, *id)
        .map_or_else(String::new, |t| format!(", by Table 11-9 {}", t.ampacity.show(units)));
    let more = match others.len() {
        0 => String::new(),
        1 => "; 1 more of that bundle carries too much".to_owned(),
        n => format!("; {n} more of that bundle carry too much"),
    };
    let caution = rating.reading().caution().map_or_else(String::new, |caution| format!(" ({caution})"));
    let [carries, may] = weighed.beside(rating.ampacity, units);
    let mut fault = Fault::new(format!(
        "`{}`, {}, carries {carries}; in the bundle of `{}` it may carry {may}{table}{more}",
        c.mark, c.gauge, run_of.name,
    ))
    .weighs(weighed.severity);
    let terms = format!(
        "{} in free air, times {:.2} for the bundle, times {:.2} for the altitude{}{caution}",
        rating.free_air.current.show(units),
        rating.bundle.share.ratio(),
        rating.altitude.share.ratio(),
        if h.header.ceiling.is_none() { ", sea level as no `ceiling:` is given" } else { "" },
    );
    let (span, circuit) = facts.spot(*id);
    fault = fault.at(span, circuit, terms);
    let mut named = BTreeSet::from([span]);
    for over in others {
        let (span, circuit) = facts.spot(over.id);
        if named.insert(span) {
            let words = format!("{} of {}", over.weighed.words(units), over.rating.ampacity.show(units));
            fault = fault.at(span, circuit, words);
        }
    }
    if let Some(load) = facts.ratings.run(run) {
        let (wires, their) = if load.wires == 1 { ("wire", "its") } else { ("wires", "their") };
        let taken = match load.unknown {
            0 => String::new(),
            n => format!(", {n} of them taken as fully loaded"),
        };
        let words = format!("{} {wires} at {} of {their} capacity{taken}", load.wires, load.load.show(units));
        fault = fault.at(run_of.span, &run_of.name, words);
    }
    if let Some(ambient) = h.zone(run_of.zone).ambient {
        let words = format!("leaves a rise of {}", rating.rise.show(units));
        fault = fault.at(ambient.span, &h.zone(run_of.zone).name, words);
    }
    if let Some(ceiling) = h.header.ceiling {
        fault = fault.limit(ceiling.span, format!("up to {:.0} ft", ceiling.value.inches() / 12.0));
    }
    if rating.ampacity == Current::ZERO {
        fault = fault.mend(amps::NO_RISE);
    }
    fault.seen("insulation that hardens and cracks in the middle of the bundle, where nobody sees it")
}
