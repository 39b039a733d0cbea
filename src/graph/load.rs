//! A resolved harness in; what each device takes or gives, pin by pin, and what its inside joins, out.
//!
//! A load is a current that a device takes at one point and gives at another: a lamp between its feed and its drive, a
//! sender between excitation and return, a gauge between its feed and its ground. How much is said, in this order, by
//! `current:` of the circuit that ends there, by `current` of the port, by nothing. A circuit that is joined at a splice
//! or stud says it for all its ends together, so a port that says it goes before such a circuit.
//!
//! A device that takes power or has a ground of its own feeds its senders and takes their returns: all these pins meet
//! inside it. What only measures (thermocouples, millivolts, the voltage of a bus, pulses, the signal of an excited
//! sender) takes next to nothing and is no load. A pin of which the part says nothing takes an unknown current, with two
//! exceptions: where the part joins it to another wired pin it passes on what comes, and where nothing else feeds its
//! net it feeds it (the outgoing side of a switch).

use std::collections::BTreeMap;

use super::electrical::Electrical;
use crate::harness::{CircuitId, Device, DeviceClass, DeviceId, Harness, PinId, Port};
use crate::parts::words::{PortKind, Role};
use crate::quantity::Current;

/// A point at which a load takes or gives current.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Site {
    /// A pin.
    Pin(PinId),
    /// The inside of a device that is powered: where its feeds, returns and ground meet.
    Inside(DeviceId),
    /// The machine behind the harness: buses, bodies and whatever else takes part without being in the spec.
    Machine,
}

/// Who says how much a load takes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Told {
    /// `current:` of a circuit.
    Circuit(CircuitId),
    /// The port of the part.
    Part,
    /// Nobody.
    Nobody,
}

/// A current that a device takes at one point and gives at another.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Load {
    /// The device.
    pub device: DeviceId,
    /// Index of its port; `None` for a pin that belongs to none.
    pub port: Option<u32>,
    /// Where it takes.
    pub from: Site,
    /// Where it gives.
    pub to: Site,
    /// How much; `None` where nobody says.
    pub current: Option<Current>,
    /// Who says it.
    pub told: Told,
}

impl Load {
    /// The pin it is known by: where it takes, else where it gives.
    pub fn pin(&self) -> Option<PinId> {
        match (self.from, self.to) {
            (Site::Pin(pin), _) | (_, Site::Pin(pin)) => Some(pin),
            _ => None,
        }
    }
}

/// The loads of a harness, and what is joined without a wire.
#[derive(Clone, Debug, Default)]
pub struct Loads {
    /// The loads, device by device.
    pub all: Vec<Load>,
    /// Points that are one although no wire joins them: links inside devices, mated contacts, studs on bodies.
    pub ties: Vec<[Site; 2]>,
}

impl Loads {
    /// The loads of all devices. Costs one pass over devices, conductors and nets.
    pub fn of(h: &Harness, electrical: &Electrical) -> Loads {
        let mut made = Reader {
            h,
            electrical,
            wired: vec![false; h.pins.len()],
            told: BTreeMap::new(),
            loads: Loads::default(),
        };
        for id in h.conductor_ids() {
            let c = h.conductor(id);
            for pin in [c.from, c.to] {
                if let Some(wired) = made.wired.get_mut(pin.index()) {
                    *wired = true;
                }
                if h.circuit(c.circuit).current.is_some() {
                    made.told.entry(pin).or_insert(c.circuit);
                }
            }
        }
        for i in 0..h.devices.len() {
            made.device(DeviceId::at(i));
        }
        made.loads
    }
}

struct Reader<'h> {
    h: &'h Harness,
    electrical: &'h Electrical,
    wired: Vec<bool>,
    /// A circuit with `current:` that ends on the pin.
    told: BTreeMap<PinId, CircuitId>,
    loads: Loads,
}

