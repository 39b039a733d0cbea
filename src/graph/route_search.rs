//! Shortest ways over the route graph: a source in, the cost and links to any node out.
//!
//! A place to pass splits a journey into stages, each the shortest by itself. Where one would take a run or hole again,
//! it goes around what is taken, by a search of its own, and the stages are tried from the other end too.
//!
//! Dijkstra's algorithm, O((V + E) log V) for a whole search, but stopped as soon as its question is answered and
//! resumed for the next one, so that all lays that start at one place share one search. Of equal costs the way over
//! the lower link number wins: runs in the order of the spec. Memory holds one search for each source that is asked.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BinaryHeap, HashMap};
use std::ops::Add;

use petgraph::graph::{EdgeIndex, NodeIndex};
use petgraph::visit::EdgeRef;

use super::route::{End, RouteGraph};
use super::routing::Path;
use crate::harness::PlaceId;
use crate::quantity::Length;
use crate::spec::words::Hazard;

/// What a way costs; the earlier field outweighs all later ones. Costs add up and can be compared, so they may be
/// reckoned with like numbers; a difference may be below nothing.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub struct Cost {
    /// Barriers passed where they have no hole.
    pub breaches: i64,
    /// Length beside hazards that should be avoided.
    pub beside: Length,
    /// Length.
    pub length: Length,
    /// Holes passed.
    pub holes: i64,
}

impl Add for Cost {
    type Output = Cost;
    fn add(self, other: Cost) -> Cost {
        Cost {
            breaches: self.breaches.saturating_add(other.breaches),
            beside: self.beside + other.beside,
            length: self.length + other.length,
            holes: self.holes.saturating_add(other.holes),
        }
    }
}

impl Cost {
    /// So many ways of this cost.
    pub fn times(self, count: usize) -> Cost {
        let times = |n: i64| n.saturating_mul(i64::try_from(count).unwrap_or(i64::MAX));
        Cost {
            breaches: times(self.breaches),
            beside: self.beside.times(count),
            length: self.length.times(count),
            holes: times(self.holes),
        }
    }

    /// The difference of two costs, never below nothing.
    pub fn apart(self, other: Cost) -> Cost {
        let (more, less) = if self < other { (other, self) } else { (self, other) };
        Cost {
            breaches: more.breaches.saturating_sub(less.breaches),
            beside: more.beside - less.beside,
            length: more.length - less.length,
            holes: more.holes.saturating_sub(less.holes),
        }
    }
}

/// A search from one source; it goes only as far as it has been asked.
#[derive(Clone, Debug)]
pub(super) struct Search {
    keep_off: Vec<Hazard>,
    /// Links that may not be taken.
    barred: Vec<EdgeIndex>,
    open: BinaryHeap<Reverse<(Cost, NodeIndex)>>,
    /// Best known cost, and the link by which it is reached; None at the source.
    best: HashMap<NodeIndex, (Cost, Option<EdgeIndex>)>,
    settled: HashMap<NodeIndex, Cost>,
    /// Settled nodes, nearest first.
    order: Vec<NodeIndex>,
}

impl Search {
    /// A search from the nodes of `source` that keeps off these hazards as far as it can.
    pub fn from(route: &RouteGraph, source: End, keep_off: &[Hazard]) -> Search {
        let mut search = Search {
            keep_off: keep_off.to_vec(),
            barred: Vec::new(),
            open: BinaryHeap::new(),
            best: HashMap::new(),
            settled: HashMap::new(),
            order: Vec::new(),
        };
        for node in route.nodes_at(source) {
            search.best.insert(node, (Cost::default(), None));
            search.open.push(Reverse((Cost::default(), node)));
        }
        search
    }

    /// The same search where these links may not be taken.
    fn without(self, barred: Vec<EdgeIndex>) -> Search {
        Search { barred, ..self }
    }

    /// Settles the next node; None when all that can be reached is settled.
    fn advance(&mut self, route: &RouteGraph) -> Option<(NodeIndex, Cost)> {
        loop {
            let Reverse((cost, node)) = self.open.pop()?;
            if self.settled.contains_key(&node) {
                continue;
            }
            self.settled.insert(node, cost);
            self.order.push(node);
            for link in route.graph.edges(node) {
                let next = route.across(link.id(), node);
                if self.settled.contains_key(&next) || self.barred.contains(&link.id()) {
                    continue;
                }
                let reached = (cost + route.price(link.weight(), &self.keep_off), Some(link.id()));
                let known = self.best.get(&next);
                if known.is_none_or(|known| reached < *known) {
                    if known.is_none_or(|known| reached.0 < known.0) {
                        self.open.push(Reverse((reached.0, next)));
                    }
                    self.best.insert(next, reached);
                }
            }
            return Some((node, cost));
        }
    }

