//! Through which holes the end of a wire must be fed: paths and fittings in; a direction for each hole out, and for
//! each end whether it passes as it is made on the bench.
//!
//! A bundle is made with one side finished and the other fed through the hole. For each hole the side is fed on which
//! fewer ends have to be finished afterwards; if that is equal, the side away from the indicators, then the second zone
//! of the barrier. What passes is judged by the clear bore alone: the more wires are in already, the less room is left.

use std::collections::{BTreeMap, BTreeSet};

use super::fitting::{Fitting, OnPin, holding, outside};
use super::routing::{Path, Routing};
use crate::harness::{ConductorId, DeviceId, Harness, HoleId, PinId, PinSite, RunId, ZoneId};
use crate::parts::library::Library;
use crate::parts::model::{FaceShape, ShellPart};
use crate::parts::words::Style;
use crate::quantity::Length;
use crate::spec::words::FedEnds;

/// Which way a hole is fed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Feed {
    /// The hole.
    pub hole: HoleId,
    /// Side on which the bundle is finished first.
    pub from: ZoneId,
    /// Side whose ends are fed through.
    pub towards: ZoneId,
    /// Ends fed through.
    pub ends: usize,
}

/// What can be said of an end and the holes it is fed through.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Passing {
    /// It is fed through no hole.
    Stays,
    /// It passes finished.
    Finished,
    /// Its contact or lug passes but not its shell or splice: at this hole.
    Loose(HoleId),
    /// Not even that passes, or the designer has it fed bare: at this hole.
    Bare(HoleId),
    /// Not judged: the bore of this hole is not known, or what the end gets.
    NotJudged(HoleId),
}

/// An end and the holes that its conductor crosses.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fed {
    /// Holes that the end itself is fed through, in the order in which it comes to them.
    pub through: Vec<HoleId>,
    /// Holes that the other end is fed through while this one stays.
    pub stays_at: Vec<HoleId>,
    /// What can be said of it.
    pub passing: Passing,
    /// How wide it is.
    pub girth: Girth,
    /// True where all wires of its connector or splice are fed through the same holes, so that it may be finished first.
    pub whole: bool,
}

/// One end of a conductor, as far as feeding goes.
#[derive(Clone, Debug)]
pub struct LooseEnd {
    /// The conductor.
    pub conductor: ConductorId,
    /// The pin it goes to.
    pub pin: PinId,
    /// What it gets.
    pub fitting: Fitting,
}

/// Widths of an end, to compare with a bore. None where it is not known.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Girth {
    /// With its contact or lug on, but in no shell.
    pub loose: Option<Length>,
    /// With all that it gets.
    pub finished: Option<Length>,
}

/// Both ends of every conductor: at `from`, at `to`, in the order of the conductors.
pub fn loose_ends(h: &Harness, library: &Library) -> Vec<LooseEnd> {
    let on = OnPin::of(h);
    let mut ends = Vec::with_capacity(h.conductors.len() * 2);
    for id in h.conductor_ids() {
        let c = h.conductor(id);
        for pin in [c.from, c.to] {
            ends.push(LooseEnd { conductor: id, pin, fitting: holding(h, library, &on, c, pin) });
        }
    }
    ends
}

/// Decides the direction of each hole, and for each of `ends` what passes. The result has the order of `ends`.
pub fn feed(
    h: &Harness,
    library: &Library,
    routing: &Routing,
    ends: &[LooseEnd],
) -> (Vec<Option<Feed>>, Vec<Fed>) {
    let crossings: Vec<Vec<(HoleId, ZoneId)>> = ends
        .iter()
        .map(|end| {
            let first = h.conductor(end.conductor).from == end.pin;
            let mut holes = routing.path_of(h, end.conductor).map_or_else(Vec::new, |p| crossed(h, p, first));
            // An end that is fed comes from the other one.
            if first {
                holes.reverse();
            }
            holes
        })
        .collect();
    let girths: Vec<Girth> = ends.iter().map(|end| girth(h, library, end)).collect();
    let feeds = directions(h, ends, &crossings, &girths);
    let side = |crossed: &[(HoleId, ZoneId)], fed: bool| -> Vec<HoleId> {
        let towards = |hole: HoleId| feeds.get(hole.index()).copied().flatten().map(|f| f.towards);
        crossed
            .iter()
            .filter(|(hole, side)| (towards(*hole) == Some(*side)) == fed)
            .map(|(hole, _)| *hole)
            .collect()
    };
    let passed: Vec<Vec<HoleId>> = crossings.iter().map(|crossed| side(crossed, true)).collect();
    let apart = torn_apart(h, ends, &passed);
    let mut fed = Vec::with_capacity(ends.len());
    for (((end, through), crossed), girth) in ends.iter().zip(passed).zip(&crossings).zip(&girths) {
        let whole = !apart.contains(&piece(h, end.pin));
        let passing = judge(h, &through, *girth, whole);
        fed.push(Fed { through, stays_at: side(crossed, false), passing, girth: *girth, whole });
    }
    (feeds, fed)
}

/// The holes of a path, each with the zone on the side of the asked end.
fn crossed(h: &Harness, path: &Path, end_is_first: bool) -> Vec<(HoleId, ZoneId)> {
    let mut crossed = Vec::new();
    for (i, place) in path.places.iter().enumerate() {
        let Some(hole) = h.place(*place).hole.filter(|hole| path.holes.contains(hole)) else { continue };
        let zone = |run: Option<&RunId>| run.map(|r| h.run(*r).zone);
        let before = zone(i.checked_sub(1).and_then(|i| path.runs.get(i)));
        let after = zone(path.runs.get(i));
        let (near, far) = if end_is_first { (before, after) } else { (after, before) };
        let [a, b] = h.barrier(h.hole(hole).barrier).between;
        // A path that starts in the hole shows only its far side; the near one is the other.
        let near = near.or(far.map(|far| if far == a { b } else { a }));
        // Where it only passes along the hole, both sides are the same.
        if let Some(near) = near.filter(|near| far != Some(*near)) {
            crossed.push((hole, near));
        }
    }
    crossed
}

