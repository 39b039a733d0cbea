//! Everything with pins: equipment, sensors, grounds, supplies, in-line connectors and studs. For splices see
//! `splices.rs`.

use std::collections::HashMap;
use std::rc::Rc;

use indexmap::IndexMap;

use super::buses::Buses;
use super::names::{Lost, Names};
use super::origin::{Origin, Spot};
use super::structure::{Structure, located, unknown_part};
use super::template::{Template, cavities};
use super::{
    Chosen, Connector, Device, DeviceClass, DeviceId, Located, Mounting, Pin, PinId, PinSite, PlaceId, Shop,
};
use crate::diag::{Sink, Span};
use crate::parts::library::{DevicePartId, Library, ShellPartId};
use crate::quantity::Length;
use crate::spec::model::{DeviceSpec, Spec};
use crate::trade::stud::StudSize;
use crate::trade::thermocouple_colour::Alloy;

/// Devices and pins, and the names by which circuits refer to them.
pub(super) struct Devices {
    pub devices: Vec<Device>,
    pub pins: Vec<Pin>,
    pub names: Names<DeviceId>,
    /// The layout of the device's part, for equipment and sensors.
    pub templates: Vec<Option<Rc<Template>>>,
}

pub(super) struct Reader<'a, 's> {
    pub spec: &'a Spec,
    pub origin: &'a Origin<'a>,
    pub library: &'a Library,
    pub lost: &'a Lost<'a>,
    pub shop: Shop,
    pub structure: &'a Structure,
    pub buses: &'a Buses,
    pub sink: &'s mut Sink,
}

/// What differs between devices; the rest of [`Device`] is filled in by [`Devices::put`].
pub(super) struct Draft {
    pub title: String,
    pub class: DeviceClass,
    pub place: Option<PlaceId>,
    pub name_span: Span,
    pub at_span: Option<Span>,
}

impl Devices {
    pub(super) fn put(&mut self, name: &str, draft: Draft, tail: Chosen<Length>) -> &mut Device {
        let first_pin = PinId::at(self.pins.len());
        self.templates.push(None);
        self.devices.push(Device {
            name: name.to_owned(),
            title: draft.title,
            class: draft.class,
            style: None,
            measures: None,
            part: None,
            place: draft.place,
            body: None,
            case_grounds: false,
            lead: None,
            lead_ends_at: None,
            trades_with: Vec::new(),
            tail,
            first_pin,
            pin_count: 0,
            connectors: Vec::new(),
            ports: Vec::new(),
            links: Vec::new(),
            on_case: Vec::new(),
            mounting: Mounting::default(),
            taps_magneto: false,
            isolates: false,
            note: None,
            span: draft.name_span,
            at_span: draft.at_span,
        });
        let last = self.devices.len() - 1;
        &mut self.devices[last]
    }

    /// The device of every name, in the order of the devices.
    pub(super) fn by_name(&self) -> IndexMap<String, DeviceId> {
        self.devices.iter().enumerate().map(|(i, d)| (d.name.clone(), DeviceId::at(i))).collect()
    }
}

pub(super) fn lone_pin(name: &str, device: DeviceId, site: PinSite) -> Pin {
    Pin { name: name.to_owned(), device, site, port: None, alloy: Alloy::Copper, colour: None }
}

impl Reader<'_, '_> {
    pub(super) fn read(mut self) -> Devices {
        let mut made = Devices {
            devices: Vec::new(),
            pins: Vec::new(),
            names: Names::new(
                "a device, ground, supply, connector, splice or stud of this spec",
                "equipment",
            ),
            templates: Vec::new(),
        };
        let mut laid_out: HashMap<DevicePartId, Rc<Template>> = HashMap::new();
        self.bought(&mut made, "equipment", &mut laid_out);
        self.bought(&mut made, "sensors", &mut laid_out);
        self.grounds(&mut made);
        self.supplies(&mut made);
        self.in_line(&mut made);
        self.splices(&mut made);
        self.studs(&mut made);
        self.trades(&mut made);
        made
    }

    fn named(&mut self, made: &mut Devices, name: &str, span: Span) -> bool {
        if name.is_empty() || name.contains('.') || name.chars().any(char::is_control) {
            self.sink.unreadable(
                span,
                format!("`{name}` cannot be the name of a device"),
                "use letters, figures and hyphens; a full stop parts a device from its pin",
            );
            return false;
        }
        made.names.add(name, DeviceId::at(made.devices.len()), span, self.sink)
    }

