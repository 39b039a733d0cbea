//! A device's face and places in; its box, cells, symbol and words on the scene out.

use super::chart::{Chart, NodeId, RowId, What};
use super::face::{ASIDE, Face, GREY, Glyph, HALVES, Line, PAD, Shape, text_height};
use super::flag::Spot;
use super::plan::{Plan, rank_of};
use super::seat::Side;
use super::share::Site;
use super::words;
use crate::draw::geometry::{Area, Mm, Point, mm};
use crate::draw::lettering::{self, Lettering};
use crate::draw::mark::{Layer, Mark, TagKind};
use crate::draw::palette::Ink;
use crate::draw::scene::{Anchor, Item, Scene, Turn};
use crate::draw::stroke::Stroke;
use crate::draw::symbols::{self, Facing};
use crate::draw::tagging::device_kind;
use crate::harness::{DeviceId, Harness, PinId};

/// What is needed to draw a device.
pub(super) struct DeviceDrawing<'a> {
    pub site: &'a Site<'a>,
    pub h: &'a Harness,
    pub chart: &'a Chart,
    pub plan: &'a Plan,
    /// For each in-line connector, the half on its left.
    pub left_half: usize,
}

/// A pin as drawn: its rows, and the side they are on.
struct Cell {
    pin: PinId,
    side: Side,
    top: Mm,
    bottom: Mm,
}

impl Cell {
    fn middle(&self) -> Mm {
        (self.top + self.bottom) / 2
    }
}

