//! Through which holes the end of a wire must be fed: paths and fittings in; a direction for each hole out, and for
//! each end whether it passes as it is made on the bench.
//!
//! A bundle is made with one side finished and the other fed through the hole. For each hole the side is fed on which
//! fewer ends have to be finished afterwards; if that is equal, the side away from the indicators, then the second zone
//! of the barrier. What passes is judged by the clear bore alone: the more wires are in already, the less room is left.
//!
//! A wire that passes several holes starts in one of the zones on its way, and each of its ends is fed on from there: it
//! cannot be fed towards both ends of a stretch between two holes. Where the directions of the holes would ask for that
//! (out through one hole, in again through another), it is fed against as few of them as can be.

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
    /// Ends fed through that way.
    pub ends: usize,
    /// Ends fed the other way, because their wires come back through another hole.
    pub back: usize,
}

/// A hole that an end is fed through.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Passage {
    /// The hole.
    pub hole: HoleId,
    /// The zone that the end comes into.
    pub towards: ZoneId,
    /// True where the hole is fed the other way as a rule.
    pub back: bool,
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
    pub through: Vec<Passage>,
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

/// A hole on the way of a conductor, with the zones on the side of its `from` and of its `to`.
#[derive(Clone, Copy, Debug)]
struct Crossing {
    hole: HoleId,
    sides: [ZoneId; 2],
}

/// Decides the direction of each hole, and for each of `ends` what passes. The result has the order of `ends`.
pub fn feed(
    h: &Harness,
    library: &Library,
    routing: &Routing,
    ends: &[LooseEnd],
) -> (Vec<Option<Feed>>, Vec<Fed>) {
    let girths: Vec<Girth> = ends.iter().map(|end| girth(h, library, end)).collect();
    let crossings: Vec<Vec<Crossing>> = h
        .conductor_ids()
        .map(|id| routing.path_of(h, id).map_or_else(Vec::new, |path| crossed(h, path)))
        .collect();
    let mut feeds = directions(h, ends, &crossings, &girths);
    let starts = starts(h, routing, &crossings, &feeds);
    let mut passed: Vec<Vec<Passage>> = Vec::with_capacity(ends.len());
    let mut stays: Vec<Vec<HoleId>> = Vec::with_capacity(ends.len());
    for (crossed, start) in crossings.iter().zip(starts) {
        let (before, after) = crossed.split_at(start.min(crossed.len()));
        let passage = |crossing: &Crossing, side: usize| {
            let feed = feeds.get(crossing.hole.index()).copied().flatten();
            let towards = crossing.sides[side];
            Passage { hole: crossing.hole, towards, back: feed.is_some_and(|f| f.towards != towards) }
        };
        let hole = |crossing: &Crossing| crossing.hole;
        passed.push(before.iter().rev().map(|c| passage(c, 0)).collect());
        passed.push(after.iter().map(|c| passage(c, 1)).collect());
        stays.push(after.iter().map(hole).collect());
        stays.push(before.iter().rev().map(hole).collect());
    }
    for passage in passed.iter().flatten() {
        if let Some(feed) = feeds.get_mut(passage.hole.index()).and_then(Option::as_mut) {
            if passage.back { feed.back += 1 } else { feed.ends += 1 }
        }
    }
    let apart = torn_apart(h, ends, &passed);
    let mut fed = Vec::with_capacity(ends.len());
    for (((end, through), stays_at), girth) in ends.iter().zip(passed).zip(stays).zip(&girths) {
        let whole = !apart.contains(&piece(h, end.pin));
        let passing = judge(h, &through, *girth, whole);
        fed.push(Fed { through, stays_at, passing, girth: *girth, whole });
    }
    (feeds, fed)
}

/// The holes of a path, from its conductor's `from` to its `to`.
fn crossed(h: &Harness, path: &Path) -> Vec<Crossing> {
    let mut crossed = Vec::new();
    for (i, place) in path.places.iter().enumerate() {
        let Some(hole) = h.place(*place).hole.filter(|hole| path.holes.contains(hole)) else { continue };
        let zone = |run: Option<&RunId>| run.map(|r| h.run(*r).zone);
        let before = zone(i.checked_sub(1).and_then(|i| path.runs.get(i)));
        let after = zone(path.runs.get(i));
        let [a, b] = h.barrier(h.hole(hole).barrier).between;
        // A path that starts in the hole shows only its far side; the near one is the other.
        let other = |zone: ZoneId| if zone == a { b } else { a };
        let sides = match (before, after) {
            (Some(before), Some(after)) => [before, after],
            (Some(before), None) => [before, other(before)],
            (None, Some(after)) => [other(after), after],
            (None, None) => continue,
        };
        // Where it only passes along the hole, both sides are the same.
        if sides[0] != sides[1] {
            crossed.push(Crossing { hole, sides });
        }
    }
    crossed
}

