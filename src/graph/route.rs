//! The route graph: places and runs in; out, a graph over which everything that is laid finds its way.
//!
//! A place has one node for each zone it lies in. A run joins the nodes of its own zone at its two ends, and the nodes
//! of one place are joined to each other by what it takes to go from zone to zone there. So a path through the graph
//! is a path that a person can lay, and the holes on it are counted by its links.

use petgraph::graph::{EdgeIndex, NodeIndex, UnGraph};
use petgraph::visit::EdgeRef;

use super::route_search::{Cost, Search};
use super::routing::Path;
use crate::harness::{Harness, HoleId, PlaceId, RunId, ZoneId};
use crate::quantity::Length;
use crate::spec::words::Hazard;

/// A place seen from one of its zones; no zone where no run meets it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Site {
    pub place: PlaceId,
    pub zone: Option<ZoneId>,
}

/// What joins two sites.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Link {
    /// Along a run.
    Run { run: RunId, length: Length, beside: Vec<Hazard> },
    /// Through a hole, from zone to zone.
    Hole(HoleId),
    /// From zone to zone at a place where the barrier between them has no hole: only where nothing else is left.
    Breach,
    /// From zone to zone where no barrier stands.
    Open,
}

/// One end of what is laid: a place, and the zone in which it must be left or reached where that is known.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct End {
    pub place: PlaceId,
    pub zone: Option<ZoneId>,
}

impl From<PlaceId> for End {
    fn from(place: PlaceId) -> End {
        End { place, zone: None }
    }
}

/// The structure that the harness runs along.
#[derive(Clone, Debug)]
pub struct RouteGraph {
    pub(super) graph: UnGraph<Site, Link>,
    /// Nodes of each place, by place id.
    nodes: Vec<Vec<NodeIndex>>,
    /// Whether a place is a hole, by place id.
    holes: Vec<bool>,
}

impl RouteGraph {
    /// The graph of a harness. Runs get the lower link numbers, in their own order: ties go to them by that.
    pub fn new(h: &Harness) -> RouteGraph {
        let mut graph = UnGraph::default();
        let mut nodes = Vec::with_capacity(h.places.len());
        for (i, place) in h.places.iter().enumerate() {
            let mut add = |zone| graph.add_node(Site { place: PlaceId::at(i), zone });
            let of_place: Vec<NodeIndex> = match place.zones.as_slice() {
                [] => vec![add(None)],
                zones => zones.iter().map(|z| add(Some(*z))).collect(),
            };
            nodes.push(of_place);
        }
        let holes = h.places.iter().map(|place| place.hole.is_some()).collect();
        let mut route = RouteGraph { graph, nodes, holes };
        for (i, run) in h.runs.iter().enumerate() {
            let [a, b] = run.ends.map(|place| route.nodes_at(End { place, zone: Some(run.zone) }).next());
            if let (Some(a), Some(b)) = (a, b) {
                let beside = run.beside.clone();
                route.graph.add_edge(a, b, Link::Run { run: RunId::at(i), length: run.length.value, beside });
            }
        }
        for (i, place) in h.places.iter().enumerate() {
            let at = PlaceId::at(i);
            for (k, &a) in place.zones.iter().enumerate() {
                for &b in place.zones.iter().skip(k + 1) {
                    let link = crossing(h, at, a, b);
                    let [a, b] = [a, b].map(|z| route.nodes_at(End { place: at, zone: Some(z) }).next());
                    if let (Some(a), Some(b)) = (a, b) {
                        route.graph.add_edge(a, b, link);
                    }
                }
            }
        }
        route
    }

