//! Conductors in each hole in; barriers of which more holes are used than allowed out.

use super::{Facts, Fault, Rule, Source, Verdict};
use crate::diag::Severity;

/// The rule.
pub static RULE: Rule = Rule {
    name: "holes-used",
    title: "More holes of a barrier are used than allowed",
    severity: Severity::Stop,
    why: "Every hole weakens a firewall and must be closed against fire; whoever answers for the structure allows so many.",
    limit: "`max-holes:` of the barrier; none where it is not given",
    source: Source::Declared("the spec: `max-holes:` of the barrier"),
    remedy: "lead the circuits through fewer holes with `through:`",
    check,
};

fn check(facts: &Facts<'_>, verdict: &mut Verdict) {
    let h = facts.harness;
    for barrier in &h.barriers {
        let Some(limit) = barrier.max_holes else { continue };
        let used: Vec<_> = barrier
            .holes
            .iter()
            .copied()
            .filter(|id| !facts.routing.in_hole[id.index()].is_empty())
            .collect();
        if used.len() <= limit.value as usize {
            continue;
        }
        let names: Vec<String> = used.iter().map(|id| format!("`{}`", h.hole(*id).name)).collect();
        let mut fault = Fault::new(format!(
            "{} holes of `{}` are used ({}); {} may be",
            used.len(),
            barrier.name,
            names.join(", "),
            limit.value
        ))
        .at(barrier.span, &barrier.name, format!("{} holes used", used.len()));
        for id in used {
            let count = facts.routing.in_hole[id.index()].len();
            let conductors =
                if count == 1 { "1 conductor".to_owned() } else { format!("{count} conductors") };
            fault = fault.at(h.hole(id).span, &h.hole(id).name, conductors);
        }
        verdict.finds(
            fault
                .limit(limit.span, format!("at most {}", limit.value))
                .seen("one more hole to close against fire and fumes"),
        );
    }
}
