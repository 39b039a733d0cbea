//! What wires join outside devices in; sensors that come to a port made for something else out.

use std::collections::{BTreeMap, BTreeSet};

use super::{Facts, Fault, Rule, Source, Verdict};
use crate::diag::Severity;
use crate::harness::{DeviceClass, DeviceId, PinId, Port};
use crate::parts::words::{PortKind, Role};

/// The rule.
pub static RULE: Rule = Rule {
    name: "wrong-port",
    title: "A sensor is connected to a port made for something else",
    severity: Severity::Stop,
    why: "The gauge shows one thing under the name of another, or feeds a pin that is not made to be fed.",
    limit: "kind of port, what it measures, and the role of each pin are the same at both ends",
    source: Source::Declared("the parts: kind and measure of their ports"),
    remedy: "connect the sensor to the port that is made for it",
    check,
};

fn check(facts: &Facts<'_>, verdict: &mut Verdict) {
    let h = facts.harness;
    let mut gauges = Gauges::default();
    for (i, device) in h.devices.iter().enumerate() {
        if matches!(device.class, DeviceClass::Sensor) {
            for port in &device.ports {
                sensor_port(facts, &mut gauges, DeviceId::at(i), port, verdict);
            }
        }
    }
}

/// Roles whose wire serves this one port alone. Returns, excitation and power may be shared between ports.
fn own_wire(role: Role) -> bool {
    matches!(role, Role::Plus | Role::Minus | Role::Signal | Role::Pulse)
}

fn sensor_port(facts: &Facts<'_>, gauges: &mut Gauges, sensor: DeviceId, port: &Port, verdict: &mut Verdict) {
    let h = facts.harness;
    let device = h.device(sensor);
    let measures = port.measures.or(device.measures);
    let mut come_to: BTreeSet<(DeviceId, u32)> = BTreeSet::new();
    let mut told: BTreeSet<(DeviceId, u32)> = BTreeSet::new();
    for (role, pin) in port.pins.iter().copied() {
        let Some((far, (index, far_role))) = gauges.pin(facts, pin) else { continue };
        let gauge = h.pin(far).device;
        let Some(other) = h.device(gauge).ports.get(index as usize) else { continue };
        let shared = matches!(other.kind, PortKind::PowerIn | PortKind::Ground | PortKind::Shield);
        if own_wire(role) && !shared {
            come_to.insert((gauge, index));
        }
        let wrong = if !own_wire(role) {
            // A fed pin on a measuring one, or the other way round.
            let fed = |r| matches!(r, Role::Excitation | Role::Supply);
            let earthed = |r| matches!(r, Role::Return | Role::Ground | Role::Shield);
            let fits = (fed(role) && fed(far_role)) || (earthed(role) && earthed(far_role));
            (!fits && own_wire(far_role) || fed(role) && earthed(far_role) || earthed(role) && fed(far_role))
                .then(|| {
                    format!(
                        "it is the {} of the sensor and the {} of the gauge's port",
                        role.word(),
                        far_role.word()
                    )
                })
        } else if !port.suits(other) {
            Some(format!(
                "the sensor gives {}, the port is made for {}",
                port.kind.words(),
                other.kind.words()
            ))
        } else if let (Some(a), Some(b)) = (measures, other.measures)
            && a != b
        {
            Some(format!("the sensor measures {}, the port shows {}", a.words(), b.words()))
        } else if !matches!((role, far_role), (Role::Plus | Role::Minus, Role::Plus | Role::Minus))
            && role != far_role
        {
            Some(format!(
                "it is the {} of the sensor and the {} of the gauge's port",
                role.word(),
                far_role.word()
            ))
        } else {
            None
        };
        let Some(wrong) = wrong else { continue };
        // One finding for a port and another, not one for each leg.
        if !told.insert((gauge, index)) {
            continue;
        }
        let message = format!(
            "`{}` is wired to `{}` of port `{}.{}`: {wrong}",
            facts.pin_name(pin),
            facts.pin_name(far),
            h.device(gauge).name,
            other.name
        );
        verdict.finds(
            labels(facts, Fault::new(message), pin, far)
                .seen("a reading under the wrong name, or none at all"),
        );
    }
    if come_to.len() > 1 && told.is_empty() {
        let names: Vec<String> = come_to
            .iter()
            .filter_map(|(d, p)| {
                Some(format!("`{}.{}`", h.device(*d).name, h.device(*d).ports.get(*p as usize)?.name))
            })
            .collect();
        let message =
            format!("the legs of `{}` come to different ports: {}", device.name, names.join(" and "));
        let mut fault = Fault::new(message);
        for (_, pin) in &port.pins {
            if let Some((far, _)) = gauges.pin(facts, *pin) {
                fault = labels(facts, fault, *pin, far);
            }
        }
        verdict.finds(fault.seen("two readings that are both wrong"));
    }
}

/// A pin, and its port and role there.
type PortPin = (PinId, (u32, Role));

/// The pin of equipment that each group of wired pins comes to, found once: a common return may have every sensor on it.
#[derive(Default)]
struct Gauges {
    /// By the first pin of the group.
    of: BTreeMap<PinId, Option<PortPin>>,
}

impl Gauges {
    /// The pin of an indicator that a sensor's pin is wired to, if there is one: the first in the order of pins.
    fn pin(&mut self, facts: &Facts<'_>, pin: PinId) -> Option<PortPin> {
        let h = facts.harness;
        let wired = facts.electrical.wired(pin);
        let found = || {
            wired.iter().copied().find_map(|p| {
                let other = h.pin(p);
                let gauge = matches!(h.device(other.device).class, DeviceClass::Equipment);
                Some((p, other.port?)).filter(|_| gauge)
            })
        };
        *self.of.entry(*wired.first()?).or_insert_with(found)
    }
}

fn labels(facts: &Facts<'_>, fault: Fault, pin: PinId, far: PinId) -> Fault {
    let mut fault = fault;
    if let Some(c) = facts.electrical.conductors_at(pin).first() {
        let (span, circuit) = facts.spot(*c);
        fault =
            fault.at(span, circuit, format!("`{}` leads to `{}`", facts.pin_name(pin), facts.pin_name(far)));
    }
    let (span, device) = facts.device_spot(pin);
    let (far_span, gauge) = facts.device_spot(far);
    fault.at(span, device, "this sensor").at(far_span, gauge, "has this port")
}
