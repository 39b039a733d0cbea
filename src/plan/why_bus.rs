//! Why a bus gives what it gives, phase by phase, and what a supply feeds.

use super::load_table::load_table;
use super::load_words::{said_by, served_pin};
use super::why::{Asked, Derivation, Line};
use crate::graph::{BusWay, Fed, NoBusWay, bus_loads, bus_ways};
use crate::harness::{BusId, DeviceClass, DeviceId};
use crate::quantity::Current;
use crate::trade::protection::{bare_to_protector, covered_to_protector, largest_protector};
use crate::trade::source_load::watched_above;
use crate::trade::thermocouple_colour::Alloy;
use crate::trade::voltage_drop::Duty;

pub(super) fn bus(asked: &Asked, id: BusId) -> Derivation {
    let h = asked.h;
    let units = h.header.units;
    let bus = h.bus(id);
    let what = bus.title.clone().unwrap_or_else(|| "bus".to_owned());
    let mut told = Derivation::of(&bus.name, what, Some(bus.span));
    match bus.source {
        Some(source) => {
            let mostly = source.value * watched_above().value;
            let share = watched_above().value.show(units);
            let watched = Line::of("to be watched above (cross-check by rule of thumb)", mostly.show(units))
                .because(format!("{share} of it; what counts is the sum of the loads against all of it"))
                .by(watched_above().source());
            let lines = vec![Line::of("as the spec says", "").at([source.span]), watched];
            told.figure("its source gives", source.value.show(units), lines);
        }
        None => told.figure("its source gives", "not said", Vec::new()),
    }
    if let Some(at) = bus.at {
        told.figure(
            "place",
            h.place(at.value).name.clone(),
            vec![Line::of("as the spec says", "").at([at.span])],
        );
    }
    for way in bus_ways(h, asked.routing).iter().filter(|way| way.bus == Some(id)) {
        let name = format!("way to {}", h.device(way.supply).name);
        told.figure(&name, shown(asked, way), of_way(asked, way));
    }
    let sections = load_table(h, &asked.loading.feeds);
    for sum in bus_loads(h, &asked.loading.feeds).into_iter().filter(|sum| sum.bus == id) {
        let phase = sum.phase.and_then(|p| h.phases.get(p.index())).map_or("", String::as_str);
        let name = if phase.is_empty() { "drawn".to_owned() } else { format!("drawn in {phase}") };
        let feeds = asked.loading.feeds.iter().filter(|f| f.bus == Some(id));
        let draws = |fed: &&Fed| fed.during.is_empty() || sum.phase.is_none_or(|p| fed.during.contains(&p));
        let mut lines: Vec<Line> =
            feeds.flat_map(|f| &f.loads).filter(draws).map(|fed| of_load(asked, fed)).collect();
        lines.extend(sum.others.map(|o| Line::of("rest of the machine", o.value.to_string()).at([o.span])));
        let section = sections.iter().find(|s| s.bus == bus.name && s.phase == phase);
        if let Some(margin) = section.and_then(|s| s.least_margin()) {
            lines.push(
                Line::of("left of the source (the law)", margin.to_string())
                    .because("source less all that draws")
                    .by("Kirchhoff's first law"),
            );
        }
        told.figure(&name, (sum.known() + sum.intermittent).to_string(), lines);
    }
    told
}

/// How far it is from a bus to a supply, or why nobody knows.
fn shown(asked: &Asked, way: &BusWay) -> String {
    match &way.way {
        Ok(path) => path.length.show(asked.h.header.units),
        Err(NoBusWay::NoBus) => "not known: the supply does not name its bus".to_owned(),
        Err(NoBusWay::NoPlace) => "not known: the bus does not say where it is".to_owned(),
        Err(NoBusWay::NoRun) => "not known: no way along the route leads there".to_owned(),
    }
}

/// The runs of the way, and how far it may be.
fn of_way(asked: &Asked, way: &BusWay) -> Vec<Line> {
    let h = asked.h;
    let units = h.header.units;
    let Ok(path) = &way.way else { return Vec::new() };
    let place = way.bus.and_then(|bus| h.bus(bus).at);
    let mut lines = vec![
        Line::of("from the place of the bus", "").at(place.map(|at| at.span)),
        Line::of("to the place of the supply", "").at(h.device(way.supply).at_span),
    ];
    lines.extend(path.runs.iter().map(|run| h.run(*run)).map(|run| {
        let cover = run.cover.as_ref().map_or_else(String::new, |cover| format!("under {}", cover.value));
        Line::of(format!("run {}", run.name), run.length.value.show(units))
            .at([run.length.span])
            .because(cover)
    }));
    let (words, most) = match way.is_covered(h) {
        true => ("at most, covered all the way", covered_to_protector()),
        false => ("at most, where no covering is all the way", bare_to_protector()),
    };
    lines.push(Line::of(words, most.in_words(units)).by(most.source()));
    lines
}

fn of_load(asked: &Asked, fed: &Fed) -> Line {
    let h = asked.h;
    let value = fed.load.current.map_or("not known".to_owned(), |c| c.abs().to_string());
    let short = if fed.duty == Duty::Intermittent { "for short times" } else { "" };
    let span = fed.circuit.map(|c| h.circuit(c).span);
    Line::of(served_pin(h, &fed.load), value).because(short).at(span).by(said_by(h, &fed.load))
}

/// What a supply feeds, and the largest protector for the thinnest wire behind it.
pub(super) fn supply(asked: &Asked, id: DeviceId, told: &mut Derivation) {
    let h = asked.h;
    let units = h.header.units;
    let DeviceClass::Supply { breaker, fuse, .. } = &h.device(id).class else { return };
    let Some(feed) = asked.loading.feeds.iter().find(|f| f.supply == id) else { return };
    for (what, rating) in [("breaker", breaker), ("fuse", fuse)] {
        if let Some(rating) = rating {
            told.figure(
                what,
                rating.value.show(units),
                vec![Line::of("as the spec says", "").at([rating.span])],
            );
        }
    }
    if let Some(way) = bus_ways(h, asked.routing).iter().find(|way| way.supply == id) {
        let bus = way.bus.map_or_else(|| "its bus".to_owned(), |bus| h.bus(bus).name.clone());
        told.figure(&format!("way from {bus}"), shown(asked, way), of_way(asked, way));
    }
    let sum: Current = feed.loads.iter().filter_map(|f| f.load.current).map(Current::abs).sum();
    told.figure("feeds", sum.to_string(), feed.loads.iter().map(|fed| of_load(asked, fed)).collect());
    let wires = feed.behind.pins.iter().flat_map(|pin| asked.loading.electrical.conductors_at(*pin));
    let copper = wires.filter(|c| h.conductor(**c).alloy == Alloy::Copper && !h.conductor(**c).drain);
    if let Some(thinnest) = copper.min_by_key(|c| (h.conductor(**c).gauge, **c)) {
        let c = h.conductor(*thinnest);
        if let Some(row) = largest_protector(c.gauge) {
            let words = format!("thinnest wire it feeds: {}", c.mark);
            let line = Line::of(words, c.gauge.to_string()).at([c.span]).by("FAA AC 43.13-1B Table 11-3");
            let breaker = row.breaker.map_or("none in the table".to_owned(), |b| b.show(units));
            told.figure("largest breaker", breaker, vec![line.clone()]);
            told.figure("largest fuse", row.fuse.show(units), vec![line]);
        }
    }
}
