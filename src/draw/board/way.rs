//! The length of a leg, the angle at which it leaves and where it is folded back in; its way out: straight pieces and
//! arcs whose sum is the length, true to the rounding of their ends.
//!
//! Ways start at the origin and run to the right; they rise and fold upwards. What hangs or runs the other way is
//! turned over by its [`Frame`].

use super::frame::Frame;
use super::turn::{Angle, sin_cos};
use crate::draw::geometry::{Area, Mm, Point, mm};
use crate::draw::scene::Step;

/// Radius of a peg at a bend.
pub(super) const PEG: Mm = mm(2.0);

/// A piece of a way.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Piece {
    Line {
        from: Point,
        to: Point,
    },
    /// Clockwise as seen on paper.
    Arc {
        from: Point,
        to: Point,
        centre: Point,
        radius: Mm,
        angle: Angle,
        clockwise: bool,
    },
}

impl Piece {
    pub fn length(&self) -> f64 {
        match self {
            Piece::Line { from, to } => from.distance(*to).as_f64(),
            Piece::Arc { radius, angle, .. } => radius.as_f64() * angle.radians(),
        }
    }
}

/// A point of a way and the direction that it has there, of length one.
#[derive(Clone, Copy, Debug)]
pub(super) struct Stand {
    pub at: Point,
    pub dx: f64,
    pub dy: f64,
}

impl Stand {
    /// The point `along` the way's direction and `across` to its right.
    pub fn off(&self, along: Mm, across: Mm) -> Point {
        let (a, c) = (along.as_f64(), across.as_f64());
        self.at.by(mm(self.dx * a - self.dy * c), mm(self.dy * a + self.dx * c))
    }
}

/// A way from its start to its end.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Way {
    pub pieces: Vec<Piece>,
}

/// How a leg leaves: at an angle, up to a lane so high.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Rise {
    pub angle: Angle,
    pub height: Mm,
}

/// How a leg is folded back: the straight before each fold ends at this distance from the start, the straight after it
/// lies so much higher.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Fold {
    pub at: Mm,
    pub drop: Mm,
}

/// Draws a way piece by piece.
struct Pen {
    way: Way,
    x: f64,
    y: f64,
    dx: f64,
    dy: f64,
    left: f64,
}

impl Pen {
    fn here(&self) -> Point {
        Point::new(mm(self.x), mm(self.y))
    }

    fn line(&mut self, length: f64) {
        let from = self.here();
        self.x += self.dx * length;
        self.y += self.dy * length;
        self.left -= length;
        let to = self.here();
        if from != to {
            self.way.pieces.push(Piece::Line { from, to });
        }
    }

    fn arc(&mut self, radius: f64, angle: Angle, clockwise: bool) {
        let from = self.here();
        let side = if clockwise { 1.0 } else { -1.0 };
        let (cx, cy) = (self.x - self.dy * radius * side, self.y + self.dx * radius * side);
        let turned = |x: f64, y: f64| {
            let (sin, cos) = (angle.sin() * side, angle.cos());
            (x * cos - y * sin, x * sin + y * cos)
        };
        let (rx, ry) = turned(self.x - cx, self.y - cy);
        (self.x, self.y) = (cx + rx, cy + ry);
        (self.dx, self.dy) = turned(self.dx, self.dy);
        self.left -= radius * angle.radians();
        let (to, centre) = (self.here(), Point::new(mm(cx), mm(cy)));
        self.way.pieces.push(Piece::Arc { from, to, centre, radius: mm(radius), angle, clockwise });
    }
}

impl Way {
    /// A level way from a point.
    pub fn level(from: Point, length: Mm) -> Way {
        Way { pieces: vec![Piece::Line { from, to: from.by(length, Mm::ZERO) }] }
    }

    /// A straight way at an angle upwards.
    pub fn slanted(length: Mm, angle: Angle) -> Way {
        let to = Point::new(length.scaled(angle.cos()), -length.scaled(angle.sin()));
        Way { pieces: vec![Piece::Line { from: Point::default(), to }] }
    }

