//! Nets in; what lies behind a point while every switch is closed, out.
//!
//! A switch is a device with wired pins of which its part says nothing, on different nets that touch no body. What comes
//! in at one of them goes out at those that nothing else feeds. Where several of its nets are fed, as at a relay with a
//! feed of its own for the coil, or where what it gives meets what another gives, nothing here says which way it goes: a
//! part that joins its pins (`links:`) would. That such a device is a switch is taken, not known: a lamp or a ballast of
//! which the part says nothing looks the same.
//!
//! Built in one pass from what feeds: each net is fed once, each device looked at once, O(pins log pins). A question costs
//! the nets that it reaches.

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
    /// Nets on which something gives that is no switch.
    sources: BTreeSet<NetKey>,
    /// By net: all devices that may be switches.
    touching: BTreeMap<NetKey, Vec<DeviceId>>,
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
    /// Of a pin behind a switch, the last that is passed on the way to it.
    pub after: BTreeMap<PinId, DeviceId>,
    /// Of a switch behind another, that one.
    before: BTreeMap<DeviceId, DeviceId>,
    /// Pins that lie behind a device of `unsure`, and that device: what feeds them is not known.
    pub doubtful: BTreeMap<PinId, DeviceId>,
}

impl Behind {
    /// The switches that are passed on the way to a pin, in order.
    pub fn switches_to(&self, pin: PinId) -> Vec<DeviceId> {
        let last = self.after.get(&pin).copied();
        let mut way: Vec<DeviceId> =
            std::iter::successors(last, |switch| self.before.get(switch).copied()).collect();
        way.reverse();
        way
    }
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
        let sources = fed.keys().copied().collect();
        let mut made = Switches { nets_of, sources, ..Switches::default() };
        let mut looked_at = BTreeSet::new();
        while let Some(net) = queue.pop_front() {
            for device in on.get(&net).into_iter().flatten() {
                // What is fed stays fed: a second look finds no more.
                if !looked_at.insert(*device) {
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
        made.touching = on;
        made
    }

    /// Devices that give to one net from different ones: which of them takes there is not known.
    fn meeting(
        &self,
        on: &BTreeMap<NetKey, Vec<DeviceId>>,
        fed: &BTreeMap<NetKey, Option<DeviceId>>,
    ) -> BTreeSet<DeviceId> {
        // By device, how many of its nets something else feeds; of these, how many each feeds.
        type FedBy = BTreeMap<Option<DeviceId>, usize>;
        let mut fed_by: BTreeMap<DeviceId, (usize, FedBy)> = BTreeMap::new();
        for (device, nets) in &self.nets_of {
            let (all, by) = fed_by.entry(*device).or_default();
            for feeder in nets.iter().filter_map(|net| fed.get(net)).filter(|by| **by != Some(*device)) {
                *all += 1;
                *by.entry(*feeder).or_default() += 1;
            }
        }
        let mut unsure = BTreeSet::new();
        for (device, gives) in self.gives.iter().filter_map(|(d, gives)| Some((d, gives.as_ref()?))) {
            let feeds_it = fed.get(&gives.from).copied().flatten();
            for net in &gives.to {
                for other in on.get(net).into_iter().flatten().filter(|other| *other != device) {
                    let Some((all, by)) = fed_by.get(other) else { continue };
                    let by_it = by.get(&Some(*device)).copied().unwrap_or_default();
                    // Where both take from one net, that is no other feed.
                    let takes_too = self.nets_of.get(other).is_some_and(|nets| nets.contains(&gives.from));
                    let same = usize::from(takes_too && feeds_it != Some(*other));
                    if *all > by_it + same {
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
        let mut unsure = BTreeSet::new();
        let mut queue = VecDeque::from([(pin, None)]);
        while let Some((pin, last)) = queue.pop_front() {
            let net = electrical.net(pin);
            let Some(first) = net.pins.first().filter(|first| seen.insert(**first)) else { continue };
            behind.pins.extend(&net.pins);
            if let Some(last) = last {
                behind.after.extend(net.pins.iter().map(|pin| (*pin, last)));
            }
            for device in self.on.get(first).into_iter().flatten() {
                match self.gives.get(device) {
                    Some(Some(gives)) => {
                        behind.through.push(*device);
                        behind.before.extend(last.map(|last| (*device, last)));
                        queue.extend(gives.to.iter().map(|net| (*net, Some(*device))));
                    }
                    Some(None) if unsure.insert(*device) => behind.unsure.push(*device),
                    _ => {}
                }
            }
        }
        self.doubtful(electrical, &mut behind, seen);
        behind
    }

    /// On from what is not sure, over all that may be a switch, up to what something else feeds.
    fn doubtful(&self, electrical: &Electrical, behind: &mut Behind, mut seen: BTreeSet<NetKey>) {
        let mut queue: VecDeque<_> = behind.unsure.iter().map(|device| (*device, *device)).collect();
        let mut passed = BTreeSet::new();
        while let Some((unsure, device)) = queue.pop_front() {
            if !passed.insert(device) {
                continue;
            }
            for net in self.nets_of.get(&device).into_iter().flatten() {
                if self.sources.contains(net) || !seen.insert(*net) {
                    continue;
                }
                behind.doubtful.extend(electrical.net(*net).pins.iter().map(|pin| (*pin, unsure)));
                queue.extend(self.touching.get(net).into_iter().flatten().map(|next| (unsure, *next)));
            }
        }
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
