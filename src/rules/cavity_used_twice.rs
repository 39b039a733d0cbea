//! Wire ends in; cavities and blades that take more than one out.

use super::{Facts, Fault, Rule, Source, Verdict};
use crate::diag::Severity;
use crate::harness::{PinId, PinSite};

/// The rule.
pub static RULE: Rule = Rule {
    name: "cavity-used-twice",
    title: "Two wires go into one cavity or onto one blade",
    severity: Severity::Stop,
    why: "A contact is made and tested for one wire: two do not crimp, do not seal, and one of them pulls out. A blade is as \
          long as one push-on terminal: the second has no hold.",
    limit: "one wire in each cavity, one push-on terminal on each blade",
    source: Source::CommonPractice,
    remedy: "give one of them a free cavity or blade, or join the two in a splice and lead one wire there",
    check,
};

fn check(facts: &Facts<'_>, verdict: &mut Verdict) {
    let h = facts.harness;
    for i in 0..h.pins.len() {
        let pin = PinId::at(i);
        let wires = facts.electrical.conductors_at(pin);
        if wires.len() < 2 {
            continue;
        }
        let (go, has, seen) = match h.pin(pin).site {
            PinSite::Cavity { .. } => (
                "wires go into cavity",
                "this cavity",
                "a wire that works loose, and in a sealed connector water",
            ),
            PinSite::Tab(_) => (
                "push-on terminals go onto blade",
                "this blade",
                "a terminal that slips off, and with it whatever it feeds",
            ),
            _ => continue,
        };
        let marks: Vec<String> = wires.iter().map(|c| format!("`{}`", h.conductor(*c).mark)).collect();
        let mut fault =
            Fault::new(format!("{} {go} `{}`: {}", wires.len(), facts.pin_name(pin), marks.join(", ")));
        // The one that came last in the spec is the one to move.
        for c in wires.iter().rev() {
            let (span, circuit) = facts.spot(*c);
            fault = fault.at(span, circuit, format!("`{}` goes there", h.conductor(*c).mark));
        }
        let (span, device) = facts.device_spot(pin);
        verdict.finds(fault.at(span, device, format!("has {has}")).seen(seen));
    }
}
