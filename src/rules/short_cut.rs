//! Declared lengths and the ways of the wires in; wires that do not reach from end to end out.

use super::{Facts, Fault, Rule, Source, Verdict};
use crate::diag::Severity;
use crate::harness::{CircuitId, ConductorId, DeviceClass, PinId};
use crate::quantity::{Length, Units};

/// The rule.
pub static RULE: Rule = Rule {
    name: "short-cut",
    title: "A wire is shorter than its way",
    severity: Severity::Stop,
    why: "It is found out when it hangs short of its pin, after everything else of the bundle is in; or it is pulled \
          tight across what moves and what is hot.",
    limit: "`length:` of a circuit, against the runs on its way and the tails at both ends",
    source: Source::Declared("the spec: lengths of the runs, `tail:` of the shop or device"),
    remedy: "cut it anew, or correct `length:` or the runs",
    check,
};

fn check(facts: &Facts<'_>, verdict: &mut Verdict) {
    let h = facts.harness;
    for (i, circuit) in h.circuits.iter().enumerate() {
        let Some(declared) = circuit.length else { continue };
        let needs = |id| Some((need(facts, id)?, id));
        // The one that lacks most stands for all conductors of the circuit.
        let farthest = h.conductors_of(CircuitId::at(i)).filter_map(needs).max_by_key(|(n, _)| n.0 + n.1);
        let Some(((runs, tails), id)) = farthest.filter(|((runs, tails), _)| *runs + *tails > declared.value)
        else {
            continue;
        };
        let c = h.conductor(id);
        let (span, name) = facts.spot(id);
        let needed = runs + tails;
        let fault = Fault::new(format!(
            "the wires of circuit `{name}` are {} long; from `{}` to `{}` they need {}: {} along the route and {} of tails",
            declared.value.show(Units::Metric),
            facts.pin_name(c.from),
            facts.pin_name(c.to),
            needed.show(Units::Metric),
            runs.show(Units::Metric),
            tails.show(Units::Metric)
        ))
        .at(declared.span, name, format!("{} too short", (needed - declared.value).show(Units::Metric)))
        .at(span, name, format!("`{}` takes the longest way", c.mark));
        verdict.finds(fault.seen("a wire that hangs short of its pin, or is pulled tight across the engine"));
    }
}

/// Length of its runs, and of the tails at both ends. None for a conductor without a way, which another rule tells.
fn need(facts: &Facts<'_>, id: ConductorId) -> Option<(Length, Length)> {
    let c = facts.harness.conductor(id);
    let path = facts.routing.path_of(facts.harness, id)?;
    Some((path.length, tail(facts, c.from) + tail(facts, c.to)))
}

/// Tail at an end; none inside a splice.
fn tail(facts: &Facts<'_>, pin: PinId) -> Length {
    let device = facts.harness.device(facts.harness.pin(pin).device);
    match device.class {
        DeviceClass::Splice { .. } => Length::ZERO,
        _ => device.tail.value,
    }
}
