//! Supplies and power pins in; what is fed without breaker or fuse out.

use std::collections::BTreeSet;

use super::{Facts, Fault, Rule, Source, Verdict};
use crate::diag::Severity;
use crate::harness::{DeviceClass, DeviceId, PinId};
use crate::parts::words::{PortKind, Role};

/// The rule.
pub static RULE: Rule = Rule {
    name: "unfused-supply",
    title: "A wire is fed without breaker or fuse",
    severity: Severity::Stop,
    why: "If it chafes through to metal, nothing opens the circuit: the wire glows and takes the bundle with it.",
    limit: "a breaker or fuse between every feed and its wires, as near to the bus as can be",
    source: Source::Document { document: "FAA AC 43.13-1B", place: "par. 11-47" },
    remedy: "feed it from a breaker or fuse, and write its rating at the supply (`breaker:` or `fuse:`)",
    check,
};

fn check(facts: &Facts<'_>, verdict: &mut Verdict) {
    let h = facts.harness;
    let fed: BTreeSet<PinId> = facts.feeds.iter().flat_map(|feed| feed.behind.pins.iter().copied()).collect();
    for (i, device) in h.devices.iter().enumerate() {
        match &device.class {
            DeviceClass::Supply { breaker: None, fuse: None, .. } => {
                let wires = h.pins_of(DeviceId::at(i)).flat_map(|p| facts.electrical.conductors_at(p));
                let mut fault = Fault::new(format!(
                    "`{}` feeds the harness without breaker or fuse",
                    device.name
                ))
                .at(device.span, &device.name, "no `breaker:` and no `fuse:` here");
                let mut any = false;
                for c in wires {
                    let (span, circuit) = facts.spot(*c);
                    fault = fault.at(span, circuit, "fed from it");
                    any = true;
                }
                if any {
                    verdict.finds(fault.seen("smoke and a burnt bundle when this wire touches metal"));
                }
            }
            DeviceClass::Equipment | DeviceClass::Sensor => power_pins(facts, DeviceId::at(i), &fed, verdict),
            _ => {}
        }
    }
}

/// Power pins that no supply feeds, switches closed.
fn power_pins(facts: &Facts<'_>, id: DeviceId, fed: &BTreeSet<PinId>, verdict: &mut Verdict) {
    let h = facts.harness;
    let device = h.device(id);
    let takes_power = |kind| matches!(kind, PortKind::PowerIn | PortKind::Lamp);
    for port in device.ports.iter().filter(|p| takes_power(p.kind)) {
        for pin in port.pins.iter().filter(|(role, _)| *role == Role::Supply).map(|(_, pin)| *pin) {
            if !facts.is_wired(pin) || fed.contains(&pin) {
                continue;
            }
            let net = || facts.electrical.net(pin).pins.iter().copied();
            let class = |p: PinId| &h.device(h.pin(p).device).class;
            let Some(c) = facts.electrical.conductors_at(pin).first() else { continue };
            let (span, circuit) = facts.spot(*c);
            let device_of = |p: PinId| h.device(h.pin(p).device);
            let stud = net().find(|p| matches!(class(*p), DeviceClass::Stud { .. })).map(device_of);
            // A switch or relay may feed it; what only takes power itself does not.
            let a_load =
                |p: PinId| matches!(h.port_of(p), Some((port, Role::Supply)) if takes_power(port.kind));
            let feeds = |p: &PinId| {
                h.pin(*p).device != id && matches!(class(*p), DeviceClass::Equipment) && !a_load(*p)
            };
            let through = net().find(feeds).map(|p| (h.pin(p).device, device_of(p)));
            let several = |device| facts.feeds.iter().any(|feed| feed.behind.unsure.contains(&device));
            match (stud, through) {
                (_, Some((at, other))) if several(at) => verdict.not_judged(
                    span,
                    circuit,
                    format!(
                        "`{}` is fed through `{}`; from which of its feeds is not said (`links:` of its part)",
                        facts.pin_name(pin),
                        other.name
                    ),
                ),
                (_, Some((_, other))) => verdict.not_judged(
                    span,
                    circuit,
                    format!(
                        "`{}` is fed through `{}`; what feeds that is not in the spec",
                        facts.pin_name(pin),
                        other.name
                    ),
                ),
                (Some(stud), None) => verdict.finds(
                    Fault::new(format!(
                        "`{}` is fed straight from the stud `{}`, with no breaker or fuse before it",
                        facts.pin_name(pin),
                        stud.name
                    ))
                    .at(span, circuit, "this feed")
                    .at(stud.span, &stud.name, "no supply with breaker or fuse leads here")
                    .seen("smoke and a burnt bundle when this wire touches metal"),
                ),
                (None, None) => verdict.finds(
                    Fault::new(format!("no supply feeds `{}`", facts.pin_name(pin)))
                        .at(span, circuit, "comes from no supply of the spec")
                        .at(device.span, &device.name, "takes power here")
                        .seen("a dead instrument, or one fed by something nobody wrote down"),
                ),
            }
        }
    }
}
