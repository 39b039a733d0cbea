//! The harness in; every connector half that its wires go into, cavity by cavity, with what is put into each, out.

use std::collections::BTreeMap;

use crate::draw::mark::{Layer, Mark, TagKind};
use crate::graph::fitting::{Fitting, OnPin, holding, outside};
use crate::harness::{Conductor, ConductorId, Device, DeviceId, Harness, PinId, PinSite};
use crate::parts::library::{ContactPartId, Library, ShellPartId};
use crate::parts::model::ShellPart;
use crate::quantity::Length;

/// A wire in a cavity.
pub(super) struct Wire {
    pub id: ConductorId,
    /// Contact that takes it; None where none of the shell's does.
    pub contact: Option<ContactPartId>,
    /// Diameter over its insulation.
    pub outside: Length,
    /// The pin at its other end.
    pub other: PinId,
}

/// A cavity with all that goes into it.
pub(super) struct Cavity<'a> {
    pub name: &'a str,
    pub pin: Option<PinId>,
    pub wires: Vec<Wire>,
}

/// A connector half.
pub(super) struct Half<'a> {
    pub device: &'a Device,
    /// `GAUGE.B`
    pub name: String,
    pub shell: ShellPartId,
    pub part: &'a ShellPart,
    /// Rows from the top, from the left, as seen from the wire-entry side.
    pub rows: Vec<Vec<Cavity<'a>>>,
}

impl<'a> Half<'a> {
    pub fn cavities(&self) -> impl Iterator<Item = &Cavity<'a>> {
        self.rows.iter().flatten()
    }

    pub fn wires(&self) -> impl Iterator<Item = &Wire> {
        self.cavities().flat_map(|c| &c.wires)
    }

    /// Its device and itself.
    pub fn mark(&self, layer: Layer) -> Mark {
        Mark::new(layer).with(TagKind::Connector, &self.name).with(TagKind::Device, &self.device.name)
    }

    /// A cavity of it, with every conductor in it.
    pub fn cavity_mark(&self, h: &Harness, cavity: &Cavity, layer: Layer) -> Mark {
        let pin = cavity.pin.map(|p| h.pin(p).name.as_str());
        let wires = cavity.wires.iter().map(|w| h.conductor(w.id).mark.as_str());
        let mark = Mark::new(layer).with_all(TagKind::Cavity, pin);
        mark.with_all(TagKind::Conductor, wires)
            .with(TagKind::Connector, &self.name)
            .with(TagKind::Device, &self.device.name)
    }

    /// A conductor in a cavity.
    pub fn wire_mark(&self, h: &Harness, cavity: &Cavity, wire: &Wire, layer: Layer) -> Mark {
        let c = h.conductor(wire.id);
        let pin = cavity.pin.map(|p| h.pin(p).name.as_str());
        let mark = Mark::new(layer).with(TagKind::Conductor, &c.mark);
        mark.with(TagKind::Circuit, &h.circuit(c.circuit).name)
            .with_all(TagKind::Cavity, pin)
            .with(TagKind::Connector, &self.name)
            .with(TagKind::Device, &self.device.name)
    }
}

/// Every half, in the order of the spec; those that no wire goes into by name only.
pub(super) fn halves<'a>(h: &'a Harness, library: &'a Library) -> (Vec<Half<'a>>, Vec<String>) {
    let on = OnPin::of(h);
    let (mut halves, mut unwired) = (Vec::new(), Vec::new());
    for (i, device) in h.devices.iter().enumerate() {
        let mut pins: BTreeMap<(usize, &str), PinId> = BTreeMap::new();
        for pin in h.pins_of(DeviceId::at(i)) {
            if let PinSite::Cavity { connector, cavity } = &h.pin(pin).site {
                pins.insert((*connector as usize, cavity), pin);
            }
        }
        for (n, connector) in device.connectors.iter().enumerate() {
            let shell = connector.harness_shell;
            let part = library.shells.get(shell);
            let cavity = |name: &'a str| {
                let pin = pins.get(&(n, name)).copied();
                let ends = pin.into_iter().flat_map(|p| on.get(p).iter().map(move |id| (p, *id)));
                let wires = ends.map(|(p, id)| wire(h, library, &on, p, id));
                Cavity { name, pin, wires: wires.collect() }
            };
            let rows: Vec<Vec<Cavity>> =
                part.face.rows.iter().map(|row| row.iter().map(|c| cavity(&c.0)).collect()).collect();
            let name = format!("{}.{}", device.name, connector.name);
            let half = Half { device, name, shell, part, rows };
            if half.wires().next().is_some() { halves.push(half) } else { unwired.push(half.name) }
        }
    }
    (halves, unwired)
}

fn wire(h: &Harness, library: &Library, on: &OnPin, pin: PinId, id: ConductorId) -> Wire {
    let c = h.conductor(id);
    let contact = match holding(h, library, on, c, pin) {
        Fitting::Contact { part, .. } => Some(part),
        _ => None,
    };
    Wire { id, contact, outside: outside(library, c), other: other_end(c, pin) }
}

fn other_end(c: &Conductor, pin: PinId) -> PinId {
    if c.from == pin { c.to } else { c.from }
}
