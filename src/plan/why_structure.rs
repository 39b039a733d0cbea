//! Why a hole, a run or a place is as it is: what passes, how thick that is, what the limits are.

use super::why::{Asked, Derivation, Line};
use super::{why_feeding, why_install};
use crate::graph::{Bundle, Strand};
use crate::harness::{ConductorId, DeviceId, HoleId, Located, PlaceId, RunId};
use crate::quantity::Length;

pub(super) fn hole(asked: &Asked, id: HoleId) -> Derivation {
    let h = asked.h;
    let units = h.header.units;
    let hole = h.hole(id);
    let barrier = h.barrier(hole.barrier);
    let mut told = Derivation::of(&hole.name, format!("hole of {}", barrier.name), Some(hole.span));
    let inside = asked.routing.in_hole.get(id.index()).map_or(&[][..], Vec::as_slice);
    let mut who: Vec<Line> = inside.iter().map(|c| passer(asked, *c)).collect();
    if hole.others > 0 {
        who.push(Line::of("of other harnesses", hole.others.to_string()).at([hole.span]));
    }
    let all = inside.len() + hole.others as usize;
    told.figure("conductors", all.to_string(), who);
    if let Some(most) = hole.max_conductors {
        told.figure(
            "most conductors",
            most.value.to_string(),
            vec![Line::of("as the spec says", "").at([most.span])],
        );
    }
    let all = asked.bundles.hole_with_others(id);
    told.figure(
        "bundle",
        asked.bundles.room(h, id).diameter_words(units),
        circles(asked, all, hole.others_outside),
    );
    match hole.bore {
        Some(bore) => room(asked, id, all, bore, &mut told),
        None => told.figure("bore", "not given", Vec::new()),
    }
    if let Some(feed) = asked.plan.terminations.feeds.get(id.index()).copied().flatten() {
        let formula = "the side on which fewer ends must be finished afterwards, then the side away from the indicators";
        let back = match feed.back {
            0 => String::new(),
            back => format!("; {back} come back the other way, after another hole"),
        };
        let ends = if feed.ends == 1 { "end goes" } else { "ends go" };
        let words = format!("{} {ends} through{back}", feed.ends);
        told.figure(
            "fed towards",
            h.zone(feed.towards).name.clone(),
            vec![Line::of(words, "").because(formula)],
        );
    }
    why_feeding::hole(asked, id, &mut told);
    why_install::place(asked, hole.place, &mut told);
    told
}

/// How far the strands fill the bore, whether they pass it, and what is left.
fn room(asked: &Asked, id: HoleId, all: &Bundle, bore: Located<Length>, told: &mut Derivation) {
    let units = asked.h.header.units;
    let (hole, room) = (asked.h.hole(id), asked.bundles.room(asked.h, id));
    told.figure("bore", bore.value.show(units), vec![Line::of("clear diameter", "").at([bore.span])]);
    let mut unknown: Vec<Line> = Vec::new();
    if hole.others > 0 && hole.others_outside.is_none() {
        let words = format!("not counted: {} of other harnesses", hole.others);
        unknown.push(Line::of(words, "size not given").at([hole.span]));
    }
    unknown.extend(all.leads.iter().map(|lead| own_lead(asked, *lead)));
    if let Some(share) = room.fill {
        let formula = "sum of the squares of the diameters by the square of the bore";
        let mut terms = vec![Line::of("share of the area", share.show(units)).because(formula)];
        terms.push(Line::of("says nothing of how the strands lie: see how they fit", ""));
        if let Some(most) = hole.max_fill {
            terms.push(Line::of("most that is allowed", most.value.show(units)).at([most.span]));
        }
        terms.extend(unknown.iter().cloned());
        told.figure(
            "fill by area (cross-check by rule of thumb)",
            room.fill_words(units).unwrap_or_default(),
            terms,
        );
    }
    if all.strands.is_empty() {
        return;
    }
    let left = bore.value - all.diameter();
    let (fit, words) = if left >= Length::ZERO {
        ("passes", "the bore is wider than the bundle by")
    } else {
        ("does not pass", "the bundle is wider than the bore by")
    };
    let mut terms = vec![Line::of(words, left.abs().show(units)).because("packed diameter against the bore")];
    terms.extend(unknown.iter().cloned());
    told.figure("fit (the law)", fit, terms);
    let spare = room.more.show(units);
    let formula = "a packing with it in the bore was found, and it keeps the limits of the hole";
    let mut terms = vec![Line::of("one more strand of", spare.clone()).because(formula)];
    terms.extend(hole.max_fill.map(|most| Line::of("most fill", most.value.show(units)).at([most.span])));
    terms.extend(
        hole.max_conductors.map(|most| Line::of("most conductors", most.value.to_string()).at([most.span])),
    );
    terms.extend(asked.bundles.fits(asked.h, id).iter().map(|fit| {
        let part = asked.library.wires.get(fit.wire);
        let what =
            format!("or more of {}, Ø {}", asked.library.wires.name(fit.wire), part.outside.show(units));
        Line::of(what, fit.pieces.to_string())
    }));
    terms.extend(unknown);
    told.figure("spare circle", spare, terms);
}

