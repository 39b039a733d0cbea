//! Why a splice lies where it does: the places it could have, what the choice saves, and how it is staggered.

use super::length::STAGGERED;
use super::why::{Asked, Derivation, Line};
use crate::graph::{Home, LeastTree, SplicePlace, Unfit, splice_choice, splice_places};
use crate::harness::{DeviceClass, DeviceId, Harness};
use crate::quantity::{Length, Units};
use crate::trade::allowances::STAGGER_GAP;

/// More places for a splice than anybody compares.
const MOST_PLACES: usize = 12;

const EXACT: &str = "Dreyfus and Wagner 1971: least tree, exact";

/// Place, saving and shift of a splice; `place` is the name of its place.
pub(super) fn figures(asked: &Asked, id: DeviceId, place: &str, told: &mut Derivation) {
    told.figure("place", place, candidates(asked, id));
    saving(asked, id, place, told);
    if let Some(words) = asked.routing.shift_words(asked.h, id) {
        told.figure("shift", words, shift(asked, id));
    }
}

/// The places that a splice may have, with the wire that each takes.
fn candidates(asked: &Asked, id: DeviceId) -> Vec<Line> {
    let h = asked.h;
    let chosen = asked.routing.place_of.get(id.index()).copied().flatten();
    let places = splice_places(h, asked.routing, id);
    let line = |p: &SplicePlace| {
        let here = if Some(p.place) == chosen { ", chosen" } else { "" };
        let unreached = match p.unreached {
            0 => String::new(),
            n => format!(", {n} ends cannot be reached"),
        };
        let words = format!("at {}{here}{unreached}", h.place(p.place).name);
        Line::of(words, p.wire.show(h.header.units)).at([h.place(p.place).span])
    };
    let mut lines = vec![Line::of("least wire to all its ends", "").because(
        "places in zones that allow splices and are not too hot for it; holes and bends left out; of equal ones the one with the fewest splices, then the first in the spec",
    )];
    if h.device(id).place.is_some() {
        lines.push(Line::of("pinned in the spec", "").at(h.device(id).at_span));
    }
    lines.extend(places.iter().take(MOST_PLACES).map(line));
    let left = places.len().saturating_sub(MOST_PLACES);
    if left > 0 {
        lines.push(Line::of(format!("and {left} more, which take more wire"), ""));
    }
    lines
}

/// The wire of the naive choice, of the splice as built and of the least tree.
fn saving(asked: &Asked, id: DeviceId, place: &str, told: &mut Derivation) {
    let h = asked.h;
    let units = h.header.units;
    let choice = splice_choice(h, asked.routing, id);
    let Some(built) = choice.built else { return };
    let mut lines = Vec::new();
    if let Some(home) = &choice.home {
        lines.push(of_home(h, home));
    }
    let mut as_built = Line::of(format!("one splice at {place}, as built"), built.show(units));
    if let Some(home) = &choice.home {
        as_built = as_built.because(against(home.wire, built, "the naive choice", units));
    }
    lines.push(as_built);
    match &choice.tree {
        Some(tree) if tree.splices.len() > 1 && tree.wire < built => lines.extend(of_tree(h, tree, built)),
        Some(tree) if tree.exact && tree.wire == built => {
            lines.push(Line::of("more splices would save nothing", "").by(EXACT));
        }
        _ => {}
    }
    let value = match &choice.home {
        Some(home) => against(home.wire, built, "the naive choice", units),
        None => format!("{} of wire", built.show(units)),
    };
    told.figure("saving", value, lines);
}

fn of_home(h: &Harness, home: &Home) -> Line {
    let end = &h.pin(home.end).name;
    let place = h.place(home.place);
    let why_not = match home.unfit {
        None => "",
        Some(Unfit::Hole(_)) => "; no splice may lie there: a hole",
        Some(Unfit::Zone(_)) => "; no splice may lie there: the zone forbids it",
        Some(Unfit::BetweenWalls) => "; no splice may lie there: a wall without a hole",
        Some(Unfit::Bend(_)) => "; no splice may lie there: a bend",
        Some(Unfit::Hot(_)) => "; too hot for the splice",
        Some(Unfit::Covered(_)) => "; nobody would see it there",
    };
    Line::of(format!("all wires home to {end} at {}", place.name), home.wire.show(h.header.units))
        .because(format!("the naive choice: the end that is named first{why_not}"))
        .at([place.span])
}

/// Several splices: what they take, and what hangs on each, so that the designer can write them.
fn of_tree(h: &Harness, tree: &LeastTree, built: Length) -> Vec<Line> {
    let units = h.header.units;
    let places: Vec<&str> = tree.splices.iter().map(|s| h.place(s.place).name.as_str()).collect();
    let more = places.len() - 1;
    let plural = if more == 1 { "" } else { "s" };
    let formula = format!(
        "{}, for {more} splice{plural} more that can fail; one is built, write pinned splices and a join at each to have them",
        against(built, tree.wire, "one splice", units)
    );
    let source = if tree.exact {
        EXACT
    } else {
        "Mehlhorn 1988: tree near the least, at most twice its wire where splices may lie at the ends, else five times"
    };
    let sum = Line::of(format!("{} splices, at {}", places.len(), places.join(", ")), tree.wire.show(units));
    let mut lines = vec![sum.because(formula).by(source)];
    for (i, (splice, place)) in tree.splices.iter().zip(&places).enumerate() {
        let ends = splice.ends.iter().map(|pin| h.pin(*pin).name.clone());
        let others = tree.between.iter().filter(|wire| wire.contains(&i)).map(|[a, b]| {
            let other = if *a == i { *b } else { *a };
            format!("splice {} at {}", other + 1, places.get(other).copied().unwrap_or(""))
        });
        let joins: Vec<String> = ends.chain(others).collect();
        lines.push(Line::of(format!("  splice {} at {place} joins {}", i + 1, joins.join(", ")), ""));
    }
    lines
}

/// `500 mm less than …`.
fn against(known: Length, wire: Length, what: &str, units: Units) -> String {
    match known.cmp(&wire) {
        std::cmp::Ordering::Greater => format!("{} less than {what}", (known - wire).show(units)),
        std::cmp::Ordering::Equal => format!("as much as {what}"),
        std::cmp::Ordering::Less => format!("{} more than {what}", (wire - known).show(units)),
    }
}

/// Why a splice does not lie at its place itself.
fn shift(asked: &Asked, id: DeviceId) -> Vec<Line> {
    let h = asked.h;
    let units = h.header.units;
    let DeviceClass::Splice { build, shift, .. } = h.device(id).class else { return Vec::new() };
    if let Some(pinned) = shift {
        return vec![Line::of("as the spec says", "").at([pinned.span])];
    }
    let place = asked.routing.place_of.get(id.index()).copied().flatten();
    let here = |other: &usize| {
        let there = asked.routing.place_of.get(*other).copied().flatten();
        *other != id.index()
            && there == place
            && matches!(h.devices[*other].class, DeviceClass::Splice { .. })
    };
    let others: Vec<&str> = (0..h.devices.len()).filter(here).map(|i| h.devices[i].name.as_str()).collect();
    let mut lines = vec![
        Line::of(format!("staggered with {}", others.join(", ")), "")
            .because("along the run that most of its wires leave over, where there is room")
            .by(STAGGERED),
    ];
    if let Some(build) = build {
        lines.push(Line::of("its length", build.length.show(units)));
    }
    lines.push(Line::of("gap between two", STAGGER_GAP.show(units)).by("common practice, no source"));
    lines
}
