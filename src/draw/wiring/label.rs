//! Conductors and what is drawn already in; their labels on the scene out.
//!
//! A label stands over its conductor, beside each device that the conductor ends at, and again wherever it runs on for
//! long without one. A straight conductor has the second one where nothing else stands in its way.

use super::build::Built;
use super::chart::Terminal;
use super::plan::Plan;
use super::seat::Side;
use super::share::Share;
use super::words;
use crate::draw::geometry::{Area, Mm, Point, mm};
use crate::draw::grid::Grid;
use crate::draw::lettering::{self, Lettering};
use crate::draw::mark::{Layer, Mark};
use crate::draw::outline;
use crate::draw::scene::{Scene, Shape};
use crate::harness::{ConductorId, Harness};
use std::collections::BTreeMap;

/// Half the width of a conductor as drawn.
pub(super) const HALF_LINE: Mm = mm(0.45);
/// Least distance between a label and the line below or above it.
pub(super) const AIR: Mm = mm(0.35);
/// A conductor runs no further than this without a label, where there is room for one.
const STRETCH: Mm = mm(130.0);
/// Least distance of the two labels of a straight conductor.
const BETWEEN: Mm = mm(6.0);
/// How far the second of them may stand from its end.
const ASIDE: Mm = mm(30.0);
/// Between the two parts of a label.
const GAP: Mm = mm(1.6);
const MARK: Lettering = Lettering::SMALL.bold();
const MAKE: Lettering = Lettering::SMALL;

/// Width of a conductor's label.
pub(super) fn width(h: &Harness, id: ConductorId) -> Mm {
    lettering::width(&h.conductor(id).mark, MARK) + GAP + lettering::width(&words::make_of(h, id), MAKE)
}

/// How far the labels of all conductors reach above and below their baseline.
pub(super) fn reach(h: &Harness, share: &Share) -> (Mm, Mm) {
    let mut most = (Mm::ZERO, Mm::ZERO);
    for id in share.conductors.iter().copied() {
        for (words, lettering) in [(h.conductor(id).mark.clone(), MARK), (words::make_of(h, id), MAKE)] {
            let (above, below) = lettering::reach(&words, lettering);
            most = (most.0.max(above), most.1.max(below));
        }
    }
    most
}

/// Labels in the making.
pub(super) struct Labels<'a> {
    pub h: &'a Harness,
    pub built: &'a Built,
    pub plan: &'a Plan,
    /// How far labels reach below their baseline.
    pub below: Mm,
}