fn own_lead(asked: &Asked, lead: DeviceId) -> Line {
    let device = asked.h.device(lead);
    Line::of(format!("not counted: own leads of {}", device.name), "size not known").at([device.span])
}

fn passer(asked: &Asked, id: ConductorId) -> Line {
    let h = asked.h;
    let c = h.conductor(id);
    Line::of(format!("{} of {}", c.mark, h.circuit(c.circuit).name), c.gauge.to_string()).at([c.span])
}

fn circles(asked: &Asked, packed: &Bundle, others: Option<Located<Length>>) -> Vec<Line> {
    let h = asked.h;
    let mut lines: Vec<Line> = packed
        .strands
        .iter()
        .zip(&packed.diameters)
        .map(|(strand, diameter)| {
            let (name, wire) = match strand {
                Strand::Wire(id) => (&h.conductor(*id).mark, h.conductor(*id).wire),
                Strand::Cable(id) => (&h.cable(*id).name, h.cable(*id).wire),
            };
            let part = asked.library.wires.get(wire);
            let typical = if part.typical { "typical, from memory" } else { "" };
            let words = format!("{name}, {}", asked.library.wires.name(wire));
            Line::of(words, diameter.show(h.header.units)).by(typical)
        })
        .collect();
    let strangers = packed.diameters.len() - packed.strands.len();
    if let Some(others) = others.filter(|_| strangers > 0) {
        let words = format!("{strangers} of other harnesses, each");
        lines.push(Line::of(words, others.value.show(h.header.units)).at([others.span]));
    }
    lines.extend(packed.leads.iter().map(|lead| own_lead(asked, *lead)));
    if !packed.strands.is_empty() {
        lines.push(
            Line::of("smallest circle found around them", packed.diameter().show(h.header.units))
                .because("a bundle laid by hand is thicker"),
        );
    }
    lines
}

pub(super) fn run(asked: &Asked, id: RunId) -> Derivation {
    let h = asked.h;
    let units = h.header.units;
    let run = h.run(id);
    let mut told = Derivation::of(&run.name, format!("run in {}", h.zone(run.zone).name), Some(run.span));
    told.figure(
        "length",
        run.length.value.show(units),
        vec![Line::of("as measured", "").at([run.length.span])],
    );
    let inside = asked.routing.in_run.get(id.index()).map_or(&[][..], Vec::as_slice);
    told.figure("conductors", inside.len().to_string(), inside.iter().map(|c| passer(asked, *c)).collect());
    let packed = asked.bundles.run(id);
    told.figure("bundle", packed.diameter().show(units), circles(asked, packed, None));
    if let Some(surface) = run.surface {
        told.figure("surface beside it", surface.value.show(units), vec![Line::default().at([surface.span])]);
    }
    if let Some(cover) = &run.cover {
        told.figure("cover", cover.value.clone(), vec![Line::default().at([cover.span])]);
        covered(asked, packed, &cover.value, &mut told);
    }
    why_install::run(asked, id, &mut told);
    told
}

/// How the covering of a run goes on its bundle.
fn covered(asked: &Asked, packed: &Bundle, cover: &str, told: &mut Derivation) {
    let units = asked.h.header.units;
    let Some((_, covering)) = asked.library.coverings.look_up(cover) else { return };
    if packed.strands.is_empty() {
        return;
    }
    let over = covering.over;
    told.figure(
        "over the cover",
        packed.covered_diameter(covering).show(units),
        vec![
            Line::of("bundle", packed.diameter().show(units)),
            Line::of("wall, twice", covering.wall.times(2).show(units)),
            Line::of(
                "made for bundles of",
                format!("{} to {}", over.low().show(units), over.high().show(units)),
            ),
        ],
    );
}

pub(super) fn place(asked: &Asked, id: PlaceId) -> Derivation {
    let h = asked.h;
    let place = h.place(id);
    let zones: Vec<&str> = place.zones.iter().map(|z| h.zone(*z).name.as_str()).collect();
    let mut told = Derivation::of(&place.name, format!("place in {}", zones.join(" and ")), Some(place.span));
    let here = h.devices.iter().zip(&asked.routing.place_of).filter(|(_, at)| **at == Some(id));
    let devices: Vec<Line> = here.map(|(d, _)| Line::of(d.name.clone(), "").at([d.span])).collect();
    told.figure("devices", devices.len().to_string(), devices);
    let runs = h.runs.iter().filter(|r| r.ends.contains(&id));
    let runs: Vec<Line> =
        runs.map(|r| Line::of(r.name.clone(), r.length.value.show(h.header.units)).at([r.span])).collect();
    told.figure("runs", runs.len().to_string(), runs);
    why_install::place(asked, id, &mut told);
    told
}
