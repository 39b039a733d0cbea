//! Electrical graph in; the way between any two points out, along one tree.
//!
//! Breadth-first forest from bodies and feeds, then from whatever is left; ways go up from both ends to where they meet.
//! O(V + E) to grow; the length of a way to spell it, however large the net is; O(log V) to find where it turns, over nodes
//! that jump towards the root (Myers, "An applicative random-access stack", Information Processing Letters 17, 1983, from
//! memory). Of several ways it is the one that the tree has: what a voltage sums up to is the same along each.

use std::collections::VecDeque;

use petgraph::graph::NodeIndex;
use petgraph::visit::EdgeRef;

use super::electrical::{Electrical, Point, Step, Through};
use crate::harness::{DeviceClass, Harness, PinId};

/// A node of the forest: a pin or body, by its number in the electrical graph.
pub(super) type Knot = NodeIndex<u32>;

/// The forest.
#[derive(Clone, Debug, Default)]
pub(super) struct Ways {
    /// What each node stands for.
    points: Vec<Point>,
    up: Vec<Option<(Knot, Through)>>,
    depth: Vec<u32>,
    /// A node further towards the root; a root's is itself.
    jump: Vec<Knot>,
    /// All nodes, each after the one above it.
    order: Vec<Knot>,
}

impl Ways {
    pub(super) fn over(h: &Harness, electrical: &Electrical) -> Ways {
        let graph = &electrical.graph;
        let count = graph.node_count();
        let mut ways = Ways {
            points: graph.node_weights().copied().collect(),
            up: vec![None; count],
            depth: vec![u32::MAX; count],
            jump: graph.node_indices().collect(),
            order: Vec::with_capacity(count),
        };
        let feeds = |n: &Knot| match graph[*n] {
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
                ways.order.push(node);
                for edge in graph.edges(node) {
                    let to = edge.target();
                    if ways.depth[to.index()] == u32::MAX {
                        ways.hang(to, node, *edge.weight());
                        queue.push_back(to);
                    }
                }
            }
        }
        ways
    }

    fn hang(&mut self, node: Knot, above: Knot, through: Through) {
        let depth = |of: Knot| self.depth[of.index()];
        let far = self.jump[above.index()];
        let further = self.jump[far.index()];
        // Two jumps of one length above make one of twice the length and a step.
        let twice = depth(above) - depth(far) == depth(far) - depth(further);
        self.jump[node.index()] = if twice { further } else { above };
        self.depth[node.index()] = depth(above) + 1;
        self.up[node.index()] = Some((above, through));
    }

    /// All nodes, each after the one above it.
    pub(super) fn order(&self) -> &[Knot] {
        &self.order
    }

    /// What joins a node to the one above it, and that one; None at a root.
    pub(super) fn up(&self, node: Knot) -> Option<(Knot, Through)> {
        self.up[node.index()]
    }

    /// What a node stands for.
    pub(super) fn point(&self, node: Knot) -> Point {
        self.points[node.index()]
    }

    /// The node of a pin.
    pub(super) fn knot(pin: PinId) -> Knot {
        NodeIndex::new(pin.index())
    }

    /// Where the way between two nodes turns from going up to going down; None where nothing joins them.
    pub(super) fn turn(&self, a: Knot, b: Knot) -> Option<Knot> {
        let depth = |of: Knot| self.depth[of.index()];
        let [mut a, mut b] = if depth(a) >= depth(b) { [a, b] } else { [b, a] };
        a = self.last(a, |n| depth(n) >= depth(b));
        // From one depth, jumps are of one length on both sides.
        while a != b {
            // Two roots: nothing joins them.
            if depth(a) == 0 {
                return None;
            }
            let (far_a, far_b) = (self.jump[a.index()], self.jump[b.index()]);
            (a, b) = match far_a == far_b {
                true => (self.up(a)?.0, self.up(b)?.0),
                false => (far_a, far_b),
            };
        }
        Some(a)
    }

    /// The last node, going up from `node`, of which `holds` is true; it is true of `node`, and of none above one of
    /// which it is not.
    pub(super) fn last(&self, mut node: Knot, holds: impl Fn(Knot) -> bool) -> Knot {
        while let Some((above, _)) = self.up[node.index()].filter(|(above, _)| holds(*above)) {
            let far = self.jump[node.index()];
            node = if holds(far) { far } else { above };
        }
        node
    }

    /// The steps from one pin to another; None where nothing joins them.
    pub(super) fn way(&self, from: PinId, to: PinId) -> Option<Vec<Step>> {
        let (mut x, mut y) = (Ways::knot(from), Ways::knot(to));
        let (mut steps, mut back) = (Vec::new(), Vec::new());
        while x != y {
            if self.depth[x.index()] >= self.depth[y.index()] {
                let (above, through) = self.up[x.index()]?;
                steps.push(Step { through, to: self.point(above) });
                x = above;
            } else {
                let (above, through) = self.up[y.index()]?;
                back.push(Step { through, to: self.point(y) });
                y = above;
            }
        }
        steps.extend(back.into_iter().rev());
        Some(steps)
    }
}
