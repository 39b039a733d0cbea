//! A graph in; its rings out: edges that lie on a common closed way, or a single edge that lies on none. With what is
//! given at each node, the most that any edge of a ring can carry.
//!
//! The rings are found by [`crate::trade::blocks`]; edges from a node to itself are on none.

use crate::quantity::Current;
use crate::trade::blocks::Blocks;

/// The rings of a graph. A ring is known by its number.
#[derive(Clone, Debug)]
pub(super) struct Rings {
    found: Blocks,
    /// The node that takes up whatever does not sum to nothing.
    root: usize,
}

impl Rings {
    pub(super) fn of(nodes: usize, root: usize, edges: &[[usize; 2]]) -> Rings {
        Rings { found: Blocks::of(nodes, root, edges), root }
    }

    pub(super) fn ring_of(&self, edge: usize) -> Option<usize> {
        self.found.block_of.get(edge).copied().flatten()
    }

    /// The node from which the search came to this one first.
    pub(super) fn root_of(&self, node: usize) -> usize {
        self.found.root_of[node]
    }

    /// True where the ring is one edge that lies on no closed way.
    pub(super) fn is_single(&self, ring: usize) -> bool {
        self.found.edges_in[ring] == 1
    }

    /// The most that an edge of each ring carries when `given` enters at the nodes: what enters the ring at its nodes,
    /// from there or from what hangs on them. Exact for a single edge.
    pub(super) fn most(&self, given: &[Current]) -> Vec<Current> {
        let sums = self.summed(given.to_vec());
        let mut most = vec![Current::ZERO; self.found.below.len()];
        for (ring, nodes) in self.found.below.iter().enumerate() {
            // What each node brings into the ring: all below it, less what comes up to it through the ring itself.
            let (mut into, mut out_of, mut total) = (Current::ZERO, Current::ZERO, Current::ZERO);
            let mut own: Vec<(usize, Current)> = nodes.iter().map(|n| (*n, sums[*n])).collect();
            own.sort_unstable();
            for node in nodes {
                let above =
                    self.found.up[*node].and_then(|(a, _)| own.binary_search_by_key(&a, |o| o.0).ok());
                if let Some(above) = above {
                    own[above].1 = own[above].1 - sums[*node];
                }
            }
            for (_, brought) in own {
                total += brought;
                if brought >= Current::ZERO { into += brought } else { out_of += brought.abs() }
            }
            // The top takes up the rest; without the root behind it, it brings what its own side has.
            let top = match nodes.first() {
                Some(first) if self.found.root_of[*first] != self.root => {
                    sums[self.found.root_of[*first]] - total
                }
                _ => -total,
            };
            if top >= Current::ZERO {
                into += top
            } else {
                out_of += top.abs()
            }
            most[ring] = into.max(out_of);
        }
        most
    }

    /// What lies at or below each node, summed.
    fn summed(&self, mut at: Vec<Current>) -> Vec<Current> {
        for node in self.found.order.iter().rev() {
            if let Some((above, _)) = self.found.up[*node] {
                let own = at[*node];
                at[above] += own;
            }
        }
        at
    }

    /// For each ring, the first of these ways that goes through it: see [`Blocks::first_through`].
    pub(super) fn first_through(&self, ways: impl IntoIterator<Item = [usize; 2]>) -> Vec<Option<usize>> {
        self.found.first_through(ways)
    }

