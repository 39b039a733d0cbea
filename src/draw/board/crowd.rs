//! Rectangles that are taken in; whether and how far others must be moved to lie clear of them, out.
//!
//! Rectangles that came together stay together in a group with the rectangle around it: where that is out of the way,
//! none of them need be looked at. Cost: pairs of groups, and of rectangles only where groups come near.

use super::frame::Frame;
use crate::draw::geometry::{Area, Extent, Mm, Point, mm};

/// Clear space between what belongs to different legs.
pub(super) const GAP: Mm = mm(2.5);
/// More rectangles than these are joined, so that a long loom stays cheap; joined, they take a little more room.
const MOST: usize = 700;
/// Size of the cells in which rectangles are joined.
const CELL: Extent = Extent::new(mm(60.0), mm(12.0));
/// Most rectangles in a group.
const GROUP: usize = 12;

/// True where none of these lies on any of those, with `gap` between.
pub(super) fn clear(these: &[Area], those: &[Area], gap: Mm) -> bool {
    let Some(hull) = hull(these) else { return true };
    let hull = hull.grown(gap);
    let mut near = those.iter().filter(|a| hull.overlaps(**a));
    !near.any(|b| these.iter().any(|a| a.grown(gap).overlaps(*b)))
}

/// The rectangle around all.
pub(super) fn hull(areas: &[Area]) -> Option<Area> {
    areas.iter().copied().reduce(Area::union)
}

/// Rectangles that are taken, in groups.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Crowd {
    areas: Vec<Area>,
    groups: Vec<Group>,
    /// Around all.
    hull: Option<Area>,
}

/// Rectangles up to `end` from where the group before ends, and the one around them.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Group {
    hull: Area,
    end: usize,
}

impl Crowd {
    /// Adds rectangles that lie near each other, one after the other.
    pub fn add(&mut self, areas: impl IntoIterator<Item = Area>) {
        let from = self.areas.len();
        self.areas.extend(areas);
        let mut end = from;
        for part in self.areas[from..].chunks(GROUP) {
            end += part.len();
            self.groups.extend(hull(part).map(|hull| Group { hull, end }));
        }
        self.widen(hull(&self.areas[from..]));
    }

    /// Adds another crowd as it lies in a frame.
    pub fn add_all(&mut self, other: &Crowd, frame: &Frame) {
        let from = self.areas.len();
        self.areas.extend(other.areas.iter().map(|a| frame.area(*a)));
        let moved = |g: &Group| Group { hull: frame.area(g.hull), end: from + g.end };
        self.groups.extend(other.groups.iter().map(moved));
        self.widen(other.hull.map(|hull| frame.area(hull)));
    }

    fn widen(&mut self, hull: Option<Area>) {
        self.hull = [self.hull, hull].into_iter().flatten().reduce(Area::union);
    }

    pub fn areas(&self) -> &[Area] {
        &self.areas
    }

    /// The rectangle around all.
    pub fn hull(&self) -> Option<Area> {
        self.hull
    }

    fn groups(&self) -> impl Iterator<Item = (Area, &[Area])> {
        let starts = std::iter::once(0).chain(self.groups.iter().map(|g| g.end));
        self.groups.iter().zip(starts).map(|(g, start)| (g.hull, &self.areas[start..g.end]))
    }

    /// True where something of it lies on a rectangle.
    fn meets(&self, area: Area) -> bool {
        self.groups().any(|(hull, own)| hull.overlaps(area) && own.iter().any(|a| a.overlaps(area)))
    }

    /// True where none of these lies on any of it, with `gap` between.
    pub fn is_clear_of(&self, these: &[Area], gap: Mm) -> bool {
        !these.iter().any(|a| self.meets(a.grown(gap)))
    }

    /// True where nothing of another crowd lies on any of it, with `gap` between.
    pub fn is_clear_of_all(&self, other: &Crowd, gap: Mm) -> bool {
        let Some(hull) = self.hull else { return true };
        let near = |area: Area, hull: Area| Some(area.grown(gap)).filter(|a| a.overlaps(hull));
        other.groups().all(|(of_group, areas)| {
            let Some(of_group) = near(of_group, hull) else { return true };
            // Most often nothing comes near a group, so its rectangles are looked at only then.
            let mut close = self.groups().filter(|(hull, _)| hull.overlaps(of_group));
            close.all(|(hull, own)| {
                let mut these = areas.iter().filter_map(|a| near(*a, hull));
                !these.any(|a| own.iter().any(|b| a.overlaps(*b)))
            })
        })
    }

