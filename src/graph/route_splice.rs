//! Where a splice goes that the tool makes for a `join`: the ends of its wires in, the place of least wire out.
//!
//! The 1-median over the places where a splice may lie: places whose zones all allow splices, and never a hole. Places
//! are tried nearest first from the end that most wires come from, and no further than they can still win. Of places
//! that cost the same the one with the fewest splices wins, so that splices stagger along the bundle, then the one
//! named first in the spec.

use std::collections::BTreeMap;

use super::route::RouteGraph;
use super::route_search::{Cost, Journey, Ways};
use super::routing::{Routing, end_of};
use crate::harness::{ConductorId, DeviceClass, DeviceId, Harness, PinId, PlaceId};
use crate::quantity::Length;

/// A place that a splice could have.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SplicePlace {
    /// The place.
    pub place: PlaceId,
    /// Wire from there to all ends, along the route and without allowances.
    pub wire: Length,
    /// Ends that cannot be reached from there.
    pub unreached: usize,
}

/// How good a place is: less is better.
type Merit = (usize, Cost, usize, PlaceId);

/// Gives every splice without a place the best one. A splice that is joined to another unplaced one is placed by its
/// other ends first and then once more.
pub(super) fn place_all(h: &Harness, ways: &mut Ways, place_of: &mut [Option<PlaceId>]) {
    let unplaced = |place_of: &[Option<PlaceId>]| -> Vec<DeviceId> {
        let made = |d: &DeviceId| {
            matches!(h.device(*d).class, DeviceClass::Splice { .. }) && place_of.get(d.index()) == Some(&None)
        };
        (0..h.devices.len()).map(DeviceId::at).filter(made).collect()
    };
    let made = unplaced(place_of);
    if made.is_empty() {
        return;
    }
    let wires = wires_of(h, &made);
    let mut crowd = vec![0_usize; h.places.len()];
    for (device, place) in h.devices.iter().zip(place_of.iter()) {
        if let (DeviceClass::Splice { .. }, Some(place)) = (&device.class, place) {
            crowd[place.index()] += 1;
        }
    }
    let mut again = Vec::new();
    for device in made {
        let wires = wires.get(&device).map_or(&[][..], Vec::as_slice);
        if wires.iter().any(|(_, other)| end_of(h, ways.route, place_of, *other).is_none()) {
            again.push(device);
        }
        settle(h, ways, place_of, &mut crowd, device, wires);
    }
    for device in again {
        let wires = wires.get(&device).map_or(&[][..], Vec::as_slice);
        settle(h, ways, place_of, &mut crowd, device, wires);
    }
}

fn settle(
    h: &Harness,
    ways: &mut Ways,
    place_of: &mut [Option<PlaceId>],
    crowd: &mut [usize],
    device: DeviceId,
    wires: &[(ConductorId, PinId)],
) {
    if let Some(place) = place_of[device.index()].take() {
        crowd[place.index()] = crowd[place.index()].saturating_sub(1);
    }
    let journeys = journeys(h, ways.route, place_of, wires);
    if let Some((.., place)) = best(h, ways, crowd, &journeys) {
        place_of[device.index()] = Some(place);
        crowd[place.index()] += 1;
    }
}

/// Every place that a splice may have, best first, with the wire it would take. For a splice that the designer pinned
/// too: what the choice costs.
pub fn splice_places(h: &Harness, routing: &Routing, splice: DeviceId) -> Vec<SplicePlace> {
    let mut ways = Ways::over(&routing.route);
    let wires = wires_of(h, &[splice]).remove(&splice).unwrap_or_default();
    let journeys = journeys(h, &routing.route, &routing.place_of, &wires);
    let places = (0..h.places.len()).map(PlaceId::at).filter(|p| may_lie(h, *p));
    let mut places: Vec<(usize, Cost, PlaceId)> = places
        .map(|place| {
            let (unreached, cost) = total(&mut ways, &journeys, place);
            (unreached, cost, place)
        })
        .collect();
    places.sort_unstable();
    places
        .into_iter()
        .map(|(unreached, cost, place)| SplicePlace { place, wire: cost.length, unreached })
        .collect()
}