impl DeviceDrawing<'_> {
    /// Draws one device.
    pub fn draw(&self, scene: &mut Scene, id: DeviceId, node: NodeId, face: &Face) -> Spot {
        let device = self.h.device(id);
        let kind = device_kind(&device.class);
        let mut mark = Mark::new(Layer::Device).with(kind, &device.name);
        if kind != TagKind::Device {
            mark = mark.with(TagKind::Device, &device.name);
        }
        let area = self.plan.boxes.get(&id).copied().unwrap_or_default();
        let (name, flags) = match face.shape {
            Shape::Sleeve => self.sleeve(scene, &mark, node, face, area),
            Shape::InLine => self.in_line(scene, &mark, node, face, area),
            Shape::Plate => {
                scene.rect(&mark, area, Stroke::MEDIUM.filled(Ink::BONE));
                self.cells(scene, &mark, node, face, area);
                self.plate(scene, &mark, node, face, area)
            }
            Shape::Head => {
                scene.rect(&mark, area, Stroke::FRAME.filled(Ink::WHITE));
                self.connectors(scene, &mark, id, node, area);
                self.cells(scene, &mark, node, face, area);
                let at = area.min.by(PAD, PAD);
                text_block(scene, &mark.on(Layer::Label), at, &face.text, Anchor::Start)
            }
        };
        let flags = flags.map(|(at, count)| match face.shape {
            Shape::Sleeve => at.by(-(self.site.flag * i64::try_from(count).unwrap_or(1) / 2), Mm::ZERO),
            _ => at,
        });
        Spot { device: id, mark, name, flags }
    }

    fn pins_below(&self, node: NodeId) -> Vec<Cell> {
        let half = self.chart.pitch / 2;
        let mut cells: Vec<Cell> = Vec::new();
        for side in [Side::Left, Side::Right] {
            let rows: Vec<RowId> = self.chart.rows_of(node);
            let pin = |row: &RowId| self.chart.rows[*row].pins[usize::from(side == Side::Right)];
            let drawn: Vec<RowId> = rows.into_iter().filter(|r| pin(r).is_some()).collect();
            for run in drawn
                .chunk_by(|a, b| pin(a) == pin(b) && self.chart.rows[*a].leaf == self.chart.rows[*b].leaf)
            {
                if let (Some(first), Some(last)) = (run.first(), run.last())
                    && let Some(pin) = pin(first)
                {
                    let (top, bottom) = (self.plan.rows[*first] - half, self.plan.rows[*last] + half);
                    cells.push(Cell { pin, side, top, bottom });
                }
            }
        }
        cells
    }

    /// A cell for each pin at the edge of the box, its note beside it.
    fn cells(&self, scene: &mut Scene, mark: &Mark, node: NodeId, face: &Face, area: Area) {
        for cell in self.pins_below(node) {
            let i = usize::from(cell.side == Side::Right);
            let own = mark_pin(mark, self.h, cell.pin);
            let (outer, inner) = match cell.side {
                Side::Left => (area.min.x, area.min.x + face.cells[0]),
                Side::Right => (area.max.x, area.max.x - face.cells[1]),
            };
            let edge = Area::between(Point::new(outer, cell.top), Point::new(inner, cell.bottom));
            scene.rect(&own, edge, Stroke::THIN.filled(Ink::WHITE));
            let lettering = Lettering::SMALL;
            let baseline = cell.middle() + lettering.height.capital() / 2;
            let words = words::pin_sign(self.h, cell.pin);
            let label = own.on(Layer::Label);
            let at = Point::new((outer + inner) / 2, baseline);
            scene.text_at(&label, at, &words, lettering, Anchor::Middle, Turn::Level);
            let note = words::pin_note(self.h, cell.pin, face.shape == Shape::Head);
            if face.notes[i] > Mm::ZERO {
                let (x, anchor) = match cell.side {
                    Side::Left => (inner + PAD, Anchor::Start),
                    Side::Right => (inner - PAD, Anchor::End),
                };
                scene.text_at(&label, Point::new(x, baseline), &note, lettering, anchor, Turn::Level);
            }
        }
    }

    /// Name and symbol beside the cells.
    fn plate(&self, scene: &mut Scene, mark: &Mark, node: NodeId, face: &Face, area: Area) -> Written {
        let cells = self.pins_below(node);
        let on_right = cells.iter().any(|c| c.side == Side::Right);
        let on_left = cells.iter().any(|c| c.side == Side::Left);
        // Words stand on the side that has no pins; with pins on both sides or none, behind the left ones.
        let words_left = on_right && !on_left;
        let side = if words_left { Side::Right } else { Side::Left };
        let (inner, facing) = match side {
            Side::Left => (area.min.x + face.edge(side), Facing::Right),
            Side::Right => (area.max.x - face.edge(side), Facing::Left),
        };
        if let Some(glyph) = face.glyph {
            let shown: Vec<&Cell> = cells.iter().filter(|c| c.side == side).collect();
            draw_glyph(scene, &mark.on(Layer::Symbol), glyph, &shown, inner, facing);
        }
        let high = text_height(&face.text);
        let top = area.centre().y - high / 2;
        let symbol = face.glyph.map_or(Mm::ZERO, Glyph::room);
        let x = match side {
            Side::Left => inner + symbol + PAD * if face.notes[0] > Mm::ZERO { 2 } else { 1 },
            Side::Right => area.min.x + PAD,
        };
        text_block(scene, &mark.on(Layer::Label), Point::new(x, top), &face.text, Anchor::Start)
    }

    /// The connectors of an indicator, each with its name and how much of it is used.
    fn connectors(&self, scene: &mut Scene, mark: &Mark, id: DeviceId, node: NodeId, area: Area) {
        let device = self.h.device(id);
        for child in &self.chart.nodes[node].children {
            let What::Connector(_, number) = self.chart.nodes[*child].what else { continue };
            let Some(connector) = device.connectors.get(number as usize) else { continue };
            let (top, bottom) = self.plan.reach(self.chart, *child);
            let own = mark.with(TagKind::Connector, &format!("{}.{}", device.name, connector.name));
            let inner = Area::between(Point::new(area.min.x, top), Point::new(area.max.x, bottom));
            scene.rect(&own, inner, Stroke::THIN.filled(Ink::BONE));
            let words = words::connector(self.site, id, number);
            let baseline = inner.min.by(PAD, PAD + Lettering::SMALL.height.capital());
            scene.text_lines(&own.on(Layer::Label), baseline, &words, Lettering::SMALL, Anchor::Start);
        }
    }

    /// Both halves with the mated contacts between them.
    fn in_line(&self, scene: &mut Scene, mark: &Mark, node: NodeId, face: &Face, area: Area) -> Written {
        let head = text_height(&face.text);
        let top = area.min.y + head + Lettering::SMALL.height.pitch() + PAD * 2;
        let body = Area::between(Point::new(area.min.x, top), area.max);
        if self.chart.ranks.is_gates(rank_of(self.chart, node)) {
            // The words would stand on the wall in whose hole the connector sits.
            scene.rect(&mark.on(Layer::Structure), area.grown(mm(0.5)), Stroke::MEDIUM.filled(Ink::WHITE));
        }
        let written =
            text_block(scene, &mark.on(Layer::Label), area.min.by(mm(0.5), PAD), &face.text, Anchor::Start);
        let gap = super::face::MATED / 2;
        let middle = body.centre().x;
        let halves = [
            Area::between(body.min, Point::new(middle - gap, body.max.y)),
            Area::between(Point::new(middle + gap, body.min.y), body.max),
        ];
        let names = if self.left_half == 0 { HALVES } else { [HALVES[1], HALVES[0]] };
        let spots = [(body.min.x + mm(0.5), Anchor::Start), (body.max.x - mm(0.5), Anchor::End)];
        for (name, (x, anchor)) in names.into_iter().zip(spots) {
            let at = Point::new(x, top - mm(1.2));
            scene.text_at(&mark.on(Layer::Label), at, name, Lettering::SMALL, anchor, Turn::Level);
        }
        for half in halves {
            scene.rect(mark, half, Stroke::MEDIUM.filled(Ink::BONE));
        }
        for cell in self.pins_below(node) {
            let half = halves[usize::from(cell.side == Side::Right)];
            let own = mark_pin(mark, self.h, cell.pin);
            let edge = Area::between(Point::new(half.min.x, cell.top), Point::new(half.max.x, cell.bottom));
            scene.rect(&own, edge, Stroke::THIN.filled(Ink::WHITE));
            let at = Point::new(half.centre().x, cell.middle() + Lettering::SMALL.height.capital() / 2);
            let words = words::pin_sign(self.h, cell.pin);
            scene.text_at(&own.on(Layer::Label), at, &words, Lettering::SMALL, Anchor::Middle, Turn::Level);
            if cell.side == Side::Left {
                let (from, facing) = if self.left_half == 0 {
                    (Point::new(half.max.x + mm(1.4), cell.middle()), Facing::Right)
                } else {
                    (Point::new(half.max.x + super::face::MATED - mm(1.4), cell.middle()), Facing::Left)
                };
                symbols::mated(scene, &own.on(Layer::Symbol), from, facing);
            }
        }
        written
    }

    /// A sleeve as high as the conductors it joins, a dot for each of them.
    fn sleeve(&self, scene: &mut Scene, mark: &Mark, node: NodeId, face: &Face, area: Area) -> Written {
        let rows = self.chart.rows_of(node);
        let pin = rows.iter().flat_map(|r| self.chart.rows[*r].pins).flatten().next();
        let own = pin.map_or_else(|| mark.clone(), |p| mark_pin(mark, self.h, p));
        let top = rows.first().map_or(area.min.y, |r| self.plan.rows[*r] - mm(2.0));
        let bottom = rows.last().map_or(area.max.y, |r| self.plan.rows[*r] + mm(2.0));
        let sleeve = Area::between(Point::new(area.min.x, top), Point::new(area.max.x, bottom));
        scene.rounded_rect(&own, sleeve, mm(2.0), Stroke::MEDIUM.filled(Ink::WHITE));
        let symbol = own.on(Layer::Symbol);
        let x = area.centre().x;
        let ends: Vec<Point> = rows.iter().map(|r| Point::new(x, self.plan.rows[*r])).collect();
        if let (Some(first), Some(last)) = (ends.first(), ends.last())
            && first != last
        {
            scene.line(&symbol, *first, *last, Stroke::WIDE);
        }
        for (row, at) in rows.iter().zip(&ends) {
            for (side, edge) in [(Side::Left, area.min.x), (Side::Right, area.max.x)] {
                if self.chart.rows[*row].link(side).is_some() {
                    scene.line(&symbol, *at, Point::new(edge, at.y), Stroke::WIDE);
                }
            }
            symbols::junction(scene, &symbol, *at);
        }
        let high = text_height(&face.text);
        let at = Point::new(x, top - mm(1.6) - high);
        text_block(scene, &mark.on(Layer::Label), at, &face.text, Anchor::Middle)
    }
}

