//! Wire ends in; cavities that take more than one out.

use super::{Facts, Fault, Rule, Source, Verdict};
use crate::diag::Severity;
use crate::harness::{PinId, PinSite};

/// The rule.
pub static RULE: Rule = Rule {
    name: "cavity-used-twice",
    title: "Two wires go into one cavity",
    severity: Severity::Stop,
    why: "A contact is made and tested for one wire: two do not crimp, do not seal, and one of them pulls out.",
    limit: "one wire in each cavity",
    source: Source::CommonPractice,
    remedy: "give one of them a free cavity, or join the two in a splice and lead one wire to the cavity",
    check,
};

fn check(facts: &Facts<'_>, verdict: &mut Verdict) {
    let h = facts.harness;
    for i in 0..h.pins.len() {
        let pin = PinId::at(i);
        let wires = facts.electrical.conductors_at(pin);
        if wires.len() < 2 || !matches!(h.pin(pin).site, PinSite::Cavity { .. }) {
            continue;
        }
        let marks: Vec<String> = wires.iter().map(|c| format!("`{}`", h.conductor(*c).mark)).collect();
        let mut fault = Fault::new(format!(
            "{} wires go into cavity `{}`: {}",
            wires.len(),
            facts.pin_name(pin),
            marks.join(", ")
        ));
        // The one that came last in the spec is the one to move.
        for c in wires.iter().rev() {
            let (span, circuit) = facts.spot(*c);
            fault = fault.at(span, circuit, format!("`{}` goes there", h.conductor(*c).mark));
        }
        let (span, device) = facts.device_spot(pin);
        verdict.finds(
            fault
                .at(span, device, "has this cavity")
                .seen("a wire that works loose, and in a sealed connector water"),
        );
    }
}