    /// The `n`-th nearest node, from 0, and its cost; None when fewer can be reached.
    pub fn nth(&mut self, route: &RouteGraph, n: usize) -> Option<(NodeIndex, Cost)> {
        match self.order.get(n) {
            Some(node) => Some((*node, *self.settled.get(node)?)),
            None => self.advance(route),
        }
    }

    /// Cost of the cheapest way to a node; None where there is none.
    pub fn cost_to(&mut self, route: &RouteGraph, node: NodeIndex) -> Option<Cost> {
        while !self.settled.contains_key(&node) {
            self.advance(route)?;
        }
        self.settled.get(&node).copied()
    }

    /// The links of the way to a settled node, from the source on.
    pub fn links_to(&self, route: &RouteGraph, node: NodeIndex) -> Vec<EdgeIndex> {
        let mut links = Vec::new();
        let mut at = node;
        while let Some((_, Some(link))) = self.best.get(&at) {
            links.push(*link);
            at = route.across(*link, at);
        }
        links.reverse();
        links
    }

    /// The node of the source from which a settled node is reached.
    pub fn start_of(&self, route: &RouteGraph, node: NodeIndex) -> NodeIndex {
        self.links_to(route, node).iter().rev().fold(node, |at, link| route.across(*link, at))
    }
}

/// What one thing that is laid asks for.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Journey<'a> {
    pub from: End,
    pub through: &'a [PlaceId],
    pub to: End,
    pub keep_off: &'a [Hazard],
    /// How the places to pass are passed.
    pub passing: Passing,
}

/// How places to pass are passed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Passing {
    /// A hole is crossed, from one side of its barrier to the other, and no run or hole is passed twice.
    Once,
    /// It is enough to come there, and to go back the same way: what ends at a splice, whose other tails go on.
    Touching,
}

/// A stage of a journey with places to pass: a node, the cost to it, and how it is reached from the stage before.
#[derive(Clone, Debug)]
pub(super) struct Reached {
    node: NodeIndex,
    cost: Cost,
    links: Vec<EdgeIndex>,
    /// Whether it avoids links of an earlier stage.
    detour: bool,
}

/// The route graph with every search that was made over it.
#[derive(Debug)]
pub(super) struct Ways<'r> {
    pub route: &'r RouteGraph,
    searches: BTreeMap<(End, Vec<Hazard>), Search>,
}

