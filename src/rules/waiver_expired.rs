//! Waivers and the day of the check in; those past their last day out.

use super::{Facts, Fault, Rule, Source, Verdict};
use crate::diag::Severity;

/// The rule.
pub static RULE: Rule = Rule {
    name: "waiver-expired",
    title: "A waiver is past its last day",
    severity: Severity::Doubt,
    why: "What was accepted for a while was to be looked at again; that day has come.",
    limit: "the day in `until:`, which still counts",
    source: Source::Declared("the spec: `until:` of the waiver"),
    remedy: "mend what was waived, or have it accepted anew with a later `until:`",
    check,
};

fn check(facts: &Facts<'_>, verdict: &mut Verdict) {
    for waiver in &facts.harness.waivers {
        let (rule, at) = (&waiver.rule.value, &waiver.at.value);
        let Some(until) = waiver.until else { continue };
        match facts.today {
            None => verdict.not_judged(until.span, at, "the day of the check is not given"),
            Some(today) if waiver.expired(Some(today)) => verdict.finds(
                Fault::new(format!(
                    "the waiver of `{rule}` at `{at}` ended on {}; today is {today}",
                    until.value
                ))
                .at(waiver.span, at, "no longer holds")
                .limit(until.span, "its last day"),
            ),
            Some(_) => {}
        }
    }
}
