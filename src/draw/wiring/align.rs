//! An ordered chart in; the height of every row out, so that conductors run straight where the order lets them.
//!
//! Rows that keep their distances form a body. Between neighbouring ranks bodies are aligned where that makes
//! conductors straight, the most conductors first, never across another alignment and each body with one partner on
//! each side; so aligned bodies form chains that lie above or below one another without a circle. Chains are moved up
//! as far as the room between them allows (longest path), then towards what they are linked to. All heights are
//! multiples of a grid step, so that two lines are either level or clearly apart. Cost: O(n log n). Source of the
//! idea of aligned chains: Brandes and Köpf (2002).

use std::collections::BTreeMap;

use super::body::{Bodies, Item, bodies};
use super::chart::{Chart, What};
use super::seat::Side;
use super::way::Ground;
use crate::draw::geometry::{Mm, mm};

/// Heights are multiples of this.
pub(super) const GRID: Mm = mm(2.5);
/// Passes that move chains towards what they are linked to.
const PASSES: usize = 6;

/// Heights.
pub(super) struct Heights {
    /// Of each row.
    pub row: Vec<Mm>,
    /// Zones and corridors of each column from the top, and the height at which each begins.
    pub zones: Vec<Vec<Field>>,
    /// Where the drawing begins and ends.
    pub span: (Mm, Mm),
}

/// A zone's part of a column.
#[derive(Clone, Copy, Debug)]
pub(super) struct Field {
    /// The zone.
    pub ground: Ground,
    /// True where it is only a way past the column for conductors of another one.
    pub corridor: bool,
    /// Where it begins.
    pub top: Mm,
}

/// Gives every row its height.
pub(super) fn align(chart: &Chart) -> Heights {
    let bodies = bodies(chart);
    let mut chains = Chains::new(&bodies);
    chains.join_zones(&bodies);
    chains.join_bodies(chart, &bodies);
    let heights = match chains.heights(chart, &bodies) {
        Some(heights) => heights,
        None => {
            // Without alignments the order alone cannot run in a circle.
            chains = Chains::new(&bodies);
            chains.join_zones(&bodies);
            chains.heights(chart, &bodies).unwrap_or_else(|| vec![Mm::ZERO; chains.parent.len()])
        }
    };
    let y = |chains: &mut Chains, item: Item| {
        let (root, offset) = chains.find(chains.index(item));
        heights.get(root).copied().unwrap_or_default() + offset
    };
    let row: Vec<Mm> =
        bodies.of.iter().map(|(body, offset)| y(&mut chains, Item::Body(*body)) + *offset).collect();
    let mut zones = Vec::new();
    for (column, parts) in bodies.zones.iter().enumerate() {
        let begin = parts.iter().enumerate().filter_map(|(i, what)| match what {
            What::Zone { ground, corridor } => {
                let top = y(&mut chains, Item::Zone(column, i));
                Some(Field { ground: *ground, corridor: *corridor, top })
            }
            _ => None,
        });
        zones.push(begin.collect());
    }
    let mut bottom = Mm::ZERO;
    for (placed, tails) in bodies.ranks.iter().zip(&bodies.tails) {
        for (last, room) in tails {
            if let Some(last) = placed.get(*last) {
                bottom = bottom.max(y(&mut chains, last.item) + last.height + *room);
            }
        }
    }
    Heights { row, zones, span: (Mm::ZERO, bottom) }
}

/// Items joined at fixed distances: each knows its chain and how far below the chain's origin it lies.
struct Chains {
    parent: Vec<usize>,
    offset: Vec<Mm>,
    bodies: usize,
    first_zone: Vec<usize>,
}

impl Chains {
    fn new(bodies: &Bodies) -> Chains {
        let mut first_zone = Vec::new();
        let mut count = bodies.height.len();
        for parts in &bodies.zones {
            first_zone.push(count);
            count += parts.len();
        }
        Chains {
            parent: (0..count).collect(),
            offset: vec![Mm::ZERO; count],
            bodies: bodies.height.len(),
            first_zone,
        }
    }

