//! Why a conductor, a circuit or a cable is as it is: lengths by their terms, ends by what they get.

use super::length::{CutLength, Item};
use super::termination::Termination;
use super::why::{Asked, Derivation, Line};
use crate::graph::Path;
use crate::harness::{CableId, CircuitId, ConductorId, Harness};
use crate::quantity::Units;

pub(super) fn conductor(asked: &Asked, id: ConductorId) -> Derivation {
    let h = asked.h;
    let c = h.conductor(id);
    let [from, to] = [c.from, c.to].map(|pin| h.pin(pin).name.as_str());
    let circuit = &h.circuit(c.circuit).name;
    let what = format!("conductor of circuit {circuit}, from {from} to {to}");
    let mut told = Derivation::of(&c.mark, what, Some(c.span));
    if let Some(length) = asked.plan.lengths.get(id.index()) {
        cut_length(h, length, &mut told);
    }
    if let Some(path) = asked.routing.path_of(h, id) {
        told.figure("path", way(h, path), path_terms(asked, id, path));
    }
    if let Some([from, to]) = asked.plan.terminations.of.get(id.index()) {
        for end in [from, to] {
            told.figure(
                &format!("end at {}", h.pin(end.pin).name),
                super::when_words::when(h, end),
                end_terms(asked, end),
            );
        }
    }
    let wire = asked.library.wires.get(c.wire);
    let chosen =
        Line::of(wire.title.clone(), c.gauge.to_string()).at(c.wire_span).by_default(c.wire_span.is_none());
    let colour = Line::of(c.colour.value.name(), c.colour.value.code())
        .at(c.colour.span)
        .by_default(c.colour.span.is_none());
    told.figure("wire", asked.library.wires.name(c.wire), vec![chosen, colour]);
    super::why_current::figures(asked, id, &mut told);
    super::why_ground::of_conductor(asked, id, &mut told);
    told
}

fn cut_length(h: &Harness, length: &CutLength, told: &mut Derivation) {
    let units = h.header.units;
    let value = match length.need {
        Some(need) => need.show(units),
        None => format!("not known: {}", length.missing.join("; ")),
    };
    told.figure("cut length", value, length.items.iter().map(|i| of_item(i, units)).collect());
    if let Some(declared) = length.declared {
        let line = Line::of("as the spec says", declared.value.show(units)).at([declared.span]);
        told.figure("declared length", declared.value.show(units), vec![line]);
    }
}

fn of_item(item: &Item, units: Units) -> Line {
    Line::of(item.words.clone(), item.length.show(units))
        .because(item.formula.clone())
        .at(item.spans.iter().copied())
        .by_default(item.by_default)
        .by(item.source)
}

fn way(h: &Harness, path: &Path) -> String {
    path.places.iter().map(|p| h.place(*p).name.as_str()).collect::<Vec<_>>().join(" > ")
}

fn path_terms(asked: &Asked, id: ConductorId, path: &Path) -> Vec<Line> {
    let h = asked.h;
    let circuit = h.circuit(h.conductor(id).circuit);
    let mut terms = vec![
        Line::of("shortest way", path.length.show(h.header.units))
            .because("from zone to zone through holes only; of equal ways the one with fewer holes")
            .by("Dijkstra over the measured runs"),
    ];
    let told = circuit
        .through
        .iter()
        .map(|p| Line::of(format!("must pass {}", h.place(p.value).name), "").at([p.span]));
    terms.extend(told);
    if !circuit.keep_off.is_empty() {
        let beside = path
            .runs
            .iter()
            .filter(|r| h.run(**r).beside.iter().any(|hazard| circuit.keep_off.contains(hazard)));
        let beside: Vec<&str> = beside.map(|r| h.run(*r).name.as_str()).collect();
        let words = if beside.is_empty() {
            "keeps off the hazards it was told to".to_owned()
        } else {
            format!("has no way around {}", beside.join(", "))
        };
        terms.push(Line::of(words, "").at([circuit.span]));
    }
    let breaches = path.breaches(h);
    terms.extend(breaches.iter().map(|p| {
        Line::of(format!("goes through the barrier at {}, which is no hole", h.place(*p).name), "")
            .at([h.place(*p).span])
    }));
    terms
}

