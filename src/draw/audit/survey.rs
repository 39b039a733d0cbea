//! The measuring itself: one pass for lettering, one for conductors, one for boxes, one for limits.

use std::collections::BTreeSet;

use super::meet::{Piece, beside, crossing, end_on, touches};
use super::{Defect, DefectKind, Report};
use crate::draw::geometry::{Area, Mm, Point, mm};
use crate::draw::grid::Grid;
use crate::draw::mark::{Layer, Mark, TagKind};
use crate::draw::outline;
use crate::draw::scene::{Item, Scene, Shape};

/// Least clear space between lettering and a line, ink to ink.
const LETTERING_GAP: Mm = mm(0.15);
/// Least clear space between parallel lines. Source: ISO 128-20:1996, clause on the spacing of parallel lines,
/// 0.7 mm (from memory).
const LANE_GAP: Mm = mm(0.7);
/// How deep a conductor may reach into a box it ends at.
const BOX_EDGE: Mm = mm(0.5);

/// A device's box or a line of lettering.
struct Boxed {
    item: usize,
    area: Area,
}

struct Survey<'a> {
    scene: &'a Scene,
    items: &'a [Item],
    /// Place of each item in the order of drawing.
    order: Vec<usize>,
    report: Report,
}

/// Measures a scene; see [`super::audit`].
pub fn survey(scene: &Scene) -> Report {
    let items = scene.items();
    let mut by_layer: Vec<usize> = (0..items.len()).collect();
    by_layer.sort_by_key(|i| items.get(*i).map(|item| item.mark.layer));
    let mut order = vec![0; items.len()];
    for (place, item) in by_layer.into_iter().enumerate() {
        if let Some(slot) = order.get_mut(item) {
            *slot = place;
        }
    }
    let mut survey = Survey { scene, items, order, report: Report::default() };
    let pieces = survey.pieces();
    let texts = survey.boxed(|i| matches!(i.shape, Shape::Text(_)));
    let devices = survey.boxed(|i| i.mark.layer == Layer::Device && matches!(i.shape, Shape::Rect { .. }));
    survey.lettering(&texts, &pieces, &devices);
    survey.conductors(&pieces, &devices);
    survey.boxes(&devices);
    survey.limits();
    survey.report.defects.sort_by_key(|d| (d.first.0, d.second.as_ref().map(|s| s.0), d.kind));
    survey.report.defects.dedup_by(|a, b| {
        (a.kind, a.first.0, a.second.as_ref().map(|s| s.0))
            == (b.kind, b.first.0, b.second.as_ref().map(|s| s.0))
    });
    survey.report
}

