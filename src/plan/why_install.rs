//! Why a run is clamped, bent and kept apart as it is, and what it and a place weigh: terms, lines and sources.

use std::collections::BTreeMap;

use super::clamping::{Clamping, clamp_spacing, clamps_between};
use super::mass::{Share, Site, Weight, arm, shares};
use super::why::{Asked, Derivation, Line};
use crate::graph::{LeastBend, LeastBends, bent_places};
use crate::harness::{ConductorId, Located, PlaceId, RunId};
use crate::parts::model::SundryUse;
use crate::quantity::{Length, Mass};
use crate::spec::words::Hazard;
use crate::trade::installation::{
    clearance_from_control_cables, least_separation_from_fluid, sag, separation_from_fluid, support_spacing,
};
use crate::trade::limit::Limit;

pub(super) const TYPICAL: &str = "typical, from memory";

/// Clamps, slack, bend, distances and mass of a run; nothing where nothing lies on it.
pub(super) fn run(asked: &Asked, id: RunId, told: &mut Derivation) {
    let inside = asked.routing.in_run.get(id.index()).map_or(&[][..], Vec::as_slice);
    if inside.is_empty() {
        return;
    }
    clamps(asked, id, told);
    if let Some(slack) = asked.h.run(id).slack {
        told.figure(
            "slack",
            slack.value.show(asked.h.header.units),
            vec![declared(asked, slack), most(asked, sag())],
        );
    }
    bend(asked, asked.h.run(id).bend, inside, told);
    apart(asked, id, told);
    mass(asked, Site::Run(id), told);
}

/// Bend and mass of a place.
pub(super) fn place(asked: &Asked, id: PlaceId, told: &mut Derivation) {
    if let Some(radius) = asked.h.place(id).bend {
        let bent = bent_places(asked.h, asked.routing);
        let inside = bent.iter().find(|(place, _)| *place == id).map_or(&[][..], |(_, inside)| inside);
        bend(asked, Some(radius), inside, told);
    }
    mass(asked, Site::Place(id), told);
}

fn declared(asked: &Asked, value: Located<Length>) -> Line {
    Line::of("as the spec says", value.value.show(asked.h.header.units)).at([value.span])
}

fn most(asked: &Asked, limit: Limit<Length>) -> Line {
    Line::of("most that is allowed", limit.in_words(asked.h.header.units)).by(limit.source())
}

fn least(asked: &Asked, limit: Limit<Length>) -> Line {
    Line::of("least that is allowed", limit.in_words(asked.h.header.units)).by(limit.source())
}

fn clamps(asked: &Asked, id: RunId, told: &mut Derivation) {
    let units = asked.h.header.units;
    let run = asked.h.run(id);
    let limit = support_spacing();
    let spacing = clamp_spacing(run);
    let between = clamps_between(run.length.value, spacing);
    let spans = between.saturating_add(1);
    let longest = Length::from_um(run.length.value.um() / i64::try_from(spans).unwrap_or(i64::MAX));
    let mut terms = vec![Line::of("run, as measured", run.length.value.show(units)).at([run.length.span])];
    terms.extend(run.clamps.map(|clamps| declared(asked, clamps)));
    terms.push(most(asked, limit));
    let formula =
        format!("{} by {}, rounded up, less one", run.length.value.show(units), spacing.show(units));
    terms.push(Line::of("between the ends", between.to_string()).because(formula));
    terms.push(Line::of("each span then", longest.show(units)));
    let points = match between {
        0 => "at both ends".to_owned(),
        n => format!("at both ends and {n} between"),
    };
    told.figure("clamps", points, terms);

    let bundle = asked.bundles.run(id);
    let cover = run.cover.as_ref().and_then(|cover| asked.library.coverings.look_up(&cover.value));
    let thick = cover.map_or_else(|| bundle.diameter(), |(_, part)| bundle.covered_diameter(part));
    let part = asked.library.sundry_for(SundryUse::Clamp, thick);
    let name = part.map_or("none of the library", |id| asked.library.sundries.name(id));
    let made_for = part.and_then(|id| asked.library.sundries.get(id).over);
    let mut terms = vec![Line::of("what it closes on", thick.show(units))];
    terms.extend(made_for.map(|over| {
        let range = format!("{} to {}", over.low().show(units), over.high().show(units));
        Line::of("made for", range).by(TYPICAL)
    }));
    told.figure("clamp", name, terms);
}

fn bend(asked: &Asked, radius: Option<Located<Length>>, inside: &[ConductorId], told: &mut Derivation) {
    let Some(bends) = LeastBends::of(asked.h, asked.library, inside) else { return };
    let units = asked.h.header.units;
    let term = |what: &str, bend: &LeastBend| {
        let formula = format!(
            "{} × {}, the diameter of {}",
            bend.times(),
            bend.outside.show(units),
            bend.strand.name(asked.h)
        );
        let spans = bend.strand.conductor(asked.h).map(|c| asked.h.conductor(c).span);
        Line::of(what, bend.radius.value.show(units)).because(formula).at(spans).by(bend.radius.source())
    };
    let mut terms = vec![term("thickest wire or cable", &bends.any)];
    terms.extend(bends.thermocouple.as_ref().map(|couple| term("thickest thermocouple wire", couple)));
    terms.extend(radius.map(|radius| declared(asked, radius)));
    told.figure("least bend radius", bends.to_keep().radius.value.show(units), terms);
}

