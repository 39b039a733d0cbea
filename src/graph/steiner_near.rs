//! A tree near the least one, for any number of ends: the same question as [`super::steiner`] in, a tree out.
//!
//! Every end is led to the nearest node that allows a joint. These are joined by the least spanning tree over the ways
//! between them, which K. Mehlhorn's regions give in one sweep (*A faster approximation algorithm for the Steiner
//! problem in graphs*, Information Processing Letters 27 (1988) 125); every node on these ways that allows a joint is
//! then taken in and the tree spanned anew, which never makes it longer; joints that join nothing are left out, and
//! wires that ran by way of them take the shortest way. The cheapest single joint among those nodes is tried too.
//!
//! Bound: at most twice the least tree where the ends lie at nodes that allow joints, at most five times anywhere. Let a
//! least tree have wires of weight `L` at its ends and `I` between its joints. The nearest nodes take no more than `L`;
//! the tree with a way from each end's joint to the end and on to its nearest node spans these nodes and has at most
//! `I + 2L`; a least spanning tree is at most twice that. Cost: a fixed number of sweeps of `n log n`, and while a
//! budget lasts one sweep for each wire.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet, BinaryHeap};

use petgraph::graph::NodeIndex;
use petgraph::unionfind::UnionFind;
use petgraph::visit::EdgeRef;

use super::steiner::{Problem, Tree, Weight, times};
use super::steiner_sweep::Sweep;

/// Sweeps for single wires and single joints: beyond, wires keep the way they have.
const MOST_SWEEPS: usize = 64;

/// A tree near the least. None where there is none at all.
pub(super) fn near<N, E, W: Weight>(problem: &Problem<N, E, W>) -> Option<Tree<W>> {
    let tree = spanned(problem)?;
    let single = single(problem, &tree).filter(|s| (s.weight, 1) < (tree.weight, tree.joints.len()));
    Some(single.unwrap_or(tree))
}

/// All wires to one joint, at the best of the nodes that the tree joins at or its ends start from. Only for few ends.
fn single<N, E, W: Weight>(problem: &Problem<N, E, W>, tree: &Tree<W>) -> Option<Tree<W>> {
    let count = problem.terminals.len();
    if tree.joints.is_empty() || count > MOST_SWEEPS {
        return None;
    }
    let sweeps: Vec<Sweep<W>> =
        problem.terminals.iter().map(|t| Sweep::from(problem, t.starts.iter().copied())).collect();
    let all = |node: NodeIndex| {
        let each = sweeps.iter().zip(problem.terminals);
        each.map(|(s, t)| Some(times(s.weight(node)?, t.wires))).sum_all()
    };
    let nodes = problem.graph.node_indices().filter(|n| (problem.may_join)(*n));
    let (weight, node) = nodes.filter_map(|n| Some((all(n)?, n))).min()?;
    let hangs_on = vec![Some(0); count];
    Some(Tree { weight, joints: vec![node], hangs_on, between: Vec::new(), exact: false })
}

trait SumAll<W> {
    /// The sum, None where one is missing.
    fn sum_all(self) -> Option<W>;
}

impl<W: Weight, I: Iterator<Item = Option<W>>> SumAll<W> for I {
    fn sum_all(mut self) -> Option<W> {
        self.try_fold(W::default(), |sum, weight| Some(sum + weight?))
    }
}