    pub(super) fn place(&mut self, name: &str, spot: Spot, key: &str) -> Option<PlaceId> {
        self.structure.place_names.find(name, self.origin.field(spot, key), self.lost, self.sink)
    }

    fn bought(
        &mut self,
        made: &mut Devices,
        section: &str,
        laid_out: &mut HashMap<DevicePartId, Rc<Template>>,
    ) {
        let (specs, class) = match section {
            "equipment" => (&self.spec.equipment, DeviceClass::Equipment),
            _ => (&self.spec.sensors, DeviceClass::Sensor),
        };
        let spots = self.origin.entries(section, specs.keys());
        for ((name, spec), spot) in specs.iter().zip(spots) {
            let place = self.place(&spec.at, spot, "at");
            let Some((part_id, part)) = self.library.devices.look_up(&spec.part) else {
                let span = self.origin.field(spot, "part");
                unknown_part(self.sink, span, &spec.part, "a device", self.library.devices.names());
                // Keeps the name, so that circuits to it are not told as well.
                if self.named(made, name, spot.name) {
                    let draft = Draft {
                        title: name.clone(),
                        class: class.clone(),
                        place,
                        name_span: spot.name,
                        at_span: None,
                    };
                    made.put(name, draft, self.shop.tail);
                }
                continue;
            };
            if !self.named(made, name, spot.name) {
                continue;
            }
            let template =
                laid_out.entry(part_id).or_insert_with(|| Rc::new(Template::of(part, self.library))).clone();
            let id = DeviceId::at(made.devices.len());
            let body = spec.body.as_deref().and_then(|b| {
                let span = self.origin.field(spot, "body");
                let value = self.structure.body_names.find(b, span, self.lost, self.sink)?;
                Some(Located { value, span })
            });
            let lead_ends_at = spec.lead_ends_at.as_deref().and_then(|p| {
                let span = self.origin.field(spot, "lead-ends-at");
                Some(Located { value: self.place(p, spot, "lead-ends-at")?, span })
            });
            let title = spec.title.clone().unwrap_or_else(|| part.title.clone());
            let draft = Draft {
                title,
                class: class.clone(),
                place,
                name_span: spot.name,
                at_span: Some(self.origin.field(spot, "at")),
            };
            let tail = self.tail(spec, spot);
            let lead = self.lead(spec, part.lead, spot);
            let device = made.put(name, draft, tail);
            let first = device.first_pin.0;
            device.style = Some(part.style);
            device.measures = part.measures;
            device.part = Some(spec.part.clone());
            device.body = body;
            device.case_grounds = part.case_grounds;
            device.lead = lead;
            device.lead_ends_at = lead_ends_at;
            device.mounting = Mounting {
                from_flange: located(spec.from_flange, self.origin, spot, "from-flange"),
                off_centre: located(spec.off_centre, self.origin, spot, "off-centre"),
                old_gauge: located(spec.old_gauge, self.origin, spot, "old-gauge"),
                drip_loop: located(spec.drip_loop, self.origin, spot, "drip-loop"),
            };
            device.taps_magneto = part.taps_magneto;
            device.isolates = part.isolates;
            device.note.clone_from(&spec.note);
            device.pin_count = u32::try_from(template.pins.len()).unwrap_or(0);
            device.connectors = template
                .connectors
                .iter()
                .map(|(name, device_shell, harness_shell)| Connector {
                    name: name.clone(),
                    device_shell: *device_shell,
                    harness_shell: *harness_shell,
                })
                .collect();
            device.ports = template.ports.iter().map(|port| port.numbered(|n| PinId(first + n))).collect();
            device.links =
                template.links.iter().map(|g| g.iter().map(|n| PinId(first + n)).collect()).collect();
            device.on_case = template.on_case.iter().map(|n| PinId(first + n)).collect();
            made.pins.extend(template.pins.iter().map(|pin| Pin {
                name: format!("{name}.{}", pin.name),
                device: id,
                site: pin.site.clone(),
                port: pin.port,
                alloy: pin.alloy,
                colour: pin.colour,
            }));
            if let Some(slot) = made.templates.last_mut() {
                *slot = Some(template);
            }
        }
    }

    fn tail(&self, spec: &DeviceSpec, spot: Spot) -> Chosen<Length> {
        match spec.tail {
            Some(value) => Chosen { value, span: Some(self.origin.field(spot, "tail")) },
            None => self.shop.tail,
        }
    }

