//! A loom on the bench in; its drawing out: bundles at their true thickness, pegs, ties, clamps, labels, stops, words.

use super::Job;
use super::bench::{LaidKnot, LaidLeg, LaidTail, Placed};
use super::card;
use super::ends::End;
use super::hold;
use super::loom::{Leg, Loom};
use super::way::{PEG, Stand, Way};
use super::words::{Texts, card as place_card};
use crate::draw::geometry::{Area, Mm, Point, mm};
use crate::draw::mark::{Layer, Mark};
use crate::draw::palette::Ink;
use crate::draw::scene::{Scene, Step};
use crate::draw::stroke::{Dash, Stroke};
use crate::harness::{DeviceId, PlaceId};
use crate::quantity::Length;

/// Edge of a bundle.
pub(super) const EDGE: Ink = Ink::new(52, 60, 68);
/// Inside of a bundle.
pub(super) const BUNDLE: Ink = Ink::new(214, 222, 229);
/// Distance of a wire's label from its end; in the middle of a shorter tail. Common practice, no source: it is read with
/// the connector in the hand, and clear of the backshell.
pub(super) const LABEL: Mm = mm(45.0);
/// Length of the sign of a connector's half.
const HALVES: Mm = mm(8.0);
/// Radius of the peg at a place.
const PLACE_PEG: Mm = mm(2.6);

/// Which signs a drawing shows: its legend explains these.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Shown {
    pub ties: bool,
    pub clamps: bool,
    pub covers: bool,
    pub bends: bool,
    pub labels: bool,
    /// Halves of in-line connectors.
    pub halves: bool,
}

/// Draws a loom, told from its root.
pub(super) fn draw(job: &Job, loom: &Loom, texts: &Texts, placed: &Placed) -> (Scene, Shown) {
    let mut scene = Scene::default();
    let mut shown = Shown::default();
    bundles(job, loom, placed, &mut scene);
    let shunned = hold::shunned(loom, placed);
    for leg in &placed.legs {
        along(job, loom, leg, &shunned, &mut shown, &mut scene);
    }
    for tail in &placed.tails {
        end(job, loom, texts, tail, &mut shown, &mut scene);
    }
    knots(job, loom, placed, &mut scene);
    let mut fold = 0;
    for leg in &placed.legs {
        if let Some(block) = texts.label(leg.knot) {
            block.draw_centred(&mut scene, leg.label.min);
        }
        let Some((parent, own)) = loom.knots[leg.knot].up else { continue };
        for mark in &leg.folds {
            fold += 1;
            let from = loom.knots[parent].place;
            folded(job, leg, &own, (fold, mark.station), from, mark.words, &mut scene);
        }
    }
    (scene, shown)
}

/// Edges of all bundles first, so that they run into one another where they meet.
fn bundles(job: &Job, loom: &Loom, placed: &Placed, scene: &mut Scene) {
    let edge = Mark::new(Layer::Structure);
    let mut parts: Vec<(Mark, Vec<Step>, Mm)> = Vec::new();
    for leg in &placed.legs {
        if let Some((_, own)) = loom.knots[leg.knot].up {
            parts.push((job.run_mark(own.run).clone(), leg.way.steps(), own.half));
        }
    }
    for tail in placed.tails.iter().filter(|tail| !tail.prong.way.pieces.is_empty()) {
        parts.push((tail_mark(job, loom, tail), tail.prong.way.steps(), tail.prong.half));
    }
    let line = |width: Mm, ink| Stroke::WIDE.measured(width).inked(ink);
    for (_, steps, half) in &parts {
        scene.path(&edge, steps.clone(), line(*half * 2, EDGE));
    }
    let joints: Vec<(Mark, Point, Mm)> = placed.knots.iter().map(|spot| joint(job, loom, spot)).collect();
    for (_, at, half) in &joints {
        scene.dot(&edge, *at, *half, EDGE);
    }
    for (mark, steps, half) in &parts {
        let inside = *half * 2 - mm(0.6);
        if inside > mm(0.2) {
            scene.path(mark, steps.clone(), line(inside, BUNDLE));
        }
    }
    for (mark, at, half) in joints.iter().filter(|(.., half)| *half > mm(0.5)) {
        scene.dot(mark, *at, *half - mm(0.3), BUNDLE);
    }
    // The middle of each: what is measured.
    for (mark, steps, _) in parts {
        scene.path(&mark.on(Layer::Symbol), steps, Stroke::HAIR.dashed(Dash::Chain));
    }
}

