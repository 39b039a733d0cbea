//! A shape in; the straight pieces that trace its outline out, for bounds and for measuring what touches.

use super::geometry::{Area, Mm, Point, mm};
use super::scene::{Item, Shape, Step};

/// How far a traced piece may lie from the true curve.
const TOLERANCE: f64 = 0.02;

/// The rectangle around an arc (see [`Shape::Arc`]).
pub fn arc_bounds(from: Point, to: Point, radius: Mm, long: bool) -> Option<Area> {
    Area::around(arc(from, to, radius, long)).map(|a| a.grown(mm(TOLERANCE)))
}

/// The pieces of an item's outline, each from one point to the next; none for lettering.
pub fn pieces(item: &Item) -> Vec<(Point, Point)> {
    let chain = |points: Vec<Point>, closed: bool| -> Vec<(Point, Point)> {
        let last = match (points.first(), points.last()) {
            (Some(first), Some(last)) if closed && first != last => Some((*last, *first)),
            _ => None,
        };
        points.iter().copied().zip(points.iter().copied().skip(1)).chain(last).collect()
    };
    match &item.shape {
        Shape::Line { from, to } => vec![(*from, *to)],
        Shape::Polyline { points, closed } => chain(points.clone(), *closed),
        Shape::Rect { area, .. } => chain(area.corners().to_vec(), true),
        Shape::Circle { centre, radius } => {
            let (left, right) = (centre.by(-*radius, Mm::ZERO), centre.by(*radius, Mm::ZERO));
            let mut points = arc(left, right, *radius, false);
            points.extend(arc(right, left, *radius, false));
            chain(points, true)
        }
        Shape::Arc { from, to, radius, long } => chain(arc(*from, *to, *radius, *long), false),
        Shape::Path(steps) => path(steps),
        Shape::Text(_) => Vec::new(),
    }
}

fn path(steps: &[Step]) -> Vec<(Point, Point)> {
    let mut out = Vec::new();
    let (mut start, mut pen) = (Point::default(), Point::default());
    for step in steps {
        match *step {
            Step::Move(p) => (start, pen) = (p, p),
            Step::Line(p) => {
                out.push((pen, p));
                pen = p;
            }
            Step::Curve(a, b, c) => {
                const PIECES: i32 = 16;
                let from = pen;
                for i in 1..=PIECES {
                    let next = cubic(from, a, b, c, f64::from(i) / f64::from(PIECES));
                    out.push((pen, next));
                    pen = next;
                }
            }
            Step::Close => {
                out.push((pen, start));
                pen = start;
            }
        }
    }
    out
}

/// The point at share `t` of a cubic curve.
fn cubic(p0: Point, p1: Point, p2: Point, p3: Point, t: f64) -> Point {
    let s = 1.0 - t;
    let mix = |a: Mm, b: Mm, c: Mm, d: Mm| {
        let (a, b, c, d) = (a.as_f64(), b.as_f64(), c.as_f64(), d.as_f64());
        mm(s * s * s * a + 3.0 * s * s * t * b + 3.0 * s * t * t * c + t * t * t * d)
    };
    Point::new(mix(p0.x, p1.x, p2.x, p3.x), mix(p0.y, p1.y, p2.y, p3.y))
}

/// Points along an arc, ends included. Halves the arc until the pieces are true to the tolerance; uses square
/// roots only, so every platform gets the same points.
fn arc(from: Point, to: Point, radius: Mm, long: bool) -> Vec<Point> {
    let chord = from.distance(to);
    let radius = radius.max(chord / 2);
    if chord == Mm::ZERO || radius == Mm::ZERO {
        return vec![from, to];
    }
    let (dx, dy) = ((to.x - from.x).as_f64(), (to.y - from.y).as_f64());
    let length = (dx * dx + dy * dy).sqrt();
    // Clockwise on paper (y down): the short way bulges to the left of the chord as seen along it.
    let (nx, ny) = (dy / length, -dx / length);
    let r = radius.as_f64();
    let apothem = (r * r - length * length / 4.0).max(0.0).sqrt();
    let rise = if long { r + apothem } else { r - apothem };
    let middle = Point::new((from.x + to.x) / 2 + mm(nx * rise), (from.y + to.y) / 2 + mm(ny * rise));
    if rise <= TOLERANCE {
        return vec![from, middle, to];
    }
    let mut points = arc(from, middle, radius, false);
    points.extend(arc(middle, to, radius, false).into_iter().skip(1));
    points
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::draw::mark::{Layer, Mark};
    use crate::draw::scene::Scene;
    use crate::draw::stroke::Stroke;

    fn at(x: f64, y: f64) -> Point {
        Point::new(mm(x), mm(y))
    }

    #[test]
    fn arcs_bulge_to_the_side_a_renderer_draws_them() {
        // SVG 2, 9.3.8: sweep flag 1 is the direction of growing angle, clockwise where y points down. From
        // the left end to the right end of a diameter that is the upper half.
        let upper = arc_bounds(at(0.0, 0.0), at(10.0, 0.0), mm(5.0), false).unwrap();
        assert!(upper.min.y < mm(-4.99) && upper.max.y < mm(0.1), "{upper:?}");
        let three_quarters = arc_bounds(at(5.0, 5.0), at(0.0, 0.0), mm(5.0), true);
        let whole = three_quarters.unwrap();
        assert!(whole.width() > mm(9.9) || whole.height() > mm(9.9), "{whole:?}");
    }

    #[test]
    fn traced_points_stay_on_the_circle() {
        let mut scene = Scene::new(Default::default());
        let centre = at(30.0, 40.0);
        scene.circle(&Mark::new(Layer::Symbol), centre, mm(12.5), Stroke::THIN);
        let pieces = pieces(&scene.items()[0]);
        assert!(pieces.len() >= 16);
        for (a, b) in pieces {
            assert!((a.distance(centre) - mm(12.5)).abs() < mm(0.02));
            assert!(a.distance(b) < mm(5.0));
        }
    }

    #[test]
    fn too_small_a_radius_spans_the_ends() {
        let area = arc_bounds(at(0.0, 0.0), at(10.0, 0.0), mm(1.0), false).unwrap();
        assert!(area.min.y < mm(-4.9));
    }
}