    fn index(&self, item: Item) -> usize {
        match item {
            Item::Body(body) => body,
            Item::Zone(column, i) => self.first_zone.get(column).copied().unwrap_or(self.bodies) + i,
        }
    }

    /// Zones stand in every rank of their column as one item; nothing is left to be joined, but columns that begin
    /// together do so on one line.
    fn join_zones(&mut self, bodies: &Bodies) {
        let first = self.index(Item::Zone(0, 0));
        for (column, parts) in bodies.zones.iter().enumerate().skip(1) {
            if !parts.is_empty() {
                self.join(first, self.index(Item::Zone(column, 0)), Mm::ZERO);
            }
        }
    }

    /// The chain of an item, and the item's distance below the chain's origin.
    fn find(&mut self, item: usize) -> (usize, Mm) {
        let (mut root, mut offset) = (item, Mm::ZERO);
        while self.parent[root] != root {
            offset += self.offset[root];
            root = self.parent[root];
        }
        // Shortens the way for the next question.
        let (mut at, mut left) = (item, offset);
        while self.parent[at] != root && at != root {
            let (next, step) = (self.parent[at], self.offset[at]);
            (self.parent[at], self.offset[at]) = (root, left);
            (at, left) = (next, left - step);
        }
        (root, offset)
    }

    /// Puts `lower` the distance `by` below `upper`.
    fn join(&mut self, upper: usize, lower: usize, by: Mm) {
        let ((a, da), (b, db)) = (self.find(upper), self.find(lower));
        if a != b {
            self.parent[b] = a;
            self.offset[b] = da + by - db;
        }
    }

    fn join_bodies(&mut self, chart: &Chart, bodies: &Bodies) {
        let mut order: Vec<usize> = vec![0; bodies.height.len()];
        let mut rank_of: Vec<usize> = vec![0; bodies.height.len()];
        for (rank, placed) in bodies.ranks.iter().enumerate() {
            for (i, p) in placed.iter().enumerate() {
                if let Item::Body(body) = p.item {
                    (order[body], rank_of[body]) = (i, rank);
                }
            }
        }
        let mut wanted: BTreeMap<(usize, usize, usize), BTreeMap<Mm, usize>> = BTreeMap::new();
        for link in &chart.links {
            let [a, b] = link.ends;
            if a.side == b.side {
                continue;
            }
            let (left, right) = if a.side == Side::Right { (a.row, b.row) } else { (b.row, a.row) };
            let ((p, dp), (q, dq)) = (bodies.of[left], bodies.of[right]);
            if rank_of[p] + 1 == rank_of[q] {
                *wanted.entry((link.channel, p, q)).or_default().entry(dp - dq).or_default() += 1;
            }
        }
        let mut choices: Vec<(usize, usize, usize, usize, Mm)> = Vec::new();
        for ((channel, p, q), distances) in wanted {
            let best = distances.into_iter().rev().max_by_key(|(_, n)| *n);
            if let Some((by, n)) = best {
                choices.push((channel, n, p, q, by));
            }
        }
        choices.sort_by_key(|(channel, n, p, q, _)| (*channel, std::cmp::Reverse(*n), order[*p], order[*q]));
        for in_channel in choices.chunk_by(|a, b| a.0 == b.0) {
            let mut right_of: BTreeMap<usize, usize> = BTreeMap::new();
            let mut taken: BTreeMap<usize, usize> = BTreeMap::new();
            for (_, _, p, q, by) in in_channel {
                let (left, right) = (order[*p], order[*q]);
                if right_of.contains_key(&left) || taken.contains_key(&right) {
                    continue;
                }
                let above = right_of.range(..left).next_back().is_none_or(|(_, r)| *r < right);
                let below = right_of.range(left..).next().is_none_or(|(_, r)| *r > right);
                if above && below {
                    right_of.insert(left, right);
                    taken.insert(right, left);
                    self.join(*p, *q, *by);
                }
            }
        }
    }

