//! Supplies and their loads in; breakers and fuses that feed more than they are rated for out.

use super::{Facts, Fault, Rule, Source, Verdict};
use crate::diag::Severity;
use crate::harness::DeviceClass;
use crate::quantity::{Current, beside as beside_limit};
use crate::trade::voltage_drop::Duty;

/// The rule.
pub static RULE: Rule = Rule {
    name: "small-protector",
    title: "A breaker or fuse feeds more than it is rated for",
    severity: Severity::Stop,
    why: "It opens in normal use, and somebody fits a larger one that no longer protects the wire.",
    limit: "the sum of all continuous loads that it feeds is not above its rating",
    source: Source::Document { document: "FAA AC 43.13-1B", place: "par. 11-48" },
    remedy: "share the loads out over more protectors, or fit a larger one with wire to match",
    check,
};

fn check(facts: &Facts<'_>, verdict: &mut Verdict) {
    let h = facts.harness;
    let units = h.header.units;
    for feed in facts.feeds {
        let device = h.device(feed.supply);
        let DeviceClass::Supply { breaker, fuse, .. } = &device.class else { continue };
        let Some(rating) = [*breaker, *fuse].into_iter().flatten().min_by_key(|r| r.value) else { continue };
        // Loads of a net are counted with its first supply; each of the others may have to feed all of them.
        let beside = feed.beside.iter().filter_map(|other| facts.feeds.iter().find(|f| f.supply == *other));
        let loads: Vec<_> = beside.chain([feed]).flat_map(|f| &f.loads).collect();
        let steady = || loads.iter().filter(|fed| fed.duty == Duty::Continuous);
        let sum: Current = steady().filter_map(|fed| fed.load.current).map(Current::abs).sum();
        if sum > rating.value && feed.beside.is_empty() {
            let [sum, rated] = beside_limit(sum, rating.value, |current| current.show(units));
            let mut fault = Fault::new(format!("`{}` is rated {rated} and feeds {sum}", device.name)).at(
                rating.span,
                &device.name,
                format!("rated {rated}"),
            );
            for fed in steady() {
                let device = h.device(fed.load.device);
                let (span, at) = fed
                    .circuit
                    .map_or((device.span, &device.name), |c| (h.circuit(c).span, &h.circuit(c).name));
                let name = fed.load.pin().map_or("", |pin| facts.pin_name(pin));
                let takes =
                    fed.load.current.map_or_else(|| "an unknown current".to_owned(), |c| c.show(units));
                fault = fault.at(span, at, format!("`{name}` takes {takes}"));
            }
            verdict.finds(fault.seen("a breaker that trips or a fuse that goes in normal use"));
        } else if let Some(fed) = steady().find(|fed| fed.load.current.is_none()) {
            let name = fed.load.pin().map_or("a load", |pin| facts.pin_name(pin));
            let reason = format!("nobody says how much `{name}` takes; write `current:` at its circuit");
            verdict.not_judged(device.span, &device.name, reason);
        } else if !feed.beside.is_empty() && sum > rating.value {
            let reason = "another supply feeds the same wires; how the current divides is not known";
            verdict.not_judged(device.span, &device.name, reason);
        }
    }
}
