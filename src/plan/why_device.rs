//! Why a device or a pin is as it is: where it lies and what ends there. For splices see `why_splice.rs`.

use super::why::{Asked, Derivation, Line};
use super::why_splice;
use super::why_wire::wire_line;
use crate::harness::{ConductorId, DeviceClass, DeviceId, PinId};
use crate::quantity::Length;

pub(super) fn device(asked: &Asked, id: DeviceId) -> Derivation {
    let h = asked.h;
    let device = h.device(id);
    let units = h.header.units;
    let mut told = Derivation::of(&device.name, device.title.clone(), Some(device.span));
    let place = asked.routing.place_of.get(id.index()).copied().flatten();
    let name = place.map_or("none", |p| h.place(p).name.as_str());
    match device.class {
        DeviceClass::Splice { .. } => why_splice::figures(asked, id, name, &mut told),
        _ => told.figure("place", name, vec![Line::of("as the spec says", "").at(device.at_span)]),
    }
    let ends: Vec<ConductorId> = h
        .conductor_ids()
        .filter(|c| [h.conductor(*c).from, h.conductor(*c).to].iter().any(|p| h.pin(*p).device == id))
        .collect();
    told.figure("wires", ends.len().to_string(), ends.iter().map(|c| wire_line(asked, *c)).collect());
    super::why_thermocouple::readings(asked, id, &mut told);
    super::why_bus::supply(asked, id, &mut told);
    super::why_ground::of_sender(asked, id, &mut told);
    super::why_offset::none_told(asked, id, &mut told);
    super::why_probe::of_probe(asked, id, &mut told);
    if let Some(lead) = device.lead {
        let line = Line::of("from the part or the spec", "").at(lead.span);
        told.figure("its own lead", lead.value.show(units), vec![line]);
    }
    if let Some(at) = device.lead_ends_at {
        told.figure("its lead ends at", h.place(at.value).name.clone(), vec![Line::default().at([at.span])]);
    }
    if device.tail.value > Length::ZERO {
        let line = Line::of("from its place to its pins", "").at(device.tail.span);
        told.figure("tail", device.tail.value.show(units), vec![line.by_default(device.tail.span.is_none())]);
    }
    if let Some(body) = device.body {
        let grounded = if device.case_grounds { "its case is joined to it" } else { "its case is isolated" };
        told.figure("body", h.body(body.value).name.clone(), vec![Line::of(grounded, "").at([body.span])]);
    }
    told
}

pub(super) fn pin(asked: &Asked, id: PinId) -> Derivation {
    let h = asked.h;
    let pin = h.pin(id);
    let device = h.device(pin.device);
    let what = match h.port_of(id) {
        Some((port, role)) => format!("pin of {}, {} of {}", device.name, role.word(), port.name),
        None => format!("pin of {}", device.name),
    };
    let mut told = Derivation::of(&pin.name, what, Some(device.span));
    let ends: Vec<Line> = h
        .conductor_ids()
        .filter(|c| [h.conductor(*c).from, h.conductor(*c).to].contains(&id))
        .map(|c| wire_line(asked, c))
        .collect();
    told.figure("wires", ends.len().to_string(), ends);
    told.figure("material", pin.alloy.name(), Vec::new());
    let here = asked.plan.terminations.of.iter().flatten().filter(|end| end.pin == id);
    for end in here.filter(|end| !end.through.is_empty()) {
        let name = format!("end of {}", h.conductor(end.conductor).mark);
        let made = super::when_words::when(h, end);
        told.figure(&name, made, super::why_feeding::end(asked, end));
    }
    told
}
