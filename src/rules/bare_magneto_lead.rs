//! Devices on the primary circuit of a magneto in; wires to them that have no screen out.

use std::collections::BTreeMap;

use super::{Facts, Fault, Rule, Source, Verdict};
use crate::diag::Severity;
use crate::harness::{CircuitId, ConductorId, DeviceId};
use crate::parts::words::Role;

/// The rule.
pub static RULE: Rule = Rule {
    name: "bare-magneto-lead",
    title: "The wire of a magneto's primary circuit is not screened",
    severity: Severity::Doubt,
    why: "The primary circuit of a magneto carries pulses of some hundred volts: an unscreened wire sends them through \
          the radio and into every wire beside it.",
    limit: "every wire to a device that taps the primary circuit of a magneto lies under a screen",
    source: Source::CommonPractice,
    remedy: "name a screened wire (`wire: screened-1-20`) and tie its screen as the maker says (`screen:`)",
    check,
};

fn check(facts: &Facts<'_>, verdict: &mut Verdict) {
    let h = facts.harness;
    for (i, device) in h.devices.iter().enumerate().filter(|(_, d)| d.taps_magneto) {
        let mut bare: BTreeMap<CircuitId, ConductorId> = BTreeMap::new();
        for pin in h.pins_of(DeviceId::at(i)) {
            // Its ground is no part of what radiates.
            let ground = matches!(h.port_of(pin), Some((_, Role::Ground | Role::Return | Role::Shield)));
            if ground || device.on_case.contains(&pin) {
                continue;
            }
            for c in facts.electrical.conductors_over(h, pin).into_iter().filter(|c| !facts.is_screened(*c)) {
                bare.entry(h.conductor(c).circuit).or_insert(c);
            }
        }
        for c in bare.values() {
            let (span, circuit) = facts.spot(*c);
            let fault = Fault::new(format!(
                "circuit `{circuit}` leads to the primary circuit of a magneto at `{}` and is not screened",
                device.name
            ));
            let fault =
                fault.at(span, circuit, "no screen").at(device.span, &device.name, "taps the magneto");
            let fault = match h.conductor(*c).wire_span {
                Some(span) => fault.limit(span, "the wire is chosen here"),
                None => fault,
            };
            verdict
                .finds(fault.seen("ticking in the headset, and readings that jump with the engine's speed"));
        }
    }
}
