//! What a harness is made of besides wire, piece by piece: ends, shells and structure in; each piece with the spot where
//! it sits out.
//!
//! Counts what the harness brings, not what it is connected to. A contact that holds two wires and a splice of several
//! count once; each wire has its own lug.

use std::collections::BTreeSet;

use super::Plan;
use super::clamping::Clamping;
use super::fitting::Fitting;
use super::parts_list::Sort;
use crate::graph::{Fitted, fitted_shells};
use crate::harness::{DeviceClass, Harness, HoleId, PinId, PlaceId, RunId};
use crate::parts::library::{CoveringPartId, Library, SundryPartId};
use crate::parts::model::{CoveringPart, SundryPart};
use crate::quantity::{Length, Mass, Units};
use crate::trade::installation::support_spacing;

/// Where a piece sits.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Spot {
    /// Where the wires of this pin end.
    Pin(PinId),
    /// Along a run.
    Run(RunId),
    /// In a hole.
    Hole(HoleId),
    /// At a place.
    Place(PlaceId),
}

/// One piece, or several alike at one spot.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Piece<'a> {
    /// Group.
    pub sort: Sort,
    /// Name of the part.
    pub part: &'a str,
    /// Its trade description.
    pub title: &'a str,
    /// How many.
    pub count: usize,
    /// Length of all of them, for what is cut from a roll; None for what is counted.
    pub length: Option<Length>,
    /// Mass of all of them; None where the part does not say it.
    pub mass: Option<Mass>,
    /// True where the part comes with the tool, whose masses are typical and from memory.
    pub supplied: bool,
    /// Device, half of a connector, run or hole that it goes to.
    pub at: String,
    /// Where it sits.
    pub spot: Spot,
    /// What a person must know.
    pub remark: String,
}

/// Every piece: ends first, conductor by conductor, then shells, coverings of runs and linings, then what holds them.
pub fn pieces<'a>(
    h: &'a Harness,
    library: &'a Library,
    plan: &'a Plan,
    clamping: &Clamping,
) -> Vec<Piece<'a>> {
    let mut all = Vec::new();
    ends(h, library, plan, &mut all);
    for end in &plan.cables {
        let (_, pin) = end.first;
        let at = &h.device(h.pin(pin).device).name;
        let sleeves = end.marker.into_iter().chain(end.seal);
        all.extend(sleeves.map(|part| sleeve_of(library, part, at, Spot::Pin(pin), h.header.units)));
    }
    shells(h, library, &mut all);
    structure(h, library, &mut all);
    held(h, library, clamping, &mut all);
    all
}

fn ends<'a>(h: &'a Harness, library: &'a Library, plan: &'a Plan, all: &mut Vec<Piece<'a>>) {
    let mut counted: BTreeSet<PinId> = BTreeSet::new();
    let units = h.header.units;
    for end in plan.terminations.of.iter().flatten() {
        let at = &h.device(h.pin(end.pin).device).name;
        let spot = Spot::Pin(end.pin);
        all.extend(end.sleeves.iter().map(|sleeve| sleeve_of(library, sleeve.part, at, spot, units)));
        let Some(hold) = &end.hold else { continue };
        let (sort, mass, supplied) = match &end.fitting {
            Fitting::Contact { part, .. } => {
                (Sort::Contact, library.contacts.get(*part).mass, library.contacts.span(*part).is_none())
            }
            Fitting::Lug(part) => {
                (Sort::Lug, library.lugs.get(*part).mass, library.lugs.span(*part).is_none())
            }
            Fitting::OwnLead(part) | Fitting::Joint(part) => {
                (Sort::Splice, library.splices.get(*part).mass, library.splices.span(*part).is_none())
            }
            Fitting::Screen(_) => {
                let sundry = library.sundries.look_up(&hold.name);
                let supplied = sundry.is_none_or(|(id, _)| library.sundries.span(id).is_none());
                (Sort::Sundry, sundry.and_then(|(_, part)| part.mass), supplied)
            }
            Fitting::Unknown { .. } => continue,
        };
        // Each wire has its own lug; a contact or a splice takes all wires of its pin.
        if matches!(sort, Sort::Lug | Sort::Sundry) || counted.insert(end.pin) {
            all.push(Piece {
                sort,
                part: &hold.name,
                title: &hold.title,
                count: 1,
                length: None,
                mass,
                supplied,
                at: at.clone(),
                spot,
                remark: String::new(),
            });
        }
    }
}

fn sleeve_of<'a>(library: &'a Library, id: CoveringPartId, at: &str, spot: Spot, units: Units) -> Piece<'a> {
    let part = library.coverings.get(id);
    Piece {
        sort: Sort::Covering,
        part: library.coverings.name(id),
        title: &part.title,
        count: 1,
        length: part.piece,
        mass: part.mass.zip(part.piece).map(|(mass, piece)| mass * piece),
        supplied: library.coverings.span(id).is_none(),
        at: at.to_owned(),
        spot,
        remark: part.piece.map_or_else(
            || "length of a piece not known".to_owned(),
            |piece| format!("each {}", piece.show(units)),
        ),
    }
}

