//! Thermocouple legs in; those that come to the gauge the wrong way round out, with the place where they swap.

use super::{Facts, Fault, Rule, Source, Verdict};
use crate::diag::Severity;
use crate::graph::ThermocoupleRun;
use crate::harness::PinId;
use crate::parts::words::Role;

/// The rule.
pub static RULE: Rule = Rule {
    name: "swapped-legs",
    title: "The legs of a thermocouple are swapped",
    severity: Severity::Stop,
    why: "The gauge reads lower as the engine gets hotter: an overheating cylinder looks like a cool one.",
    limit: "plus of the probe comes to plus of the gauge and minus to minus, pin by pin through every connector",
    source: Source::Physics(
        "thermocouple law: swapped legs give the pair's emf with the other sign (NIST Monograph 175)",
    ),
    remedy: "swap the two legs back at the place that is named, and nowhere else",
    check,
};

fn check(facts: &Facts<'_>, verdict: &mut Verdict) {
    for run in facts.thermocouples {
        let wired = [&run.plus, &run.minus].map(|leg| leg.pieces.len() > 1);
        if wired == [false, false] {
            continue;
        }
        let (Some(plus), Some(minus)) = (run.plus.end(), run.minus.end()) else {
            // A leg that ends in the open is another rule's; one that branches has no one end to judge.
            let sensor = facts.harness.device(run.sensor);
            if run.plus.ends.len() > 1 || run.minus.ends.len() > 1 {
                let reason = format!("a leg of `{}` branches to several pins", sensor.name);
                verdict.not_judged(sensor.span, &sensor.name, reason);
            }
            continue;
        };
        let (Some((port, at_plus)), Some((other, at_minus))) =
            (facts.harness.port_of(plus), facts.harness.port_of(minus))
        else {
            continue;
        };
        if !std::ptr::eq(port, other) || (at_plus, at_minus) != (Role::Minus, Role::Plus) {
            continue;
        }
        verdict.finds(fault(facts, run, plus, minus));
    }
}

fn fault(facts: &Facts<'_>, run: &ThermocoupleRun, plus: PinId, minus: PinId) -> Fault {
    let h = facts.harness;
    let sensor = &h.device(run.sensor).name;
    let changes = [Role::Plus, Role::Minus].map(|side| run.changes(h, side));
    let mut places: Vec<&str> = Vec::new();
    for change in &changes[0] {
        let name = facts.device_spot(change.at).1;
        if places.last() != Some(&name) {
            places.push(name);
        }
    }
    let where_to = match places.as_slice() {
        [] => String::new(),
        [one] => format!("; they swap at `{one}`"),
        more => format!(
            "; they swap at {}",
            more.iter().map(|p| format!("`{p}`")).collect::<Vec<_>>().join(", at ")
        ),
    };
    let mut fault = Fault::new(format!(
        "the legs of `{sensor}` are swapped: plus comes to `{}`, which is minus, and minus to `{}`, which is plus{where_to}",
        facts.pin_name(plus),
        facts.pin_name(minus),
    ));
    for (side, changes) in ["plus", "minus"].into_iter().zip(&changes) {
        for change in changes {
            let (span, id) = facts.spot(change.conductor);
            let text = if Some(change.at) == [plus, minus].into_iter().find(|p| *p == change.at) {
                format!("the {side} leg lands on `{}`", facts.pin_name(change.at))
            } else {
                let alloy = h.conductor(change.conductor).alloy.name();
                format!("the {side} leg goes on in {alloy} from `{}`", facts.pin_name(change.at))
            };
            fault = fault.at(span, id, text);
        }
    }
    if let [one] = places.as_slice() {
        fault = fault.mend(format!("exchange the two legs at `{one}`, and nowhere else"));
    }
    let (span, _) = facts.device_spot(plus);
    fault
        .at(facts.harness.device(run.sensor).span, sensor, "this probe")
        .limit(span, "polarity of these pins")
        .seen(facts.seen_at_gauge(run, "the reading goes the wrong way"))
}
