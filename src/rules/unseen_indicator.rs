//! Indicators and alert lamps and how far they are from the primary instruments in; indicators that nobody looks at out.

use std::collections::BTreeSet;

use super::{Facts, Fault, Rule, Source, Verdict};
use crate::diag::Severity;
use crate::harness::{Device, DeviceId};
use crate::parts::words::{PortKind, Style};
use crate::trade::instruments::in_sight;

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

fn check(facts: &Facts<'_>, verdict: &mut Verdict) {
    let h = facts.harness;
    let units = h.header.units;
    for (i, device) in h.devices.iter().enumerate().filter(|(_, d)| d.style == Some(Style::Indicator)) {
        let Some(off) = device.mounting.off_centre else {
            let reason =
                "how far it is from the centre of the primary instruments is not given (`off-centre:`)";
            verdict.not_judged(device.span, &device.name, reason);
            continue;
        };
        if off.value <= in_sight().value {
            continue;
        }
        let lamps = lamps_of(facts, DeviceId::at(i));
        let seen = |lamp: &&Device| lamp.mounting.off_centre.is_some_and(|off| off.value <= in_sight().value);
        if lamps.iter().any(seen) {
            continue;
        }
        if let Some(lamp) = lamps.iter().find(|lamp| lamp.mounting.off_centre.is_none()) {
            let reason = format!("where its alert lamp `{}` is, is not given (`off-centre:`)", lamp.name);
            verdict.not_judged(lamp.span, &lamp.name, reason);
            continue;
        }
        let [far, most] = in_sight().beside(off.value, units);
        let mut fault = Fault::new(format!(
            "`{}` is {far} from the centre of the primary instruments, and {}",
            device.name,
            if lamps.is_empty() { "drives no alert lamp" } else { "so is every alert lamp that it drives" }
        ))
        .at(off.span, &device.name, format!("more than {most}"));
        for lamp in lamps {
            let far = lamp.mounting.off_centre.map_or(lamp.span, |off| off.span);
            fault = fault.at(far, &lamp.name, "too far to be seen, too");
        }
        verdict.finds(fault.seen("a reading past its limit that nobody notices"));
    }
}

/// Lamps and sounders that an indicator drives, each once, in the order of the spec.
fn lamps_of<'a>(facts: &Facts<'a>, id: DeviceId) -> Vec<&'a Device> {
    let h = facts.harness;
    let outputs = h.device(id).ports.iter().filter(|p| p.kind == PortKind::Lamp).flat_map(|p| &p.pins);
    let driven = outputs.flat_map(|(_, pin)| facts.electrical.wired(*pin)).map(|p| h.pin(*p).device);
    let alerts = driven.filter(|d| h.device(*d).style == Some(Style::Alert));
    alerts.collect::<BTreeSet<DeviceId>>().into_iter().map(|d| h.device(d)).collect()
}
