//! Distances of runs from fuel, oil and oxygen lines in; runs that are too close out.

use super::{Facts, Fault, Rule, Source, Verdict};
use crate::diag::Severity;
use crate::spec::words::Hazard;
use crate::trade::installation::{least_separation_from_fluid, separation_from_fluid};

/// The rule.
pub static RULE: Rule = Rule {
    name: "near-fluid-line",
    title: "A run is too close to a fuel, oil or oxygen line",
    severity: Severity::Stop,
    why: "A chafed wire that arcs against a line lights what is in it.",
    limit: "`apart:` of the run: 6 in; down to 2 in where it is clamped so closely and rigidly (`rigid: true`) that a \
            broken wire or a lost clamp touches nothing. A run `beside:` such a line that does not say how far off it is \
            is not found here: the install sheet tells the hands to keep the distance",
    source: Source::Document { document: "FAA AC 43.13-1B", place: "par. 11-96 (w)" },
    remedy: "lead the run farther off, and above the line",
    check,
};

/// True for what burns, or makes other things burn, and runs in lines.
fn in_lines(hazard: Hazard) -> bool {
    matches!(hazard, Hazard::Fuel | Hazard::Oil | Hazard::Oxygen)
}

fn check(facts: &Facts<'_>, verdict: &mut Verdict) {
    let h = facts.harness;
    let units = h.header.units;
    let [full, reduced] = [separation_from_fluid(), least_separation_from_fluid()];
    for (run, inside) in h.runs.iter().zip(&facts.routing.in_run) {
        let least = if run.rigid { reduced } else { full };
        for (hazard, apart) in &run.apart {
            if !in_lines(*hazard) || apart.value >= least.value || inside.is_empty() {
                continue;
            }
            let words = hazard.words();
            let how =
                if run.rigid { "although it is clamped rigidly" } else { "as it is not clamped rigidly" };
            let [off, enough] = least.beside(apart.value, units);
            let mut fault = Fault::new(format!(
                "run `{}` is {off} from a line with {words}; {enough} is the least, {how}",
                run.name
            ))
            .at(apart.span, &run.name, format!("{off} from {words}"))
            .seen("a fire where a chafed wire meets the line");
            if !run.rigid && apart.value >= reduced.value {
                fault = fault.mend(format!(
                    "lead the run {} off, or clamp it so closely and rigidly that a broken wire or a lost clamp touches \
                     nothing, and write `rigid: true`",
                    least.in_words(units)
                ));
            }
            verdict.finds(fault);
        }
    }
}
