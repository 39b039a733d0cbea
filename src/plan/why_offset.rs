//! A sender that ground currents do not shift in; why no offset is told of it, out. For the others see `why_ground.rs`.

use super::why::{Asked, Derivation, Line};
use crate::harness::{DeviceId, Port};
use crate::parts::words::{PortKind, Style};

/// Says of pulses and millivolts why there is no offset.
pub(super) fn none_told(asked: &Asked, id: DeviceId, told: &mut Derivation) {
    let device = asked.h.device(id);
    // What reads them has such ports too.
    if matches!(device.style, Some(Style::Indicator | Style::Converter)) {
        return;
    }
    for port in &device.ports {
        let (value, formula) = match port.kind {
            PortKind::Pulse | PortKind::SuppliedPulse => (
                "none told: pulses are counted",
                "how many there are does not hang on how high their zero lies, as long as the indicator tells one from none",
            ),
            PortKind::Millivolt => (
                "none told: measured between its own two wires",
                "what lies between the grounds lifts both alike",
            ),
            _ => continue,
        };
        told.figure("offset", value, vec![Line::of(format!("port {}", port.name), "").because(formula)]);
    }
}

/// What is not counted of a sender that gives a share of its excitation.
pub(super) fn excitation(port: &Port) -> Option<Line> {
    (port.kind == PortKind::ExcitedVoltage).then(|| {
        Line::of("what its excitation loses on its way to it", "not counted")
            .because(
                "where it gives a share of its excitation, it reads low by the share that is lost of that",
            )
            .by("no source: a few millivolts of five volts, as its part says nothing of it")
    })
}
