//! A shape in; its outline as a path of PDF out, where circles are made of cubic curves.
//!
//! Uses square roots only, which round alike everywhere: every platform writes the same path.

use krilla::geom::{Path, PathBuilder};

use super::millimetres;
use crate::draw::geometry::{Area, Mm, Point};
use crate::draw::scene::{Shape, Step};

/// Distance of the control points of a quarter circle from its ends, in radii: 4/3 of the tangent of an eighth of a turn
/// of 90°. The curve lies within 0.03 % of the radius.
const QUARTER: f64 = 0.552_284_749_830_793_6;

/// The path of a shape; None for lettering and for what has no extent.
pub(super) fn path(shape: &Shape) -> Option<Path> {
    let mut pen = Pen { path: PathBuilder::new(), at: (0.0, 0.0) };
    match shape {
        Shape::Line { from, to } => {
            pen.move_to(place(*from));
            pen.line_to(place(*to));
        }
        Shape::Polyline { points, closed } => {
            for (i, point) in points.iter().enumerate() {
                if i == 0 { pen.move_to(place(*point)) } else { pen.line_to(place(*point)) }
            }
            if *closed {
                pen.path.close();
            }
        }
        Shape::Rect { area, corner } => pen.rect(*area, *corner),
        Shape::Circle { centre, radius } => pen.circle(*centre, *radius),
        Shape::Arc { from, to, radius, long } => {
            pen.move_to(place(*from));
            pen.arc(place(*to), radius.as_f64(), *long);
        }
        Shape::Path(steps) => {
            for step in steps {
                match *step {
                    Step::Move(p) => pen.move_to(place(p)),
                    Step::Line(p) => pen.line_to(place(p)),
                    Step::Curve(a, b, c) => pen.curve_to(place(a), place(b), place(c)),
                    Step::Close => pen.path.close(),
                }
            }
        }
        Shape::Text(_) => return None,
    }
    pen.path.finish()
}

type Place = (f64, f64);

fn place(point: Point) -> Place {
    (point.x.as_f64(), point.y.as_f64())
}

struct Pen {
    path: PathBuilder,
    at: Place,
}

impl Pen {
    fn move_to(&mut self, to: Place) {
        self.path.move_to(to.0 as f32, to.1 as f32);
        self.at = to;
    }

    fn line_to(&mut self, to: Place) {
        self.path.line_to(to.0 as f32, to.1 as f32);
        self.at = to;
    }

    fn curve_to(&mut self, a: Place, b: Place, to: Place) {
        self.path.cubic_to(a.0 as f32, a.1 as f32, b.0 as f32, b.1 as f32, to.0 as f32, to.1 as f32);
        self.at = to;
    }

    fn rect(&mut self, area: Area, corner: Mm) {
        let corner = corner.min(area.width() / 2).min(area.height() / 2);
        if corner <= Mm::ZERO {
            for (i, point) in area.corners().into_iter().enumerate() {
                let (x, y) = (millimetres(point.x), millimetres(point.y));
                if i == 0 { self.path.move_to(x, y) } else { self.path.line_to(x, y) }
            }
            self.path.close();
            return;
        }
        let (min, max, r) = (area.min, area.max, corner);
        self.move_to(place(min.by(r, Mm::ZERO)));
        for (from, to) in [
            (Point::new(max.x - r, min.y), Point::new(max.x, min.y + r)),
            (Point::new(max.x, max.y - r), Point::new(max.x - r, max.y)),
            (Point::new(min.x + r, max.y), Point::new(min.x, max.y - r)),
            (Point::new(min.x, min.y + r), Point::new(min.x + r, min.y)),
        ] {
            self.line_to(place(from));
            self.arc(place(to), r.as_f64(), false);
        }
        self.path.close();
    }

    fn circle(&mut self, centre: Point, radius: Mm) {
        let (x, y) = place(centre);
        let r = radius.as_f64();
        let k = r * QUARTER;
        self.move_to((x + r, y));
        self.curve_to((x + r, y + k), (x + k, y + r), (x, y + r));
        self.curve_to((x - k, y + r), (x - r, y + k), (x - r, y));
        self.curve_to((x - r, y - k), (x - k, y - r), (x, y - r));
        self.curve_to((x + k, y - r), (x + r, y - k), (x + r, y));
        self.path.close();
    }

