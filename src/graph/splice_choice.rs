//! What the place of a splice saves: a splice in; the wire of the naive choice, of the one splice that is built, and of
//! the least tree with as many splices as it takes, out.
//!
//! One splice a join is built: every splice is a joint that can fail, and takes room in the bundle. The tree says what
//! more of them would save, so that the designer can weigh it and write the joins himself. The lengths are wire along
//! the route without allowances.

use std::collections::BTreeMap;

use petgraph::graph::NodeIndex;

use super::route_search::{Cost, Journey, Ways};
use super::route_splice::{home_wire, journey, rated, total, wires_of};
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
    /// The splices.
    pub splices: Vec<Joint>,
    /// Wires from splice to splice, as indices into `splices`.
    pub between: Vec<[usize; 2]>,
    /// True where no other tree takes less wire, and none with as little has fewer splices.
    pub exact: bool,
}

/// A splice of the tree.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Joint {
    /// Its place.
    pub place: PlaceId,
    /// Ends whose wires come to it; those of other splices are not among them.
    pub ends: Vec<PinId>,
}

/// What the place of a splice saves.
pub fn splice_choice(h: &Harness, routing: &Routing, splice: DeviceId) -> SpliceChoice {
    let route = &routing.route;
    let mut ways = Ways::over(route);
    let wires = wires_of(h, &[splice]).remove(&splice).unwrap_or_default();
    let mut pins_of: BTreeMap<Journey, Vec<PinId>> = BTreeMap::new();
    for wire in &wires {
        if let Some(journey) = journey(h, route, &routing.place_of, *wire) {
            pins_of.entry(journey).or_default().push(wire.1);
        }
    }
    let to_ends: Vec<(Journey, usize)> = pins_of.iter().map(|(j, pins)| (j.clone(), pins.len())).collect();
    let limit = rated(h, splice);
    let home = wires.first().and_then(|(_, end)| {
        let at = end_of(h, route, &routing.place_of, *end)?;
        let wire = home_wire(&mut ways, &to_ends, at)?;
        Some(Home { end: *end, place: at.place, wire, unfit: unfit_place(h, route, at.place, limit) })
    });
    let place = routing.place_of.get(splice.index()).copied().flatten();
    let built = place.map(|place| total(&mut ways, &to_ends, place));
    let built = built.filter(|(unreached, _)| *unreached == 0).map(|(_, cost)| cost.length);

    // What is laid between two splices keeps off all that any of the wires keeps off.
    let mut keep_off: Vec<Hazard> = to_ends.iter().flat_map(|(j, _)| j.keep_off).copied().collect();
    keep_off.sort_unstable();
    keep_off.dedup();
    let set_out =
        |(journey, wires): &(Journey, usize)| Terminal { starts: ways.set_out(journey), wires: *wires };
    let terminals: Vec<Terminal<Cost>> = to_ends.iter().map(set_out).collect();
    let place_of_node = |node: NodeIndex| route.graph.node_weight(node).map(|site| site.place);
    let may_join =
        |node| place_of_node(node).is_some_and(|place| unfit_place(h, route, place, limit).is_none());
    let price = |link: &_| route.price(link, &keep_off);
    let problem = Problem { graph: &route.graph, price: &price, may_join: &may_join, terminals: &terminals };
    let all = pins_of.values().map(Vec::len).sum::<usize>() == wires.len();
    let tree = least(&problem).filter(|_| all).map(|tree| {
        let place = |node: &NodeIndex| Some(Joint { place: place_of_node(*node)?, ends: Vec::new() });
        let mut splices: Vec<Joint> = tree.joints.iter().filter_map(place).collect();
        for (pins, joint) in pins_of.values().zip(&tree.hangs_on) {
            if let Some(splice) = joint.and_then(|joint| splices.get_mut(joint)) {
                splice.ends.extend(pins);
            }
        }
        LeastTree { wire: tree.weight.length, splices, between: tree.between, exact: tree.exact }
    });
    SpliceChoice { home, built, tree }
}
