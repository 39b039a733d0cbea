//! The harness and its routing in; for each conductor, the device ends it is drawn between and the borders it
//! crosses on its way, out.
//!
//! Guarantees: the zones of a way join up: the first is that of its `from` end, each crossing leads from the zone
//! before it to the one behind it, the last is that of its `to` end.

use std::collections::BTreeMap;

use crate::graph::Routing;
use crate::harness::{
    CableId, ConductorId, DeviceClass, DeviceId, Harness, HoleId, PinId, PinSite, PlaceId, RunId, ZoneId,
};

/// A zone, or the ground of everything whose zone is not known.
pub(super) type Ground = Option<ZoneId>;

/// How a border is crossed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Via {
    /// Through a hole of its barrier.
    Hole(HoleId),
    /// At a place where the barrier has no hole.
    Breach(PlaceId),
    /// At a place where no barrier stands.
    Open(PlaceId),
    /// The routing knows no way.
    Unknown,
}

/// One crossing from zone to zone.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Crossing {
    /// Zone before it.
    pub from: Ground,
    /// Zone behind it.
    pub to: Ground,
    /// How.
    pub via: Via,
}

/// One end of a drawn conductor.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Foot {
    /// The device beside which it ends.
    pub device: DeviceId,
    /// The pin.
    pub pin: PinId,
    /// The pin of `device` that it stands at: itself, or that of a core for a drain lead's end at a screen.
    pub beside: PinId,
    /// For a drain lead's end at a screen: the cable. It is drawn where the cable's cores meet `device`.
    pub screen: Option<CableId>,
}

/// A conductor's ends and crossings.
#[derive(Clone, Debug)]
pub(super) struct Way {
    /// Its `from` end.
    pub from: Foot,
    /// Its `to` end.
    pub to: Foot,
    /// Borders crossed on the way.
    pub crossings: Vec<Crossing>,
}

/// All ways, by conductor id, and the zone that each device is drawn in.
#[derive(Clone, Debug)]
pub(super) struct Ways {
    /// Way of each conductor.
    pub ways: Vec<Way>,
    /// Zone of each device; for a connector that sits in a hole, that of its first half that is known.
    pub ground: Vec<Ground>,
    /// For connectors that sit in a hole: the hole, and the zones of plug and receptacle.
    pub in_hole: BTreeMap<DeviceId, (HoleId, [Ground; 2])>,
}

/// Works out all ways.
pub(super) fn ways(h: &Harness, routing: &Routing) -> Ways {
    let mut seen: Vec<BTreeMap<RunId, usize>> = vec![BTreeMap::new(); h.devices.len()];
    let mut halves: Vec<[Ground; 2]> = vec![[None; 2]; h.devices.len()];
    for id in h.conductor_ids() {
        let Some(path) = routing.path_of(h, id) else { continue };
        let c = h.conductor(id);
        for (pin, run) in [(c.from, path.runs.first()), (c.to, path.runs.last())] {
            let (Some(run), device) = (run, h.pin(pin).device) else { continue };
            if let Some(count) = seen.get_mut(device.index()) {
                *count.entry(*run).or_default() += 1;
            }
            if let Some(half) = halves.get_mut(device.index()) {
                half[half_of(h, pin)] = Some(h.run(*run).zone);
            }
        }
    }
    let mut ground = Vec::with_capacity(h.devices.len());
    let mut in_hole = BTreeMap::new();
    for (i, device) in h.devices.iter().enumerate() {
        let place = device.lead_ends_at.map(|p| p.value).or(routing.place_of.get(i).copied().flatten());
        let hole = place.and_then(|p| h.place(p).hole);
        if let (DeviceClass::InLine { .. }, Some(hole)) = (&device.class, hole) {
            let between = h.barrier(h.hole(hole).barrier).between;
            let sides = sides(between, halves.get(i).copied().unwrap_or_default());
            in_hole.insert(DeviceId::at(i), (hole, sides));
            ground.push(sides[0]);
            continue;
        }
        let zones = place.map(|p| h.place(p).zones.as_slice()).unwrap_or_default();
        let runs = seen.get(i).cloned().unwrap_or_default();
        // Where a place lies in several zones, its device is drawn in the one that most of its conductors leave by.
        let leaving = |zone: ZoneId| {
            runs.iter().filter(|(r, _)| h.run(**r).zone == zone).map(|(_, n)| n).sum::<usize>()
        };
        ground.push(zones.iter().copied().rev().max_by_key(|z| leaving(*z)));
    }
    let mut all = Ways { ways: Vec::with_capacity(h.conductors.len()), ground, in_hole };
    for id in h.conductor_ids() {
        let way = all.way(h, routing, id);
        all.ways.push(way);
    }
    all
}

