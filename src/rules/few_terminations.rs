//! The shop's reserve in; a reserve that is too short for the next repairs out.

use super::{Facts, Fault, Rule, Source, Verdict};
use crate::diag::Severity;
use crate::trade::installation::spare_terminations;

/// The rule.
pub static RULE: Rule = Rule {
    name: "few-terminations",
    title: "The wires leave too little to terminate their ends anew",
    severity: Severity::Doubt,
    why: "An end that cannot be cut back is mended with a splice, or the whole wire is drawn again.",
    limit: "two new terminations at each end (`reterminations:` of the shop), beside drip loop and movement",
    source: Source::Document { document: "FAA AC 43.13-1B", place: "par. 11-118" },
    remedy: "write `reterminations: 2`, or leave it out: two is what the tool allows for by itself",
    check,
};

fn check(facts: &Facts<'_>, verdict: &mut Verdict) {
    let times = facts.harness.shop.reterminations;
    let fewest = spare_terminations().value;
    let Some(span) = times.span.filter(|_| (times.value as usize) < fewest) else { return };
    let how_often = match times.value {
        0 => "not even once".to_owned(),
        1 => "once".to_owned(),
        n => format!("{n} times"),
    };
    verdict.finds(
        Fault::new(format!("an end can be terminated anew {how_often}; {} times is the least", fewest))
            .at(span, "shop", "all wires are cut with this reserve")
            .seen("a splice at the first repair, where a contact would have done"),
    );
}
