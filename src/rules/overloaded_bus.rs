//! Loads by bus and phase in; buses that give more than their source can out.

use super::{Facts, Fault, Rule, Source, Verdict};
use crate::diag::Severity;
use crate::graph::{BusLoad, bus_loads};
use crate::harness::{Bus, Located};
use crate::quantity::{Current, beside};
use crate::trade::source_load::watched_above;

/// The rule.
pub static RULE: Rule = Rule {
    name: "overloaded-bus",
    title: "A bus gives more than its source can",
    severity: Severity::Stop,
    why: "What the source does not give comes out of the battery, until it is flat and everything on the bus goes out.",
    limit: "in each phase: all continuous loads, those of this harness and `others:`, at most the `source:` (stop) and at \
            most 80 percent of it where no placard or monitor watches the load (doubt); with the intermittent loads at \
            most the source (doubt). The 80 percent are a rule of thumb of the document, not a load analysis",
    source: Source::Document { document: "FAA AC 43.13-1B CHG 1", place: "par. 11-35a" },
    remedy: "take loads off the bus in that phase, watch it with a load meter and a placard, or fit a larger source",
    check,
};

fn check(facts: &Facts<'_>, verdict: &mut Verdict) {
    let h = facts.harness;
    for load in bus_loads(h, facts.feeds) {
        let bus = h.bus(load.bus);
        let feeds_any = facts.feeds.iter().any(|f| f.bus == Some(load.bus));
        let Some(source) = bus.source else {
            if feeds_any {
                let reason = "what its source gives is not said (`source:` under `buses:`)";
                verdict.not_judged(bus.span, &bus.name, reason);
            }
            continue;
        };
        let phase = load.phase.map_or_else(String::new, |p| format!(" in `{}`", h.phases[p.index()]));
        let known = load.known();
        let mostly = source.value * watched_above().value;
        let (severity, drawn, words) = if known > source.value {
            (Severity::Stop, known, "continuously")
        } else {
            // What is not known may make it worse, whatever is found without it.
            unjudged(facts, bus, &load, &phase, verdict);
            if known + load.intermittent > source.value {
                (Severity::Doubt, known + load.intermittent, "with what runs for short times")
            } else if known > mostly {
                (Severity::Doubt, known, "continuously, which is more than 80 % of it")
            } else {
                continue;
            }
        };
        verdict.finds(fault(facts, bus, source, &load, (drawn, words, &phase)).weighs(severity));
    }
}

fn unjudged(facts: &Facts<'_>, bus: &Bus, load: &BusLoad, phase: &str, verdict: &mut Verdict) {
    if let Some(silent) = load.unknown.first() {
        let name = silent.pin().map_or("a load", |pin| facts.pin_name(pin));
        let reason = format!("nobody says how much `{name}` takes{phase}; write `current:` at its circuit");
        verdict.not_judged(bus.span, &bus.name, reason);
    } else if load.others.is_none() {
        verdict.not_judged(bus.span, &bus.name, "what else draws from it is not said (`others:`)");
    }
}

fn fault(
    facts: &Facts<'_>,
    bus: &Bus,
    source: Located<Current>,
    load: &BusLoad,
    (drawn, words, phase): (Current, &str, &str),
) -> Fault {
    let h = facts.harness;
    let units = h.header.units;
    let mostly = source.value * watched_above().value;
    let shown = |current: Current| current.show(units);
    let [of_source, gives] = beside(drawn, source.value, shown);
    let [of_most, mostly] = beside(drawn, mostly, shown);
    // What is over the one limit or the other is told as fine as it takes to see it.
    let drawn = if drawn > source.value { of_source } else { of_most };
    let mut fault =
        Fault::new(format!("`{}` gives {drawn}{phase} {words}; its source gives {gives}", bus.name))
            .at(bus.span, &bus.name, "this bus");
    if let Some(others) = load.others {
        fault = fault.at(others.span, &bus.name, format!("the rest draws {}", others.value.show(units)));
    }
    for fed in facts.feeds.iter().filter(|f| f.bus == Some(load.bus)).flat_map(|f| &f.loads) {
        let draws = fed.during.is_empty() || load.phase.is_none_or(|p| fed.during.contains(&p));
        if let (true, Some(current)) = (draws, fed.load.current) {
            let device = h.device(fed.load.device);
            let (span, name) =
                fed.circuit.map_or((device.span, &device.name), |c| (h.circuit(c).span, &h.circuit(c).name));
            fault = fault.at(span, name, format!("draws {}", current.show(units)));
        }
    }
    fault
        .limit(source.span, format!("{gives} for good; 80 % of it is {mostly}"))
        .seen("a battery that goes flat in flight or at sea while everything seems to work")
}
