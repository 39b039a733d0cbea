//! The typed spec, its tree and the parts library in; the resolved harness out.

use super::buses::Buses;
use super::conductors::{Maker, Read};
use super::devices::{self, Devices};
use super::legs;
use super::names::Lost;
use super::origin::{Origin, Spot};
use super::shop;
use super::sides::Sides;
use super::structure;
use super::wires::Wires;
use super::{Harness, Header, Located, Waiver, marks};
use crate::diag::Sink;
use crate::parts::library::Library;
use crate::quantity::{Length, Voltage};
use crate::spec::model::Spec;
use crate::spec::tree::Tree;

/// The version of the spec language that is read.
pub const LANGUAGE: u32 = 1;

/// What [`resolve`] reads.
#[derive(Clone, Copy)]
pub struct Input<'a> {
    /// The spec.
    pub spec: &'a Spec,
    /// The tree it was read from.
    pub tree: &'a Tree,
    /// Every part.
    pub library: &'a Library,
    /// True for the name of an entry that was left out of the spec for faults of its own.
    pub lost: &'a dyn Fn(&str) -> bool,
}

/// Looks every name up and turns circuits into conductors. What is wrong is told to `sink`; the harness is then what
/// could be made, and nothing may be built from it.
pub fn resolve(input: Input, sink: &mut Sink) -> Harness {
    let Input { spec, tree, library, lost } = input;
    let origin = &Origin::new(tree);
    let lost = &Lost(lost);
    let head = origin.top("harness");
    if spec.fairlead != LANGUAGE {
        sink.unreadable(
            origin.top("fairlead").name,
            format!("the spec is written in version {} of the language", spec.fairlead),
            format!("this tool reads version {LANGUAGE}"),
        );
    }
    let shop = shop::read(spec, origin, sink);
    if spec.harness.supply.is_some_and(|supply| supply <= Voltage::ZERO) {
        let span = origin.field(head, "supply");
        sink.unreadable(span, "the supply gives no voltage", "write its nominal voltage, as in `14 V`");
    }
    if spec.circuits.is_empty() && sink.is_empty() {
        sink.unreadable(
            head.name,
            "the spec joins nothing: it has no circuits",
            "write what connects to what under `circuits:`",
        );
    }
    let structure = structure::Reader { spec, origin, library, lost, sink }.read();
    let buses = Buses::read(spec, origin, lost, &structure.place_names, sink);
    let mut devices =
        devices::Reader { spec, origin, library, lost, shop, structure: &structure, buses: &buses, sink }
            .read();
    let wires = Wires::new(&spec.harness, origin, head, library, sink);
    let read = circuits(spec, origin, lost, &structure, &mut devices, &wires, sink);
    let mut sides = Sides::new(structure.places.len(), &structure.runs);
    let mut wiring = Maker {
        spec,
        origin,
        lost,
        places: &structure.place_names,
        phases: &buses,
        wires: &wires,
        sides: &mut sides,
        devices: &mut devices,
        sink,
    }
    .make(&read);
    marks::mark(&spec.harness, origin, head, &read, &devices, &mut wiring, sink);
    devices.choose_splices(library, &wiring.conductors);
    Harness {
        header: header(spec, origin, head),
        shop,
        zones: structure.zones,
        barriers: structure.barriers,
        holes: structure.holes,
        places: structure.places,
        runs: structure.runs,
        bodies: structure.bodies,
        bonds: structure.bonds,
        buses: buses.buses,
        phases: buses.phases,
        device_by_name: devices.by_name(),
        devices: devices.devices,
        pins: devices.pins,
        circuits: wiring.circuits,
        conductors: wiring.conductors,
        lays: wiring.lays,
        cables: wiring.cables,
        waivers: waivers(spec, origin),
    }
}

fn header(spec: &Spec, origin: &Origin, head: Spot) -> Header {
    let h = &spec.harness;
    Header {
        title: h.title.clone(),
        drawing: h.drawing.clone(),
        revision: h.revision.as_ref().map(|r| r.0.clone()),
        machine: h.machine.clone(),
        owner: h.owner.clone(),
        issued: h.issued,
        remark: h.remark.clone(),
        supply: structure::located(h.supply, origin, head, "supply"),
        thermocouple_colours: structure::located(
            h.thermocouple_colours,
            origin,
            head,
            "thermocouple-colours",
        ),
        units: h.units,
        ceiling: structure::located(h.ceiling, origin, head, "ceiling"),
        span: head.name,
    }
}

fn circuits<'a>(
    spec: &'a Spec,
    origin: &Origin,
    lost: &Lost,
    structure: &structure::Structure,
    devices: &mut Devices,
    wires: &Wires,
    sink: &mut Sink,
) -> Vec<Read<'a>> {
    let spots = origin.entries("circuits", spec.circuits.keys());
    let mut read = Vec::with_capacity(spots.len());
    let in_cables: std::collections::HashSet<&str> =
        spec.cables.values().flat_map(|c| c.carries.iter().map(String::as_str)).collect();
    for ((name, circuit), spot) in spec.circuits.iter().zip(spots) {
        let mut reader = legs::Reader { origin, lost, places: &structure.place_names, devices, sink };
        let legs = reader.read(name, circuit, spot);
        let thermocouple = reader.thermocouple(&legs);
        let kind = circuit.kind.unwrap_or_else(|| reader.kind(&legs));
        let measure = reader.measure(&legs);
        let system = circuit.system.clone().unwrap_or_else(|| legs::system(kind, measure).to_owned());
        // A circuit in a cable is made of the cable's cores; a pair chosen here would not be used.
        let thermocouple =
            thermocouple.filter(|_| !in_cables.contains(name.as_str()) && !legs.legs.is_empty());
        for (given, key) in [(circuit.length, "length"), (circuit.twist, "twist")] {
            if given.is_some_and(|l| l <= Length::from_um(0)) {
                let span = origin.field(spot, key);
                sink.unreadable(
                    span,
                    format!("the `{key}` of `{name}` is nothing"),
                    "measure it, or leave it out",
                );
            }
        }
        let Some(wire) = wires.choose(circuit, thermocouple, origin, spot, sink) else { continue };
        read.push(Read { name, spec: circuit, spot, legs, kind, system, measure, wire });
    }
    read
}

fn waivers(spec: &Spec, origin: &Origin) -> Vec<Waiver> {
    let spots = origin.items("waive", spec.waive.len());
    spec.waive
        .iter()
        .zip(spots)
        .map(|(waiver, spot)| Waiver {
            rule: Located { value: waiver.rule.clone(), span: origin.field(spot, "rule") },
            at: Located { value: waiver.at.clone(), span: origin.field(spot, "at") },
            because: waiver.because.clone(),
            by: waiver.by.clone(),
            until: structure::located(waiver.until, origin, spot, "until"),
            span: spot.name,
        })
        .collect()
}
