//! Parts of the user's own part files, and things of the spec that join or feed, in; those that nothing uses out.

use super::parts_in_use::{self, Own};
use super::{Facts, Fault, Rule, Source, Verdict};
use crate::diag::Severity;
use crate::harness::{Device, DeviceClass, DeviceId};

/// The rule.
pub static RULE: Rule = Rule {
    name: "unused-part",
    title: "Something is in the spec or its part files and nothing uses it",
    severity: Severity::Note,
    why: "What nothing uses is left over from a change, or the circuit that should use it is missing.",
    limit: "every ground, supply, connector, splice and stud of the spec has a wire, and every part of a part \
            file of your own is used by the harness; ties and clamps are left out",
    source: Source::Declared("the spec and its part files"),
    remedy: "take it out, or connect what should be connected to it",
    check,
};

fn check(facts: &Facts<'_>, verdict: &mut Verdict) {
    let h = facts.harness;
    for (i, device) in h.devices.iter().enumerate() {
        let Some(what) = kind(device) else { continue };
        if h.pins_of(DeviceId::at(i)).any(|p| facts.is_wired(p)) {
            continue;
        }
        let fault = Fault::new(format!("no circuit uses the {what} `{}`", device.name));
        verdict.finds(fault.at(device.span, &device.name, "no wire ends here"));
    }
    for Own { section, name, span } in parts_in_use::left_over(h, facts.library) {
        let fault = Fault::new(format!("nothing uses `{name}` of the {section} in your part file"));
        verdict.finds(fault.at(span, name, "this part"));
    }
}

/// What a device is called, where it is there for circuits alone.
fn kind(device: &Device) -> Option<&'static str> {
    match device.class {
        DeviceClass::Ground { .. } => Some("ground"),
        DeviceClass::Supply { .. } => Some("supply"),
        DeviceClass::InLine { .. } => Some("connector"),
        DeviceClass::Splice { .. } => Some("splice"),
        DeviceClass::Stud { .. } => Some("stud"),
        DeviceClass::Equipment | DeviceClass::Sensor => None,
    }
}
