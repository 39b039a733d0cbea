//! Where a splice goes that the tool makes for a `join`: the ends of its wires in, the place of least wire out.
//!
//! The 1-median over the places where a splice may lie (`splice_site.rs`; one that is too hot only where nothing else
//! is left). Places are tried nearest first from the end that lies in the middle of the others, and only while they can
//! still win: a place at distance x from that end is, by the triangle inequality, at least |D − x| from an end at
//! distance D. So the search stays near the ends however large the harness is. Of places that cost the same the one with
//! the fewest splices wins, so that splices stagger along the bundle, then the one named first in the spec. A splice of
//! more than [`MOST_WEIGHED`] distinct ends is placed by a sample of them.

use std::collections::BTreeMap;

use super::route::{End, RouteGraph};
use super::route_search::{Cost, Journey, Passing, Ways};
use super::routing::{Routing, end_of};
use super::splice_site::unfit_place;
use crate::harness::{ConductorId, DeviceClass, DeviceId, Harness, PinId, PlaceId};
use crate::quantity::{Length, Temperature};

/// Most distinct ends by which a splice is placed exactly; what follows takes the square of them.
const MOST_WEIGHED: usize = 64;

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
/// other ends first and then once more. Returns, by device id, the wire that the place of each saves: see
/// [`Routing::saved`].
pub(super) fn place_all(
    h: &Harness,
    ways: &mut Ways,
    place_of: &mut [Option<PlaceId>],
) -> Vec<Option<Length>> {
    let mut saved = vec![None; h.devices.len()];
    let unplaced = |place_of: &[Option<PlaceId>]| -> Vec<DeviceId> {
        let made = |d: &DeviceId| {
            matches!(h.device(*d).class, DeviceClass::Splice { .. }) && place_of.get(d.index()) == Some(&None)
        };
        (0..h.devices.len()).map(DeviceId::at).filter(made).collect()
    };
    let made = unplaced(place_of);
    if made.is_empty() {
        return saved;
    }
    let wires = wires_of(h, &made);
    let busy = ends_at(h, ways.route, place_of);
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
        saved[device.index()] = settle(h, ways, place_of, &mut crowd, &busy, device, wires);
    }
    for device in again {
        let wires = wires.get(&device).map_or(&[][..], Vec::as_slice);
        saved[device.index()] = settle(h, ways, place_of, &mut crowd, &busy, device, wires);
    }
    saved
}

/// Number of conductors that end at each place.
fn ends_at(h: &Harness, route: &RouteGraph, place_of: &[Option<PlaceId>]) -> Vec<usize> {
    let mut ends = vec![0_usize; h.places.len()];
    for pin in h.conductors.iter().flat_map(|c| [c.from, c.to]) {
        if let Some(end) = end_of(h, route, place_of, pin) {
            ends[end.place.index()] += 1;
        }
    }
    ends
}

fn settle(
    h: &Harness,
    ways: &mut Ways,
    place_of: &mut [Option<PlaceId>],
    crowd: &mut [usize],
    busy: &[usize],
    device: DeviceId,
    wires: &[(ConductorId, PinId)],
) -> Option<Length> {
    if let Some(place) = place_of[device.index()].take() {
        crowd[place.index()] = crowd[place.index()].saturating_sub(1);
    }
    let all = journeys(h, ways.route, place_of, wires);
    let exact = all.len() <= MOST_WEIGHED;
    let journeys = sampled(all);
    let rated = rated(h, device);
    let found = best(h, ways, crowd, busy, &journeys, rated);
    let (unreached, cost, _, place) = found.or_else(|| best(h, ways, crowd, busy, &journeys, None))?;
    place_of[device.index()] = Some(place);
    crowd[place.index()] += 1;
    let (_, first) = wires.first().filter(|_| exact && unreached == 0)?;
    let home = end_of(h, ways.route, place_of, *first)?;
    Some(home_wire(ways, &journeys, home)? - cost.length)
}

/// Wire that all journeys take to one of their ends, which itself needs none even where all must pass some place. None
/// where one does not get there.
pub(super) fn home_wire(ways: &mut Ways, journeys: &[(Journey, usize)], home: End) -> Option<Length> {
    let (unreached, all) = total(ways, journeys, home.place);
    let (own, _) = journeys.iter().find(|(journey, _)| journey.from == home).filter(|_| unreached == 0)?;
    let own = ways.cost(&Journey { to: home.place.into(), ..own.clone() })?;
    Some(all.length - own.length)
}

