//! Nets in; what lies behind a point while every switch is closed, out.
//!
//! A switch is a device with wired pins of which its part says nothing, on different nets that touch no body. What comes
//! in at one of them goes out at those that nothing else feeds. Where several of its nets are fed, as at a relay with a
//! feed of its own for the coil, or where what it gives meets what another gives, nothing here says which way it goes: a
//! part that joins its pins (`links:`) would.
//!
//! Built in one pass from what feeds: each net is fed once. A question costs the nets that it reaches.

use std::collections::{BTreeMap, BTreeSet, VecDeque};

use super::electrical::{Electrical, Net};
use super::load::is_powered;
use crate::harness::{DeviceClass, DeviceId, Harness, PinId};
use crate::parts::words::PortKind;

/// A net, by its first pin.
type NetKey = PinId;

/// The switches of a harness.
#[derive(Clone, Debug, Default)]
pub struct Switches {
    /// By device, its nets that may be switched.
    nets_of: BTreeMap<DeviceId, BTreeSet<NetKey>>,
    /// By net: the devices that take from it, or may.
    on: BTreeMap<NetKey, Vec<DeviceId>>,
    /// By device: what it gives; `None` where that is not known.
    gives: BTreeMap<DeviceId, Option<Gives>>,
}

#[derive(Clone, Debug)]
struct Gives {
    from: NetKey,
    to: Vec<NetKey>,
}

/// What lies behind a point.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Behind {
    /// Pins that are one with it while every switch is closed, its own net first, then net by net.
    pub pins: Vec<PinId>,
    /// Switches that are passed.
    pub through: Vec<DeviceId>,
    /// Devices that it comes to and that give on what they may take from there or from elsewhere.
    pub unsure: Vec<DeviceId>,
}

impl Switches {
    /// Finds them.
    pub fn of(h: &Harness, electrical: &Electrical) -> Switches {
        let nets_of = open_nets(h, electrical);
        let mut on: BTreeMap<NetKey, Vec<DeviceId>> = BTreeMap::new();
        for (device, nets) in &nets_of {
            for net in nets {
                on.entry(*net).or_default().push(*device);
            }
        }
        // What feeds each net: `None` what is there from the start, else the switch that passes it on, nearest first.
        let mut fed: BTreeMap<NetKey, Option<DeviceId>> = BTreeMap::new();
        let mut queue: VecDeque<NetKey> =
            on.keys().copied().filter(|n| is_fed(h, electrical.net(*n))).collect();
        fed.extend(queue.iter().map(|net| (*net, None)));
        let mut made = Switches { nets_of, ..Switches::default() };
        while let Some(net) = queue.pop_front() {
            for device in on.get(&net).into_iter().flatten() {
                if made.gives.contains_key(device) {
                    continue;
                }
                let others = made.nets_of.get(device).into_iter().flatten().filter(|other| **other != net);
                let (known, open): (Vec<_>, Vec<_>) = others.partition(|other| fed.contains_key(other));
                match (known.is_empty(), open.is_empty()) {
                    (_, true) => {}
                    (true, false) => {
                        fed.extend(open.iter().map(|other| (*other, Some(*device))));
                        queue.extend(&open);
                        made.gives.insert(*device, Some(Gives { from: net, to: open }));
                    }
                    (false, false) => drop(made.gives.insert(*device, None)),
                }
            }
        }
        let unsure = made.meeting(&on, &fed);
        made.gives.extend(unsure.into_iter().map(|device| (device, None)));
        for (device, gives) in &made.gives {
            let taken = |net: &&NetKey| gives.as_ref().is_none_or(|gives| gives.from == **net);
            for net in made.nets_of.get(device).into_iter().flatten().filter(taken) {
                made.on.entry(*net).or_default().push(*device);
            }
        }
        made
    }

    /// Devices that give to one net from different ones: which of them takes there is not known.
    fn meeting(
        &self,
        on: &BTreeMap<NetKey, Vec<DeviceId>>,
        fed: &BTreeMap<NetKey, Option<DeviceId>>,
    ) -> BTreeSet<DeviceId> {
        let mut unsure = BTreeSet::new();
        for (device, gives) in self.gives.iter().filter_map(|(d, gives)| Some((d, gives.as_ref()?))) {
            for net in &gives.to {
                for other in on.get(net).into_iter().flatten().filter(|other| *other != device) {
                    let elsewhere = |n: &&NetKey| {
                        let own = fed.get(*n).is_none_or(|by| *by == Some(*other) || *by == Some(*device));
                        !own && **n != *net && **n != gives.from
                    };
                    if self.nets_of.get(other).into_iter().flatten().any(|n| elsewhere(&n)) {
                        unsure.extend([*device, *other]);
                    }
                }
            }
        }
        unsure
    }

    /// What lies behind the net of a pin.
    pub fn behind(&self, electrical: &Electrical, pin: PinId) -> Behind {
        let mut behind = Behind::default();
        let mut seen = BTreeSet::new();
        let mut queue = VecDeque::from([pin]);
        while let Some(pin) = queue.pop_front() {
            let net = electrical.net(pin);
            let Some(first) = net.pins.first().filter(|first| seen.insert(**first)) else { continue };
            behind.pins.extend(&net.pins);
            for device in self.on.get(first).into_iter().flatten() {
                match self.gives.get(device) {
                    Some(Some(gives)) => {
                        behind.through.push(*device);
                        queue.extend(&gives.to);
                    }
                    Some(None) if !behind.unsure.contains(device) => behind.unsure.push(*device),
                    _ => {}
                }
            }
        }
        behind
    }
}

/// Of devices that may be switches, the nets of their wired pins of which the part says nothing and that are on no body.
fn open_nets(h: &Harness, electrical: &Electrical) -> BTreeMap<DeviceId, BTreeSet<NetKey>> {
    let mut nets_of: BTreeMap<DeviceId, BTreeSet<NetKey>> = BTreeMap::new();
    for device in (0..h.devices.len()).map(DeviceId::at) {
        let d = h.device(device);
        if !matches!(d.class, DeviceClass::Equipment | DeviceClass::Sensor) {
            continue;
        }
        let open = |pin: &PinId| {
            let wired = !electrical.conductors_at(*pin).is_empty();
            wired && h.pin(*pin).port.is_none() && !d.on_case.contains(pin)
        };
        let nets = h.pins_of(device).filter(open).map(|pin| electrical.net(pin));
        let nets = nets.filter(|net| net.contacts.is_empty()).filter_map(|net| net.pins.first().copied());
        let nets: BTreeSet<NetKey> = nets.collect();
        if nets.len() > 1 {
            nets_of.insert(device, nets);
        }
    }
    nets_of
}

/// True for a net on which something gives that is no switch: a supply, a stud of the machine, what a device that is
/// powered has for its senders.
fn is_fed(h: &Harness, net: &Net) -> bool {
    net.pins.iter().any(|pin| {
        let device = h.device(h.pin(*pin).device);
        match &device.class {
            DeviceClass::Supply { .. } => true,
            DeviceClass::Stud { others, .. } => *others > 0,
            DeviceClass::Equipment | DeviceClass::Sensor => {
                let of_port = h.port_of(*pin).is_some_and(|(port, _)| port.kind != PortKind::PowerIn);
                of_port && is_powered(device)
            }
            _ => false,
        }
    })
}
