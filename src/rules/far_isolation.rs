//! Isolating components of magneto leads, and where magnetos are, in; those that are not at a magneto out.

use super::{Facts, Fault, Rule, Source, Verdict};
use crate::diag::Severity;
use crate::harness::{Device, DeviceId};

/// The rule.
pub static RULE: Rule = Rule {
    name: "far-isolation",
    title: "What isolates a magneto is not at the magneto",
    severity: Severity::Doubt,
    why: "The wire between the magneto and its isolating resistor is the magneto's own: where it chafes through to metal, \
          the magneto stops. Behind the resistor a fault stops the reading only.",
    limit: "the component that isolates is at a place with `magneto: true`, and every tap of a primary circuit has one",
    source: Source::CommonPractice,
    remedy: "mount the isolating component at the magneto, as its maker says",
    check,
};

fn check(facts: &Facts<'_>, verdict: &mut Verdict) {
    let h = facts.harness;
    let known = h.places.iter().any(|p| p.magneto.is_some());
    for (i, device) in h.devices.iter().enumerate() {
        if device.isolates {
            isolating(facts, device, known, verdict);
        } else if device.taps_magneto && !isolated_further_on(facts, DeviceId::at(i)) {
            let fault = Fault::new(format!(
                "`{}` taps the primary circuit of a magneto, and nothing isolates it",
                device.name
            ));
            verdict.finds(
                fault
                    .at(device.span, &device.name, "its part isolates nothing, nor does what it is wired to")
                    .mend("fit a tap with an isolating resistor, or one in the lead at the magneto")
                    .seen("a magneto that stops when this wire touches metal"),
            );
        }
    }
}

fn isolating(facts: &Facts<'_>, device: &Device, known: bool, verdict: &mut Verdict) {
    let h = facts.harness;
    let Some(place) = device.place.map(|p| h.place(p)) else { return };
    if place.magneto.is_some() {
        return;
    }
    if !known {
        let reason = "no place says that a magneto is there (`magneto: true` under `places:`)";
        verdict.not_judged(device.span, &device.name, reason);
        return;
    }
    let mut fault = Fault::new(format!(
        "`{}` isolates a magneto and is at `{}`, where no magneto is",
        device.name, place.name
    ))
    .at(device.at_span.unwrap_or(device.span), &device.name, "mounted here");
    for magneto in h.places.iter().filter_map(|p| Some((p, p.magneto?))) {
        fault = fault.at(magneto.1, &magneto.0.name, "a magneto is here");
    }
    verdict.finds(fault.seen("a magneto that stops when the wire before it touches metal"));
}

/// True where something that isolates is wired to it.
fn isolated_further_on(facts: &Facts<'_>, id: DeviceId) -> bool {
    let h = facts.harness;
    let wired = h.pins_of(id).flat_map(|p| facts.electrical.wired(p));
    wired.map(|p| h.device(h.pin(*p).device)).any(|d| d.isolates)
}
