//! The route and a hazard in; runs beside it that have to be taken, because no way round them keeps off it, out.
//!
//! What hangs together without any run beside the hazard is one part. Among the parts, a run beside it that lies on no
//! ring (a bridge) is the only way from one side of it to the other. Cost: near-linear in places and runs.

use std::collections::BTreeSet;

use petgraph::unionfind::UnionFind;
use petgraph::visit::EdgeRef;

use super::ring::Rings;
use super::route::{Link, RouteGraph};
use crate::harness::RunId;
use crate::spec::words::Hazard;

impl RouteGraph {
    /// Runs beside `hazard` that are the only way from one side of them to the other: whatever ends on both sides takes
    /// them. A wall is passed by its holes only. Where another way leads round a run, but beside the hazard too, the run
    /// is not among them.
    pub fn only_ways_beside(&self, hazard: Hazard) -> BTreeSet<RunId> {
        let graph = &self.graph;
        let mut parts = UnionFind::<usize>::new(graph.node_count());
        let mut loud = Vec::new();
        for link in graph.edge_references() {
            let ends = [link.source().index(), link.target().index()];
            match link.weight() {
                Link::Breach => {}
                Link::Run { run, beside, .. } if beside.contains(&hazard) => loud.push((*run, ends)),
                Link::Run { .. } | Link::Hole(_) | Link::Open => drop(parts.union(ends[0], ends[1])),
            }
        }
        let edges: Vec<[usize; 2]> =
            loud.iter().map(|(_, ends)| ends.map(|end| parts.find_mut(end))).collect();
        let rings = Rings::of(graph.node_count(), 0, &edges);
        let alone = |edge: usize| rings.ring_of(edge).is_some_and(|ring| rings.is_single(ring));
        loud.iter().enumerate().filter(|(edge, _)| alone(*edge)).map(|(_, (run, _))| *run).collect()
    }
}
