//! Lines between points in; which of them current can go round in, and what a way from point to point passes, out.
//!
//! Two lines are of one *ring* where some closed way passes both, each of its points once: a block of more than one line
//! (see [`super::blocks`]). What is pushed into a ring divides within it and nowhere else, so a strap that opens changes
//! its own ring only. A line of no ring is a bridge: take it out, and nothing leads around. Any way between two points
//! passes the same rings, and enters and leaves each of them at the same points.
//!
//! A way goes from block to block, so it costs the number of blocks that it passes, however large they are.

use std::collections::BTreeMap;

use super::blocks::Blocks;

/// A line: its two points, which differ.
pub(super) type Line = [u32; 2];

/// Rings of a set of lines.
#[derive(Clone, Debug, Default)]
pub(super) struct Rings {
    blocks: Blocks,
    members: Vec<Vec<u32>>,
}

/// A ring on a way, or a bridge.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Passed {
    /// The ring, or the bridge: a number of its own among both.
    pub block: u32,
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
        let edges: Vec<[usize; 2]> = lines.iter().map(|ends| ends.map(|p| p as usize)).collect();
        let blocks = Blocks::of(points, 0, &edges);
        let mut members = vec![Vec::new(); blocks.below.len()];
        for (line, block) in (0_u32..).zip(&blocks.block_of) {
            if let Some(block) = block {
                members[*block].push(line);
            }
        }
        Rings { blocks, members }
    }

    /// The ring of a line; None for a bridge.
    pub(super) fn ring_of(&self, line: usize) -> Option<u32> {
        self.blocks.block_of.get(line).copied().flatten().and_then(|block| self.ring(block))
    }

    /// A block of one line is a bridge.
    fn ring(&self, block: usize) -> Option<u32> {
        (self.blocks.edges_in[block] > 1).then_some(block as u32)
    }

    /// By ring, the first of these ways between points that goes through it; see [`Blocks::first_through`].
    pub(super) fn first_through(&self, ways: impl IntoIterator<Item = [u32; 2]>) -> BTreeMap<u32, usize> {
        let first = self.blocks.first_through(ways.into_iter().map(|ends| ends.map(|p| p as usize)));
        let of_block = |(block, way): (usize, Option<usize>)| Some((self.ring(block)?, way?));
        first.into_iter().enumerate().filter_map(of_block).collect()
    }

    /// Lines of a ring, in order; of a bridge by the number of its block, the line itself.
    pub(super) fn members(&self, block: u32) -> &[u32] {
        self.members.get(block as usize).map_or(&[], Vec::as_slice)
    }

    /// What any way from `a` to `b` passes, in order. None where nothing joins them.
    pub(super) fn way(&self, a: u32, b: u32) -> Option<Vec<Passed>> {
        let blocks = &self.blocks;
        let (mut x, mut y) = (a as usize, b as usize);
        if blocks.root_of.get(x)? != blocks.root_of.get(y)? {
            return None;
        }
        let passed = |block: usize, enters: usize, leaves: usize| Passed {
            block: block as u32,
            ring: self.ring(block),
            enters: enters as u32,
            leaves: leaves as u32,
        };
        // The block that a point hangs in, its top, and how deep that lies.
        let above = |point: usize| {
            let (_, block) = blocks.up[point]?;
            let top = blocks.top(block)?;
            Some((block, top, blocks.depth[top]))
        };
        let (mut from_a, mut from_b) = (Vec::new(), Vec::new());
        while x != y {
            match (above(x), above(y)) {
                (Some((block, ..)), Some((other, ..))) if block == other => {
                    from_a.push(passed(block, x, y));
                    break;
                }
                (Some((block, top, depth)), other) if other.is_none_or(|(.., d)| depth >= d) => {
                    from_a.push(passed(block, x, top));
                    x = top;
                }
                (_, Some((block, top, _))) => {
                    from_b.push(passed(block, top, y));
                    y = top;
                }
                // Two roots: there is no way.
                _ => return None,
            }
        }
        from_a.extend(from_b.into_iter().rev());
        Some(from_a)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn passed(ring: u32, enters: u32, leaves: u32) -> Passed {
        Passed { block: ring, ring: Some(ring), enters, leaves }
    }

    #[test]
    fn two_rings_that_share_a_point_are_two() {
        // A triangle 0-1-2, a double line 2-3, a bridge 3-4, a part of its own 5-6.
        let lines = [[0, 1], [1, 2], [2, 0], [2, 3], [3, 2], [3, 4], [5, 6]];
        let rings = Rings::of(7, &lines);
        let of: Vec<Option<u32>> = (0..lines.len()).map(|l| rings.ring_of(l)).collect();
        assert_eq!(of, [Some(0), Some(0), Some(0), Some(1), Some(1), None, None]);
        assert_eq!((rings.members(0), rings.members(9)), (&[0, 1, 2][..], &[][..]));
        let bridge = Passed { block: 2, ring: None, enters: 3, leaves: 4 };
        assert_eq!(rings.way(1, 4), Some(vec![passed(0, 1, 2), passed(1, 2, 3), bridge]));
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
            for ring in (0..lines.len()).filter_map(|line| rings.ring_of(line)) {
                let points = rings.members(ring).iter().flat_map(|l| lines[*l as usize]).filter(|p| *p != blocked);
                let points: Vec<u32> = points.collect();
                prop_assert!(points.iter().all(|p| rest.way(points[0], *p).is_some()));
            }
        }
    }
}
