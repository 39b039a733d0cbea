//! Things of the harness in; the tags by which the page finds them in every drawing out.

use std::collections::BTreeSet;

use super::mark::{Layer, Mark, TagKind};
use crate::harness::{ConductorId, DeviceClass, DeviceId, Harness, PlaceId};

/// What the page calls a device of a class.
pub(super) fn device_kind(class: &DeviceClass) -> TagKind {
    match class {
        DeviceClass::Equipment | DeviceClass::Sensor => TagKind::Device,
        DeviceClass::Ground { .. } => TagKind::Ground,
        DeviceClass::Supply { .. } => TagKind::Supply,
        DeviceClass::InLine { .. } => TagKind::Connector,
        DeviceClass::Splice { .. } | DeviceClass::Stud { .. } => TagKind::Joint,
    }
}

/// A device at a place, for its label.
pub(super) fn device_mark(h: &Harness, device: DeviceId, place: PlaceId) -> Mark {
    let device = h.device(device);
    let own = Mark::new(Layer::Label).with(device_kind(&device.class), &device.name);
    own.with(TagKind::Place, &h.place(place).name)
}

/// The same, and every circuit and conductor of these: who selects a conductor finds all of its way.
pub(super) fn with_wires(h: &Harness, mark: Mark, conductors: &[ConductorId]) -> Mark {
    let circuits: BTreeSet<_> = conductors.iter().map(|c| h.conductor(*c).circuit).collect();
    mark.with_all(TagKind::Circuit, circuits.iter().map(|c| h.circuit(*c).name.as_str()))
        .with_all(TagKind::Conductor, conductors.iter().map(|c| h.conductor(*c).mark.as_str()))
}
