//! Buses, supplies and the route in; how far each breaker or fuse lies from the bus that feeds it, out.
//!
//! The wire between the two is not of this harness, so its way is the shortest along the route. Costs one search over
//! the route for each place at which a bus is.

use super::route_reach::Reach;
use super::routing::{Path, Routing};
use crate::harness::{BusId, DeviceClass, DeviceId, Harness};
use crate::quantity::Length;

/// From a bus to a protected supply that it feeds.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BusWay {
    /// The bus; `None` where the supply names none.
    pub bus: Option<BusId>,
    /// The supply, with a breaker or fuse.
    pub supply: DeviceId,
    /// Which of the two it has.
    pub protector: Protector,
    /// The way; why there is none, where there is none.
    pub way: Result<Path, NoBusWay>,
}

/// What opens a circuit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Protector {
    /// A breaker.
    Breaker,
    /// A fuse.
    Fuse,
}

impl Protector {
    /// Its name.
    pub fn word(self) -> &'static str {
        match self {
            Protector::Breaker => "breaker",
            Protector::Fuse => "fuse",
        }
    }
}

/// Why the way from a bus to a supply is not known.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoBusWay {
    /// The supply does not name its bus.
    NoBus,
    /// The bus does not say where it is.
    NoPlace,
    /// No run leads from one to the other.
    NoRun,
}

impl BusWay {
    /// How far it is along the route.
    pub fn length(&self) -> Option<Length> {
        self.way.as_ref().ok().map(|path| path.length)
    }

    /// True where there are runs on the way and all lie under a covering.
    pub fn is_covered(&self, h: &Harness) -> bool {
        let covered = |path: &Path| path.runs.iter().all(|run| h.run(*run).cover.is_some());
        self.way.as_ref().is_ok_and(|path| !path.runs.is_empty() && covered(path))
    }
}

/// The way to each supply that has a breaker or fuse, in the order of the spec.
pub fn bus_ways(h: &Harness, routing: &Routing) -> Vec<BusWay> {
    let mut reach = Reach::over(routing);
    let mut ways = Vec::new();
    for supply in (0..h.devices.len()).map(DeviceId::at) {
        let DeviceClass::Supply { breaker, fuse, bus } = h.device(supply).class else { continue };
        let protector = match (breaker, fuse) {
            (Some(_), _) => Protector::Breaker,
            (None, Some(_)) => Protector::Fuse,
            (None, None) => continue,
        };
        let bus = bus.map(|named| named.value);
        let at = bus.and_then(|bus| h.bus(bus).at);
        let to = routing.place_of.get(supply.index()).copied().flatten();
        let way = match (bus, at, to) {
            (None, ..) => Err(NoBusWay::NoBus),
            (_, None, _) => Err(NoBusWay::NoPlace),
            (_, Some(at), to) => to
                .and_then(|to| reach.way(at.value, to))
                .filter(|way| way.breaches(h).is_empty())
                .ok_or(NoBusWay::NoRun),
        };
        ways.push(BusWay { bus, supply, protector, way });
    }
    ways
}
