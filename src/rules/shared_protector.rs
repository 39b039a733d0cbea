//! Supplies and what they serve in; breakers and fuses that more than one device depends on out.

use super::{Facts, Fault, Rule, Source, Verdict};
use crate::diag::Severity;
use crate::harness::DeviceClass;

/// The rule.
pub static RULE: Rule = Rule {
    name: "shared-protector",
    title: "One breaker or fuse serves several devices",
    severity: Severity::Note,
    why: "A fault of one takes the others with it, and nobody can switch off the one that smokes and keep the rest.",
    limit: "one protector for each device; for what is essential to safety this is law on aircraft (14 CFR 23.1357(b), \
            before its amendment of 2017)",
    source: Source::Remembered { document: "14 CFR 23.1357", place: "paragraph (b)" },
    remedy: "give each device its own breaker or fuse, or note that they may fail together",
    check,
};

fn check(facts: &Facts<'_>, verdict: &mut Verdict) {
    let h = facts.harness;
    for feed in facts.feeds {
        let device = h.device(feed.supply);
        if !matches!(&device.class, DeviceClass::Supply { breaker, fuse, .. } if breaker.is_some() || fuse.is_some())
        {
            continue;
        }
        let served = feed.serves(h);
        if served.len() < 2 {
            continue;
        }
        let names: Vec<String> = served.iter().map(|id| format!("`{}`", h.device(*id).name)).collect();
        let mut fault =
            Fault::new(format!("`{}` serves {} devices: {}", device.name, names.len(), names.join(", "))).at(
                device.span,
                &device.name,
                "the one protector",
            );
        for id in served {
            fault = fault.at(h.device(id).span, &h.device(id).name, "depends on it");
        }
        verdict.finds(fault.seen("one fault darkens all of them"));
    }
}