    fn lead(&self, spec: &DeviceSpec, of_part: Option<Length>, spot: Spot) -> Option<Chosen<Length>> {
        match spec.lead {
            Some(value) => Some(Chosen { value, span: Some(self.origin.field(spot, "lead")) }),
            None => of_part.map(|value| Chosen { value, span: Some(self.origin.field(spot, "part")) }),
        }
    }

    pub(super) fn lone(
        &mut self,
        made: &mut Devices,
        name: &str,
        draft: Draft,
        site: PinSite,
    ) -> Option<DeviceId> {
        if !self.named(made, name, draft.name_span) {
            return None;
        }
        let id = DeviceId::at(made.devices.len());
        made.put(name, draft, self.shop.tail).pin_count = 1;
        made.pins.push(lone_pin(name, id, site));
        Some(id)
    }

    fn grounds(&mut self, made: &mut Devices) {
        let spots = self.origin.entries("grounds", self.spec.grounds.keys());
        for ((name, spec), spot) in self.spec.grounds.iter().zip(spots) {
            let place = self.place(&spec.at, spot, "at");
            let span = self.origin.field(spot, "body");
            let body = self.structure.body_names.find(&spec.body, span, self.lost, self.sink);
            let class = DeviceClass::Ground {
                stud: located(spec.stud, self.origin, spot, "stud"),
                max_lugs: located(spec.max_lugs, self.origin, spot, "max-lugs"),
                others: spec.others,
            };
            let title = spec.title.clone().unwrap_or_else(|| format!("ground point on {}", spec.body));
            let at_span = Some(self.origin.field(spot, "at"));
            let draft = Draft { title, class, place, name_span: spot.name, at_span };
            let id = self.lone(made, name, draft, PinSite::Stud(spec.stud));
            if let Some(device) = id.and_then(|id| made.devices.get_mut(id.index())) {
                device.body = body.map(|value| Located { value, span });
                device.case_grounds = true;
            }
        }
    }

    fn supplies(&mut self, made: &mut Devices) {
        let spots = self.origin.entries("supplies", self.spec.supplies.keys());
        for ((name, spec), spot) in self.spec.supplies.iter().zip(spots) {
            let place = self.place(&spec.at, spot, "at");
            if spec.breaker.is_some() && spec.fuse.is_some() {
                self.sink.unreadable(
                    self.origin.field(spot, "fuse"),
                    format!("`{name}` has a breaker and a fuse; a supply has one of them"),
                    "keep the one that its wire comes from; the other one, before it, belongs to the bus",
                );
            }
            let class = DeviceClass::Supply {
                breaker: located(spec.breaker, self.origin, spot, "breaker"),
                fuse: located(spec.fuse, self.origin, spot, "fuse"),
                bus: spec.bus.as_deref().and_then(|bus| {
                    let span = self.origin.field(spot, "bus");
                    Some(Located { value: self.buses.find(bus, span, self.lost, self.sink)?, span })
                }),
            };
            let title = spec.title.clone().unwrap_or_else(|| "supply".to_owned());
            let at_span = Some(self.origin.field(spot, "at"));
            let draft = Draft { title, class, place, name_span: spot.name, at_span };
            self.lone(made, name, draft, PinSite::Stud(spec.stud));
        }
    }

