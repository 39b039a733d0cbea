//! What the place of a splice saves: a splice in; the wire of the naive choice, of the one splice that is built, and of
//! the least tree with as many splices as it takes, out.
//!
//! One splice a join is built: every splice is a joint that can fail, and takes room in the bundle. The tree says what
//! more of them would save, so that the designer can weigh it and write the joins himself. The lengths are wire along
//! the route without allowances.

use petgraph::graph::NodeIndex;

use super::route_search::{Cost, Ways};
use super::route_splice::{journeys, rated, total, wires_of};
use super::routing::{Routing, end_of};
use super::splice_site::{Unfit, unfit_place};
use super::steiner::{Problem, Terminal, least};
use crate::harness::{DeviceId, Harness, PinId, PlaceId};
use crate::quantity::Length;
use crate::spec::words::Hazard;

/// Three ways to join the ends of a splice.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SpliceChoice {
    /// All wires run home to the end that is named first. None where it has no place.
    pub home: Option<Home>,
    /// Wire to the place where the splice lies. None where it has none.
    pub built: Option<Length>,
    /// The least wire that joins the ends. None where some of them cannot be reached.
    pub tree: Option<LeastTree>,
}

/// The naive choice.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Home {
    /// The end that is named first.
    pub end: PinId,
    /// Its place.
    pub place: PlaceId,
    /// Wire from there to all other ends.
    pub wire: Length,
    /// What forbids a splice there.
    pub unfit: Option<Unfit>,
}

/// Ends joined by several splices.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LeastTree {
    /// All wires, those between splices too.
    pub wire: Length,
    /// Place of each splice.
    pub places: Vec<PlaceId>,
    /// True where no other tree takes less wire, and none with as little has fewer splices.
    pub exact: bool,
}

/// What the place of a splice saves.
pub fn splice_choice(h: &Harness, routing: &Routing, splice: DeviceId) -> SpliceChoice {
    let route = &routing.route;
    let mut ways = Ways::over(route);
    let wires = wires_of(h, &[splice]).remove(&splice).unwrap_or_default();
    let to_ends = journeys(h, route, &routing.place_of, &wires);
    let limit = rated(h, splice);
    let length = |(unreached, cost): (usize, Cost)| (unreached == 0).then_some(cost.length);
    let home = wires.first().and_then(|(_, end)| {
        let at = end_of(h, route, &routing.place_of, *end)?;
        let all = length(total(&mut ways, &to_ends, at.place))?;
        // The end itself needs no wire home, even where all wires must pass some place.
        let own: Vec<_> =
            to_ends.iter().filter(|(j, _)| j.from == at).take(1).map(|(j, _)| (j.clone(), 1)).collect();
        let wire = all - length(total(&mut ways, &own, at.place))?;
        Some(Home { end: *end, place: at.place, wire, unfit: unfit_place(h, route, at.place, limit) })
    });
    let place = routing.place_of.get(splice.index()).copied().flatten();
    let built = place.and_then(|place| length(total(&mut ways, &to_ends, place)));

    // What is laid between two splices keeps off all that any of the wires keeps off.
    let mut keep_off: Vec<Hazard> = to_ends.iter().flat_map(|(j, _)| j.keep_off).copied().collect();
    keep_off.sort_unstable();
    keep_off.dedup();
    let terminals: Vec<Terminal<Cost>> = to_ends
        .iter()
        .map(|(journey, wires)| Terminal { starts: ways.set_out(journey), wires: *wires })
        .collect();
    let place_of_node = |node: NodeIndex| route.graph.node_weight(node).map(|site| site.place);
    let may_join =
        |node| place_of_node(node).is_some_and(|place| unfit_place(h, route, place, limit).is_none());
    let price = |link: &_| route.price(link, &keep_off);
    let problem = Problem { graph: &route.graph, price: &price, may_join: &may_join, terminals: &terminals };
    let all = to_ends.iter().map(|(_, wires)| wires).sum::<usize>() == wires.len();
    let tree = least(&problem).filter(|_| all).map(|tree| LeastTree {
        wire: tree.weight.length,
        places: tree.joints.iter().filter_map(|node| place_of_node(*node)).collect(),
        exact: tree.exact,
    });
    SpliceChoice { home, built, tree }
}
