//! Ways from engines to the structure in; those of more resistance than a ground return may have, out.

use std::collections::{BTreeMap, BTreeSet};

use super::{Facts, Fault, Rule, Source, Verdict};
use crate::diag::Severity;
use crate::graph::engine_return::{EngineReturn, engine_returns};
use crate::harness::{BodyId, Bond, BondId};
use crate::quantity::beside;
use crate::trade::installation::ground_return;

/// The rule.
pub static RULE: Rule = Rule {
    name: "resistive-strap",
    title: "The engine's ground return has too much resistance",
    severity: Severity::Doubt,
    why: "The starter's and the alternator's current returns through the strap. What it drops there turns the engine \
          slowly, shifts every reading that is taken across it, and looks for other ways.",
    limit: "5 mΩ over all bonds from the engine to any body of the structure that something is grounded on, or where nothing \
            is, to the first that bonds lead to; without bonds that insulate",
    source: Source::Document { document: "FAA-H-8083-32", place: "chapter 4" },
    remedy: "clean the ends of the strap to bright metal and measure it again, or fit a thicker or shorter one",
    check,
};

fn check(facts: &Facts<'_>, verdict: &mut Verdict) {
    let h = facts.harness;
    let limit = ground_return();
    let mut by_engine: BTreeMap<BodyId, Vec<EngineReturn>> = BTreeMap::new();
    for way in engine_returns(h) {
        by_engine.entry(way.engine).or_default().push(way);
    }
    // A bond of a way that is known to be too much is told with it.
    let mut unmeasured: BTreeSet<BondId> = BTreeSet::new();
    for ways in by_engine.values() {
        let worst = ways.iter().rev().max_by_key(|way| way.least);
        if let Some(worst) = worst.filter(|way| way.least > limit.value) {
            verdict.finds(fault(facts, worst));
            continue;
        }
        let open = ways.iter().filter(|way| way.most.is_none_or(|most| most > limit.value));
        unmeasured.extend(open.flat_map(|way| way.bonds(h)).filter(|id| h.bond(*id).resistance.is_none()));
    }
    for bond in unmeasured.into_iter().map(|id| h.bond(id)) {
        verdict.not_judged(bond.span, &bond.name, "its resistance is not given (`resistance:`)");
    }
}

fn fault(facts: &Facts, way: &EngineReturn) -> Fault {
    let h = facts.harness;
    let units = h.header.units;
    let exact = way.most == Some(way.least);
    let limit = ground_return();
    let [least, most] = beside(way.least, limit.value, |ohms| ohms.show(units));
    let mut fault = Fault::new(format!(
        "from `{}` to `{}` lie {}{}, {} are satisfactory",
        h.body(way.engine).name,
        h.body(way.structure).name,
        if exact { "" } else { "at least " },
        least,
        most
    ))
    .by(limit.source());
    // The worst first; what is not measured may be sound.
    let mut bonds: Vec<&Bond> = way.bonds(h).into_iter().map(|id| h.bond(id)).collect();
    bonds.sort_by_key(|bond| std::cmp::Reverse(bond.resistance.map(|r| r.value)));
    for bond in bonds {
        let words = bond.resistance.map_or("not measured".to_owned(), |r| r.value.show(units));
        fault = fault.at(bond.span, &bond.name, words);
    }
    fault.seen("a starter that turns slowly; readings that move with the alternator's load")
}
