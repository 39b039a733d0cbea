//! Electrical graph in; for every thermocouple of a sensor, what each of its legs runs through on the way to the gauge.
//!
//! A leg is followed from the sensor's pin through wires, mated contacts, splices and studs until it comes to a pin of
//! another device. A leg passes each pin once; several probes on one net each walk all of it.

use super::electrical::Electrical;
use crate::harness::{ConductorId, DeviceClass, DeviceId, Harness, PinId, Port};
use crate::parts::words::Role;
use crate::trade::thermocouple_colour::{Alloy, ThermocoupleType};

/// What a leg passes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Piece {
    /// A pin: contact, terminal, splice or stud.
    Pin(PinId),
    /// A conductor.
    Conductor(ConductorId),
}

impl Piece {
    /// What it is made of.
    pub fn alloy(self, harness: &Harness) -> Alloy {
        match self {
            Piece::Pin(p) => harness.pin(p).alloy,
            Piece::Conductor(c) => harness.conductor(c).alloy,
        }
    }
}

/// A leg from a sensor's pin.
#[derive(Clone, Debug)]
pub struct Leg {
    /// What it passes in order: the sensor's pin first, the pin it comes to last.
    pub pieces: Vec<Piece>,
    /// Pins of other devices that it comes to; none where it ends in the open, several where it branches.
    pub ends: Vec<PinId>,
}

impl Leg {
    /// The pin it comes to, where there is exactly one.
    pub fn end(&self) -> Option<PinId> {
        match self.ends.as_slice() {
            [only] => Some(*only),
            _ => None,
        }
    }
}

/// Where a leg goes over to the other leg's side: to the material, or the gauge's pin, of the other polarity.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Change {
    /// The pin at which it does.
    pub at: PinId,
    /// The conductor to look at: the one that lands on the wrong pin, or the one of the wrong material.
    pub conductor: ConductorId,
    /// Its side from there on.
    pub to: Role,
}

/// A thermocouple of a sensor and its two legs.
#[derive(Clone, Debug)]
pub struct ThermocoupleRun {
    /// The sensor.
    pub sensor: DeviceId,
    /// Index of its port.
    pub port: u32,
    /// Type of the thermocouple.
    pub kind: ThermocoupleType,
    /// From its positive pin.
    pub plus: Leg,
    /// From its negative pin.
    pub minus: Leg,
}

impl ThermocoupleRun {
    /// Which leg a material belongs to; `None` for copper and for the other type's materials.
    pub fn side(&self, alloy: Alloy) -> Option<Role> {
        match alloy {
            a if a == self.kind.positive() => Some(Role::Plus),
            a if a == self.kind.negative() => Some(Role::Minus),
            _ => None,
        }
    }

    /// Where a leg that starts as `side` changes sides, in order: told by the materials of its wires, and at the gauge by
    /// the role of its pin. Copper and foreign materials say nothing, and contacts on the way are too short to count.
    pub fn changes(&self, harness: &Harness, side: Role) -> Vec<Change> {
        let leg = if side == Role::Minus { &self.minus } else { &self.plus };
        let end = leg.end();
        let mut now = side;
        let mut changes = Vec::new();
        // The last pin and the last wire passed.
        let (mut pin, mut wire) = (None, None);
        for piece in &leg.pieces {
            let new = match *piece {
                Piece::Pin(p) => {
                    pin = Some(p);
                    harness.port_of(p).map(|(_, role)| role).filter(|_| Some(p) == end)
                }
                Piece::Conductor(c) => {
                    wire = Some(c);
                    self.side(harness.conductor(c).alloy)
                }
            };
            if let (Some(to @ (Role::Plus | Role::Minus)), Some(at), Some(conductor)) = (new, pin, wire)
                && to != now
            {
                changes.push(Change { at, conductor, to });
                now = to;
            }
        }
        changes
    }
}

impl Electrical {
    /// The legs of every thermocouple port of a sensor that has both pins, in the order of the spec.
    pub fn thermocouple_runs(&self, harness: &Harness) -> Vec<ThermocoupleRun> {
        let mut passed = vec![0; harness.pins.len()];
        let mut walk = 0;
        let mut runs = Vec::new();
        for (at, device) in harness.devices.iter().enumerate() {
            if !matches!(device.class, DeviceClass::Sensor) {
                continue;
            }
            for (index, port) in device.ports.iter().enumerate() {
                let Some(kind) = port.kind.thermocouple() else { continue };
                let (Some(plus), Some(minus)) = (pin_of(port, Role::Plus), pin_of(port, Role::Minus)) else {
                    continue;
                };
                walk += 2;
                runs.push(ThermocoupleRun {
                    sensor: DeviceId::at(at),
                    port: u32::try_from(index).unwrap_or(u32::MAX),
                    kind,
                    plus: self.leg_from(harness, plus, &mut passed, walk),
                    minus: self.leg_from(harness, minus, &mut passed, walk + 1),
                });
            }
        }
        runs
    }

    /// `passed` holds for each pin the last walk that came by; `walk` is the number of this one.
    fn leg_from(&self, harness: &Harness, start: PinId, passed: &mut [u32], walk: u32) -> Leg {
        let mut trail = vec![Reached { pin: start, from: None, over: None }];
        let mut ends = Vec::new();
        let mut first_end = None;
        let mut at = 0;
        passed[start.index()] = walk;
        while let Some(&Reached { pin, from, .. }) = trail.get(at) {
            if from.is_some() && is_terminus(harness, pin) {
                ends.push(pin);
                first_end.get_or_insert(at);
            } else {
                let wired = self.conductors_at(pin).iter().map(|c| (other_end(harness, *c, pin), Some(*c)));
                let mated = harness.mate(pin).map(|m| (m, None));
                for (next, over) in wired.chain(mated) {
                    if std::mem::replace(&mut passed[next.index()], walk) != walk {
                        trail.push(Reached { pin: next, from: Some(at), over });
                    }
                }
            }
            at += 1;
        }
        // To its end; a leg that ends in the open is told to the last pin reached.
        let mut pieces = Vec::new();
        let mut entry = Some(first_end.unwrap_or(trail.len() - 1));
        while let Some(reached) = entry.and_then(|e| trail.get(e)) {
            pieces.push(Piece::Pin(reached.pin));
            pieces.extend(reached.over.map(Piece::Conductor));
            entry = reached.from;
        }
        pieces.reverse();
        Leg { pieces, ends }
    }
}

/// A pin that the walk came to.
struct Reached {
    pin: PinId,
    /// Entry of the trail that it was reached from.
    from: Option<usize>,
    /// Over which conductor; `None` through mated contacts.
    over: Option<ConductorId>,
}

/// The pin of a role in a port.
fn pin_of(port: &Port, role: Role) -> Option<PinId> {
    port.pins.iter().find(|(r, _)| *r == role).map(|(_, p)| *p)
}

/// The end of a conductor that is not `pin`.
fn other_end(harness: &Harness, conductor: ConductorId, pin: PinId) -> PinId {
    let c = harness.conductor(conductor);
    if c.from == pin { c.to } else { c.from }
}

/// True where a wire has come to the device it serves, not to something it goes on from.
fn is_terminus(harness: &Harness, pin: PinId) -> bool {
    let class = &harness.device(harness.pin(pin).device).class;
    matches!(class, DeviceClass::Equipment | DeviceClass::Sensor | DeviceClass::Supply { .. })
}
