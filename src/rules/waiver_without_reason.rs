//! Waivers in; those that give no reason, and those of a stop that no one answers for, out.

use super::{Facts, Fault, Rule, Source, Verdict};
use crate::diag::Severity;
use crate::harness::Waiver;
use crate::quantity::Date;

/// The rule.
pub static RULE: Rule = Rule {
    name: "waiver-without-reason",
    title: "A waiver gives no reason, or a stop is waived by nobody",
    severity: Severity::Stop,
    why: "Whoever reads the papers next year cannot tell an accepted risk from a silenced warning.",
    limit: "`because:` says why the finding is acceptable here; where it is a stop, `by:` says who accepts it",
    source: Source::CommonPractice,
    remedy: "add `because:` with the reason and `by:` with the name of who accepts it, or take the waiver out",
    check,
};

impl Waiver {
    /// Its reason, where it gives one.
    pub fn reason(&self) -> Option<&str> {
        self.because.as_deref().map(str::trim).filter(|b| !b.is_empty())
    }

    /// Who accepts it, where it says so.
    pub fn signed(&self) -> Option<&str> {
        self.by.as_deref().map(str::trim).filter(|by| !by.is_empty())
    }

    /// True where its last day is over on `today`; never where nobody said what day it is.
    pub fn expired(&self, today: Option<Date>) -> bool {
        matches!((self.until, today), (Some(until), Some(today)) if until.value < today)
    }
}

fn check(facts: &Facts<'_>, verdict: &mut Verdict) {
    for waiver in facts.harness.waivers.iter().filter(|w| w.reason().is_none()) {
        let (rule, at) = (&waiver.rule.value, &waiver.at.value);
        verdict.finds(
            Fault::new(format!("`{rule}` is waived at `{at}` without a reason, so the waiver does not hold"))
                .at(waiver.span, at, "no `because:` here"),
        );
    }
    for waiver in facts.unsigned_waivers.iter().filter_map(|i| facts.harness.waivers.get(*i)) {
        let (rule, at) = (&waiver.rule.value, &waiver.at.value);
        let words = format!(
            "`{rule}` says stop at `{at}` and is waived by nobody, so the waiver does not hold for what is a stop"
        );
        verdict.finds(Fault::new(words).at(waiver.span, at, "no `by:` here"));
    }
}
