//! A forest in; the order of children in which zones stay in one piece and loops can be closed without a crossing.
//!
//! Order of siblings: first by what lies beyond the edges they lead to, so that each zone gets rows of its own; then
//! as runs that close a loop ask, so that both ends of it are neighbours; then the run with most conductors first.

use std::cmp::Reverse;

use super::tree::{Beyond, Forest};
use crate::harness::{Harness, RunId};

/// Sorts the children of every node. `closing` are the runs that shall be drawn as loops.
pub(super) fn sort(h: &Harness, forest: &mut Forest, weight: &[usize], closing: &[RunId]) {
    let ranks = ranks(forest, weight);
    let pulls = pulls(h, forest, weight, closing);
    let heavy = |node: usize| forest.nodes[node].parent.map_or(0, |(_, run)| weight[run.index()]);
    let key = |node: &usize| (ranks[*node], pulls[*node], Reverse(heavy(*node)), *node);
    let sorted: Vec<Vec<usize>> = forest
        .nodes
        .iter()
        .map(|n| {
            let mut children = n.children.clone();
            children.sort_by_key(key);
            children
        })
        .collect();
    for (node, children) in forest.nodes.iter_mut().zip(sorted) {
        node.children = children;
    }
}

/// Lowest and highest rank of what lies beyond the edges that a node leads to inside its zone. What most conductors
/// go to ranks first; a node that leads to no edge comes last.
fn ranks(forest: &Forest, weight: &[usize]) -> Vec<(usize, usize)> {
    let mut beyonds: Vec<(Beyond, usize)> = Vec::new();
    for node in &forest.nodes {
        let (Some(beyond), Some((_, run))) = (node.beyond, node.parent) else { continue };
        match beyonds.iter_mut().find(|(b, _)| *b == beyond) {
            Some((_, sum)) => *sum += weight[run.index()],
            None => beyonds.push((beyond, weight[run.index()])),
        }
    }
    beyonds.sort_by_key(|(_, sum)| Reverse(*sum));
    let none = (usize::MAX, 0);
    let mut ranks = vec![none; forest.nodes.len()];
    for (i, node) in forest.nodes.iter().enumerate().rev() {
        if let Some(beyond) = node.beyond {
            let rank = beyonds.iter().position(|(b, _)| *b == beyond).unwrap_or(usize::MAX);
            ranks[i] = (rank, rank);
        }
        if let Some((parent, _)) = node.parent
            && forest.nodes[parent].beyond.is_none()
        {
            ranks[parent] = (ranks[parent].0.min(ranks[i].0), ranks[parent].1.max(ranks[i].1));
        }
    }
    ranks
}

/// -1 to come early, 1 and 2 to come late: so that both ends of a closing run stand beside one another. Of two runs
/// that ask different things of a node the one with more conductors is heard.
fn pulls(h: &Harness, forest: &Forest, weight: &[usize], closing: &[RunId]) -> Vec<i8> {
    let mut pulls = vec![0_i8; forest.nodes.len()];
    let mut by_weight = closing.to_vec();
    by_weight.sort_by_key(|r| (Reverse(weight[r.index()]), *r));
    let mut pull = |node: usize, to: i8| {
        if pulls[node] == 0 {
            pulls[node] = to;
        }
    };
    for run in by_weight {
        let [Some(a), Some(b)] = h.run(run).ends.map(|p| forest.node_of[p.index()]) else { continue };
        let (mut first, mut last) = (way_up(forest, a), way_up(forest, b));
        if a == b || first.last() != last.last() {
            continue;
        }
        while first.len() > 1 && last.len() > 1 && first[first.len() - 2] == last[last.len() - 2] {
            first.pop();
            last.pop();
        }
        // What has nothing hanging on it stands above: its loop comes down on the other end from the free side.
        if !forest.nodes[a].children.is_empty() && forest.nodes[b].children.is_empty() {
            std::mem::swap(&mut first, &mut last);
        }
        // The fork itself is the last entry of both ways; next to it stand the two branches.
        let branches = |way: &[usize]| way.len().checked_sub(2).map(|i| (way[i], way[..i].to_vec()));
        match (branches(&first), branches(&last)) {
            (Some((early, above)), Some((late, below))) => {
                pull(early, 1);
                pull(late, 2);
                above.into_iter().for_each(|n| pull(n, 1));
                below.into_iter().for_each(|n| pull(n, -1));
            }
            (Some((branch, rest)), None) | (None, Some((branch, rest))) => {
                pull(branch, 1);
                rest.into_iter().for_each(|n| pull(n, 1));
            }
            (None, None) => {}
        }
    }
    pulls
}

/// From a node up to its root.
fn way_up(forest: &Forest, node: usize) -> Vec<usize> {
    let mut way = vec![node];
    let mut at = node;
    while let Some((parent, _)) = forest.nodes[at].parent {
        way.push(parent);
        at = parent;
    }
    way
}