    /// Nodes at which an end may lie.
    pub(super) fn nodes_at(&self, end: End) -> impl Iterator<Item = NodeIndex> + '_ {
        let all = self.nodes.get(end.place.index()).map_or(&[][..], Vec::as_slice);
        let fits = move |n: &NodeIndex| {
            end.zone.is_none() || self.graph.node_weight(*n).is_some_and(|s| s.zone == end.zone)
        };
        all.iter().copied().filter(fits)
    }

    /// True for a hole of a barrier.
    pub(super) fn is_hole(&self, place: PlaceId) -> bool {
        self.holes.get(place.index()).copied().unwrap_or(false)
    }

    /// The ways from a node through the hole that it lies at, to other zones.
    pub(super) fn holes_at(&self, node: NodeIndex) -> impl Iterator<Item = EdgeIndex> + '_ {
        self.graph.edges(node).filter(|link| matches!(link.weight(), Link::Hole(_))).map(|link| link.id())
    }

    /// True for what no wire is laid along twice: runs and holes.
    pub(super) fn is_passed_once(&self, link: EdgeIndex) -> bool {
        matches!(self.graph.edge_weight(link), Some(Link::Run { .. } | Link::Hole(_)))
    }

    /// The zone in which runs join two neighbouring places; None where they are no neighbours, or in several zones.
    pub(super) fn zone_towards(&self, place: PlaceId, neighbour: PlaceId) -> Option<ZoneId> {
        let mut zones = self.nodes_at(place.into()).filter_map(|node| {
            let joined = self.graph.neighbors(node).filter_map(|n| self.graph.node_weight(n));
            let joined = joined.into_iter().any(|site| site.place == neighbour);
            self.graph.node_weight(node).filter(|_| joined)?.zone
        });
        let zone = zones.next();
        zone.filter(|_| zones.next().is_none())
    }

    /// True for a place in zones that a wall parts and that is no hole of it.
    pub(super) fn is_between_walls(&self, place: PlaceId) -> bool {
        self.nodes_at(place.into()).any(|n| self.graph.edges(n).any(|link| *link.weight() == Link::Breach))
    }

    /// The shortest admissible path between two places, with its length: how far a lead must reach. None where there
    /// is no way.
    pub fn distance(&self, from: PlaceId, to: PlaceId) -> Option<(Length, Path)> {
        let mut search = Search::from(self, from.into(), &[]);
        let node = self.nodes_at(to.into()).filter_map(|n| Some((search.cost_to(self, n)?, n))).min()?.1;
        let path = self.path(search.start_of(self, node), &search.links_to(self, node));
        Some((path.length, path))
    }

    /// The path that starts at `start` and takes these links in order.
    pub(super) fn path(&self, start: NodeIndex, links: &[EdgeIndex]) -> Path {
        let site = |n: NodeIndex| self.graph.node_weight(n).map(|s| s.place);
        let mut path = Path {
            places: site(start).into_iter().collect(),
            runs: Vec::new(),
            holes: Vec::new(),
            length: Length::ZERO,
        };
        let mut at = start;
        for link in links {
            match self.graph.edge_weight(*link) {
                Some(Link::Run { run, length, .. }) => {
                    path.runs.push(*run);
                    path.length += *length;
                }
                Some(Link::Hole(hole)) => path.holes.push(*hole),
                Some(Link::Breach | Link::Open) | None => {}
            }
            at = self.across(*link, at);
            if let Some(place) = site(at).filter(|p| path.places.last() != Some(p)) {
                path.places.push(place);
            }
        }
        path
    }

    /// The other end of a link.
    pub(super) fn across(&self, link: EdgeIndex, from: NodeIndex) -> NodeIndex {
        match self.graph.edge_endpoints(link) {
            Some((a, b)) if a == from => b,
            Some((a, _)) => a,
            None => from,
        }
    }

    /// What taking a link costs somebody who keeps off these hazards.
    pub(super) fn price(&self, link: &Link, keep_off: &[Hazard]) -> Cost {
        match link {
            Link::Run { length, beside, .. } => {
                let avoided = beside.iter().any(|hazard| keep_off.contains(hazard));
                let beside = if avoided { *length } else { Length::ZERO };
                Cost { beside, length: *length, ..Cost::default() }
            }
            Link::Hole(_) => Cost { holes: 1, ..Cost::default() },
            Link::Breach => Cost { breaches: 1, ..Cost::default() },
            Link::Open => Cost::default(),
        }
    }
}

/// What it takes to go from one zone into another at a place.
fn crossing(h: &Harness, at: PlaceId, a: ZoneId, b: ZoneId) -> Link {
    let parts = |between: [ZoneId; 2]| between == [a, b] || between == [b, a];
    let hole = h.place(at).hole.filter(|hole| parts(h.barrier(h.hole(*hole).barrier).between));
    match hole {
        Some(hole) => Link::Hole(hole),
        None if h.barriers.iter().any(|barrier| parts(barrier.between)) => Link::Breach,
        None => Link::Open,
    }
}
