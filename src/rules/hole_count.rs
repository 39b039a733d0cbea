//! Conductors in each hole in; holes that hold more than their limit out.

use super::{Facts, Fault, Rule, Source, Verdict};
use crate::diag::Severity;
use crate::harness::HoleId;

/// The rule.
pub static RULE: Rule = Rule {
    name: "hole-count",
    title: "More conductors pass a hole than it may hold",
    severity: Severity::Stop,
    why: "A crowded grommet chafes insulation, and there is no room left to close the hole against fire and fumes.",
    limit: "`max-conductors:` of the hole; conductors of other harnesses (`others:`) count",
    source: Source::Declared("the spec: `max-conductors:` of the hole"),
    remedy: "lead a circuit through another hole (`through:`), or have the hole enlarged by whoever answers for the structure",
    check,
};

fn check(facts: &Facts<'_>, verdict: &mut Verdict) {
    for (i, hole) in facts.harness.holes.iter().enumerate() {
        let own = &facts.routing.in_hole[HoleId::at(i).index()];
        if own.is_empty() {
            continue;
        }
        let Some(limit) = hole.max_conductors else {
            verdict.not_judged(hole.span, &hole.name, "`max-conductors:` of this hole is not given");
            continue;
        };
        let others = hole.others as usize;
        let count = own.len() + others;
        if count <= limit.value as usize {
            continue;
        }
        let of_which =
            if others > 0 { format!(", {others} of them of other harnesses") } else { String::new() };
        verdict.finds(
            Fault::new(format!(
                "hole `{}` holds {count} conductors{of_which}; it may hold {}",
                hole.name, limit.value
            ))
            .at(hole.span, &hole.name, format!("{count} conductors"))
            .limit(limit.span, format!("at most {}", limit.value))
            .seen("chafed insulation at the lining, and a seal that does not close"),
        );
    }
}
