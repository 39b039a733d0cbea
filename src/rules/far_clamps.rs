//! Clamp spacings of runs in; runs whose clamps are too far apart out.

use super::{Facts, Fault, Rule, Source, Verdict};
use crate::diag::Severity;
use crate::trade::installation::support_spacing;

/// The rule.
pub static RULE: Rule = Rule {
    name: "far-clamps",
    title: "The clamps of a run are too far apart",
    severity: Severity::Stop,
    why: "Between clamps that are far apart the bundle swings with the engine, chafes, and works its terminals loose.",
    limit: "24 in from clamp to clamp; a run that is shorter needs none between its ends; a run in a duct is clamped with \
            the duct. A run without `clamps:` is not found here: the install sheet asks for the spacing",
    source: Source::Document { document: "FAA AC 43.13-1B", place: "par. 11-96a" },
    remedy: "set the clamps closer",
    check,
};

fn check(facts: &Facts<'_>, verdict: &mut Verdict) {
    let h = facts.harness;
    let units = h.header.units;
    let limit = support_spacing();
    let most = limit.value;
    for (run, inside) in h.runs.iter().zip(&facts.routing.in_run) {
        let Some(clamps) = run.clamps.filter(|c| c.value > most && run.length.value > most) else { continue };
        if inside.is_empty() {
            continue;
        }
        // A spacing longer than the run leaves the clamps at its ends.
        let apart = clamps.value.min(run.length.value);
        let [apart, may] = limit.beside(apart, units);
        verdict.finds(
            Fault::new(format!("the clamps of run `{}` are {apart} apart; {may} may be", run.name))
                .at(clamps.span, &run.name, format!("a clamp each {}", clamps.value.show(units)))
                .at(run.length.span, &run.name, format!("{} long", run.length.value.show(units)))
                .seen("chafed insulation, and wires broken where they enter a connector")
                .mend(format!("clamp run `{}` each {} or closer", run.name, limit.in_words(units))),
        );
    }
}
