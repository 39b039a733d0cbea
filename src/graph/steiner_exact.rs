//! The least tree that joins a few ends, exactly: the question of [`super::steiner`] in, its tree out.
//!
//! After S. E. Dreyfus and R. A. Wagner, *The Steiner problem in graphs*, Networks 1 (1971) 195: the least tree over a
//! set of ends that comes to a node is either made of two trees over a parting of the set that are joined there, or the
//! least tree at a neighbour and one wire along the link. Of trees of the same weight it finds one with the fewest
//! joints; for that it tells a joint at a node from a wire that only comes there. Cost for `k` ends and `n` nodes:
//! `3^(k-1) n` steps and `2^(k-1) n` states.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BinaryHeap};

use petgraph::graph::NodeIndex;
use petgraph::visit::EdgeRef;

use super::steiner::{Problem, Tree, Weight, times};
use super::steiner_sweep::Sweep;

/// Weight first, then joints.
type Merit<W> = (W, usize);

/// A state: what is known of a set of ends at each node, and how it came about.
type States<W, How> = Vec<Option<(Merit<W>, How)>>;

/// How one wire comes to a node.
#[derive(Clone, Copy)]
enum Wire {
    /// From its end, which is terminal `n`.
    Start(usize),
    /// From this neighbour (an index into `nodes`), where it is a wire already or leaves a joint.
    Along { from: usize, joint: bool },
}

/// How a joint comes about.
#[derive(Clone, Copy)]
enum Joint {
    /// All wires of one terminal.
    Group(usize),
    /// A joint of this part of the ends takes the wire of the others.
    Added(usize),
    /// Two wires, one of this part of the ends.
    Begun(usize),
    /// A joint of this part and one of the others lie at one node and are one.
    Merged(usize),
}

/// The states of the exact way: for each set of ends, but never with the last one, and each node.
pub(super) struct Exact<'s, W> {
    sweeps: &'s [Sweep<W>],
    wires: Vec<usize>,
    nodes: Vec<NodeIndex>,
    may_join: Vec<bool>,
    /// Order of the terminals: the last one is the root, which is joined to the tree of all others.
    order: Vec<usize>,
    /// A single wire that joins the set comes to the node.
    wire: Vec<States<W, Wire>>,
    /// A joint of the set lies at the node.
    joint: Vec<States<W, Joint>>,
}

