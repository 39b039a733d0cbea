//! The ends of all links of one channel in; the lanes their upright pieces run in, out.
//!
//! The left-edge method, turned by a quarter: links take lanes from left to right; a lane is shared where pieces do not
//! meet. Two links whose ends lie level on opposite sides must not pass each other, so the one from the left turns
//! first; where such demands run in a circle, a link is broken by a dogleg on a free height. Where nothing demands an
//! order, the one with fewer crossings is taken. Source: Hashimoto and Stevens (1971), Deutsch (1976).
//! Cost: O(n²) for the n bent links of one channel.

use std::collections::{BTreeMap, BTreeSet};

use super::seat::Side;
use crate::draw::geometry::Mm;

/// A link to be led through the channel.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Wire {
    /// Side and height of its ends.
    pub ends: [(Side, Mm); 2],
    /// Wires of one strand keep beside each other where they can.
    pub strand: usize,
}

/// A corner's lane, counted from the left, and the height at which the wire leaves that lane.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Bend {
    /// The lane.
    pub lane: usize,
    /// Where it goes on.
    pub leave: Mm,
}

/// The led channel.
#[derive(Clone, Debug, Default)]
pub(super) struct Led {
    /// For each wire the lanes it takes in order from its first end; none for a straight one.
    pub bends: Vec<Vec<Bend>>,
    /// Number of lanes.
    pub lanes: usize,
}

/// An upright piece.
#[derive(Clone, Copy, Debug)]
struct Piece {
    wire: usize,
    /// Its place in the wire, from the first end.
    part: usize,
    ends: [(Side, Mm); 2],
    strand: usize,
}

impl Piece {
    fn low(&self) -> Mm {
        self.ends[0].1.min(self.ends[1].1)
    }

    fn high(&self) -> Mm {
        self.ends[0].1.max(self.ends[1].1)
    }

    fn on(&self, side: Side) -> impl Iterator<Item = Mm> + '_ {
        self.ends.iter().filter(move |e| e.0 == side).map(|e| e.1)
    }
}

/// Leads all wires. Ends of different wires on one side have different heights; pieces in one lane keep `gap` apart;
/// heights of doglegs are multiples of `grid`.
pub(super) fn lead(wires: &[Wire], grid: Mm, gap: Mm) -> Led {
    let mut led = Led { bends: vec![Vec::new(); wires.len()], lanes: 0 };
    let mut pieces: Vec<Piece> = Vec::new();
    for (i, wire) in wires.iter().enumerate() {
        let [a, b] = wire.ends;
        if a.0 == b.0 || a.1 != b.1 {
            pieces.push(Piece { wire: i, part: 0, ends: wire.ends, strand: wire.strand });
        }
    }
    let mut taken: BTreeSet<Mm> = wires.iter().flat_map(|w| w.ends).map(|e| e.1).collect();
    let mut jogs: BTreeSet<Mm> = BTreeSet::new();
    while let Some(piece) = in_circle(&pieces, &jogs) {
        let Some(height) = free_height(&pieces[piece], &taken, grid) else { break };
        taken.insert(height);
        jogs.insert(height);
        let old = pieces[piece];
        let [a, b] = old.ends;
        // Nothing else is at the dogleg's height, so neither part demands anything there.
        pieces[piece] = Piece { ends: [a, (a.0.other(), height)], ..old };
        pieces.push(Piece { part: old.part + 1, ends: [(b.0.other(), height), b], ..old });
    }
    let lanes = assign(&pieces, &jogs, gap);
    led.lanes = lanes.iter().map(|l| l + 1).max().unwrap_or(0);
    let mut order: Vec<usize> = (0..pieces.len()).collect();
    order.sort_by_key(|p| (pieces[*p].wire, pieces[*p].part));
    for p in order {
        let piece = &pieces[p];
        led.bends[piece.wire].push(Bend { lane: lanes[p], leave: piece.ends[1].1 });
    }
    led
}

/// For each piece those that must lie right of it: a piece that comes from the left at a height turns before another
/// leaves to the right at the same height.
fn demands(pieces: &[Piece], jogs: &BTreeSet<Mm>) -> Vec<Vec<usize>> {
    let mut right: BTreeMap<Mm, usize> = BTreeMap::new();
    for (i, piece) in pieces.iter().enumerate() {
        for y in piece.on(Side::Right) {
            right.insert(y, i);
        }
    }
    let followers = |(i, piece): (usize, &Piece)| {
        let ends = piece.on(Side::Left).filter(|y| !jogs.contains(y));
        ends.filter_map(|y| right.get(&y).copied()).filter(|j| *j != i).collect()
    };
    pieces.iter().enumerate().map(followers).collect()
}

