//! Bonds in; those out through which no supply drives what they are said to carry.

use super::{Facts, Fault, Rule, Source, Verdict};
use crate::diag::Severity;
use crate::graph::engine_return::insulates;
use crate::graph::{Phase, ground_network::bond_current};
use crate::harness::BondId;
use crate::quantity::beside;

/// The rule.
pub static RULE: Rule = Rule {
    name: "insulating-bond",
    title: "A bond does not conduct",
    severity: Severity::Stop,
    why: "A strap on paint, anodising or corrosion looks sound and joins nothing. What it was to carry seeks another way: \
          engine controls, fuel lines, instrument wires.",
    limit: "what a bond is said to carry, times its resistance, is less than the supply's voltage",
    source: Source::Physics("Ohm's law"),
    remedy: "clean both ends to bright metal, fasten the bond anew and measure it",
    check,
};

fn check(facts: &Facts<'_>, verdict: &mut Verdict) {
    let h = facts.harness;
    let units = h.header.units;
    for id in (0..h.bonds.len()).map(BondId::at) {
        let bond = h.bond(id);
        let said = Phase::ALL.into_iter().any(|phase| bond_current(h, id, phase).is_some());
        let missing = match (bond.resistance, h.header.supply) {
            (None, _) => Some("its resistance is not given (`resistance:`)"),
            (_, None) => Some("the supply voltage is not given (`supply:` of the harness)"),
            _ if !said => Some("what flows through it is not given (`carries:`, `cranking:`)"),
            _ => None,
        };
        if let Some(missing) = missing {
            verdict.not_judged(bond.span, &bond.name, missing);
            continue;
        }
        let (Some((said, most)), Some(resistance), Some(supply)) =
            (insulates(h, id), bond.resistance, h.header.supply)
        else {
            continue;
        };
        let [carries, drives] = beside(said, most, |current| current.show(units));
        let left = if said == most { ", and nothing is left for what takes it" } else { "" };
        let ends = bond.ends.map(|end| h.body(end).name.as_str());
        let fault = Fault::new(format!(
            "the bond `{}` has {}: of the {carries} that it is said to carry, {} drive {} through it at most{left}",
            bond.name,
            resistance.value.show(units),
            supply.value.show(units),
            if most.amps() < 1e-3 { "less than 1 mA".to_owned() } else { drives },
        ))
        .at(bond.span, &bond.name, format!("leaves `{}` and `{}` apart", ends[0], ends[1]))
        .limit(supply.span, "drives what flows there");
        verdict.finds(fault.seen("a starter that hardly turns, hot control cables, readings that wander"));
    }
}