/// Where legs meet their edges run into one another around the peg.
fn joint(job: &Job, loom: &Loom, spot: &LaidKnot) -> (Mark, Point, Mm) {
    let knot = &loom.knots[spot.knot];
    let children = knot.children.iter().filter(|c| !spot.apart.contains(c));
    let legs = children.filter_map(|c| loom.knots[*c].up).chain(knot.up).map(|(_, leg)| leg.half);
    let half = legs.chain(knot.ends.iter().map(|end| end.half)).max().unwrap_or(Mm::ZERO);
    (job.place_mark(knot.place).on(Layer::Structure), spot.at, half)
}

/// A tail belongs to all ends that share it.
fn tail_mark(job: &Job, loom: &Loom, tail: &LaidTail) -> Mark {
    let knot = &loom.knots[tail.knot];
    let marks = tail.prong.ends.iter().filter_map(|e| knot.ends.get(*e)).map(|e| job.end_mark(knot.place, e));
    let mut marks = marks.collect::<Vec<_>>().into_iter();
    let first = marks.next().unwrap_or_else(|| Mark::new(Layer::Structure));
    marks.fold(first, |all, mark| {
        let fresh: Vec<_> = mark.tags().iter().filter(|t| !all.tags().contains(t)).cloned().collect();
        fresh.into_iter().fold(all, |all, tag| all.with(tag.kind, &tag.id))
    })
}

/// Covers, ties, clamps and splices along a leg, pegs at its bends.
fn along(job: &Job, loom: &Loom, leg: &LaidLeg, shunned: &[Area], shown: &mut Shown, scene: &mut Scene) {
    let Some((parent, own)) = loom.knots[leg.knot].up else { return };
    let run = job.h.run(own.run);
    let mark = job.run_mark(own.run).on(Layer::Symbol);
    let splices = splices_on(job, loom, leg, parent);
    if run.cover.is_some() {
        shown.covers = true;
        cover(&mark, &leg.way, own.half, scene);
    }
    let lengths: Vec<Mm> = splices.iter().map(|(splice, _)| splice_mm(job, *splice)).collect();
    let taken: Vec<[Mm; 2]> = (splices.iter().zip(&lengths))
        .map(|((_, at), length)| (*at, *length / 2 + mm(3.0)))
        .chain(leg.folds.iter().map(|fold| (fold.station, mm(3.0))))
        .map(|(at, half)| [at - half, at + half])
        .collect();
    let held = hold::held(job, leg, &own, &taken, shunned);
    shown.clamps |= !held.clamps.is_empty();
    shown.ties |= !held.ties.is_empty();
    for station in held.clamps {
        clamp(&mark, leg.way.stand(station), own.half, scene);
    }
    for station in held.ties {
        tie(&mark, leg.way.stand(station), own.half, scene);
    }
    for ((splice, station), length) in splices.into_iter().zip(lengths) {
        let place = job.routing.place_of[splice.index()];
        let mark =
            place.map_or_else(|| mark.clone(), |place| job.device_mark(splice, place).on(Layer::Symbol));
        let half = own.half.max(mm(1.5)) + mm(1.5);
        splice_sign(&mark, &leg.way, [station - length / 2, station + length / 2], half, scene);
    }
    for peg in leg.way.pegs(own.half) {
        shown.bends = true;
        scene.circle(&mark, peg, PEG, Stroke::MEDIUM.filled(Ink::WHITE));
    }
}

/// How long a splice is drawn: as long as it is, or a sign of it where nobody knows.
fn splice_mm(job: &Job, splice: DeviceId) -> Mm {
    job.splice_length(splice).map_or(mm(12.0), Mm::from)
}

/// A splice from one station of a way to another: its cover, and the barrel in the middle third.
pub(super) fn splice_sign(mark: &Mark, way: &Way, [from, to]: [Mm; 2], half: Mm, scene: &mut Scene) {
    let (from, to) = (from.max(Mm::ZERO), to.min(way.length()));
    let third = (to - from) / 3;
    let outline = |from: Mm, to: Mm, half: Mm| {
        let steps = 8_usize;
        let station = |i: usize| from + ((to - from).times(i)) / 8;
        let side = |across: Mm| (0..=steps).map(move |i| way.stand(station(i)).off(Mm::ZERO, across));
        side(-half).chain(side(half).rev()).collect::<Vec<Point>>()
    };
    scene.polygon(mark, outline(from, to, half), Stroke::MEDIUM.filled(Ink::WHITE));
    scene.polygon(mark, outline(from + third, to - third, half / 2), Ink::BLACK);
}

/// Splices that are shifted onto a leg, with their stations from its start.
fn splices_on(job: &Job, loom: &Loom, leg: &LaidLeg, parent: usize) -> Vec<(DeviceId, Mm)> {
    let Some((_, own)) = loom.knots[leg.knot].up else { return Vec::new() };
    let at = |knot: usize, from_start: bool| {
        let splices = loom.knots[knot].splices.iter();
        splices.filter_map(move |splice| {
            let shift = job.routing.shift_of.get(splice.index()).copied().flatten()?;
            let by = Mm::from(shift.by);
            let station = if from_start { by } else { own.length - by };
            (shift.run == own.run).then_some((*splice, station))
        })
    };
    at(parent, true).chain(at(leg.knot, false)).collect()
}

