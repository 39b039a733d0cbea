//! Pairs and paths in; legs of one signal that part company along the structure out.

use std::collections::{BTreeMap, BTreeSet};

use super::{Facts, Fault, Rule, Source, Verdict};
use crate::diag::Severity;
use crate::harness::{BarrierId, ConductorId, HoleId, Lay, RunId};
use crate::quantity::Length;

/// The rule.
pub static RULE: Rule = Rule {
    name: "parted-pair",
    title: "The legs of a pair take different ways",
    severity: Severity::Doubt,
    why: "Between two legs that lie apart the field of the ignition and the alternator gives a voltage of its own, and \
          the legs of a thermocouple then lie at different temperatures.",
    limit: "both legs of a thermocouple, of a shunt and of wires twisted together lie in the same runs, but for a tail \
            (`tail:` of the shop) at their ends",
    source: Source::Physics("law of induction: the voltage goes with the area between the legs"),
    remedy: "lay both legs the same way: one circuit for both, or the same `through:`",
    check,
};

fn check(facts: &Facts<'_>, verdict: &mut Verdict) {
    let h = facts.harness;
    let mut told: BTreeSet<ConductorId> = BTreeSet::new();
    for pair in facts.pairs {
        if let Some(parted) = Parted::between(facts, &pair.plus, &pair.minus) {
            told.extend(pair.conductors());
            let device = h.device(pair.device);
            let who = format!("the legs of `{}`", device.name);
            verdict.finds(parted.fault(facts, &who).at(device.span, &device.name, "their two pins are here"));
        }
    }
    for lay in h.lays.iter().filter(|lay| is_pair(facts, lay)) {
        let wires: Vec<ConductorId> =
            lay.conductors.iter().copied().filter(|c| !h.conductor(*c).drain).collect();
        let Some((first, others)) = wires.split_first() else { continue };
        if wires.iter().any(|c| told.contains(c)) {
            continue;
        }
        let parted = others.iter().find_map(|other| Parted::between(facts, &[*first], &[*other]));
        if let Some(parted) = parted {
            let who = format!("the twisted wires of circuit `{}`", facts.circuit_of(*first).name);
            verdict.finds(parted.fault(facts, &who));
        }
    }
}

/// Wires that the shop twists, and bought pairs; a cable of several circuits is no pair.
fn is_pair(facts: &Facts<'_>, lay: &Lay) -> bool {
    let wire = |c: &ConductorId| facts.library.wires.get(facts.harness.conductor(*c).wire);
    let bought = || lay.conductors.first().is_some_and(|c| wire(c).lay.is_some() && wire(c).cores.len() == 2);
    lay.twist.is_some() || bought()
}

/// Two legs that do not lie together.
struct Parted {
    apart: Length,
    /// A run that only this leg takes, and a conductor that does: of plus, of minus.
    alone: [Option<(RunId, ConductorId)>; 2],
}

impl Parted {
    /// `None` where they lie together, where they part by no more than a tail, and where they pass a barrier apart,
    /// which is told by another rule.
    fn between(facts: &Facts<'_>, plus: &[ConductorId], minus: &[ConductorId]) -> Option<Parted> {
        let h = facts.harness;
        let mut times: BTreeMap<RunId, [usize; 2]> = BTreeMap::new();
        let mut who: BTreeMap<(RunId, usize), ConductorId> = BTreeMap::new();
        let mut holes: BTreeMap<BarrierId, BTreeSet<HoleId>> = BTreeMap::new();
        for (side, leg) in [plus, minus].into_iter().enumerate() {
            for c in leg {
                // What has no way is told by another rule, and nothing can be said of it here.
                let path = facts.routing.path_of(h, *c)?;
                for run in &path.runs {
                    let count = times.entry(*run).or_default();
                    if let Some(count) = count.get_mut(side) {
                        *count += 1;
                    }
                    who.entry((*run, side)).or_insert(*c);
                }
                for hole in facts.holes_of(*c) {
                    holes.entry(h.hole(hole).barrier).or_default().insert(hole);
                }
            }
        }
        if holes.values().any(|through| through.len() > 1) {
            return None;
        }
        let apart: Length =
            times.iter().map(|(run, [a, b])| h.run(*run).length.value.times(a.abs_diff(*b))).sum();
        let alone = [0, 1].map(|side| {
            let only = times.iter().find(|(_, [a, b])| if side == 0 { a > b } else { b > a });
            only.and_then(|(run, _)| Some((*run, *who.get(&(*run, side))?)))
        });
        (apart > h.shop.tail.value).then_some(Parted { apart, alone })
    }

    fn fault(self, facts: &Facts<'_>, who: &str) -> Fault {
        let h = facts.harness;
        let mut fault = Fault::new(format!(
            "{who} lie apart over {}; a tail is {}",
            self.apart.show(facts.harness.header.units),
            h.shop.tail.value.show(facts.harness.header.units)
        ));
        for (run, c) in self.alone.into_iter().flatten() {
            let (span, circuit) = facts.spot(c);
            let text = format!("`{}` alone takes `{}`", h.conductor(c).mark, h.run(run).name);
            fault = fault.at(span, circuit, text);
        }
        for (run, _) in self.alone.into_iter().flatten() {
            fault = fault.at(h.run(run).span, &h.run(run).name, "one leg lies here");
        }
        fault.seen("a reading that jumps with the engine's speed or with electrical load")
    }
}