    fn in_line(&mut self, made: &mut Devices) {
        let spots = self.origin.entries("connectors", self.spec.connectors.keys());
        for ((name, spec), spot) in self.spec.connectors.iter().zip(spots) {
            let place = self.place(&spec.at, spot, "at");
            let faces = self.place(&spec.plug_faces, spot, "plug-faces");
            if let (Some(at), Some(faces)) = (place, faces) {
                let span = self.origin.field(spot, "plug-faces");
                self.neighbours(name, at, faces, span, "that the plug's wires run to");
            }
            let found = self.library.shells.look_up(&spec.plug);
            if found.is_none() {
                let span = self.origin.field(spot, "plug");
                unknown_part(self.sink, span, &spec.plug, "a shell", self.library.shells.names());
            }
            let mated =
                found.and_then(|(id, shell)| Some((id, shell, self.library.shells.find(&shell.mate)?)));
            let (Some((plug, shell, receptacle)), Some(plug_faces)) = (mated, faces) else {
                self.named(made, name, spot.name).then(|| {
                    let class = DeviceClass::Equipment;
                    made.put(
                        name,
                        Draft { title: name.clone(), class, place, name_span: spot.name, at_span: None },
                        self.shop.tail,
                    );
                });
                continue;
            };
            if !self.named(made, name, spot.name) {
                continue;
            }
            let id = DeviceId::at(made.devices.len());
            let title = spec.title.clone().unwrap_or_else(|| shell.title.clone());
            let class = DeviceClass::InLine { plug, receptacle, plug_faces };
            let at_span = Some(self.origin.field(spot, "at"));
            let device =
                made.put(name, Draft { title, class, place, name_span: spot.name, at_span }, self.shop.tail);
            device.part = Some(spec.plug.clone());
            let marks = cavities(shell);
            device.pin_count = u32::try_from(marks.len() * 2).unwrap_or(0);
            let halves = [("plug", plug), ("receptacle", receptacle)];
            device.connectors.extend(halves.map(|(half, shell)| Connector {
                name: half.to_owned(),
                device_shell: shell,
                harness_shell: shell,
            }));
            for ((half, shell_id), index) in halves.into_iter().zip(0_u32..) {
                for mark in &marks {
                    made.pins.push(Pin {
                        name: format!("{name}.{half}.{mark}"),
                        device: id,
                        site: PinSite::Cavity { connector: index, cavity: mark.clone() },
                        port: None,
                        alloy: contact_alloy(self.library, shell_id, mark),
                        colour: None,
                    });
                }
            }
        }
    }

    /// Tells where no run leads from a place to what must be its neighbour. `whose` are the wires that run there.
    pub(super) fn neighbours(&mut self, name: &str, at: PlaceId, faces: PlaceId, span: Span, whose: &str) {
        let runs = &self.structure.runs;
        let next: Vec<PlaceId> = runs
            .iter()
            .filter_map(|r| match r.ends {
                [a, b] if a == at => Some(b),
                [a, b] if b == at => Some(a),
                _ => None,
            })
            .collect();
        if next.contains(&faces) {
            return;
        }
        let place = |id: PlaceId| self.structure.places.get(id.index()).map_or("", |p| p.name.as_str());
        let mut names: Vec<&str> = next.iter().map(|p| place(*p)).collect();
        names.dedup();
        self.sink.unreadable(
            span,
            format!("no run leads from `{}`, where `{name}` is, to `{}`", place(at), place(faces)),
            format!("name the neighbouring place {whose}: {}", names.join(", ")),
        );
    }

    fn studs(&mut self, made: &mut Devices) {
        let spots = self.origin.entries("studs", self.spec.studs.keys());
        for ((name, spec), spot) in self.spec.studs.iter().zip(spots) {
            let place = self.place(&spec.at, spot, "at");
            let class = DeviceClass::Stud {
                size: spec.size,
                max_lugs: located(spec.max_lugs, self.origin, spot, "max-lugs"),
                others: spec.others,
            };
            let title = spec.title.clone().unwrap_or_else(|| "stud".to_owned());
            let at_span = Some(self.origin.field(spot, "at"));
            let size: Option<StudSize> = Some(spec.size);
            self.lone(
                made,
                name,
                Draft { title, class, place, name_span: spot.name, at_span },
                PinSite::Stud(size),
            );
        }
    }

    fn trades(&mut self, made: &mut Devices) {
        for (section, specs) in [("equipment", &self.spec.equipment), ("sensors", &self.spec.sensors)] {
            let spots = self.origin.entries(section, specs.keys());
            for ((name, spec), spot) in specs.iter().zip(spots) {
                let Some(own) = made.names.get(name) else { continue };
                for (i, other) in spec.trades_with.iter().enumerate() {
                    let span = self.origin.element(spot, "trades-with", i);
                    let Some(value) = made.names.find(other, span, self.lost, self.sink) else { continue };
                    if value == own {
                        let message = format!("`{name}` trades places with itself");
                        self.sink.unreadable(span, message, "name its neighbour");
                        continue;
                    }
                    if let Some(device) = made.devices.get_mut(own.index()) {
                        device.trades_with.push(Located { value, span });
                    }
                }
            }
        }
    }
}

/// Material of the contact that goes into a cavity.
fn contact_alloy(library: &Library, shell: ShellPartId, cavity: &str) -> Alloy {
    let shell = library.shells.get(shell);
    let contact = shell.only.iter().find(|(mark, _)| mark.0 == cavity).map(|(_, c)| c);
    contact
        .or_else(|| shell.contacts.first())
        .and_then(|name| library.contacts.look_up(name))
        .and_then(|(_, part)| part.alloy)
        .unwrap_or(Alloy::Copper)
}