/// For each splice its conductors, each with the pin of its other end.
fn wires_of(h: &Harness, splices: &[DeviceId]) -> BTreeMap<DeviceId, Vec<(ConductorId, PinId)>> {
    let mut wires: BTreeMap<DeviceId, Vec<(ConductorId, PinId)>> =
        splices.iter().map(|d| (*d, Vec::new())).collect();
    for id in h.conductor_ids() {
        let c = h.conductor(id);
        for (here, there) in [(c.from, c.to), (c.to, c.from)] {
            let device = h.pin(here).device;
            let leaves = !c.drain && h.pin(there).device != device;
            if let Some(wires) = wires.get_mut(&device).filter(|_| leaves) {
                wires.push((id, there));
            }
        }
    }
    wires
}

/// Distinct journeys to the splice, with the number of wires that make each, most wires first. Their end `to` is still
/// to be filled in. Wires whose other end has no place are left out.
fn journeys<'h>(
    h: &'h Harness,
    route: &RouteGraph,
    place_of: &[Option<PlaceId>],
    wires: &[(ConductorId, PinId)],
) -> Vec<(Journey<'h>, usize)> {
    let mut counted: BTreeMap<Journey<'h>, usize> = BTreeMap::new();
    for (conductor, other) in wires {
        let lay = h.lay(h.conductor(*conductor).lay);
        if let Some(from) = end_of(h, route, place_of, *other) {
            let journey = Journey { from, through: &lay.through, to: from, keep_off: &lay.keep_off };
            *counted.entry(journey).or_default() += 1;
        }
    }
    let mut journeys: Vec<(Journey, usize)> = counted.into_iter().collect();
    journeys.sort_by_key(|(journey, count)| (!journey.through.is_empty(), std::cmp::Reverse(*count)));
    journeys
}

fn may_lie(h: &Harness, place: PlaceId) -> bool {
    let place = h.place(place);
    place.hole.is_none() && place.zones.iter().all(|z| h.zone(*z).splices_allowed)
}

fn total(ways: &mut Ways, journeys: &[(Journey, usize)], place: PlaceId) -> (usize, Cost) {
    let mut unreached = 0;
    let mut sum = Cost::default();
    for (journey, count) in journeys {
        match ways.cost(&Journey { to: place.into(), ..journey.clone() }) {
            Some(cost) => sum = sum + cost.times(*count),
            None => unreached += count,
        }
    }
    (unreached, sum)
}

fn best(h: &Harness, ways: &mut Ways, crowd: &[usize], journeys: &[(Journey, usize)]) -> Option<Merit> {
    let (first, wires) = journeys.first()?;
    let mut best: Option<Merit> = None;
    let judge = |ways: &mut Ways, place: PlaceId, best: &mut Option<Merit>| {
        if may_lie(h, place) {
            let (unreached, cost) = total(ways, journeys, place);
            let merit = (unreached, cost, crowd[place.index()], place);
            if best.is_none_or(|b| merit < b) {
                *best = Some(merit);
            }
        }
    };
    if !first.through.is_empty() {
        // Every journey has places to pass, which is rare: no order of trying is known beforehand.
        for place in (0..h.places.len()).map(PlaceId::at) {
            judge(ways, place, &mut best);
        }
        return best;
    }
    for n in 0.. {
        let route = ways.route;
        let Some((node, cost)) = ways.search(first.from, first.keep_off).nth(route, n) else { break };
        if best.is_some_and(|(unreached, total, ..)| unreached == 0 && cost.times(*wires) > total) {
            break;
        }
        if let Some(site) = route.graph.node_weight(node) {
            judge(ways, site.place, &mut best);
        }
    }
    best
}
