//! Straight pieces in; whether and where they touch, run side by side, cross or end on one another out.

use crate::draw::geometry::{Area, Mm, Point, mm};

/// A straight piece of an item's outline.
#[derive(Clone, Copy, Debug)]
pub struct Piece {
    /// The item's number in the scene.
    pub item: usize,
    /// Start.
    pub from: Point,
    /// End.
    pub to: Point,
    /// Half the line's width.
    pub half: Mm,
}

impl Piece {
    /// The rectangle that holds its ink.
    pub fn area(self) -> Area {
        Area::between(self.from, self.to).grown(self.half)
    }
}

/// True when the piece's ink enters the rectangle. Source: Liang and Barsky, line clipping.
pub fn touches(piece: &Piece, area: Area) -> bool {
    let area = area.grown(piece.half);
    let (dx, dy) = ((piece.to.x - piece.from.x).as_f64(), (piece.to.y - piece.from.y).as_f64());
    let (mut enter, mut leave) = (0.0_f64, 1.0_f64);
    let edges = [
        (-dx, (piece.from.x - area.min.x).as_f64()),
        (dx, (area.max.x - piece.from.x).as_f64()),
        (-dy, (piece.from.y - area.min.y).as_f64()),
        (dy, (area.max.y - piece.from.y).as_f64()),
    ];
    for (step, room) in edges {
        if step == 0.0 {
            // On the very edge is beside, not inside.
            if room <= 0.0 {
                return false;
            }
        } else if step < 0.0 {
            enter = enter.max(room / step);
        } else {
            leave = leave.min(room / step);
        }
    }
    enter < leave
}

/// Distance of `p` from the endless line through the piece, with its sign; None for a piece without length.
fn offset(piece: &Piece, p: Point) -> Option<f64> {
    let (dx, dy) = ((piece.to.x - piece.from.x).as_f64(), (piece.to.y - piece.from.y).as_f64());
    let length = (dx * dx + dy * dy).sqrt();
    let (px, py) = ((p.x - piece.from.x).as_f64(), (p.y - piece.from.y).as_f64());
    (length > 0.0).then(|| (dx * py - dy * px) / length)
}

/// For two parallel pieces that run side by side for more than 1 mm: clear space between their inks (negative
/// where they share ink) and where.
pub fn beside(a: &Piece, b: &Piece) -> Option<(Mm, Point)> {
    let (from, to) = (offset(a, b.from)?, offset(a, b.to)?);
    if (from - to).abs() > 0.05 {
        return None;
    }
    let (dx, dy) = ((a.to.x - a.from.x).as_f64(), (a.to.y - a.from.y).as_f64());
    let length = (dx * dx + dy * dy).sqrt();
    let along = |p: Point| ((p.x - a.from.x).as_f64() * dx + (p.y - a.from.y).as_f64() * dy) / length;
    let (start, end) = (along(b.from).min(along(b.to)).max(0.0), along(b.from).max(along(b.to)).min(length));
    if end - start < 1.0 {
        return None;
    }
    let middle = (start + end) / 2.0 / length;
    let at = Point::new(a.from.x + mm(dx * middle), a.from.y + mm(dy * middle));
    Some((mm(from.abs()) - a.half - b.half, at))
}

/// Where the two pieces cross, both going on beyond.
pub fn crossing(a: &Piece, b: &Piece) -> Option<Point> {
    const BEYOND: f64 = 0.05;
    let apart = |p: f64, q: f64| p.abs() > BEYOND && q.abs() > BEYOND && (p < 0.0) != (q < 0.0);
    let (a1, a2) = (offset(b, a.from)?, offset(b, a.to)?);
    let (b1, b2) = (offset(a, b.from)?, offset(a, b.to)?);
    if !apart(a1, a2) || !apart(b1, b2) {
        return None;
    }
    let share = a1 / (a1 - a2);
    let dx = (a.to.x - a.from.x).as_f64();
    let dy = (a.to.y - a.from.y).as_f64();
    Some(Point::new(a.from.x + mm(dx * share), a.from.y + mm(dy * share)))
}

/// Where an end or bend of `a` stands on `b`.
pub fn end_on(a: &Piece, b: &Piece) -> Option<Point> {
    let on = |p: &Point| {
        let spot = Area::between(*p, *p).grown(b.half + mm(0.01));
        touches(&Piece { half: Mm::ZERO, ..*b }, spot)
    };
    [a.from, a.to].into_iter().find(on)
}
