//! What every part of the routing drawing looks things up in: marks, what is fitted where, how thick a bundle is
//! drawn.

use super::card;
use crate::draw::geometry::{Mm, mm};
use crate::draw::mark::{Layer, Mark, TagKind};
use crate::draw::tagging::{device_mark, with_wires};
use crate::graph::{Bundles, Routing};
use crate::harness::{ConductorId, DeviceId, Harness, HoleId, PlaceId, RunId};
use crate::parts::library::Library;
use crate::quantity::{Length, Units};

/// Thickest line that a bundle is drawn as.
const THICKEST: f64 = 7.5;
/// Thinnest line of a run that carries anything: wider than any other line of the drawing but the wall's.
const THINNEST: Mm = mm(0.7);

pub(super) struct Job<'a> {
    pub h: &'a Harness,
    pub library: &'a Library,
    pub routing: &'a Routing,
    pub bundles: &'a Bundles,
    pub units: Units,
    /// Conductors in each run.
    pub weight: Vec<usize>,
    /// Bundles are drawn so many times smaller than they are.
    pub reduction: i64,
    run_marks: Vec<Mark>,
    hole_marks: Vec<Mark>,
    /// Widest line of what is written on a run, left of a place, and right of one.
    pub label: Mm,
    pub card: Mm,
    pub last: Mm,
    /// Devices at each place, in the order of the spec.
    pub devices_at: Vec<Vec<DeviceId>>,
    /// Devices whose leads end at each place without being there.
    pub leads_at: Vec<Vec<DeviceId>>,
}

impl<'a> Job<'a> {
    pub fn new(h: &'a Harness, library: &'a Library, routing: &'a Routing, bundles: &'a Bundles) -> Job<'a> {
        let mut devices_at = vec![Vec::new(); h.places.len()];
        let mut leads_at = vec![Vec::new(); h.places.len()];
        for (i, device) in h.devices.iter().enumerate() {
            let place = routing.place_of.get(i).copied().flatten();
            if let Some(place) = place {
                devices_at[place.index()].push(DeviceId::at(i));
            }
            if let Some(end) = device.lead_ends_at.filter(|end| Some(end.value) != place) {
                leads_at[end.value.index()].push(DeviceId::at(i));
            }
        }
        let widest = (0..h.runs.len()).map(|i| bundles.run(RunId::at(i)).diameter()).max();
        let widest = widest.unwrap_or(Length::ZERO).mm();
        let reduction = [1, 2, 3, 5, 10, 20, 50].into_iter().find(|r| widest / *r as f64 <= THICKEST);
        let tagged = |kind, name: &str, conductors: &[ConductorId]| {
            with_wires(h, Mark::new(Layer::Structure).with(kind, name), conductors)
        };
        let runs = h.runs.iter().zip(&routing.in_run);
        let holes = h.holes.iter().zip(&routing.in_hole);
        Job {
            h,
            library,
            routing,
            bundles,
            units: h.header.units,
            weight: routing.in_run.iter().map(Vec::len).collect(),
            reduction: reduction.unwrap_or(100),
            label: card::LIMIT,
            card: card::LIMIT,
            last: card::WIDE,
            run_marks: runs.map(|(r, c)| tagged(TagKind::Run, &r.name, c)).collect(),
            hole_marks: holes.map(|(x, c)| tagged(TagKind::Hole, &x.name, c)).collect(),
            devices_at,
            leads_at,
        }
    }

    /// The same with lettering on narrower lines.
    pub fn narrower(self, [label, card, last]: [Mm; 3]) -> Job<'a> {
        Job { label, card, last, ..self }
    }

    /// Run, and every circuit and conductor in it: who selects a conductor finds all of its way.
    pub fn run_mark(&self, run: RunId) -> &Mark {
        &self.run_marks[run.index()]
    }

    /// Hole, and every circuit and conductor through it.
    pub fn hole_mark(&self, hole: HoleId) -> &Mark {
        &self.hole_marks[hole.index()]
    }

    pub fn place_mark(&self, place: PlaceId) -> Mark {
        match self.h.place(place).hole {
            Some(hole) => self.hole_mark(hole).with(TagKind::Place, &self.h.place(place).name),
            None => Mark::new(Layer::Symbol).with(TagKind::Place, &self.h.place(place).name),
        }
    }

    pub fn device_mark(&self, device: DeviceId, place: PlaceId) -> Mark {
        device_mark(self.h, device, place)
    }

    /// Width of a run's line on paper.
    pub fn thickness(&self, run: RunId) -> Mm {
        if self.weight[run.index()] == 0 {
            return mm(0.35);
        }
        (Mm::from(self.bundles.run(run).diameter()) / self.reduction).max(THINNEST)
    }

    /// Width of the same with the sleeve over it, where there is one.
    pub fn breadth(&self, run: RunId) -> Mm {
        let sleeve = if self.h.run(run).cover.is_some() { mm(2.4) } else { Mm::ZERO };
        self.thickness(run) + sleeve
    }
}
