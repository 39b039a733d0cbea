//! Paths in; circuits and ports whose wires go through different holes of one barrier out.

use std::collections::{BTreeMap, BTreeSet};

use super::{Facts, Fault, Rule, Source, Verdict};
use crate::diag::Severity;
use crate::harness::{BarrierId, CircuitId, ConductorId, HoleId};
use crate::parts::words::PortKind;

/// The rule.
pub static RULE: Rule = Rule {
    name: "split-crossing",
    title: "The legs of a circuit cross a barrier through different holes",
    severity: Severity::Stop,
    why: "Two legs apart form a loop that picks up the ignition and the alternator; a thermocouple's legs then also lie \
          at different temperatures.",
    limit: "all legs of a circuit or port pass a barrier through the same hole",
    source: Source::CommonPractice,
    remedy: "lay the legs together: give them one `through:`",
    check,
};

fn check(facts: &Facts<'_>, verdict: &mut Verdict) {
    let h = facts.harness;
    // What was told of a circuit is not told again of the ports at its ends.
    let mut told: BTreeSet<Vec<ConductorId>> = BTreeSet::new();
    for (i, circuit) in h.circuits.iter().enumerate() {
        // The ends of a join may lie anywhere: its wires are no legs of one signal.
        if circuit.joint.is_none() {
            let who = format!("circuit `{}`", circuit.name);
            judge(facts, &who, h.conductors_of(CircuitId::at(i)), &mut told, verdict);
        }
    }
    for device in &h.devices {
        for port in &device.ports {
            if !matches!(port.kind, PortKind::PowerIn | PortKind::Ground | PortKind::Shield | PortKind::Lamp)
            {
                let who = format!("port `{}.{}`", device.name, port.name);
                let wires = port.pins.iter().flat_map(|(_, p)| facts.electrical.conductors_at(*p)).copied();
                judge(facts, &who, wires.filter(|c| !h.conductor(*c).drain), &mut told, verdict);
            }
        }
    }
}

/// Tells where these wires, which belong together, part at a barrier.
fn judge(
    facts: &Facts<'_>,
    who: &str,
    wires: impl Iterator<Item = ConductorId>,
    told: &mut BTreeSet<Vec<ConductorId>>,
    verdict: &mut Verdict,
) {
    let h = facts.harness;
    // What is laid together cannot part.
    let wires: Vec<ConductorId> = wires.collect();
    let lays = || wires.iter().map(|c| h.conductor(*c).lay);
    if lays().zip(lays().skip(1)).all(|(a, b)| a == b) {
        return;
    }
    // Of each barrier, the holes that are passed and the first wire through each.
    let mut holes: BTreeMap<BarrierId, BTreeMap<HoleId, ConductorId>> = BTreeMap::new();
    for c in wires {
        for hole in facts.holes_of(c) {
            holes.entry(h.hole(hole).barrier).or_default().entry(hole).or_insert(c);
        }
    }
    for (barrier, through) in holes.iter().filter(|(_, through)| through.len() > 1) {
        let mut parted: Vec<ConductorId> = through.values().copied().collect();
        parted.sort_unstable();
        parted.dedup();
        // A wire that crosses twice by itself is another rule's.
        if parted.len() < 2 || !told.insert(parted) {
            continue;
        }
        let names: Vec<String> = through.keys().map(|hole| format!("`{}`", h.hole(*hole).name)).collect();
        let mut fault = Fault::new(format!(
            "the legs of {who} cross `{}` through different holes: {}",
            h.barrier(*barrier).name,
            names.join(" and ")
        ));
        for (hole, c) in through {
            let (span, circuit) = facts.spot(*c);
            fault = fault.at(
                span,
                circuit,
                format!("`{}` passes `{}`", h.conductor(*c).mark, h.hole(*hole).name),
            );
        }
        for hole in through.keys() {
            fault = fault.at(h.hole(*hole).span, &h.hole(*hole).name, "one of the holes");
        }
        verdict.finds(fault.seen("a reading that jumps with the engine's speed or with electrical load"));
    }
}
