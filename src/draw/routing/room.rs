//! What stands on the paper in; where there is room beside it for lettering, out.

use crate::draw::audit::meet::{Piece, touches};
use crate::draw::block::Block;
use crate::draw::geometry::{Area, Extent, Mm, Point, mm};
use crate::draw::grid::Grid;
use crate::draw::mark::Mark;

/// Least free space around a block of lettering.
const CLEAR: Mm = mm(0.7);
/// Free space between a thing and what is written right beside it.
const BESIDE: Mm = mm(1.1);
/// How far from its thing a block may stand at the end of a leader line, in turn.
const AWAY: [f64; 10] = [4.0, 7.0, 11.0, 16.0, 22.0, 29.0, 37.0, 47.0, 60.0, 80.0];
/// Ways in which it may stand, not of unit length: right and left first, as lettering is wider than high.
const WAYS: [(f64, f64); 16] = [
    (1.0, 0.0),
    (-1.0, 0.0),
    (2.0, 1.0),
    (2.0, -1.0),
    (-2.0, 1.0),
    (-2.0, -1.0),
    (1.0, 1.0),
    (1.0, -1.0),
    (-1.0, 1.0),
    (-1.0, -1.0),
    (0.0, 1.0),
    (0.0, -1.0),
    (1.0, 2.0),
    (1.0, -2.0),
    (-1.0, 2.0),
    (-1.0, -2.0),
];

/// A block that wants to stand near its thing.
pub(super) struct Wish {
    pub block: Block,
    /// What its leader line belongs to.
    pub mark: Mark,
    /// Corners at which it needs no leader line, best first.
    pub near: Vec<Point>,
    /// Where a leader line would start from: a point, and how far its thing reaches around it.
    pub anchor: Point,
    pub reach: Mm,
    /// True where its lines stand in the middle of its width.
    pub centred: bool,
}

/// A block that stands.
pub(super) struct Label {
    pub block: Block,
    pub mark: Mark,
    pub at: Point,
    pub centred: bool,
    pub leader: Option<(Point, Point)>,
}

/// The paper and what is taken of it.
pub(super) struct Paper {
    room: Area,
    areas: Vec<Area>,
    by_area: Grid,
    lines: Vec<Piece>,
    by_line: Grid,
}

impl Paper {
    pub fn new(room: Area) -> Paper {
        let (by_area, by_line) = (Grid::default(), Grid::default());
        Paper { room, areas: Vec::new(), by_area, lines: Vec::new(), by_line }
    }

    pub fn add_area(&mut self, area: Area) {
        self.by_area.add(self.areas.len(), area);
        self.areas.push(area);
    }

    pub fn add_line(&mut self, from: Point, to: Point, half: Mm) {
        self.by_line.add_piece(self.lines.len(), from, to, half);
        self.lines.push(Piece { item: 0, from, to, half });
    }

    fn is_free(&self, area: Area) -> bool {
        let area = area.grown(CLEAR);
        let mut areas = self.by_area.near(area).into_iter().filter_map(|n| self.areas.get(n));
        let mut lines = self.by_line.near(area).into_iter().filter_map(|n| self.lines.get(n));
        self.room.contains(area) && !areas.any(|a| a.overlaps(area)) && !lines.any(|l| touches(l, area))
    }

    /// True when a leader line from a thing that takes `own` passes nothing that is written or fitted, and, where it must
    /// be `strict`, no line either.
    fn is_seen(&self, (from, to): (Point, Point), own: Area, strict: bool) -> bool {
        let leader = Piece { item: 0, from, to, half: mm(0.4) };
        let near = Area::between(from, to).grown(mm(0.5));
        let areas = self.by_area.near(near).into_iter().filter_map(|n| self.areas.get(n));
        if areas.filter(|a| !own.contains(**a)).any(|a| touches(&leader, *a)) {
            return false;
        }
        let crosses = |line: &Piece| {
            let ends_here = own.holds(line.from) || own.holds(line.to) || own.holds(nearest(*line, from));
            !ends_here && crate::draw::audit::meet::crossing(&leader, line).is_some()
        };
        let lines = self.by_line.near(near).into_iter().filter_map(|n| self.lines.get(n));
        !strict || !lines.into_iter().any(crosses)
    }

    /// Puts the block right beside its thing; gives the wish back where there is no room.
    pub fn put_near(&mut self, wish: Wish) -> Result<Label, Wish> {
        match wish.near.iter().find(|at| self.is_free(wish.block.area(**at))).copied() {
            Some(at) => Ok(self.stand(wish, at, None)),
            None => Err(wish),
        }
    }

