//! Paths in; circuits out whose ends no path along the route joins.

use super::{Facts, Fault, Rule, Source, Verdict};
use crate::diag::Severity;
use crate::harness::LayId;

/// The rule.
pub static RULE: Rule = Rule {
    name: "no-way",
    title: "No way along the route joins the ends of a circuit",
    severity: Severity::Stop,
    why: "Its wires cannot be measured, so they are missing from the cut list and from every hole they pass.",
    limit: "a chain of runs from place to place, crossing the holes named in `through:` and passing no run or hole twice",
    source: Source::Declared("the spec: `route:`"),
    remedy: "add the missing run to `route:`, as measured along the structure",
    check,
};

fn check(facts: &Facts<'_>, verdict: &mut Verdict) {
    let h = facts.harness;
    for (i, lay) in h.lays.iter().enumerate() {
        let id = LayId::at(i);
        if facts.routing.paths[id.index()].is_some() {
            continue;
        }
        let Some(first) = lay.conductors.first() else { continue };
        let conductor = h.conductor(*first);
        let ends = [conductor.from, conductor.to];
        let places = ends.map(|pin| facts.routing.place_of_pin(h, pin));
        let (span, name) = facts.spot(*first);
        let [Some(from), Some(to)] = places else {
            for (pin, _) in ends.iter().zip(places).filter(|(_, p)| p.is_none()) {
                let reason = format!("the place of `{}` is not known", facts.pin_name(*pin));
                verdict.not_judged(span, name, reason);
            }
            continue;
        };
        let by = lay.through.iter().map(|p| format!("`{}`", h.place(*p).name)).collect::<Vec<_>>().join(", ");
        let by = if by.is_empty() { String::new() } else { format!(" by way of {by}") };
        let [a, b] = [h.place(from), h.place(to)];
        let mut fault = Fault::new(format!(
            "no way along the route leads circuit `{name}` from `{}` to `{}`{by}",
            a.name, b.name
        ))
        .at(
            span,
            name,
            format!("from `{}` to `{}`", facts.pin_name(ends[0]), facts.pin_name(ends[1])),
        );
        for (pin, place) in ends.into_iter().zip([a, b]) {
            let device = h.device(h.pin(pin).device);
            if let Some(at) = device.at_span {
                fault = fault.at(at, &device.name, format!("at `{}`", place.name));
            }
            if place.zones.is_empty() {
                fault = fault
                    .mend(format!("no run of `route:` comes to `{}`; add the one that does", place.name));
            }
        }
        for must in &h.circuit(conductor.circuit).through {
            let place = h.place(must.value);
            let Some(hole) = place.hole.filter(|_| lay.through.contains(&must.value)) else { continue };
            fault =
                fault.at(must.span, &place.name, "to be crossed, from one side of its barrier to the other");
            let between = h.barrier(h.hole(hole).barrier).between;
            for zone in between.into_iter().filter(|zone| !place.zones.contains(zone)) {
                fault = fault.mend(format!(
                    "no run of `route:` comes to `{}` in `{}`; add the one that does, or name another hole",
                    place.name,
                    h.zone(zone).name,
                ));
            }
        }
        verdict.finds(fault.seen("a wire nobody measured: cut by guess, too short or coiled up"));
    }
}
