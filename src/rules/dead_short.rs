//! Nets in; feeds out that copper alone joins to a body.

use std::collections::BTreeSet;

use super::{Facts, Fault, Rule, Source, Verdict};
use crate::diag::Severity;
use crate::graph::Through;
use crate::harness::{DeviceClass, DeviceId};

/// The rule.
pub static RULE: Rule = Rule {
    name: "dead-short",
    title: "A feed is wired straight to ground",
    severity: Severity::Stop,
    why: "Nothing but copper limits the current: the breaker opens at once, or the wire burns where there is none.",
    limit: "a load lies between a feed and every body",
    source: Source::Physics("Ohm's law: no resistance but the wire's own"),
    remedy: "part the two: one of these wires is on the wrong pin",
    check,
};

fn check(facts: &Facts<'_>, verdict: &mut Verdict) {
    let h = facts.harness;
    for (i, device) in h.devices.iter().enumerate() {
        if !matches!(device.class, DeviceClass::Supply { .. }) {
            continue;
        }
        let Some(pin) = h.pins_of(DeviceId::at(i)).next() else { continue };
        let mut told = BTreeSet::new();
        for contact in &facts.electrical.net(pin).contacts {
            let Some(way) = facts.electrical.way(pin, contact.pin).filter(|_| told.insert(contact.body))
            else {
                continue;
            };
            let body = h.body(contact.body);
            let mut fault = Fault::new(format!(
                "copper alone joins the feed `{}` to `{}`: nothing on the way takes its voltage",
                device.name, body.name
            ));
            for step in way {
                if let Through::Conductor(id) = step.through {
                    let (span, circuit) = facts.spot(id);
                    fault = fault.at(span, circuit, format!("wire `{}` is on the way", h.conductor(id).mark));
                }
            }
            let ground = h.device(contact.device);
            fault = fault.at(device.span, &device.name, "the feed").at(
                ground.span,
                &ground.name,
                format!("touches `{}`", body.name),
            );
            let guarded = matches!(
                device.class,
                DeviceClass::Supply { breaker: Some(_), .. } | DeviceClass::Supply { fuse: Some(_), .. }
            );
            verdict.finds(fault.seen(if guarded {
                "the breaker or fuse opens as soon as the bus is live"
            } else {
                "an arc when the bus is switched on, and a wire on fire"
            }));
        }
    }
}