    /// A way of this length, bent no tighter than `radius`. None where it is too short for what is asked.
    pub fn new(length: Mm, radius: Mm, rise: Option<Rise>, folds: &[Fold]) -> Option<Way> {
        let radius = radius.as_f64();
        let mut pen = Pen { way: Way::default(), x: 0.0, y: 0.0, dx: 1.0, dy: 0.0, left: length.as_f64() };
        if let Some(Rise { angle, height }) = rise {
            let slant = (height.as_f64() - radius * (1.0 - angle.cos())) / angle.sin();
            if slant < 0.0 {
                return None;
            }
            (pen.dx, pen.dy) = (angle.cos(), -angle.sin());
            pen.line(slant);
            pen.arc(radius, angle, true);
            // What is left of rounding in the direction would tilt a long lane.
            (pen.dx, pen.dy) = (1.0, 0.0);
        }
        for (i, fold) in folds.iter().enumerate() {
            let away = i % 2 == 0;
            let ahead = if away { fold.at.as_f64() - pen.x } else { pen.x - fold.at.as_f64() };
            let upright = fold.drop.as_f64() - 2.0 * radius;
            if ahead < 0.0 || upright < -1e-9 {
                return None;
            }
            pen.line(ahead);
            pen.arc(radius, Angle::A90, !away);
            (pen.dx, pen.dy) = (0.0, -1.0);
            pen.line(upright.max(0.0));
            pen.arc(radius, Angle::A90, !away);
            (pen.dx, pen.dy) = (if away { -1.0 } else { 1.0 }, 0.0);
        }
        if pen.left < 0.0 {
            return None;
        }
        let rest = pen.left;
        pen.line(rest);
        Some(pen.way)
    }

    /// What a leg of this radius must rise at least, and may rise at most, when it leaves at an angle.
    pub fn rises(length: Mm, radius: Mm, angle: Angle) -> (Mm, Mm) {
        let arc = radius.scaled(1.0 - angle.cos());
        let slant = (length - radius.scaled(angle.radians())).max(Mm::ZERO);
        (arc, arc + slant.scaled(angle.sin()))
    }

    pub fn end(&self) -> Point {
        match self.pieces.last() {
            Some(Piece::Line { to, .. } | Piece::Arc { to, .. }) => *to,
            None => Point::default(),
        }
    }

    pub fn length(&self) -> Mm {
        mm(self.pieces.iter().map(Piece::length).sum())
    }

    /// The point at a distance from the start; the start or the end where that is outside.
    pub fn stand(&self, station: Mm) -> Stand {
        let mut left = station.as_f64().max(0.0);
        for (i, piece) in self.pieces.iter().enumerate() {
            let length = piece.length();
            if left <= length || i + 1 == self.pieces.len() {
                return stand(piece, left.min(length));
            }
            left -= length;
        }
        Stand { at: Point::default(), dx: 1.0, dy: 0.0 }
    }

    /// Rectangles that hold the way with so much to either side, without its first and last millimetres.
    pub fn boxes(&self, half: Mm, less: [Mm; 2]) -> Vec<Area> {
        const CHUNK: f64 = 12.0;
        let total = self.length().as_f64();
        let (from, to) = (less[0].as_f64(), total - less[1].as_f64());
        let mut out = Vec::new();
        let mut start = 0.0;
        for piece in &self.pieces {
            let length = piece.length();
            let (a, b) = ((from - start).max(0.0), (to - start).min(length));
            start += length;
            if b <= a {
                continue;
            }
            let level = matches!(piece, Piece::Line { from, to } if from.x == to.x || from.y == to.y);
            let count = if level { 1.0 } else { ((b - a) / CHUNK).ceil().max(1.0) };
            let line = Line::along(piece);
            let at = |k: f64| line.stand(a + (b - a) * k / count).at;
            let (mut i, mut here) = (0.0, at(0.0));
            while i < count {
                i += 1.0;
                let next = at(i);
                out.push(Area::between(here, next).grown(half));
                here = next;
            }
        }
        out
    }

    /// Middles of the pegs that hold its bends from inside, for a bundle of this half thickness.
    pub fn pegs(&self, half: Mm) -> Vec<Point> {
        let peg = |piece: &Piece| {
            let Piece::Arc { radius, clockwise, .. } = piece else { return None };
            let inward = (half + PEG + mm(0.5)).min(*radius);
            let middle = stand(piece, piece.length() / 2.0);
            Some(middle.off(Mm::ZERO, if *clockwise { inward } else { -inward }))
        };
        self.pieces.iter().filter_map(peg).collect()
    }

    /// The same way as it lies in a frame.
    pub fn within(&self, frame: &Frame) -> Way {
        let moved = |piece: &Piece| match *piece {
            Piece::Line { from, to } => Piece::Line { from: frame.point(from), to: frame.point(to) },
            Piece::Arc { from, to, centre, radius, angle, clockwise } => Piece::Arc {
                from: frame.point(from),
                to: frame.point(to),
                centre: frame.point(centre),
                radius,
                angle,
                clockwise: clockwise != frame.mirrors(),
            },
        };
        Way { pieces: self.pieces.iter().map(moved).collect() }
    }