impl Survey<'_> {
    fn mark(&self, item: usize) -> Option<&Mark> {
        self.items.get(item).map(|i| &i.mark)
    }

    fn layer(&self, item: usize) -> Option<Layer> {
        self.mark(item).map(|m| m.layer)
    }

    fn note(&mut self, kind: DefectKind, first: usize, second: Option<usize>, at: Point) {
        let told = |i: usize| (i, self.items.get(i).map(describe).unwrap_or_default());
        let (first, second) = match second {
            Some(second) if second < first => (told(second), Some(told(first))),
            second => (told(first), second.map(told)),
        };
        self.report.defects.push(Defect { kind, first, second, at });
    }

    /// True for what is measured here.
    fn measures(&self, item: &Item) -> bool {
        self.scene.window(item).is_none()
    }

    fn pieces(&self) -> Vec<Piece> {
        let mut out: Vec<Piece> = Vec::new();
        for (item, drawn) in self.items.iter().enumerate() {
            if drawn.mark.layer == Layer::Paper || !self.measures(drawn) {
                continue;
            }
            let half = drawn.paint.stroke.map_or(Mm::ZERO, |s| s.width.width() / 2);
            for (from, to) in outline::pieces(drawn) {
                match out.last_mut() {
                    // A point that only divides a straight line is no bend.
                    Some(last) if last.item == item && last.to == from && straight(last.from, from, to) => {
                        last.to = to;
                    }
                    _ => out.push(Piece { item, from, to, half }),
                }
            }
        }
        out
    }

    fn boxed(&self, wanted: impl Fn(&Item) -> bool) -> Vec<Boxed> {
        let items = self.items.iter().enumerate().filter(|(_, i)| wanted(i) && self.measures(i));
        items.filter_map(|(item, i)| Some(Boxed { item, area: i.bounds()? })).collect()
    }

    /// Where each line of lettering has an opaque ground: the drawing order below which nothing shows.
    fn ground(&self, texts: &[Boxed]) -> Vec<usize> {
        let mut plates = Grid::default();
        let mut found = Vec::new();
        for (item, drawn) in self.items.iter().enumerate() {
            if let (Shape::Rect { area, .. }, Some(_)) = (&drawn.shape, drawn.paint.fill) {
                plates.add(found.len(), *area);
                found.push((item, *area));
            }
        }
        let order = |item: usize| self.order.get(item).copied().unwrap_or(0);
        let ground = |text: &Boxed| {
            let under = plates.near(text.area).into_iter().filter_map(|n| found.get(n));
            let under =
                under.filter(|(item, area)| area.contains(text.area) && order(*item) < order(text.item));
            under.map(|(item, _)| order(*item)).max().unwrap_or(0)
        };
        texts.iter().map(ground).collect()
    }

    fn lettering(&mut self, texts: &[Boxed], pieces: &[Piece], devices: &[Boxed]) {
        let ground = self.ground(texts);
        let (mut words, mut lines, mut boxes) = (Grid::default(), Grid::default(), Grid::default());
        for (i, text) in texts.iter().enumerate() {
            words.add(i, text.area);
        }
        for (i, piece) in pieces.iter().enumerate() {
            lines.add_piece(i, piece.from, piece.to, piece.half);
        }
        for (i, device) in devices.iter().enumerate() {
            boxes.add(i, device.area);
        }
        for (i, text) in texts.iter().enumerate() {
            for j in words.near(text.area).into_iter().filter(|j| *j > i) {
                let Some(other) = texts.get(j) else { continue };
                if text.area.overlaps(other.area) {
                    self.note(DefectKind::TextOnText, text.item, Some(other.item), other.area.centre());
                }
            }
            let around = text.area.grown(LETTERING_GAP);
            for j in lines.near(around) {
                let Some(piece) = pieces.get(j) else { continue };
                let hidden = self.order.get(piece.item) < ground.get(i);
                if !hidden && touches(piece, around) {
                    self.note(DefectKind::TextOnLine, text.item, Some(piece.item), text.area.centre());
                }
            }
            for j in boxes.near(text.area) {
                let Some(device) = devices.get(j).filter(|d| d.area.contains(text.area)) else { continue };
                let foreign =
                    |text: &Mark, device: &Mark| !text.tags().is_empty() && !text.shares_tag(device);
                if let (Some(mark), Some(own)) = (self.mark(text.item), self.mark(device.item))
                    && foreign(mark, own)
                {
                    self.note(DefectKind::TextInForeignBox, text.item, Some(device.item), text.area.centre());
                }
            }
        }
    }

    fn conductors(&mut self, pieces: &[Piece], devices: &[Boxed]) {
        let wires: Vec<Piece> =
            pieces.iter().copied().filter(|p| self.layer(p.item) == Some(Layer::Conductor)).collect();
        let mut grid = Grid::default();
        for (i, wire) in wires.iter().enumerate() {
            grid.add_piece(i, wire.from, wire.to, wire.half + LANE_GAP);
        }
        let mut joints = Grid::default();
        for (i, item) in self.items.iter().enumerate() {
            if matches!(item.mark.layer, Layer::Symbol | Layer::Device)
                && let Some(area) = item.bounds()
            {
                joints.add(i, area);
            }
        }
        let mut crossed = BTreeSet::new();
        for (i, wire) in wires.iter().enumerate() {
            for j in grid.near(wire.area()).into_iter().filter(|j| *j > i) {
                let Some(other) = wires.get(j) else { continue };
                let names = (self.conductor(wire.item), self.conductor(other.item));
                if names.0.is_some() && names.0 == names.1 || wire.item == other.item {
                    continue;
                }
                if let Some((gap, at)) = beside(wire, other) {
                    if gap < Mm::ZERO {
                        self.note(DefectKind::SharedLane, wire.item, Some(other.item), at);
                    } else if gap < LANE_GAP {
                        self.note(DefectKind::CrowdedLane, wire.item, Some(other.item), at);
                    }
                    continue;
                }
                if let Some(at) = crossing(wire, other) {
                    // A coloured conductor is drawn as several lines on one another: one crossing all the same.
                    let names = (names.0.map(str::to_owned), names.1.map(str::to_owned));
                    crossed.insert((names, at));
                } else if let Some(at) = end_on(wire, other).or_else(|| end_on(other, wire)) {
                    let here = Area::between(at, at);
                    let said = joints.near(here).into_iter().filter_map(|n| self.items.get(n)?.bounds());
                    if !said.into_iter().any(|a| a.holds(at)) {
                        self.note(DefectKind::FalseJoint, wire.item, Some(other.item), at);
                    }
                }
            }
        }
        self.report.crossings = crossed.len();

        let mut boxes = Grid::default();
        for (i, device) in devices.iter().enumerate() {
            boxes.add(i, device.area);
        }
        for wire in &wires {
            for j in boxes.near(wire.area()) {
                let Some(device) = devices.get(j) else { continue };
                let own = match (self.mark(wire.item), self.mark(device.item)) {
                    (Some(a), Some(b)) => a.shares_tag(b),
                    _ => false,
                };
                let inside = device.area.grown(-BOX_EDGE);
                if !own && touches(&Piece { half: Mm::ZERO, ..*wire }, inside) {
                    let at = device.area.centre();
                    self.note(DefectKind::WireThroughBox, wire.item, Some(device.item), at);
                }
            }
        }
    }

    fn conductor(&self, item: usize) -> Option<&str> {
        self.mark(item).and_then(|m| m.id(TagKind::Conductor))
    }

    /// Boxes inside one another are parts of a device; boxes that cut one another are a fault.
    fn boxes(&mut self, devices: &[Boxed]) {
        let mut grid = Grid::default();
        for (i, device) in devices.iter().enumerate() {
            grid.add(i, device.area);
        }
        for (i, device) in devices.iter().enumerate() {
            let inner = device.area.grown(mm(-0.5));
            for j in grid.near(device.area).into_iter().filter(|j| *j > i) {
                let Some(other) = devices.get(j) else { continue };
                let nested = device.area.contains(other.area) || other.area.contains(device.area);
                if !nested && inner.overlaps(other.area.grown(mm(-0.5))) {
                    self.note(DefectKind::BoxOnBox, device.item, Some(other.item), other.area.centre());
                }
            }
        }
    }

    fn limits(&mut self) {
        let scene = self.scene;
        let sheet = Area::at(Point::default(), scene.size);
        let frame = scene.frame.unwrap_or(sheet);
        for (item, drawn) in self.items.iter().enumerate() {
            let Some(area) = drawn.bounds().filter(|_| self.measures(drawn)) else { continue };
            let fixed = matches!(drawn.mark.layer, Layer::Paper | Layer::Frame);
            if !if fixed { sheet } else { frame }.contains(area) {
                self.note(DefectKind::OutsideFrame, item, None, area.centre());
            }
            if !fixed && scene.reserved.iter().any(|r| r.overlaps(area)) {
                self.note(DefectKind::OnReservedPlace, item, None, area.centre());
            }
        }
    }
}

/// True when the way from `a` over `b` to `c` is level or upright and goes on without a turn.
fn straight(a: Point, b: Point, c: Point) -> bool {
    let upright = a.x == b.x && b.x == c.x && (a.y < b.y) == (b.y < c.y);
    let level = a.y == b.y && b.y == c.y && (a.x < b.x) == (b.x < c.x);
    upright || level
}

fn describe(item: &Item) -> String {
    let what = match &item.shape {
        Shape::Text(text) => format!("text “{}”", text.words),
        Shape::Line { .. } => "line".to_owned(),
        Shape::Polyline { .. } => "polyline".to_owned(),
        Shape::Rect { .. } => "rectangle".to_owned(),
        Shape::Circle { .. } => "circle".to_owned(),
        Shape::Arc { .. } => "arc".to_owned(),
        Shape::Path(_) => "outline".to_owned(),
    };
    let tags: Vec<String> =
        item.mark.tags().iter().map(|t| format!("{} `{}`", t.kind.word(), t.id)).collect();
    let of = if tags.is_empty() { String::new() } else { format!(" of {}", tags.join(", ")) };
    format!("{} {what}{of}", item.mark.layer.word())
}