/// A piece between both sides that lies on a circle of demands, if there is one.
fn in_circle(pieces: &[Piece], jogs: &BTreeSet<Mm>) -> Option<usize> {
    let demands = demands(pieces, jogs);
    let mut waiting = vec![0_usize; pieces.len()];
    for next in demands.iter().flatten() {
        waiting[*next] += 1;
    }
    let mut ready: Vec<usize> = (0..pieces.len()).filter(|p| waiting[*p] == 0).collect();
    let mut done = vec![false; pieces.len()];
    while let Some(p) = ready.pop() {
        done[p] = true;
        for next in &demands[p] {
            waiting[*next] -= 1;
            if waiting[*next] == 0 {
                ready.push(*next);
            }
        }
    }
    // What is left is in a circle or behind one; going from demand to demand ends in the circle.
    let mut at = (0..pieces.len()).find(|p| !done[*p])?;
    let back: Vec<Vec<usize>> = {
        let mut back = vec![Vec::new(); pieces.len()];
        for (p, next) in demands.iter().enumerate() {
            next.iter().filter(|_| !done[p]).for_each(|n| back[*n].push(p));
        }
        back
    };
    let mut seen = vec![false; pieces.len()];
    while !seen[at] {
        seen[at] = true;
        at = *back[at].first()?;
    }
    let start = at;
    loop {
        if pieces[at].ends[0].0 != pieces[at].ends[1].0 {
            return Some(at);
        }
        at = *back[at].first()?;
        if at == start {
            return Some(at);
        }
    }
}

/// The free height nearest to the middle of the piece.
fn free_height(piece: &Piece, taken: &BTreeSet<Mm>, grid: Mm) -> Option<Mm> {
    let middle = (piece.low() + piece.high()) / 2;
    let middle = Mm::from_um(middle.um().div_euclid(grid.um().max(1)) * grid.um());
    let away = |i: usize| {
        let step = grid.times(i.div_ceil(2));
        if i.is_multiple_of(2) { middle + step } else { middle - step }
    };
    (0..taken.len() * 2 + 2).map(away).find(|y| !taken.contains(y))
}

/// Crossings of two pieces if `one` lies left of `other`.
fn crossings(one: &Piece, other: &Piece) -> i32 {
    let within = |y: Mm, piece: &Piece| i32::from(piece.low() < y && y < piece.high());
    let out: i32 = one.on(Side::Right).map(|y| within(y, other)).sum();
    let back: i32 = other.on(Side::Left).map(|y| within(y, one)).sum();
    out + back
}

fn assign(pieces: &[Piece], jogs: &BTreeSet<Mm>, gap: Mm) -> Vec<usize> {
    let count = pieces.len();
    let hard = demands(pieces, jogs);
    let mut before: Vec<Vec<(usize, i32)>> = vec![Vec::new(); count];
    const MUST: i32 = 1_000_000;
    for (p, next) in hard.iter().enumerate() {
        next.iter().for_each(|n| before[*n].push((p, MUST)));
    }
    let mut by_low: Vec<usize> = (0..count).collect();
    by_low.sort_by_key(|p| (pieces[*p].low(), pieces[*p].high(), *p));
    for (i, p) in by_low.iter().enumerate() {
        for q in by_low.iter().skip(i + 1) {
            let (one, other) = (&pieces[*p], &pieces[*q]);
            if other.low() > one.high() {
                break;
            }
            let (kept, turned) = (crossings(one, other), crossings(other, one));
            match kept.cmp(&turned) {
                std::cmp::Ordering::Less => before[*q].push((*p, turned - kept)),
                std::cmp::Ordering::Greater => before[*p].push((*q, kept - turned)),
                std::cmp::Ordering::Equal => {}
            }
        }
    }
    // Pieces are placed one after another, each as soon as nothing wanted before it is left; where wishes run in a
    // circle, the piece with the least unfulfilled ones goes first.
    let mut after: Vec<Vec<(usize, i32)>> = vec![Vec::new(); count];
    let mut waiting = vec![0_i64; count];
    for (p, list) in before.iter().enumerate() {
        for (q, weight) in list {
            after[*q].push((p, *weight));
            waiting[p] += i64::from(*weight);
        }
    }
    let key = |p: usize, waiting: i64| (waiting, pieces[p].strand, pieces[p].low(), p);
    let mut queue: BTreeSet<(i64, usize, Mm, usize)> = (0..count).map(|p| key(p, waiting[p])).collect();
    let mut lane: Vec<Option<usize>> = vec![None; count];
    let mut lanes: Vec<BTreeMap<Mm, Mm>> = Vec::new();
    while let Some((_, _, _, p)) = queue.pop_first() {
        let least = before[p].iter().filter_map(|(q, _)| lane[*q]).map(|l| l + 1).max().unwrap_or(0);
        let (low, high) = (pieces[p].low() - gap, pieces[p].high() + gap);
        let fits =
            |used: &BTreeMap<Mm, Mm>| used.range(..high).next_back().is_none_or(|(_, end)| *end <= low);
        let free =
            (least..lanes.len()).find(|l| lanes.get(*l).is_some_and(fits)).unwrap_or(lanes.len().max(least));
        lanes.resize(lanes.len().max(free + 1), BTreeMap::new());
        lanes[free].insert(pieces[p].low(), pieces[p].high());
        lane[p] = Some(free);
        for (q, weight) in &after[p] {
            if lane[*q].is_none() {
                queue.remove(&key(*q, waiting[*q]));
                waiting[*q] -= i64::from(*weight);
                queue.insert(key(*q, waiting[*q]));
            }
        }
    }
    lane.into_iter().map(Option::unwrap_or_default).collect()
}