/// Every so many of many journeys, each for all that it stands for.
fn sampled<'h>(journeys: Vec<(Journey<'h>, usize)>) -> Vec<(Journey<'h>, usize)> {
    let each = journeys.len().div_ceil(MOST_WEIGHED).max(1);
    let weigh = |group: &[(Journey<'h>, usize)]| {
        let wires = group.iter().map(|(_, wires)| wires).sum();
        group.get(group.len() / 2).map(|(journey, _)| (journey.clone(), wires))
    };
    if each == 1 { journeys } else { journeys.chunks(each).filter_map(weigh).collect() }
}

/// Highest temperature that a splice may come to; None where it is not known.
pub(super) fn rated(h: &Harness, splice: DeviceId) -> Option<Temperature> {
    match h.device(splice).class {
        DeviceClass::Splice { build: Some(build), .. } => build.rated,
        _ => None,
    }
}

/// Every place that a splice may have, best first, with the wire it would take. For a splice that the designer pinned
/// too: what the choice costs.
pub fn splice_places(h: &Harness, routing: &Routing, splice: DeviceId) -> Vec<SplicePlace> {
    let mut ways = Ways::over(&routing.route);
    let wires = wires_of(h, &[splice]).remove(&splice).unwrap_or_default();
    let journeys = journeys(h, &routing.route, &routing.place_of, &wires);
    let rated = rated(h, splice);
    let fits = |place: &PlaceId| unfit_place(h, &routing.route, *place, rated).is_none();
    let places = (0..h.places.len()).map(PlaceId::at).filter(fits);
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
pub(super) fn wires_of(h: &Harness, splices: &[DeviceId]) -> BTreeMap<DeviceId, Vec<(ConductorId, PinId)>> {
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

/// Distinct journeys to the splice, with the number of wires that make each. Their end `to` is still
/// to be filled in. Wires whose other end has no place are left out.
pub(super) fn journeys<'h>(
    h: &'h Harness,
    route: &RouteGraph,
    place_of: &[Option<PlaceId>],
    wires: &[(ConductorId, PinId)],
) -> Vec<(Journey<'h>, usize)> {
    let mut counted: BTreeMap<Journey<'h>, usize> = BTreeMap::new();
    for wire in wires {
        if let Some(journey) = journey(h, route, place_of, *wire) {
            *counted.entry(journey).or_default() += 1;
        }
    }
    counted.into_iter().collect()
}

/// The journey of one wire from its other end. None where that has no place.
pub(super) fn journey<'h>(
    h: &'h Harness,
    route: &RouteGraph,
    place_of: &[Option<PlaceId>],
    (conductor, other): (ConductorId, PinId),
) -> Option<Journey<'h>> {
    let lay = h.lay(h.conductor(conductor).lay);
    let from = end_of(h, route, place_of, other)?;
    let passing = Passing::Touching;
    Some(Journey { from, through: &lay.through, to: from, keep_off: &lay.keep_off, passing })
}

/// Ends that cannot be reached from a place, and the cost of the wires to all others.
pub(super) fn total(ways: &mut Ways, journeys: &[(Journey, usize)], place: PlaceId) -> (usize, Cost) {
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

/// How far the ends lie from the one that is tried from.
struct Spread {
    /// Wires from that end.
    wires: usize,
    /// Cost to each other end, and the wires from there.
    others: Vec<(Cost, usize)>,
    /// Wires whose end cannot be reached from it.
    unreached: usize,
}

impl Spread {
    /// No place at this cost from the end takes less than this in all.
    fn least(&self, at: Cost) -> Cost {
        let others = self.others.iter().map(|(cost, wires)| at.apart(*cost).times(*wires));
        others.fold(at.times(self.wires), |sum, cost| sum + cost)
    }

    /// True from where on [`Spread::least`] only grows: most wires lie no farther from the end.
    fn grows_from(&self, at: Cost) -> bool {
        let nearer: usize = self.others.iter().filter(|(cost, _)| *cost <= at).map(|(_, wires)| wires).sum();
        let farther: usize = self.others.iter().filter(|(cost, _)| *cost > at).map(|(_, wires)| wires).sum();
        self.wires + nearer >= farther
    }
}

/// The end from which the others are nearest in all, as an index into `journeys`, and how far they are.
fn middle(ways: &mut Ways, busy: &[usize], journeys: &[(Journey, usize)]) -> Option<(usize, Spread)> {
    let uses = |j: &Journey| busy.get(j.from.place.index()).copied().unwrap_or(0);
    let mut apart: Vec<Vec<Option<Cost>>> = vec![vec![None; journeys.len()]; journeys.len()];
    for (i, (a, _)) in journeys.iter().enumerate() {
        for (k, (b, _)) in journeys.iter().enumerate().skip(i + 1) {
            // From the busier end, whose search is shared with others.
            let (from, to) = if uses(b) > uses(a) { (b, a) } else { (a, b) };
            let cost = ways.cost(&Journey { through: &[], to: to.from, ..from.clone() });
            (apart[i][k], apart[k][i]) = (cost, cost);
        }
    }
    let spread = |i: usize| {
        let mut spread = Spread { wires: journeys[i].1, others: Vec::new(), unreached: 0 };
        for (k, (_, wires)) in journeys.iter().enumerate().filter(|(k, _)| *k != i) {
            match apart[i][k] {
                Some(cost) => spread.others.push((cost, *wires)),
                None => spread.unreached += wires,
            }
        }
        spread
    };
    let sum =
        |s: &Spread| s.others.iter().fold(Cost::default(), |sum, (cost, wires)| sum + cost.times(*wires));
    let spreads = (0..journeys.len()).map(|i| (i, spread(i)));
    spreads.min_by_key(|(i, s)| (s.unreached, sum(s), *i))
}

fn best(
    h: &Harness,
    ways: &mut Ways,
    crowd: &[usize],
    busy: &[usize],
    journeys: &[(Journey, usize)],
    rated: Option<Temperature>,
) -> Option<Merit> {
    let (start, spread) = middle(ways, busy, journeys)?;
    let (from, _) = journeys.get(start)?;
    let route = ways.route;
    let mut best: Option<Merit> = None;
    for n in 0.. {
        let Some((node, cost)) = ways.search(from.from, from.keep_off).nth(route, n) else { break };
        // Ties are still looked at, for the sake of staggering.
        let hopeless = best.is_some_and(|(unreached, total, ..)| {
            unreached == spread.unreached && spread.least(cost) > total
        });
        if hopeless && spread.grows_from(cost) {
            break;
        }
        let Some(site) = route.graph.node_weight(node).filter(|_| !hopeless) else { continue };
        if unfit_place(h, route, site.place, rated).is_none() {
            let (unreached, total) = total(ways, journeys, site.place);
            let merit = (unreached, total, crowd[site.place.index()], site.place);
            if best.is_none_or(|known| merit < known) {
                best = Some(merit);
            }
        }
    }
    best
}
