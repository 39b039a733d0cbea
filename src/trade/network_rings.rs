//! Lines between points in; which of them current can go round in, and what a way from point to point passes, out.
//!
//! Two lines are of one *ring* where some closed way passes both, each of its points once (a block, or biconnected part).
//! What is pushed into a ring divides within it and nowhere else, so a strap that opens changes its own ring only. A line
//! of no ring is a bridge: take it out, and nothing leads around. Any way between two points passes the same rings, and
//! enters and leaves each of them at the same points.
//!
//! Blocks by Hopcroft and Tarjan (1973, from memory), ways along a breadth-first forest: O(points + lines), and the length
//! of a way to spell it. Rings are numbered in the order in which they are closed, lines by their places in the input.

use std::collections::VecDeque;

/// A line: its two points, which differ.
pub(super) type Line = [u32; 2];

/// Rings of a set of lines.
#[derive(Clone, Debug, Default)]
pub(super) struct Rings {
    ring_of: Vec<Option<u32>>,
    members: Vec<Vec<u32>>,
    /// Next point towards the root of its part, and the line there.
    up: Vec<Option<(u32, u32)>>,
    depth: Vec<u32>,
}

/// A ring on a way, or a bridge.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Passed {
    /// The ring; None for a bridge.
    pub ring: Option<u32>,
    /// Where the way enters it.
    pub enters: u32,
    /// Where the way leaves it.
    pub leaves: u32,
}

impl Rings {
    /// The rings of these lines over so many points.
    pub(super) fn of(points: usize, lines: &[Line]) -> Rings {
        let mut at: Vec<Vec<u32>> = vec![Vec::new(); points];
        for (line, ends) in (0_u32..).zip(lines) {
            ends.iter().for_each(|p| at[*p as usize].push(line));
        }
        let mut rings = Rings { ring_of: vec![None; lines.len()], ..Rings::default() };
        rings.close(points, lines, &at);
        rings.grow(points, lines, &at);
        rings
    }

    /// Depth first; a point from below which nothing leads back above it closes a block.
    fn close(&mut self, points: usize, lines: &[Line], at: &[Vec<u32>]) {
        let mut order = vec![0_u32; points];
        let mut low = vec![0_u32; points];
        let mut count = 0;
        let mut waiting: Vec<u32> = Vec::new();
        for root in 0..points as u32 {
            if order[root as usize] != 0 {
                continue;
            }
            count += 1;
            (order[root as usize], low[root as usize]) = (count, count);
            // Point, the line it was reached by, how many of its lines were looked at.
            let mut stack: Vec<(u32, Option<u32>, usize)> = vec![(root, None, 0)];
            while let Some((point, came, next)) = stack.last_mut() {
                let (point, came) = (*point, *came);
                if let Some(line) = at[point as usize].get(*next).copied() {
                    *next += 1;
                    if came == Some(line) {
                        continue;
                    }
                    let to = other(lines, line, point);
                    if order[to as usize] == 0 {
                        count += 1;
                        (order[to as usize], low[to as usize]) = (count, count);
                        waiting.push(line);
                        stack.push((to, Some(line), 0));
                    } else if order[to as usize] < order[point as usize] {
                        waiting.push(line);
                        low[point as usize] = low[point as usize].min(order[to as usize]);
                    }
                    continue;
                }
                stack.pop();
                let (Some(line), Some((above, ..))) = (came, stack.last()) else { continue };
                let above = *above as usize;
                low[above] = low[above].min(low[point as usize]);
                if low[point as usize] >= order[above] {
                    let start = waiting.iter().rposition(|l| *l == line).unwrap_or(0);
                    self.put(waiting.split_off(start));
                }
            }
        }
    }

    fn put(&mut self, mut block: Vec<u32>) {
        if block.len() < 2 {
            return;
        }
        block.sort_unstable();
        let ring = Some(self.members.len() as u32);
        block.iter().for_each(|line| self.ring_of[*line as usize] = ring);
        self.members.push(block);
    }

    fn grow(&mut self, points: usize, lines: &[Line], at: &[Vec<u32>]) {
        self.up = vec![None; points];
        self.depth = vec![u32::MAX; points];
        for root in 0..points as u32 {
            if self.depth[root as usize] != u32::MAX {
                continue;
            }
            self.depth[root as usize] = 0;
            let mut queue = VecDeque::from([root]);
            while let Some(point) = queue.pop_front() {
                for line in &at[point as usize] {
                    let to = other(lines, *line, point) as usize;
                    if self.depth[to] == u32::MAX {
                        self.depth[to] = self.depth[point as usize] + 1;
                        self.up[to] = Some((point, *line));
                        queue.push_back(to as u32);
                    }
                }
            }
        }
    }