#[cfg(test)]
mod tests {
    use super::super::anew::Dice;
    use super::*;
    use crate::draw::geometry::mm;

    const GRID: Mm = mm(2.5);

    fn wire(from: (Side, i64), to: (Side, i64), strand: usize) -> Wire {
        Wire { ends: [from, to].map(|(side, row)| (side, GRID * row)), strand }
    }

    /// Straight pieces of a led wire as lane and height, from edge to edge; edges are lanes before and behind all.
    fn corners(led: &Led, i: usize, wire: &Wire) -> Vec<(i64, Mm)> {
        let edge = |side: Side| if side == Side::Left { -1 } else { led.lanes as i64 };
        let mut at = (edge(wire.ends[0].0), wire.ends[0].1);
        let mut out = vec![at];
        for bend in &led.bends[i] {
            out.push((bend.lane as i64, at.1));
            at = (bend.lane as i64, bend.leave);
            out.push(at);
        }
        out.push((edge(wire.ends[1].0), at.1));
        assert_eq!(at.1, wire.ends[1].1, "a wire ends at its height");
        out
    }

    /// True where two wires share more than a point.
    fn overlap(a: &[(i64, Mm)], b: &[(i64, Mm)]) -> bool {
        let meet = |p: i64, q: i64, r: i64, s: i64| p.min(q).max(r.min(s)) < p.max(q).min(r.max(s));
        a.windows(2).any(|p| {
            b.windows(2).any(|q| {
                let level = p[0].1 == p[1].1 && q[0].1 == q[1].1 && p[0].1 == q[0].1;
                let upright = p[0].0 == p[1].0 && q[0].0 == q[1].0 && p[0].0 == q[0].0;
                level && meet(p[0].0, p[1].0, q[0].0, q[1].0)
                    || upright && meet(p[0].1.um(), p[1].1.um(), q[0].1.um(), q[1].1.um())
            })
        })
    }

    fn assert_apart(wires: &[Wire]) -> Led {
        let led = lead(wires, GRID, mm(2.0));
        let lines: Vec<_> = wires.iter().enumerate().map(|(i, w)| corners(&led, i, w)).collect();
        for (i, a) in lines.iter().enumerate() {
            for (j, b) in lines.iter().enumerate().skip(i + 1) {
                assert!(!overlap(a, b), "{i} {a:?} and {j} {b:?}");
            }
        }
        led
    }

    #[test]
    fn straight_wires_need_no_lane() {
        let led = assert_apart(&[
            wire((Side::Left, 0), (Side::Right, 0), 0),
            wire((Side::Left, 4), (Side::Right, 4), 1),
        ]);
        assert_eq!((led.lanes, led.bends), (0, vec![vec![], vec![]]));
    }

    #[test]
    fn wires_that_step_side_by_side_do_not_cross() {
        // Both go down by three: the lower one turns first.
        let led = assert_apart(&[
            wire((Side::Left, 0), (Side::Right, 6), 0),
            wire((Side::Left, 2), (Side::Right, 8), 0),
        ]);
        assert_eq!((led.bends[0][0].lane, led.bends[1][0].lane), (1, 0));
    }

    #[test]
    fn wires_that_change_places_are_broken_by_a_dogleg() {
        let wires = [wire((Side::Left, 0), (Side::Right, 4), 0), wire((Side::Left, 4), (Side::Right, 0), 1)];
        let led = assert_apart(&wires);
        let bends: Vec<usize> = led.bends.iter().map(Vec::len).collect();
        assert_eq!(bends.iter().sum::<usize>(), 3, "one wire takes two lanes, the other one");
    }

    #[test]
    fn wires_that_come_back_share_a_lane_where_they_do_not_meet() {
        let led = assert_apart(&[
            wire((Side::Left, 0), (Side::Left, 2), 0),
            wire((Side::Left, 6), (Side::Left, 8), 1),
        ]);
        assert_eq!(led.lanes, 1);
    }

    #[test]
    fn any_channel_is_led_without_two_wires_on_one_another() {
        let mut dice = Dice(88_172_645_463_325_252);
        for _ in 0..300 {
            let rows = 2 + dice.roll(30);
            let mut free: Vec<(Side, i64)> =
                (0..rows as i64).flat_map(|r| [(Side::Left, r * 2), (Side::Right, r * 2)]).collect();
            let mut wires = Vec::new();
            while free.len() > 1 && wires.len() < rows {
                let from = free.swap_remove(dice.roll(free.len()));
                let to = free.swap_remove(dice.roll(free.len()));
                wires.push(wire(from, to, wires.len()));
            }
            let led = assert_apart(&wires);
            assert_eq!(lead(&wires, GRID, mm(2.0)).bends, led.bends);
        }
    }
}
