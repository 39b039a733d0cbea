//! Rectangles that are taken in; whether and how far others must be moved to lie clear of them, out.

use crate::draw::geometry::{Area, Extent, Mm, Point, mm};

/// Clear space between what belongs to different legs.
pub(super) const GAP: Mm = mm(2.5);
/// More rectangles than these are joined, so that a long loom stays cheap; joined, they take a little more room.
const MOST: usize = 700;
/// Size of the cells in which rectangles are joined.
const CELL: Extent = Extent::new(mm(60.0), mm(12.0));

/// True where none of these lies on any of those, with `gap` between.
pub(super) fn clear(these: &[Area], those: &[Area], gap: Mm) -> bool {
    let Some(hull) = hull(these) else { return true };
    let hull = hull.grown(gap);
    let near: Vec<Area> = those.iter().copied().filter(|a| hull.overlaps(*a)).collect();
    near.is_empty() || !these.iter().map(|a| a.grown(gap)).any(|a| near.iter().any(|b| a.overlaps(*b)))
}

/// The rectangle around all.
pub(super) fn hull(areas: &[Area]) -> Option<Area> {
    areas.iter().copied().reduce(Area::union)
}

/// Joins rectangles cell by cell where there are very many.
pub(super) fn thin_out(areas: &mut Vec<Area>) {
    if areas.len() <= MOST {
        return;
    }
    let cell = |a: &Area| {
        let c = a.centre();
        let wide = a.width() > CELL.width || a.height() > CELL.height * 2;
        (wide, c.x.um().div_euclid(CELL.width.um()), c.y.um().div_euclid(CELL.height.um()))
    };
    areas.sort_by_key(|a| (cell(a), a.min, a.max));
    areas.dedup_by(|next, kept| {
        let joins = !cell(next).0 && cell(next) == cell(kept);
        if joins {
            *kept = kept.union(*next);
        }
        joins
    });
}

/// Something that is moved along a straight line: so far right and so far down for each millimetre of the movement.
#[derive(Clone, Copy, Debug)]
pub(super) struct Slide {
    pub dx: f64,
    pub dy: f64,
}

impl Slide {
    /// Movements at which something would lie on what is taken, in rising order, from `from` on.
    pub fn blocked(self, taken: &[Area], moving: &[Area], from: Mm) -> Vec<[f64; 2]> {
        let mut out: Vec<[f64; 2]> = Vec::new();
        let from = from.as_f64();
        let Some(hull) = hull(moving) else { return out };
        // Only what lies ahead can block.
        let ahead = |a: &Area| if self.dy < 0.0 { a.min.y < hull.max.y } else { a.max.y > hull.min.y };
        for a in taken.iter().map(|a| a.grown(GAP)).filter(ahead) {
            for b in moving {
                let x = span(self.dx, a.min.x - b.max.x, a.max.x - b.min.x);
                let y = span(self.dy, a.min.y - b.max.y, a.max.y - b.min.y);
                let (Some(x), Some(y)) = (x, y) else { continue };
                let (start, end) = (x[0].max(y[0]), x[1].min(y[1]));
                if start < end && end > from {
                    out.push([start, end]);
                }
            }
        }
        out.sort_by(|p, q| p[0].total_cmp(&q[0]));
        let mut joined: Vec<[f64; 2]> = Vec::new();
        for [start, end] in out {
            match joined.last_mut() {
                Some(last) if start <= last[1] => last[1] = last[1].max(end),
                _ => joined.push([start, end]),
            }
        }
        joined
    }
}

/// The first movement from `from` on that is not blocked.
pub(super) fn free_from(blocked: &[[f64; 2]], from: Mm) -> Mm {
    let mut at = from.as_f64();
    for [start, end] in blocked {
        if *start < at && at < *end {
            at = *end + 0.001;
        }
    }
    mm(at)
}

/// Movements at which one side of a pair overlaps: those with `low < speed × movement < high`.
fn span(speed: f64, low: Mm, high: Mm) -> Option<[f64; 2]> {
    let (low, high) = (low.as_f64(), high.as_f64());
    if speed == 0.0 {
        return (low < 0.0 && 0.0 < high).then_some([f64::NEG_INFINITY, f64::INFINITY]);
    }
    let (a, b) = (low / speed, high / speed);
    Some([a.min(b), a.max(b)])
}

/// An upright rectangle of this size, its upper left corner at these millimetres.
pub(super) fn boxed(x: Mm, y: Mm, size: Extent) -> Area {
    Area::at(Point::new(x, y), size)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn area(x: f64, y: f64, width: f64, height: f64) -> Area {
        boxed(mm(x), mm(y), Extent::new(mm(width), mm(height)))
    }

    #[test]
    fn slides_until_it_is_clear() {
        let taken = [area(0.0, -20.0, 100.0, 40.0), area(50.0, -60.0, 10.0, 20.0)];
        let moving = [area(40.0, -5.0, 30.0, 10.0)];
        let up = Slide { dx: -0.5, dy: -1.0 };
        let blocked = up.blocked(&taken, &moving, Mm::ZERO);
        let at = free_from(&blocked, Mm::ZERO);
        let moved: Vec<Area> = moving
            .iter()
            .map(|a| {
                let by = |p: Point| p.by(at.scaled(up.dx), at.scaled(up.dy));
                Area { min: by(a.min), max: by(a.max) }
            })
            .collect();
        assert!(clear(&moved, &taken, GAP - mm(0.01)), "{at}: {moved:?}");
        assert!((at - mm(27.5)).abs() < mm(0.01), "just above the first, left below the second: {at}");
    }

    #[test]
    fn thinning_covers_all_that_was_taken() {
        let all: Vec<Area> =
            (0..2000).map(|i| area(f64::from(i % 50) * 7.0, f64::from(i / 50) * 5.0, 6.0, 4.0)).collect();
        let mut few = all.clone();
        thin_out(&mut few);
        assert!(few.len() < MOST);
        assert!(all.iter().all(|a| few.iter().any(|b| b.contains(*a))));
    }
}
