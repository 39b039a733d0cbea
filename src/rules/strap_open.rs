//! Bonds in; the wires out that would carry the bond's current if it came loose, and cannot.

use super::ground_words::{size, unsure};
use super::sender_offset::why_not;
use super::{Facts, Fault, Rule, Source, Verdict};
use crate::diag::Severity;
use crate::graph::ground_network::{Overload, Strap, StrapOpen, bond_current};
use crate::graph::{Phase, Unsure};
use crate::harness::{Bond, BondId, ConductorId, DeviceClass};
use crate::quantity::beside;

/// The rule.
pub static RULE: Rule = Rule {
    name: "strap-open",
    title: "A thin wire becomes the engine's return when a strap comes loose",
    severity: Severity::Stop,
    why: "Straps break, corrode and are forgotten after an engine change. The alternator and the starter then return \
          through whatever of the harness still joins the two bodies: it burns, and what lies beside it.",
    limit: "no wire carries more than its rating with any one bond open: ampacity in a full bundle, less for a hot zone. \
            Where a zone does not say how hot it gets, wire resists what it does from 20 °C (common practice, no source) to \
            what its insulation stands, and it is not judged where the verdict hangs on it",
    source: Source::Document {
        document: "FAA AC 43.13-1B CHG 1",
        place: "Table 11-9; Kirchhoff's laws over the grounds",
    },
    remedy: "leave one way only from the harness to the bodies: ground the indicator on the engine and nowhere else",
    check,
};

fn check(facts: &Facts<'_>, verdict: &mut Verdict) {
    let h = facts.harness;
    for (i, strap) in facts.ground.straps.iter().enumerate() {
        let id = BondId::at(i);
        let bond = h.bond(id);
        match strap {
            Strap::Alone => {}
            Strap::Unsure(why) => verdict.not_judged(bond.span, &bond.name, unsure(facts, *why)),
            Strap::Around(opens) => {
                let worst: Vec<&StrapOpen> = opens.iter().filter(|o| !o.overloads.is_empty()).collect();
                if !worst.is_empty() {
                    verdict.finds(fault(facts, bond, &worst));
                    continue;
                }
                let missing = Phase::ALL.into_iter().find(|p| bond_current(h, id, *p).is_none());
                let perhaps = opens.iter().find(|o| !o.perhaps.is_empty()).and_then(|o| o.open);
                if let Some(open) = perhaps {
                    verdict.not_judged(bond.span, &bond.name, unsure(facts, Unsure::Resistance(open)));
                } else if let Some(wire) = opens.iter().flat_map(|o| &o.unrated).next() {
                    let reason = format!(
                        "what wire `{}` may carry is not known, and the current of `{}` goes there if it opens",
                        h.conductor(*wire).mark,
                        bond.name
                    );
                    verdict.not_judged(bond.span, &bond.name, reason);
                } else if let Some((other, phase)) = opens.iter().find_map(|o| Some((o.unsaid?, o.phase))) {
                    verdict.not_judged(bond.span, &bond.name, why_not(facts, Unsure::Current(other), phase));
                } else if let Some(pin) = opens.iter().find_map(|o| o.silent) {
                    verdict.not_judged(bond.span, &bond.name, unsure(facts, Unsure::Load(pin)));
                } else if let Some(phase) = missing {
                    let key = if phase == Phase::Cruise { "carries" } else { "cranking" };
                    let reason = format!("what it carries {} is not given (`{key}:`)", phase.words());
                    verdict.not_judged(bond.span, &bond.name, reason);
                }
            }
        }
    }
}

fn fault(facts: &Facts, bond: &Bond, opens: &[&StrapOpen]) -> Fault {
    let h = facts.harness;
    let units = h.header.units;
    let told = opens.iter().filter_map(|open| {
        let o = open.overloads.first()?;
        let mark = &h.conductor(o.conductor).mark;
        let [current, most] = beside(o.current, o.rating.ampacity, |current| current.show(units));
        let least = at_least(open);
        Some(format!("wire `{mark}` carries {least}{current} {}, {most} is its rating", open.phase.words()))
    });
    let told: Vec<String> = told.collect();
    let mut fault = Fault::new(format!("if the bond `{}` comes loose, {}", bond.name, told.join("; ")));
    let mut named: Vec<ConductorId> = Vec::new();
    for open in opens {
        for o in open.overloads.iter().filter(|o| !named.contains(&o.conductor)) {
            let (span, circuit) = facts.spot(o.conductor);
            fault = fault.at(span, circuit, carries(facts, open, o));
        }
        named.extend(open.overloads.iter().map(|o| o.conductor));
    }
    let flows = opens.iter().map(|open| {
        format!(
            "{}{} of {} flow on {}, through {}{}",
            at_least(open),
            open.flows.show(units),
            open.driven.said.show(units),
            open.phase.words(),
            if open.open.is_some() { "at most " } else { "" },
            open.around.show(units)
        )
    });
    let flows: Vec<String> = flows.collect();
    let mut fault = fault.at(bond.span, &bond.name, flows.join("; "));
    for said in [bond.carries, bond.cranking].into_iter().flatten() {
        fault = fault.at(said.span, &bond.name, "this current");
    }
    named.sort_unstable();
    named.dedup();
    if named.iter().all(|c| joins_grounds(facts, *c)) {
        let most = opens.iter().map(|o| o.driven.said).max().unwrap_or_default().show(units);
        let marks: Vec<String> = named.iter().map(|c| format!("`{}`", h.conductor(*c).mark)).collect();
        fault = fault.mend(format!(
            "take {} out, or give it the copper for {most}: a second strap must carry what the first one does",
            marks.join(" and ")
        ));
    }
    let gaps = opens.iter().map(|o| format!("{}{} {}", at_least(o), size(h, o.gap), o.phase.words()));
    let gaps: Vec<String> = gaps.collect();
    fault.seen(format!(
        "the wire glows and burns its bundle; from body to body lie {}, and every reading is wrong",
        gaps.join(", ")
    ))
}

/// True for a wire from ground point to ground point: a strap that the harness lays.
fn joins_grounds(facts: &Facts, wire: ConductorId) -> bool {
    let h = facts.harness;
    let c = h.conductor(wire);
    [c.from, c.to]
        .into_iter()
        .all(|pin| matches!(h.device(h.pin(pin).device).class, DeviceClass::Ground { .. }))
}

/// Where a resistance is not known because a zone does not say how hot it gets.
fn at_least(open: &StrapOpen) -> &'static str {
    if open.open.is_some() { "at least " } else { "" }
}

fn carries(facts: &Facts, open: &StrapOpen, o: &Overload) -> String {
    let units = facts.harness.header.units;
    let c = facts.harness.conductor(o.conductor);
    let current = format!("{}{}", at_least(open), o.current.show(units));
    let words = format!("`{}`, {}: {current} {}", c.mark, c.gauge, open.phase.words());
    match o.whole {
        Some(whole) if whole > o.rating.ampacity => {
            format!("{words}, and {} with the bond whole", whole.show(units))
        }
        _ => words,
    }
}
