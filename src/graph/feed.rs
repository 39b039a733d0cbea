//! Loads and nets in; what each supply feeds, and what each bus gives in each phase, out.
//!
//! A load is fed by the supply on the net that it takes from. Where several supplies are on one net, it is counted with
//! the first, and the feed names the others: how the current divides is not known. A load draws in the phases that the
//! circuit at its own pin names (`during:`), else the circuit at the supply, else in all. It draws for short times where
//! the circuit at its own pin says so (`duty:`), or the one circuit at the supply that feeds it.

use std::collections::{BTreeMap, BTreeSet};

use super::current::Currents;
use super::electrical::Electrical;
use super::load::{Load, Site};
use super::switched::{Behind, Switches};
use crate::harness::{BusId, CircuitId, DeviceClass, DeviceId, Harness, Located, PhaseId, PinId};
use crate::parts::words::PortKind;
use crate::quantity::Current;
use crate::trade::voltage_drop::Duty;

/// A load as a supply sees it.
#[derive(Clone, Debug)]
pub struct Fed {
    /// The load.
    pub load: Load,
    /// The circuit at its pin, else the one that the supply gives to; `None` where it is fed over no wire from a supply
    /// that gives to several.
    pub circuit: Option<CircuitId>,
    /// Phases in which it draws; empty: all.
    pub during: Vec<PhaseId>,
    /// How long it draws.
    pub duty: Duty,
}

/// What a supply feeds.
#[derive(Clone, Debug)]
pub struct Feed {
    /// The supply.
    pub supply: DeviceId,
    /// Its bus.
    pub bus: Option<BusId>,
    /// Its loads, in the order of the devices.
    pub loads: Vec<Fed>,
    /// Pins on its net that only measure.
    pub measured_at: Vec<PinId>,
    /// Other supplies on its net; the loads are counted with the first of all.
    pub beside: Vec<DeviceId>,
    /// What it feeds while every switch is closed.
    pub behind: Behind,
    /// Devices that depend on it, each once: those with a load on its net, or behind a switch on it. Not those that only
    /// measure there, and not the switches.
    pub serves: BTreeSet<DeviceId>,
}

/// What every supply feeds, in the order of the spec.
pub fn feeds(h: &Harness, electrical: &Electrical, currents: &Currents) -> Vec<Feed> {
    let switches = Switches::of(h, electrical);
    let mut at: BTreeMap<PinId, Vec<&Load>> = BTreeMap::new();
    for load in currents.loads() {
        if let Site::Pin(pin) = load.from {
            at.entry(pin).or_default().push(load);
        }
    }
    let supplies: Vec<DeviceId> = (0..h.devices.len())
        .map(DeviceId::at)
        .filter(|id| matches!(h.device(*id).class, DeviceClass::Supply { .. }))
        .collect();
    let mut counted = BTreeSet::new();
    let mut feeds = Vec::with_capacity(supplies.len());
    for supply in supplies {
        let pin = h.device(supply).first_pin;
        let DeviceClass::Supply { bus, .. } = &h.device(supply).class else { continue };
        let net = electrical.net(pin);
        let mut feed = Feed {
            supply,
            bus: bus.map(|b| b.value),
            loads: Vec::new(),
            measured_at: Vec::new(),
            beside: Vec::new(),
            behind: switches.behind(electrical, pin),
            serves: BTreeSet::new(),
        };
        let own = only_circuit_at(h, electrical, pin);
        let first_of_net = counted.insert(net.pins.first().copied());
        for p in &net.pins {
            let device = h.pin(*p).device;
            match &h.device(device).class {
                DeviceClass::Supply { .. } if device != supply => feed.beside.push(device),
                _ if !first_of_net => {}
                _ if h.port_of(*p).is_some_and(|(port, _)| port.kind == PortKind::Volts) => {
                    feed.measured_at.push(*p);
                }
                _ => {
                    let here = at.get(p).into_iter().flatten();
                    feed.loads.extend(here.map(|load| fed(h, electrical, load, *p, own)));
                }
            }
        }
        let passes = |device: &DeviceId| feed.behind.through.contains(device);
        let drawing = feed.behind.pins.iter().flat_map(|p| at.get(p).into_iter().flatten());
        feed.serves = drawing.map(|load| load.device).filter(|device| !passes(device)).collect();
        feeds.push(feed);
    }
    feeds
}