    /// For each node, the node of the ring, below its top, that it is or hangs on; `None` for the top and all that does
    /// not lie below it. A way goes through the ring where those of its ends differ. Costs one pass over the nodes.
    pub(super) fn hung_on(&self, ring: usize) -> Vec<Option<usize>> {
        let mut hung = vec![None; self.found.up.len()];
        for node in &self.found.order {
            if let Some((above, r)) = self.found.up[*node] {
                hung[*node] = if r == ring { Some(*node) } else { hung[above] };
            }
        }
        hung
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn amps(values: &[f64]) -> Vec<Current> {
        values.iter().map(|a| Current::from_amps(*a)).collect()
    }

    /// Edges of a tree carry what is behind them, those of a ring at most what enters it.
    #[test]
    fn trees_are_exact_and_rings_are_bounded() {
        // 0 root; 0-1 feed, 1-2 and 1-3 branches; 0-4, 4-5, 5-0 a ring with 6 hanging on 5.
        let edges = [[0, 1], [1, 2], [1, 3], [0, 4], [4, 5], [5, 0], [5, 6]];
        let rings = Rings::of(7, 0, &edges);
        let most = rings.most(&amps(&[0.0, 0.0, -1.0, -2.0, -0.25, 0.0, 4.0]));
        let of = |edge| most[rings.ring_of(edge).unwrap()].amps();
        assert_eq!([of(0), of(1), of(2), of(6)], [3.0, 1.0, 2.0, 4.0]);
        // 4 A come in at node 5, 0.25 A go out at node 4 and 3.75 A at the root.
        assert_eq!([of(3), of(4), of(5)], [4.0; 3]);
        assert_eq!(rings.ring_of(3), rings.ring_of(5));
        assert!(rings.is_single(rings.ring_of(0).unwrap()) && !rings.is_single(rings.ring_of(4).unwrap()));
    }

    #[test]
    fn two_rings_that_share_a_node_are_two() {
        let edges = [[0, 1], [0, 1], [0, 2], [0, 2]];
        let rings = Rings::of(3, 0, &edges);
        let most = rings.most(&amps(&[0.0, 1.0, 5.0]));
        assert_eq!(most[rings.ring_of(0).unwrap()].amps(), 1.0);
        assert_eq!(most[rings.ring_of(3).unwrap()].amps(), 5.0);
    }

    #[test]
    fn what_does_not_reach_the_root_sums_by_itself() {
        let rings = Rings::of(4, 0, &[[1, 2], [2, 3], [3, 3]]);
        let most = rings.most(&amps(&[0.0, 1.0, 0.0, -0.75]));
        // What one end gives and the other takes differ: the larger counts.
        assert_eq!(most[rings.ring_of(0).unwrap()].amps(), 1.0);
        assert_eq!(rings.ring_of(2), None);
    }

    #[test]
    fn a_way_passes_the_rings_between_its_ends() {
        // Node 5 hangs on nothing that leads to the root.
        let rings = Rings::of(7, 0, &[[0, 1], [1, 2], [1, 3], [0, 4], [5, 6]]);
        let ring = |edge| rings.ring_of(edge).unwrap();
        let first = rings.first_through([[2, 3], [3, 4], [0, 0], [2, 6]]);
        let seen: Vec<Option<usize>> = (0..5).map(|e| first[ring(e)]).collect();
        assert_eq!(seen, [Some(1), Some(0), Some(0), Some(1), Some(3)]);
        let hung = rings.hung_on(ring(0));
        assert_eq!(hung, [None, Some(1), Some(1), Some(1), None, None, None]);
    }

    /// What hangs on different nodes of a ring is joined through it.
    #[test]
    fn a_way_through_a_ring_enters_and_leaves_at_different_nodes() {
        let rings = Rings::of(7, 0, &[[0, 1], [1, 2], [2, 0], [1, 3], [3, 4], [2, 5], [0, 6]]);
        let hung = rings.hung_on(rings.ring_of(1).unwrap());
        assert_eq!(hung, [None, Some(1), Some(2), Some(1), Some(1), Some(2), None]);
    }

    /// As deep as a long daisy chain: no recursion.
    #[test]
    fn depth_does_not_matter() {
        let n = 200_000;
        let edges: Vec<[usize; 2]> = (1..n).map(|i| [i - 1, i]).collect();
        let rings = Rings::of(n, 0, &edges);
        let mut given = vec![Current::ZERO; n];
        given[n - 1] = Current::from_amps(-1.0);
        assert!(rings.most(&given).iter().all(|c| *c == Current::from_amps(1.0)));
        // As many ways as nodes, half the chain long each: none is walked twice.
        let first = rings.first_through((0..n / 2).map(|i| [i, i + n / 2]));
        assert_eq!((first[0], first[n - 2]), (Some(0), Some(n / 2 - 1)));
    }
}
