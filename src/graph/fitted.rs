//! Which connector shells a harness brings: the harness in; each shell that a wire goes into, with its wired cavities
//! and their conductors, out.
//!
//! A connector of a device that nothing is wired to gets no shell.

use std::collections::{BTreeMap, BTreeSet};

use crate::harness::{ConductorId, DeviceId, Harness, PinId, PinSite};
use crate::parts::library::ShellPartId;

/// A shell that the harness brings.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fitted<'h> {
    /// Its device.
    pub device: DeviceId,
    /// Letter or name of the connector; `plug` or `receptacle` for a half of an in-line connector.
    pub connector: &'h str,
    /// The shell.
    pub shell: ShellPartId,
    /// Marks of the cavities that hold a wire.
    pub cavities: BTreeSet<&'h str>,
    /// The first pin of it that holds a wire.
    pub pin: PinId,
    /// What ends in it, in order.
    pub conductors: Vec<ConductorId>,
}

/// Every shell of the harness, device by device.
pub fn fitted_shells(h: &Harness) -> Vec<Fitted<'_>> {
    let mut fitted: BTreeMap<(DeviceId, u32), Fitted<'_>> = BTreeMap::new();
    for id in h.conductor_ids() {
        let conductor = h.conductor(id);
        for pin_id in [conductor.from, conductor.to] {
            let pin = h.pin(pin_id);
            let PinSite::Cavity { connector: index, cavity } = &pin.site else { continue };
            let Some(connector) = h.device(pin.device).connectors.get(*index as usize) else { continue };
            let shell = fitted.entry((pin.device, *index)).or_insert_with(|| Fitted {
                device: pin.device,
                connector: &connector.name,
                shell: connector.harness_shell,
                cavities: BTreeSet::new(),
                pin: pin_id,
                conductors: Vec::new(),
            });
            shell.pin = shell.pin.min(pin_id);
            shell.cavities.insert(cavity);
            shell.conductors.push(id);
        }
    }
    fitted.into_values().collect()
}
