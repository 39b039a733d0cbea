//! Pins at which conductors of several sheets end in; on each of these sheets, which ones other sheets draw, out.
//!
//! Each stands as a short line with an arrow beside its pin: the mark of the conductor, and the sheet with the zone of its grid
//! (ISO 5457) in which the pin stands there. In-line connectors and splices have none: the flags of the device name the
//! sheets, and it has but one couple or one joint to look for.

use std::collections::BTreeMap;

use super::chart::Terminal;
use super::flag;
use super::label::{AIR, HALF_LINE};
use super::lay::Laid;
use super::seat::Side;
use super::share::{Design, Share};
use crate::draw::geometry::{Mm, Point, mm};
use crate::draw::lettering::{self, Lettering};
use crate::draw::mark::{Layer, Mark, TagKind};
use crate::draw::palette::Ink;
use crate::draw::scene::Scene;
use crate::draw::stroke::Stroke;
use crate::harness::{ConductorId, DeviceClass, Harness, PinId};

/// Most conductors of one pin that are named one by one; of more each sheet is named once.
const EACH: usize = 4;
/// Between mark and sheet.
const GAP: Mm = mm(1.6);
/// Length of the arrow's head, and half its height.
const HEAD: (Mm, Mm) = (mm(2.4), mm(0.45));
const MARK: Lettering = Lettering::SMALL.bold();
const SHEET: Lettering = Lettering::SMALL;

/// What one pin has on another sheet.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Onward {
    /// The pin.
    pub pin: PinId,
    /// The other sheet, counted from 0.
    pub sheet: usize,
    /// Mark of the conductor, or how many there are.
    pub words: String,
    /// What it takes along its line, so that every zone of every sheet fits.
    pub width: Mm,
}

/// Where one is drawn.
#[derive(Clone, Copy, Debug)]
pub(super) struct Onset {
    /// Its number.
    pub number: usize,
    /// At the pin.
    pub foot: Point,
    /// Where the sheet is to be named.
    pub sheet: Point,
}

/// Conductors at each pin that may have some on other sheets.
pub(super) fn ends(design: &Design) -> BTreeMap<PinId, Vec<ConductorId>> {
    let mut ends: BTreeMap<PinId, Vec<ConductorId>> = BTreeMap::new();
    for (i, way) in design.ways.ways.iter().enumerate() {
        for foot in [way.from, way.to].into_iter().filter(|foot| foot.screen.is_none()) {
            let class = &design.h.device(foot.device).class;
            if !matches!(class, DeviceClass::InLine { .. } | DeviceClass::Splice { .. }) {
                ends.entry(foot.pin).or_default().push(ConductorId::at(i));
            }
        }
    }
    ends.retain(|_, conductors| conductors.len() > 1);
    ends
}

/// What a sheet has to say. `on` tells the sheet of each conductor; where it is not yet known, a pin has as many
/// rows as it may have for single conductors.
pub(super) fn onward(design: &Design, share: &Share, on: Option<&[usize]>, sheets: usize) -> Vec<Onward> {
    let here = |id: &ConductorId| share.conductors.binary_search(id).is_ok();
    let mut all = Vec::new();
    for (pin, conductors) in &design.shared_pins {
        let others: Vec<ConductorId> = conductors.iter().copied().filter(|id| !here(id)).collect();
        if others.is_empty() || others.len() == conductors.len() {
            continue;
        }
        let sheet = |id: &ConductorId| on.and_then(|on| on.get(id.index())).copied().unwrap_or(0);
        let mut say = |sheet: usize, words: String| {
            let width = lettering::width(&words, MARK) + GAP + flag::widest(sheets) + HEAD.0;
            all.push(Onward { pin: *pin, sheet, words, width });
        };
        if others.len() <= EACH || on.is_none() {
            others.iter().take(EACH).for_each(|id| say(sheet(id), design.h.conductor(*id).mark.clone()));
            continue;
        }
        let mut by_sheet: BTreeMap<usize, Vec<ConductorId>> = BTreeMap::new();
        for id in others {
            by_sheet.entry(sheet(&id)).or_default().push(id);
        }
        for (sheet, conductors) in by_sheet {
            say(
                sheet,
                match conductors.as_slice() {
                    [only] => design.h.conductor(*only).mark.clone(),
                    several => format!("{} more", several.len()),
                },
            );
        }
    }
    all
}

/// Draws all of a sheet but for the names of the other sheets; says where those go. `below` is how far labels reach below
/// their baseline.
pub(super) fn draw(scene: &mut Scene, h: &Harness, laid: &Laid, all: &[Onward], below: Mm) -> Vec<Onset> {
    let chart = &laid.built.chart;
    let mut onsets = Vec::new();
    for (row, drawn) in chart.rows.iter().enumerate() {
        let Some((number, onward)) = drawn.onward.and_then(|n| Some((n, all.get(n)?))) else { continue };
        let side = if drawn.pins[1].is_some() { Side::Right } else { Side::Left };
        let end = Terminal { row, side };
        let (foot, x) = (laid.plan.foot(chart, end), laid.plan.label_x(chart, end));
        let start = if side == Side::Right { x } else { x - onward.width };
        let tip = if side == Side::Right { x + onward.width } else { start };
        let mark = Mark::new(Layer::Symbol).with(TagKind::Cavity, &h.pin(onward.pin).name);
        let tip = Point::new(tip, foot.y);
        arrow(scene, &mark, foot, tip);
        let baseline = foot.y - HALF_LINE - AIR - below;
        let label = mark.on(Layer::Label);
        let at = Point::new(if side == Side::Right { start } else { start + HEAD.0 }, baseline);
        scene.text(&label, at, &onward.words, MARK);
        let sheet = at.by(lettering::width(&onward.words, MARK) + GAP, Mm::ZERO);
        onsets.push(Onset { number, foot, sheet });
    }
    onsets
}

/// A line that leads away.
pub(super) fn arrow(scene: &mut Scene, mark: &Mark, from: Point, tip: Point) {
    let back = if tip.x > from.x { -HEAD.0 } else { HEAD.0 };
    scene.line(mark, from, tip.by(back, Mm::ZERO), Stroke::THIN);
    let head = vec![tip, tip.by(back, -HEAD.1), tip.by(back, HEAD.1)];
    scene.polygon(mark, head, Ink::BLACK);
}

/// Names the sheet and the zone.
pub(super) fn name(scene: &mut Scene, h: &Harness, onward: &Onward, at: Point, zone: &str) {
    let mark = Mark::new(Layer::Label).with(TagKind::Cavity, &h.pin(onward.pin).name);
    scene.text(&mark, at, &format!("{}/{zone}", onward.sheet + 1), SHEET);
}
