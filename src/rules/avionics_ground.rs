//! Nets in; grounds and returns of engine instruments that touch a ground of the radios out.

use super::split_engine_ground::is_indicator;
use super::{Facts, Fault, Rule, Source, Verdict};
use crate::diag::Severity;
use crate::harness::{Device, DeviceClass, PinId};
use crate::parts::words::Role;
use crate::spec::words::BodyKind;

/// The rule.
pub static RULE: Rule = Rule {
    name: "avionics-ground",
    title: "An engine instrument is grounded with the radios",
    severity: Severity::Stop,
    why: "Pulses and pump currents of the engine come into the headset, and the transmitter comes into the readings.",
    limit: "no ground or return of an indicator or sender touches a body of kind `avionics`",
    source: Source::CommonPractice,
    remedy: "lead this ground to the ground point on the engine instead",
    check,
};

fn check(facts: &Facts<'_>, verdict: &mut Verdict) {
    let h = facts.harness;
    for net in facts.electrical.nets() {
        let Some(contact) = net.contacts.iter().find(|c| h.body(c.body).kind == BodyKind::Avionics) else {
            continue;
        };
        // A radio belongs there.
        let of_engine = |device: &Device| is_indicator(device) || matches!(device.class, DeviceClass::Sensor);
        let grounded = |pin: &PinId| {
            of_engine(h.device(h.pin(*pin).device))
                && matches!(h.port_of(*pin), Some((_, Role::Ground | Role::Return)))
        };
        // What the wire at the point leads to, rather than what that device joins to it inside.
        let wired = facts.electrical.wired(contact.pin);
        let Some(pin) = wired.iter().chain(&net.pins).find(|p| grounded(p)) else { continue };
        let (body, point) = (h.body(contact.body), h.device(contact.device));
        let device = h.device(h.pin(*pin).device);
        let mut fault = Fault::new(format!(
            "`{}` is grounded at `{}` on `{}`, a ground of the avionics",
            facts.pin_name(*pin),
            point.name,
            body.name
        ));
        fault = match facts.electrical.conductors_at(contact.pin).first() {
            Some(c) => {
                let (span, circuit) = facts.spot(*c);
                fault.at(span, circuit, format!("leads to `{}`", point.name))
            }
            None => fault.at(point.span, &point.name, format!("touches `{}`", body.name)),
        };
        verdict.finds(
            fault
                .at(device.span, &device.name, "grounded here")
                .at(point.span, &point.name, "this point")
                .limit(body.span, "a body of kind `avionics`")
                .seen("whine and clicks in the headset, and readings that jump while a radio transmits"),
        );
    }
}
