//! A resolved harness in; its wiring drawing out, on as many sheets as are handy: drawing, flags, legend, title block.
//!
//! Each sheet is laid out by itself, then all of them at once say where their devices stand, so that each flag can name
//! sheet and zone.

use std::collections::BTreeMap;

use super::face::FLAG_STEP;
use super::flag::{self, Spot};
use super::key;
use super::lay::{Laid, lay};
use super::onward::{self, Onset, Onward};
use super::order::Effort;
use super::share::{Design, Share};
use super::split::{self, Part};
use crate::draw::geometry::{Extent, Mm, mm};
use crate::draw::legend::Legend;
use crate::draw::mark::Layer;
use crate::draw::scene::Scene;
use crate::draw::sheet::{Format, Sheet};
use crate::draw::title_block::{CAUTION, TitleBlock};
use crate::draw::{Area, Point};
use crate::graph::Routing;
use crate::harness::{DeviceId, Harness, PinId};
use crate::parts::library::Library;

/// What the sheets say besides the harness.
#[derive(Clone, Debug)]
pub struct WiringSheet {
    /// Words across the top of each sheet, for a harness that is drawn despite findings.
    pub banner: Option<String>,
    /// Cautions over the title block.
    pub cautions: Vec<String>,
}

impl Default for WiringSheet {
    fn default() -> WiringSheet {
        WiringSheet { banner: None, cautions: vec![CAUTION.to_owned()] }
    }
}

/// One sheet.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Wiring {
    /// What is drawn.
    pub scene: Scene,
    /// How often two conductors cross, as the order of pins and devices lets them: the lanes add none.
    pub crossings: usize,
}

/// Draws the wiring of a harness: every conductor on one of the sheets, from pin to pin.
///
/// Where the drawing does not go on a sheet of A3 it is split between systems, so that each sheet does; only what cannot
/// be split gets a larger one. A device that several sheets draw has the pins of that sheet on each of them, and flags
/// that name the others.
pub fn wiring(h: &Harness, library: &Library, routing: &Routing, with: &WiringSheet) -> Vec<Wiring> {
    let design = Design::of(h, library, routing, with);
    let parts = split::split(&design);
    let shares: Vec<Share> = parts.iter().map(|p| p.share.clone()).collect();
    let shared = flag::shared(&shares);
    let step = flag::step(parts.len());
    let mut on = vec![0; h.conductors.len()];
    for (i, share) in shares.iter().enumerate() {
        for id in &share.conductors {
            if let Some(sheet) = on.get_mut(id.index()) {
                *sheet = i;
            }
        }
    }
    let mut sheets: Vec<Drawn> = Vec::with_capacity(parts.len());
    for (i, part) in parts.iter().enumerate() {
        let targets = |device: &DeviceId| Some((*device, flag::targets(shared.get(device)?, i)));
        let targets: BTreeMap<DeviceId, Vec<usize>> = part.share.devices.iter().filter_map(targets).collect();
        let onward = onward::onward(&design, &part.share, Some(&on), parts.len());
        sheets.push(Drawn::new(&design, part, (i + 1, parts.len()), targets, step, onward));
    }
    let zones: Vec<Zones> = sheets.iter().map(Drawn::zones).collect();
    sheets.into_iter().map(|sheet| sheet.finish(h, &zones, step)).collect()
}

/// Zones of a sheet's grid.
struct Zones {
    /// In which each device's name stands.
    devices: BTreeMap<DeviceId, String>,
    /// In which the pins stand of which other sheets draw a part.
    pins: BTreeMap<PinId, String>,
}

/// A sheet whose flags are still blank.
struct Drawn {
    wiring: Wiring,
    sheet: Sheet,
    spots: Vec<Spot>,
    onsets: Vec<Onset>,
    onward: Vec<Onward>,
    targets: BTreeMap<DeviceId, Vec<usize>>,
}

impl Drawn {
    fn new(
        design: &Design,
        part: &Part,
        number: (usize, usize),
        targets: BTreeMap<DeviceId, Vec<usize>>,
        step: Mm,
        onward: Vec<Onward>,
    ) -> Drawn {
        let flags = targets.iter().map(|(device, to)| (*device, to.len())).collect();
        let site = design.site(&part.share, part.limits, &flags, step, &onward);
        let laid = lay(&site, Effort::Full);
        let framed = Framed::of(design, &laid, &key::legend(&site, &laid), &part.title, number);
        let (drawing, mut spots, mut onsets) = laid.draw(&site);
        let scene = framed.draw(&drawing);
        for spot in &mut spots {
            spot.name = spot.name.by(framed.corner.x, framed.corner.y);
            spot.flags = spot.flags.map(|at| at.by(framed.corner.x, framed.corner.y));
        }
        for onset in &mut onsets {
            onset.foot = onset.foot.by(framed.corner.x, framed.corner.y);
            onset.sheet = onset.sheet.by(framed.corner.x, framed.corner.y);
        }
        let wiring = Wiring { scene, crossings: laid.crossings };
        Drawn { wiring, sheet: framed.sheet, spots, onsets, onward, targets }
    }

    fn zones(&self) -> Zones {
        let pin = |onset: &Onset| Some((self.onward.get(onset.number)?.pin, self.sheet.zone(onset.foot)));
        Zones {
            devices: self.spots.iter().map(|spot| (spot.device, self.sheet.zone(spot.name))).collect(),
            pins: self.onsets.iter().filter_map(pin).collect(),
        }
    }