fn across(stand: &Stand, half: Mm) -> (Point, Point) {
    (stand.off(Mm::ZERO, -half), stand.off(Mm::ZERO, half))
}

/// Half of what a tie takes along and across a bundle of this half thickness.
pub(super) fn tie_size(half: Mm) -> [Mm; 2] {
    [Stroke::WIDE.width.width() / 2, half + mm(1.4)]
}

/// The same of a clamp.
pub(super) fn clamp_size(half: Mm) -> [Mm; 2] {
    [mm(2.2), half + mm(1.6)]
}

/// How far the stop at the end of a tail of this half thickness reaches to either side.
pub(super) fn stop_reach(half: Mm) -> Mm {
    half.max(mm(1.6)) + mm(1.4)
}

/// A tie: a stroke across.
pub(super) fn tie(mark: &Mark, stand: Stand, half: Mm, scene: &mut Scene) {
    let [_, reach] = tie_size(half);
    let (a, b) = across(&stand, reach);
    scene.line(mark, a, b, Stroke::WIDE);
}

/// A clamp: a dark band across.
pub(super) fn clamp(mark: &Mark, stand: Stand, half: Mm, scene: &mut Scene) {
    let [along, reach] = clamp_size(half);
    scene.polygon(mark, box_across(&stand, along, -reach, reach), EDGE);
}

/// Corners of a box across a bundle.
fn box_across(stand: &Stand, along: Mm, from: Mm, to: Mm) -> Vec<Point> {
    [(-along, from), (along, from), (along, to), (-along, to)].map(|(a, c)| stand.off(a, c)).to_vec()
}

/// The label of wires: a white band with a line of writing along it.
pub(super) fn label(mark: &Mark, stand: Stand, along: Mm, half: Mm, scene: &mut Scene) {
    scene.polygon(mark, box_across(&stand, along, -half, half), Stroke::MEDIUM.filled(Ink::WHITE));
    let (from, to) = (stand.off(mm(1.2) - along, Mm::ZERO), stand.off(along - mm(1.2), Mm::ZERO));
    scene.line(mark, from, to, Stroke::MEDIUM.inked(Ink::SLATE).dashed(Dash::Dashed));
}

/// Halves of an in-line connector, side by side before the stop that both are held at: the plug black, the receptacle open.
pub(super) fn halves(mark: &Mark, stand: Stand, half: Mm, halves: [bool; 2], scene: &mut Scene) {
    let (along, reach) = (HALVES / 2 - mm(0.6), half.max(mm(1.2)) + mm(1.2));
    let [plug, receptacle] = halves;
    let middle = if plug && receptacle { Mm::ZERO } else { reach };
    if plug {
        scene.polygon(mark, box_across(&stand, along, -reach, middle), Stroke::MEDIUM.filled(EDGE));
    }
    if receptacle {
        let from = if plug { middle } else { -reach };
        scene.polygon(mark, box_across(&stand, along, from, reach), Stroke::MEDIUM.filled(Ink::WHITE));
    }
}

/// A covering: strokes across it, aslant.
pub(super) fn cover(mark: &Mark, way: &Way, half: Mm, scene: &mut Scene) {
    let half = half - mm(0.3);
    let (mut at, length) = (half + mm(6.0), way.length());
    while at < length - half - mm(6.0) {
        let stand = way.stand(at);
        scene.line(mark, stand.off(-half / 2, -half), stand.off(half / 2, half), Stroke::THIN);
        at += mm(5.0);
    }
}