    /// The ring of a line; None for a bridge.
    pub(super) fn ring_of(&self, line: usize) -> Option<u32> {
        self.ring_of.get(line).copied().flatten()
    }

    /// Lines of a ring, in order.
    pub(super) fn members(&self, ring: u32) -> &[u32] {
        self.members.get(ring as usize).map_or(&[], Vec::as_slice)
    }

    /// What any way from `a` to `b` passes, in order. None where nothing joins them.
    pub(super) fn way(&self, a: u32, b: u32) -> Option<Vec<Passed>> {
        let (mut x, mut y) = (a, b);
        let (mut from_a, mut from_b) = (Vec::new(), Vec::new());
        while x != y {
            let deeper = self.depth[x as usize] >= self.depth[y as usize];
            let point = if deeper { &mut x } else { &mut y };
            let (above, line) = self.up[*point as usize]?;
            let ring = self.ring_of(line as usize);
            if deeper {
                from_a.push(Passed { ring, enters: *point, leaves: above });
            } else {
                from_b.push(Passed { ring, enters: above, leaves: *point });
            }
            *point = above;
        }
        from_a.extend(from_b.into_iter().rev());
        from_a.dedup_by(|later, kept| {
            let same = kept.ring.is_some() && later.ring == kept.ring;
            if same {
                kept.leaves = later.leaves;
            }
            same
        });
        Some(from_a)
    }
}

fn other(lines: &[Line], line: u32, point: u32) -> u32 {
    let [a, b] = lines[line as usize];
    if a == point { b } else { a }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn passed(ring: u32, enters: u32, leaves: u32) -> Passed {
        Passed { ring: Some(ring), enters, leaves }
    }

    #[test]
    fn two_rings_that_share_a_point_are_two() {
        // A triangle 0-1-2, a double line 2-3, a bridge 3-4, a part of its own 5-6.
        let lines = [[0, 1], [1, 2], [2, 0], [2, 3], [3, 2], [3, 4], [5, 6]];
        let rings = Rings::of(7, &lines);
        let of: Vec<Option<u32>> = (0..lines.len()).map(|l| rings.ring_of(l)).collect();
        assert_eq!(of, [Some(1), Some(1), Some(1), Some(0), Some(0), None, None]);
        assert_eq!((rings.members(1), rings.members(9)), (&[0, 1, 2][..], &[][..]));
        let bridge = Passed { ring: None, enters: 3, leaves: 4 };
        assert_eq!(rings.way(1, 4), Some(vec![passed(1, 1, 2), passed(0, 2, 3), bridge]));
        assert_eq!((rings.way(1, 5), rings.way(4, 4)), (None, Some(vec![])));
    }

    proptest! {
        /// A line is a bridge exactly where its ends fall apart without it.
        #[test]
        fn bridges_part(lines in prop::collection::vec((0_u32..9, 0_u32..9), 0..16)) {
            let lines: Vec<Line> = lines.into_iter().filter(|(a, b)| a != b).map(|(a, b)| [a, b]).collect();
            let rings = Rings::of(9, &lines);
            for line in 0..lines.len() {
                let mut without = lines.clone();
                let [a, b] = without.remove(line);
                let parted = Rings::of(9, &without).way(a, b).is_none();
                prop_assert_eq!(rings.ring_of(line).is_none(), parted);
            }
        }

        /// Two lines of one ring stay of one part whichever single point between them is blocked.
        #[test]
        fn no_point_parts_a_ring(lines in prop::collection::vec((0_u32..7, 0_u32..7), 0..14), blocked in 0_u32..7) {
            let lines: Vec<Line> = lines.into_iter().filter(|(a, b)| a != b).map(|(a, b)| [a, b]).collect();
            let rings = Rings::of(7, &lines);
            let left: Vec<Line> = lines.iter().copied().filter(|l| !l.contains(&blocked)).collect();
            let rest = Rings::of(7, &left);
            for ring in 0..rings.members.len() as u32 {
                let points = rings.members(ring).iter().flat_map(|l| lines[*l as usize]).filter(|p| *p != blocked);
                let points: Vec<u32> = points.collect();
                prop_assert!(points.iter().all(|p| rest.way(points[0], *p).is_some()));
            }
        }
    }
}