    /// Puts it at the end of a leader line; None where there is no room at all.
    pub fn put_away(&mut self, wish: Wish) -> Option<Label> {
        let size = wish.block.size();
        let own = Area::between(wish.anchor, wish.anchor).grown(wish.reach + mm(0.2));
        let found = [true, false].into_iter().find_map(|strict| {
            let all = AWAY.into_iter().flat_map(|away| WAYS.into_iter().map(move |way| (away, way)));
            all.into_iter().find_map(|(away, way)| {
                let at = beside(wish.anchor, way, wish.reach + mm(away), size);
                let area = wish.block.area(at);
                let leader = leader(wish.anchor, wish.reach, area.grown(mm(0.6)))?;
                (self.is_free(area) && self.is_seen(leader, own, strict)).then_some((at, leader))
            })
        });
        let (at, leader) = found?;
        Some(self.stand(wish, at, Some(leader)))
    }

    fn stand(&mut self, wish: Wish, at: Point, leader: Option<(Point, Point)>) -> Label {
        self.add_area(wish.block.area(at));
        if let Some((from, to)) = leader {
            self.add_line(from, to, mm(0.13));
        }
        Label { block: wish.block, mark: wish.mark, at, centred: wish.centred, leader }
    }
}

/// The point of the line that is nearest to `to`.
fn nearest(line: Piece, to: Point) -> Point {
    let (dx, dy) = ((line.to.x - line.from.x).as_f64(), (line.to.y - line.from.y).as_f64());
    let (px, py) = ((to.x - line.from.x).as_f64(), (to.y - line.from.y).as_f64());
    let length = dx * dx + dy * dy;
    let share = if length > 0.0 { ((px * dx + py * dy) / length).clamp(0.0, 1.0) } else { 0.0 };
    line.from.by(mm(dx * share), mm(dy * share))
}

/// From the edge of a thing to the nearest point of `area`; None where they touch.
fn leader(anchor: Point, reach: Mm, area: Area) -> Option<(Point, Point)> {
    let to = Point::new(anchor.x.max(area.min.x).min(area.max.x), anchor.y.max(area.min.y).min(area.max.y));
    let whole = anchor.distance(to);
    let share = reach.as_f64() / whole.as_f64();
    let from = anchor.by((to.x - anchor.x).scaled(share), (to.y - anchor.y).scaled(share));
    (whole > reach + mm(0.8)).then_some((from, to))
}

/// The corner of a block that stands so far from a point, in the direction of `way`, edge to point.
pub(super) fn beside(point: Point, way: (f64, f64), away: Mm, size: Extent) -> Point {
    let length = (way.0 * way.0 + way.1 * way.1).sqrt();
    let (ux, uy) = if length > 0.0 { (way.0 / length, way.1 / length) } else { (1.0, 0.0) };
    let support = (size.width / 2).scaled(ux.abs()) + (size.height / 2).scaled(uy.abs());
    let centre = point.by((away + support).scaled(ux), (away + support).scaled(uy));
    centre.by(-(size.width / 2), -(size.height / 2))
}

/// Corners around a thing that reaches so far around a point: right, left, below, above, each slid along.
pub(super) fn around(point: Point, reach: Mm, size: Extent) -> Vec<Point> {
    let gap = reach + BESIDE;
    let mut corners = Vec::new();
    for share in [2, 1, 3, 0, 4] {
        let up = point.y - size.height * share / 4;
        corners.push(Point::new(point.x + gap, up));
        corners.push(Point::new(point.x - gap - size.width, up));
    }
    for share in [2, 0, 4, 1, 3] {
        let left = point.x - size.width * share / 4;
        corners.push(Point::new(left, point.y + gap));
        corners.push(Point::new(left, point.y - gap - size.height));
    }
    corners
}

/// Corners beside a straight line that is `half` thick on either side, from its middle outwards.
pub(super) fn along(from: Point, to: Point, half: Mm, size: Extent) -> Vec<Point> {
    let (dx, dy) = ((to.x - from.x).as_f64(), (to.y - from.y).as_f64());
    let mut corners = Vec::new();
    for share in [8, 7, 9, 6, 10, 5, 11, 4, 12, 3, 13] {
        let at = from.by((to.x - from.x) * share / 16, (to.y - from.y) * share / 16);
        for way in [(dy, -dx), (-dy, dx)] {
            corners.push(beside(at, way, half + BESIDE, size));
        }
    }
    corners
}
