//! Currents and runs in; conductors of small signals that lie beside those of large currents out.

use std::collections::{BTreeMap, BTreeSet};

use super::amps::{Carried, Weighed};
use super::{Facts, Fault, Rule, Source, Verdict};
use crate::diag::Severity;
use crate::graph::Phase;
use crate::harness::{CircuitId, ConductorId, RunId};
use crate::parts::words::PortKind;
use crate::quantity::Length;
use crate::trade::coupling::large_current;

/// The rule.
pub static RULE: Rule = Rule {
    name: "mixed-currents",
    title: "Millivolts and large currents lie in one bundle",
    severity: Severity::Doubt,
    why: "A large current that changes (a pump that starts, a strobe, an alternator's ripple) couples into wires along \
          it, and on a thermocouple or a shunt lead a few microvolts are degrees and amperes.",
    limit: "no conductor that carries 5 A or more in a run with those of a thermocouple or millivolt circuit; \
            for what flows only while cranking, a note",
    source: Source::CommonPractice,
    remedy: "lead the two apart, the more the longer they lie side by side, and cross at right angles",
    check,
};

/// Small signals named one by one in a finding; the rest are counted.
const NAMED: usize = 6;

/// A circuit of a large current, and what lies beside it.
struct Beside {
    carries: Weighed,
    runs: Vec<RunId>,
    small: BTreeSet<CircuitId>,
}

fn check(facts: &Facts<'_>, verdict: &mut Verdict) {
    let h = facts.harness;
    let small: BTreeSet<CircuitId> =
        (0..h.circuits.len()).map(CircuitId::at).filter(|id| is_small(facts, *id)).collect();
    let large = large_current().value;
    // What flows for seconds weighs least; else the larger the more.
    let weight = |carries: &Weighed| (!passes(carries), carries.current);
    let mut found: BTreeMap<CircuitId, Beside> = BTreeMap::new();
    let mut told = BTreeSet::new();
    for (i, conductors) in facts.routing.in_run.iter().enumerate() {
        let circuit = |id: &ConductorId| h.conductor(*id).circuit;
        let here: BTreeSet<CircuitId> =
            conductors.iter().map(circuit).filter(|c| small.contains(c)).collect();
        if here.is_empty() {
            continue;
        }
        for id in conductors.iter().filter(|id| !small.contains(&circuit(id))) {
            let (carries, open) = match Carried::of(facts, *id) {
                Ok(carried) => (carried.at_least(large), carried.why_open(facts, large)),
                Err(why) => (None, Some(why)),
            };
            let Some(carries) = carries else {
                if let Some(why) = open.filter(|_| told.insert(circuit(id))) {
                    let (span, name) = facts.spot(*id);
                    let reason = format!("it lies beside thermocouple or millivolt wires, and {why}");
                    verdict.not_judged(span, name, reason);
                }
                continue;
            };
            let beside = found.entry(circuit(id)).or_insert_with(|| Beside {
                carries,
                runs: Vec::new(),
                small: BTreeSet::new(),
            });
            if weight(&carries) > weight(&beside.carries) {
                beside.carries = carries;
            }
            if beside.runs.last() != Some(&RunId::at(i)) {
                beside.runs.push(RunId::at(i));
                beside.small.extend(&here);
            }
        }
    }
    for (id, beside) in &found {
        verdict.finds(fault(facts, *id, beside));
    }
}

/// True for what flows only while the engine is cranked: the readings are back before anybody needs them.
fn passes(carries: &Weighed) -> bool {
    carries.phase == Some(Phase::Cranking)
}

/// True for a circuit of thermocouple or millivolt wires.
fn is_small(facts: &Facts<'_>, id: CircuitId) -> bool {
    let h = facts.harness;
    let kind = |pin| h.port_of(pin).map(|(port, _)| port.kind);
    let small = |kind: PortKind| kind == PortKind::Millivolt || kind.thermocouple().is_some();
    h.conductors_of(id)
        .any(|c| [h.conductor(c).from, h.conductor(c).to].into_iter().any(|p| kind(p).is_some_and(small)))
}

fn fault(facts: &Facts<'_>, id: CircuitId, beside: &Beside) -> Fault {
    let h = facts.harness;
    let units = h.header.units;
    let circuit = h.circuit(id);
    let along: Length = beside.runs.iter().map(|run| h.run(*run).length.value).sum();
    let more = beside.small.len().saturating_sub(NAMED);
    let more = if more > 0 { format!(" and {more} more") } else { String::new() };
    let named = beside.small.iter().take(NAMED);
    let names: Vec<String> = named.clone().map(|c| format!("`{}`", h.circuit(*c).name)).collect();
    let mut fault = Fault::new(format!(
        "`{}`, {}, lies beside {}{more} over {}",
        circuit.name,
        beside.carries.words(units),
        names.join(", "),
        along.show(units),
    ))
    .at(circuit.span, &circuit.name, format!("carries {}", beside.carries.words(units)));
    for run in &beside.runs {
        fault = fault.at(h.run(*run).span, &h.run(*run).name, "both lie here");
    }
    for c in named {
        fault = fault.at(h.circuit(*c).span, &h.circuit(*c).name, "measures millivolts");
    }
    if passes(&beside.carries) {
        fault = fault.weighs(Severity::Note);
    }
    fault.seen("readings that jump when something large is switched")
}
