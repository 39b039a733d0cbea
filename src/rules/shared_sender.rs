//! Senders and what became of their old gauges in; senders that two gauges read out.

use super::{Facts, Fault, Rule, Source, Verdict};
use crate::diag::Severity;
use crate::harness::{ConductorId, Device, DeviceClass, PinId, Port};
use crate::parts::words::{Measure, PortKind, Role};
use crate::spec::words::OldGauge;

/// The rule.
pub static RULE: Rule = Rule {
    name: "shared-sender",
    title: "A sender is read by two gauges",
    severity: Severity::Stop,
    why: "A gauge reads a resistance by the current it sends through it. A second gauge sends its own through the same \
          float, so both show another level than there is.",
    limit: "a resistive sender is read by one gauge: of this harness, or the old one (`old-gauge:`). A float stays in its tank \
            when the gauge is changed, so one of which nothing is said is not judged; other resistive senders of which \
            nothing is said are looked at by the install sheet",
    source: Source::Physics("Ohm's law: two currents through one resistance"),
    remedy: "take the old gauge's wire off the sender, and write `old-gauge: removed`",
    check,
};

fn check(facts: &Facts<'_>, verdict: &mut Verdict) {
    for device in &facts.harness.devices {
        for port in device.ports.iter().filter(|port| port.kind == PortKind::Resistance) {
            two_of_this_harness(facts, device, port, verdict);
        }
    }
    old_gauges(facts, verdict);
}

/// Ports of gauges that send a current each through one resistance.
fn two_of_this_harness(facts: &Facts<'_>, device: &Device, port: &Port, verdict: &mut Verdict) {
    let h = facts.harness;
    if !matches!(device.class, DeviceClass::Sensor) {
        return;
    }
    let signal = port.pins.iter().filter(|(role, _)| *role == Role::Signal);
    let wired = signal.flat_map(|(_, pin)| facts.electrical.wired(*pin)).copied();
    let reads = |pin: &PinId| {
        let gauge = matches!(h.device(h.pin(*pin).device).class, DeviceClass::Equipment);
        gauge && matches!(h.port_of(*pin), Some((other, Role::Signal)) if port.suits(other))
    };
    let gauges: Vec<PinId> = wired.filter(reads).collect();
    if gauges.len() < 2 {
        return;
    }
    let names: Vec<String> = gauges.iter().map(|pin| format!("`{}`", facts.pin_name(*pin))).collect();
    let mut fault = Fault::new(format!("`{}` is read at {}", device.name, names.join(" and ")));
    // The one that came last in the spec is the one to move.
    let mut ends: Vec<(ConductorId, PinId)> = gauges
        .iter()
        .filter_map(|pin| Some((*facts.electrical.conductors_at(*pin).first()?, *pin)))
        .collect();
    ends.sort_unstable_by(|a, b| b.cmp(a));
    for (wire, pin) in ends {
        let (span, circuit) = facts.spot(wire);
        fault = fault.at(span, circuit, format!("leads to `{}`", facts.pin_name(pin)));
    }
    verdict.finds(
        fault
            .at(device.span, &device.name, "one resistance")
            .mend("give each gauge a sender of its own, or let the one hand on what it reads")
            .seen("two wrong readings that look right"),
    );
}

fn old_gauges(facts: &Facts<'_>, verdict: &mut Verdict) {
    let h = facts.harness;
    for device in &h.devices {
        let Some(port) = device.ports.iter().find(|p| p.pins.iter().any(|(_, pin)| facts.is_wired(*pin)))
        else {
            continue;
        };
        let resistive = port.kind == PortKind::Resistance;
        let old = match device.mounting.old_gauge {
            Some(old) if old.value == OldGauge::Connected => old,
            None if resistive && is_float(device) => {
                let reason = "whether the wire of an older gauge is still on it is not said (`old-gauge:`)";
                verdict.not_judged(device.span, &device.name, reason);
                continue;
            }
            _ => continue,
        };
        let mut fault = Fault::new(format!(
            "`{}` is wired to this harness and to its old gauge",
            device.name
        ))
        .at(old.span, &device.name, "still connected");
        for c in port.pins.iter().flat_map(|(_, pin)| facts.electrical.conductors_at(*pin)).take(1) {
            let (span, circuit) = facts.spot(*c);
            fault = fault.at(span, circuit, "reads it too");
        }
        // How far off, only the old gauge's own circuit says; what this gauge sends is known.
        let sends = gauge_sends(facts, port);
        fault = fault.seen(match (resistive, sends) {
            (true, Some(sends)) => {
                format!("two wrong readings that look right: this gauge alone sends {sends} through it")
            }
            (true, None) => "two wrong readings that look right".to_owned(),
            (false, _) => "a reading that shifts when the other gauge is switched".to_owned(),
        });
        verdict.finds(if resistive { fault } else { fault.weighs(Severity::Doubt) });
    }
}

/// True for the sender of a tank, which outlives its gauge.
fn is_float(device: &Device) -> bool {
    matches!(device.class, DeviceClass::Sensor) && device.measures == Some(Measure::TankLevel)
}

/// Current that the gauge of this harness sends through a sender of no resistance, the most there can be.
fn gauge_sends(facts: &Facts<'_>, port: &Port) -> Option<String> {
    let h = facts.harness;
    let ends = port.pins.iter().flat_map(|(_, pin)| facts.electrical.wired(*pin));
    let bias = ends.filter_map(|p| h.port_of(*p)).find_map(|(port, _)| port.bias)?;
    Some(format!("up to {}", bias.volts.across(bias.through)?.show(facts.harness.header.units)))
}
