//! Pins and what ends on them in; pins out that must be connected and are not, and wires that lead nowhere.

use super::{Facts, Fault, Rule, Source, Verdict};
use crate::diag::Severity;
use crate::harness::{DeviceClass, DeviceId, PinId, PinSite, Port};
use crate::parts::words::Role;

/// The rule.
pub static RULE: Rule = Rule {
    name: "open-pin",
    title: "A pin that is needed is not connected, or a wire leads nowhere",
    severity: Severity::Stop,
    why: "An open excitation, return or ground gives a dead reading at best, and at worst one that looks alive.",
    limit: "every role of a used port is connected unless the part lets it float; every wire goes on to another device",
    source: Source::Declared("the part: required ports and roles that may float"),
    remedy: "connect the pin, or take out what is not used",
    check,
};

fn check(facts: &Facts<'_>, verdict: &mut Verdict) {
    let h = facts.harness;
    for (i, device) in h.devices.iter().enumerate() {
        let id = DeviceId::at(i);
        match &device.class {
            DeviceClass::Equipment | DeviceClass::Sensor => ports(facts, id, verdict),
            DeviceClass::InLine { .. } => in_line(facts, id, verdict),
            DeviceClass::Splice { .. } => lone_end(facts, id, 0, verdict),
            DeviceClass::Stud { others, .. } => lone_end(facts, id, *others, verdict),
            DeviceClass::Ground { .. } | DeviceClass::Supply { .. } => {}
        }
    }
}

/// True where a wire ends on the pin, or where the device joins it inside to a pin with a wire and its role can be
/// served that way.
fn served(facts: &Facts<'_>, role: Role, pin: PinId) -> bool {
    let by_link = matches!(role, Role::Ground | Role::Supply | Role::Shield);
    let grounded = matches!(facts.harness.pin(pin).site, PinSite::Case(_));
    let net = facts.electrical.net(pin);
    facts.is_wired(pin)
        || (by_link && net.pins.iter().any(|p| facts.is_wired(*p)))
        || (grounded && !net.contacts.is_empty())
}

fn ports(facts: &Facts<'_>, id: DeviceId, verdict: &mut Verdict) {
    let h = facts.harness;
    let device = h.device(id);
    let used = |port: &Port| port.pins.iter().any(|(_, p)| facts.is_wired(*p));
    let idle = !h.pins_of(id).any(|p| facts.is_wired(p));
    if idle && matches!(device.class, DeviceClass::Sensor) {
        verdict.finds(
            Fault::new(format!("nothing is connected to `{}`", device.name))
                .at(device.span, &device.name, "no circuit ends here")
                .mend(format!("add the circuit of `{}`, or take the sensor out", device.name))
                .seen("no reading"),
        );
        return;
    }
    for port in device.ports.iter().filter(|p| p.required || used(p)) {
        let is_used = used(port);
        for (role, pin) in port.pins.iter().filter(|(role, _)| !port.may_float.contains(role)) {
            if served(facts, *role, *pin) {
                continue;
            }
            if matches!(h.pin(*pin).site, PinSite::Case(_)) && device.case_grounds && device.body.is_none() {
                verdict.not_judged(
                    device.span,
                    &device.name,
                    "the body that its case touches is not given (`body:`)",
                );
                continue;
            }
            let name = facts.pin_name(*pin);
            let why = if is_used { "the port is used" } else { "the device does not work without it" };
            let mut fault = Fault::new(format!(
                "`{name}`, the {} of port `{}`, is not connected; {why}",
                role.word(),
                port.name
            ))
            .at(device.span, &device.name, format!("`{name}` is open"));
            let wires = port.pins.iter().filter_map(|(_, p)| facts.electrical.conductors_at(*p).first());
            for c in wires {
                let (span, circuit) = facts.spot(*c);
                fault = fault.at(span, circuit, "uses this port");
            }
            let fault = fault.mend(match is_used {
                true => format!("connect `{name}`, or take out what uses port `{}`", port.name),
                false => format!("connect `{name}`"),
            });
            verdict.finds(fault.seen(match role {
                Role::Ground | Role::Return => "readings that drift or stand at full scale",
                Role::Supply | Role::Excitation => "a dead instrument or sensor",
                _ => "no reading, or one picked up from the wires beside it",
            }));
        }
    }
}

/// A wire that comes to one half of a connector and does not go on from the other.
fn in_line(facts: &Facts<'_>, id: DeviceId, verdict: &mut Verdict) {
    for pin in facts.harness.pins_of(id) {
        let Some(mate) = facts.harness.mate(pin) else { continue };
        if let Some(c) = facts.electrical.conductors_at(pin).first()
            && !facts.is_wired(mate)
        {
            let (span, circuit) = facts.spot(*c);
            let (at, device) = facts.device_spot(pin);
            verdict.finds(
                Fault::new(format!(
                    "wire `{}` comes to `{}` and does not go on from `{}`",
                    facts.harness.conductor(*c).mark,
                    facts.pin_name(pin),
                    facts.pin_name(mate)
                ))
                .at(span, circuit, "ends here")
                .at(at, device, "this connector")
                .mend(format!(
                    "lead it on from `{}`, or let the circuit pass with `via:`",
                    facts.pin_name(mate)
                ))
                .seen("no reading: the circuit is open at the connector"),
            );
        }
    }
}

/// One wire alone on a splice or stud.
fn lone_end(facts: &Facts<'_>, id: DeviceId, others: u32, verdict: &mut Verdict) {
    let device = facts.harness.device(id);
    let mut wires = facts.harness.pins_of(id).flat_map(|p| facts.electrical.conductors_at(p));
    let (first, second) = (wires.next(), wires.next());
    if let (Some(c), None, 0) = (first, second, others) {
        let (span, circuit) = facts.spot(*c);
        verdict.finds(
            Fault::new(format!(
                "wire `{}` ends at `{}` and leads nowhere",
                facts.harness.conductor(*c).mark,
                device.name
            ))
            .at(span, circuit, "the only wire there")
            .at(device.span, &device.name, "nothing else ends here")
            .mend("connect something else there, or take the wire out")
            .seen("an open circuit"),
        );
    }
}
