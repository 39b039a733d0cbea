//! Devices whose wires run down into them in; those where water follows the wires out.

use super::{Facts, Fault, Rule, Source, Verdict};
use crate::diag::Severity;
use crate::harness::ZoneId;
use crate::spec::words::Hazard;

/// The rule.
pub static RULE: Rule = Rule {
    name: "no-drip-loop",
    title: "Wires run down into a device without a drip loop",
    severity: Severity::Stop,
    why: "Water runs along a wire to its lowest point; without a loop that is the connector.",
    limit: "`drip-loop: false` of a device; a stop in a zone with `water` among its hazards, a doubt elsewhere. A \
            device that says nothing is not found here: the install sheet asks for the loop",
    source: Source::Document { document: "FAA AC 43.13-1B", place: "par. 11-96 (x)" },
    remedy: "let the wires hang in a loop below the device before they rise to it, and write `drip-loop: true`",
    check,
};

fn check(facts: &Facts<'_>, verdict: &mut Verdict) {
    let h = facts.harness;
    for (device, place) in h.devices.iter().zip(&facts.routing.place_of) {
        let Some(declared) = device.mounting.drip_loop.filter(|d| !d.value) else { continue };
        let zones: &[ZoneId] = place.map_or(&[], |p| &h.place(p).zones);
        let wet = zones.iter().map(|z| h.zone(*z)).find(|z| z.hazards.contains(&Hazard::Water));
        let fault = match wet {
            Some(zone) => Fault::new(format!(
                "the wires of `{}` run down into it, and there is water in zone `{}`",
                device.name, zone.name
            )),
            None => {
                Fault::new(format!("the wires of `{}` run down into it", device.name)).weighs(Severity::Doubt)
            }
        };
        let mut fault = fault.at(declared.span, &device.name, "no drip loop");
        if let Some(zone) = wet {
            fault = fault.at(zone.span, &zone.name, "`water` is among its hazards");
        }
        verdict.finds(fault.seen("green contacts, and readings that drift in wet weather"));
    }
}
