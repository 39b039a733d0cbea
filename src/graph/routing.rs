//! Where everything lies: a resolved harness in; the path of each lay, and what passes each run and hole, out.
//!
//! Guarantees: a path starts and ends where its conductors do; it goes from zone to zone through holes only, unless
//! there is no other way; it passes the places it was told to pass, a
//! hole from one side to the other, and no run twice; of the ways that are left it is the shortest, then
//! the one with the fewest holes, then the one over runs named first. A splice of the tool's own making has a place
//! unless none of its ends has one.

use std::collections::BTreeMap;

use super::route::{End, RouteGraph};
use super::route_search::{Journey, Passing, Ways};
use super::route_splice;
use super::splice_shift;
use crate::harness::{
    ConductorId, DeviceClass, DeviceId, Harness, HoleId, Lay, PinId, PinSite, PlaceId, RunId, Shift, ZoneId,
};
use crate::quantity::Length;

/// A way along the route.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Path {
    /// Places passed, both ends included; one place where both ends are the same.
    pub places: Vec<PlaceId>,
    /// Runs between them.
    pub runs: Vec<RunId>,
    /// Holes crossed: passed from one zone into another, in order.
    pub holes: Vec<HoleId>,
    /// Sum of the runs.
    pub length: Length,
}

impl Path {
    /// The same way from its other end.
    fn turned(mut self) -> Path {
        self.places.reverse();
        self.runs.reverse();
        self.holes.reverse();
        self
    }

    /// Places where it goes from one zone into another although the barrier between them has no hole there.
    pub fn breaches(&self, h: &Harness) -> Vec<PlaceId> {
        let inner = self.places.iter().skip(1);
        let pairs = self.runs.iter().zip(self.runs.iter().skip(1));
        let breach = |place: PlaceId, before: RunId, after: RunId| {
            let between = [h.run(before).zone, h.run(after).zone];
            let parts = |b: [_; 2]| b == between || b == [between[1], between[0]];
            let lawful =
                h.place(place).hole.is_some_and(|hole| parts(h.barrier(h.hole(hole).barrier).between));
            !lawful && h.barriers.iter().any(|b| parts(b.between))
        };
        inner.zip(pairs).filter(|(p, (a, b))| breach(**p, **a, **b)).map(|(p, _)| *p).collect()
    }
}

/// Where everything lies.
#[derive(Clone, Debug)]
pub struct Routing {
    /// The structure it lies along, for further questions.
    pub route: RouteGraph,
    /// Place of each device, by device id; a splice that the tool made has got its place here.
    pub place_of: Vec<Option<PlaceId>>,
    /// By device id, for a splice that the tool placed: the wire that its place saves against the naive choice, all wires
    /// led home to the end that is named first. Below nothing where no splice may lie there. None where it was not
    /// weighed: very many ends, or one that cannot be reached.
    pub saved: Vec<Option<Length>>,
    /// How far each splice is shifted along the bundle from its place, by device id; None where it lies at its place,
    /// and for all that is no splice. Paths lead to the place: see [`Routing::shifts_of`].
    pub shift_of: Vec<Option<Shift>>,
    /// Path of each lay, by lay id, from its conductors' `from` to their `to`. `None`: there is no way, or an end has
    /// no place.
    pub paths: Vec<Option<Path>>,
    /// Own paths of conductors that do not end where the lay of their cable or twist does. `None` as in `paths`.
    pub strays: BTreeMap<ConductorId, Option<Path>>,
    /// Conductors in each run, by run id, in order and each once.
    pub in_run: Vec<Vec<ConductorId>>,
    /// Conductors through each hole, by hole id, in order and each once. Where an in-line connector sits in the hole,
    /// the conductors of its fuller side.
    pub in_hole: Vec<Vec<ConductorId>>,
}

impl Routing {
    /// Lays everything out. Cost: one search over the route for each place that lays start from, each no further than
    /// it is asked; lays that share an end share the search.
    pub fn lay_out(h: &Harness) -> Routing {
        let route = RouteGraph::new(h);
        let mut ways = Ways::over(&route);
        let mut place_of: Vec<Option<PlaceId>> = h.devices.iter().map(|d| d.place).collect();
        let saved = route_splice::place_all(h, &mut ways, &mut place_of);
        let paths = paths(h, &mut ways, &place_of);
        let strays = strays(h, &mut ways, &place_of);
        let (shift_of, in_run, in_hole) = (Vec::new(), Vec::new(), Vec::new());
        let mut routing = Routing { route, place_of, saved, shift_of, paths, strays, in_run, in_hole };
        routing.in_run = self::in_run(h, &routing);
        routing.in_hole = self::in_hole(h, &routing);
        routing.shift_of = splice_shift::stagger(h, &routing);
        routing
    }

