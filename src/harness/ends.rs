//! `GAUGE.cht-1`, `GAUGE.A.7`, `EGT2.plus`, `ENG`: references in a circuit, looked up.

use super::devices::Devices;
use super::names::{Lost, suggestion};
use super::{DeviceClass, DeviceId, PinId};
use crate::diag::{Sink, Span};

/// What a reference means.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum End {
    /// A whole port.
    Port(DeviceId, u32),
    /// One pin.
    Pin(PinId),
}

/// Looks a reference up; what is wrong with it is told.
pub(super) fn look_up(
    text: &str,
    span: Span,
    devices: &Devices,
    lost: &Lost,
    sink: &mut Sink,
) -> Option<End> {
    let (name, rest) = match text.split_once('.') {
        Some((name, rest)) => (name, Some(rest)),
        None => (text, None),
    };
    let id = devices.names.find(name, span, lost, sink)?;
    let device = devices.devices.get(id.index())?;
    if device.pin_count == 0 {
        // Its part is unknown, which is told where the part is named.
        return None;
    }
    let template = devices.templates.get(id.index()).and_then(Option::as_ref);
    let Some(rest) = rest else {
        return match device.ports.len() {
            1 => Some(End::Port(id, 0)),
            _ if device.pin_count == 1 => Some(End::Pin(device.first_pin)),
            _ => {
                let what = if matches!(device.class, DeviceClass::InLine { .. }) {
                    "write the half and the cavity, as in `plug.3`; or let a circuit pass it with `via:`"
                        .to_owned()
                } else {
                    let names: Vec<&str> = device.ports.iter().map(|p| p.name.as_str()).collect();
                    format!("write one of its ports behind it: {}", names.join(", "))
                };
                sink.unreadable(span, format!("`{name}` has more than one port"), what);
                None
            }
        };
    };
    if let Some(template) = template {
        if let Some(port) = template.port_by_name.get(rest) {
            return Some(End::Port(id, *port));
        }
        if let Some(number) = template.pin_by_name.get(rest) {
            return Some(End::Pin(PinId(device.first_pin.0 + number)));
        }
        let (port, role) = match rest.rsplit_once('.') {
            Some((port, role)) => (template.port_by_name.get(port).copied(), role),
            None => ((device.ports.len() == 1).then_some(0), rest),
        };
        let pin = port
            .and_then(|p| device.ports.get(p as usize))
            .and_then(|p| p.pins.iter().find(|(r, _)| r.word() == role));
        if let Some((_, pin)) = pin {
            return Some(End::Pin(*pin));
        }
    } else if let Some(pin) =
        (device.first_pin.0..device.first_pin.0 + device.pin_count).map(PinId).find(|pin| {
            let full = devices.pins.get(pin.index()).map_or("", |p| p.name.as_str());
            full.len() == text.len() && full == text
        })
    {
        return Some(End::Pin(pin));
    }
    let own = |pin: u32| devices.pins.get(pin as usize).map_or("", |p| p.name.as_str());
    let pins = (device.first_pin.0..device.first_pin.0 + device.pin_count)
        .filter_map(|p| own(p).get(name.len() + 1..));
    let roles = device.ports.iter().flat_map(|p| p.pins.iter().map(|(r, _)| r.word()));
    let known = device.ports.iter().map(|p| p.name.as_str()).chain(pins).chain(roles);
    let remedy = suggestion(rest, known).unwrap_or_else(|| {
        let names: Vec<&str> = device.ports.iter().map(|p| p.name.as_str()).collect();
        if names.is_empty() {
            format!("`{name}` has one pin; write `{name}`")
        } else {
            format!("its ports are {}; a cavity is written as in `{name}.A.1`", names.join(", "))
        }
    });
    sink.unreadable(span, format!("`{rest}` is neither a port nor a pin of `{name}`"), remedy);
    None
}

/// The one pin that an end means; a port of several pins is told.
pub(super) fn one_pin(end: End, text: &str, span: Span, devices: &Devices, sink: &mut Sink) -> Option<PinId> {
    match end {
        End::Pin(pin) => Some(pin),
        End::Port(id, index) => {
            let port = devices.devices.get(id.index())?.ports.get(index as usize)?;
            match port.pins.as_slice() {
                [(_, pin)] => Some(*pin),
                pins => {
                    let roles: Vec<&str> = pins.iter().map(|(r, _)| r.word()).collect();
                    sink.unreadable(
                        span,
                        format!("`{text}` has {} pins, and one is wanted here", pins.len()),
                        format!("write which one behind it: {}", roles.join(", ")),
                    );
                    None
                }
            }
        }
    }
}
