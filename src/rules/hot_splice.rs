//! Places of splices, heat of zones and runs, and ratings of splice parts in; splices that get too hot out.

use super::{Facts, Fault, Rule, Source, Verdict};
use crate::diag::Severity;
use crate::harness::{DeviceClass, DeviceId, Located};
use crate::quantity::{Temperature, Units};

/// The rule.
pub static RULE: Rule = Rule {
    name: "hot-splice",
    title: "A splice lies where it gets hotter than it may",
    severity: Severity::Stop,
    why: "The sleeve of a splice softens before the wire does: solder creeps, the seal opens, and bare copper touches what \
          is near.",
    limit: "`ambient:` of its zones is no higher than `rated:` of its part, nor is `surface:` of the run that it is \
            shifted on (a doubt)",
    source: Source::Declared("the part: `rated:` of the splice; the spec: `ambient:` and `surface:`"),
    remedy: "put the splice in a cooler zone, or take a splice of a higher rating",
    check,
};

fn check(facts: &Facts<'_>, verdict: &mut Verdict) {
    let h = facts.harness;
    for (i, device) in h.devices.iter().enumerate() {
        let DeviceClass::Splice { build: Some(build), .. } = device.class else { continue };
        let wired = h.pins_of(DeviceId::at(i)).any(|pin| facts.is_wired(pin));
        let Some(place) = facts.routing.place_of[i].filter(|_| wired) else { continue };
        let Some(rated) = build.rated else {
            verdict.not_judged(device.span, &device.name, "its part does not say `rated:`");
            continue;
        };
        let shift = facts.routing.shift_of[i].map(|shift| h.run(shift.run));
        let zones = h.place(place).zones.iter().map(|z| h.zone(*z).ambient);
        let ambient = zones.chain(shift.map(|run| h.zone(run.zone).ambient)).flatten();
        let over = |heat: &Located<Temperature>| heat.value > rated;
        let surface = shift.and_then(|run| run.surface).filter(over);
        let (name, at) = (&device.name, &h.place(place).name);
        let limit = rated.show(Units::Metric);
        let found = match (ambient.into_iter().find(over), surface) {
            (Some(heat), _) => {
                let heats = heat.value.show(Units::Metric);
                let message = format!("splice `{name}` at `{at}` gets {heats}; it is rated {limit}");
                Some((Fault::new(message), heat))
            }
            // How much of it reaches the bundle nobody has measured.
            (None, Some(heat)) => {
                let heats = heat.value.show(Units::Metric);
                let message = format!(
                    "splice `{name}` at `{at}` lies beside a surface of {heats}; it is rated {limit}"
                );
                Some((Fault::new(message).weighs(Severity::Doubt), heat))
            }
            (None, None) => None,
        };
        match found {
            Some((fault, heat)) => verdict.finds(
                fault
                    .at(device.at_span.unwrap_or(device.span), name, "lies there")
                    .limit(heat.span, "as hot as this")
                    .seen("a splice that opens or shorts when the engine is hot"),
            ),
            None => {
                if let Some(zone) = h.place(place).zones.iter().find(|z| h.zone(**z).ambient.is_none()) {
                    let zone = &h.zone(*zone).name;
                    let reason = format!("`ambient:` of zone `{zone}` is not given");
                    verdict.not_judged(device.span, &device.name, reason);
                }
            }
        }
    }
}
