//! Why all of the harness weighs what it weighs, and where: wire by wire type, piece by part, moments by run and place.

use std::collections::BTreeMap;

use super::clamping::Clamping;
use super::mass::{Balance, Lump, Share, Site, Weight, balance, not_in_it, part_of, shares};
use super::why::{Asked, Derivation, Line};
use super::why_install::weighed_pieces;
use crate::harness::PlaceId;
use crate::quantity::{Length, LinearMass, Mass};

/// The name by which the total is asked for.
pub(super) const NAME: &str = "mass";

/// The total, with arm and moment where stations are given.
pub(super) fn whole(asked: &Asked) -> Derivation {
    let Asked { h, library, routing, plan, .. } = *asked;
    let units = h.header.units;
    let clamping = Clamping::of(h, library, routing, asked.bundles);
    let all = shares(h, library, routing, plan, &clamping);
    let balance = balance(h, library, routing, plan, &clamping);
    let mut told = Derivation::of(NAME, "all of the harness".to_owned(), None);
    let mut terms = wires(asked, &all);
    terms.extend(weighed_pieces(asked, all.iter().filter(|share| share.mass.is_some())));
    terms.extend(balance.unweighed.iter().map(|lack| {
        Line::of(format!("not weighed: {} × {}", lack.pieces, lack.part), "not known").because(lack.because)
    }));
    if balance.unclamped > 0 {
        let words = format!("not weighed: {} supports", balance.unclamped);
        terms.push(Line::of(words, "not known").because("no clamp of the library closes on the bundle"));
    }
    terms.push(Line::of(not_in_it(), "not counted"));
    told.figure("mass", balance.mass().show(units), terms);
    if balance.has_arms() {
        arms(asked, &balance, &mut told);
    } else {
        told.figure("arm", "not known: no `station:` is given where anything of it weighs", Vec::new());
    }
    told
}

/// All wire of one type is one line.
fn wires(asked: &Asked, all: &[Share]) -> Vec<Line> {
    let Asked { h, library, .. } = *asked;
    let units = h.header.units;
    let mut by_part: BTreeMap<&str, (LinearMass, Length, Mass, bool)> = BTreeMap::new();
    for share in all {
        let (Weight::Wire { of, per, length }, Some(mass)) = (share.weight, share.mass) else { continue };
        let part = part_of(h, of);
        let line = by_part.entry(library.wires.name(part)).or_insert((
            per,
            Length::ZERO,
            Mass::ZERO,
            library.wires.get(part).typical,
        ));
        line.1 += length;
        line.2 += mass;
    }
    let line = |(name, (per, length, mass, typical)): (&str, (LinearMass, Length, Mass, bool))| {
        Line::of(format!("wire {name}"), mass.show(units))
            .because(format!("{} × {}", length.show(units), per.show(units)))
            .by(if typical { super::why_install::TYPICAL } else { "" })
    };
    by_part.into_iter().map(line).collect()
}

/// Moments run by run and place by place, and the arm that they come to.
fn arms(asked: &Asked, balance: &Balance, told: &mut Derivation) {
    let units = asked.h.header.units;
    let (mass, moment) = balance.balanced();
    let rest = balance.mass() - mass;
    let of_it = if rest > Mass::ZERO { " of what has a station" } else { "" };
    if let Some(arm) = moment.arm_of(mass) {
        let formula = format!("{} / {}", moment.show(units), mass.show(units));
        let mut terms = vec![Line::of("moment by mass", "").because(formula)];
        if rest > Mass::ZERO {
            terms.push(Line::of("without a station, not in it", rest.show(units)));
        }
        told.figure(&format!("arm{of_it}"), arm.show(units), terms);
    }
    let terms = balance.lumps.iter().filter_map(|lump| of_lump(asked, lump)).collect();
    told.figure(&format!("moment{of_it}"), moment.show(units), terms);
}

fn of_lump(asked: &Asked, lump: &Lump) -> Option<Line> {
    let units = asked.h.header.units;
    let (arm, moment) = (lump.arm?, lump.moment()?);
    let places: Vec<PlaceId> = match lump.site {
        Site::Run(id) => asked.h.run(id).ends.into(),
        Site::Place(id) => vec![id],
        Site::Nowhere => Vec::new(),
    };
    let stations = places.into_iter().filter_map(|place| asked.h.place(place).station);
    let what = if lump.is_run { "run" } else { "at" };
    let formula = format!("{} × {}", lump.mass().show(units), arm.show(units));
    Some(
        Line::of(format!("{what} {}", lump.name), moment.show(units))
            .because(formula)
            .at(stations.map(|s| s.span)),
    )
}
