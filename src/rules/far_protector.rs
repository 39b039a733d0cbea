//! Buses, supplies and the route in; breakers and fuses that lie far from the bus that feeds them out.

use std::collections::BTreeSet;

use super::{Facts, Fault, Rule, Source, Verdict};
use crate::diag::Severity;
use crate::graph::{BusWay, NoBusWay, Path, bus_ways};
use crate::harness::Harness;
use crate::quantity::{Length, Units};
use crate::trade::limit::Limit;
use crate::trade::protection::{bare_to_protector, covered_to_protector};

/// The rule.
pub static RULE: Rule = Rule {
    name: "far-protector",
    title: "A breaker or fuse is far from its bus",
    severity: Severity::Doubt,
    why: "Nothing opens the circuit for a fault before the protector: a wire that chafes through between the bus and its \
          breaker has all that battery and alternator can give.",
    limit: "as close as possible to the bus. The document gives no figure; the figures are those of the rule for boats, 33 \
            CFR 183.455 (b), from a copy: 7 in along the conductor, 40 in where it lies in a sheath or enclosure all the \
            way (here: under a covering in every run). The way is the shortest along the route from the place of the bus \
            (`at:` under `buses:`) to that of the supply, tails not counted",
    source: Source::Document { document: "FAA AC 43.13-1B", place: "par. 11-47" },
    remedy: "fit the breaker or fuse at the bus, or a second one there that protects the wire between",
    check,
};

fn check(facts: &Facts<'_>, verdict: &mut Verdict) {
    let h = facts.harness;
    let mut placeless = BTreeSet::new();
    let ways = bus_ways(h, facts.routing);
    if let Some(first) = ways.first().filter(|_| !h.buses.iter().any(|bus| bus.declared)) {
        let supply = h.device(first.supply);
        let reason = "where the buses are is not said, so how far breakers and fuses are from them is not known; add \
                      `buses:` with `at:`";
        verdict.not_judged(supply.span, &supply.name, reason);
        return;
    }
    for way in ways {
        let supply = h.device(way.supply);
        match (&way.way, way.bus) {
            (Ok(path), _) => {
                if path.length > allowed(h, &way).value {
                    verdict.finds(fault(facts, &way, path));
                }
            }
            (Err(NoBusWay::NoPlace), Some(bus)) => {
                let bus = h.bus(bus);
                if placeless.insert(bus.span) {
                    let reason = "where it is is not said (`at:` under `buses:`), so how far its breakers and fuses are \
                                  from it is not known";
                    verdict.not_judged(bus.span, &bus.name, reason);
                }
            }
            (Err(NoBusWay::NoRun), Some(bus)) => {
                let reason = format!("no way along the route leads from its bus `{}` to it", h.bus(bus).name);
                verdict.not_judged(supply.span, &supply.name, reason);
            }
            (Err(_), _) => {
                let reason = "which bus feeds it is not said (`bus:`)";
                verdict.not_judged(supply.span, &supply.name, reason);
            }
        }
    }
}

/// How far it may be.
fn allowed(h: &Harness, way: &BusWay) -> Limit<Length> {
    if way.is_covered(h) { covered_to_protector() } else { bare_to_protector() }
}

fn fault(facts: &Facts<'_>, way: &BusWay, path: &Path) -> Fault {
    let h = facts.harness;
    let units = h.header.units;
    let supply = h.device(way.supply);
    let what = way.protector.word();
    let bus = way.bus.map(|bus| h.bus(bus));
    let name = bus.map_or("", |bus| bus.name.as_str());
    let most = allowed(h, way);
    let how = match way.is_covered(h) {
        true => "where it is covered all the way",
        false => "where nothing covers it all the way",
    };
    // Not rounded for metric papers, so that the runs add up to the way.
    let told = |length: Length| match units {
        Units::Metric => length.to_string(),
        Units::Inch => length.show(units),
    };
    let [length, allowed] = match units {
        Units::Metric => [told(path.length), most.in_words(units)],
        Units::Inch => most.beside(path.length, units),
    };
    let mut fault = Fault::new(format!(
        "the {what} `{}` is {} along the route from its bus `{name}`; on boats {} are allowed {how}",
        supply.name, length, allowed,
    ))
    .at(supply.at_span.unwrap_or(supply.span), &supply.name, format!("the {what} is here"));
    for run in path.runs.iter().map(|run| h.run(*run)) {
        let bare = if run.cover.is_some() { "" } else { ", under no covering" };
        fault = fault.at(run.span, &run.name, format!("{}{bare}", told(run.length.value)));
    }
    if let Some((bus, at)) = bus.and_then(|bus| Some((bus, bus.at?))) {
        fault = fault.at(at.span, &bus.name, "its bus is here");
    }
    fault
        .by(format!("{}; {}", RULE.source.words(), most.source()))
        .seen("a wire that glows from the bus on when it chafes through, and nothing that opens")
}
