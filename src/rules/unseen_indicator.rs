//! Indicators and alert lamps and how far they are from the primary instruments in; indicators that nobody looks at out.

use super::{Facts, Fault, Rule, Source, Verdict};
use crate::diag::Severity;
use crate::harness::{Device, DeviceId, PinId};
use crate::parts::words::{PortKind, Style};
use crate::quantity::{Length, Units};

/// The rule.
pub static RULE: Rule = Rule {
    name: "unseen-indicator",
    title: "An indicator is out of sight and has no alert lamp in sight",
    severity: Severity::Doubt,
    why: "A limit that is passed on an instrument at the edge of the panel is seen when the engine is heard.",
    limit: "an indicator is within 8 in of the centre of the primary instruments, or an alert lamp that it drives is \
            (`off-centre:` of both)",
    source: Source::CommonPractice,
    remedy: "mount an alert lamp that it drives within 8 in of the centre of the primary instruments",
    check,
};

/// Farthest from the centre of the primary instruments. Common practice, no source.
fn in_sight() -> Length {
    Length::from_inches(8.0)
}

fn check(facts: &Facts<'_>, verdict: &mut Verdict) {
    let h = facts.harness;
    for (i, device) in h.devices.iter().enumerate().filter(|(_, d)| d.style == Some(Style::Indicator)) {
        let Some(off) = device.mounting.off_centre else {
            let reason =
                "how far it is from the centre of the primary instruments is not given (`off-centre:`)";
            verdict.not_judged(device.span, &device.name, reason);
            continue;
        };
        if off.value <= in_sight() {
            continue;
        }
        let lamps: Vec<&Device> = lamps_of(facts, DeviceId::at(i)).collect();
        let seen = |lamp: &&Device| lamp.mounting.off_centre.is_some_and(|off| off.value <= in_sight());
        if lamps.iter().any(seen) {
            continue;
        }
        if let Some(lamp) = lamps.iter().find(|lamp| lamp.mounting.off_centre.is_none()) {
            let reason = format!("where its alert lamp `{}` is, is not given (`off-centre:`)", lamp.name);
            verdict.not_judged(lamp.span, &lamp.name, reason);
            continue;
        }
        let mut fault = Fault::new(format!(
            "`{}` is {} from the centre of the primary instruments, and {}",
            device.name,
            off.value.show(Units::Metric),
            if lamps.is_empty() { "drives no alert lamp" } else { "so is every alert lamp that it drives" }
        ))
        .at(off.span, &device.name, format!("more than {}", in_sight().show(Units::Metric)));
        for lamp in lamps {
            let far = lamp.mounting.off_centre.map_or(lamp.span, |off| off.span);
            fault = fault.at(far, &lamp.name, "too far to be seen, too");
        }
        verdict.finds(fault.seen("a reading past its limit that nobody notices"));
    }
}

/// Lamps and sounders that an indicator is wired to.
fn lamps_of<'a>(facts: &Facts<'a>, id: DeviceId) -> impl Iterator<Item = &'a Device> {
    let (h, electrical) = (facts.harness, facts.electrical);
    let is_output = move |pin: PinId| {
        h.pin(pin).device == id && h.port_of(pin).is_some_and(|(port, _)| port.kind == PortKind::Lamp)
    };
    let drives = |d: &&Device| d.style == Some(Style::Alert);
    let of = h.devices.iter().enumerate().filter(move |(_, d)| drives(d));
    of.filter(move |(i, _)| {
        h.pins_of(DeviceId::at(*i)).any(|p| electrical.wired(p).iter().any(|q| is_output(*q)))
    })
    .map(|(_, d)| d)
}
