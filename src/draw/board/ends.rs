//! The ends of conductors in; what is held on the bench out: each connector, stud or lead once, with all wires that go
//! to it over the same length.

use std::collections::BTreeMap;

use super::Beyond;
use crate::draw::geometry::Mm;
use crate::graph::{Bundles, LeastBends, Routing};
use crate::harness::{ConductorId, DeviceClass, DeviceId, Harness, PinId, PinSite, PlaceId};
use crate::parts::library::Library;
use crate::quantity::Length;

/// Wires that leave a place together and end side by side.
#[derive(Clone, Debug)]
pub(super) struct End {
    pub device: DeviceId,
    /// Index of the connector in its device; `None` for what has none, and for two halves that are mated.
    pub connector: Option<u32>,
    /// In rising order.
    pub conductors: Vec<ConductorId>,
    /// How many of them go to the plug and to the receptacle of an in-line connector: one that runs from half to half to
    /// both.
    to_plug: usize,
    to_receptacle: usize,
    /// What lies beyond the place.
    pub beyond: Beyond,
    /// Least and most that the wires are cut longer.
    pub reserve: [Length; 2],
    /// Half the thickness of the bundle.
    pub half: Mm,
    /// Least radius, at the inner side of a bend, that its wires ask for.
    pub bend: Mm,
}

impl End {
    /// From the place to where the wires end.
    pub fn length(&self) -> Mm {
        Mm::from(self.beyond.laid())
    }

    /// How many conductors end in the plug and in the receptacle of an in-line connector.
    pub fn halves(&self) -> [usize; 2] {
        [self.to_plug, self.to_receptacle]
    }

    /// `GAUGE.A` where it is a connector, else the device's name.
    pub fn name(&self, h: &Harness) -> String {
        let device = h.device(self.device);
        match self.connector.and_then(|c| device.connectors.get(c as usize)) {
            Some(connector) => format!("{}.{}", device.name, connector.name),
            None => device.name.clone(),
        }
    }
}

type Key = (PlaceId, DeviceId, Option<u32>, Length);

/// The ends at each place, in the order of the spec. Splices have none: they lie in the bundle.
pub(super) fn ends(
    h: &Harness,
    library: &Library,
    routing: &Routing,
    bundles: &Bundles,
    beyond: &[[Beyond; 2]],
) -> BTreeMap<PlaceId, Vec<End>> {
    let mut found: BTreeMap<Key, End> = BTreeMap::new();
    for id in h.conductor_ids().filter(|id| routing.path_of(h, *id).is_some()) {
        let c = h.conductor(id);
        let both = beyond.get(id.index()).copied().unwrap_or_default();
        for (pin, beyond) in [(c.from, both[0]), (c.to, both[1])] {
            let Some(place) = routing.place_of_pin(h, pin) else { continue };
            if !is_held(h, pin) {
                continue;
            }
            let device = h.pin(pin).device;
            let (connector, receptacle) = seat(h, pin);
            let end = found.entry((place, device, connector, beyond.laid())).or_insert_with(|| End {
                device,
                connector,
                conductors: Vec::new(),
                to_plug: 0,
                to_receptacle: 0,
                beyond,
                reserve: [beyond.reserve; 2],
                half: Mm::ZERO,
                bend: Mm::ZERO,
            });
            // A wire that runs from one cavity of a connector to another one ends there twice.
            end.to_receptacle += usize::from(receptacle == Some(true));
            end.to_plug += usize::from(receptacle == Some(false));
            end.conductors.push(id);
            end.reserve = [end.reserve[0].min(beyond.reserve), end.reserve[1].max(beyond.reserve)];
        }
    }
    for end in found.values_mut() {
        end.conductors.dedup();
        let bends = LeastBends::of(h, library, &end.conductors);
        end.bend = bends.map_or(Mm::ZERO, |bends| Mm::from(bends.to_keep().radius.value));
    }
    let groups: Vec<&[ConductorId]> = found.values().map(|end| end.conductors.as_slice()).collect();
    let gathered = bundles.gathered(h, library, &groups);
    let thick: Vec<Mm> = gathered.iter().map(|bundle| Mm::from(bundle.diameter()) / 2).collect();
    let mut at: BTreeMap<PlaceId, Vec<End>> = BTreeMap::new();
    for (((place, ..), end), half) in found.into_iter().zip(thick) {
        at.entry(place).or_default().push(End { half, ..end });
    }
    at
}

/// False for splices, and for screens: a drain lead is cut from the place of the end that it is tied at.
fn is_held(h: &Harness, pin: PinId) -> bool {
    let pin = h.pin(pin);
    !matches!(pin.site, PinSite::Screen(_))
        && !matches!(h.device(pin.device).class, DeviceClass::Splice { .. })
}

/// The connector that a pin is in, and of an in-line connector whether that is the receptacle.
fn seat(h: &Harness, pin: PinId) -> (Option<u32>, Option<bool>) {
    let PinSite::Cavity { connector, .. } = h.pin(pin).site else { return (None, None) };
    match h.device(h.pin(pin).device).class {
        DeviceClass::InLine { .. } => (None, Some(connector == 1)),
        _ => (Some(connector), None),
    }
}