    /// Height of each chain's origin; None where the order of the chains runs in a circle.
    fn heights(&mut self, chart: &Chart, bodies: &Bodies) -> Option<Vec<Mm>> {
        let count = self.parent.len();
        let mut below: Vec<Vec<(usize, Mm)>> = vec![Vec::new(); count];
        let mut above: Vec<Vec<(usize, Mm)>> = vec![Vec::new(); count];
        let mut floor = vec![Mm::from_um(i64::MIN / 4); count];
        let mut waiting = vec![0_usize; count];
        for placed in &bodies.ranks {
            let found: Vec<(usize, Mm)> = placed.iter().map(|p| self.find(self.index(p.item))).collect();
            for (p, (chain, offset)) in placed.iter().zip(&found) {
                floor[*chain] = floor[*chain].max(-*offset);
                for (at, room) in &p.above {
                    let (upper, bottom) = (found[*at].0, found[*at].1 + placed[*at].height);
                    if upper != *chain {
                        let least = bottom + *room - *offset;
                        below[upper].push((*chain, least));
                        above[*chain].push((upper, least));
                        waiting[*chain] += 1;
                    } else if bottom + *room > *offset {
                        return None;
                    }
                }
            }
        }
        let roots: Vec<usize> = (0..count).filter(|i| self.parent[*i] == *i).collect();
        let mut y = floor.clone();
        let mut order: Vec<usize> = Vec::with_capacity(roots.len());
        let mut ready: Vec<usize> = roots.iter().copied().filter(|r| waiting[*r] == 0).collect();
        while let Some(chain) = ready.pop() {
            order.push(chain);
            for (next, least) in &below[chain] {
                y[*next] = y[*next].max(y[chain] + *least);
                waiting[*next] -= 1;
                if waiting[*next] == 0 {
                    ready.push(*next);
                }
            }
        }
        if order.len() < roots.len() {
            return None;
        }
        self.settle(chart, bodies, &order, &above, &below, &floor, &mut y);
        Some(y)
    }

    /// Moves chains with room towards the middle of what they are linked to, without making the drawing higher.
    #[allow(clippy::too_many_arguments)]
    fn settle(
        &mut self,
        chart: &Chart,
        bodies: &Bodies,
        order: &[usize],
        above: &[Vec<(usize, Mm)>],
        below: &[Vec<(usize, Mm)>],
        floor: &[Mm],
        y: &mut [Mm],
    ) {
        let mut pulls: Vec<Vec<(usize, Mm)>> = vec![Vec::new(); y.len()];
        for link in &chart.links {
            let [(a, da), (b, db)] = link.ends.map(|e| {
                let (body, within) = bodies.of[e.row];
                let (chain, offset) = self.find(body);
                (chain, offset + within)
            });
            if a != b {
                pulls[a].push((b, db - da));
                pulls[b].push((a, da - db));
            }
        }
        let mut deepest = vec![Mm::ZERO; y.len()];
        for placed in &bodies.ranks {
            for p in placed {
                let (chain, offset) = self.find(self.index(p.item));
                deepest[chain] = deepest[chain].max(offset + p.height);
            }
        }
        let bottom = order.iter().map(|c| y[*c] + deepest[*c]).max().unwrap_or_default();
        for pass in 0..PASSES {
            let rising: Vec<usize> =
                if pass % 2 == 0 { order.iter().rev().copied().collect() } else { order.to_vec() };
            for chain in rising {
                let mut aims: Vec<Mm> = pulls[chain].iter().map(|(other, by)| y[*other] + *by).collect();
                if aims.is_empty() {
                    continue;
                }
                aims.sort_unstable();
                let aim = aims[aims.len() / 2];
                let low = above[chain].iter().map(|(up, least)| y[*up] + *least).fold(floor[chain], Mm::max);
                let high = below[chain].iter().map(|(down, least)| y[*down] - *least);
                let high = high.fold(bottom - deepest[chain], Mm::min);
                if low <= high {
                    y[chain] = aim.max(low).min(high);
                }
            }
        }
    }
}