/// Shells that the harness brings, with backshells and plugs for the cavities that stay empty.
fn shells<'a>(h: &'a Harness, library: &'a Library, all: &mut Vec<Piece<'a>>) {
    for Fitted { device: id, connector, shell, cavities, pin, .. } in fitted_shells(h) {
        let device = h.device(id);
        let part = library.shells.get(shell);
        let at = match device.class {
            DeviceClass::InLine { .. } => format!("{} {connector}", device.name),
            _ => device.name.clone(),
        };
        let spot = Spot::Pin(pin);
        all.push(Piece {
            sort: Sort::Shell,
            part: library.shells.name(shell),
            title: &part.title,
            count: 1,
            length: None,
            mass: part.mass,
            supplied: library.shells.span(shell).is_none(),
            at: at.clone(),
            spot,
            remark: format!("mates with {}", part.mate),
        });
        let empty = part.cavities().filter(|mark| !cavities.contains(mark)).count();
        for (name, count) in [(&part.backshell, 1), (&part.cavity_plug, empty)] {
            let Some(name) = name.as_deref().filter(|_| count > 0) else { continue };
            let found = library.sundries.look_up(name);
            let sundry = found.map(|(_, sundry)| sundry);
            all.push(Piece {
                sort: Sort::Sundry,
                part: name,
                title: sundry.map_or(name, |s| s.title.as_str()),
                count,
                length: None,
                mass: sundry.and_then(|s| s.mass).map(|mass| mass * count as f64),
                supplied: found.is_none_or(|(id, _)| library.sundries.span(id).is_none()),
                at: at.clone(),
                spot,
                remark: String::new(),
            });
        }
    }
}

/// Coverings of runs and linings of holes.
fn structure<'a>(h: &'a Harness, library: &'a Library, all: &mut Vec<Piece<'a>>) {
    for (i, run) in h.runs.iter().enumerate() {
        let Some(cover) = &run.cover else { continue };
        let found = library.coverings.look_up(&cover.value);
        let part = found.map(|(_, part)| part);
        all.push(Piece {
            sort: Sort::Covering,
            part: &cover.value,
            title: part.map_or("", |part| part.title.as_str()),
            count: 1,
            length: Some(run.length.value),
            mass: part.and_then(|part| part.mass).map(|mass| mass * run.length.value),
            supplied: found.is_none_or(|(id, _)| library.coverings.span(id).is_none()),
            at: run.name.clone(),
            spot: Spot::Run(RunId::at(i)),
            remark: rated(part, h.header.units),
        });
    }
    for (i, hole) in h.holes.iter().enumerate() {
        let Some(lining) = hole.lining else { continue };
        let part = library.linings.get(lining);
        all.push(Piece {
            sort: Sort::Lining,
            part: library.linings.name(lining),
            title: &part.title,
            count: 1,
            length: None,
            mass: part.mass,
            supplied: library.linings.span(lining).is_none(),
            at: hole.name.clone(),
            spot: Spot::Hole(HoleId::at(i)),
            remark: hole.seal.as_ref().map_or_else(String::new, |seal| format!("seal: {seal}")),
        });
    }
}

/// How hot a covering may get.
fn rated(part: Option<&CoveringPart>, units: Units) -> String {
    let rated = part.and_then(|part| part.rated);
    rated.map_or_else(
        || "its highest temperature is not known".to_owned(),
        |rated| format!("rated {}", rated.show(units)),
    )
}

/// Clamps and bands.
fn held<'a>(h: &'a Harness, library: &'a Library, clamping: &Clamping, all: &mut Vec<Piece<'a>>) {
    let mut put = |part: SundryPartId, count: usize, spot: Spot, remark: String| {
        let sundry = library.sundries.get(part);
        let at = match spot {
            Spot::Run(run) => &h.run(run).name,
            Spot::Hole(hole) => &h.hole(hole).name,
            Spot::Place(place) => &h.place(place).name,
            Spot::Pin(pin) => &h.pin(pin).name,
        };
        all.push(Piece {
            sort: Sort::Clamp,
            part: library.sundries.name(part),
            title: &sundry.title,
            count,
            length: None,
            mass: sundry.mass.map(|mass| mass * count as f64),
            supplied: library.sundries.span(part).is_none(),
            at: at.clone(),
            spot,
            remark: [over(sundry, h.header.units), remark]
                .into_iter()
                .filter(|words| !words.is_empty())
                .collect::<Vec<_>>()
                .join("; "),
        });
    };
    let totals = clamping.totals();
    for clamps in &clamping.clamps {
        let Some(part) = clamps.part else { continue };
        let total = totals.get(&clamps.part).copied().unwrap_or_default();
        put(part, clamps.count, clamps.spot, counted_by(total, h.header.units));
    }
    for (run, band) in &clamping.bands {
        put(*band, 2, Spot::Run(*run), String::new());
    }
}

/// Bundles that a clamp or band is made for.
fn over(part: &SundryPart, units: Units) -> String {
    part.over.map_or_else(String::new, |over| {
        format!("for bundles of {} to {}", over.low().show(units), over.high().show(units))
    })
}

/// By which spacing so many clamps are counted, and how many of them by a declared one.
fn counted_by([all, declared]: [usize; 2], units: Units) -> String {
    let limit = support_spacing().at_most(units);
    match declared {
        0 => format!("counted at {limit}, for no spacing is declared"),
        n if n == all => "counted by the designer's declared spacing".to_owned(),
        n => format!(
            "{n} by the designer's declared spacing, {} at {limit}, for none is declared",
            all - n.min(all)
        ),
    }
}