fn mark_pin(mark: &Mark, h: &Harness, pin: PinId) -> Mark {
    mark.with(TagKind::Cavity, &h.pin(pin).name)
}

/// The middle of the first line, and where flags go: the anchor of their first line, and how many stand in it.
type Written = (Point, Option<(Point, usize)>);

/// Lines below one another from the upper edge of the first one's capitals.
fn text_block(scene: &mut Scene, mark: &Mark, at: Point, text: &[Line], anchor: Anchor) -> Written {
    let mut y = at.y;
    let (mut middle, mut flags) = (at, None);
    for (i, line) in text.iter().enumerate() {
        let lettering = line.lettering;
        y += if i == 0 { lettering.height.capital() } else { line.step() };
        if line.flags > 0 {
            flags = flags.or(Some((Point::new(at.x, y), line.flags)));
            continue;
        }
        scene.text_at(mark, Point::new(at.x, y), &line.words, lettering, anchor, Turn::Level);
        let wide = lettering::width(&line.words, lettering);
        if i == 0 {
            middle = scene.items().last().and_then(Item::bounds).map_or(middle, Area::centre);
        }
        let aside = Point::new(at.x + wide + ASIDE, y);
        scene.text_at(mark, aside, &line.aside, GREY, Anchor::Start, Turn::Level);
    }
    (middle, flags)
}

