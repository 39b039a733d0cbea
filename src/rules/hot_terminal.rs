//! Thermocouples in; the terminals at which they change to another material out, where those sit too hot.

use std::collections::BTreeSet;

use super::hot_part::{UNPLACED, coolest, no_zone, unsaid_ambient};
use super::{Facts, Fault, Rule, Source, Verdict};
use crate::diag::Severity;
use crate::harness::{DeviceId, ZoneId};
use crate::quantity::beside;
use crate::trade::installation::thermocouple_terminals;

/// The rule.
pub static RULE: Rule = Rule {
    name: "hot-terminal",
    title: "A thermocouple ends at terminals that get too hot",
    severity: Severity::Doubt,
    why: "Where the pair ends, two junctions more are made. The gauge takes both for as warm as each other and as itself; \
          in a hot place they are neither, and extension wire is not made for it.",
    limit: "terminals where a thermocouple changes to copper or to an instrument are not hotter than 120 °C; at a place \
            between two zones the cooler one counts",
    source: Source::Document { document: "CASA AC 21-99", place: "section 2 chapter 16 par. 6" },
    remedy: "lead the pair on to the cool side of the firewall, and end it there",
    check,
};

fn check(facts: &Facts<'_>, verdict: &mut Verdict) {
    let h = facts.harness;
    let limit = thermocouple_terminals();
    let units = h.header.units;
    let mut told: BTreeSet<DeviceId> = BTreeSet::new();
    let mut unsaid: BTreeSet<ZoneId> = BTreeSet::new();
    for run in facts.thermocouples {
        for pin in run.terminals(h, facts.routing) {
            let id = h.pin(pin).device;
            // One telling a device, and the probe's own end is the probe's business.
            if id == run.sensor || !told.insert(id) {
                continue;
            }
            let device = h.device(id);
            let Some(place) = facts.routing.place_of_pin(h, pin) else {
                verdict.not_judged(device.span, &device.name, UNPLACED);
                continue;
            };
            match coolest(facts, place) {
                (Some((_, ambient)), _) if ambient.value <= limit.value => {}
                (Some((zone, ambient)), None) => {
                    let zone = h.zone(zone);
                    let [warm, most] = beside(ambient.value, limit.value, |t| t.show(units));
                    let fault = Fault::new(format!(
                        "`{}`, at which `{}` ends, sits at {warm}, {most} is the most",
                        device.name,
                        h.device(run.sensor).name,
                    ))
                    .at(device.span, &device.name, "the terminals")
                    .at(h.device(run.sensor).span, &h.device(run.sensor).name, "the probe")
                    .limit(ambient.span, format!("how hot `{}` gets", zone.name))
                    .by(limit.source());
                    verdict.finds(fault.seen("a reading that wanders as the place warms and cools"));
                }
                (_, Some(zone)) if unsaid.insert(zone) => unsaid_ambient(facts, zone, verdict),
                (_, Some(_)) => {}
                (None, None) => verdict.not_judged(device.span, &device.name, no_zone(facts, place)),
            }
        }
    }
}