fn circuit_at(h: &Harness, electrical: &Electrical, pin: PinId) -> Option<CircuitId> {
    electrical.conductors_at(pin).first().map(|c| h.conductor(*c).circuit)
}

/// The circuit of a feed that gives to one alone: what it says of duty and phases holds for all that it feeds. Costs the
/// wires at the feed: ask once for each.
pub fn only_circuit_at(h: &Harness, electrical: &Electrical, pin: PinId) -> Option<CircuitId> {
    let mut circuits = electrical.conductors_at(pin).iter().map(|c| h.conductor(*c).circuit);
    let first = circuits.next()?;
    circuits.all(|c| c == first).then_some(first)
}

/// Circuits that say how long and when a load draws: the one at its own pin, and the one at its supply where that gives
/// to one alone.
fn telling(
    h: &Harness,
    electrical: &Electrical,
    pin: PinId,
    own: Option<CircuitId>,
) -> impl Iterator<Item = CircuitId> {
    circuit_at(h, electrical, pin).into_iter().chain(own)
}

/// How long a load at `pin` draws that is fed from a supply which gives to one circuit alone, `own` ([`only_circuit_at`]):
/// for short times where one of the circuits that tell of it says so.
pub fn duty_of(h: &Harness, electrical: &Electrical, pin: PinId, own: Option<CircuitId>) -> Duty {
    match telling(h, electrical, pin, own).any(|c| h.circuit(c).duty == Duty::Intermittent) {
        true => Duty::Intermittent,
        false => Duty::Continuous,
    }
}

fn fed(h: &Harness, electrical: &Electrical, load: &Load, pin: PinId, own: Option<CircuitId>) -> Fed {
    let during = telling(h, electrical, pin, own).map(|c| &h.circuit(c).during).find(|d| !d.is_empty());
    Fed {
        load: *load,
        circuit: telling(h, electrical, pin, own).next(),
        during: during.map_or_else(Vec::new, |d| d.iter().map(|p| p.value).collect()),
        duty: duty_of(h, electrical, pin, own),
    }
}

/// What a bus gives in a phase.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BusLoad {
    /// The bus.
    pub bus: BusId,
    /// The phase; `None` where the spec names none for the bus: all the time.
    pub phase: Option<PhaseId>,
    /// What the loads of this harness draw continuously.
    pub continuous: Current,
    /// What they draw for two minutes at most, besides.
    pub intermittent: Current,
    /// What the rest of the machine draws.
    pub others: Option<Located<Current>>,
    /// Loads of this harness of which nobody says how much they draw.
    pub unknown: Vec<Load>,
}

impl BusLoad {
    /// All that is known to be drawn continuously.
    pub fn known(&self) -> Current {
        self.continuous + self.others.map_or(Current::ZERO, |o| o.value)
    }
}

/// What every bus gives in every phase that the spec names for it, bus by bus.
pub fn bus_loads(h: &Harness, feeds: &[Feed]) -> Vec<BusLoad> {
    let mut all = Vec::new();
    for (i, bus) in h.buses.iter().enumerate() {
        let id = BusId::at(i);
        let loads = || feeds.iter().filter(|f| f.bus == Some(id)).flat_map(|f| &f.loads);
        // A phase that only another bus names counts too where something on this one draws in it.
        let named = h.phases.iter().enumerate().filter_map(|(i, name)| {
            let phase = PhaseId::at(i);
            let others = bus.others.iter().find(|(other, _)| other == name).map(|(_, current)| *current);
            let drawn_in = || loads().any(|fed| fed.during.contains(&phase));
            (others.is_some() || drawn_in()).then_some((Some(phase), others))
        });
        let phases: Vec<_> = named.collect();
        let always = phases.is_empty().then_some((None, None));
        for (phase, others) in phases.into_iter().chain(always) {
            let mut sum = BusLoad {
                bus: id,
                phase,
                continuous: Current::ZERO,
                intermittent: Current::ZERO,
                others,
                unknown: Vec::new(),
            };
            for fed in loads() {
                let draws = fed.during.is_empty() || phase.is_none_or(|p| fed.during.contains(&p));
                match fed.load.current {
                    _ if !draws => {}
                    None => sum.unknown.push(fed.load),
                    Some(current) if fed.duty == Duty::Intermittent => sum.intermittent += current.abs(),
                    Some(current) => sum.continuous += current.abs(),
                }
            }
            all.push(sum);
        }
    }
    all
}
