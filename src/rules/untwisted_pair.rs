//! Pairs that carry millivolts in; those whose legs are not twisted out.

use std::collections::BTreeMap;

use super::{Facts, Fault, Rule, Source, Verdict};
use crate::diag::Severity;
use crate::harness::{CircuitId, ConductorId};
use crate::parts::words::PortKind;
use crate::spec::words::Hazard;

/// The rule.
pub static RULE: Rule = Rule {
    name: "untwisted-pair",
    title: "A pair that carries millivolts is not twisted",
    severity: Severity::Note,
    why: "Two legs side by side are one long loop; twisted, each turn takes back what the turn before it picked up. A \
          degree of a thermocouple is 0.04 mV.",
    limit: "thermocouples and shunts have wire that is twisted as made (`lay:` of the part) or by the shop (`twist:`); \
            a doubt where the pair shares a zone or run with ignition or charging",
    source: Source::Physics("law of induction: the areas of two turns of a twist face opposite ways"),
    remedy: "name a twisted pair (`wire:`), or let the shop twist the legs (`twist: 25 mm`)",
    check,
};

fn check(facts: &Facts<'_>, verdict: &mut Verdict) {
    let h = facts.harness;
    for pair in facts.pairs {
        // Legs and their circuits: one cause, one finding.
        let mut loose: BTreeMap<CircuitId, Vec<ConductorId>> = BTreeMap::new();
        for c in pair.conductors().filter(|c| !facts.is_twisted(*c)) {
            loose.entry(h.conductor(c).circuit).or_default().push(c);
        }
        let device = h.device(pair.device);
        let carries = match pair.kind {
            PortKind::Millivolt => "the millivolts of a shunt",
            _ => "a thermocouple",
        };
        let loud = loose.values().flatten().find_map(|c| beside(facts, *c));
        let mut parts: Vec<&str> = loose.keys().map(|c| h.circuit(*c).name.as_str()).collect();
        parts.dedup();
        let Some(first) = parts.first() else { continue };
        let who = match parts.len() - 1 {
            0 => format!("circuit `{first}` carries"),
            more => format!("circuit `{first}` and {more} more carry"),
        };
        let near = loud.map_or_else(String::new, |(what, place)| format!(", near {what} in `{place}`"));
        let mut fault =
            Fault::new(format!("{who} {carries} of `{}` over wires that are not twisted{near}", device.name));
        for c in loose.values().flatten() {
            let (span, circuit) = facts.spot(*c);
            fault = fault.at(span, circuit, "not twisted");
        }
        if let Some(span) = loose.values().flatten().find_map(|c| h.conductor(*c).wire_span) {
            fault = fault.limit(span, "the wire is chosen here");
        }
        if loud.is_some() {
            fault = fault.weighs(Severity::Doubt);
        }
        verdict.finds(
            fault
                .at(device.span, &device.name, "gives millivolts")
                .seen("a reading that jumps with the engine's speed or with electrical load"),
        );
    }
}

/// What a conductor passes that gives off noise, and the run or zone of it.
fn beside<'a>(facts: &Facts<'a>, c: ConductorId) -> Option<(&'static str, &'a str)> {
    let h = facts.harness;
    let loud = |hazards: &[Hazard]| {
        hazards.iter().find(|x| matches!(x, Hazard::Ignition | Hazard::Charging)).map(|x| x.words())
    };
    let runs = || facts.routing.path_of(h, c).into_iter().flat_map(|p| p.runs.iter().map(|r| h.run(*r)));
    let by_run = runs().find_map(|run| Some((loud(&run.beside)?, run.name.as_str())));
    by_run.or_else(|| {
        runs().map(|run| h.zone(run.zone)).find_map(|z| Some((loud(&z.hazards)?, z.name.as_str())))
    })
}
