//! A circuit of the spec in, its legs out: which pin is joined to which.

use super::devices::Devices;
use super::ends::{End, look_up, one_pin};
use super::names::{Lost, Names};
use super::origin::{Origin, Spot};
use super::{Device, DeviceClass, DeviceId, Located, PinId, PlaceId, Port};
use crate::diag::{Sink, Span};
use crate::parts::words::{Measure, PortKind, Role};
use crate::spec::model::CircuitSpec;
use crate::spec::words::CircuitKind;
use crate::trade::thermocouple_colour::ThermocoupleType;

/// One leg: a way from pin to pin that in-line connectors may yet break.
#[derive(Clone, Copy, Debug)]
pub(super) struct Leg {
    pub from: PinId,
    pub to: PinId,
    pub role: Option<Role>,
    pub span: Span,
}

/// What a circuit joins.
#[derive(Clone, Debug, Default)]
pub(super) struct Legs {
    pub legs: Vec<Leg>,
    /// Whole ports that were named, `from` first.
    pub ports: Vec<Located<(DeviceId, u32)>>,
    /// Where the ends of a `join` meet.
    pub joint: Option<DeviceId>,
}

/// Reads the ends of circuits.
pub(super) struct Reader<'a, 's> {
    pub origin: &'a Origin<'a>,
    pub lost: &'a Lost<'a>,
    pub places: &'a Names<PlaceId>,
    pub devices: &'s mut Devices,
    pub sink: &'s mut Sink,
}

impl Reader<'_, '_> {
    /// The legs of a circuit; empty where its ends are wrong, which was told.
    pub(super) fn read(&mut self, name: &str, spec: &CircuitSpec, spot: Spot) -> Legs {
        match (&spec.from, &spec.to, &spec.legs, &spec.join) {
            (Some(from), Some(to), None, None) => self.between(from, to, spot),
            (None, None, Some(legs), None) => self.pin_by_pin(legs, spot),
            (None, None, None, Some(ends)) => self.joined(name, ends, spec, spot),
            (Some(_), None, None, None) => self.incomplete(name, spot, "add `to:`, its other end"),
            (None, Some(_), None, None) => self.incomplete(name, spot, "add `from:`, its other end"),
            (None, None, None, None) => {
                self.incomplete(name, spot, "add `from:` and `to:`, or `legs:`, or `join:`")
            }
            _ => {
                self.sink.unreadable(
                    spot.name,
                    format!("circuit `{name}` says in two ways what it joins"),
                    "keep one: `from:` and `to:`, or `legs:`, or `join:`",
                );
                Legs::default()
            }
        }
    }

    fn incomplete(&mut self, name: &str, spot: Spot, remedy: &str) -> Legs {
        self.sink.unreadable(spot.name, format!("circuit `{name}` does not say what it joins"), remedy);
        Legs::default()
    }

    fn end(&mut self, text: &str, span: Span) -> Option<End> {
        look_up(text, span, self.devices, self.lost, self.sink)
    }

    fn pin(&mut self, text: &str, span: Span) -> Option<PinId> {
        let end = self.end(text, span)?;
        one_pin(end, text, span, self.devices, self.sink)
    }

    fn role(&self, pin: PinId) -> Option<Role> {
        self.devices.pins.get(pin.index())?.port.map(|(_, role)| role)
    }

    fn device(&self, pin: PinId) -> Option<&Device> {
        self.devices.devices.get(self.devices.pins.get(pin.index())?.device.index())
    }

    fn different(&mut self, from: PinId, to: PinId, span: Span) -> bool {
        if from == to {
            self.sink.unreadable(span, "the leg joins a pin to itself", "name two different pins");
        }
        from != to
    }

