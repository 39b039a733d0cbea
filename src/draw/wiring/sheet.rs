//! The placed parts of the wiring drawing in; the whole sheet out: drawing, labels, legend, title block.

use super::align;
use super::build::{self, Built};
use super::chart::Terminal;
use super::columns;
use super::draw_device::DeviceDrawing;
use super::draw_zone::ZoneDrawing;
use super::emblem::{self, Emblem, Kind};
use super::key;
use super::label::{self, Labels};
use super::order;
use super::plan::{self, Plan};
use super::seat;
use super::way;
use crate::draw::geometry::{Extent, Mm, Point, mm};
use crate::draw::insulation::{self, Insulation};
use crate::draw::legend::Legend;
use crate::draw::mark::{Layer, Mark, TagKind};
use crate::draw::scene::Scene;
use crate::draw::sheet::Sheet;
use crate::draw::symbols::{self, Facing};
use crate::draw::title_block::TitleBlock;
use crate::graph::Routing;
use crate::harness::{ConductorId, DeviceId, Harness};
use crate::parts::library::Library;

/// What the sheet says besides the harness.
#[derive(Clone, Debug)]
pub struct WiringSheet {
    /// Words across the top of the sheet, for a harness that is drawn despite findings.
    pub banner: Option<String>,
    /// Number of this sheet, from 1.
    pub sheet: usize,
    /// Number of sheets.
    pub sheets: usize,
    /// Cautions over the title block.
    pub cautions: Vec<String>,
}

impl Default for WiringSheet {
    fn default() -> WiringSheet {
        WiringSheet {
            banner: None,
            sheet: 1,
            sheets: 1,
            cautions: vec![
                "Not approved data. The maker's instructions, local regulations and a licensed person's sign-off \
                 come first."
                    .to_owned(),
            ],
        }
    }
}

/// Draws the wiring of a harness on one sheet, as large as it must be.
pub fn wiring(h: &Harness, library: &Library, routing: &Routing, with: &WiringSheet) -> Scene {
    let ways = way::ways(h, routing);
    let columns = columns::columns(h, &ways);
    let seats = seat::seats(h, &ways, &columns);
    let (above, below) = label::reach(h);
    // Between two conductors of a strand stands the label of the lower one.
    let pitch = (above + below + label::AIR * 2 + label::HALF_LINE * 2).max(align::GRID * 2);
    let pitch = Mm::from_um((pitch.um() + align::GRID.um() - 1) / align::GRID.um() * align::GRID.um());
    let mut built = build::build(h, library, routing, &ways, &columns, &seats, pitch);
    order::order(&mut built.chart);
    let heights = align::align(&built.chart);
    let emblems = emblem::emblems(h, library, &built);
    let shown = emblem::by_row(&emblems);
    let plan = plan::plan(h, routing, &columns, &built, &heights, &|row, side| {
        shown.contains_key(&(row, side)) || built.chart.rows[row].screen.is_some()
    });

    let mut drawing = Scene::default();
    let used: Vec<bool> = {
        let mut used = vec![false; h.pins.len()];
        for c in &h.conductors {
            used[c.from.index()] = true;
            used[c.to.index()] = true;
        }
        used
    };
    ZoneDrawing {
        h,
        routing,
        chart: &built.chart,
        columns: &columns,
        heights: &heights,
        plan: &plan,
        origin: Point::default(),
        bottom: heights.span.1,
    }
    .draw(&mut drawing);
    for i in 0..h.devices.len() {
        let id = DeviceId::at(i);
        let left_half = seats.left_half.get(&id).copied().unwrap_or(0);
        DeviceDrawing { h, library, chart: &built.chart, plan: &plan, left_half, used: &used }.draw(
            &mut drawing,
            id,
            built.nodes[i],
            &built.faces[i],
        );
    }
    conductors(&mut drawing, h, &plan);
    draw_emblems(&mut drawing, h, &built, &plan, &emblems);
    Labels { h, built: &built, plan: &plan, below }.draw(&mut drawing, |id| mark_of(h, id));
    let legend = key::legend(h, &built, &emblems);
    on_sheet(h, with, &drawing, Extent::new(plan.width, heights.span.1), &legend)
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

fn conductors(scene: &mut Scene, h: &Harness, plan: &Plan) {
    for id in h.conductor_ids() {
        if let Some(points) = plan.lines.get(id.index()).filter(|p| p.len() > 1) {
            let insulation = Insulation::of(Some(h.conductor(id).colour.value));
            insulation::conductor(scene, &mark_of(h, id), points, insulation);
        }
    }
}

fn draw_emblems(scene: &mut Scene, h: &Harness, built: &Built, plan: &Plan, emblems: &[Emblem]) {
    for e in emblems {
        let Some(first) = e.rows.first() else { continue };
        let x = plan.emblem_x(&built.chart, Terminal { row: *first, side: e.side });
        let (y, spread) = plan::middle(&e.rows, &plan.rows);
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

fn on_sheet(h: &Harness, with: &WiringSheet, drawing: &Scene, size: Extent, legend: &Legend) -> Scene {
    let block = title_block(h, with);
    let banner = with.banner.as_deref();
    let mut sheet = Sheet::fitting(size, &block, banner);
    let room = |sheet: &Sheet| {
        sheet.beside_block.filter(|free| {
            let need = legend.measure(free.width());
            need.width <= free.width() && need.height <= free.height()
        })
    };
    let gap = mm(6.0);
    if room(&sheet).is_none() {
        let need = legend.measure(size.width.max(mm(150.0)));
        sheet = Sheet::fitting(
            Extent::new(size.width.max(need.width), size.height + gap + need.height),
            &block,
            banner,
        );
    }
    let mut scene = sheet.scene();
    let free = sheet.drawing.extent();
    let dx = sheet.drawing.min.x + (free.width - size.width) / 2;
    match room(&sheet) {
        Some(beside) => {
            let dy = sheet.drawing.min.y + (free.height - size.height) / 2;
            scene.place(drawing, dx, dy);
            let height = legend.measure(beside.width()).height;
            legend.draw(&mut scene, Point::new(beside.min.x, beside.max.y - height), beside.width());
        }
        None => {
            let dy = sheet.drawing.min.y;
            scene.place(drawing, dx, dy);
            let at = Point::new(sheet.drawing.min.x, dy + size.height + gap);
            legend.draw(&mut scene, at, size.width.max(mm(150.0)));
        }
    }
    scene
}

fn title_block(h: &Harness, with: &WiringSheet) -> TitleBlock {
    let header = &h.header;
    let mut cautions = with.cautions.clone();
    cautions.extend(header.remark.clone());
    TitleBlock {
        owner: header.owner.clone().unwrap_or_default(),
        title: header.title.clone(),
        supplementary: match &header.machine {
            Some(machine) => format!("Wiring. {machine}"),
            None => "Wiring".to_owned(),
        },
        number: header.drawing.clone(),
        revision: header.revision.clone().unwrap_or_default(),
        sheet: with.sheet,
        sheets: with.sheets,
        date: header.issued.map(|d| d.to_string()).unwrap_or_default(),
        document_type: "wiring diagram".to_owned(),
        cautions,
        ..TitleBlock::default()
    }
}
