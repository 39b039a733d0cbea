//! Exhaust probes and their distance from the flange in; probes too near or too far out.

use super::{Facts, Fault, Rule, Source, Verdict};
use crate::diag::Severity;
use crate::parts::words::Measure;
use crate::trade::instruments::from_flange;

/// The rule.
pub static RULE: Rule = Rule {
    name: "probe-distance",
    title: "An exhaust probe is too near the flange or too far from it",
    severity: Severity::Doubt,
    why: "Near the flange the probe burns early and reads the flame; far down the pipe it reads gas that has cooled, and \
          pipes with unlike distances cannot be compared.",
    limit: "exhaust-gas and turbine-inlet probes are 2 to 4 in from the flange (`from-flange:`)",
    source: Source::CommonPractice,
    remedy: "move the probe to 2 to 4 in from the flange, all of an engine alike, where its maker says nothing else",
    check,
};

fn check(facts: &Facts<'_>, verdict: &mut Verdict) {
    let units = facts.harness.header.units;
    let [least, most] = from_flange();
    for device in &facts.harness.devices {
        let in_exhaust = |m: Measure| matches!(m, Measure::ExhaustGas | Measure::TurbineInlet);
        if !device.measures.is_some_and(in_exhaust) {
            continue;
        }
        let Some(distance) = device.mounting.from_flange else {
            let reason = "its distance from the exhaust flange is not given (`from-flange:`)";
            verdict.not_judged(device.span, &device.name, reason);
            continue;
        };
        if (least.value..=most.value).contains(&distance.value) {
            continue;
        }
        let near = distance.value < least.value;
        let [off, limit] = if near { least } else { most }.beside(distance.value, units);
        let fault = Fault::new(format!(
            "`{}` is {off} from the exhaust flange, {} than {limit}",
            device.name,
            if near { "less" } else { "more" },
        ))
        .at(distance.span, &device.name, if near { "too near" } else { "too far" });
        verdict.finds(fault.seen(if near {
            "a probe that burns early and reads higher than its neighbours"
        } else {
            "a cylinder that seems cooler than its neighbours"
        }));
    }
}
