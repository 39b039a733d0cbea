//! Where the leads lie that devices bring themselves: the harness and its paths in; for each run and hole the devices
//! whose leads go along or through it, out. The harness's wires are not among them, and nobody says how thick they are.

use super::routing::Routing;
use crate::harness::{DeviceId, Harness};

/// Devices whose own leads end at another place than where they are mounted.
#[derive(Clone, Debug)]
pub struct OwnLeads {
    /// By run id.
    pub along: Vec<Vec<DeviceId>>,
    /// By hole id.
    pub through: Vec<Vec<DeviceId>>,
}

impl OwnLeads {
    /// Leads take the shortest admissible path. One search for each device whose leads end elsewhere.
    pub fn of(h: &Harness, routing: &Routing) -> OwnLeads {
        let mut leads =
            OwnLeads { along: vec![Vec::new(); h.runs.len()], through: vec![Vec::new(); h.holes.len()] };
        for (i, (device, place)) in h.devices.iter().zip(&routing.place_of).enumerate() {
            let end = device.lead_ends_at.map(|end| end.value).filter(|end| Some(*end) != *place);
            let Some((place, end)) = place.zip(end) else { continue };
            let Some((_, path)) = routing.route.distance(place, end) else { continue };
            path.runs.iter().for_each(|run| leads.along[run.index()].push(DeviceId::at(i)));
            path.holes.iter().for_each(|hole| leads.through[hole.index()].push(DeviceId::at(i)));
        }
        leads
    }
}
