//! Waivers that covered no finding in; a finding for each out.

use super::{Facts, Fault, Rule, Source, Verdict, all};
use crate::diag::{Severity, nearest};

/// The rule.
pub static RULE: Rule = Rule {
    name: "waiver-matches-nothing",
    title: "A waiver covers nothing",
    severity: Severity::Doubt,
    why: "A waiver left behind hides the same fault when it comes back, and a misspelt one hides nothing.",
    limit: "every waiver covers at least one finding of its rule that names its thing",
    source: Source::CommonPractice,
    remedy: "take the waiver out, or write the rule and the name as the finding gives them",
    check,
};

fn check(facts: &Facts<'_>, verdict: &mut Verdict) {
    for waiver in facts.idle_waivers.iter().filter_map(|i| facts.harness.waivers.get(*i)) {
        let (rule, at) = (waiver.rule.value.as_str(), &waiver.at.value);
        let fault =
            if all().any(|r| r.name == rule) {
                Fault::new(format!("nothing that `{rule}` finds names `{at}`, so the waiver covers nothing"))
                    .at(waiver.at.span, at, "not named in any finding of this rule")
            } else {
                let fault = Fault::new(format!("there is no rule `{rule}`, so the waiver covers nothing"))
                    .at(waiver.rule.span, rule, "no rule of this name");
                match nearest(rule, all().map(|r| r.name)) {
                    Some(near) => fault.mend(format!("write `{near}` if that is what is meant")),
                    None => fault.mend("run `fairlead explain` for the names of all rules"),
                }
            };
        verdict.finds(fault);
    }
}
