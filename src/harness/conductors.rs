//! Legs in, conductors out: broken at in-line connectors, taken from the cores of pairs and cables, laid together.

use std::collections::{BTreeMap, BTreeSet, HashMap};

use super::devices::Devices;
use super::ends::{look_up, one_pin};
use super::legs::{Leg, Legs};
use super::names::{Lost, Names};
use super::origin::{Origin, Spot};
use super::sides::Sides;
use super::structure::{located, unknown_part};
use super::wires::{Choice, Wires, usual_colour};
use super::{
    Cable, CableId, Chosen, Circuit, CircuitId, Conductor, ConductorId, DeviceClass, DeviceId, Lay, LayId,
    Located, Pin, PinId, PinSite, PlaceId,
};
use crate::diag::{Sink, Span};
use crate::parts::model::WirePart;
use crate::spec::model::{CircuitSpec, Spec};
use crate::spec::words::{Cavities, CircuitKind};
use crate::trade::colour::Colour;
use crate::trade::thermocouple_colour::Alloy;

/// Everything that circuits make.
#[derive(Default)]
pub(super) struct Wiring {
    pub circuits: Vec<Circuit>,
    pub conductors: Vec<Conductor>,
    pub lays: Vec<Lay>,
    pub cables: Vec<Cable>,
}

/// A circuit with its legs found.
pub(super) struct Read<'a> {
    pub name: &'a str,
    pub spec: &'a CircuitSpec,
    pub spot: Spot,
    pub legs: Legs,
    pub kind: CircuitKind,
    pub system: String,
    pub wire: Choice,
}

/// A cable of the section `cables` while its cores are being given out.
struct SharedCable<'a> {
    name: &'a str,
    spot: Spot,
    choice: Choice,
    cores: usize,
    taken: usize,
    /// One instance for each segment between in-line connectors.
    instances: Vec<CableId>,
    screen: Option<&'a Vec<String>>,
}

pub(super) struct Maker<'a, 's> {
    pub spec: &'a Spec,
    pub origin: &'a Origin<'a>,
    pub lost: &'a Lost<'a>,
    pub places: &'a Names<PlaceId>,
    pub wires: &'a Wires<'a>,
    pub sides: &'s mut Sides,
    pub devices: &'s mut Devices,
    pub sink: &'s mut Sink,
}