    fn between(&mut self, from: &str, to: &str, spot: Spot) -> Legs {
        let spans = [self.origin.field(spot, "from"), self.origin.field(spot, "to")];
        let ends = (self.end(from, spans[0]), self.end(to, spans[1]));
        let (Some(a), Some(b)) = ends else { return Legs::default() };
        let mut made = Legs::default();
        for (end, span) in [(a, spans[0]), (b, spans[1])] {
            if let End::Port(device, port) = end {
                made.ports.push(Located { value: (device, port), span });
            }
        }
        if let (End::Port(d1, p1), End::Port(d2, p2)) = (a, b) {
            for (x, y, role) in self.by_role((d1, p1), (d2, p2)) {
                if self.different(x, y, spans[1]) {
                    made.legs.push(Leg { from: x, to: y, role: Some(role), span: spot.name });
                }
            }
            return made;
        }
        let x = one_pin(a, from, spans[0], self.devices, self.sink);
        let y = one_pin(b, to, spans[1], self.devices, self.sink);
        if let (Some(x), Some(y)) = (x, y)
            && self.different(x, y, spans[1])
        {
            let role = self.role(x).or_else(|| self.role(y));
            made.legs.push(Leg { from: x, to: y, role, span: spot.name });
        }
        made
    }

    /// Pins of two ports that belong together. Where the ports do not suit each other, pins without a namesake are
    /// taken in order, as a person would who overlooks that: the rule on ports then finds it.
    fn by_role(&self, a: (DeviceId, u32), b: (DeviceId, u32)) -> Vec<(PinId, PinId, Role)> {
        let port = |(device, port): (DeviceId, u32)| {
            self.devices.devices.get(device.index()).and_then(|d| d.ports.get(port as usize))
        };
        let (Some(a), Some(b)) = (port(a), port(b)) else { return Vec::new() };
        let mut legs: Vec<(PinId, PinId, Role)> = Vec::new();
        for (role, pin) in &a.pins {
            if let Some((_, other)) = b.pins.iter().find(|(r, _)| r == role) {
                legs.push((*pin, *other, *role));
            }
        }
        if !a.suits(b) {
            let free = |pins: &[(Role, PinId)]| -> Vec<(Role, PinId)> {
                pins.iter().filter(|(_, p)| !legs.iter().any(|(x, y, _)| x == p || y == p)).copied().collect()
            };
            let rest: Vec<_> = free(&a.pins).into_iter().zip(free(&b.pins)).collect();
            legs.extend(rest.into_iter().map(|((role, x), (_, y))| (x, y, role)));
        }
        legs
    }

    fn pin_by_pin(&mut self, legs: &indexmap::IndexMap<String, String>, spot: Spot) -> Legs {
        let mut made = Legs::default();
        for (i, (from, to)) in legs.iter().enumerate() {
            let (from_span, to_span) = self.origin.pair(spot, "legs", i);
            let (x, y) = (self.pin(from, from_span), self.pin(to, to_span));
            let (Some(x), Some(y)) = (x, y) else { continue };
            if self.different(x, y, to_span) {
                let role = self.role(x).or_else(|| self.role(y));
                made.legs.push(Leg { from: x, to: y, role, span: from_span });
            }
        }
        if legs.is_empty() {
            let span = self.origin.field(spot, "legs");
            self.sink.unreadable(span, "the circuit has no legs", "write `pin: pin` for each");
        }
        made
    }

    fn joined(&mut self, name: &str, ends: &[String], spec: &CircuitSpec, spot: Spot) -> Legs {
        let mut pins = Vec::with_capacity(ends.len());
        for (i, text) in ends.iter().enumerate() {
            let span = self.origin.element(spot, "join", i);
            let Some(pin) = self.pin(text, span) else { return Legs::default() };
            if pins.iter().any(|(p, _)| *p == pin) {
                self.sink.unreadable(span, format!("`{text}` is joined twice"), "name each end once");
                return Legs::default();
            }
            pins.push((pin, span));
        }
        if pins.len() < 2 {
            let span = self.origin.field(spot, "join");
            self.sink.unreadable(span, "a join has two ends or more", "name what is joined");
            return Legs::default();
        }
        let mut place = None;
        let mut hub = None;
        if let Some(text) = &spec.joined_at {
            let span = self.origin.field(spot, "joined-at");
            if let Some(value) = self.places.get(text) {
                place = Some(Located { value, span });
            } else {
                match self.pin(text, span) {
                    Some(pin) => hub = Some(pin),
                    None => return Legs::default(),
                }
            }
        }
        let hub = hub.or_else(|| {
            let meets = |pin: PinId| {
                self.device(pin).is_some_and(|d| {
                    matches!(
                        d.class,
                        DeviceClass::Ground { .. } | DeviceClass::Stud { .. } | DeviceClass::Splice { .. }
                    )
                })
            };
            pins.iter().map(|(pin, _)| *pin).find(|pin| place.is_none() && meets(*pin))
        });
        let mut made = Legs::default();
        let hub = match hub {
            Some(hub) => hub,
            None if pins.len() == 2 && place.is_none() => pins.swap_remove(1).0,
            None => {
                let splice = self.free_name(name);
                let title = format!("splice of {name}");
                self.devices.make_splice(&splice, title, place, spot.name)
            }
        };
        made.joint = self
            .devices
            .pins
            .get(hub.index())
            .map(|p| p.device)
            .filter(|_| pins.len() > 1 || place.is_some());
        for (pin, span) in pins {
            if pin != hub {
                let role = self.role(pin).or_else(|| self.role(hub));
                made.legs.push(Leg { from: pin, to: hub, role, span });
            }
        }
        made
    }