fn draw_glyph(scene: &mut Scene, mark: &Mark, glyph: Glyph, cells: &[&Cell], inner: Mm, facing: Facing) {
    let Some(first) = cells.first() else { return };
    let start = Point::new(inner, first.middle());
    let at = facing.ahead(start, glyph.lead(), Mm::ZERO);
    if at != start {
        scene.line(mark, start, at, Stroke::WIDE);
    }
    let rated = |scene: &mut Scene| {
        let words = glyph.rating().unwrap_or_default();
        let down = if facing == Facing::Right { mm(1.0) + mm(3.4) } else { mm(-3.4) };
        // A long rating keeps clear of the bar.
        let half = lettering::width(&words, Lettering::SMALL) / 2;
        let place = facing.ahead(at, mm(5.0).min(mm(9.8) - half), Mm::ZERO).by(Mm::ZERO, down);
        scene.text_at(&mark.on(Layer::Label), place, &words, Lettering::SMALL, Anchor::Middle, Turn::Level);
    };
    let bar = |scene: &mut Scene, along: Mm| {
        let end = facing.ahead(at, along, Mm::ZERO);
        scene.line(mark, end.by(Mm::ZERO, mm(-3.0)), end.by(Mm::ZERO, mm(3.0)), Stroke::BAR);
    };
    match glyph {
        Glyph::Thermocouple => {
            let last = cells.last().map_or(at, |c| Point::new(inner, c.middle()));
            symbols::thermocouple(scene, mark, at, last, facing);
        }
        Glyph::Breaker(_) => {
            symbols::breaker(scene, mark, at, facing);
            bar(scene, mm(10.5));
            rated(scene);
        }
        Glyph::Fuse(_) => {
            symbols::fuse(scene, mark, at, facing);
            bar(scene, mm(10.5));
            rated(scene);
        }
        Glyph::Bus => {
            scene.line(mark, at, facing.ahead(at, mm(6.0), Mm::ZERO), Stroke::WIDE);
            bar(scene, mm(6.5));
        }
        Glyph::Ground => symbols::chassis(
            scene,
            mark,
            at.by(if facing == Facing::Right { mm(1.0) } else { mm(-1.0) }, Mm::ZERO),
            facing,
        ),
        Glyph::Stud => {
            let middle = facing.ahead(at, mm(6.0), Mm::ZERO);
            scene.line(mark, at, facing.ahead(at, mm(4.25), Mm::ZERO), Stroke::WIDE);
            symbols::stud(scene, mark, middle);
        }
    }
}