/// Label, stop and words of the ends on a tail.
fn end(job: &Job, loom: &Loom, texts: &Texts, tail: &LaidTail, shown: &mut Shown, scene: &mut Scene) {
    let mark = tail_mark(job, loom, tail).on(Layer::Symbol);
    let prong = &tail.prong;
    let (way, length) = (&prong.way, prong.way.length());
    if length > mm(16.0) {
        shown.labels = true;
        let stand = way.stand(length - LABEL.min(length / 2));
        label(&mark, stand, mm(5.0), prong.half.max(mm(1.2)) + mm(1.2), scene);
    }
    for peg in way.pegs(prong.half) {
        shown.bends = true;
        scene.circle(&mark, peg, PEG, Stroke::MEDIUM.filled(Ink::WHITE));
    }
    let stand = if length > Mm::ZERO { way.stand(length) } else { Stand { at: tail.at, dx: 1.0, dy: 0.0 } };
    let (a, b) = across(&stand, stop_reach(prong.half));
    scene.line(&mark, a, b, Stroke::BAR);
    let of = prong.ends.iter().filter_map(|e| loom.knots[tail.knot].ends.get(*e));
    let halves =
        of.map(End::halves).fold([false; 2], |all, own| [all[0] || own[0] > 0, all[1] || own[1] > 0]);
    if length > HALVES * 3 && halves != [false; 2] {
        shown.halves = true;
        self::halves(&mark, way.stand(length - HALVES / 2), prong.half, halves, scene);
    }
    let rows = texts.rows(tail.knot);
    let left = prong.words.max.x < stand.at.x;
    if prong.ends.len() > 1 {
        // A bracket says that all of these end here.
        let x = if left { prong.words.max.x + mm(1.4) } else { prong.words.min.x - mm(1.4) };
        scene.line(&mark, Point::new(x, prong.words.min.y), Point::new(x, prong.words.max.y), Stroke::MEDIUM);
    }
    for (block, y) in super::fan::list(&prong.ends, rows).blocks {
        let x = if left { prong.words.max.x - block.size().width } else { prong.words.min.x };
        block.draw(scene, Point::new(x, prong.words.min.y + y));
    }
}

/// Pegs, cards and letters of the places.
fn knots(job: &Job, loom: &Loom, placed: &Placed, scene: &mut Scene) {
    for spot in &placed.knots {
        let knot = &loom.knots[spot.knot];
        let mark = job.place_mark(knot.place);
        for splice in &knot.splices {
            if job.routing.shift_of.get(splice.index()).copied().flatten().is_none() {
                let mark = job.device_mark(*splice, knot.place).on(Layer::Symbol);
                // Around the peg other things lie close: the sign is shorter there, the card tells the length.
                let half = knot.up.map_or(mm(2.0), |(_, leg)| leg.half.max(mm(2.0)));
                let way = Way::level(spot.at.by(mm(-6.0), Mm::ZERO), mm(12.0));
                splice_sign(&mark, &way, [Mm::ZERO, mm(12.0)], half + mm(1.5), scene);
            }
        }
        if spot.knot == 0 {
            datum(&mark, spot.at, scene);
        }
        if job.h.place(knot.place).hole.is_some() {
            hole(&mark, spot.at, scene);
        }
        peg(&mark, spot.at, scene);
        let card = place_card(job, loom, spot.knot, &spot.apart, spot.loose, spot.letter);
        card.draw(scene, spot.card.min);
    }
    for start in &placed.starts {
        let place = loom.knots[start.knot].place;
        let mark = job.place_mark(place);
        card::ring(scene, &mark, start.at.by(card::RING, Mm::ZERO), start.letter);
        if start.words.width() == Mm::ZERO {
            continue;
        }
        let block = card::of_start(job, place);
        let left = start.words.max.x < start.at.x;
        let x = if left { start.words.max.x - block.size().width } else { start.words.min.x };
        block.draw(scene, Point::new(x, start.words.min.y));
    }
}

/// A peg at a place: where to drill.
pub(super) fn peg(mark: &Mark, at: Point, scene: &mut Scene) {
    scene.circle(mark, at, PLACE_PEG, Stroke::MEDIUM.filled(Ink::WHITE));
    let reach = mm(1.4);
    scene.line(mark, at.by(-reach, Mm::ZERO), at.by(reach, Mm::ZERO), Stroke::THIN);
    scene.line(mark, at.by(Mm::ZERO, -reach), at.by(Mm::ZERO, reach), Stroke::THIN);
}

/// A hole in a wall: a square around its peg.
pub(super) fn hole(mark: &Mark, at: Point, scene: &mut Scene) {
    let half = mm(4.2);
    scene.rect(mark, Area::between(at.by(-half, -half), at.by(half, half)), Stroke::BAR.filled(Ink::WHITE));
}

/// The place where lengths start: a second ring.
pub(super) fn datum(mark: &Mark, at: Point, scene: &mut Scene) {
    scene.circle(mark, at, mm(4.4), Stroke::WIDE.filled(Ink::WHITE));
}

/// A fold: a stroke across, its number and how far along the leg it is.
fn folded(
    job: &Job,
    leg: &LaidLeg,
    own: &Leg,
    (number, station): (usize, Mm),
    from: PlaceId,
    words: Area,
    scene: &mut Scene,
) {
    let mark = job.run_mark(own.run).on(Layer::Symbol);
    let stand = leg.way.stand(station);
    let (a, b) = across(&stand, own.half + mm(2.4));
    scene.line(&mark, a, b, Stroke::BAR);
    let length = Length::from_um(station.um());
    card::of_fold(job, own.run, number, length, from).draw(scene, words.min);
}
