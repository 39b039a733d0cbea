//! Zones and borders with their places in; grounds, walls, gates and their words on the scene out.

use super::align::Heights;
use super::build::LINTEL;
use super::chart::{Chart, NodeId, What};
use super::columns::{Border, Columns};
use super::plan::Plan;
use super::way::{Ground, Via};
use crate::draw::geometry::{Area, Mm, Point, mm};
use crate::draw::lettering::{self, Lettering};
use crate::draw::mark::{Layer, Mark, TagKind};
use crate::draw::palette::Ink;
use crate::draw::scene::{Anchor, Scene, Turn};
use crate::draw::stroke::{Dash, Stroke};
use crate::graph::Routing;
use crate::harness::{BarrierId, Harness};

/// What is needed to draw zones.
pub(super) struct ZoneDrawing<'a> {
    pub h: &'a Harness,
    pub routing: &'a Routing,
    pub chart: &'a Chart,
    pub columns: &'a Columns,
    pub heights: &'a Heights,
    pub plan: &'a Plan,
    /// Upper left corner of the drawing.
    pub origin: Point,
    /// Lower edge of all zones.
    pub bottom: Mm,
}

const WALL: Mm = mm(1.6);
const INSET: Mm = mm(4.0);

impl ZoneDrawing<'_> {
    /// Draws all grounds, then all borders.
    pub fn draw(&self, scene: &mut Scene) {
        for (column, zones) in self.heights.zones.iter().enumerate() {
            for (i, (ground, top)) in zones.iter().enumerate() {
                let bottom = zones.get(i + 1).map_or(self.bottom, |(_, y)| self.origin.y + *y);
                let area = Area::between(
                    Point::new(self.left(column), self.origin.y + *top),
                    Point::new(self.left(column + 1), bottom),
                );
                self.ground(scene, column, *ground, area);
                if column > 0 {
                    self.walls(scene, column, *ground, area);
                }
            }
        }
    }

    /// Where a column begins: in the middle of its gates.
    fn left(&self, column: usize) -> Mm {
        let x = if column == 0 {
            Mm::ZERO
        } else if column >= self.columns.zones.len() {
            self.plan.width
        } else {
            self.plan.ranks.get(self.chart.ranks.gates(column)).map_or(Mm::ZERO, |(l, r)| (*l + *r) / 2)
        };
        self.origin.x + x
    }

    fn gate_half(&self, column: usize) -> Mm {
        if column == 0 || column >= self.columns.zones.len() {
            return Mm::ZERO;
        }
        self.plan.ranks.get(self.chart.ranks.gates(column)).map_or(Mm::ZERO, |(l, r)| (*r - *l) / 2)
    }

    fn ground(&self, scene: &mut Scene, column: usize, ground: Ground, area: Area) {
        let zone = ground.map(|z| self.h.zone(z));
        let name = zone.map_or("", |z| z.name.as_str());
        let mark = Mark::new(Layer::Underlay).with(TagKind::Zone, name);
        let hot = zone.is_some_and(|z| !z.hazards.is_empty());
        scene.rect(&mark, area, if hot { Ink::SAND } else { Ink::MIST });
        let title = match zone {
            Some(z) => z.title.clone().unwrap_or_else(|| z.name.clone()),
            None if self.h.zones.is_empty() => return,
            None => "Zone not known".to_owned(),
        };
        let left = area.min.x + self.gate_half(column) + INSET;
        let room = area.max.x - self.gate_half(column + 1) - INSET - left;
        let label = mark.on(Layer::Label);
        let mut y = area.min.y + INSET;
        let heading = lettering::fit(&title, Lettering::LARGE.bold(), room, 1, lettering::Height::H2_5);
        y += heading.lettering.height.capital();
        y = scene.text_lines(&label, Point::new(left, y), &heading.lines, heading.lettering, Anchor::Start);
        if let Some(z) = zone {
            let mut facts: Vec<String> =
                z.ambient.iter().map(|a| format!("up to {}", a.value.show(self.h.header.units))).collect();
            facts.extend(
                (!z.hazards.is_empty()).then(|| {
                    z.hazards.iter().map(|hazard| hazard_word(*hazard)).collect::<Vec<_>>().join(", ")
                }),
            );
            let lines = lettering::wrap(&facts.join("; "), Lettering::SMALL.inked(Ink::SLATE), room);
            let at = Point::new(left, y + Lettering::SMALL.height.pitch() + mm(1.0));
            scene.text_lines(&label, at, &lines, Lettering::SMALL.inked(Ink::SLATE), Anchor::Start);
        }
    }

    /// The borders before one zone, each over its share of the zone's height.
    fn walls(&self, scene: &mut Scene, column: usize, ground: Ground, area: Area) {
        let rank = self.chart.ranks.gates(column);
        let root = self.chart.roots[rank];
        let zone = self.chart.nodes[root]
            .children
            .iter()
            .find(|c| self.chart.nodes[**c].what == What::Zone { ground, corridor: false });
        let mut borders: Vec<(Border, Option<NodeId>)> = Vec::new();
        for child in zone.iter().flat_map(|z| &self.chart.nodes[**z].children) {
            if let What::Border(border) = self.chart.nodes[*child].what {
                borders.push((border, Some(*child)));
            }
        }
        if borders.is_empty() {
            borders
                .extend(self.columns.borders.iter().filter(|b| b.high == ground).map(|b| (*b, None)).take(1));
        }
        let reach: Vec<(Mm, Mm)> =
            borders.iter().filter_map(|(_, n)| n.map(|n| self.plan.reach(self.chart, n))).collect();
        for (i, (border, node)) in borders.iter().enumerate() {
            let cut = |above: usize, below: usize| match (reach.get(above), reach.get(below)) {
                (Some((_, up)), Some((down, _))) => Some(self.origin.y + (*up + *down) / 2),
                _ => None,
            };
            let top = if i == 0 { area.min.y } else { cut(i - 1, i).unwrap_or(area.min.y) };
            let bottom = cut(i, i + 1).unwrap_or(area.max.y);
            self.wall(scene, *border, *node, area.min.x, top, bottom, i == 0);
        }
    }

    #[allow(clippy::too_many_arguments)]
    fn wall(
        &self,
        scene: &mut Scene,
        border: Border,
        node: Option<NodeId>,
        x: Mm,
        top: Mm,
        bottom: Mm,
        headed: bool,
    ) {
        let mut mark = Mark::new(Layer::Structure);
        if let Some(barrier) = border.barrier {
            mark = mark.with(TagKind::Barrier, &self.h.barrier(barrier).name);
        }
        let mut from =
            top + if headed { self.heading(scene, &mark, border.barrier, x, top) } else { mm(1.0) };
        let gates = node.map(|n| self.chart.nodes[n].children.clone()).unwrap_or_default();
        for gate in gates {
            let What::Gate(_, via) = self.chart.nodes[gate].what else { continue };
            let (upper, lower) = self.plan.reach(self.chart, gate);
            let (upper, lower) = (self.origin.y + upper, self.origin.y + lower);
            self.piece(scene, &mark, border.barrier, x, from, upper);
            self.gate(scene, &mark, gate, via, x, upper, lower);
            from = lower;
        }
        self.piece(scene, &mark, border.barrier, x, from, bottom);
    }

    /// Name of a barrier over its wall; returns the room it takes.
    fn heading(&self, scene: &mut Scene, mark: &Mark, barrier: Option<BarrierId>, x: Mm, top: Mm) -> Mm {
        let words = match barrier {
            Some(b) => {
                let barrier = self.h.barrier(b);
                barrier.title.clone().unwrap_or_else(|| barrier.name.clone())
            }
            None => "no barrier".to_owned(),
        };
        let lettering = Lettering::SMALL.bold();
        let lines = lettering::wrap(&words, lettering, mm(30.0));
        let wide =
            lines.iter().map(|l| lettering::width(l, lettering)).max().unwrap_or_default() / 2 + mm(2.0);
        let high = lettering.height.capital() + lettering.height.pitch().times(lines.len().saturating_sub(1));
        let sign = Area::between(
            Point::new(x - wide, top + INSET - mm(1.5)),
            Point::new(x + wide, top + INSET + high + mm(2.0)),
        );
        scene.rect(mark, sign, Stroke::MEDIUM.filled(Ink::WHITE));
        let at = Point::new(x, top + INSET + lettering.height.capital());
        scene.text_lines(&mark.on(Layer::Label), at, &lines, lettering, Anchor::Middle);
        sign.max.y - top
    }

    fn piece(&self, scene: &mut Scene, mark: &Mark, barrier: Option<BarrierId>, x: Mm, top: Mm, bottom: Mm) {
        if bottom <= top {
            return;
        }
        if barrier.is_none() {
            let stroke = Stroke::THIN.dashed(Dash::Chain).inked(Ink::SLATE);
            scene.line(mark, Point::new(x, top), Point::new(x, bottom), stroke);
            return;
        }
        let wall = Area::between(Point::new(x - WALL / 2, top), Point::new(x + WALL / 2, bottom));
        scene.rect(mark, wall, Ink::SLATE);
    }

    /// A lintel with name and count, the opening below it, a sill.
    #[allow(clippy::too_many_arguments)]
    fn gate(&self, scene: &mut Scene, wall: &Mark, node: NodeId, via: Via, x: Mm, top: Mm, bottom: Mm) {
        let count = self.chart.rows_of(node).len();
        let place = |p| self.h.place(p).name.clone();
        let (words, mark) = match via {
            Via::Hole(id) => {
                let hole = self.h.hole(id);
                let count = self.routing.in_hole.get(id.index()).map_or(count, Vec::len);
                let others =
                    if hole.others > 0 { format!(" + {} other", hole.others) } else { String::new() };
                (format!("{}: {count}{others}", hole.name), wall.with(TagKind::Hole, &hole.name))
            }
            Via::Breach(p) => (format!("no hole, {}: {count}", place(p)), wall.clone()),
            Via::Open(p) => (format!("{}: {count}", place(p)), wall.clone()),
            Via::Unknown => (format!("no way known: {count}"), wall.clone()),
        };
        let lettering = Lettering::SMALL.bold();
        let half = (lettering::width(&words, lettering) / 2 + mm(2.0)).max(mm(8.0));
        let lintel =
            Area::between(Point::new(x - half, top + mm(1.0)), Point::new(x + half, top + LINTEL - mm(2.0)));
        let stroke = match via {
            Via::Hole(_) => Stroke::MEDIUM,
            _ => Stroke::MEDIUM.dashed(Dash::Dashed),
        };
        scene.rect(&mark, lintel, stroke.filled(Ink::WHITE));
        let at = Point::new(x, lintel.centre().y + lettering.height.capital() / 2);
        scene.text_at(&mark.on(Layer::Label), at, &words, lettering, Anchor::Middle, Turn::Level);
        // The opening is as high as the conductors in it.
        let jamb = mm(2.5);
        let slot = Area::between(Point::new(x - jamb, lintel.max.y), Point::new(x + jamb, bottom));
        scene.rect(&mark, slot, stroke.inked(Ink::SLATE).filled(Ink::WHITE));
        let post = Area::between(Point::new(x - WALL / 2, top), Point::new(x + WALL / 2, lintel.min.y));
        scene.rect(wall, post, Ink::SLATE);
    }
}

fn hazard_word(hazard: crate::spec::words::Hazard) -> &'static str {
    use crate::spec::words::Hazard;
    match hazard {
        Hazard::Fuel => "fuel",
        Hazard::Oil => "oil",
        Hazard::Exhaust => "exhaust",
        Hazard::Ignition => "ignition",
        Hazard::Charging => "charging",
        Hazard::Water => "water",
        Hazard::MovingParts => "moving parts",
    }
}