    fn finish(mut self, h: &Harness, zones: &[Zones], step: Mm) -> Wiring {
        for onset in &self.onsets {
            let Some(onward) = self.onward.get(onset.number) else { continue };
            if let Some(zone) = zones.get(onward.sheet).and_then(|z| z.pins.get(&onward.pin)) {
                onward::name(&mut self.wiring.scene, h, onward, onset.sheet, zone);
            }
        }
        for spot in &self.spots {
            let targets = self.targets.get(&spot.device).map(Vec::as_slice).unwrap_or_default();
            for (i, sheet) in targets.iter().enumerate() {
                if let (Some(at), Some(zone)) =
                    (spot.flags, zones.get(*sheet).and_then(|z| z.devices.get(&spot.device)))
                {
                    let words = format!("{}/{zone}", sheet + 1);
                    let (symbol, label) = (spot.mark.on(Layer::Symbol), spot.mark.on(Layer::Label));
                    let (row, place) = (i / flag::ABREAST, i % flag::ABREAST);
                    let at = at.by(step.times(place), FLAG_STEP.times(row));
                    flag::draw(&mut self.wiring.scene, &symbol, &label, at, &words, step);
                }
            }
        }
        self.wiring
    }
}

/// Between the drawing and a legend below it.
const GAP: Mm = mm(6.0);
/// Least width of a legend below the drawing.
const LEGEND: Mm = mm(150.0);

/// A layout on its sheet.
pub(super) struct Framed {
    /// The sheet.
    pub sheet: Sheet,
    /// Upper left corner of the drawing.
    pub corner: Point,
    legend: Legend,
    /// Where the legend begins, and its width.
    legend_at: (Point, Mm),
}

impl Framed {
    /// Finds the smallest sheet.
    pub fn of(
        design: &Design,
        laid: &Laid,
        legend: &Legend,
        title: &str,
        (number, count): (usize, usize),
    ) -> Framed {
        let size = laid.size();
        let block = title_block(design, title, number, count);
        let banner = design.with.banner.as_deref();
        let legend = legend.clone();
        let beside = |sheet: &Sheet| -> Option<Area> {
            sheet.beside_block.filter(|free| free.extent().holds(legend.measure(free.width())))
        };
        let sheet = Sheet::fitting(size, &block, banner);
        if let Some(free) = beside(&sheet) {
            let height = legend.measure(free.width()).height;
            let area = sheet.drawing;
            // At the top, as where the legend stands below: from sheet to sheet the eye finds zones at the same height.
            let corner = area.min.by((area.width() - size.width) / 2, Mm::ZERO);
            let legend_at = (Point::new(free.min.x, free.max.y - height), free.width());
            return Framed { sheet, corner, legend, legend_at };
        }
        let wide = size.width.max(LEGEND);
        // A legend that is a little too high for its place beside the title block may reach up into the drawing area.
        let over = |sheet: &Sheet| {
            let free = sheet.beside_block?;
            let need = legend.measure(free.width());
            let top = free.max.y - need.height;
            let fits = need.width <= free.width()
                && sheet.drawing.min.y + size.height + GAP <= top
                && size.width <= sheet.drawing.width();
            fits.then_some((Point::new(free.min.x, top), free.width()))
        };
        for format in Format::series() {
            let sheet = Sheet::on(format, &block, banner);
            if let Some(legend_at) = over(&sheet) {
                let corner = sheet.drawing.min.by((sheet.drawing.width() - size.width) / 2, Mm::ZERO);
                return Framed { sheet, corner, legend, legend_at };
            }
        }
        let need = legend.measure(wide);
        let content = Extent::new(size.width.max(need.width), size.height + GAP + need.height);
        let sheet = Sheet::fitting(content, &block, banner);
        let corner = sheet.drawing.min.by((sheet.drawing.width() - size.width) / 2, Mm::ZERO);
        let legend_at = (Point::new(sheet.drawing.min.x, corner.y + size.height + GAP), wide);
        Framed { sheet, corner, legend, legend_at }
    }

    /// How many sizes of the series it takes: 1 for A4, 5 for a sheet beyond A1.
    pub fn rung(&self) -> usize {
        let size = self.sheet.format.size;
        Format::series().iter().take_while(|f| !f.size.holds(size)).count() + 1
    }

    fn draw(&self, drawing: &Scene) -> Scene {
        let mut scene = self.sheet.scene();
        scene.place(drawing, self.corner.x, self.corner.y);
        self.legend.draw(&mut scene, self.legend_at.0, self.legend_at.1);
        scene
    }
}

fn title_block(design: &Design, title: &str, sheet: usize, sheets: usize) -> TitleBlock {
    let header = &design.h.header;
    let mut cautions = design.with.cautions.clone();
    cautions.extend(header.remark.clone());
    let what = if title.is_empty() { "Wiring".to_owned() } else { format!("Wiring: {title}") };
    TitleBlock {
        owner: header.owner.clone().unwrap_or_default(),
        title: header.title.clone(),
        supplementary: match &header.machine {
            Some(machine) => format!("{what}. {machine}"),
            None => what,
        },
        number: header.drawing.clone(),
        revision: header.revision.clone().unwrap_or_default(),
        sheet,
        sheets,
        date: header.issued.map(|d| d.to_string()).unwrap_or_default(),
        document_type: "Wiring diagram".to_owned(),
        // Nothing on it is measured.
        units: "none".to_owned(),
        cautions,
        ..TitleBlock::default()
    }
}
