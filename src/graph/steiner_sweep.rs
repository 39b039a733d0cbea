//! Cheapest ways over a graph from some nodes: starts in; weight, way back and origin for every node out.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use petgraph::graph::NodeIndex;
use petgraph::visit::EdgeRef;

use super::steiner::{Problem, Weight};

/// Cheapest ways from some nodes to all others, by Dijkstra's algorithm.
pub(super) struct Sweep<W> {
    /// For each node; None: not reached.
    reached: Vec<Option<Reached<W>>>,
}

#[derive(Clone, Copy)]
struct Reached<W> {
    weight: W,
    /// The node before it on the way; None at a start.
    before: Option<NodeIndex>,
    /// Where its way starts.
    origin: NodeIndex,
}

impl<W: Weight> Sweep<W> {
    pub fn from<N, E>(problem: &Problem<N, E, W>, starts: impl Iterator<Item = (NodeIndex, W)>) -> Sweep<W> {
        let mut sweep = Sweep { reached: vec![None; problem.graph.node_count()] };
        let mut open = BinaryHeap::new();
        for (node, weight) in starts {
            if sweep.offer(node, Reached { weight, before: None, origin: node }) {
                open.push(Reverse((weight, node)));
            }
        }
        while let Some(Reverse((weight, node))) = open.pop() {
            let Some(here) = sweep.reached[node.index()].filter(|here| here.weight == weight) else {
                continue;
            };
            for link in problem.graph.edges(node) {
                let next = if link.source() == node { link.target() } else { link.source() };
                let there = weight + (problem.price)(link.weight());
                if sweep.offer(next, Reached { weight: there, before: Some(node), origin: here.origin }) {
                    open.push(Reverse((there, next)));
                }
            }
        }
        sweep
    }

    /// Takes a way that is shorter than what is known.
    fn offer(&mut self, node: NodeIndex, way: Reached<W>) -> bool {
        match self.reached.get_mut(node.index()) {
            Some(known) if known.is_none_or(|known| way.weight < known.weight) => {
                *known = Some(way);
                true
            }
            _ => false,
        }
    }

    /// What it takes to come to a node; None where no way leads.
    pub fn weight(&self, node: NodeIndex) -> Option<W> {
        self.reached.get(node.index()).copied().flatten().map(|way| way.weight)
    }

    /// The start from which a node is reached; the node itself where it is not.
    pub fn origin(&self, node: NodeIndex) -> NodeIndex {
        self.reached.get(node.index()).copied().flatten().map_or(node, |way| way.origin)
    }

    /// The nodes from this one back to where its way starts.
    pub fn way_back(&self, node: NodeIndex) -> impl Iterator<Item = NodeIndex> + '_ {
        let before = |n: &NodeIndex| self.reached.get(n.index()).copied().flatten()?.before;
        std::iter::successors(Some(node), before)
    }
}