fn end_terms(asked: &Asked, end: &Termination) -> Vec<Line> {
    let h = asked.h;
    let units = h.header.units;
    let mut terms = Vec::new();
    match &end.hold {
        Some(hold) => {
            terms.push(Line::of(hold.title.clone(), hold.name.clone()));
            let strip = end.strip.map_or_else(|| "not known".to_owned(), |strip| strip.show(units));
            let folded =
                end.fold_back.map_or_else(String::new, |f| format!("{} of it folded back", f.show(units)));
            terms.push(Line::of("strip", strip).because(folded));
            terms.push(Line::of(format!("with {}", hold.tool), hold.die.clone().unwrap_or_default()));
        }
        None => {
            let words = super::end_words::words(h, asked.library, asked.routing, end).terminal;
            terms.push(Line::of(words, "").at([h.device(h.pin(end.pin).device).span]));
        }
    }
    terms.extend(super::why_feeding::end(asked, end));
    let sleeves = end.sleeves.iter().map(|s| asked.library.coverings.name(s.part));
    terms.extend(sleeves.map(|name| Line::of("slide on first", name)));
    terms.extend(end.checks.iter().map(|c| Line::of(c.words(units), "")));
    terms
}

pub(super) fn circuit(asked: &Asked, id: CircuitId) -> Derivation {
    let h = asked.h;
    let circuit = h.circuit(id);
    let count = circuit.conductor_count;
    let plural = if count == 1 { "" } else { "s" };
    let what = format!("circuit of {count} conductor{plural}, {}", circuit.system);
    let mut told = Derivation::of(&circuit.name, what, Some(circuit.span));
    told.figure("conductors", count.to_string(), h.conductors_of(id).map(|c| wire_line(asked, c)).collect());
    if let Some(joint) = circuit.joint {
        let device = h.device(joint);
        let place = asked.routing.place_of.get(joint.index()).copied().flatten();
        let place = place.map_or("no place", |p| h.place(p).name.as_str());
        told.figure(
            "joined at",
            format!("{} at {place}", device.name),
            vec![Line::of(device.title.clone(), "").at([device.span])],
        );
    }
    super::why_ground::of_circuit(asked, id, &mut told);
    told
}

/// Mark, from, to and length of a conductor.
pub(super) fn wire_line(asked: &Asked, id: ConductorId) -> Line {
    let h = asked.h;
    let c = h.conductor(id);
    let length = asked.plan.lengths.get(id.index());
    let value = length.and_then(|l| l.need).map_or("not known".to_owned(), |l| l.show(h.header.units));
    let words = format!("{}: {} to {}", c.mark, h.pin(c.from).name, h.pin(c.to).name);
    Line::of(words, value).at([c.span]).by_default(length.is_some_and(CutLength::by_default))
}

pub(super) fn cable(asked: &Asked, id: CableId) -> Derivation {
    let h = asked.h;
    let cable = h.cable(id);
    let part = asked.library.wires.get(cable.wire);
    let mut told = Derivation::of(&cable.name, format!("cable, {}", part.title), Some(cable.span));
    let length = super::length::of_cable(h, &asked.plan.lengths, id);
    let value = length.map_or("not known".to_owned(), |l| l.show(h.header.units));
    let cores = cable.cores.iter().enumerate().map(|(i, core)| match core {
        Some(id) => wire_line(asked, *id),
        None => {
            let colour = part.cores.get(i).map_or_else(String::new, |c| c.colour.name());
            Line::of(format!("core {}, {colour}, is not used", i + 1), "")
        }
    });
    told.figure("cut length", value, cores.collect());
    if let Some(ties) = &cable.ties {
        let terms: Vec<Line> = ties.iter().map(|id| wire_line(asked, *id)).collect();
        let value = if terms.is_empty() { "left floating, as the spec says" } else { "tied by drain leads" };
        told.figure("screen", value, terms);
    }
    told
}
