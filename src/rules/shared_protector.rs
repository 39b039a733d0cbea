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
    limit: "one protector for each device that draws through it, switches closed; what only measures there (the voltage of \
            the bus) does not count. For what is essential to safe flight this was law on aircraft",
    source: Source::Copied {
        document: "14 CFR 23.1357",
        place: "paragraph (b), before its amendment of 2017",
    },
    remedy: "give each device its own breaker or fuse, or note that they may fail together",
    check,
};

/// Devices named one by one in a finding; the rest are counted.
const NAMED: usize = 6;

fn check(facts: &Facts<'_>, verdict: &mut Verdict) {
    let h = facts.harness;
    for feed in facts.feeds {
        let device = h.device(feed.supply);
        if !matches!(&device.class, DeviceClass::Supply { breaker, fuse, .. } if breaker.is_some() || fuse.is_some())
        {
            continue;
        }
        let served = &feed.serves;
        if served.len() < 2 {
            if let Some(switch) = feed.behind.unsure.first() {
                let switch = &h.device(*switch).name;
                let reason = format!(
                    "whether what `{switch}` gives comes from it is not said (`links:` of its part), so what depends on it \
                     is not known"
                );
                verdict.not_judged(device.span, &device.name, reason);
            }
            continue;
        }
        let named = || served.iter().take(NAMED);
        let names: Vec<String> = named().map(|id| format!("`{}`", h.device(*id).name)).collect();
        let more = match served.len().saturating_sub(NAMED) {
            0 => String::new(),
            more => format!(" and {more} more"),
        };
        let (name, names) = (&device.name, names.join(", "));
        let mut fault = Fault::new(format!("`{name}` serves {} devices: {names}{more}", served.len())).at(
            device.span,
            name,
            "the one protector",
        );
        for id in named() {
            fault = fault.at(h.device(*id).span, &h.device(*id).name, "depends on it");
        }
        verdict.finds(fault.seen("one fault darkens all of them"));
    }
}