impl<'s, W: Weight> Exact<'s, W> {
    pub fn over<N, E>(
        problem: &Problem<N, E, W>,
        sweeps: &'s [Sweep<W>],
        nodes: Vec<NodeIndex>,
    ) -> Option<Exact<'s, W>> {
        let wires: Vec<usize> = problem.terminals.iter().map(|t| t.wires).collect();
        let mut order: Vec<usize> = (0..wires.len()).collect();
        // A root of one wire only needs the tree where it starts.
        order.sort_by_key(|t| wires.get(*t) == Some(&1));
        let sets = 1_usize << order.len().checked_sub(1)?;
        let may_join = nodes.iter().map(|n| (problem.may_join)(*n)).collect();
        let at: BTreeMap<NodeIndex, usize> = nodes.iter().enumerate().map(|(i, n)| (*n, i)).collect();
        let neighbours: Vec<Vec<(usize, W)>> = nodes
            .iter()
            .map(|node| {
                let links = problem.graph.edges(*node);
                let next = links.map(|l| {
                    let next = if l.source() == *node { l.target() } else { l.source() };
                    (next, (problem.price)(l.weight()))
                });
                next.filter_map(|(next, price)| Some((*at.get(&next)?, price))).collect()
            })
            .collect();
        let mut exact = Exact {
            sweeps,
            wires,
            may_join,
            order,
            wire: vec![vec![None; nodes.len()]; sets],
            joint: vec![vec![None; nodes.len()]; sets],
            nodes,
        };
        for set in 1..sets {
            exact.join(set);
            exact.lay(problem, set, &at, &neighbours);
        }
        Some(exact)
    }

    /// The only terminal of a set of one.
    fn lone(&self, set: usize) -> Option<usize> {
        (set.count_ones() == 1).then(|| self.order.get(set.trailing_zeros() as usize).copied()).flatten()
    }

    /// Joints of a set: all wires of one end, or two parts of it.
    fn join(&mut self, set: usize) {
        let lone = self.lone(set).filter(|t| self.wires[*t] > 1);
        for v in 0..self.nodes.len() {
            if !self.may_join[v] {
                continue;
            }
            let mut best: Option<(Merit<W>, Joint)> = None;
            let mut offer = |merit: Merit<W>, how: Joint| {
                if best.is_none_or(|(known, _)| merit < known) {
                    best = Some((merit, how));
                }
            };
            if let Some((t, weight)) = lone.and_then(|t| Some((t, self.sweeps[t].weight(self.nodes[v])?))) {
                offer((times(weight, self.wires[t]), 1), Joint::Group(t));
            }
            // Every part of the set but itself and none.
            let mut part = (set - 1) & set;
            while part > 0 {
                if let Some(((weight, joints), _)) = self.wire[set ^ part][v] {
                    if let Some((known, _)) = self.joint[part][v] {
                        offer((known.0 + weight, known.1 + joints), Joint::Added(part));
                    }
                    // Two wires in either order are one joint.
                    if let Some((known, _)) = self.wire[part][v].filter(|_| part > set ^ part) {
                        offer((known.0 + weight, known.1 + joints + 1), Joint::Begun(part));
                    }
                }
                if let (Some((a, _)), Some((b, _))) = (self.joint[part][v], self.joint[set ^ part][v])
                    && part > set ^ part
                {
                    offer((a.0 + b.0, a.1 + b.1 - 1), Joint::Merged(part));
                }
                part = (part - 1) & set;
            }
            self.joint[set][v] = best;
        }
    }

    /// Wires of a set: from its end, or from a joint, on to every node.
    fn lay<N, E>(
        &mut self,
        problem: &Problem<N, E, W>,
        set: usize,
        at: &BTreeMap<NodeIndex, usize>,
        neighbours: &[Vec<(usize, W)>],
    ) {
        let mut open = BinaryHeap::new();
        let lone = self.lone(set);
        let wire = &mut self.wire[set];
        let offer = |wire: &mut States<W, Wire>, open: &mut BinaryHeap<_>, v: usize, merit, how| {
            if wire[v].is_none_or(|(known, _)| merit < known) {
                wire[v] = Some((merit, how));
                open.push(Reverse((merit, v)));
            }
        };
        if let Some(t) = lone.filter(|t| self.wires[*t] == 1) {
            for (node, weight) in &problem.terminals[t].starts {
                if let Some(v) = at.get(node) {
                    offer(wire, &mut open, *v, (*weight, 0), Wire::Start(t));
                }
            }
        }
        for (from, joint) in self.joint[set].iter().enumerate() {
            let Some(((weight, joints), _)) = joint else { continue };
            for (to, price) in &neighbours[from] {
                let how = Wire::Along { from, joint: true };
                offer(wire, &mut open, *to, (*weight + *price, *joints), how);
            }
        }
        while let Some(Reverse(((weight, joints), from))) = open.pop() {
            if wire[from].is_some_and(|(known, _)| known < (weight, joints)) {
                continue;
            }
            for (to, price) in &neighbours[from] {
                let how = Wire::Along { from, joint: false };
                offer(wire, &mut open, *to, (weight + *price, joints), how);
            }
        }
    }

    /// The root joined to the tree of all others, where it costs least.
    pub fn tree(&self) -> Option<Tree<W>> {
        let (root, others) = self.order.split_last()?;
        let mut tree = Tree { hangs_on: vec![None; self.wires.len()], exact: true, ..Tree::default() };
        let all = (1_usize << others.len()) - 1;
        let wires = self.wires[*root];
        // How the root is joined: at a joint of the others, with their wire, or by itself.
        let mut best: Option<(Merit<W>, usize, Meeting)> = None;
        for (v, node) in self.nodes.iter().enumerate() {
            let Some(own) = self.sweeps[*root].weight(*node).map(|w| times(w, wires)) else { continue };
            let mut offer = |(weight, joints): Merit<W>, how: Meeting| {
                let merit = (own + weight, joints);
                if best.is_none_or(|(known, ..)| merit < known) {
                    best = Some((merit, v, how));
                }
            };
            if all == 0 {
                match wires {
                    1 => offer((W::default(), 0), Meeting::Alone),
                    _ if self.may_join[v] => offer((W::default(), 1), Meeting::Alone),
                    _ => {}
                }
                continue;
            }
            if let Some((merit, _)) = self.joint[all][v] {
                offer(merit, Meeting::AtJoint);
            }
            if let Some((merit, _)) = self.wire[all][v] {
                match wires {
                    1 => offer(merit, Meeting::ByWire),
                    _ if self.may_join[v] => offer((merit.0, merit.1 + 1), Meeting::NewJoint),
                    _ => {}
                }
            }
        }
        let ((weight, _), v, how) = best?;
        tree.weight = weight;
        match how {
            Meeting::Alone if wires == 1 => {}
            Meeting::Alone => tree.hangs_on[*root] = Some(tree.joint(self.nodes[v])),
            Meeting::AtJoint => {
                let joint = tree.joint(self.nodes[v]);
                tree.hangs_on[*root] = Some(joint);
                self.follow(&mut tree, Part::Joint(all, v, joint));
            }
            Meeting::NewJoint => {
                let joint = tree.joint(self.nodes[v]);
                tree.hangs_on[*root] = Some(joint);
                self.follow(&mut tree, Part::Wire(all, v, Other::Joint(joint)));
            }
            Meeting::ByWire => self.follow(&mut tree, Part::Wire(all, v, Other::End(*root))),
        }
        Some(tree)
    }

    /// Writes down how a part of the tree came about.
    fn follow(&self, tree: &mut Tree<W>, part: Part) {
        let mut open = vec![part];
        while let Some(part) = open.pop() {
            match part {
                Part::Wire(set, v, other) => match self.wire[set][v].map(|(_, how)| how) {
                    Some(Wire::Start(t)) => {
                        // From end to end there is no joint.
                        if let Other::Joint(joint) = other {
                            tree.hangs_on[t] = Some(joint);
                        }
                    }
                    Some(Wire::Along { from, joint: false }) => open.push(Part::Wire(set, from, other)),
                    Some(Wire::Along { from, joint: true }) => {
                        let joint = tree.joint(self.nodes[from]);
                        match other {
                            Other::Joint(other) => tree.between.push([other, joint]),
                            Other::End(end) => tree.hangs_on[end] = Some(joint),
                        }
                        open.push(Part::Joint(set, from, joint));
                    }
                    None => {}
                },
                Part::Joint(set, v, joint) => match self.joint[set][v].map(|(_, how)| how) {
                    Some(Joint::Group(t)) => tree.hangs_on[t] = Some(joint),
                    Some(Joint::Added(part)) => {
                        open.push(Part::Wire(set ^ part, v, Other::Joint(joint)));
                        open.push(Part::Joint(part, v, joint));
                    }
                    Some(Joint::Begun(part)) => {
                        open.push(Part::Wire(set ^ part, v, Other::Joint(joint)));
                        open.push(Part::Wire(part, v, Other::Joint(joint)));
                    }
                    Some(Joint::Merged(part)) => {
                        open.push(Part::Joint(set ^ part, v, joint));
                        open.push(Part::Joint(part, v, joint));
                    }
                    None => {}
                },
            }
        }
    }
}

/// How the root is joined to the others.
#[derive(Clone, Copy)]
enum Meeting {
    Alone,
    AtJoint,
    NewJoint,
    ByWire,
}

/// What a wire leads to at its other end.
#[derive(Clone, Copy)]
enum Other {
    Joint(usize),
    End(usize),
}

/// A part of the tree that is still to be written down: a set of ends at a node.
enum Part {
    Wire(usize, usize, Other),
    Joint(usize, usize, usize),
}
