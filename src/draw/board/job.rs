//! What every part of a board looks things up in: the harness, where it lies, and the marks of what is drawn.

use super::ends::End;
use crate::draw::mark::{Layer, Mark, TagKind};
use crate::draw::tagging::{device_mark, with_wires};
use crate::graph::{Bundles, Routing};
use crate::harness::{ConductorId, DeviceClass, DeviceId, Harness, HoleId, PlaceId, RunId};
use crate::parts::library::Library;
use crate::quantity::{Length, Units};

pub(super) struct Job<'a> {
    pub h: &'a Harness,
    pub routing: &'a Routing,
    pub library: &'a Library,
    pub bundles: &'a Bundles,
    /// By run id: the hole that some of its wires are fed through before they lie there.
    pub fed_into: &'a [Option<HoleId>],
    pub units: Units,
    run_marks: Vec<Mark>,
}

impl<'a> Job<'a> {
    pub fn new(
        h: &'a Harness,
        library: &'a Library,
        routing: &'a Routing,
        bundles: &'a Bundles,
        fed_into: &'a [Option<HoleId>],
    ) -> Job<'a> {
        let run_mark = |(run, inside): (&crate::harness::Run, &Vec<ConductorId>)| {
            with_wires(h, Mark::new(Layer::Structure).with(TagKind::Run, &run.name), inside)
        };
        let run_marks = h.runs.iter().zip(&routing.in_run).map(run_mark).collect();
        Job { h, routing, library, bundles, fed_into, units: h.header.units, run_marks }
    }

    /// The hole that wires of a run are fed through before they lie there: until then nothing ties them.
    pub fn fed_into(&self, run: RunId) -> Option<HoleId> {
        self.fed_into.get(run.index()).copied().flatten()
    }

    /// How long a splice is with its cover; None where the library has none for its wires.
    pub fn splice_length(&self, splice: DeviceId) -> Option<Length> {
        let DeviceClass::Splice { part: Some(part), .. } = self.h.device(splice).class else { return None };
        let part = self.library.splices.get(part);
        let cover = part.covering.as_deref().and_then(|name| self.library.coverings.look_up(name));
        Some(part.length.max(cover.and_then(|(_, cover)| cover.piece).unwrap_or_default()))
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