fn spanned<N, E, W: Weight>(problem: &Problem<N, E, W>) -> Option<Tree<W>> {
    let terminals = problem.terminals;
    let wires: usize = terminals.iter().map(|t| t.wires).sum();
    if wires <= 2 && terminals.len() == wires {
        return direct(problem);
    }
    let joinable = problem.graph.node_indices().filter(|n| (problem.may_join)(*n));
    let to_joint = Sweep::from(problem, joinable.map(|n| (n, W::default())));
    // The node at which each end is joined, and what its wires take to get there.
    let mut anchors = Vec::with_capacity(terminals.len());
    for terminal in terminals {
        let ways = terminal.starts.iter().filter_map(|(n, w)| Some((*w + to_joint.weight(*n)?, *n)));
        let (weight, start) = ways.min()?;
        anchors.push((to_joint.origin(start), times(weight, terminal.wires)));
    }
    let mut points: BTreeSet<NodeIndex> = anchors.iter().map(|(node, _)| *node).collect();
    let fixed = points.clone();
    let (_, on_way) = span(problem, &points)?;
    points.extend(on_way.into_iter().filter(|n| (problem.may_join)(*n)));
    let (spans, _) = span(problem, &points)?;
    Some(built(problem, &anchors, &fixed, spans))
}

/// One wire from end to end, or none where there is one end.
fn direct<N, E, W: Weight>(problem: &Problem<N, E, W>) -> Option<Tree<W>> {
    let mut weight = W::default();
    if let [a, b] = problem.terminals {
        let sweep = Sweep::from(problem, a.starts.iter().copied());
        weight = b.starts.iter().filter_map(|(n, w)| Some(*w + sweep.weight(*n)?)).min()?;
    }
    let hangs_on = vec![None; problem.terminals.len()];
    (!hangs_on.is_empty()).then(|| Tree { weight, hangs_on, ..Tree::default() })
}

/// A stretch between two points and its weight.
type Stretch<W> = (W, NodeIndex, NodeIndex);

/// The least spanning tree over the ways between some points, and the nodes on these ways. None where they do not hang
/// together.
fn span<N, E, W: Weight>(
    problem: &Problem<N, E, W>,
    points: &BTreeSet<NodeIndex>,
) -> Option<(Vec<Stretch<W>>, BTreeSet<NodeIndex>)> {
    let regions = Sweep::from(problem, points.iter().map(|p| (*p, W::default())));
    let mut bridges: Vec<(W, NodeIndex, NodeIndex)> = Vec::new();
    for link in problem.graph.edge_references() {
        let (a, b) = (link.source(), link.target());
        if let (Some(x), Some(y)) = (regions.weight(a), regions.weight(b)) {
            bridges.push((x + (problem.price)(link.weight()) + y, a, b));
        }
    }
    bridges.sort_unstable();
    let mut joined = UnionFind::<usize>::new(problem.graph.node_count());
    let (mut spans, mut on_way) = (Vec::new(), BTreeSet::new());
    for (weight, a, b) in bridges {
        let [from, to] = [a, b].map(|node| regions.origin(node));
        if joined.union(from.index(), to.index()) {
            spans.push((weight, from, to));
            on_way.extend([a, b].iter().flat_map(|node| regions.way_back(*node)));
        }
    }
    (spans.len() + 1 >= points.len()).then_some((spans, on_way))
}

/// What a wire ends in while the tree is put together.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Knot {
    End(usize),
    Point(NodeIndex),
}

/// Leaves out the points that join nothing and writes down the rest.
fn built<N, E, W: Weight>(
    problem: &Problem<N, E, W>,
    anchors: &[(NodeIndex, W)],
    fixed: &BTreeSet<NodeIndex>,
    spans: Vec<Stretch<W>>,
) -> Tree<W> {
    // Wires at each knot: what is at the other end, the weight, and how many wires run there side by side.
    let mut wires: BTreeMap<Knot, BTreeMap<Knot, (W, usize)>> = BTreeMap::new();
    let mut tie = |a: Knot, b: Knot, weight: W, count: usize| {
        wires.entry(a).or_default().insert(b, (weight, count));
        wires.entry(b).or_default().insert(a, (weight, count));
    };
    for (weight, from, to) in spans {
        tie(Knot::Point(from), Knot::Point(to), weight, 1);
    }
    for (t, ((node, weight), terminal)) in anchors.iter().zip(problem.terminals).enumerate() {
        tie(Knot::End(t), Knot::Point(*node), *weight, terminal.wires);
    }
    // A point that nothing but one wire comes to is no joint, nor is one that a single wire passes.
    let mut open: Vec<NodeIndex> =
        wires.keys().filter_map(|k| if let Knot::Point(n) = k { Some(*n) } else { None }).collect();
    while let Some(node) = open.pop() {
        let knot = Knot::Point(node);
        let Some(here) = wires.get(&knot) else { continue };
        let ends: Vec<(Knot, W, usize)> = here.iter().map(|(k, (w, n))| (*k, *w, *n)).collect();
        match ends.as_slice() {
            [(other, ..)] if !fixed.contains(&node) => {
                wires.remove(&knot);
                if let Some(there) = wires.get_mut(other) {
                    there.remove(&knot);
                }
                open.extend(if let Knot::Point(n) = other { Some(*n) } else { None });
            }
            [(a, x, 1), (b, y, 1)] => {
                wires.remove(&knot);
                for (from, to) in [(a, b), (b, a)] {
                    if let Some(there) = wires.get_mut(from) {
                        there.remove(&knot);
                        there.insert(*to, (*x + *y, 1));
                    }
                }
            }
            _ => {}
        }
    }
    written(problem, &wires)
}

