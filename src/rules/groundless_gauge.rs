//! Parts of gauges in; those out that measure against a ground of their own and say of none.

use std::collections::BTreeMap;

use super::split_engine_ground::is_indicator;
use super::{Facts, Fault, Rule, Source, Verdict};
use crate::diag::Severity;
use crate::harness::{Device, Port};
use crate::parts::words::{PortKind, Role};

/// The rule.
pub static RULE: Rule = Rule {
    name: "groundless-gauge",
    title: "A gauge measures against a ground that its part does not have",
    severity: Severity::Note,
    why: "What ground currents do to its readings is worked out from its ground to the sensor's. Without that pin nobody sees \
          that a strap or a lamp moves the needle.",
    limit: "an indicator or converter with a port `single-ended: true`, or a port for a resistance without a return, has a port of kind \
            `ground` or a case that grounds it",
    source: Source::Declared("the part: its ports, `single-ended:` and `case-grounds:`"),
    remedy: "give the part its ground (`ports:` with `kind: ground`, or `case-grounds: true`); write `single-ended: false` if \
             it measures between its two pins",
    check,
};

fn check(facts: &Facts<'_>, verdict: &mut Verdict) {
    let h = facts.harness;
    // What one part leaves out is told once, however many of it are fitted.
    let mut parts: BTreeMap<&str, Vec<&Device>> = BTreeMap::new();
    for device in h.devices.iter().filter(|device| is_indicator(device) && !has_ground(device)) {
        if device.ports.iter().any(measures_against_ground) {
            parts.entry(device.part.as_deref().unwrap_or_default()).or_default().push(device);
        }
    }
    for (part, devices) in parts {
        let ports = devices.first().into_iter().flat_map(|device| &device.ports);
        let ports: Vec<String> = ports
            .filter(|port| measures_against_ground(port))
            .map(|port| format!("`{}`", port.name))
            .collect();
        let mut fault = Fault::new(format!(
            "`{part}` measures against its own ground at {}, and its part has none",
            ports.join(" and ")
        ));
        // That is where it is mended, if the part is one's own.
        if let Some(span) = facts.library.devices.find(part).and_then(|id| facts.library.devices.span(id)) {
            fault = fault.at(span, part, "no port of kind `ground`, no case that grounds it");
        }
        for device in devices {
            fault = fault.at(device.span, &device.name, "is of this part");
        }
        verdict.finds(fault.seen("readings that move with electrical load, of which the check says nothing"));
    }
}

fn has_ground(device: &Device) -> bool {
    let by_case = device.case_grounds && !device.on_case.is_empty();
    by_case || device.ports.iter().any(|port| port.kind == PortKind::Ground)
}

fn measures_against_ground(port: &Port) -> bool {
    let has_return = port.pins.iter().any(|(role, _)| *role == Role::Return);
    port.single_ended == Some(true) || (port.kind == PortKind::Resistance && !has_return)
}
