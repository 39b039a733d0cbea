//! An ordered chart in; the same chart with whole circuits moved where that saves crossings, out.
//!
//! What leads from one port of an indicator runs through many ranks. Layer by layer it cannot overtake its neighbour,
//! because the first step makes things worse; so here all its rows are moved at once, from its port over every gate to
//! the device at its far end, past each other circuit of the same connector, and the best place is kept; so are what is
//! laid together past what else goes through the same gate or zone.
//! Cost: each trial counts all crossings anew; the number of trials is bounded so that large drawings stay near-linear.
//! Source of the idea: sifting, Matuszewski, Schönfeld, Molitor (1999).

use std::collections::{BTreeMap, BTreeSet};

use super::chart::{Chart, NodeId, RowId, What};
use super::order::Sorter;
use super::plan::rank_of;
use crate::harness::ConductorId;

/// Links that may be looked at over all trials.
const BUDGET: usize = 2_000_000;
/// Rounds over all circuits.
const ROUNDS: usize = 4;

/// Nodes that are moved together, by the node that holds them.
pub(super) type Unit = BTreeMap<NodeId, Vec<NodeId>>;

/// Moves circuits while that saves crossings; returns how many are left.
pub(super) fn sift(sorter: &mut Sorter, crossings: usize) -> usize {
    let groups = units(sorter.chart);
    let mut best = crossings;
    let mut budget = BUDGET;
    for _ in 0..ROUNDS {
        let before = best;
        for group in &groups {
            for (i, unit) in group.iter().enumerate() {
                for (j, other) in group.iter().enumerate() {
                    for below in [false, true] {
                        if i == j || best == 0 {
                            continue;
                        }
                        let cost = sorter.chart.links.len();
                        if budget < cost {
                            return best;
                        }
                        budget -= cost;
                        best = attempt(sorter, unit, other, below, best);
                    }
                }
            }
        }
        if best == before {
            break;
        }
    }
    best
}

/// Moves `unit` next to `other` in every rank that holds both; takes it back unless that saves crossings.
fn attempt(sorter: &mut Sorter, unit: &Unit, other: &Unit, below: bool, best: usize) -> usize {
    let kept = shift(sorter.chart, unit, other, below);
    if kept.is_empty() {
        return best;
    }
    let ranks: BTreeSet<usize> = kept.iter().map(|(parent, _)| rank_of(sorter.chart, *parent)).collect();
    ranks.iter().for_each(|rank| sorter.number(*rank));
    let now = sorter.crossings();
    if now < best {
        return now;
    }
    for (parent, children) in kept {
        sorter.chart.nodes[parent].children = children;
    }
    ranks.iter().for_each(|rank| sorter.number(*rank));
    best
}

/// Moves `unit` next to `other` in every rank that holds both; returns what changed, as it was before.
pub(super) fn shift(chart: &mut Chart, unit: &Unit, other: &Unit, below: bool) -> Vec<(NodeId, Vec<NodeId>)> {
    let mut kept: Vec<(NodeId, Vec<NodeId>)> = Vec::new();
    for (parent, nodes) in unit {
        let Some(marks) = other.get(parent) else { continue };
        let children = &chart.nodes[*parent].children;
        let mut rest: Vec<NodeId> = children.iter().copied().filter(|c| !nodes.contains(c)).collect();
        let moved: Vec<NodeId> = children.iter().copied().filter(|c| nodes.contains(c)).collect();
        let at = if below {
            rest.iter().rposition(|c| marks.contains(c)).map(|p| p + 1)
        } else {
            rest.iter().position(|c| marks.contains(c))
        };
        let Some(at) = at else { continue };
        rest.splice(at..at, moved);
        if rest != *children {
            kept.push((*parent, children.clone()));
            chart.nodes[*parent].children = rest;
        }
    }
    kept
}

/// What may be moved past each other: the circuits of each connector of an indicator, and what is laid together through
/// each gate and zone.
pub(super) fn units(chart: &Chart) -> Vec<Vec<Unit>> {
    let mut groups: BTreeMap<NodeId, Vec<Unit>> = BTreeMap::new();
    for (id, node) in chart.nodes.iter().enumerate() {
        let Some(parent) = node.parent.filter(|p| !chart.nodes[*p].rigid) else { continue };
        let wanted = matches!(
            (node.what, chart.nodes[parent].what),
            (What::Port, _) | (What::Strand, What::Gate(..) | What::Zone { .. })
        );
        if wanted {
            groups.entry(parent).or_default().push(unit(chart, &links_of(chart, id).collect()));
        }
    }
    let mut groups: Vec<Vec<Unit>> = groups.into_values().filter(|g| g.len() > 1).collect();
    groups.sort();
    groups.dedup();
    groups
}

/// Everything that moves with these conductors.
fn unit(chart: &Chart, conductors: &BTreeSet<ConductorId>) -> Unit {
    let mut unit = Unit::new();
    for conductor in conductors {
        for link in chart.trails.get(conductor).into_iter().flatten() {
            for end in chart.links[*link].ends {
                for (holder, moved) in movable(chart, end.row, conductors) {
                    let nodes = unit.entry(holder).or_default();
                    if !nodes.contains(&moved) {
                        nodes.push(moved);
                    }
                }
            }
        }
    }
    unit
}

/// Conductors at the rows below a node.
fn links_of(chart: &Chart, node: NodeId) -> impl Iterator<Item = ConductorId> + '_ {
    let rows = chart.rows_of(node).into_iter();
    rows.flat_map(|r| [chart.rows[r].left, chart.rows[r].right]).flatten().map(|l| chart.links[l].conductor)
}

/// Nodes above a row that may change places, with what holds them. A device moves only where it has nothing else.
fn movable(chart: &Chart, row: RowId, conductors: &BTreeSet<ConductorId>) -> Vec<(NodeId, NodeId)> {
    let mut out = Vec::new();
    let mut at = chart.rows[row].leaf;
    while let Some(parent) = chart.nodes[at].parent {
        let (node, holder) = (&chart.nodes[at], &chart.nodes[parent]);
        let loose = holder.free && !holder.rigid;
        let whole = || links_of(chart, at).all(|c| conductors.contains(&c));
        let moves = match node.what {
            What::Strand | What::Port => !matches!(holder.what, What::Port),
            What::Device(_) => true,
            _ => false,
        };
        if loose && moves && whole() {
            out.push((parent, at));
        }
        at = parent;
    }
    out
}