    /// The path that a conductor takes; None where it has none.
    pub fn path_of(&self, h: &Harness, conductor: ConductorId) -> Option<&Path> {
        match self.strays.get(&conductor) {
            Some(path) => path.as_ref(),
            None => self.paths.get(h.conductor(conductor).lay.index())?.as_ref(),
        }
    }

    /// Place at which a conductor of this pin ends: where the device is, or where its own leads end. None for a splice
    /// without a place.
    pub fn place_of_pin(&self, h: &Harness, pin: PinId) -> Option<PlaceId> {
        end_of(h, &self.route, &self.place_of, pin).map(|end| end.place)
    }
}

/// How a conductor passes the places that it must: the tails of a splice share them, and a drain lead stays at its end.
pub(super) fn passing(h: &Harness, conductor: ConductorId) -> Passing {
    let c = h.conductor(conductor);
    let spliced = [c.from, c.to]
        .iter()
        .any(|pin| matches!(h.device(h.pin(*pin).device).class, DeviceClass::Splice { .. }));
    if spliced || c.drain { Passing::Touching } else { Passing::Once }
}

/// The end at which a conductor of this pin lies.
pub(super) fn end_of(
    h: &Harness,
    route: &RouteGraph,
    place_of: &[Option<PlaceId>],
    pin: PinId,
) -> Option<End> {
    let id = h.pin(pin).device;
    let device = h.device(id);
    let place = match &device.lead_ends_at {
        Some(at) => at.value,
        None => (*place_of.get(id.index())?)?,
    };
    Some(End { place, zone: half_zone(h, route, id, pin, place) })
}