    /// Joins rectangles cell by cell where there are very many.
    pub fn thin_out(&mut self) {
        if self.areas.len() <= MOST {
            return;
        }
        let mut areas = std::mem::take(self).areas;
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
        self.add(areas);
    }
}

/// Something that is moved along a straight line: so far right and so far down for each millimetre of the movement.
#[derive(Clone, Copy, Debug)]
pub(super) struct Slide {
    pub dx: f64,
    pub dy: f64,
}

impl Slide {
    /// Movements between none and `most` at which something, moved from where it lies in a frame, would lie on what is
    /// taken. What is blocked only beyond `most` may be left out.
    pub fn blocked(self, taken: &Crowd, moving: &Crowd, frame: &Frame, most: Mm) -> Blocked {
        let mut blocked = Blocked::default();
        let most = most.as_f64();
        let Some(hull) = moving.hull().map(|hull| frame.area(hull)) else { return blocked };
        // What is blocked already, or out of reach, need not be looked at more closely.
        let news = |a: Area, b: Area, blocked: &Blocked| {
            self.meeting(a, b)
                .filter(|[start, end]| *end > 0.0 && *start <= most && !blocked.holds([*start, *end]))
        };
        for (of_taken, taken) in taken.groups() {
            if news(of_taken.grown(GAP), hull, &blocked).is_none() {
                continue;
            }
            for (of_moving, moving) in moving.groups() {
                let of_moving = frame.area(of_moving);
                if news(of_taken.grown(GAP), of_moving, &blocked).is_none() {
                    continue;
                }
                for a in taken.iter().map(|a| a.grown(GAP)) {
                    if news(a, of_moving, &blocked).is_none() {
                        continue;
                    }
                    for b in moving {
                        if let Some(span) = news(a, frame.area(*b), &blocked) {
                            blocked.add(span);
                        }
                    }
                }
            }
        }
        blocked
    }

    /// Movements at which a rectangle that is moved would overlap another one, the first of these.
    fn meeting(self, a: Area, b: Area) -> Option<[f64; 2]> {
        let y = span(self.dy, a.min.y - b.max.y, a.max.y - b.min.y)?;
        let x = span(self.dx, a.min.x - b.max.x, a.max.x - b.min.x)?;
        let (start, end) = (x[0].max(y[0]), x[1].min(y[1]));
        (start < end).then_some([start, end])
    }
}

/// Stretches of a movement that are blocked, in rising order, apart from each other.
#[derive(Clone, Debug, Default)]
pub(super) struct Blocked(Vec<[f64; 2]>);

impl Blocked {
    /// True where a stretch is blocked from end to end.
    fn holds(&self, [start, end]: [f64; 2]) -> bool {
        let next = self.0.partition_point(|known| known[1] < start);
        self.0.get(next).is_some_and(|known| known[0] <= start && end <= known[1])
    }

    /// Adds a stretch, joined with those that it touches.
    fn add(&mut self, [mut start, mut end]: [f64; 2]) {
        let first = self.0.partition_point(|known| known[1] < start);
        let last = self.0.partition_point(|known| known[0] <= end);
        let touched = &self.0[first..last];
        if let (Some(lowest), Some(highest)) = (touched.first(), touched.last()) {
            (start, end) = (start.min(lowest[0]), end.max(highest[1]));
        }
        self.0.splice(first..last, [[start, end]]);
    }

    /// The first movement from `from` on that is not blocked.
    pub fn free_from(&self, from: Mm) -> Mm {
        let mut at = from.as_f64();
        for [start, end] in &self.0 {
            if *start < at && at < *end {
                at = *end + 0.001;
            }
        }
        mm(at)
    }
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
    use super::super::frame::moved;
    use super::*;

    fn area(x: f64, y: f64, width: f64, height: f64) -> Area {
        boxed(mm(x), mm(y), Extent::new(mm(width), mm(height)))
    }

