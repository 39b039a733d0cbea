//! Screens and their ties in; screens that are tied at more than one end out.

use std::collections::BTreeSet;

use super::{Facts, Fault, Rule, Source, Verdict};
use crate::diag::Severity;
use crate::harness::{Cable, ConductorId, PinSite, PlaceId};

/// The rule.
pub static RULE: Rule = Rule {
    name: "screen-both-ends",
    title: "A screen is tied at both ends",
    severity: Severity::Doubt,
    why: "A screen tied at two ends is a wire beside the signal: what flows in it is a voltage along the signal. Against \
          radio frequency both ends may be right; for a measuring circuit it is one.",
    limit: "the screen of a cable has ties at one end only, a tie that carries it on through a connector to the next cable left \
            out; a note at a magneto, whose maker may ask for both",
    source: Source::CommonPractice,
    remedy: "tie the screen at the indicator's end only (`screen:`)",
    check,
};

fn check(facts: &Facts<'_>, verdict: &mut Verdict) {
    let h = facts.harness;
    // A screen through which ground current can flow is told as a loop.
    let looped: BTreeSet<ConductorId> =
        facts.ground_loops.iter().flat_map(|l| l.conductors.iter().copied()).collect();
    for cable in &h.cables {
        let ties = cable.ties.as_deref().unwrap_or_default();
        let grounding = ties.iter().filter(|tie| !carries_on(facts, **tie));
        let places: BTreeSet<PlaceId> = grounding.filter_map(|t| tie_place(facts, *t)).collect();
        if places.len() < 2 || ties.iter().any(|t| looped.contains(t)) {
            continue;
        }
        let names: Vec<String> = places.iter().map(|p| format!("`{}`", h.place(*p).name)).collect();
        let mut fault =
            Fault::new(format!("the screen of `{}` is tied at {}", cable.name, names.join(" and at ")));
        for tie in ties.iter().rev() {
            let (span, circuit) = facts.spot(*tie);
            fault = fault.at(span, circuit, format!("tied to `{}`", facts.pin_name(h.conductor(*tie).to)));
        }
        fault = fault.at(cable.span, &cable.name, "this cable");
        if serves_magneto(facts, cable) {
            fault =
                fault.weighs(Severity::Note).mend("do as the maker of the magneto or of the pick-up says");
        }
        verdict.finds(
            fault.seen("readings that move with electrical load, for which nothing seems to be at fault"),
        );
    }
}

/// Where the drain lead of a screen is tied.
fn tie_place(facts: &Facts<'_>, tie: ConductorId) -> Option<PlaceId> {
    facts.routing.place_of_pin(facts.harness, facts.harness.conductor(tie).to)
}

/// True where the drain lead takes a cavity of a connector only to carry the screen on to the next cable, and no ground lies
/// there, however many cables and connectors follow.
fn carries_on(facts: &Facts<'_>, tie: ConductorId) -> bool {
    let h = facts.harness;
    let mut passed = BTreeSet::from([tie]);
    let mut ties = vec![tie];
    while let Some(tie) = ties.pop() {
        let Some(mate) = h.mate(h.conductor(tie).to) else { return false };
        for next in facts.electrical.conductors_at(mate) {
            // Any other wire may be a ground.
            let PinSite::Screen(cable) = h.pin(h.conductor(*next).from).site else { return false };
            passed.insert(*next);
            let of_cable = h.cable(cable).ties.as_deref().unwrap_or_default();
            ties.extend(of_cable.iter().filter(|tie| passed.insert(**tie)));
        }
    }
    true
}

fn serves_magneto(facts: &Facts<'_>, cable: &Cable) -> bool {
    let h = facts.harness;
    let pins = cable.cores.iter().flatten().flat_map(|c| [h.conductor(*c).from, h.conductor(*c).to]);
    pins.map(|p| h.device(h.pin(p).device)).any(|d| d.taps_magneto)
}
