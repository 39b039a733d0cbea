//! Nets and the outgoing sides of switches in; what lies behind a point while every switch is closed, out.
//!
//! A switch is known by what feeds: a pin of which the part says nothing and that alone feeds its net
//! ([`super::Loads::feeding`]). What it gives comes in at the other pins of its device of which the part says nothing and
//! that are on no body. Where these are on one net, it comes from there. Where they are on several, as at a relay with a
//! feed of its own for the coil, nothing here says from which: a part that joins its pins (`links:`) would.
//!
//! Built in one pass over the pins that feed; a question costs the nets that it reaches.

use std::collections::{BTreeMap, BTreeSet, VecDeque};

use super::electrical::Electrical;
use crate::harness::{DeviceId, Harness, PinId};

/// The switches of a harness.
#[derive(Clone, Debug, Default)]
pub struct Switches {
    /// By first pin of a net: the devices that pass it on.
    from: BTreeMap<PinId, BTreeSet<DeviceId>>,
    /// By device: the pins at which it gives, and the nets, by their first pins, at which it takes.
    of: BTreeMap<DeviceId, Switch>,
}

#[derive(Clone, Debug, Default)]
struct Switch {
    gives: Vec<PinId>,
    takes: BTreeSet<PinId>,
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
    /// Finds them. `feeding` as [`super::Loads::feeding`] has it.
    pub fn of(h: &Harness, electrical: &Electrical, feeding: &[PinId]) -> Switches {
        let mut made = Switches::default();
        for pin in feeding {
            made.of.entry(h.pin(*pin).device).or_default().gives.push(*pin);
        }
        for (id, switch) in &mut made.of {
            let on_case = &h.device(*id).on_case;
            let given: BTreeSet<PinId> = switch.gives.iter().copied().collect();
            for pin in h.pins_of(*id) {
                let net = electrical.net(pin);
                let wired = !electrical.conductors_at(pin).is_empty();
                let open = wired && h.pin(pin).port.is_none() && !on_case.contains(&pin);
                if open && !given.contains(&pin) && net.contacts.is_empty() {
                    switch.takes.extend(net.pins.first());
                }
            }
            // What it gives does not come back to it.
            for pin in &switch.gives {
                if let Some(first) = electrical.net(*pin).pins.first() {
                    switch.takes.remove(first);
                }
            }
            for net in &switch.takes {
                made.from.entry(*net).or_default().insert(*id);
            }
        }
        made
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
            for device in self.from.get(first).into_iter().flatten() {
                let Some(switch) = self.of.get(device) else { continue };
                if switch.takes.len() == 1 {
                    behind.through.push(*device);
                    queue.extend(&switch.gives);
                } else {
                    behind.unsure.push(*device);
                }
            }
        }
        behind
    }

    /// Pins at which the device of a feeding pin takes what it gives; none where it is no switch.
    pub fn takes_at(&self, device: DeviceId) -> impl Iterator<Item = PinId> + '_ {
        self.of.get(&device).into_iter().flat_map(|switch| switch.takes.iter().copied())
    }
}
