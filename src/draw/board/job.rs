//! What every part of a board looks things up in: the harness, where it lies, and the marks of what is drawn.

use super::ends::End;
use crate::draw::mark::{Layer, Mark, TagKind};
use crate::draw::tagging::{device_mark, with_wires};
use crate::graph::{Bundles, Routing};
use crate::harness::{ConductorId, DeviceId, Harness, PlaceId, RunId};
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
        device_mark(self.h, device, place)
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