fn apart(asked: &Asked, id: RunId, told: &mut Derivation) {
    let run = asked.h.run(id);
    let units = asked.h.header.units;
    for hazard in &run.beside {
        let given = run.apart.iter().find(|(other, _)| other == hazard).map(|(_, length)| *length);
        let limit = match hazard {
            Hazard::Fuel | Hazard::Oil | Hazard::Oxygen if run.rigid => Some(least_separation_from_fluid()),
            Hazard::Fuel | Hazard::Oil | Hazard::Oxygen => Some(separation_from_fluid()),
            Hazard::MovingParts => Some(clearance_from_control_cables()),
            _ => None,
        };
        let mut terms: Vec<Line> = given.map(|given| declared(asked, given)).into_iter().collect();
        terms.extend(limit.map(|limit| {
            let rigid = run.rigid && *hazard != Hazard::MovingParts;
            least(asked, limit).because(if rigid {
                "clamped closely and rigidly (`rigid: true`)"
            } else {
                ""
            })
        }));
        let value = given.map_or_else(|| "not given".to_owned(), |given| given.value.show(units));
        told.figure(&format!("distance from {}", hazard.words()), value, terms);
    }
}

/// Pieces of one part, as one line.
pub(super) fn weighed_pieces<'s, 'a: 's>(
    asked: &Asked,
    all: impl Iterator<Item = &'s Share<'a>>,
) -> Vec<Line> {
    let mut parts: BTreeMap<&str, (usize, Option<Mass>, bool)> = BTreeMap::new();
    for share in all {
        if let Weight::Piece { part, count, supplied } = share.weight {
            let line = parts.entry(part).or_insert((0, Some(Mass::ZERO), supplied));
            line.0 += count;
            line.1 = line.1.zip(share.mass).map(|(sum, mass)| sum + mass);
        }
    }
    let line = |(part, (count, mass, supplied)): (&str, (usize, Option<Mass>, bool))| {
        let value = mass.map_or_else(|| "not known".to_owned(), |mass| mass.show(asked.h.header.units));
        Line::of(format!("{count} × {part}"), value).by(if supplied { TYPICAL } else { "" })
    };
    parts.into_iter().map(line).collect()
}

/// What weighs at a site, wire by wire and part by part, with arm and moment.
fn mass(asked: &Asked, site: Site, told: &mut Derivation) {
    let h = asked.h;
    let units = h.header.units;
    let clamping = Clamping::of(h, asked.library, asked.routing, asked.bundles);
    let all = shares(h, asked.library, asked.routing, asked.plan, &clamping);
    let here: Vec<&Share<'_>> = all.iter().filter(|share| share.site == site).collect();
    if here.is_empty() {
        return;
    }
    // Several terms of one wire are one line.
    let mut wires: BTreeMap<ConductorId, (Length, Mass, String)> = BTreeMap::new();
    for share in &here {
        if let Weight::Wire { of, per, length } = share.weight {
            let line = wires.entry(of).or_insert_with(|| (Length::ZERO, Mass::ZERO, per.show(units)));
            line.0 += length;
            line.1 += share.mass.unwrap_or(Mass::ZERO);
        }
    }
    let mut terms: Vec<Line> = Vec::new();
    for (of, (length, mass, per)) in wires {
        let c = h.conductor(of);
        let name = c.cable.map_or(&c.mark, |cable| &h.cable(cable).name);
        let typical = asked.library.wires.get(c.wire).typical;
        terms.push(
            Line::of(format!("wire of {name}"), mass.show(units))
                .because(format!("{} × {per}", length.show(units)))
                .at([c.span])
                .by(if typical { TYPICAL } else { "" }),
        );
    }
    terms.extend(weighed_pieces(asked, here.iter().copied()));
    let sum: Mass = here.iter().filter_map(|share| share.mass).sum();
    told.figure("mass", sum.show(units), terms);
    let stations = |place: PlaceId| {
        let station = h.place(place).station;
        let value = station.map_or_else(|| "not given".to_owned(), |s| s.value.show(units));
        Line::of(format!("station of {}", h.place(place).name), value).at(station.map(|s| s.span))
    };
    let places: Vec<Line> = match site {
        Site::Run(id) => h.run(id).ends.map(stations).into(),
        Site::Place(id) => vec![stations(id)],
        Site::Nowhere => Vec::new(),
    };
    if let Some(arm) = arm(h, site) {
        told.figure("arm", arm.show(units), places);
        let formula = format!("{} × {}", sum.show(units), arm.show(units));
        told.figure("moment", (sum * arm).show(units), vec![Line::of("mass by arm", "").because(formula)]);
    }
}