    /// Clockwise on paper to `to`.
    fn arc(&mut self, to: Place, radius: f64, long: bool) {
        for [a, b, end] in quarters(self.at, to, radius, long) {
            self.curve_to(a, b, end);
        }
    }
}

/// An arc clockwise on paper, halved until each piece is a quarter of a turn at most: control points and end of each.
fn quarters(from: Place, to: Place, radius: f64, long: bool) -> Vec<[Place; 3]> {
    let (dx, dy) = (to.0 - from.0, to.1 - from.1);
    let chord = (dx * dx + dy * dy).sqrt();
    let r = radius.max(chord / 2.0);
    if chord == 0.0 || r == 0.0 {
        return vec![[from, to, to]];
    }
    // y points down: clockwise, the short way bulges to the left of the chord as seen along it.
    let (nx, ny) = (dy / chord, -dx / chord);
    let apothem = (r * r - chord * chord / 4.0).max(0.0).sqrt();
    let (mx, my) = ((from.0 + to.0) / 2.0, (from.1 + to.1) / 2.0);
    // A little over a quarter, so that rounding does not halve a true quarter once more.
    if long || chord * chord > 2.000_01 * r * r {
        let rise = if long { r + apothem } else { r - apothem };
        let middle = (mx + nx * rise, my + ny * rise);
        let mut pieces = quarters(from, middle, r, false);
        pieces.extend(quarters(middle, to, r, false));
        return pieces;
    }
    let (cx, cy) = (mx - nx * apothem, my - ny * apothem);
    // 4/3 of the tangent of a quarter of the angle, from sine and cosine of its half.
    let k = 4.0 / 3.0 * (chord / 2.0) / (r + apothem);
    let tangent = |p: Place| (cy - p.1, p.0 - cx);
    let (start, end) = (tangent(from), tangent(to));
    vec![[(from.0 + k * start.0, from.1 + k * start.1), (to.0 - k * end.0, to.1 - k * end.1), to]]
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The middle of a cubic curve.
    fn middle(from: Place, [a, b, to]: [Place; 3]) -> Place {
        let mix = |p: f64, q: f64, r: f64, s: f64| (p + 3.0 * q + 3.0 * r + s) / 8.0;
        (mix(from.0, a.0, b.0, to.0), mix(from.1, a.1, b.1, to.1))
    }

    #[test]
    fn arcs_keep_to_their_circle_and_side() {
        // SVG 2, 9.3.8: sweep flag 1 is clockwise where y points down; from the left end of a diameter to the right it
        // is the upper half.
        for (from, to, long, centre, pieces, through) in [
            ((0.0, 0.0), (10.0, 0.0), false, (5.0, 0.0), 2, (5.0, -5.0)),
            ((0.0, 5.0), (5.0, 0.0), false, (5.0, 5.0), 1, (1.464, 1.464)),
            ((5.0, 0.0), (0.0, 5.0), true, (5.0, 5.0), 4, (8.536, 8.536)),
        ] {
            let curves = quarters(from, to, 5.0, long);
            assert_eq!(curves.len(), pieces);
            let mut at = from;
            let mut on = vec![];
            for curve in curves {
                on.extend([middle(at, curve), curve[2]]);
                at = curve[2];
            }
            assert_eq!(at, to);
            for (x, y) in &on {
                let far = ((x - centre.0) * (x - centre.0) + (y - centre.1) * (y - centre.1)).sqrt();
                assert!((far - 5.0_f64).abs() < 0.002, "{x} {y}");
            }
            let close = |p: &Place| (p.0 - through.0).abs() < 0.01 && (p.1 - through.1).abs() < 0.01;
            assert!(on.iter().any(close), "{on:?}");
        }
        // Too small a radius spans the ends with a half circle.
        assert_eq!(quarters((0.0, 0.0), (10.0, 0.0), 1.0, false).len(), 2);
        assert_eq!(quarters((1.0, 1.0), (1.0, 1.0), 2.0, true).len(), 1);
    }
}
