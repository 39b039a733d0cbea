//! Electrical graph in; the loops in which ground current can flow out.
//!
//! A breadth-first forest grows from the bodies, bonds first. Every edge that joins two nodes of one tree closes
//! exactly one loop with it; together these loops are a basis of all loops (fundamental cycles). A loop is of interest
//! where a body is part of it. Whether it is can be told from the nearest body above each end, so only loops that are
//! reported are spelled out: O(V + E + length of what is reported).

use std::collections::VecDeque;

use petgraph::graph::{EdgeIndex, NodeIndex};
use petgraph::visit::EdgeRef;

use super::electrical::{Electrical, Point, Step, Through};
use crate::harness::{BodyId, ConductorId, Harness, PinSite};

/// A closed way through at least one body and one conductor.
#[derive(Clone, Debug)]
pub struct GroundLoop {
    /// The body it starts and ends in.
    pub start: BodyId,
    /// Steps around it; the last one leads back to `start`.
    pub steps: Vec<Step>,
    /// Bodies on it, each once, in order of passing.
    pub bodies: Vec<BodyId>,
    /// Conductors on it, in order of passing.
    pub conductors: Vec<ConductorId>,
}

struct Tree {
    parent: Vec<Option<(NodeIndex, EdgeIndex)>>,
    depth: Vec<u32>,
    /// Nearest body at or above each node, and the node just below it on the way: loops that share both stay below it.
    above: Vec<Option<(NodeIndex, NodeIndex)>>,
}

impl Electrical {
    /// Loops through bodies, in the order of the edges that close them.
    ///
    /// Left out: loops of bonds alone, and those where a wire only lies beside one body (from a case to a stud of the
    /// same body): such a jumper carries no current that a reading depends on.
    pub fn ground_loops(&self, harness: &Harness) -> Vec<GroundLoop> {
        let tree = self.forest();
        let mut loops = Vec::new();
        for edge in self.graph.edge_references() {
            let (a, b) = (edge.source(), edge.target());
            if matches!(edge.weight(), Through::Bond(_))
                || tree.closes(a, edge.id())
                || tree.closes(b, edge.id())
            {
                continue;
            }
            let (Some(over_a), Some(over_b)) = (tree.above[a.index()], tree.above[b.index()]) else {
                continue;
            };
            if over_a == over_b {
                continue;
            }
            let found = self.spell(&tree, a, b, *edge.weight());
            loops.extend(found.filter(|l| l.bodies.len() > 1 || passes_a_device(harness, l)));
        }
        loops
    }

    /// Breadth-first forest rooted in the lowest body of each connected part; bonds cost nothing, all else one step.
    fn forest(&self) -> Tree {
        let n = self.graph.node_count();
        let mut tree = Tree { parent: vec![None; n], depth: vec![0; n], above: vec![None; n] };
        let mut seen = vec![false; n];
        for root in self.graph.node_indices().filter(|i| matches!(self.graph[*i], Point::Body(_))) {
            if seen[root.index()] {
                continue;
            }
            let mut queue = VecDeque::from([(root, None)]);
            while let Some((node, from)) = queue.pop_front() {
                if std::mem::replace(&mut seen[node.index()], true) {
                    continue;
                }
                tree.hang(node, from, matches!(self.graph[node], Point::Body(_)));
                for edge in self.graph.edges(node).filter(|e| !seen[e.target().index()]) {
                    let item = (edge.target(), Some((node, edge.id())));
                    match edge.weight() {
                        Through::Bond(_) => queue.push_front(item),
                        _ => queue.push_back(item),
                    }
                }
            }
        }
        tree
    }

    fn spell(&self, tree: &Tree, a: NodeIndex, b: NodeIndex, closing: Through) -> Option<GroundLoop> {
        let step =
            |node: NodeIndex, edge: EdgeIndex| Step { through: self.graph[edge], to: self.graph[node] };
        // Up from both ends to where they meet.
        let (mut up_a, mut up_b) = (Vec::new(), Vec::new());
        let (mut x, mut y) = (a, b);
        while x != y {
            if tree.depth[x.index()] >= tree.depth[y.index()] {
                let (over, edge) = tree.parent[x.index()]?;
                up_a.push(step(x, edge));
                x = over;
            } else {
                let (over, edge) = tree.parent[y.index()]?;
                up_b.push((over, edge));
                y = over;
            }
        }
        // Down to `a`, across, up from `b`: closed at the meeting point.
        let mut steps: Vec<Step> = up_a.into_iter().rev().collect();
        steps.push(Step { through: closing, to: self.graph[b] });
        steps.extend(up_b.into_iter().map(|(over, edge)| step(over, edge)));
        GroundLoop::from_steps(steps)
    }
}

impl Tree {
    fn hang(&mut self, node: NodeIndex, from: Option<(NodeIndex, EdgeIndex)>, is_body: bool) {
        let i = node.index();
        self.parent[i] = from;
        self.depth[i] = from.map_or(0, |(over, _)| self.depth[over.index()] + 1);
        self.above[i] = match from {
            _ if is_body => Some((node, node)),
            None => None,
            Some((over, _)) => {
                self.above[over.index()].map(|(b, below)| (b, if over == b { node } else { below }))
            }
        };
    }

    fn closes(&self, node: NodeIndex, edge: EdgeIndex) -> bool {
        self.parent[node.index()].is_some_and(|(_, e)| e == edge)
    }
}

impl GroundLoop {
    /// `None` where no body or no conductor is on it. Turned so that it starts in its lowest body.
    fn from_steps(mut steps: Vec<Step>) -> Option<GroundLoop> {
        let body = |s: &Step| match s.to {
            Point::Body(b) => Some(b),
            Point::Pin(_) => None,
        };
        let start = steps.iter().filter_map(body).min()?;
        let turn = steps.iter().position(|s| s.to == Point::Body(start))? + 1;
        let len = steps.len();
        steps.rotate_left(turn % len);
        let conductors: Vec<ConductorId> = steps
            .iter()
            .filter_map(|s| match s.through {
                Through::Conductor(c) => Some(c),
                _ => None,
            })
            .collect();
        let mut bodies = vec![start];
        bodies.extend(steps.iter().filter_map(body).filter(|b| *b != start));
        (!conductors.is_empty()).then_some(GroundLoop { start, steps, bodies, conductors })
    }
}

fn passes_a_device(harness: &Harness, found: &GroundLoop) -> bool {
    found.steps.iter().any(|s| {
        let screen = matches!(s.to, Point::Pin(p) if matches!(harness.pin(p).site, PinSite::Screen(_)));
        matches!(s.through, Through::Inside(_)) || screen
    })
}
