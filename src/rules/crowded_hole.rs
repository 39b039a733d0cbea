//! What lies in the holes of each barrier in; holes that are nearly full while another of their barrier is empty, out.

use super::{Facts, Fault, Rule, Source, Verdict};
use crate::diag::{Severity, Span};
use crate::harness::{Barrier, Hole, HoleId};
use crate::quantity::Fraction;

/// The rule.
pub static RULE: Rule = Rule {
    name: "crowded-hole",
    title: "A hole is nearly full while another of its barrier is empty",
    severity: Severity::Doubt,
    why: "A full hole takes no later wire, no thicker seal and no connector; where a hole beside it is empty, that can still be mended on paper.",
    limit: "nine tenths of `max-conductors:` or `max-fill:` of the hole; holes past `max-holes:` of the barrier do not count as empty",
    source: Source::CommonPractice,
    remedy: "lead some of the circuits through the empty hole (`through:`), or waive this with the reason",
    check,
};

/// Share of a limit from which a hole counts as nearly full. Common practice, no source.
const NEARLY: f64 = 0.9;

fn check(facts: &Facts<'_>, verdict: &mut Verdict) {
    for barrier in &facts.harness.barriers {
        let Some(empty) = empty(facts, barrier) else { continue };
        for id in barrier.holes.iter().copied() {
            let hole = facts.harness.hole(id);
            let Some(crowd) = crowd(facts, id, hole) else { continue };
            let empty = facts.harness.hole(empty);
            verdict.finds(
                Fault::new(format!(
                    "hole `{}` holds {}; `{}` of the same barrier is empty",
                    hole.name, crowd.words, empty.name
                ))
                .at(hole.span, &hole.name, "nearly full")
                .at(empty.span, &empty.name, "empty")
                .limit(crowd.limit, crowd.allowed)
                .seen("no room for a later wire, and a seal that is hard to close"),
            );
        }
    }
}

/// A hole of the barrier through which nothing goes though runs lead to it from both sides and one more may be used.
fn empty(facts: &Facts<'_>, barrier: &Barrier) -> Option<HoleId> {
    let h = facts.harness;
    let is_used = |id: &HoleId| !facts.routing.in_hole[id.index()].is_empty();
    let used = barrier.holes.iter().filter(|id| is_used(id)).count();
    if barrier.max_holes.is_some_and(|most| used >= most.value as usize) {
        return None;
    }
    barrier.holes.iter().copied().find(|id| {
        let hole = h.hole(*id);
        let zones = &h.place(hole.place).zones;
        !is_used(id) && hole.others == 0 && barrier.between.iter().all(|zone| zones.contains(zone))
    })
}

/// How a hole is nearly full, and the line that sets the limit.
struct Crowd {
    words: String,
    allowed: String,
    limit: Span,
}

/// None for a hole with room, and for one over its limit, which other rules tell.
fn crowd(facts: &Facts<'_>, id: HoleId, hole: &Hole) -> Option<Crowd> {
    let own = facts.bundles.hole(id);
    if own.strands.is_empty() {
        return None;
    }
    let nearly = |share: f64| (NEARLY..=1.0).contains(&share);
    let by_count = hole.max_conductors.and_then(|most| {
        let count = own.conductors + hole.others as usize;
        nearly(count as f64 / f64::from(most.value)).then(|| Crowd {
            words: format!("{count} conductors of the {} that it may hold", most.value),
            allowed: format!("at most {}", most.value),
            limit: most.span,
        })
    });
    by_count.or_else(|| {
        let most = hole.max_fill?;
        let fill = facts.bundles.hole_with_others(id).fill(hole.bore?.value)?;
        let shown = |share: Fraction| share.show(facts.harness.header.units);
        nearly(fill.ratio() / most.value.ratio()).then(|| Crowd {
            words: format!(
                "wires over {} of its area, where {} is the limit",
                shown(fill),
                shown(most.value)
            ),
            allowed: format!("at most {}", shown(most.value)),
            limit: most.span,
        })
    })
}
