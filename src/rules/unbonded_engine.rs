//! Engines in; those out that nothing but the harness joins to the structure, or that are read across no bond.

use super::split_engine_ground::ground_pins;
use super::{Facts, Fault, Rule, Source, Verdict};
use crate::diag::Severity;
use crate::graph::engine_return::bonded;
use crate::graph::ground_network::Sender;
use crate::graph::{Contact, Scenario, Through, Unsure};
use crate::harness::{BodyId, PinId};
use crate::spec::words::BodyKind;

/// The rule.
pub static RULE: Rule = Rule {
    name: "unbonded-engine",
    title: "No bond joins an engine to the structure",
    severity: Severity::Stop,
    why: "An engine sits in rubber. Without a strap the starter and the alternator return through whatever joins it to the \
          machine, instrument wires among it, and a sender on one side is not read on the other.",
    limit: "where wires or readings lead from an engine to the structure, bonds do",
    source: Source::Physics("Kirchhoff's laws: what flows into a body flows out of it"),
    remedy: "fit a strap from the engine to the structure and write it down in `bonds:`",
    check,
};

fn check(facts: &Facts<'_>, verdict: &mut Verdict) {
    let h = facts.harness;
    let joined = bonded(h);
    let is = |body: BodyId, kind| h.body(body).kind == kind;
    let structure: Vec<BodyId> =
        (0..h.bodies.len()).map(BodyId::at).filter(|b| is(*b, BodyKind::Structure)).collect();
    for engine in (0..h.bodies.len()).map(BodyId::at).filter(|b| is(*b, BodyKind::Engine)) {
        let with = |body: BodyId| joined[body.index()] == joined[engine.index()];
        if structure.is_empty() || structure.iter().any(|b| with(*b)) {
            continue;
        }
        let body = h.body(engine);
        let across =
            |a: BodyId, b: BodyId| with(a) != with(b) && [a, b].iter().any(|c| structure.contains(c));
        let wires = over_wires(facts, &across);
        let senders: Vec<&Sender> = facts
            .ground
            .senders
            .iter()
            .filter(|s| over_senders(facts, s).is_some_and(|[a, b]| across(a, b)))
            .collect();
        if wires.is_empty() && senders.is_empty() {
            if facts.electrical.nets().iter().any(|n| n.contacts.iter().any(|c| c.body == engine)) {
                let reason = "no bond is given that leads from it to the structure (`bonds:`)";
                verdict.not_judged(body.span, &body.name, reason);
            }
            continue;
        }
        let only = if wires.is_empty() { "" } else { ", and wires of the harness do" };
        let mut fault = Fault::new(format!("no bond joins `{}` to the structure{only}", body.name));
        fault = fault.at(body.span, &body.name, "joined to nothing by a bond");
        for [from, to] in wires {
            for step in facts.electrical.way(from.pin, to.pin).unwrap_or_default() {
                if let Through::Conductor(id) = step.through {
                    let (span, circuit) = facts.spot(id);
                    let words = format!("`{}` is part of the only way there is", h.conductor(id).mark);
                    fault = fault.at(span, circuit, words);
                }
            }
        }
        for sender in senders {
            let device = h.device(sender.device);
            let reader = facts.device_spot(sender.reader).1;
            let words = format!("gives its signal across the gap to `{reader}`");
            fault = fault.at(device.span, &device.name, words);
        }
        verdict
            .finds(fault.seen("a burnt instrument ground after the first start; senders that read nothing"));
    }
}

/// Contacts of one net with bodies on both sides, one couple a net.
fn over_wires(facts: &Facts, across: &impl Fn(BodyId, BodyId) -> bool) -> Vec<[Contact; 2]> {
    let couple = |contacts: &[Contact]| {
        let first = contacts.first()?;
        let second = contacts.iter().find(|c| across(first.body, c.body))?;
        Some([*first, *second])
    };
    facts.electrical.nets().iter().filter_map(|net| couple(&net.contacts)).collect()
}

/// The bodies of the two zeros that nothing joins.
fn over_senders(facts: &Facts, sender: &Sender) -> Option<[BodyId; 2]> {
    let zeros = sender.zeros.as_ref().ok()?;
    let apart = |(scenario, offset): &(Scenario, Result<_, Unsure>)| {
        matches!((scenario, offset), (Scenario::Whole(_), Err(Unsure::Apart)))
    };
    if !sender.offsets.iter().any(apart) {
        return None;
    }
    let body = |pin: PinId| facts.electrical.net(pin).contacts.first().map(|c| c.body);
    let indicator = facts.harness.device(facts.harness.pin(zeros.reference).device);
    let reference = body(zeros.reference).or_else(|| ground_pins(indicator).into_iter().find_map(body));
    Some([zeros.body.or_else(|| body(zeros.sender))?, reference?])
}
