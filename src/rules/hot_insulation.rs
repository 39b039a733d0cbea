//! Insulation classes, ambients and hot surfaces in; wires and coverings that lie where it is hotter than they stand out.

use std::collections::{BTreeMap, BTreeSet};

use super::hot_part::unsaid_ambient;
use super::{Facts, Fault, Rule, Source, Verdict};
use crate::diag::Severity;
use crate::harness::{CircuitId, ConductorId, Located, Run, RunId, ZoneId};
use crate::parts::library::WirePartId;
use crate::quantity::beside;

/// The rule.
pub static RULE: Rule = Rule {
    name: "hot-insulation",
    title: "A wire or its covering lies where it is hotter than it stands",
    severity: Severity::Stop,
    why: "Insulation that is too hot shrinks back, hardens and cracks; the bare wire then touches whatever is beside it.",
    limit: "`rated:` of wire and covering is not below the `ambient:` of any zone that is passed; a covering is not rated \
            below the `surface:` beside it, and without a covering the wire is not (a doubt, for how far it is away is \
            not said). How hot its own current makes a wire is judged by `thin-wire` and `crowded-wire`",
    source: Source::Document {
        document: "FAA AC 43.13-1B CHG 1",
        place: "par. 11-67 (heat ageing of insulation)",
    },
    remedy: "use wire of a hotter class, sleeve the run with what stands the heat, or lead it another way",
    check,
};

fn check(facts: &Facts<'_>, verdict: &mut Verdict) {
    let h = facts.harness;
    let mut hot: BTreeMap<(ZoneId, WirePartId), BTreeSet<CircuitId>> = BTreeMap::new();
    let mut unrated: BTreeMap<WirePartId, ConductorId> = BTreeMap::new();
    let mut no_ambient = BTreeSet::new();
    for id in h.conductor_ids() {
        let Some(path) = facts.routing.path_of(h, id) else { continue };
        let c = h.conductor(id);
        let Some(rated) = facts.library.wires.get(c.wire).rated else {
            unrated.entry(c.wire).or_insert(id);
            continue;
        };
        for run in &path.runs {
            let zone = h.run(*run).zone;
            match h.zone(zone).ambient {
                Some(ambient) if ambient.value > rated => {
                    hot.entry((zone, c.wire)).or_default().insert(c.circuit);
                }
                Some(_) => {}
                None => drop(no_ambient.insert(zone)),
            }
        }
    }
    for ((zone, wire), circuits) in &hot {
        verdict.finds(in_zone(facts, *zone, *wire, circuits));
    }
    for (wire, id) in unrated {
        let (span, circuit) = facts.spot(id);
        let name = facts.library.wires.name(wire);
        verdict.not_judged(
            span,
            circuit,
            format!("`{name}` does not say what its insulation stands (`rated:`)"),
        );
    }
    for zone in no_ambient {
        unsaid_ambient(facts, zone, verdict);
    }
    for i in 0..h.runs.len() {
        of_run(facts, RunId::at(i), verdict);
    }
}

fn in_zone(facts: &Facts<'_>, zone: ZoneId, wire: WirePartId, circuits: &BTreeSet<CircuitId>) -> Fault {
    let h = facts.harness;
    let units = h.header.units;
    let zone = h.zone(zone);
    let rated = facts.library.wires.get(wire).rated.map_or_else(String::new, |r| r.show(units));
    let ambient = zone.ambient.map_or_else(String::new, |a| a.value.show(units));
    let mut fault = Fault::new(format!(
        "`{}` is rated {rated}; in `{}`, which it passes, it gets {ambient}",
        facts.library.wires.name(wire),
        zone.name,
    ));
    for id in circuits {
        let circuit = h.circuit(*id);
        fault = fault.at(circuit.span, &circuit.name, format!("of wire rated {rated}"));
    }
    let fault =
        fault.at(zone.span, &zone.name, "passes here").seen("insulation that cracks when it is touched");
    match zone.ambient {
        Some(said) => fault.limit(said.span, format!("up to {ambient}")),
        None => fault,
    }
}

/// A covering against whichever is hotter, the surface beside it or the ambient. Where it stands the surface, but the
/// ambient is not said, it is not passed.
fn of_cover(facts: &Facts<'_>, run: &Run, cover: &Located<String>, verdict: &mut Verdict) {
    let h = facts.harness;
    let units = h.header.units;
    let Some((_, part)) = facts.library.coverings.look_up(&cover.value) else { return };
    let Some(rated) = part.rated else {
        verdict.not_judged(cover.span, &run.name, format!("`{}` does not say what it stands", cover.value));
        return;
    };
    let zone = h.zone(run.zone);
    match [run.surface, zone.ambient].into_iter().flatten().max_by_key(|t| t.value) {
        Some(hot) if rated < hot.value => {
            let [stands, heat] = beside(rated, hot.value, |t| t.show(units));
            let fault = Fault::new(format!(
                "`{}` on `{}` is rated {stands}; beside it are {heat}",
                cover.value, run.name,
            ))
            .at(cover.span, &run.name, format!("rated {stands}"))
            .limit(hot.span, format!("up to {heat}"));
            verdict.finds(fault.seen("a sleeve that burns off and leaves the wires bare to the heat"));
        }
        _ if zone.ambient.is_none() => verdict.not_judged(
            cover.span,
            &run.name,
            format!(
                "how hot it gets in `{}`, where `{}` lies, is not said (`ambient:`)",
                zone.name, cover.value
            ),
        ),
        _ => {}
    }
}

/// The covering of a run against ambient and surface; without one, its wires against the surface.
fn of_run(facts: &Facts<'_>, id: RunId, verdict: &mut Verdict) {
    let h = facts.harness;
    let units = h.header.units;
    let run = h.run(id);
    let Some(conductors) = facts.routing.in_run.get(id.index()).filter(|all| !all.is_empty()) else { return };
    if let Some(cover) = &run.cover {
        of_cover(facts, run, cover, verdict);
        return;
    }
    let Some(surface) = run.surface else { return };
    let mut fault = Fault::new(format!(
        "wires lie without a covering along `{}`, beside a surface of {}",
        run.name,
        surface.value.show(units),
    ));
    let mut named = BTreeSet::new();
    for id in conductors {
        let c = h.conductor(*id);
        let Some(rated) = facts.library.wires.get(c.wire).rated.filter(|r| *r < surface.value) else {
            continue;
        };
        let circuit = h.circuit(c.circuit);
        if named.insert(c.circuit) {
            fault = fault.at(circuit.span, &circuit.name, format!("of wire rated {}", rated.show(units)));
        }
    }
    if !named.is_empty() {
        verdict.finds(
            fault
                .at(run.span, &run.name, "has no `cover:`")
                .limit(surface.span, format!("up to {}", surface.value.show(units)))
                .seen("insulation that melts where the bundle sags against it")
                .weighs(Severity::Doubt),
        );
    }
}
