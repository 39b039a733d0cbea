//! Electrical graph in; the pairs of legs that carry millivolts out: what each leg of them runs over.

use std::collections::BTreeSet;

use super::electrical::Electrical;
use crate::harness::{ConductorId, Device, DeviceId, Harness, PinId};
use crate::parts::words::{PortKind, Role, Style};

/// Both legs of a thermocouple or shunt.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SignalPair {
    /// The probe or shunt.
    pub device: DeviceId,
    /// Index of its port.
    pub port: u32,
    /// Thermocouple or millivolts.
    pub kind: PortKind,
    /// Conductors that plus is wired over as far as the gauge, without drain leads, in order.
    pub plus: Vec<ConductorId>,
    /// The same of minus.
    pub minus: Vec<ConductorId>,
}

impl SignalPair {
    /// Conductors of both legs.
    pub fn conductors(&self) -> impl Iterator<Item = ConductorId> + '_ {
        self.plus.iter().chain(&self.minus).copied()
    }
}

impl Electrical {
    /// The pairs of every probe and shunt of which both legs are wired, in the order of the spec. Costs the size of the
    /// nets of their pins.
    pub fn signal_pairs(&self, h: &Harness) -> Vec<SignalPair> {
        let mut pairs = Vec::new();
        for (i, device) in h.devices.iter().enumerate().filter(|(_, d)| gives_millivolts(d)) {
            for (index, port) in device.ports.iter().enumerate() {
                let small = port.kind.thermocouple().is_some() || port.kind == PortKind::Millivolt;
                let pin = |role| port.pins.iter().find(|(r, _)| *r == role).map(|(_, p)| *p);
                let (Some(plus), Some(minus)) = (pin(Role::Plus), pin(Role::Minus)) else { continue };
                let [plus, minus] = [plus, minus].map(|p| self.conductors_over(h, p));
                if small && !plus.is_empty() && !minus.is_empty() {
                    let port_index = u32::try_from(index).unwrap_or(u32::MAX);
                    pairs.push(SignalPair {
                        device: DeviceId::at(i),
                        port: port_index,
                        kind: port.kind,
                        plus,
                        minus,
                    });
                }
            }
        }
        pairs
    }

    /// Conductors that a pin is wired over, through splices, studs and mated contacts; drain leads left out.
    pub fn conductors_over(&self, h: &Harness, pin: PinId) -> Vec<ConductorId> {
        let pins = self.wired(pin).iter();
        let of = pins.flat_map(|p| self.conductors_at(*p)).copied().filter(|c| !h.conductor(*c).drain);
        of.collect::<BTreeSet<_>>().into_iter().collect()
    }
}

/// The gauge has millivolt ports too; the pair is told from its other end.
fn gives_millivolts(device: &Device) -> bool {
    !matches!(device.style, Some(Style::Indicator | Style::Converter))
}