/// For each conductor, how many of its crossings its `from` is fed through; its `to` is fed through the others. All
/// conductors of a lay start in the same zone. As few as can be go against the direction of their hole; of equals the
/// end at an indicator stays, then `from`.
fn starts(h: &Harness, routing: &Routing, crossings: &[Vec<Crossing>], feeds: &[Option<Feed>]) -> Vec<usize> {
    let with_indicator = |ids: &[ConductorId]| {
        let on = |pin: PinId| is_indicator(h, pin);
        let [from, to] = [0, 1].map(|side| {
            let pin = |id: &ConductorId| if side == 0 { h.conductor(*id).from } else { h.conductor(*id).to };
            ids.iter().filter(|id| on(pin(id))).count()
        });
        to > from
    };
    let start = |id: ConductorId, together: &[ConductorId]| {
        let crossed = crossings.get(id.index()).map_or(&[][..], Vec::as_slice);
        start(crossed, feeds, with_indicator(together))
    };
    let mut of_lay: Vec<Option<usize>> = vec![None; h.lays.len()];
    h.conductor_ids()
        .map(|id| {
            if routing.strays.contains_key(&id) {
                return start(id, &[id]);
            }
            let lay = h.conductor(id).lay;
            let known = of_lay.get(lay.index()).copied().flatten();
            let start = known.unwrap_or_else(|| start(id, &h.lay(lay).conductors));
            if let Some(slot) = of_lay.get_mut(lay.index()) {
                *slot = Some(start);
            }
            start
        })
        .collect()
}

/// How many crossings `from` is fed through, of one way; `to_stays`: of equal ways the one on which `to` stays.
fn start(crossed: &[Crossing], feeds: &[Option<Feed>], to_stays: bool) -> usize {
    let towards_to = |c: &Crossing| {
        let feed = feeds.get(c.hole.index()).copied().flatten();
        feed.is_none_or(|feed| feed.towards == c.sides[1])
    };
    // All of it is fed towards `to`; then, hole by hole, towards `from` instead.
    let mut against = crossed.iter().filter(|c| !towards_to(c)).count();
    let mut best = (against, 0);
    for (i, crossing) in crossed.iter().enumerate() {
        if towards_to(crossing) {
            against += 1
        } else {
            against -= 1
        }
        if against < best.0 || (to_stays && against == best.0) {
            best = (against, i + 1);
        }
    }
    best.1
}

fn is_indicator(h: &Harness, pin: PinId) -> bool {
    matches!(h.device(h.pin(pin).device).style, Some(Style::Indicator | Style::Converter))
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
    crossings: &[Vec<Crossing>],
    girths: &[Girth],
) -> Vec<Option<Feed>> {
    /// Of one side: ends to finish afterwards, ends on indicators, all ends.
    type Side = (usize, usize, usize);
    let mut sides: Vec<[Side; 2]> = vec![[(0, 0, 0); 2]; h.holes.len()];
    // Both ends of a conductor lie side by side.
    for (i, (end, girth)) in ends.iter().zip(girths).enumerate() {
        for crossing in crossings.get(i / 2).into_iter().flatten() {
            let (hole, zone) = (h.hole(crossing.hole), crossing.sides[i % 2]);
            let bore = hole.bore.map(|b| b.value);
            let bare = hole.feed.is_some_and(|feed| feed.value == FedEnds::Bare);
            let after = bare || bore.zip(girth.finished).is_none_or(|(bore, finished)| finished > bore);
            let second = h.barrier(hole.barrier).between[1] == zone;
            let side = &mut sides[crossing.hole.index()][usize::from(second)];
            side.0 += usize::from(after);
            side.1 += usize::from(is_indicator(h, end.pin));
            side.2 += 1;
        }
    }
    let feed = |(i, [first, second]): (usize, &[Side; 2])| {
        let hole = HoleId::at(i);
        let [a, b] = h.barrier(h.hole(hole).barrier).between;
        let towards_first = (first.0, first.1) < (second.0, second.1);
        let (from, towards) = if towards_first { (b, a) } else { (a, b) };
        (first.2 + second.2 > 0).then_some(Feed { hole, from, towards, ends: 0, back: 0 })
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
fn torn_apart(h: &Harness, ends: &[LooseEnd], passed: &[Vec<Passage>]) -> BTreeSet<Piece> {
    let mut first: BTreeMap<Piece, BTreeSet<Passage>> = BTreeMap::new();
    let mut apart = BTreeSet::new();
    for (end, holes) in ends.iter().zip(passed) {
        let piece = piece(h, end.pin);
        let holes: BTreeSet<Passage> = holes.iter().copied().collect();
        if *first.entry(piece).or_insert_with(|| holes.clone()) != holes {
            apart.insert(piece);
        }
    }
    apart
}

fn judge(h: &Harness, passages: &[Passage], girth: Girth, whole: bool) -> Passing {
    let mut verdict = if passages.is_empty() { Passing::Stays } else { Passing::Finished };
    for hole in passages.iter().map(|passage| &passage.hole) {
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