fn girth(h: &Harness, library: &Library, end: &LooseEnd) -> Girth {
    let wire = outside(library, h.conductor(end.conductor));
    match &end.fitting {
        Fitting::Contact { part, shell } => {
            // The part does not give the contact's own width; it enters a cavity made for the thickest insulation that
            // it takes.
            let loose = library.contacts.get(*part).insulation.high().max(wire);
            let across = across(library.shells.get(*shell));
            Girth { loose: Some(loose), finished: Some(across.max(loose)) }
        }
        Fitting::Lug(part) => {
            let width = Some(library.lugs.get(*part).width.max(wire));
            Girth { loose: width, finished: width }
        }
        Fitting::Joint(part) => {
            Girth { loose: Some(wire), finished: Some(library.splices.get(*part).outside.max(wire)) }
        }
        // These are finished at the machine, so the bare wire is fed.
        Fitting::OwnLead(_) | Fitting::Screen(_) => Girth { loose: Some(wire), finished: Some(wire) },
        Fitting::Unknown { .. } => Girth { loose: None, finished: None },
    }
}

/// Diameter of the narrowest bore that a shell passes lengthwise: its diagonal, or its diameter where it is round.
fn across(shell: &ShellPart) -> Length {
    let [w, v] = shell.outline;
    match shell.face.shape {
        FaceShape::Round => w.max(v),
        FaceShape::Trapezium | FaceShape::Block => Length::from_mm(w.mm().hypot(v.mm())),
    }
}

fn directions(
    h: &Harness,
    ends: &[LooseEnd],
    crossings: &[Vec<(HoleId, ZoneId)>],
    girths: &[Girth],
) -> Vec<Option<Feed>> {
    /// Of one side: ends to finish afterwards, ends on indicators, all ends.
    type Side = (usize, usize, usize);
    let mut sides: Vec<[Side; 2]> = vec![[(0, 0, 0); 2]; h.holes.len()];
    for ((end, crossed), girth) in ends.iter().zip(crossings).zip(girths) {
        let style = h.device(h.pin(end.pin).device).style;
        for (hole, zone) in crossed {
            let bore = h.hole(*hole).bore.map(|b| b.value);
            let bare = h.hole(*hole).feed.is_some_and(|feed| feed.value == FedEnds::Bare);
            let after = bare || bore.zip(girth.finished).is_none_or(|(bore, finished)| finished > bore);
            let second = h.barrier(h.hole(*hole).barrier).between[1] == *zone;
            let side = &mut sides[hole.index()][usize::from(second)];
            side.0 += usize::from(after);
            side.1 += usize::from(matches!(style, Some(Style::Indicator | Style::Converter)));
            side.2 += 1;
        }
    }
    let feed = |(i, [first, second]): (usize, &[Side; 2])| {
        let hole = HoleId::at(i);
        let [a, b] = h.barrier(h.hole(hole).barrier).between;
        let towards_first = (first.0, first.1) < (second.0, second.1);
        let (from, towards, ends) = if towards_first { (b, a, first.2) } else { (a, b, second.2) };
        (first.2 + second.2 > 0).then_some(Feed { hole, from, towards, ends })
    };
    sides.iter().enumerate().map(feed).collect()
}

/// What goes through a hole in one piece: a connector of a device, or a splice.
pub type Piece = (DeviceId, Option<u32>);

/// The piece that the end at a pin is part of.
pub fn piece(h: &Harness, pin: PinId) -> Piece {
    let pin = h.pin(pin);
    match pin.site {
        PinSite::Cavity { connector, .. } => (pin.device, Some(connector)),
        _ => (pin.device, None),
    }
}

/// Pieces whose wires are fed through different holes, or some of them through none: they cannot go through with all
/// their wires.
fn torn_apart(h: &Harness, ends: &[LooseEnd], passed: &[Vec<HoleId>]) -> BTreeSet<Piece> {
    let mut first: BTreeMap<Piece, BTreeSet<HoleId>> = BTreeMap::new();
    let mut apart = BTreeSet::new();
    for (end, holes) in ends.iter().zip(passed) {
        let piece = piece(h, end.pin);
        let holes: BTreeSet<HoleId> = holes.iter().copied().collect();
        if *first.entry(piece).or_insert_with(|| holes.clone()) != holes {
            apart.insert(piece);
        }
    }
    apart
}

fn judge(h: &Harness, holes: &[HoleId], girth: Girth, whole: bool) -> Passing {
    let mut verdict = if holes.is_empty() { Passing::Stays } else { Passing::Finished };
    for hole in holes {
        if h.hole(*hole).feed.is_some_and(|feed| feed.value == FedEnds::Bare) {
            return Passing::Bare(*hole);
        }
        let bore = h.hole(*hole).bore.map(|b| b.value);
        let (Some(bore), Some(loose), Some(finished)) = (bore, girth.loose, girth.finished) else {
            return Passing::NotJudged(*hole);
        };
        if loose > bore {
            return Passing::Bare(*hole);
        }
        if (finished > bore || !whole) && finished != loose && verdict == Passing::Finished {
            verdict = Passing::Loose(*hole);
        }
    }
    verdict
}
