//! Places of splices in; splices that lie, or could only lie, where none may be out.

use super::{Facts, Fault, Rule, Source, Verdict};
use crate::diag::Severity;
use crate::graph::{Unfit, unfit_place, unfit_run};
use crate::harness::{Device, DeviceClass, DeviceId};

/// The rule.
pub static RULE: Rule = Rule {
    name: "forbidden-splice",
    title: "A splice lies where none may be",
    severity: Severity::Stop,
    why: "A splice is stiff, thicker than its wires and the first thing to fail: in a hole it chafes, at a bend it breaks \
          its wires, and where nobody can look it is not found.",
    limit: "no splice in a zone with `splices: forbidden`, in a hole, between walls, at a bend, under the cover of a run or \
            beside a surface hotter than it may become (doubts)",
    source: Source::Document {
        document: "FAA-H-8083-32",
        place: "chapter 4, spliced connections in wire bundles: where they can easily be inspected",
    },
    remedy: "put the splice at another place (`at:` of the splice, `joined-at:` of the circuit), or let the tool choose",
    check,
};

fn check(facts: &Facts<'_>, verdict: &mut Verdict) {
    let h = facts.harness;
    for (i, device) in h.devices.iter().enumerate() {
        let DeviceClass::Splice { build, .. } = device.class else { continue };
        let id = DeviceId::at(i);
        if !h.pins_of(id).any(|pin| facts.is_wired(pin)) {
            continue;
        }
        let Some(place) = facts.routing.place_of[i] else {
            nowhere(facts, id, verdict);
            continue;
        };
        if let Some(unfit) = unfit_place(h, &facts.routing.route, place, None) {
            let at = format!("at `{}`", h.place(place).name);
            verdict.finds(fault(facts, device, &at, unfit));
        } else if let Some(shift) = facts.routing.shift_of[i]
            && let Some(unfit) = unfit_run(h, shift.run, build.and_then(|build| build.rated))
            // That its zone is too hot is told by the rule on hot parts.
            && !matches!(unfit, Unfit::Hot(heat) if h.run(shift.run).surface != Some(heat))
        {
            verdict.finds(fault(facts, device, &format!("on run `{}`", h.run(shift.run).name), unfit));
        }
    }
}

fn fault(facts: &Facts<'_>, device: &Device, at: &str, unfit: Unfit) -> Fault {
    let h = facts.harness;
    let name = &device.name;
    let because = match unfit {
        Unfit::Hole(_) => "a hole".to_owned(),
        Unfit::Zone(zone) => format!("in zone `{}`, which forbids splices", h.zone(zone).name),
        Unfit::BetweenWalls => "where a wall has no hole".to_owned(),
        Unfit::Bend(bend) => {
            format!("where the bundle bends with a radius of {}", bend.value.show(h.header.units))
        }
        Unfit::Covered(_) => "under its cover".to_owned(),
        Unfit::Hot(heat) => {
            let rated = match device.class {
                DeviceClass::Splice { build: Some(build), .. } => build.rated,
                _ => None,
            };
            let rated =
                rated.map_or_else(String::new, |r| format!(", and it is rated {}", r.show(h.header.units)));
            format!("beside a surface of {}{rated}", heat.value.show(h.header.units))
        }
    };
    let fault = Fault::new(format!("splice `{name}` lies {at}, {because}"))
        .at(device.at_span.unwrap_or(device.span), name, "lies there")
        .seen("chafed or broken wires beside the splice, and a circuit that fails now and then");
    match unfit {
        Unfit::Zone(zone) => fault.limit(h.zone(zone).span, "`splices: forbidden`"),
        Unfit::Hole(hole) => fault.limit(h.hole(hole).span, "a hole"),
        Unfit::Bend(bend) => fault.limit(bend.span, "the bend").by("common practice, no source"),
        Unfit::Covered(run) => match &h.run(run).cover {
            Some(cover) => fault.weighs(Severity::Doubt).limit(cover.span, "the cover"),
            None => fault.weighs(Severity::Doubt),
        },
        // How much of the heat reaches the bundle nobody has measured.
        Unfit::Hot(heat) => {
            fault.weighs(Severity::Doubt).limit(heat.span, "the surface").by("the part: `rated:`")
        }
        Unfit::BetweenWalls => fault,
    }
}

/// A splice for which the tool found no place, although its ends have one: what it joins is named with its place.
fn nowhere(facts: &Facts<'_>, id: DeviceId, verdict: &mut Verdict) {
    let h = facts.harness;
    let device = h.device(id);
    let mut fault = Fault::new(format!("no place that its ends can reach takes splice `{}`", device.name))
        .at(device.span, &device.name, "needs a splice")
        .mend("allow splices in one of the zones, or join the ends at a stud (`studs:`)")
        .seen("a joint that the bench puts somewhere");
    for zone in h.zones.iter().filter(|zone| !zone.splices_allowed) {
        fault = fault.at(zone.span, &zone.name, "forbids splices");
    }
    verdict.finds(fault);
}
