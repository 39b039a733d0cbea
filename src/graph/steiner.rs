//! The least tree that joins some ends over a graph: ends and where wires may be joined in; length, joints and what
//! hangs on each out.
//!
//! The tree is one of wires, not of paths. Wires run side by side along the same link and are counted each; they are
//! joined only at nodes that allow it, by joints; an end is the last of its wire. Where every node allows joints this is
//! the Steiner tree in graphs. For few ends [`least`] is exact, by `steiner_exact.rs`; beyond, `steiner_near.rs` gives a
//! tree within a stated bound.

use std::ops::Add;

use petgraph::graph::{NodeIndex, UnGraph};

use super::steiner_exact::Exact;
use super::steiner_near;
use super::steiner_sweep::Sweep;

/// Most distinct ends for which the tree is exact.
pub const MOST_EXACT_ENDS: usize = 10;
/// Most states that the exact way may keep.
const MOST_STATES: usize = 1 << 20;

/// What a link costs: adds up, and more of it never costs less.
pub trait Weight: Copy + Ord + Default + Add<Output = Self> {}
impl<W: Copy + Ord + Default + Add<Output = W>> Weight for W {}

/// One end, or several that lie together.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Terminal<W> {
    /// Nodes where its wires may start, each with what it costs to come that far.
    pub starts: Vec<(NodeIndex, W)>,
    /// Its wires, at least one. Several are joined with each other too.
    pub wires: usize,
}

/// The question.
#[derive(Clone, Copy)]
pub struct Problem<'a, N, E, W> {
    /// What wires run along.
    pub graph: &'a UnGraph<N, E>,
    /// What one wire along a link costs, not less than nothing.
    pub price: &'a dyn Fn(&E) -> W,
    /// Whether wires may be joined at a node.
    pub may_join: &'a dyn Fn(NodeIndex) -> bool,
    /// What is joined.
    pub terminals: &'a [Terminal<W>],
}

/// Wires that join all ends.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Tree<W> {
    /// All wires together.
    pub weight: W,
    /// Node of each joint.
    pub joints: Vec<NodeIndex>,
    /// For each terminal the joint, as an index into `joints`, that its wires end in; None where one wire leads from
    /// end to end.
    pub hangs_on: Vec<Option<usize>>,
    /// Wires from joint to joint.
    pub between: Vec<[usize; 2]>,
    /// True where no tree takes less, and none of the same weight has fewer joints.
    pub exact: bool,
}

/// The least tree, or one near it. None where there is no tree: an end that cannot be reached, no node for a joint, or
/// no terminal.
pub fn least<N, E, W: Weight>(problem: &Problem<N, E, W>) -> Option<Tree<W>> {
    let near = steiner_near::near(problem)?;
    if problem.terminals.len() > MOST_EXACT_ENDS {
        return Some(near);
    }
    let sweeps: Vec<Sweep<W>> =
        problem.terminals.iter().map(|t| Sweep::from(problem, t.starts.iter().copied())).collect();
    // No node of the least tree is farther from any end than all of a tree that is known.
    let within =
        |node: &NodeIndex| sweeps.iter().all(|s| s.weight(*node).is_some_and(|weight| weight <= near.weight));
    let nodes: Vec<NodeIndex> = problem.graph.node_indices().filter(within).collect();
    if nodes.len() << problem.terminals.len().saturating_sub(1) > MOST_STATES {
        return Some(near);
    }
    Exact::over(problem, &sweeps, nodes)?.tree()
}

impl<W> Tree<W> {
    pub(super) fn joint(&mut self, node: NodeIndex) -> usize {
        self.joints.push(node);
        self.joints.len() - 1
    }
}

/// So many times a weight.
pub(super) fn times<W: Weight>(weight: W, count: usize) -> W {
    let (mut sum, mut power, mut left) = (W::default(), weight, count);
    while left > 0 {
        if left & 1 == 1 {
            sum = sum + power;
        }
        left >>= 1;
        if left > 0 {
            power = power + power;
        }
    }
    sum
}