impl Labels<'_> {
    /// Labels all conductors. `mark` gives a conductor's mark.
    pub fn draw(&self, scene: &mut Scene, mark: impl Fn(ConductorId) -> Mark) {
        let mut lines: Vec<ConductorId> = Vec::new();
        let mut used: BTreeMap<ConductorId, [Mm; 2]> = BTreeMap::new();
        for (id, line) in self.plan.lines.iter().filter(|(_, line)| line.len() > 1) {
            let id = *id;
            let label = mark(id).on(Layer::Label);
            let wide = width(self.h, id);
            lines.push(id);
            // What each end's label takes of the first and the last piece.
            let mut taken = [Mm::ZERO; 2];
            for (i, end) in self.ends(id) {
                let x = self.plan.label_x(&self.built.chart, end);
                let start = if end.side == Side::Right { x } else { x - wide };
                self.write(scene, &label, id, Point::new(start, self.plan.rows[end.row]));
                let foot = if i == 0 { line.first() } else { line.last() };
                let far = if end.side == Side::Right { start + wide } else { start };
                taken[i] = foot.map_or(Mm::ZERO, |p| (far - p.x).abs());
            }
            used.insert(id, taken);
        }
        self.seconds(scene, &mut used, &mark);
        let mut free: Vec<(ConductorId, Point, Point)> = Vec::new();
        for id in lines {
            let (Some(line), Some(taken)) = (self.plan.lines.get(&id), used.get(&id)) else { continue };
            let last = line.len() - 1;
            for (i, pair) in line.windows(2).enumerate() {
                let [a, b] = [pair[0], pair[1]];
                if a.y != b.y {
                    continue;
                }
                let (mut a, mut b) = (a, b);
                let onward = if b.x > a.x { 1 } else { -1 };
                if i == 0 {
                    a.x += taken[0] * onward;
                }
                if i + 1 == last {
                    b.x -= taken[1] * onward;
                }
                let (from, to) = if a.x < b.x { (a, b) } else { (b, a) };
                if (b.x - a.x).um().signum() == onward {
                    free.push((id, from, to));
                }
            }
        }
        self.fill(scene, &free, mark);
    }

    /// The second label of each straight conductor, near its right end, where there is room for it.
    fn seconds(
        &self,
        scene: &mut Scene,
        used: &mut BTreeMap<ConductorId, [Mm; 2]>,
        mark: &impl Fn(ConductorId) -> Mark,
    ) {
        let chart = &self.built.chart;
        let mut obstacles = obstacles(scene);
        for (id, taken) in used.iter_mut().filter(|(id, _)| self.plan.is_straight(**id)) {
            let Some((left, right, end)) = self.both(*id) else { continue };
            let (wide, row) = (width(self.h, *id), self.plan.rows[right.row]);
            let first = self.plan.label_x(chart, left) + wide + BETWEEN;
            let aim = self.plan.label_x(chart, right) - wide;
            let tries = (0..).map(|n: i64| aim - mm(2.0) * n);
            let tries = tries.take_while(|x| *x >= first && aim - *x <= ASIDE);
            let found = tries
                .map(|x| (x, self.area(Point::new(x, row), wide)))
                .find(|(_, area)| !obstacles.0.near(*area).iter().any(|o| obstacles.1[*o].overlaps(*area)));
            if let Some((x, area)) = found {
                self.write(scene, &mark(*id).on(Layer::Label), *id, Point::new(x, row));
                obstacles.0.add(obstacles.1.len(), area);
                obstacles.1.push(area);
                taken[end] = self.plan.foot(chart, right).x - x;
            }
        }
    }

    /// What a label with its left end over this point of a conductor takes.
    fn area(&self, on: Point, wide: Mm) -> Area {
        let at = on.by(Mm::ZERO, -HALF_LINE - AIR);
        Area::between(at, at.by(wide, -self.plan_height())).grown(mm(0.2))
    }

    /// The left and the right end of a straight conductor, and the number of the right one.
    fn both(&self, id: ConductorId) -> Option<(Terminal, Terminal, usize)> {
        let chart = &self.built.chart;
        let trail = chart.trails.get(&id)?;
        let (first, last) = (chart.links[*trail.first()?].ends[0], chart.links[*trail.last()?].ends[1]);
        Some(if first.side == Side::Right { (first, last, 1) } else { (last, first, 0) })
    }

    /// Ends at which a label surely stands, with their number: both, or the left one of a straight conductor.
    fn ends(&self, id: ConductorId) -> Vec<(usize, Terminal)> {
        let chart = &self.built.chart;
        let trail = chart.trails.get(&id).map(Vec::as_slice).unwrap_or_default();
        let (Some(first), Some(last)) = (trail.first(), trail.last()) else { return Vec::new() };
        let ends = [chart.links[*first].ends[0], chart.links[*last].ends[1]];
        let one = self.plan.is_straight(id);
        ends.into_iter().enumerate().filter(|(_, end)| !one || end.side == Side::Right).collect()
    }

    /// Puts further labels where conductors run on for long, as far as there is room.
    fn fill(
        &self,
        scene: &mut Scene,
        free: &[(ConductorId, Point, Point)],
        mark: impl Fn(ConductorId) -> Mark,
    ) {
        let obstacles = obstacles(scene);
        for (id, from, to) in free {
            let wide = width(self.h, *id);
            let count = ((to.x - from.x).um() / STRETCH.um()).max(0);
            for i in 1..=count {
                let aim = from.x + (to.x - from.x) * i / (count + 1) - wide / 2;
                let step = mm(4.0);
                let tries =
                    (0..12).map(|n: i64| aim + step * ((n + 1) / 2) * if n % 2 == 0 { 1 } else { -1 });
                let clear = |x: &Mm| {
                    let area = self.area(Point::new(*x, from.y), wide);
                    let inside = *x > from.x + mm(3.0) && *x + wide < to.x - mm(3.0);
                    inside && !obstacles.0.near(area).iter().any(|o| obstacles.1[*o].overlaps(area))
                };
                if let Some(x) = tries.into_iter().find(clear) {
                    self.write(scene, &mark(*id).on(Layer::Label), *id, Point::new(x, from.y));
                }
            }
        }
    }

    /// From the bottom of a label to its top.
    fn plan_height(&self) -> Mm {
        self.built.chart.pitch - HALF_LINE * 2 - AIR * 2
    }

    fn write(&self, scene: &mut Scene, label: &Mark, id: ConductorId, on: Point) {
        let at = on.by(Mm::ZERO, -HALF_LINE - AIR - self.below);
        let name = &self.h.conductor(id).mark;
        scene.text(label, at, name, MARK);
        let at = at.by(lettering::width(name, MARK) + GAP, Mm::ZERO);
        scene.text(label, at, &words::make_of(self.h, id), MAKE);
    }
}

/// Everything that a label may not touch: lines by their pieces, lettering and filled shapes by their rectangle.
fn obstacles(scene: &Scene) -> (Grid, Vec<Area>) {
    let mut grid = Grid::default();
    let mut areas: Vec<Area> = Vec::new();
    for item in scene.items() {
        let solid = matches!(item.shape, Shape::Text(_))
            || matches!(item.mark.layer, Layer::Device | Layer::Structure);
        let half = item.paint.stroke.map_or(Mm::ZERO, |s| s.width.width() / 2);
        let mut parts: Vec<Area> =
            outline::pieces(item).into_iter().map(|(a, b)| Area::between(a, b).grown(half)).collect();
        if solid {
            parts.extend(item.bounds());
        }
        for area in parts {
            grid.add(areas.len(), area);
            areas.push(area);
        }
    }
    (grid, areas)
}
