//! Paths in; places out where wires pass from zone to zone although no hole is there.

use std::collections::{BTreeMap, BTreeSet};

use super::{Facts, Fault, Rule, Source, Verdict};
use crate::diag::Severity;
use crate::harness::{ConductorId, PlaceId, RunId, ZoneId};

/// The rule.
pub static RULE: Rule = Rule {
    name: "crossing-without-hole",
    title: "Wires pass from one zone into another where no hole is",
    severity: Severity::Stop,
    why: "What passes a firewall needs a lined and sealed hole; a crossing that nobody declared gets neither.",
    limit: "wires go from zone to zone at holes of the barrier between them only",
    source: Source::Document {
        document: "14 CFR 125.145",
        place: "paragraph (b): openings of a firewall are sealed",
    },
    remedy: "declare the hole under `barriers:` and let the runs meet in it, or correct the `zone:` of the run",
    check,
};

fn check(facts: &Facts<'_>, verdict: &mut Verdict) {
    let h = facts.harness;
    // Runs with wires in them, by the place they meet at.
    let mut used: BTreeMap<PlaceId, BTreeMap<ZoneId, (RunId, BTreeSet<ConductorId>)>> = BTreeMap::new();
    for (i, run) in h.runs.iter().enumerate() {
        let inside = &facts.routing.in_run[i];
        if inside.is_empty() {
            continue;
        }
        for place in run.ends.into_iter().filter(|p| h.place(*p).zones.len() > 1) {
            let here = used.entry(place).or_default().entry(run.zone);
            here.or_insert_with(|| (RunId::at(i), BTreeSet::new())).1.extend(inside);
        }
    }
    for (id, zones) in &used {
        let place = h.place(*id);
        let lawful = place.hole.map(|hole| h.barrier(h.hole(hole).barrier).between);
        let zones: Vec<_> = zones.iter().collect();
        for (k, (a, from)) in zones.iter().enumerate() {
            for (b, to) in zones.iter().skip(k + 1) {
                let parted = |between: [ZoneId; 2]| between == [**a, **b] || between == [**b, **a];
                if lawful.is_some_and(parted) {
                    continue;
                }
                let barrier = h.barriers.iter().find(|barrier| parted(barrier.between));
                let through = from.1.intersection(&to.1).count();
                // Without a barrier, only wires that really pass are worth a look.
                if barrier.is_none() && through == 0 {
                    continue;
                }
                let names = [&h.zone(**a).name, &h.zone(**b).name];
                let who = match barrier {
                    Some(barrier) => format!("although `{}` parts them and has no hole there", barrier.name),
                    None => "and no barrier between them is declared".to_owned(),
                };
                let mut fault = Fault::new(format!(
                    "wires go from `{}` to `{}` at `{}`, {who}",
                    names[0], names[1], place.name
                ))
                .at(
                    place.span,
                    &place.name,
                    format!("in `{}` and in `{}`", names[0], names[1]),
                );
                for run in [from.0, to.0] {
                    let run = h.run(run);
                    fault = fault.at(run.span, &run.name, format!("run in `{}`", h.zone(run.zone).name));
                }
                fault = match barrier {
                    Some(barrier) => {
                        fault.limit(barrier.span, "the barrier").seen("an unsealed opening in the firewall: fire and fumes pass it")
                    }
                    None => fault.weighs(Severity::Doubt).mend(
                        "declare the barrier between these zones and its hole here, or give both runs one zone",
                    ),
                };
                verdict.finds(fault);
            }
        }
    }
}