/// The tree of the wires that are left, each the shortest way while the budget lasts.
fn written<N, E, W: Weight>(
    problem: &Problem<N, E, W>,
    wires: &BTreeMap<Knot, BTreeMap<Knot, (W, usize)>>,
) -> Tree<W> {
    let mut tree = Tree { hangs_on: vec![None; problem.terminals.len()], ..Tree::default() };
    let mut joint_of: BTreeMap<NodeIndex, usize> = BTreeMap::new();
    for knot in wires.keys() {
        if let Knot::Point(node) = knot {
            joint_of.insert(*node, tree.joint(*node));
        }
    }
    let mut budget = MOST_SWEEPS;
    for (a, others) in wires {
        for (b, (weight, count)) in others.iter().filter(|(b, _)| *b > a) {
            let straight = if budget > 0 { way(problem, *a, *b) } else { None };
            budget = budget.saturating_sub(1);
            let straight = straight.map_or(*weight, |w| times(w, *count).min(*weight));
            tree.weight = tree.weight + straight;
            match (a, b) {
                (Knot::End(t), Knot::Point(n)) => tree.hangs_on[*t] = joint_of.get(n).copied(),
                (Knot::Point(m), Knot::Point(n)) => {
                    if let (Some(i), Some(j)) = (joint_of.get(m), joint_of.get(n)) {
                        tree.between.push([*i, *j]);
                    }
                }
                _ => {}
            }
        }
    }
    tree
}

/// The shortest way between two knots.
fn way<N, E, W: Weight>(problem: &Problem<N, E, W>, a: Knot, b: Knot) -> Option<W> {
    let starts = |knot: Knot| match knot {
        Knot::End(t) => problem.terminals.get(t).map_or_else(Vec::new, |t| t.starts.clone()),
        Knot::Point(node) => vec![(node, W::default())],
    };
    let goals = starts(b);
    let mut best: BTreeMap<NodeIndex, W> = BTreeMap::new();
    let mut open = BinaryHeap::new();
    for (node, weight) in starts(a) {
        best.insert(node, weight);
        open.push(Reverse((weight, node)));
    }
    let mut found: Option<W> = None;
    while let Some(Reverse((weight, node))) = open.pop() {
        if found.is_some_and(|known| known <= weight) {
            break;
        }
        if best.get(&node).is_some_and(|known| *known < weight) {
            continue;
        }
        for (_, more) in goals.iter().filter(|(goal, _)| *goal == node) {
            found = Some(found.map_or(weight + *more, |known| known.min(weight + *more)));
        }
        for link in problem.graph.edges(node) {
            let next = if link.source() == node { link.target() } else { link.source() };
            let there = weight + (problem.price)(link.weight());
            if best.get(&next).is_none_or(|known| there < *known) {
                best.insert(next, there);
                open.push(Reverse((there, next)));
            }
        }
    }
    found
}
