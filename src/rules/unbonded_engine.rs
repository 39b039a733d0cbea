//! Engines in; those out that nothing but the harness joins to the structure, or that are read across no bond.

use std::collections::BTreeSet;

use super::split_engine_ground::ground_pins;
use super::{Facts, Fault, Rule, Source, Verdict};
use crate::diag::Severity;
use crate::graph::engine_return::{bonded, grounded_structure};
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
    let grounded = grounded_structure(h);
    let of_kind = |kind| (0..h.bodies.len()).map(BodyId::at).filter(move |b| h.body(*b).kind == kind);
    for engine in of_kind(BodyKind::Engine) {
        let near = |body: BodyId| joined[body.index()] == joined[engine.index()];
        // Where nothing is grounded on the structure, any body of it will do.
        let ends = if !grounded.is_empty() {
            grounded.clone()
        } else if of_kind(BodyKind::Structure).any(near) {
            Vec::new()
        } else {
            of_kind(BodyKind::Structure).take(1).collect()
        };
        // What bonds join is one, and told once.
        let mut told = BTreeSet::from([joined[engine.index()]]);
        for end in ends {
            if told.insert(joined[end.index()]) {
                judge(facts, verdict, &joined, [engine, end]);
            }
        }
    }
}

/// An engine and a body of the structure that no bonds join.
fn judge(facts: &Facts, verdict: &mut Verdict, joined: &[usize], [engine, end]: [BodyId; 2]) {
    let h = facts.harness;
    let near = |body: BodyId| joined[body.index()] == joined[engine.index()];
    let far = |body: BodyId| joined[body.index()] == joined[end.index()];
    let (body, end) = (h.body(engine), &h.body(end).name);
    let wires = over_wires(facts, near, far);
    let across = |[a, b]: [BodyId; 2]| (near(a) && far(b)) || (near(b) && far(a));
    let senders: Vec<&Sender> =
        facts.ground.senders.iter().filter(|s| over_senders(facts, s).is_some_and(across)).collect();
    if wires.is_empty() && senders.is_empty() {
        if facts.electrical.nets().iter().any(|n| n.contacts.iter().any(|c| near(c.body))) {
            let reason = format!("no bond is given that leads from it to `{end}` (`bonds:`)");
            verdict.not_judged(body.span, &body.name, reason);
        }
        return;
    }
    let only = if wires.is_empty() { "" } else { ", and wires of the harness do" };
    let mut fault = Fault::new(format!("no bond joins `{}` to `{end}`{only}", body.name));
    let others = (0..h.bodies.len()).map(BodyId::at).filter(|b| *b != engine && near(*b));
    let others: Vec<String> = others.map(|b| format!("`{}`", h.body(b).name)).collect();
    let words = match others.as_slice() {
        [] => "joined to nothing by a bond".to_owned(),
        _ => format!("bonds join it to {} only", others.join(", ")),
    };
    fault = fault.at(body.span, &body.name, words);
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
    verdict.finds(fault.seen("a burnt instrument ground after the first start; senders that read nothing"));
}

/// Contacts of one net with a body on either side, one couple a net.
fn over_wires(
    facts: &Facts,
    near: impl Fn(BodyId) -> bool,
    far: impl Fn(BodyId) -> bool,
) -> Vec<[Contact; 2]> {
    let couple = |contacts: &[Contact]| {
        let one = contacts.iter().find(|c| near(c.body))?;
        let other = contacts.iter().find(|c| far(c.body))?;
        Some([*one, *other])
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