impl Reader<'_> {
    fn device(&mut self, id: DeviceId) {
        let d = self.h.device(id);
        for group in d.links.iter().chain([&d.on_case]) {
            if let Some((first, more)) = group.split_first() {
                self.loads.ties.extend(more.iter().map(|pin| [Site::Pin(*first), Site::Pin(*pin)]));
            }
        }
        for pin in self.h.pins_of(id) {
            if let Some(mate) = self.h.mate(pin).filter(|m| pin < *m) {
                self.tie(Site::Pin(pin), Site::Pin(mate));
            }
        }
        match &d.class {
            DeviceClass::Ground { .. } | DeviceClass::Supply { .. } => {
                self.tie(Site::Pin(d.first_pin), Site::Machine)
            }
            DeviceClass::Stud { others, .. } if *others > 0 => {
                self.tie(Site::Pin(d.first_pin), Site::Machine)
            }
            DeviceClass::Stud { .. } | DeviceClass::Splice { .. } | DeviceClass::InLine { .. } => {}
            DeviceClass::Equipment | DeviceClass::Sensor => self.consumer(id),
        }
    }

    fn tie(&mut self, a: Site, b: Site) {
        self.loads.ties.push([a, b]);
    }

    fn is_wired(&self, pin: PinId) -> bool {
        self.wired.get(pin.index()).copied().unwrap_or_default()
    }

    fn consumer(&mut self, id: DeviceId) {
        let d = self.h.device(id);
        let case = d.on_case.first().map(|pin| Site::Pin(*pin));
        if let (Some(case), true, Some(_)) = (case, d.case_grounds, d.body) {
            self.tie(case, Site::Machine);
        }
        let powered = is_powered(d);
        if powered && !d.ports.iter().any(|p| p.kind == PortKind::Ground) {
            self.tie(Site::Inside(id), case.unwrap_or(Site::Machine));
        }
        for (i, port) in d.ports.iter().enumerate() {
            self.port(id, u32::try_from(i).unwrap_or(u32::MAX), port, powered);
        }
        self.pins_of_no_port(id);
    }

    fn port(&mut self, id: DeviceId, index: u32, port: &Port, powered: bool) {
        use PortKind::*;
        let pin_of = |role| port.pins.iter().find(|(r, _)| *r == role).map(|(_, pin)| *pin);
        let takes = match port.kind {
            ThermocoupleK | ThermocoupleJ | Millivolt | Volts | Shield => return,
            PowerIn => {
                if let Some(feed) = pin_of(Role::Supply).filter(|pin| self.is_wired(*pin)) {
                    self.load(id, index, port, Site::Pin(feed), Site::Inside(id));
                }
                return;
            }
            // An indicator feeds these and takes their returns.
            _ if powered => {
                let pins = port.pins.iter().map(|(_, pin)| [Site::Pin(*pin), Site::Inside(id)]);
                return self.loads.ties.extend(pins);
            }
            Ground | Pulse => return,
            Lamp => {
                let feed = pin_of(Role::Supply).filter(|pin| self.is_wired(*pin));
                if let Some(drive) = pin_of(Role::Drive).filter(|pin| self.is_wired(*pin) || feed.is_some()) {
                    self.load(id, index, port, feed.map_or(Site::Machine, Site::Pin), Site::Pin(drive));
                }
                return;
            }
            Resistance => Role::Signal,
            ExcitedVoltage => Role::Excitation,
            SuppliedPulse => Role::Supply,
        };
        let Some(from) = pin_of(takes).filter(|pin| self.is_wired(*pin)) else { return };
        let back = pin_of(Role::Return).filter(|pin| self.is_wired(*pin));
        let back = back.or(self.h.device(id).on_case.first().copied());
        self.load(id, index, port, Site::Pin(from), back.map_or(Site::Machine, Site::Pin));
    }

    fn load(&mut self, device: DeviceId, index: u32, port: &Port, from: Site, to: Site) {
        let told = [from, to].into_iter().find_map(|site| match site {
            Site::Pin(pin) => self.told.get(&pin).copied(),
            _ => None,
        });
        let joined = |id: &CircuitId| self.h.circuit(*id).joint.is_some();
        let (current, told) = match (told, port.current) {
            (Some(circuit), None) => {
                (self.h.circuit(circuit).current.map(|c| c.value), Told::Circuit(circuit))
            }
            (Some(circuit), Some(_)) if !joined(&circuit) => {
                (self.h.circuit(circuit).current.map(|c| c.value), Told::Circuit(circuit))
            }
            (_, Some(current)) => (Some(current), Told::Part),
            (None, None) => (None, Told::Nobody),
        };
        self.loads.all.push(Load { device, port: Some(index), from, to, current, told });
    }

    /// Wired pins of which the part says nothing.
    fn pins_of_no_port(&mut self, id: DeviceId) {
        let d = self.h.device(id);
        let open =
            |pin: &PinId| self.is_wired(*pin) && self.h.pin(*pin).port.is_none() && !d.on_case.contains(pin);
        let passed_on = |pin: &PinId| {
            let mut groups = d.links.iter().filter(|group| group.contains(pin));
            groups.any(|group| group.iter().any(|other| other != pin && open(other)))
        };
        let takers: Vec<PinId> = self.h.pins_of(id).filter(|p| open(p) && !passed_on(p)).collect();
        for pin in takers {
            if self.feeds(pin) {
                self.tie(Site::Pin(pin), Site::Machine);
                continue;
            }
            let circuit = self.told.get(&pin).copied();
            let current = circuit.and_then(|c| self.h.circuit(c).current).map(|c| c.value);
            let told = circuit.map_or(Told::Nobody, Told::Circuit);
            let (from, to) = (Site::Pin(pin), Site::Machine);
            self.loads.all.push(Load { device: id, port: None, from, to, current, told });
        }
    }

    /// True where nothing but this pin can feed its net.
    fn feeds(&self, pin: PinId) -> bool {
        let net = self.electrical.net(pin);
        let feeds_too = |other: PinId| {
            let device = self.h.device(self.h.pin(other).device);
            match &device.class {
                DeviceClass::Supply { .. } => true,
                DeviceClass::Stud { others, .. } => *others > 0,
                DeviceClass::Equipment | DeviceClass::Sensor => match self.h.port_of(other) {
                    Some((port, _)) => is_powered(device) && !matches!(port.kind, PortKind::PowerIn),
                    None => self.is_wired(other) && other != pin,
                },
                _ => false,
            }
        };
        net.contacts.is_empty() && !net.pins.iter().any(|other| feeds_too(*other))
    }
}

/// True where a device takes power or has a ground of its own, so that its senders' currents meet inside it.
pub(super) fn is_powered(device: &Device) -> bool {
    device.ports.iter().any(|p| matches!(p.kind, PortKind::PowerIn | PortKind::Ground))
}
