//! Thermocouple legs in; those out that swap at two places, so that both ends look right.

use super::{Facts, Fault, Rule, Source, Verdict};
use crate::diag::Severity;
use crate::graph::Piece;
use crate::parts::words::Role;

/// The rule.
pub static RULE: Rule = Rule {
    name: "swapped-twice",
    title: "The legs of a thermocouple are swapped and swapped back",
    severity: Severity::Stop,
    why: "The reading rises with the engine and looks right, yet it is wrong by twice the difference in temperature \
          between the two places.",
    limit: "no piece of a leg is made of the other leg's material",
    source: Source::Physics("thermocouple law of intermediate temperatures (NIST Monograph 175)"),
    remedy: "swap the legs back at both places",
    check,
};

fn check(facts: &Facts<'_>, verdict: &mut Verdict) {
    let h = facts.harness;
    for run in facts.thermocouples {
        let [plus, minus] =
            [&run.plus, &run.minus].map(|leg| leg.end().and_then(|p| h.port_of(p)).map(|(_, r)| r));
        if (plus, minus) != (Some(Role::Plus), Some(Role::Minus)) {
            continue;
        }
        let changes = [Role::Plus, Role::Minus].map(|side| run.changes(h, side));
        if changes.iter().any(Vec::is_empty) {
            continue;
        }
        let sensor = h.device(run.sensor);
        let mut places: Vec<String> = Vec::new();
        for change in &changes[0] {
            let name = format!("`{}`", facts.device_spot(change.at).1);
            if places.last() != Some(&name) {
                places.push(name);
            }
        }
        let mut fault = Fault::new(format!(
            "the legs of `{}` are swapped at {}: both ends look right, the piece between is the wrong way round",
            sensor.name,
            places.join(" and back at ")
        ));
        for (side, leg) in [(Role::Plus, &run.plus), (Role::Minus, &run.minus)] {
            for piece in &leg.pieces {
                let Piece::Conductor(c) = *piece else { continue };
                let alloy = h.conductor(c).alloy;
                if run.side(alloy).is_some_and(|s| s != side) {
                    let (span, id) = facts.spot(c);
                    fault = fault.at(span, id, format!("the {} leg, in {}", side.word(), alloy.name()));
                }
            }
        }
        let law = "the reading follows the engine and is off, the more so the hotter the engine compartment";
        let seen = facts.seen_at_gauge(run, law);
        verdict.finds(fault.limit(sensor.span, "this probe").seen(seen));
    }
}
