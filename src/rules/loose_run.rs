//! Slack of runs in; runs that hang through too far between two clamps out.

use super::{Facts, Fault, Rule, Source, Verdict};
use crate::diag::Severity;
use crate::trade::installation::sag;

/// The rule.
pub static RULE: Rule = Rule {
    name: "loose-run",
    title: "A run hangs through too far between two clamps",
    severity: Severity::Doubt,
    why: "A bundle that hangs loose reaches what it was led past: hot pipes, control cables, sharp edges.",
    limit: "1/2 in under the pull of a hand (`slack:` of the run); more only where it can touch nothing. A run that does \
            not say it is not found here: the install sheet has it tried by hand",
    source: Source::Document {
        document: "FAA AC 43.13-1B",
        place: "par. 11-118 (also FAA-H-8083-32 and NAVEDTRA 14009)",
    },
    remedy: "take up the slack, or add a clamp between",
    check,
};

fn check(facts: &Facts<'_>, verdict: &mut Verdict) {
    let h = facts.harness;
    let units = h.header.units;
    let limit = sag();
    let most = limit.value;
    for (run, inside) in h.runs.iter().zip(&facts.routing.in_run) {
        let Some(slack) = run.slack.filter(|s| s.value > most && !inside.is_empty()) else { continue };
        let [hangs, may] = limit.beside(slack.value, units);
        verdict.finds(
            Fault::new(format!("run `{}` hangs through {hangs} between two clamps; {may} may be", run.name))
                .at(slack.span, &run.name, format!("{hangs} of slack"))
                .seen("insulation worn through or scorched where the bundle touches"),
        );
    }
}
