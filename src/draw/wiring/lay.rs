//! What one sheet draws in; all of it laid out, measured and drawn from its own corner, out.

use super::align::{self, Heights};
use super::build::{self, Built};
use super::chart::Terminal;
use super::columns::{self, Columns};
use super::draw_device::DeviceDrawing;
use super::draw_zone::ZoneDrawing;
use super::emblem::{self, Emblem, Kind};
use super::flag::Spot;
use super::label::{self, Labels};
use super::onward::{self, Onset};
use super::order::{self, Effort};
use super::plan::{self, Plan};
use super::seat::{self, Seats};
use super::share::Site;
use crate::draw::geometry::{Extent, Mm, Point};
use crate::draw::insulation::{self, Insulation};
use crate::draw::mark::{Layer, Mark, TagKind};
use crate::draw::scene::Scene;
use crate::draw::symbols::{self, Facing};
use crate::harness::{ConductorId, Harness};

/// A sheet's share with every place found.
pub(super) struct Laid {
    pub columns: Columns,
    pub seats: Seats,
    pub built: Built,
    pub heights: Heights,
    pub emblems: Vec<Emblem>,
    pub plan: Plan,
    /// Links that cross in their channels, as the order lets them.
    pub crossings: usize,
    /// How far labels reach below their baseline.
    below: Mm,
}

/// Lays out.
pub(super) fn lay(site: &Site, effort: Effort) -> Laid {
    let h = site.h;
    let columns = columns::columns(h, site.ways, site.share);
    let seats = seat::seats(h, site.ways, site.share, &columns);
    let (above, below) = label::reach(h, site.share);
    // Between two conductors of a strand stands the label of the lower one.
    let pitch = (above + below + label::AIR * 2 + label::HALF_LINE * 2).max(align::GRID * 2);
    let pitch = Mm::from_um((pitch.um() + align::GRID.um() - 1) / align::GRID.um() * align::GRID.um());
    let mut built = build::build(site, &columns, &seats, pitch);
    let crossings = order::order(&mut built.chart, effort);
    let heights = align::align(&built.chart);
    let emblems = emblem::emblems(h, site.library, &built);
    let shown = emblem::by_row(&emblems);
    let plan = plan::plan(h, site.routing, &columns, &built, &heights, site.onward, &|row, side| {
        shown.contains_key(&(row, side)) || built.chart.rows[row].screen.is_some()
    });
    Laid { columns, seats, built, heights, emblems, plan, crossings, below }
}

impl Laid {
    /// What it takes.
    pub fn size(&self) -> Extent {
        Extent::new(self.plan.width, self.heights.span.1)
    }

    /// Draws it, and says where each device's name stands, where its flags go, and where what other sheets draw at a pin.
    pub fn draw(&self, site: &Site) -> (Scene, Vec<Spot>, Vec<Onset>) {
        let h = site.h;
        let mut drawing = Scene::default();
        ZoneDrawing {
            h,
            routing: site.routing,
            chart: &self.built.chart,
            columns: &self.columns,
            heights: &self.heights,
            plan: &self.plan,
            origin: Point::default(),
            bottom: self.heights.span.1,
        }
        .draw(&mut drawing);
        let mut spots = Vec::new();
        for (id, node, face) in self.built.devices() {
            let left_half = self.seats.left_half.get(&id).copied().unwrap_or(0);
            let device = DeviceDrawing { site, h, chart: &self.built.chart, plan: &self.plan, left_half };
            spots.push(device.draw(&mut drawing, id, node, face));
        }
        for (id, points) in self.plan.lines.iter().filter(|(_, points)| points.len() > 1) {
            let insulation = Insulation::of(Some(h.conductor(*id).colour.value));
            insulation::conductor(&mut drawing, &mark_of(h, *id), points, insulation);
        }
        self.draw_emblems(&mut drawing, h);
        let onsets = onward::draw(&mut drawing, h, self, site.onward, self.below);
        let labels = Labels { h, built: &self.built, plan: &self.plan, below: self.below };
        labels.draw(&mut drawing, |id| mark_of(h, id));
        (drawing, spots, onsets)
    }

    fn draw_emblems(&self, scene: &mut Scene, h: &Harness) {
        for e in &self.emblems {
            let Some(first) = e.rows.first() else { continue };
            let x = self.plan.emblem_x(&self.built.chart, Terminal { row: *first, side: e.side });
            let (y, spread) = plan::middle(&e.rows, &self.plan.rows);
            let mut mark = Mark::new(Layer::Symbol);
            if let Some(cable) = e.cable {
                mark = mark.with(TagKind::Cable, &h.cable(cable).name);
            }
            let at = Point::new(x, y);
            match e.kind {
                Kind::Screen => {
                    symbols::screen(scene, &mark, at, Facing::Right, spread);
                }
                Kind::Jacket => {
                    symbols::cable(scene, &mark, at, Facing::Right, spread);
                }
                Kind::Twist => symbols::twist(scene, &mark, at, Facing::Right, spread),
            }
        }
    }
}

fn mark_of(h: &Harness, id: ConductorId) -> Mark {
    let c = h.conductor(id);
    let mark = Mark::new(Layer::Conductor)
        .with(TagKind::Conductor, &c.mark)
        .with(TagKind::Circuit, &h.circuit(c.circuit).name);
    match c.cable {
        Some(cable) => mark.with(TagKind::Cable, &h.cable(cable).name),
        None => mark,
    }
}
