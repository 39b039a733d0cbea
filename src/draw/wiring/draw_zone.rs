//! Zones and borders with their places in; grounds, walls, gates and their words on the scene out.

use super::align::{Field, Heights};
use super::build::LINTEL;
use super::chart::{Chart, NodeId, What};
use super::columns::{Border, Columns};
use super::plan::Plan;
use super::way::{Ground, Via};
use super::words;
use crate::draw::geometry::{Area, Mm, Point, mm};
use crate::draw::lettering::{self, Fitted, Height, Lettering};
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
/// From the edge of a zone to its words.
pub(super) const INSET: Mm = mm(4.0);
/// Least width that a zone has for its words.
pub(super) const ZONE_WORDS: Mm = mm(58.0);
/// Widest line in the name of a barrier.
const BARRIER: Mm = mm(30.0);
const GREY: Lettering = Lettering::SMALL.inked(Ink::SLATE);

impl ZoneDrawing<'_> {
    /// Draws all grounds, then all borders.
    pub fn draw(&self, scene: &mut Scene) {
        for (column, fields) in self.heights.zones.iter().enumerate() {
            for (i, field) in fields.iter().enumerate() {
                let bottom = fields.get(i + 1).map_or(self.bottom, |next| self.origin.y + next.top);
                let area = Area::between(
                    Point::new(self.left(column), self.origin.y + field.top),
                    Point::new(self.left(column + 1), bottom),
                );
                self.ground(scene, column, field, area);
                if column > 0 && !field.corridor {
                    self.walls(scene, column, field.ground, area);
                }
            }
            for pair in fields.windows(2) {
                if let [above, below] = pair
                    && (above.corridor || below.corridor)
                {
                    self.ceiling(scene, column, above.ground, below);
                }
            }
        }
    }

    /// Between a corridor and what lies above it stands what parts their zones, as it would between columns.
    fn ceiling(&self, scene: &mut Scene, column: usize, above: Ground, field: &Field) {
        if above == field.ground {
            return;
        }
        let parts = |b: &&Border| {
            (b.low, b.high) == (above, field.ground) || (b.high, b.low) == (above, field.ground)
        };
        let barrier = self.columns.borders.iter().find(parts).and_then(|b| b.barrier);
        let y = self.origin.y + field.top;
        let (from, to) = (Point::new(self.left(column), y), Point::new(self.left(column + 1), y));
        match barrier {
            Some(barrier) => {
                let mark = Mark::new(Layer::Structure).with(TagKind::Barrier, &self.h.barrier(barrier).name);
                let half = WALL / 2;
                scene.rect(&mark, Area::between(from.by(-half, -half), to.by(half, half)), Ink::SLATE);
            }
            None => {
                let stroke = Stroke::THIN.dashed(Dash::Chain).inked(Ink::SLATE);
                scene.line(&Mark::new(Layer::Structure), from, to, stroke);
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

    fn ground(&self, scene: &mut Scene, column: usize, field: &Field, area: Area) {
        let zone = field.ground.map(|z| self.h.zone(z));
        let name = zone.map_or("", |z| z.name.as_str());
        let mark = Mark::new(Layer::Underlay).with(TagKind::Zone, name);
        let hot = zone.is_some_and(|z| !z.hazards.is_empty());
        scene.rect(&mark, area, if hot { Ink::SAND } else { Ink::MIST });
        if field.corridor {
            return;
        }
        let left = area.min.x + self.gate_half(column) + INSET;
        let room = area.max.x - self.gate_half(column + 1) - INSET - left;
        let (heading, facts) = header(self.h, field.ground, room);
        let label = mark.on(Layer::Label);
        let mut y = area.min.y + INSET + heading.lettering.height.capital();
        y = scene.text_lines(&label, Point::new(left, y), &heading.lines, heading.lettering, Anchor::Start);
        let at = Point::new(left, y + GREY.height.pitch() + mm(1.0));
        scene.text_lines(&label, at, &facts, GREY, Anchor::Start);
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
        let starts: Vec<Option<Mm>> = borders
            .iter()
            .map(|(_, n)| n.map(|n| self.origin.y + self.plan.reach(self.chart, n).0 - INSET / 2))
            .collect();
        for (i, (border, node)) in borders.iter().enumerate() {
            let start = |i: usize| starts.get(i).copied().flatten();
            let top = if i == 0 { area.min.y } else { start(i).unwrap_or(area.min.y) };
            let bottom = start(i + 1).unwrap_or(area.max.y);
            self.wall(scene, *border, *node, area.min.x, top, bottom);
        }
    }

    #[allow(clippy::too_many_arguments)]
    fn wall(&self, scene: &mut Scene, border: Border, node: Option<NodeId>, x: Mm, top: Mm, bottom: Mm) {
        let mut mark = Mark::new(Layer::Structure);
        if let Some(barrier) = border.barrier {
            mark = mark.with(TagKind::Barrier, &self.h.barrier(barrier).name);
        }
        let mut from = self.sign(scene, &mark, border.barrier, x, top);
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

    /// Name of a barrier over its wall; returns where the wall goes on.
    fn sign(&self, scene: &mut Scene, mark: &Mark, barrier: Option<BarrierId>, x: Mm, top: Mm) -> Mm {
        let (lines, lettering) = (barrier_lines(self.h, barrier), Lettering::SMALL.bold());
        let wide = sign_width(self.h, barrier) / 2;
        let sign = Area::between(
            Point::new(x - wide, top + INSET - mm(1.5)),
            Point::new(x + wide, top + INSET + lines_height(&lines, lettering) + mm(1.5)),
        );
        scene.rect(mark, sign, Stroke::MEDIUM.filled(Ink::WHITE));
        let at = Point::new(x, top + INSET + lettering.height.capital());
        scene.text_lines(&mark.on(Layer::Label), at, &lines, lettering, Anchor::Middle);
        sign.max.y
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
        let words = words::gate(self.h, self.routing, via, self.chart.rows_of(node).len());
        let mark = match via {
            Via::Hole(id) => wall.with(TagKind::Hole, &self.h.hole(id).name),
            _ => wall.clone(),
        };
        let lettering = Lettering::SMALL.bold();
        let half = lintel_width(&words) / 2;
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

/// Title of a zone and what is known of it, wrapped.
fn header(h: &Harness, ground: Ground, room: Mm) -> (Fitted, Vec<String>) {
    let zone = ground.map(|z| h.zone(z));
    let title = match zone {
        Some(z) => z.title.as_ref().unwrap_or(&z.name),
        None if h.zones.is_empty() => "",
        None => "Zone not known",
    };
    let heading = lettering::fit(title, Lettering::LARGE.bold(), room, 1, Height::H2_5);
    let mut facts: Vec<String> = Vec::new();
    if let Some(z) = zone {
        facts.extend(z.ambient.map(|a| format!("up to {}", a.value.show(h.header.units))));
        let hazards: Vec<&str> = z.hazards.iter().map(|hazard| hazard.words()).collect();
        facts.extend((!hazards.is_empty()).then(|| hazards.join(", ")));
    }
    (heading, lettering::wrap(&facts.join("; "), GREY, room))
}

fn barrier_lines(h: &Harness, barrier: Option<BarrierId>) -> Vec<String> {
    let words = match barrier.map(|b| h.barrier(b)) {
        Some(b) => b.title.as_ref().unwrap_or(&b.name),
        None => "no barrier",
    };
    lettering::wrap(words, Lettering::SMALL.bold(), BARRIER)
}

fn lines_height(lines: &[String], lettering: Lettering) -> Mm {
    lettering.height.capital() + lettering.height.pitch().times(lines.len().saturating_sub(1))
}

/// Room for the words over a zone.
pub(super) fn header_height(h: &Harness, ground: Ground) -> Mm {
    let (heading, facts) = header(h, ground, ZONE_WORDS);
    // Where the zone is wider than it must be, its title is in larger letters.
    let heading = heading.height().max(Lettering::LARGE.height.capital());
    INSET + heading + mm(1.0) + GREY.height.pitch().times(facts.len()) + mm(2.5)
}

/// Room for the name over a border's first gate.
pub(super) fn sign_height(h: &Harness, barrier: Option<BarrierId>) -> Mm {
    lines_height(&barrier_lines(h, barrier), Lettering::SMALL.bold()) + mm(4.0)
}

/// Width of the name over a border, with the frame around it.
pub(super) fn sign_width(h: &Harness, barrier: Option<BarrierId>) -> Mm {
    let lines = barrier_lines(h, barrier);
    let widest = lines.iter().map(|l| lettering::width(l, Lettering::SMALL.bold())).max();
    widest.unwrap_or_default() + mm(4.0)
}

/// Width of the words over a gate, with the frame around them.
pub(super) fn lintel_width(words: &str) -> Mm {
    (lettering::width(words, Lettering::SMALL.bold()) + mm(4.0)).max(mm(16.0))
}