impl<'r> Ways<'r> {
    pub fn over(route: &'r RouteGraph) -> Ways<'r> {
        Ways { route, searches: BTreeMap::new() }
    }

    /// The search from a source, as far as it has gone.
    pub fn search(&mut self, source: End, keep_off: &[Hazard]) -> &mut Search {
        let mut key = keep_off.to_vec();
        key.sort_unstable();
        key.dedup();
        let route = self.route;
        self.searches.entry((source, key)).or_insert_with_key(|(end, key)| Search::from(route, *end, key))
    }

    /// The best path. Places to pass are taken in the order given or, if that is better, the other way round. None
    /// where there is no way.
    pub fn best(&mut self, journey: &Journey) -> Option<Path> {
        let reached = self.cheapest(journey)?;
        let start = reached.links.iter().rev().fold(reached.node, |at, link| self.route.across(*link, at));
        Some(self.route.path(start, &reached.links))
    }

    /// What the best path costs; None where there is no way.
    pub fn cost(&mut self, journey: &Journey) -> Option<Cost> {
        self.cheapest(journey).map(|reached| reached.cost)
    }

    /// Nodes from which a journey goes on freely, each with the cost to come that far: its start, or the last of the
    /// places to pass, in either order. Empty where these cannot be passed.
    pub fn set_out(&mut self, journey: &Journey) -> Vec<(NodeIndex, Cost)> {
        if journey.through.is_empty() {
            return self.route.nodes_at(journey.from).map(|node| (node, Cost::default())).collect();
        }
        let turned: Vec<PlaceId> = journey.through.iter().rev().copied().collect();
        let orders = [journey.through, &turned];
        let mut starts = Vec::new();
        for order in orders.into_iter().take(journey.through.len()) {
            let mut stage: Option<Vec<Reached>> = None;
            for stop in order {
                stage = Some(self.stage(journey, stage.as_deref(), End::from(*stop), false));
            }
            starts.extend(stage.into_iter().flatten().map(|r| (r.node, r.cost)));
        }
        starts
    }

    fn cheapest(&mut self, journey: &Journey) -> Option<Reached> {
        let given = self.either_way(journey);
        if journey.through.len() < 2 {
            return given;
        }
        let turned: Vec<PlaceId> = journey.through.iter().rev().copied().collect();
        let turned = self.either_way(&Journey { through: &turned, ..journey.clone() });
        match (given, turned) {
            (Some(a), Some(b)) => Some(if b.cost < a.cost { b } else { a }),
            (a, b) => a.or(b),
        }
    }

    /// By stages from the start; where these get into each other's way, from the end too, whichever is better.
    fn either_way(&mut self, journey: &Journey) -> Option<Reached> {
        let ahead = self.staged(journey);
        let clear = ahead.as_ref().is_some_and(|reached| !reached.detour);
        if clear || journey.through.is_empty() || journey.passing == Passing::Touching {
            return ahead;
        }
        let through: Vec<PlaceId> = journey.through.iter().rev().copied().collect();
        let (from, to) = (journey.to, journey.from);
        let back =
            self.staged(&Journey { from, to, through: &through, ..journey.clone() }).map(|mut back| {
                back.node = back.links.iter().rev().fold(back.node, |at, link| self.route.across(*link, at));
                back.links.reverse();
                back
            });
        match (ahead, back) {
            (Some(a), Some(b)) => Some(if b.cost < a.cost { b } else { a }),
            (a, b) => a.or(b),
        }
    }

    fn staged(&mut self, journey: &Journey) -> Option<Reached> {
        let mut stage: Option<Vec<Reached>> = None;
        for place in journey.through {
            // What ends in a hole passes it by that.
            let ends_there = [journey.from.place, journey.to.place].contains(place);
            let crossed = journey.passing == Passing::Once && self.route.is_hole(*place) && !ends_there;
            stage = Some(self.stage(journey, stage.as_deref(), End::from(*place), crossed));
        }
        let stage = self.stage(journey, stage.as_deref(), journey.to, false);
        stage.into_iter().min_by_key(|r| (r.cost, r.node))
    }

    /// Every node of `stop`, reached from the stage before it, or from the start where there is none; where it is to be
    /// crossed, by way of a hole from another node of it.
    fn stage(
        &mut self,
        journey: &Journey,
        before: Option<&[Reached]>,
        stop: End,
        crossed: bool,
    ) -> Vec<Reached> {
        let route = self.route;
        let mut reached: Vec<Reached> = Vec::new();
        for node in route.nodes_at(stop) {
            let holes: Vec<Option<EdgeIndex>> = match crossed {
                true => route.holes_at(node).map(Some).collect(),
                false => vec![None],
            };
            for hole in holes {
                let mut best: Option<Reached> = None;
                let mut offer = |found: Option<Reached>| {
                    if let Some(found) = found
                        && best.as_ref().is_none_or(|b| found.cost < b.cost)
                    {
                        best = Some(found);
                    }
                };
                match before {
                    None => offer(self.leg(journey, None, node, hole)),
                    Some(before) => {
                        before.iter().for_each(|step| offer(self.leg(journey, Some(step), node, hole)));
                    }
                }
                let Some(best) = best else { continue };
                match reached.iter_mut().find(|known| known.node == best.node) {
                    Some(known) if best.cost < known.cost => *known = best,
                    Some(_) => {}
                    None => reached.push(best),
                }
            }
        }
        reached
    }

    /// On from a step, or from the start, to a node, and over this hole where one is given.
    fn leg(
        &mut self,
        journey: &Journey,
        step: Option<&Reached>,
        node: NodeIndex,
        hole: Option<EdgeIndex>,
    ) -> Option<Reached> {
        let route = self.route;
        let source = match step {
            Some(step) => route.graph.node_weight(step.node).map(|s| End { place: s.place, zone: s.zone })?,
            None => journey.from,
        };
        let mut links = step.map_or_else(Vec::new, |step| step.links.clone());
        let taken: Vec<EdgeIndex> = match journey.passing {
            Passing::Once => links.iter().copied().filter(|l| route.is_passed_once(*l)).chain(hole).collect(),
            Passing::Touching => Vec::new(),
        };
        if hole.is_some_and(|hole| links.contains(&hole)) {
            return None;
        }
        let search = self.search(source, journey.keep_off);
        let mut cost = search.cost_to(route, node)?;
        let mut more = search.links_to(route, node);
        let mut detour = step.is_some_and(|step| step.detour);
        if more.iter().any(|link| taken.contains(link)) {
            let mut around = Search::from(route, source, journey.keep_off).without(taken);
            cost = around.cost_to(route, node)?;
            more = around.links_to(route, node);
            detour = true;
        }
        links.extend(more);
        let mut reached = Reached { node, cost: step.map_or(cost, |step| step.cost + cost), links, detour };
        if let Some(hole) = hole {
            reached.links.push(hole);
            reached.node = route.across(hole, node);
            let price = route.graph.edge_weight(hole).map(|link| route.price(link, journey.keep_off));
            reached.cost = reached.cost + price.unwrap_or_default();
        }
        Some(reached)
    }
}
