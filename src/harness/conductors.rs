//! Legs in, conductors out: broken at in-line connectors, taken from the cores of pairs and cables, laid together.

use std::collections::{BTreeMap, BTreeSet, HashMap};

use super::buses::Buses;
use super::devices::Devices;
use super::in_line::Piece;
use super::legs::Legs;
use super::names::{Lost, Names};
use super::origin::{Origin, Spot};
use super::sides::Sides;
use super::structure::{located, unknown_part};
use super::wires::{Choice, Wires, usual_colour};
use super::{
    Cable, CableId, Chosen, Circuit, CircuitId, Conductor, ConductorId, DeviceId, Lay, LayId, Located, PinId,
    PlaceId,
};
use crate::diag::{Sink, Span};
use crate::parts::model::WirePart;
use crate::parts::words::Measure;
use crate::spec::model::{CircuitSpec, Spec};
use crate::spec::words::CircuitKind;
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
    pub measure: Option<Measure>,
    pub wire: Choice,
}

/// A cable of the section `cables` while its cores are being given out.
struct SharedCable<'a> {
    name: &'a str,
    spot: Spot,
    choice: Choice,
    cores: usize,
    taken: usize,
    /// Cores that circuits have got.
    given: Vec<u32>,
    /// One instance for each segment between in-line connectors.
    instances: Vec<CableId>,
    screen: Option<&'a Vec<String>>,
}

pub(super) struct Maker<'a, 's> {
    pub spec: &'a Spec,
    pub origin: &'a Origin<'a>,
    pub lost: &'a Lost<'a>,
    pub places: &'a Names<PlaceId>,
    pub phases: &'a Buses,
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
            if spec.carries.is_empty() {
                let message = format!("cable `{name}` carries no circuit");
                self.sink.unreadable(spot.name, message, "name its circuits (`carries:`), or take it out");
                continue;
            }
            shared.push(SharedCable {
                name,
                spot,
                choice: Choice { wire, span: Some(span) },
                cores: part.cores.len(),
                taken: 0,
                given: Vec::new(),
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

    pub(super) fn part(&self, choice: Choice) -> &'a WirePart {
        self.wires.library.wires.get(choice.wire)
    }

    fn circuit(
        &mut self,
        read: &Read<'a>,
        mut shared: Option<&mut SharedCable<'a>>,
        taken: &mut BTreeMap<DeviceId, BTreeSet<String>>,
        made: &mut Wiring,
    ) {
        let id = CircuitId::at(made.circuits.len());
        let first = made.conductors.len();
        let choice = shared.as_ref().map_or(read.wire, |c| c.choice);
        let part = self.part(choice);
        let own = shared.is_none();
        let given = match shared.as_deref_mut() {
            Some(cable) => self.take_cores(cable, read.legs.legs.len()),
            None => Vec::new(),
        };
        let cores = self.cores(read, choice, own, &given);
        if let Some(cable) = shared.as_deref_mut() {
            cable.given.extend(cores.iter().flatten());
        }
        let through = self.through(read);
        let segments = self.segments(read, taken, &cores, part, &through);
        self.lay_out(read, id, choice, &segments, &cores, shared, made);
        self.finish(read, id, first, through, made);
    }

    /// Counts the cores that a circuit takes of a shared cable; those that are given already.
    fn take_cores(&mut self, cable: &mut SharedCable, legs: usize) -> Vec<u32> {
        let before = cable.taken;
        cable.taken += legs;
        if before <= cable.cores && cable.taken > cable.cores {
            let message = format!("cable `{}` has {} cores, too few", cable.name, cable.cores);
            self.sink.unreadable(cable.spot.name, message, "let it carry less, or name a larger one");
        }
        cable.given.clone()
    }

    fn finish(
        &mut self,
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
            duty: read.spec.duty,
            during: self.phases.during(read.spec, self.origin, read.spot, self.sink),
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

    pub(super) fn place_of(&self, pin: PinId) -> Option<PlaceId> {
        let device = self.devices.devices.get(self.devices.pins.get(pin.index())?.device.index())?;
        device.lead_ends_at.map(|p| p.value).or(device.place)
    }

    #[allow(clippy::too_many_arguments)]
    fn lay_out(
        &mut self,
        read: &Read<'a>,
        circuit: CircuitId,
        choice: Choice,
        segments: &[Vec<Piece>],
        cores: &[Option<u32>],
        mut shared: Option<&mut SharedCable<'a>>,
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
            let mut by_places: BTreeMap<([Option<PlaceId>; 2], &[PlaceId]), LayId> = BTreeMap::new();
            for (l, Piece { from, to, through }) in segment.iter().enumerate() {
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
                let key = if together { ([None, None], [].as_slice()) } else { (places, through.as_slice()) };
                let lay = of_cable.or_else(|| by_places.get(&key).copied()).unwrap_or_else(|| {
                    made.lays.push(Lay {
                        conductors: Vec::new(),
                        twist,
                        through: through.clone(),
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