    fn crowd(areas: impl IntoIterator<Item = Area>) -> Crowd {
        let mut crowd = Crowd::default();
        crowd.add(areas);
        crowd
    }

    /// Rectangles strewn from a seed.
    fn strewn(seed: u64, count: usize) -> Vec<Area> {
        let mut state = seed;
        let mut next = |below: u64| {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            // A coarse raster, so that edges often touch.
            (state >> 33) as f64 % below as f64 / 2.0
        };
        (0..count).map(|_| area(next(400), next(400), 1.0 + next(20), 1.0 + next(20))).collect()
    }

    #[test]
    fn slides_until_it_is_clear() {
        let taken = [area(0.0, -20.0, 100.0, 40.0), area(50.0, -60.0, 10.0, 20.0)];
        let moving = [area(40.0, -5.0, 30.0, 10.0)];
        let up = Slide { dx: -0.5, dy: -1.0 };
        let blocked = up.blocked(&crowd(taken), &crowd(moving), &Frame::default(), mm(1000.0));
        let at = blocked.free_from(Mm::ZERO);
        let frame = moved(at.scaled(up.dx), at.scaled(up.dy));
        assert!(clear(&moving.map(|a| frame.area(a)), &taken, GAP - mm(0.01)), "{at}");
        assert!((at - mm(27.5)).abs() < mm(0.01), "just above the first, left below the second: {at}");
    }

    // Groups only save work: what they leave out decides nothing.
    #[test]
    fn groups_change_no_answer() {
        for seed in 0..60 {
            let (taken, moving) = (strewn(seed, 90), strewn(seed + 1000, 40));
            let frame =
                Frame { at: Point::new(mm(90.0), mm(10.0)), left: seed % 2 == 0, down: seed % 3 == 0 };
            let lying: Vec<Area> = moving.iter().map(|a| frame.area(*a)).collect();
            let (grouped, shape) = (crowd(taken.clone()), crowd(moving));
            for part in lying.chunks(3) {
                assert_eq!(grouped.is_clear_of(part, GAP), clear(part, &taken, GAP));
                let one = crowd(part.iter().copied());
                assert_eq!(grouped.is_clear_of_all(&one, GAP), clear(part, &taken, GAP));
            }
            let mut there = Crowd::default();
            there.add_all(&shape, &frame);
            assert_eq!((there.areas(), there.hull()), (lying.as_slice(), hull(&lying)));
            assert_eq!(grouped.is_clear_of_all(&there, GAP), clear(&lying, &taken, GAP));
            for (dx, dy) in [(-0.5, -1.0), (1.0, 1.0), (-1.0, 1.0), (0.25, -1.0)] {
                let slide = Slide { dx, dy };
                let mut plain: Vec<[f64; 2]> = Vec::new();
                for a in &taken {
                    plain.extend(lying.iter().filter_map(|b| slide.meeting(a.grown(GAP), *b)));
                }
                plain.retain(|[_, end]| *end > 0.0);
                plain.sort_by(|p, q| p[0].total_cmp(&q[0]));
                let mut joined: Vec<[f64; 2]> = Vec::new();
                for [start, end] in plain {
                    match joined.last_mut() {
                        Some(last) if start <= last[1] => last[1] = last[1].max(end),
                        _ => joined.push([start, end]),
                    }
                }
                let most = mm(120.0);
                let blocked = slide.blocked(&grouped, &shape, &frame, most);
                for from in [0.0, 7.5, 40.0, 119.0].map(mm) {
                    let (is, was) = (blocked.free_from(from), Blocked(joined.clone()).free_from(from));
                    assert!(is == was || is > most && was > most, "{seed}: {is} {was}");
                }
            }
        }
    }

    #[test]
    fn thinning_covers_all_that_was_taken() {
        let all: Vec<Area> =
            (0..2000).map(|i| area(f64::from(i % 50) * 7.0, f64::from(i / 50) * 5.0, 6.0, 4.0)).collect();
        let mut few = crowd(all.clone());
        few.thin_out();
        assert!(few.areas().len() < MOST);
        assert!(all.iter().all(|a| few.areas().iter().any(|b| b.contains(*a))));
    }
}
