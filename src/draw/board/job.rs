//! What every part of a board looks things up in: the harness, where it lies, and the marks of what is drawn.

use std::collections::BTreeSet;

use super::ends::End;
use crate::draw::mark::{Layer, Mark, TagKind};
use crate::graph::{Bundles, Routing};
use crate::harness::{ConductorId, DeviceClass, DeviceId, Harness, PlaceId, RunId};
use crate::quantity::Units;

pub(super) struct Job<'a> {
    pub h: &'a Harness,
    pub routing: &'a Routing,
    pub bundles: &'a Bundles,
    pub units: Units,
    run_marks: Vec<Mark>,
}

impl<'a> Job<'a> {
    pub fn new(h: &'a Harness, routing: &'a Routing, bundles: &'a Bundles) -> Job<'a> {
        let run_mark = |(run, inside): (&crate::harness::Run, &Vec<ConductorId>)| {
            with_wires(h, Mark::new(Layer::Structure).with(TagKind::Run, &run.name), inside)
        };
        let run_marks = h.runs.iter().zip(&routing.in_run).map(run_mark).collect();
        Job { h, routing, bundles, units: h.header.units, run_marks }
    }

    /// Run, and every circuit and conductor in it: who selects a conductor finds all of its way.
    pub fn run_mark(&self, run: RunId) -> &Mark {
        &self.run_marks[run.index()]
    }

    pub fn place_mark(&self, place: PlaceId) -> Mark {
        let place = self.h.place(place);
        let mark = Mark::new(Layer::Symbol).with(TagKind::Place, &place.name);
        mark.with_all(TagKind::Hole, place.hole.map(|hole| self.h.hole(hole).name.as_str()))
    }

    pub fn device_mark(&self, device: DeviceId, place: PlaceId) -> Mark {
        let d = self.h.device(device);
        let kind = match d.class {
            DeviceClass::Equipment | DeviceClass::Sensor => TagKind::Device,
            DeviceClass::Ground { .. } => TagKind::Ground,
            DeviceClass::Supply { .. } => TagKind::Supply,
            DeviceClass::InLine { .. } => TagKind::Connector,
            DeviceClass::Splice { .. } | DeviceClass::Stud { .. } => TagKind::Joint,
        };
        Mark::new(Layer::Label).with(kind, &d.name).with(TagKind::Place, &self.h.place(place).name)
    }

    /// A connector or device with its place and every wire that ends there, drain leads with the screens they start at.
    pub fn end_mark(&self, place: PlaceId, end: &End) -> Mark {
        let own = match end.connector {
            Some(_) => Mark::new(Layer::Structure)
                .with(TagKind::Connector, &end.name(self.h))
                .with_all(TagKind::Device, [self.h.device(end.device).name.as_str()])
                .with(TagKind::Place, &self.h.place(place).name),
            None => self.device_mark(end.device, place).on(Layer::Structure),
        };
        with_wires(self.h, own, &end.conductors)
    }
}

fn with_wires(h: &Harness, mark: Mark, inside: &[ConductorId]) -> Mark {
    let circuits: BTreeSet<_> = inside.iter().map(|c| h.conductor(*c).circuit).collect();
    mark.with_all(TagKind::Circuit, circuits.iter().map(|c| h.circuit(*c).name.as_str()))
        .with_all(TagKind::Conductor, inside.iter().map(|c| h.conductor(*c).mark.as_str()))
}
