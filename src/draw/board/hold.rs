//! A leg as it lies on the bench, and what lies around it, in; where along it clamps and ties sit, out.
//!
//! As many clamps as the lists count stand between the ends of a leg, ties in the bays between them. Both are spread
//! evenly; one that would sit on a peg, a splice, a fold or words is moved as little as it takes to lie clear, one on a
//! bend where there is room, and never so far that two lie further apart than they may.

use super::Job;
use super::bench::{LaidLeg, Placed};
use super::drawn;
use super::loom::{Leg, Loom};
use super::way::{PEG, Piece, Way};
use crate::draw::geometry::{Area, Mm, mm};
use crate::graph::clamp::{clamp_spacing, clamps_between, is_tied};

/// Furthest that ties lie apart. Common practice, no source.
pub(super) const TIES: Mm = mm(100.0);
/// Closer than this clamps cannot be told apart, and none are drawn.
const CLOSEST: Mm = mm(5.0);
/// Clear space around a clamp or tie.
const CLEAR: Mm = mm(0.6);
/// How far one is moved at a time in search of a clear spot.
const STEP: Mm = mm(1.0);

/// Distances from where a leg starts.
#[derive(Clone, Debug, Default)]
pub(super) struct Held {
    pub clamps: Vec<Mm>,
    pub ties: Vec<Mm>,
}

/// Rectangles on the bench that nothing should sit on: pegs, holes, words.
pub(super) fn shunned(loom: &Loom, placed: &Placed) -> Vec<Area> {
    let mut out: Vec<Area> =
        placed.knots.iter().flat_map(|k| [Area::between(k.at, k.at).grown(mm(4.8)), k.card]).collect();
    let mut pegs = |way: &Way, half: Mm| {
        out.extend(way.pegs(half).into_iter().map(|peg| Area::between(peg, peg).grown(PEG)));
    };
    for leg in &placed.legs {
        pegs(&leg.way, loom.knots[leg.knot].up.map_or(Mm::ZERO, |(_, own)| own.half));
    }
    for tail in &placed.tails {
        pegs(&tail.prong.way, tail.prong.half);
    }
    out.extend(placed.legs.iter().flat_map(|leg| leg.folds.iter().map(|fold| fold.words).chain([leg.label])));
    out.extend(placed.tails.iter().map(|tail| tail.prong.words));
    out.extend(placed.starts.iter().map(|start| start.words));
    out
}

/// Clamps and ties of a leg. `taken` are stretches of it that something else sits on.
pub(super) fn held(job: &Job, leg: &LaidLeg, own: &Leg, taken: &[[Mm; 2]], shunned: &[Area]) -> Held {
    let run = job.h.run(own.run);
    let Some(hull) = leg.way.boxes(own.half + mm(6.0), [Mm::ZERO; 2]).into_iter().reduce(Area::union) else {
        return Held::default();
    };
    let near: Vec<Area> = shunned.iter().copied().filter(|area| area.overlaps(hull)).collect();
    let bends = bends(&leg.way);
    let within = |stretches: &[[Mm; 2]], at: Mm, half: Mm| {
        stretches.iter().any(|[from, to]| at + half > *from && at - half < *to)
    };
    let cost = |at: Mm, size: [Mm; 2]| {
        let [along, across] = size;
        let stand = leg.way.stand(at);
        let corners = [(-along, -across), (along, -across), (along, across), (-along, across)];
        let area = Area::around(corners.map(|(a, c)| stand.off(a, c))).unwrap_or_default().grown(CLEAR);
        if within(taken, at, along + CLEAR) || near.iter().any(|other| other.overlaps(area)) {
            2
        } else {
            u8::from(within(&bends, at, along))
        }
    };
    let pitch = Mm::from(clamp_spacing(run));
    let mut held = Held::default();
    if pitch > CLOSEST {
        let count = clamps_between(run.length.value, clamp_spacing(run));
        let size = drawn::clamp_size(own.half);
        held.clamps = spread([Mm::ZERO, own.length], count, pitch, |at| cost(at, size));
    }
    // What is fed through a hole is tied when it is through.
    if is_tied(run) && job.fed_into(own.run).is_none() {
        let size = drawn::tie_size(own.half);
        let supports: Vec<Mm> =
            [Mm::ZERO].into_iter().chain(held.clamps.iter().copied()).chain([own.length]).collect();
        for (from, to) in supports.iter().zip(supports.iter().skip(1)) {
            let bay = (*to - *from).um().max(0);
            let count = usize::try_from((bay - 1).max(0) / TIES.um()).unwrap_or(0);
            held.ties.extend(spread([*from, *to], count, TIES, |at| cost(at, size)));
        }
    }
    held
}

/// Stretches of a way that are bent.
fn bends(way: &Way) -> Vec<[Mm; 2]> {
    let mut from = 0.0;
    let mut out = Vec::new();
    for piece in &way.pieces {
        let to = from + piece.length();
        if matches!(piece, Piece::Arc { .. }) {
            out.push([mm(from), mm(to)]);
        }
        from = to;
    }
    out
}

/// So many stations between two, no two of them all further apart than `pitch`: each the cheapest, of equals the one
/// nearest to where it would be were they spread evenly.
fn spread([from, to]: [Mm; 2], count: usize, pitch: Mm, cost: impl Fn(Mm) -> u8) -> Vec<Mm> {
    let bays = i64::try_from(count + 1).unwrap_or(i64::MAX);
    let even = (to - from) / bays;
    let mut before = from;
    let mut out = Vec::new();
    for i in 1..=count {
        let middle = from + (to - from).times(i) / bays;
        let least = (before + even / 2).max(to - pitch.times(count + 1 - i));
        let most = (before + pitch).min(to - (even / 2).times(count + 1 - i));
        let middle = middle.max(least).min(most);
        let reach = usize::try_from((even / 2).um() / STEP.um()).unwrap_or(0);
        let moves = (0..=reach).flat_map(|n| [STEP.times(n), -STEP.times(n)]);
        let spots = moves.map(|by| middle + by).filter(|at| *at >= least && *at <= most);
        let mut best: Option<(u8, Mm)> = None;
        for at in spots {
            let own = cost(at);
            if best.is_none_or(|(known, _)| own < known) {
                best = Some((own, at));
            }
            if own == 0 {
                break;
            }
        }
        before = best.map_or(middle, |(_, at)| at);
        out.push(before);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_spread_lies_even_clear_and_no_further_apart_than_it_may() {
        let span = [Mm::ZERO, mm(1000.0)];
        assert_eq!(spread(span, 3, mm(300.0), |_| 0), [mm(250.0), mm(500.0), mm(750.0)]);
        // A peg from 480 to 512: the nearest clear spot is behind it.
        let peg = |at: Mm| if at > mm(480.0) && at < mm(512.0) { 2 } else { 0 };
        assert_eq!(spread(span, 3, mm(300.0), peg), [mm(250.0), mm(512.0), mm(750.0)]);
        let tight = spread(span, 3, mm(255.0), peg);
        assert_eq!(tight, [mm(250.0), mm(500.0), mm(750.0)], "no clear spot within what is allowed");
        // Wherever the costs lie, no two are too far apart.
        for seed in 1_i64..200 {
            let cost = |at: Mm| u8::try_from((at.um() / 7_000 * seed) % 5 % 3).unwrap_or(0);
            let all = spread(span, 4, mm(230.0), cost);
            let ends: Vec<Mm> = [span[0]].into_iter().chain(all).chain([span[1]]).collect();
            assert!(ends.windows(2).all(|two| two[1] > two[0] && two[1] - two[0] <= mm(230.0)), "{ends:?}");
        }
    }
}