/// For a connector that sits in a hole: the zone that this half of it faces.
fn half_zone(h: &Harness, route: &RouteGraph, id: DeviceId, pin: PinId, place: PlaceId) -> Option<ZoneId> {
    let DeviceClass::InLine { plug_faces, .. } = h.device(id).class else { return None };
    let [a, b] = h.barrier(h.hole(h.place(place).hole?).barrier).between;
    let plug = route.zone_towards(place, plug_faces).filter(|z| *z == a || *z == b)?;
    let wanted = match (half_of(h, pin), plug == a) {
        (Half::Plug, _) => plug,
        (Half::Receptacle, true) => b,
        (Half::Receptacle, false) => a,
    };
    h.place(place).zones.contains(&wanted).then_some(wanted)
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Half {
    Plug,
    Receptacle,
}

/// The pins of the plug come first.
fn half_of(h: &Harness, pin: PinId) -> Half {
    let device = h.device(h.pin(pin).device);
    let at = pin.0.saturating_sub(device.first_pin.0);
    if at < device.pin_count / 2 { Half::Plug } else { Half::Receptacle }
}

fn paths(h: &Harness, ways: &mut Ways, place_of: &[Option<PlaceId>]) -> Vec<Option<Path>> {
    let ends: Vec<Option<[End; 2]>> =
        h.lays.iter().map(|lay| ends_of(h, ways.route, place_of, lay)).collect();
    let mut use_of = vec![0_usize; h.places.len()];
    for end in ends.iter().flatten().flatten() {
        use_of[end.place.index()] += 1;
    }
    let mut path = |lay: &Lay, ends: &Option<[End; 2]>| {
        let [from, to] = (*ends)?;
        let passing = lay.conductors.first().map_or(Passing::Once, |first| passing(h, *first));
        // Searching from the busier end lets most lays share a few searches.
        let uses = |end: End| use_of.get(end.place.index()).copied();
        if uses(to) > uses(from) {
            let through: Vec<PlaceId> = lay.through.iter().rev().copied().collect();
            let keep_off = &lay.keep_off;
            let journey = Journey { from: to, through: &through, to: from, keep_off, passing };
            ways.best(&journey).map(Path::turned)
        } else {
            ways.best(&Journey { from, through: &lay.through, to, keep_off: &lay.keep_off, passing })
        }
    };
    h.lays.iter().zip(&ends).map(|(lay, ends)| path(lay, ends)).collect()
}

/// Both ends of a lay. A drain lead never leaves the tail of the end it is tied at.
fn ends_of(h: &Harness, route: &RouteGraph, place_of: &[Option<PlaceId>], lay: &Lay) -> Option<[End; 2]> {
    let first = lay.conductors.iter().find(|c| !h.conductor(**c).drain).or(lay.conductors.first())?;
    let c = h.conductor(*first);
    let end = |pin| end_of(h, route, place_of, pin);
    if c.drain {
        let tied = if matches!(h.pin(c.from).site, PinSite::Screen(_)) { c.to } else { c.from };
        let at = end(tied)?;
        return Some([at, at]);
    }
    Some([end(c.from)?, end(c.to)?])
}

/// Cores of one cable, and wires that are twisted together, usually go the same way. One that ends elsewhere is laid by
/// itself, by the same rules.
fn strays(h: &Harness, ways: &mut Ways, place_of: &[Option<PlaceId>]) -> BTreeMap<ConductorId, Option<Path>> {
    let mut strays = BTreeMap::new();
    for lay in h.lays.iter().filter(|lay| lay.conductors.len() > 1) {
        let Some(ends) = ends_of(h, ways.route, place_of, lay) else { continue };
        for id in along(h, lay) {
            let c = h.conductor(id);
            let own = [c.from, c.to].map(|pin| end_of(h, ways.route, place_of, pin));
            if own == ends.map(Some) {
                continue;
            }
            let path = match own {
                [Some(from), Some(to)] => {
                    let (keep_off, passing) = (&lay.keep_off, passing(h, id));
                    ways.best(&Journey { from, through: &lay.through, to, keep_off, passing })
                }
                _ => None,
            };
            strays.insert(id, path);
        }
    }
    strays
}

fn in_run(h: &Harness, routing: &Routing) -> Vec<Vec<ConductorId>> {
    let mut in_run = vec![Vec::new(); h.runs.len()];
    for id in h.conductor_ids().filter(|id| !h.conductor(*id).drain) {
        for run in routing.path_of(h, id).iter().flat_map(|p| &p.runs) {
            in_run[run.index()].push(id);
        }
    }
    in_run.iter_mut().for_each(Vec::dedup);
    in_run
}

fn in_hole(h: &Harness, routing: &Routing) -> Vec<Vec<ConductorId>> {
    let mut in_hole = vec![Vec::new(); h.holes.len()];
    for id in h.conductor_ids().filter(|id| !h.conductor(*id).drain) {
        for hole in routing.path_of(h, id).iter().flat_map(|p| &p.holes) {
            in_hole[hole.index()].push(id);
        }
    }
    // Connectors in holes: which hole, and the conductors of each half.
    let mut halves: Vec<Option<(HoleId, [Vec<ConductorId>; 2])>> = vec![None; h.devices.len()];
    for (device, (place, slot)) in h.devices.iter().zip(routing.place_of.iter().zip(&mut halves)) {
        if let (DeviceClass::InLine { .. }, Some(place)) = (&device.class, place) {
            *slot = h.place(*place).hole.map(|hole| (hole, [Vec::new(), Vec::new()]));
        }
    }
    for id in h.conductor_ids() {
        let c = h.conductor(id);
        for pin in [c.from, c.to] {
            if let Some(Some((_, sides))) = halves.get_mut(h.pin(pin).device.index()) {
                let [plug, receptacle] = sides;
                if half_of(h, pin) == Half::Plug { plug.push(id) } else { receptacle.push(id) }
            }
        }
    }
    for (hole, [plug, receptacle]) in halves.into_iter().flatten() {
        in_hole[hole.index()].extend(if receptacle.len() > plug.len() { receptacle } else { plug });
    }
    for conductors in &mut in_hole {
        conductors.sort_unstable();
        conductors.dedup();
    }
    in_hole
}

/// The conductors of a lay that go along the route.
fn along<'h>(h: &'h Harness, lay: &'h Lay) -> impl Iterator<Item = ConductorId> + 'h {
    lay.conductors.iter().copied().filter(|c| !h.conductor(*c).drain)
}
