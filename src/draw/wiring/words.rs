//! What the drawing says in words: names of pins and roles, labels of conductors, notes in boxes.

use super::share::Site;
use super::way::Via;
use crate::draw::lettering::{self, Lettering};
use crate::graph::Routing;
use crate::harness::{ConductorId, DeviceClass, DeviceId, Harness, PinId, PinSite};
use crate::parts::library::Library;
use crate::parts::words::Role;
use crate::spec::words::BodyKind;

/// `+` and `−` for the legs of a pair, the word of the role for all others.
pub(super) fn role_sign(role: Role) -> &'static str {
    match role {
        Role::Plus => "+",
        Role::Minus => "\u{2212}",
        other => other.word(),
    }
}

/// What stands in the cell of a pin: its cavity or terminal, without the device's name, and the colour of the lead
/// where the device has leads of its own.
pub(super) fn pin_sign(h: &Harness, pin: PinId) -> String {
    let sign = bare_sign(h, pin);
    match (&h.pin(pin).site, h.pin(pin).colour) {
        (PinSite::BareLead(_), Some(colour)) => format!("{sign} {}", colour.code()).trim_start().to_owned(),
        _ => sign,
    }
}

fn bare_sign(h: &Harness, pin: PinId) -> String {
    let p = h.pin(pin);
    let device = h.device(p.device);
    let own = p.name.strip_prefix(device.name.as_str()).unwrap_or(&p.name).trim_start_matches('.');
    if matches!(device.class, DeviceClass::InLine { .. }) {
        return own.rsplit('.').next().map(sign_of).unwrap_or_default();
    }
    if own.is_empty() {
        return match &p.site {
            PinSite::Stud(Some(size)) | PinSite::Case(size) => size.name().to_owned(),
            PinSite::Splice | PinSite::Screen(_) => String::new(),
            _ => "stud".to_owned(),
        };
    }
    sign_of(own)
}

fn sign_of(own: &str) -> String {
    match own {
        "plus" => "+".to_owned(),
        "minus" => "\u{2212}".to_owned(),
        other => other.to_owned(),
    }
}

/// What stands beside the cell: the port (where `with_port`) and the role.
pub(super) fn pin_note(h: &Harness, pin: PinId, with_port: bool) -> String {
    let Some((port, role)) = h.port_of(pin) else { return String::new() };
    let sign = role_sign(role);
    let said = sign == bare_sign(h, pin);
    match (with_port, port.pins.len()) {
        (true, 1) => port.name.clone(),
        (true, _) => format!("{} {sign}", port.name),
        (false, _) if said => String::new(),
        (false, _) => sign.to_owned(),
    }
}

/// Gauge and colour letters of a conductor, which stand behind its mark.
pub(super) fn make_of(h: &Harness, id: ConductorId) -> String {
    let c = h.conductor(id);
    format!("{} {}", c.gauge, c.colour.value.code())
}

/// Where a device is, and what it stands on.
pub(super) fn whereabouts(h: &Harness, routing: &Routing, id: DeviceId) -> String {
    let device = h.device(id);
    let name = |p| h.place(p).name.as_str();
    let mut words = match (routing.place_of.get(id.index()).copied().flatten(), device.lead_ends_at) {
        (Some(at), Some(end)) if end.value != at => {
            format!("at {}, leads end at {}", name(at), name(end.value))
        }
        (Some(at), _) => format!("at {}", name(at)),
        (None, _) => "place not known".to_owned(),
    };
    if let Some(body) = device.body {
        let body = h.body(body.value);
        let sort = match body.kind {
            BodyKind::Engine => "engine",
            BodyKind::Structure => "structure",
            BodyKind::Avionics => "avionics",
        };
        let on = if matches!(device.class, DeviceClass::Ground { .. }) { "on" } else { "case on" };
        words.push_str(&format!(", {on} {}", if sort == body.name { sort } else { &body.name }));
    }
    words
}

/// How many pins of a device have no conductor, by connector; empty where all are used.
pub(super) fn unused(h: &Harness, used: &[bool], id: DeviceId) -> Vec<String> {
    let device = h.device(id);
    let mut spare = vec![0_usize; device.connectors.len()];
    let mut others = 0;
    for pin in h.pins_of(id).filter(|p| used.get(p.index()) == Some(&false)) {
        match &h.pin(pin).site {
            PinSite::Cavity { connector, .. } => {
                if let Some(n) = spare.get_mut(*connector as usize) {
                    *n += 1;
                }
            }
            PinSite::Case(_) | PinSite::Splice | PinSite::Screen(_) => {}
            _ => others += 1,
        }
    }
    let told = |(connector, n): (&crate::harness::Connector, &usize)| {
        (*n > 0).then(|| format!("{}: {n} unused", connector.name))
    };
    let mut words: Vec<String> = device.connectors.iter().zip(&spare).filter_map(told).collect();
    if others > 0 {
        words.push(format!("{others} unused"));
    }
    words
}

/// Name of a connector, what is written beside it, and how much of it is free, in lines.
pub(super) fn connector(site: &Site, id: DeviceId, number: u32) -> Vec<String> {
    let (h, library, used) = (site.h, site.library, site.used);
    let device = h.device(id);
    let Some(connector) = device.connectors.get(number as usize) else { return Vec::new() };
    let mut words = format!("connector {}", connector.name);
    let part = device.part.as_ref().and_then(|p| library.devices.look_up(p)).map(|(_, p)| p);
    if let Some(title) = part.and_then(|p| p.connectors.get(&connector.name)).and_then(|c| c.title.as_ref()) {
        words.push_str(&format!(", {title}"));
    }
    let of_it =
        |p: &PinId| matches!(h.pin(*p).site, PinSite::Cavity { connector, .. } if connector == number);
    let pins: Vec<PinId> = h.pins_of(id).filter(of_it).collect();
    let spare = pins.iter().filter(|p| used.get(p.index()) == Some(&false)).count();
    if spare > 0 {
        words.push_str(&format!(": {spare} of {} unused", pins.len()));
    }
    lettering::wrap(&words, Lettering::SMALL, site.limits.head)
}

/// True where a device has no title of its own: none, or that of its part.
pub(super) fn is_part_title(h: &Harness, library: &Library, id: DeviceId) -> bool {
    let device = h.device(id);
    let of_part = match &device.class {
        DeviceClass::InLine { plug, .. } => Some(&library.shells.get(*plug).title),
        DeviceClass::Splice { part: Some(part), .. } => Some(&library.splices.get(*part).title),
        _ => None,
    };
    device.title == device.name || Some(&device.title) == of_part
}

/// What stands over a gate that `drawn` conductors pass: its name and how many conductors it holds.
pub(super) fn gate(h: &Harness, routing: &Routing, via: Via, drawn: usize) -> String {
    let place = |p| &h.place(p).name;
    match via {
        Via::Hole(id) => {
            let hole = h.hole(id);
            let count = routing.in_hole.get(id.index()).map_or(drawn, Vec::len);
            let others = if hole.others > 0 { format!(" + {} other", hole.others) } else { String::new() };
            // Where other sheets draw the rest of them.
            let here = if drawn < count { format!("{drawn} of ") } else { String::new() };
            format!("{}: {here}{count}{others}", hole.name)
        }
        Via::Breach(p) => format!("no hole, {}: {drawn}", place(p)),
        Via::Open(p) => format!("{}: {drawn}", place(p)),
        Via::Unknown => format!("no way known: {drawn}"),
    }
}