    /// The outline that draws it: arcs as cubic curves.
    pub fn steps(&self) -> Vec<Step> {
        let mut steps = Vec::new();
        for (i, piece) in self.pieces.iter().enumerate() {
            let (Piece::Line { from, to } | Piece::Arc { from, to, .. }) = *piece;
            if i == 0 {
                steps.push(Step::Move(from));
            }
            match piece {
                Piece::Line { .. } => steps.push(Step::Line(to)),
                Piece::Arc { radius, angle, .. } => {
                    let handle = radius.scaled(angle.handle());
                    let out = stand(piece, 0.0).off(handle, Mm::ZERO);
                    let back = stand(piece, piece.length()).off(-handle, Mm::ZERO);
                    steps.push(Step::Curve(out, back, to));
                }
            }
        }
        steps
    }
}

fn stand(piece: &Piece, along: f64) -> Stand {
    Line::along(piece).stand(along)
}

/// A piece, reckoned out once for all points along it.
enum Line {
    /// From a point in a direction of length one.
    Straight(Stand),
    /// Around a centre; from it to the start, and the side it turns to.
    Bent { centre: Point, radius: f64, start: (f64, f64), side: f64 },
}

impl Line {
    fn along(piece: &Piece) -> Line {
        match *piece {
            Piece::Line { from, to } => {
                let length = from.distance(to).as_f64();
                let (dx, dy) = ((to.x - from.x).as_f64(), (to.y - from.y).as_f64());
                let (dx, dy) = if length > 0.0 { (dx / length, dy / length) } else { (1.0, 0.0) };
                Line::Straight(Stand { at: from, dx, dy })
            }
            Piece::Arc { from, centre, radius, clockwise, .. } => {
                let start = ((from.x - centre.x).as_f64(), (from.y - centre.y).as_f64());
                let side = if clockwise { 1.0 } else { -1.0 };
                Line::Bent { centre, radius: radius.as_f64(), start, side }
            }
        }
    }

    /// The point so many millimetres from the start.
    fn stand(&self, along: f64) -> Stand {
        match *self {
            Line::Straight(Stand { at, dx, dy }) => {
                Stand { at: at.by(mm(dx * along), mm(dy * along)), dx, dy }
            }
            Line::Bent { centre, radius, start: (x, y), side } => {
                let (sin, cos) = if radius > 0.0 { sin_cos(along / radius) } else { (0.0, 1.0) };
                let sin = sin * side;
                let (x, y) = (x * cos - y * sin, x * sin + y * cos);
                let reach = (x * x + y * y).sqrt().max(1e-9);
                let at = centre.by(mm(x), mm(y));
                Stand { at, dx: -y / reach * side, dy: x / reach * side }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_way_is_as_long_as_it_should_be() {
        let length = mm(4200.0);
        for angle in Angle::ALL {
            let rise = Some(Rise { angle, height: mm(123.4) });
            for folds in [&[][..], &[(1700.0, 90.0)], &[(1700.0, 90.0), (-100.0, 131.5)]] {
                let folds: Vec<Fold> =
                    folds.iter().map(|(at, drop)| Fold { at: mm(*at), drop: mm(*drop) }).collect();
                let way = Way::new(length, mm(40.0), rise, &folds).unwrap();
                assert!((way.length() - length).abs() <= mm(0.01), "{angle:?}: {}", way.length());
                let high: Mm = folds.iter().map(|f| f.drop).sum::<Mm>() + mm(123.4);
                assert!((way.end().y + high).abs() <= mm(0.005), "{:?}", way.end());
                // Each piece starts where the one before it ends.
                for pair in way.pieces.windows(2) {
                    let [
                        Piece::Line { to, .. } | Piece::Arc { to, .. },
                        Piece::Line { from, .. } | Piece::Arc { from, .. },
                    ] = pair
                    else {
                        panic!()
                    };
                    assert_eq!(to, from);
                }
                assert_eq!(way.stand(length).at.distance(way.end()), Mm::ZERO);
            }
        }
    }

    #[test]
    fn too_short_a_leg_is_refused() {
        let rise = |height| Some(Rise { angle: Angle::A45, height: mm(height) });
        assert_eq!(Way::new(mm(60.0), mm(20.0), rise(80.0), &[]), None);
        assert_eq!(Way::new(mm(60.0), mm(20.0), rise(2.0), &[]), None, "no arc fits under it");
        assert_eq!(Way::new(mm(60.0), mm(40.0), None, &[Fold { at: mm(10.0), drop: mm(80.0) }]), None);
        let (least, most) = Way::rises(mm(60.0), mm(20.0), Angle::A45);
        assert!(Way::new(mm(60.0), mm(20.0), rise(least.as_f64() + 0.001), &[]).is_some());
        assert!(Way::new(mm(60.0), mm(20.0), rise(most.as_f64() - 0.002), &[]).is_some());
        assert!(Way::new(mm(60.0), mm(20.0), rise(most.as_f64() + 0.01), &[]).is_none());
    }
}
