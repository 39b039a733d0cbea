//! Paths in; circuits whose legs go through different holes of one barrier out.

use std::collections::BTreeMap;

use super::{Facts, Fault, Rule, Source, Verdict};
use crate::diag::Severity;
use crate::harness::{BarrierId, CircuitId, ConductorId, HoleId};

/// The rule.
pub static RULE: Rule = Rule {
    name: "split-crossing",
    title: "The legs of a circuit cross a barrier through different holes",
    severity: Severity::Stop,
    why: "Two legs apart form a loop that picks up the ignition and the alternator; a thermocouple's legs then also lie \
          at different temperatures.",
    limit: "all legs of a circuit pass a barrier through the same hole",
    source: Source::CommonPractice,
    remedy: "lay the legs together: give the circuit one `through:`",
    check,
};

fn check(facts: &Facts<'_>, verdict: &mut Verdict) {
    let h = facts.harness;
    for (i, circuit) in h.circuits.iter().enumerate() {
        // The ends of a join may lie anywhere: its wires are no legs of one signal.
        if circuit.joint.is_some() || circuit.conductor_count < 2 {
            continue;
        }
        let mut holes: BTreeMap<BarrierId, BTreeMap<HoleId, ConductorId>> = BTreeMap::new();
        for c in h.conductors_of(CircuitId::at(i)) {
            for hole in facts.holes_of(c) {
                holes.entry(h.hole(hole).barrier).or_default().entry(hole).or_insert(c);
            }
        }
        for (barrier, through) in holes.iter().filter(|(_, through)| through.len() > 1) {
            // A leg that crosses twice by itself is another rule's.
            let legs: std::collections::BTreeSet<u32> =
                through.values().map(|c| h.conductor(*c).leg).collect();
            if legs.len() < 2 {
                continue;
            }
            let names: Vec<String> = through.keys().map(|hole| format!("`{}`", h.hole(*hole).name)).collect();
            let mut fault = Fault::new(format!(
                "the legs of circuit `{}` cross `{}` through different holes: {}",
                circuit.name,
                h.barrier(*barrier).name,
                names.join(" and ")
            ));
            for (hole, c) in through {
                let name = &h.hole(*hole).name;
                fault = fault.at(h.conductor(*c).span, &circuit.name, format!("this leg passes `{name}`"));
            }
            for hole in through.keys() {
                fault = fault.at(h.hole(*hole).span, &h.hole(*hole).name, "one of the holes");
            }
            verdict.finds(fault.seen("a reading that jumps with the engine's speed or with electrical load"));
        }
    }
}