impl<'a> Maker<'a, '_> {
    pub(super) fn make(mut self, read: &[Read<'a>]) -> Wiring {
        let mut made = Wiring::default();
        let mut shared = self.shared_cables();
        let carried: HashMap<&str, usize> = self.carried(&shared);
        let mut taken = self.reserved(read);
        for circuit in read {
            let cable = carried.get(circuit.name).and_then(|at| shared.get_mut(*at));
            self.circuit(circuit, cable, &mut taken, &mut made);
        }
        for (at, circuit) in read.iter().enumerate() {
            self.own_screen(CircuitId::at(at), circuit, &mut made);
        }
        for cable in &shared {
            if let Some(ties) = cable.screen {
                let instances = cable.instances.clone();
                self.screen(&instances, ties, cable.spot, &mut made);
            }
        }
        made
    }

    fn shared_cables(&mut self) -> Vec<SharedCable<'a>> {
        let mut shared = Vec::new();
        let spots = self.origin.entries("cables", self.spec.cables.keys());
        for ((name, spec), spot) in self.spec.cables.iter().zip(spots) {
            let span = self.origin.field(spot, "wire");
            let Some((wire, part)) = self.wires.library.wires.look_up(&spec.wire) else {
                let names = self.wires.library.wires.names();
                unknown_part(self.sink, span, &spec.wire, "a cable", names);
                continue;
            };
            if part.cores.is_empty() {
                self.sink.unreadable(span, format!("`{}` is a single wire", spec.wire), "name a cable");
                continue;
            }
            shared.push(SharedCable {
                name,
                spot,
                choice: Choice { wire, span: Some(span) },
                cores: part.cores.len(),
                taken: 0,
                instances: Vec::new(),
                screen: spec.screen.as_ref(),
            });
        }
        shared
    }

    /// Index of the shared cable by the circuit that it carries.
    fn carried(&mut self, shared: &[SharedCable<'a>]) -> HashMap<&'a str, usize> {
        let mut carried = HashMap::new();
        for (at, cable) in shared.iter().enumerate() {
            let Some(spec) = self.spec.cables.get(cable.name) else { continue };
            for (i, circuit) in spec.carries.iter().enumerate() {
                let span = self.origin.element(cable.spot, "carries", i);
                let Some((_, key, circuit_spec)) = self.spec.circuits.get_full(circuit) else {
                    if !self.lost.has(circuit) {
                        let known = self.spec.circuits.keys().map(String::as_str);
                        let remedy = super::names::suggestion(circuit, known)
                            .unwrap_or_else(|| "name circuits of this spec".to_owned());
                        self.sink.unreadable(span, format!("`{circuit}` is not a circuit"), remedy);
                    }
                    continue;
                };
                if circuit_spec.wire.is_some() || circuit_spec.gauge.is_some() {
                    let message = format!("circuit `{circuit}` names a wire of its own and lies in a cable");
                    self.sink.unreadable(span, message, "take it out of one of the two");
                }
                if carried.insert(key.as_str(), at).is_some() {
                    let message = format!("circuit `{circuit}` is carried twice");
                    self.sink.unreadable(span, message, "let one cable carry it");
                }
            }
        }
        carried
    }

    /// Cavities of in-line connectors that circuits name, so that `auto` keeps off them.
    fn reserved(&self, read: &[Read]) -> BTreeMap<DeviceId, BTreeSet<String>> {
        let mut taken: BTreeMap<DeviceId, BTreeSet<String>> = BTreeMap::new();
        for circuit in read {
            for (connector, cavities) in &circuit.spec.via {
                if let (Some(id), Cavities::Named(marks)) = (self.devices.names.get(connector), cavities) {
                    taken.entry(id).or_default().extend(marks.iter().map(|m| m.0.clone()));
                }
            }
        }
        taken
    }

    fn part(&self, choice: Choice) -> &'a WirePart {
        self.wires.library.wires.get(choice.wire)
    }

    fn circuit(
        &mut self,
        read: &Read<'a>,
        shared: Option<&mut SharedCable<'a>>,
        taken: &mut BTreeMap<DeviceId, BTreeSet<String>>,
        made: &mut Wiring,
    ) {
        let id = CircuitId::at(made.circuits.len());
        let first = made.conductors.len();
        let choice = shared.as_ref().map_or(read.wire, |c| c.choice);
        let part = self.part(choice);
        let cores = match shared {
            None => self.cores(read, part, 0),
            Some(cable) => {
                let from = cable.taken;
                cable.taken += read.legs.legs.len();
                if from <= cable.cores && cable.taken > cable.cores {
                    let message = format!("cable `{}` has {} cores, too few", cable.name, cable.cores);
                    self.sink.unreadable(cable.spot.name, message, "let it carry less, or name a larger one");
                }
                let cores = self.cores(read, part, from);
                let segments = self.segments(read, taken, &cores, part);
                let through = self.through(read);
                self.lay_out(read, id, choice, &segments, &cores, Some(cable), &through, made);
                self.finish(read, id, first, through, made);
                return;
            }
        };
        let segments = self.segments(read, taken, &cores, part);
        let through = self.through(read);
        self.lay_out(read, id, choice, &segments, &cores, None, &through, made);
        self.finish(read, id, first, through, made);
    }

    fn finish(
        &self,
        read: &Read<'a>,
        id: CircuitId,
        first: usize,
        through: Vec<Located<PlaceId>>,
        made: &mut Wiring,
    ) {
        debug_assert_eq!(id.index(), made.circuits.len());
        made.circuits.push(Circuit {
            name: read.name.to_owned(),
            kind: read.kind,
            system: read.system.clone(),
            first_conductor: ConductorId::at(first),
            conductor_count: u32::try_from(made.conductors.len() - first).unwrap_or(0),
            ports: read.legs.ports.clone(),
            through,
            keep_off: read.spec.keep_off.clone(),
            length: located(read.spec.length, self.origin, read.spot, "length"),
            current: located(read.spec.current, self.origin, read.spot, "current"),
            joint: read.legs.joint,
            note: read.spec.note.clone(),
            span: read.spot.name,
        });
    }

    fn through(&mut self, read: &Read) -> Vec<Located<PlaceId>> {
        let mut through = Vec::new();
        for (i, name) in read.spec.through.iter().enumerate() {
            let span = self.origin.element(read.spot, "through", i);
            if let Some(value) = self.places.find(name, span, self.lost, self.sink) {
                through.push(Located { value, span });
            }
        }
        through
    }

    /// The core of each leg; `None` for single wires. A leg takes the core whose colour the spec says, else the one of
    /// its own alloy, else the next.
    fn cores(&mut self, read: &Read, part: &WirePart, from: usize) -> Vec<Option<u32>> {
        let legs = &read.legs.legs;
        let colours = &read.spec.colours;
        if !colours.is_empty() && colours.len() != legs.len() {
            self.sink.unreadable(
                self.origin.field(read.spot, "colours"),
                format!("{} colours for {} legs", colours.len(), legs.len()),
                "write one for each leg, in order",
            );
        }
        if part.cores.is_empty() {
            return vec![None; legs.len()];
        }
        if from == 0 && legs.len() > part.cores.len() {
            self.sink.unreadable(
                self.origin.field(read.spot, "wire"),
                format!(
                    "circuit `{}` has {} legs, its wire {} cores",
                    read.name,
                    legs.len(),
                    part.cores.len()
                ),
                "name a cable with as many cores",
            );
        }
        let mut free: Vec<usize> = (from..part.cores.len()).collect();
        let mut cores = vec![None; legs.len()];
        let take = |slot: &mut Option<u32>, free: &mut Vec<usize>, wanted: &dyn Fn(usize) -> bool| {
            if slot.is_none()
                && let Some(at) = free.iter().position(|i| wanted(*i))
            {
                *slot = u32::try_from(free.remove(at)).ok();
            }
        };
        let core = |i: usize| part.cores.get(i);
        for (slot, colour) in cores.iter_mut().zip(colours) {
            take(slot, &mut free, &|i| core(i).is_some_and(|c| c.colour == *colour));
        }
        for (slot, leg) in cores.iter_mut().zip(legs) {
            let alloys = [leg.from, leg.to].map(|p| self.devices.pins.get(p.index()).map(|p| p.alloy));
            let wanted = alloys.into_iter().flatten().find(|a| *a != Alloy::Copper);
            take(slot, &mut free, &|i| wanted.is_some() && core(i).is_some_and(|c| c.alloy == wanted));
        }
        for slot in &mut cores {
            take(slot, &mut free, &|_| true);
        }
        cores
    }

    /// For each segment between in-line connectors, the pins of every leg.
    fn segments(
        &mut self,
        read: &Read,
        taken: &mut BTreeMap<DeviceId, BTreeSet<String>>,
        cores: &[Option<u32>],
        part: &WirePart,
    ) -> Vec<Vec<(PinId, PinId)>> {
        let legs = &read.legs.legs;
        let mut segments = Vec::with_capacity(read.spec.via.len() + 1);
        let mut at: Vec<PinId> = legs.iter().map(|leg| leg.from).collect();
        for (i, (connector, cavities)) in read.spec.via.iter().enumerate() {
            let (key, span) = self.origin.pair(read.spot, "via", i);
            let Some(id) = self.devices.names.find(connector, key, self.lost, self.sink) else { continue };
            let Some(device) = self.devices.devices.get(id.index()) else { continue };
            let DeviceClass::InLine { plug_faces, .. } = device.class else {
                let message = format!("`{connector}` is not an in-line connector");
                self.sink.unreadable(key, message, "name one that stands under `connectors:`");
                continue;
            };
            let (first_pin, half, place) = (device.first_pin.0, device.pin_count / 2, device.place);
            let numbers = self.cavity_numbers(id, cavities, span, legs, cores, part, taken);
            if numbers.len() != legs.len() {
                continue;
            }
            let mut segment = Vec::with_capacity(legs.len());
            for ((pin, number), leg) in at.iter_mut().zip(numbers).zip(legs) {
                let near_plug = self.near_is_plug(*pin, leg.to, place, plug_faces);
                let (near, far) = if near_plug { (number, number + half) } else { (number + half, number) };
                segment.push((*pin, PinId(first_pin + near)));
                *pin = PinId(first_pin + far);
            }
            segments.push(segment);
        }
        segments.push(at.into_iter().zip(legs.iter().map(|leg| leg.to)).collect());
        segments
    }

    fn near_is_plug(&mut self, near: PinId, far: PinId, at: Option<PlaceId>, faces: PlaceId) -> bool {
        let Some(at) = at else { return true };
        let (near, far) = (self.place_of(near), self.place_of(far));
        let mut side = |place: Option<PlaceId>| place.and_then(|p| self.sides.faces(at, faces, p));
        match side(near) {
            Some(plug) => plug,
            // The near end lies at the connector itself: it is opposite the far end.
            None => side(far).is_none_or(|far_plug| !far_plug),
        }
    }

    fn place_of(&self, pin: PinId) -> Option<PlaceId> {
        let device = self.devices.devices.get(self.devices.pins.get(pin.index())?.device.index())?;
        device.lead_ends_at.map(|p| p.value).or(device.place)
    }

    /// The number within a half of each leg's cavity.
    #[allow(clippy::too_many_arguments)]
    fn cavity_numbers(
        &mut self,
        id: DeviceId,
        cavities: &Cavities,
        span: Span,
        legs: &[Leg],
        cores: &[Option<u32>],
        part: &WirePart,
        taken: &mut BTreeMap<DeviceId, BTreeSet<String>>,
    ) -> Vec<u32> {
        let Some(device) = self.devices.devices.get(id.index()) else { return Vec::new() };
        let pins = self
            .devices
            .pins
            .get(device.first_pin.index()..device.first_pin.index() + device.pin_count as usize / 2)
            .unwrap_or(&[]);
        let marks: Vec<(&str, Alloy)> = pins
            .iter()
            .map(|p| match &p.site {
                PinSite::Cavity { cavity, .. } => (cavity.as_str(), p.alloy),
                _ => ("", p.alloy),
            })
            .collect();
        let number =
            |mark: &str| marks.iter().position(|(m, _)| *m == mark).and_then(|n| u32::try_from(n).ok());
        match cavities {
            Cavities::Named(names) => {
                if names.len() != legs.len() {
                    self.sink.unreadable(
                        span,
                        format!("{} cavities of `{}` for {} legs", names.len(), device.name, legs.len()),
                        "write one for each leg, in order, or `auto`",
                    );
                    return Vec::new();
                }
                let mut numbers = Vec::with_capacity(names.len());
                for mark in names {
                    match number(&mark.0) {
                        Some(n) => numbers.push(n),
                        None => {
                            let known: Vec<&str> = marks.iter().map(|(m, _)| *m).collect();
                            self.sink.unreadable(
                                span,
                                format!("`{}` has no cavity `{mark}`", device.name),
                                format!("its cavities are {}", known.join(", ")),
                            );
                        }
                    }
                }
                numbers
            }
            Cavities::Auto => {
                let used = taken.entry(id).or_default();
                let mut numbers = Vec::with_capacity(legs.len());
                for core in cores {
                    let alloy = core
                        .and_then(|c| part.cores.get(c as usize))
                        .and_then(|c| c.alloy)
                        .unwrap_or(Alloy::Copper);
                    // A cavity of the same material, else the next free one: the rule on alloys then finds it.
                    let free = |wanted: Option<Alloy>| {
                        marks.iter().find(|(m, a)| !used.contains(*m) && wanted.is_none_or(|w| w == *a))
                    };
                    let Some((mark, _)) = free(Some(alloy)).or_else(|| free(None)) else {
                        self.sink.unreadable(
                            span,
                            format!("`{}` has no free cavity left", device.name),
                            "use a larger connector, or lead the circuit through another one",
                        );
                        return Vec::new();
                    };
                    let mark = (*mark).to_owned();
                    numbers.extend(number(&mark));
                    used.insert(mark);
                }
                numbers
            }
        }
    }

    #[allow(clippy::too_many_arguments)]
    fn lay_out(
        &mut self,
        read: &Read<'a>,
        circuit: CircuitId,
        choice: Choice,
        segments: &[Vec<(PinId, PinId)>],
        cores: &[Option<u32>],
        mut shared: Option<&mut SharedCable<'a>>,
        through: &[Located<PlaceId>],
        made: &mut Wiring,
    ) {
        let part = self.part(choice);
        let twist = located(read.spec.twist, self.origin, read.spot, "twist");
        for (s, segment) in segments.iter().enumerate() {
            let cable = if part.cores.is_empty() {
                None
            } else if let Some(shared) = shared.as_deref_mut() {
                if shared.instances.len() <= s {
                    let name = instance_name(shared.name, s, segments.len());
                    shared.instances.push(new_cable(name, choice, part, shared.spot.name, made));
                }
                shared.instances.get(s).copied()
            } else {
                let name = instance_name(read.name, s, segments.len());
                Some(new_cable(name, choice, part, read.spot.name, made))
            };
            let mut by_places: BTreeMap<[Option<PlaceId>; 2], LayId> = BTreeMap::new();
            for (l, (from, to)) in segment.iter().enumerate() {
                let id = ConductorId::at(made.conductors.len());
                let places = [self.place_of(*from), self.place_of(*to)];
                let of_cable = cable.and_then(|c| made.cables.get(c.index())).and_then(|c| {
                    c.cores
                        .iter()
                        .flatten()
                        .next()
                        .and_then(|c| made.conductors.get(c.index()))
                        .map(|c| c.lay)
                });
                let together = cable.is_some() || twist.is_some();
                let key = if together { [None, None] } else { places };
                let lay = of_cable.or_else(|| by_places.get(&key).copied()).unwrap_or_else(|| {
                    made.lays.push(Lay {
                        conductors: Vec::new(),
                        twist,
                        through: through.iter().map(|p| p.value).collect(),
                        keep_off: read.spec.keep_off.clone(),
                    });
                    LayId::at(made.lays.len() - 1)
                });
                by_places.insert(key, lay);
                if let Some(lay) = made.lays.get_mut(lay.index()) {
                    lay.conductors.push(id);
                }
                let leg = read.legs.legs.get(l);
                let core = cores.get(l).copied().flatten();
                if let (Some(cable), Some(core)) = (cable, core)
                    && let Some(slot) =
                        made.cables.get_mut(cable.index()).and_then(|c| c.cores.get_mut(core as usize))
                {
                    *slot = Some(id);
                }
                let core_part = core.and_then(|c| part.cores.get(c as usize));
                made.conductors.push(Conductor {
                    mark: String::new(),
                    circuit,
                    leg: u32::try_from(l).unwrap_or(0),
                    role: leg.and_then(|l| l.role),
                    from: *from,
                    to: *to,
                    wire: choice.wire,
                    core,
                    cable: cable.filter(|_| core.is_some()),
                    gauge: part.gauge,
                    alloy: core_part.and_then(|c| c.alloy).unwrap_or(Alloy::Copper),
                    colour: self.colour(read, l, core_part.map(|c| c.colour), choice),
                    lay,
                    drain: false,
                    span: leg.map_or(read.spot.name, |l| l.span),
                    wire_span: choice.span,
                });
            }
        }
    }

    fn colour(&self, read: &Read, leg: usize, core: Option<Colour>, choice: Choice) -> Chosen<Colour> {
        if let Some(value) = read.spec.colours.get(leg) {
            return Chosen { value: *value, span: Some(self.origin.element(read.spot, "colours", leg)) };
        }
        match core {
            Some(value) => Chosen { value, span: choice.span },
            None => {
                let role = read.legs.legs.get(leg).and_then(|l| l.role);
                Chosen { value: usual_colour(read.kind, role), span: None }
            }
        }
    }

    /// The screen of a circuit's own cable.
    fn own_screen(&mut self, id: CircuitId, read: &Read<'a>, made: &mut Wiring) {
        let Some(ties) = &read.spec.screen else { return };
        let Some(circuit) = made.circuits.get(id.index()) else { return };
        let first = circuit.first_conductor.index();
        let own = made.conductors.get(first..first + circuit.conductor_count as usize).unwrap_or(&[]);
        let mut instances: Vec<CableId> = own.iter().filter_map(|c| c.cable).collect();
        instances.dedup();
        self.screen(&instances, ties, read.spot, made);
    }

    /// Ties the screens of the segments of one cable.
    fn screen(&mut self, instances: &[CableId], ties: &[String], spot: Spot, made: &mut Wiring) {
        let span = self.origin.field(spot, "screen");
        let wire = instances.first().and_then(|c| made.cables.get(c.index())).map(|c| c.wire);
        let Some(screen) = wire.and_then(|w| self.wires.library.wires.get(w).screen.as_ref()) else {
            self.sink.unreadable(span, "its wire has no screen", "name a screened cable with `wire:`");
            return;
        };
        for id in instances {
            if let Some(cable) = made.cables.get_mut(id.index()) {
                cable.ties = Some(Vec::new());
            }
        }
        for (i, text) in ties.iter().enumerate() {
            let span = self.origin.element(spot, "screen", i);
            let Some(end) = look_up(text, span, self.devices, self.lost, self.sink) else { continue };
            let Some(tie) = one_pin(end, text, span, self.devices, self.sink) else { continue };
            let Some(id) = self.segment_at(instances, tie, made) else { continue };
            self.drain(id, tie, screen.drain, span, made);
        }
    }

    /// The segment of a cable that has an end at the device of `tie`, else at its place, else the first.
    fn segment_at(&self, instances: &[CableId], tie: PinId, made: &Wiring) -> Option<CableId> {
        let device = self.devices.pins.get(tie.index())?.device;
        let place = self.place_of(tie);
        let ends = |id: &CableId| {
            let cores = made.cables.get(id.index()).map(|c| c.cores.as_slice()).unwrap_or_default();
            cores
                .iter()
                .flatten()
                .filter_map(|c| made.conductors.get(c.index()))
                .flat_map(|c| [c.from, c.to])
                .collect::<Vec<PinId>>()
        };
        let at_device = |id: &&CableId| {
            ends(id).iter().any(|p| self.devices.pins.get(p.index()).is_some_and(|p| p.device == device))
        };
        let at_place = |id: &&CableId| place.is_some() && ends(id).iter().any(|p| self.place_of(*p) == place);
        instances
            .iter()
            .find(at_device)
            .or_else(|| instances.iter().find(at_place))
            .or_else(|| instances.first())
            .copied()
    }

    fn drain(
        &mut self,
        id: CableId,
        tie: PinId,
        gauge: crate::quantity::Gauge,
        span: Span,
        made: &mut Wiring,
    ) {
        let Some(choice) = self.wires.drain(gauge) else { return };
        let Some(core) = made.cables.get(id.index()).and_then(|c| c.cores.iter().flatten().next().copied())
        else {
            return;
        };
        let Some(circuit) = made.conductors.get(core.index()).map(|c| c.circuit) else { return };
        let Some(device) = self.devices.pins.get(tie.index()).map(|p| p.device) else { return };
        let name = made.cables.get(id.index()).map(|c| c.name.clone()).unwrap_or_default();
        let conductor = ConductorId::at(made.conductors.len());
        let known = made.cables.get(id.index()).and_then(|c| c.screen);
        let screen = known.unwrap_or_else(|| {
            self.devices.pins.push(Pin {
                name: format!("{name}.screen"),
                device,
                site: PinSite::Screen(id),
                port: None,
                alloy: Alloy::Copper,
                colour: None,
            });
            PinId::at(self.devices.pins.len() - 1)
        });
        if let Some(cable) = made.cables.get_mut(id.index()) {
            cable.screen = Some(screen);
            cable.ties.get_or_insert_default().push(conductor);
        }
        made.lays.push(Lay {
            conductors: vec![conductor],
            twist: None,
            through: Vec::new(),
            keep_off: Vec::new(),
        });
        let part = self.part(choice);
        made.conductors.push(Conductor {
            mark: String::new(),
            circuit,
            leg: 0,
            role: Some(crate::parts::words::Role::Shield),
            from: screen,
            to: tie,
            wire: choice.wire,
            core: None,
            cable: None,
            gauge: part.gauge,
            alloy: Alloy::Copper,
            colour: Chosen { value: usual_colour(CircuitKind::Ground, None), span: None },
            lay: LayId::at(made.lays.len() - 1),
            drain: true,
            span,
            wire_span: None,
        });
    }
}

fn instance_name(name: &str, segment: usize, segments: usize) -> String {
    if segments == 1 { name.to_owned() } else { format!("{name}-{}", segment + 1) }
}

fn new_cable(name: String, choice: Choice, part: &WirePart, span: Span, made: &mut Wiring) -> CableId {
    made.cables.push(Cable {
        name,
        wire: choice.wire,
        cores: vec![None; part.cores.len()],
        screen: None,
        ties: None,
        span,
    });
    CableId::at(made.cables.len() - 1)
}
