//! Grounds of the indicators in; those out that are not all at the one ground point of the engine.

use std::collections::BTreeMap;

use super::{Facts, Fault, Rule, Source, Verdict};
use crate::diag::Severity;
use crate::graph::{Contact, Point};
use crate::harness::{BodyId, Device, DeviceClass, DeviceId, PinId, PinSite};
use crate::parts::words::{PortKind, Style};
use crate::spec::words::BodyKind;

/// The rule.
pub static RULE: Rule = Rule {
    name: "split-engine-ground",
    title: "An indicator is not grounded at the engine's one ground point",
    severity: Severity::Stop,
    why: "Senders measure against the engine. What the alternator and the starter drop between the engine and another \
          ground is added to every reading.",
    limit: "all indicators of an engine are grounded at the same one point of that engine, and nowhere else",
    source: Source::CommonPractice,
    remedy: "ground the indicator with a wire of its own to the ground point on the engine, and nowhere else",
    check,
};

fn check(facts: &Facts<'_>, verdict: &mut Verdict) {
    let h = facts.harness;
    let mut engine_point: BTreeMap<BodyId, (DeviceId, DeviceId)> = BTreeMap::new();
    for (i, device) in h.devices.iter().enumerate() {
        let id = DeviceId::at(i);
        if !is_indicator(device) {
            continue;
        }
        let pins = ground_pins(device);
        if !pins.iter().any(|p| facts.is_wired(*p)) {
            continue;
        }
        if !h.bodies.iter().any(|b| b.kind == BodyKind::Engine) {
            verdict.not_judged(device.span, &device.name, "no body of kind `engine` is declared");
            continue;
        }
        let mut contacts: Vec<Contact> = Vec::new();
        for contact in pins.iter().flat_map(|p| &facts.electrical.net(*p).contacts) {
            let own =
                contact.device == id || matches!(h.device(contact.device).class, DeviceClass::Ground { .. });
            if own && !contacts.iter().any(|c| c.device == contact.device) {
                contacts.push(*contact);
            }
        }
        // A screen tied at both ends is a loop, which another rule tells, not a second ground of the indicator.
        if contacts.len() > 1 {
            contacts.retain(|c| pins.iter().any(|p| !over_screen(facts, *p, c.pin)));
        }
        let kind = |c: &Contact| h.body(c.body).kind;
        let points: Vec<String> = contacts
            .iter()
            .map(|c| format!("`{}` on `{}`", h.device(c.device).name, h.body(c.body).name))
            .collect();
        let message = if contacts.len() > 1 {
            format!("`{}` is grounded at {} points: {}", device.name, contacts.len(), points.join(", "))
        } else if let Some(only) = contacts.first() {
            let other = engine_point.entry(only.body).or_insert((only.device, id));
            match kind(only) {
                // Another rule's: it is wrong even without an engine.
                BodyKind::Avionics => continue,
                BodyKind::Structure => {
                    format!("`{}` is grounded at {}, not on the engine", device.name, points.join(""))
                }
                BodyKind::Engine if other.0 != only.device => format!(
                    "`{}` is grounded at {}, `{}` at `{}`: one point of the engine serves all",
                    device.name,
                    points.join(""),
                    h.device(other.1).name,
                    h.device(other.0).name
                ),
                BodyKind::Engine => continue,
            }
        } else {
            verdict.not_judged(device.span, &device.name, "its ground wire comes to no ground point");
            continue;
        };
        let mut fault = Fault::new(message);
        for contact in &contacts {
            let name = &h.body(contact.body).name;
            match facts.electrical.conductors_at(contact.pin).iter().find(|c| {
                let c = h.conductor(**c);
                pins.iter().any(|p| facts.electrical.joined(*p, c.from))
            }) {
                Some(c) => {
                    let (span, circuit) = facts.spot(*c);
                    fault = fault.at(span, circuit, format!("leads to `{name}`"));
                }
                None => {
                    fault = fault.at(
                        h.device(contact.device).span,
                        &h.device(contact.device).name,
                        format!("touches `{name}`"),
                    )
                }
            }
        }
        fault = fault.at(device.span, &device.name, "this indicator");
        let on_engine = h.devices.iter().find(|d| {
            let engine = d.body.is_some_and(|b| h.body(b.value).kind == BodyKind::Engine);
            engine && matches!(d.class, DeviceClass::Ground { .. })
        });
        if let Some(point) = on_engine {
            fault = fault.at(point.span, &point.name, "ground point on the engine");
        }
        verdict.finds(
            fault.seen("readings that move when a landing light, the starter or the alternator comes on"),
        );
    }
}

/// True where the way between two pins goes over the screen of a cable.
fn over_screen(facts: &Facts<'_>, from: PinId, to: PinId) -> bool {
    let screen =
        |p: Point| matches!(p, Point::Pin(p) if matches!(facts.harness.pin(p).site, PinSite::Screen(_)));
    facts.electrical.way(from, to).is_some_and(|way| way.iter().any(|step| screen(step.to)))
}

/// Indicators and converters: what measures against its own ground.
pub(super) fn is_indicator(device: &Device) -> bool {
    matches!(device.style, Some(Style::Indicator | Style::Converter))
}

/// Pins of a device's ground ports.
pub(super) fn ground_pins(device: &Device) -> Vec<PinId> {
    let ports = device.ports.iter().filter(|p| p.kind == PortKind::Ground);
    ports.flat_map(|p| p.pins.iter().map(|(_, pin)| *pin)).collect()
}
