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
    let mut used: BTreeMap<(DeviceId, u32), (PinId, BTreeSet<&str>, Vec<ConductorId>)> = BTreeMap::new();
    for id in h.conductor_ids() {
        let conductor = h.conductor(id);
        for pin_id in [conductor.from, conductor.to] {
            let pin = h.pin(pin_id);
            if let PinSite::Cavity { connector, cavity } = &pin.site {
                let (first, cavities, conductors) = used
                    .entry((pin.device, *connector))
                    .or_insert_with(|| (pin_id, BTreeSet::new(), Vec::new()));
                *first = pin_id.min(*first);
                cavities.insert(cavity);
                conductors.push(id);
            }
        }
    }
    used.into_iter()
        .filter_map(|((device, index), (pin, cavities, conductors))| {
            let connector = h.device(device).connectors.get(index as usize)?;
            let shell = connector.harness_shell;
            Some(Fitted { device, connector: &connector.name, shell, cavities, pin, conductors })
        })
        .collect()
}
