//! Electrical graph in; the way between any two points out, along one tree.
//!
//! Breadth-first forest from bodies and feeds, then from whatever is left; ways go up from both ends to where they meet.
//! O(V + E) to grow, and the length of a way to spell it, however large the net is. Of several ways it is the one that
//! the tree has: what a voltage sums up to is the same along each.

use std::collections::VecDeque;

use petgraph::graph::NodeIndex;
use petgraph::visit::EdgeRef;

use super::electrical::{Electrical, Point, Step, Through};
use crate::harness::{DeviceClass, Harness, PinId};

/// The forest.
#[derive(Debug)]
pub(super) struct Ways<'e> {
    electrical: &'e Electrical,
    up: Vec<Option<(NodeIndex<u32>, Through)>>,
    depth: Vec<u32>,
}

impl<'e> Ways<'e> {
    pub(super) fn over(h: &Harness, electrical: &'e Electrical) -> Ways<'e> {
        let graph = &electrical.graph;
        let count = graph.node_count();
        let mut ways = Ways { electrical, up: vec![None; count], depth: vec![u32::MAX; count] };
        let feeds = |n: &NodeIndex<u32>| match graph[*n] {
            Point::Body(_) => true,
            Point::Pin(p) => matches!(h.device(h.pin(p).device).class, DeviceClass::Supply { .. }),
        };
        let first = graph.node_indices().filter(feeds);
        for root in first.chain(graph.node_indices()) {
            if ways.depth[root.index()] != u32::MAX {
                continue;
            }
            ways.depth[root.index()] = 0;
            let mut queue = VecDeque::from([root]);
            while let Some(node) = queue.pop_front() {
                for edge in graph.edges(node) {
                    let to = edge.target();
                    if ways.depth[to.index()] == u32::MAX {
                        ways.depth[to.index()] = ways.depth[node.index()] + 1;
                        ways.up[to.index()] = Some((node, *edge.weight()));
                        queue.push_back(to);
                    }
                }
            }
        }
        ways
    }

    /// The steps from one pin to another; None where nothing joins them.
    pub(super) fn way(&self, from: PinId, to: PinId) -> Option<Vec<Step>> {
        let graph = &self.electrical.graph;
        let (mut x, mut y) = (NodeIndex::new(from.index()), NodeIndex::new(to.index()));
        let (mut steps, mut back) = (Vec::new(), Vec::new());
        while x != y {
            if self.depth[x.index()] >= self.depth[y.index()] {
                let (above, through) = self.up[x.index()]?;
                steps.push(Step { through, to: graph[above] });
                x = above;
            } else {
                let (above, through) = self.up[y.index()]?;
                back.push(Step { through, to: graph[y] });
                y = above;
            }
        }
        steps.extend(back.into_iter().rev());
        Some(steps)
    }
}
