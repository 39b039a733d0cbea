//! Splices and how they are shifted in; splices at one station of the bundle out.

use super::{Facts, Fault, Rule, Source, Verdict};
use crate::diag::Severity;
use crate::graph::splices_abreast;
use crate::harness::{DeviceClass, DeviceId};

/// The rule.
pub static RULE: Rule = Rule {
    name: "splices-abreast",
    title: "Two splices lie side by side",
    severity: Severity::Doubt,
    why: "Splices at one station make a hard lump in the bundle that no clamp or grommet takes, and press on each other.",
    limit: "splices of one bundle do not overlap in their length; splices onto a device's own lead lie in its tail and \
            are not looked at",
    source: Source::Document {
        document: "FAA-H-8083-32",
        place: "chapter 4, spliced connections in wire bundles: staggered",
    },
    remedy: "shift one of them along the bundle (`shift:` and `towards:` of the splice), or put it at another place",
    check,
};

fn check(facts: &Facts<'_>, verdict: &mut Verdict) {
    let h = facts.harness;
    for [first, second] in splices_abreast(h, facts.routing) {
        let names = [first, second].map(|id| h.device(id).name.as_str());
        let [a, b] = [first, second].map(|id| station(facts, id));
        let mut fault =
            Fault::new(format!("splices `{}` and `{}` lie side by side: {a}, and {b}", names[0], names[1]));
        // The later one is the one to move.
        for id in [second, first] {
            let device = h.device(id);
            let span = match device.class {
                DeviceClass::Splice { shift: Some(shift), .. } => shift.span,
                _ => device.at_span.unwrap_or(device.span),
            };
            fault = fault.at(span, &device.name, station(facts, id));
        }
        let pinned =
            |id: &DeviceId| matches!(h.device(*id).class, DeviceClass::Splice { shift: Some(_), .. });
        if ![first, second].iter().any(pinned) {
            fault = fault.mend(
                "no run at their place has room for a splice: put one of them at another place (`at:` of the splice, `joined-at:` of the circuit)",
            );
        }
        verdict.finds(fault.seen("a lump that the clamp does not close on, and wires that chafe beside it"));
    }
}

/// How long it is and where it lies: ``40 mm long at `tray`, shifted 50 mm towards panel``.
fn station(facts: &Facts<'_>, splice: DeviceId) -> String {
    let h = facts.harness;
    let place = facts.routing.place_of.get(splice.index()).copied().flatten();
    let place = place.map_or("no place", |p| h.place(p).name.as_str());
    let long = match h.device(splice).class {
        DeviceClass::Splice { build: Some(build), .. } => build.length.show(facts.harness.header.units),
        _ => String::new(),
    };
    match facts.routing.shift_words(h, splice) {
        Some(shift) => format!("{long} long at `{place}`, shifted {shift}"),
        None => format!("{long} long at `{place}`"),
    }
}