    /// A name for the splice of a circuit that no device has.
    fn free_name(&self, circuit: &str) -> String {
        let base = format!("{circuit}-joint");
        let mut name = base.clone();
        let mut n = 1;
        while self.devices.names.get(&name).is_some() {
            n += 1;
            name = format!("{base}-{n}");
        }
        name
    }

    /// The type of thermocouple that the ports of the legs say, if any does; a port that takes both types leaves it to
    /// the other end.
    pub(super) fn thermocouple(&self, legs: &Legs) -> Option<ThermocoupleType> {
        let of = |decided: bool| {
            self.ports(legs)
                .filter(|p| p.also.iter().all(|k| k.thermocouple().is_none()) == decided)
                .find_map(|p| p.kind.thermocouple())
        };
        of(true).or_else(|| of(false))
    }

    fn ports<'l>(&'l self, legs: &'l Legs) -> impl Iterator<Item = &'l Port> + 'l {
        legs.legs.iter().flat_map(|leg| [leg.from, leg.to]).filter_map(|pin| {
            let (port, _) = self.devices.pins.get(pin.index())?.port?;
            self.device(pin)?.ports.get(port as usize)
        })
    }

    /// What the circuit is for, where the spec does not say it.
    pub(super) fn kind(&self, legs: &Legs) -> CircuitKind {
        if self.thermocouple(legs).is_some() {
            return CircuitKind::Thermocouple;
        }
        let kinds: Vec<PortKind> = self.ports(legs).map(|p| p.kind).collect();
        let ends = || legs.legs.iter().flat_map(|leg| [leg.from, leg.to]);
        let class = |wanted: fn(&DeviceClass) -> bool| {
            ends().any(|pin| self.device(pin).is_some_and(|d| wanted(&d.class)))
        };
        let grounded = class(|c| matches!(c, DeviceClass::Ground { .. }));
        if kinds.contains(&PortKind::Lamp) {
            CircuitKind::Warning
        } else if kinds.contains(&PortKind::Ground) || (grounded && kinds.is_empty()) {
            CircuitKind::Ground
        } else if kinds.contains(&PortKind::PowerIn) {
            CircuitKind::Power
        } else if grounded {
            CircuitKind::Ground
        } else if class(|c| matches!(c, DeviceClass::Supply { .. })) && kinds.is_empty() {
            CircuitKind::Power
        } else {
            CircuitKind::Signal
        }
    }

    /// What the circuit measures, by its ports, else by its devices.
    pub(super) fn measure(&self, legs: &Legs) -> Option<Measure> {
        let ends = || legs.legs.iter().flat_map(|leg| [leg.from, leg.to]);
        self.ports(legs)
            .find_map(|p| p.measures)
            .or_else(|| ends().find_map(|pin| self.device(pin)?.measures))
    }
}

/// The system that lists group a circuit under, where the spec does not say it.
pub(super) fn system(kind: CircuitKind, measure: Option<Measure>) -> &'static str {
    match (kind, measure) {
        (CircuitKind::Ground, _) => "ground",
        (CircuitKind::Power, _) => "power",
        (CircuitKind::Warning, _) => "warning",
        (_, Some(measure)) => measure.words(),
        (CircuitKind::Thermocouple, None) => "temperature",
        (CircuitKind::Signal, None) => "signals",
    }
}
