//! Probes that change places and the lengths of their leads in; leads that do not reach out.

use super::{Facts, Fault, Rule, Source, Verdict};
use crate::diag::{Severity, Span};
use crate::graph::Reach;
use crate::harness::{Device, DeviceClass, DeviceId, Located, PinId, PlaceId};
use crate::quantity::{Length, lengths_beside};

/// The rule.
pub static RULE: Rule = Rule {
    name: "reach",
    title: "A lead does not reach the neighbouring cylinder",
    severity: Severity::Stop,
    why: "When a reading is doubted, the probe is traded with its neighbour's; with a lead too short that cannot be done, \
          or the lead is pulled tight across the engine.",
    limit: "the lead, or the wire with its tails, reaches from where it starts to the neighbour (`trades-with:`)",
    source: Source::CommonPractice,
    remedy: "cut the wire to reach the farther of the two, or end the probe's lead at a place between them",
    check,
};

fn check(facts: &Facts<'_>, verdict: &mut Verdict) {
    let mut reach = Reach::over(facts.routing);
    for (i, device) in facts.harness.devices.iter().enumerate() {
        for other in &device.trades_with {
            own_lead(facts, &mut reach, device, other, verdict);
            wires(facts, &mut reach, DeviceId::at(i), other, verdict);
        }
    }
}

/// Where a device's own leads end: where the harness meets it.
fn lead_end(facts: &Facts<'_>, id: DeviceId) -> Option<PlaceId> {
    let device = facts.harness.device(id);
    device.lead_ends_at.map(|at| at.value).or(facts.routing.place_of[id.index()])
}

/// Mounted at the neighbour, the probe's own lead must still come to where it ends now.
fn own_lead(
    facts: &Facts<'_>,
    reach: &mut Reach<'_>,
    device: &Device,
    other: &Located<DeviceId>,
    verdict: &mut Verdict,
) {
    let h = facts.harness;
    let units = h.header.units;
    let Some(end) = &device.lead_ends_at else { return };
    let Some(there) = h.device(other.value).place else { return };
    let neighbour = &h.device(other.value).name;
    let Some(lead) = device.lead else {
        verdict.not_judged(device.span, &device.name, "the length of its own lead is not given (`lead:`)");
        return;
    };
    // From where the leads end: that place serves several probes.
    let Some(needed) = reach.distance(end.value, there) else {
        verdict.not_judged(
            other.span,
            &device.name,
            format!("no way along the route leads to `{neighbour}`"),
        );
        return;
    };
    if lead.value >= needed {
        return;
    }
    let [long, takes] = lengths_beside(lead.value, needed, units);
    let mut fault = Fault::new(format!(
        "the lead of `{}` is {long} long; from `{neighbour}` to `{}` it takes {takes}",
        device.name,
        h.place(end.value).name,
    ))
    .at(other.span, &device.name, format!("trades places with `{neighbour}`"))
    .at(end.span, &device.name, "the lead ends here");
    fault = fault.mend(format!(
        "fit a probe with a lead of {takes} or more, or end the lead nearer to both (`lead-ends-at:`)"
    ));
    if let Some(span) = lead.span {
        fault = fault.limit(span, format!("lead of {long}"));
    }
    verdict.finds(fault.seen("the probe cannot be traded to find out whether probe or cylinder is at fault"));
}

/// Wires of a length that is declared must reach to where the neighbour's leads end.
fn wires(
    facts: &Facts<'_>,
    reach: &mut Reach<'_>,
    id: DeviceId,
    other: &Located<DeviceId>,
    verdict: &mut Verdict,
) {
    let h = facts.harness;
    let units = h.header.units;
    let mut told: Option<Span> = None;
    for pin in h.pins_of(id) {
        for c in facts.electrical.conductors_at(pin) {
            let conductor = h.conductor(*c);
            let circuit = h.circuit(conductor.circuit);
            let Some(length) = circuit.length else { continue };
            // Both legs of a pair have one length and one fault.
            if told == Some(circuit.span) || conductor.drain {
                continue;
            }
            let far = if conductor.from == pin { conductor.to } else { conductor.from };
            let (Some(start), Some(there)) =
                (facts.routing.place_of_pin(h, far), lead_end(facts, other.value))
            else {
                continue;
            };
            let Some(run) = reach.distance(start, there) else { continue };
            let tails = tail(facts, far) + h.device(other.value).tail.value;
            let needed = run + tails;
            if length.value >= needed {
                continue;
            }
            told = Some(circuit.span);
            let neighbour = h.device(other.value);
            let (span, name) = facts.spot(*c);
            let [long, need] = lengths_beside(length.value, needed, units);
            verdict.finds(
                Fault::new(format!(
                    "the wires of circuit `{name}` are {long} long; to reach `{}` they need {need}: {} along the route and {} of tails",
                    neighbour.name,
                    run.show(units),
                    tails.show(units)
                ))
                .at(span, name, "too short to trade places")
                .at(other.span, &h.device(id).name, format!("trades places with `{}`", neighbour.name))
                .mend(format!("cut them {need} long or longer"))
                .limit(length.span, format!("{long} long"))
                .seen("a lead pulled tight across the engine, or a probe that cannot be traded"),
            );
        }
    }
}

/// Tail at the far end; none inside a splice.
fn tail(facts: &Facts<'_>, pin: PinId) -> Length {
    let device = facts.harness.device(facts.harness.pin(pin).device);
    match device.class {
        DeviceClass::Splice { .. } => Length::ZERO,
        _ => device.tail.value,
    }
}