/// 0 for the first half of an in-line connector's pins, the plug; 1 for the other.
pub(super) fn half_of(h: &Harness, pin: PinId) -> usize {
    let device = h.device(h.pin(pin).device);
    usize::from(pin.0.saturating_sub(device.first_pin.0) >= device.pin_count / 2)
}

/// Zones of plug and receptacle, from what their conductors say and else from what is left.
fn sides(between: [ZoneId; 2], said: [Ground; 2]) -> [Ground; 2] {
    let [a, b] = between;
    let other = |zone: ZoneId| if zone == a { b } else { a };
    match said {
        [Some(plug), Some(receptacle)] if plug != receptacle => said,
        [Some(plug), _] => [Some(plug), Some(other(plug))],
        [None, Some(receptacle)] => [Some(other(receptacle)), Some(receptacle)],
        [None, None] => [Some(b), Some(a)],
    }
}

impl Ways {
    /// The zone in which a foot stands.
    pub fn ground_of(&self, h: &Harness, foot: Foot) -> Ground {
        match self.in_hole.get(&foot.device) {
            Some((_, sides)) => sides[half_of(h, foot.beside)],
            None => self.ground.get(foot.device.index()).copied().flatten(),
        }
    }

    fn way(&self, h: &Harness, routing: &Routing, id: ConductorId) -> Way {
        let c = h.conductor(id);
        let (from, to) = (foot(h, routing, c.from, c.to), foot(h, routing, c.to, c.from));
        let (start, end) = (self.ground_of(h, from), self.ground_of(h, to));
        let mut crossings = Vec::new();
        let mut at = start;
        let path = routing.path_of(h, id).filter(|_| !c.drain);
        if let Some(path) = path {
            for (place, run) in path.places.iter().zip(&path.runs) {
                step(h, &mut crossings, &mut at, Some(h.run(*run).zone), Some(*place));
            }
        }
        step(h, &mut crossings, &mut at, end, path.and_then(|p| p.places.last().copied()));
        Way { from, to, crossings }
    }
}

/// Goes into the zone `next` at `place`, if it is another one.
fn step(h: &Harness, crossings: &mut Vec<Crossing>, at: &mut Ground, next: Ground, place: Option<PlaceId>) {
    if *at == next {
        return;
    }
    let via = match (*at, next, place) {
        (Some(a), Some(b), Some(place)) => {
            let parts = |pair: [ZoneId; 2]| pair == [a, b] || pair == [b, a];
            match h.place(place).hole.filter(|hole| parts(h.barrier(h.hole(*hole).barrier).between)) {
                Some(hole) => Via::Hole(hole),
                None if h.barriers.iter().any(|b| parts(b.between)) => Via::Breach(place),
                None => Via::Open(place),
            }
        }
        _ => Via::Unknown,
    };
    crossings.push(Crossing { from: *at, to: next, via });
    *at = next;
}

/// Where a pin is drawn. A screen is drawn at the end of its cable that is nearest to what its drain is tied to.
fn foot(h: &Harness, routing: &Routing, pin: PinId, other: PinId) -> Foot {
    let PinSite::Screen(cable) = h.pin(pin).site else {
        return Foot { device: h.pin(pin).device, pin, beside: pin, screen: None };
    };
    let tied = h.pin(other).device;
    let cores = h.cable(cable).cores.iter().flatten();
    let ends: Vec<PinId> = cores.flat_map(|c| [h.conductor(*c).from, h.conductor(*c).to]).collect();
    let place = |pin: PinId| routing.place_of_pin(h, pin);
    let beside = |e: &&PinId| place(**e).is_some() && place(**e) == place(other);
    let at = ends.iter().find(|e| h.pin(**e).device == tied).or_else(|| ends.iter().find(beside));
    let beside = at.or(ends.first()).copied().unwrap_or(pin);
    Foot { device: h.pin(beside).device, pin, beside, screen: Some(cable) }
}
