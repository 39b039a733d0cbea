//! How a board is cut, and what is drawn on it, in; where crosses join each two pages, out.
//!
//! Two pages that are glued to one another show the same strip of the board. Two crosses stand on it, on the same points of
//! the board on both pages: in the middle of the strip, as near to its ends as nothing is drawn. Where lines fill the strip
//! they may lie under a cross, but never lettering or a peg; where that leaves no room either there are fewer crosses, and
//! the pages say so.

use super::tile_page::{ARM, Page};
use super::tiles::{Cut, OVERLAP};
use crate::draw::audit::meet::{Piece, touches};
use crate::draw::geometry::{Area, Mm, Point, mm};
use crate::draw::grid::Grid;
use crate::draw::lettering::{self, Lettering};
use crate::draw::mark::Mark;
use crate::draw::outline;
use crate::draw::scene::{Item, Scene, Shape};
use crate::draw::stroke::Stroke;

/// Clear space around a cross.
const CLEAR: Mm = mm(0.8);
/// How far a cross is moved at a time in search of a clear spot.
const STEP: Mm = mm(1.0);
/// Two crosses that lie closer do not keep pages from turning.
const CLOSEST: Mm = mm(30.0);
/// So far apart they hold well.
const WIDE: Mm = mm(70.0);

/// A page, by row and column.
pub(super) type At = (usize, usize);

/// Where two pages are joined.
#[derive(Clone, Debug)]
pub(super) struct Join {
    /// The left one or the upper one first.
    pub pages: [At; 2],
    /// True where the pages lie beside one another.
    pub beside: bool,
    /// Crosses, on the board's sheet: two, fewer where there is no room.
    pub crosses: Vec<Point>,
}

/// What is drawn of a board, found by where it is.
#[derive(Default)]
pub(super) struct Ink {
    marks: Vec<Inked>,
    grid: Grid,
}

enum Inked {
    Line(Piece),
    /// Lettering, pegs, and what is filled.
    Solid(Area),
}

impl Ink {
    pub fn of(items: &[&Item]) -> Ink {
        let mut ink = Ink::default();
        for item in items {
            // A bundle is a broad line: it counts as one along its way.
            let solid = matches!(item.shape, Shape::Text(_)) || item.paint.fill.is_some();
            if let Some(area) = item.bounds().filter(|_| solid) {
                ink.grid.add(ink.marks.len(), area);
                ink.marks.push(Inked::Solid(area));
                continue;
            }
            let half = item.paint.stroke.map_or(Mm::ZERO, |s| s.width.width() / 2);
            for (from, to) in outline::pieces(item) {
                ink.grid.add_piece(ink.marks.len(), from, to, half);
                ink.marks.push(Inked::Line(Piece { item: 0, from, to, half }));
            }
        }
        ink
    }

    /// What a cross would lie on: nothing, 0; lines only, 1; anything else, 2.
    fn under(&self, at: Point) -> u8 {
        let area = Area::between(at, at).grown(ARM + CLEAR);
        let on = |mark: &Inked| match mark {
            Inked::Line(piece) => u8::from(touches(piece, area)),
            Inked::Solid(solid) => 2 * u8::from(solid.overlaps(area)),
        };
        self.grid.near(area).into_iter().filter_map(|i| self.marks.get(i)).map(on).max().unwrap_or(0)
    }
}

/// All joins of a cut, row by row: each page with the one right of it, then with the one below.
pub(super) fn joins(cut: &Cut, ink: &Ink) -> Vec<Join> {
    let mut out = Vec::new();
    for &(row, column) in &cut.filled {
        for (next, beside) in [((row, column + 1), true), ((row + 1, column), false)] {
            if cut.filled.contains(&next) {
                let (own, other) = (cut.shown((row, column)), cut.shown(next));
                let strip = Area { min: other.min, max: own.max };
                out.push(Join { pages: [(row, column), next], beside, crosses: crosses(strip, beside, ink) });
            }
        }
    }
    out
}

/// The crosses on a strip.
fn crosses(strip: Area, beside: bool, ink: &Ink) -> Vec<Point> {
    let middle = strip.centre();
    // The strips of four pages meet in a corner: each keeps out of the others.
    let inset = OVERLAP + ARM + CLEAR;
    let (from, to) = if beside { (strip.min.y, strip.max.y) } else { (strip.min.x, strip.max.x) };
    let (from, to) = (from + inset, to - inset);
    let count = usize::try_from((to - from).um() / STEP.um()).unwrap_or(0);
    let spot = |along: Mm| if beside { Point::new(middle.x, along) } else { Point::new(along, middle.y) };
    // The nearest to an end, of the clear ones where there are any.
    let nearest = |first: Mm, step: Mm, apart: Option<Mm>| {
        let mut best: Option<(u8, Mm)> = None;
        for along in (0..=count).map(|n| first + step.times(n)).filter(|at| *at >= from && *at <= to) {
            if apart.is_some_and(|other| (along - other).abs() < CLOSEST) {
                continue;
            }
            let under = ink.under(spot(along));
            if under < best.map_or(2, |(known, _)| known) {
                best = Some((under, along));
            }
            if under == 0 {
                break;
            }
        }
        best.map(|(_, at)| at)
    };
    let first = nearest(from, STEP, None);
    let second = first.and_then(|first| nearest(to, -STEP, Some(first)));
    first.into_iter().chain(second).map(spot).collect()
}

/// Joins that hold less well than they might: a cross is missing, lies on lines, or close to the other one.
pub(super) fn poor(joins: &[Join], ink: &Ink, beside: bool) -> usize {
    let holds = |join: &&Join| match join.crosses[..] {
        [first, second] => {
            first.distance(second) >= WIDE && [first, second].iter().all(|at| ink.under(*at) == 0)
        }
        _ => false,
    };
    joins.iter().filter(|join| join.beside == beside).filter(|join| !holds(join)).count()
}

/// The crosses of a page, and where it is cut: through the middle of those at its left and at its top.
pub(super) fn draw(scene: &mut Scene, mark: &Mark, page: &Page, at: At, window: Area) {
    let shown = page.cut.shown(at);
    let (dx, dy) = (window.min.x - shown.min.x, window.min.y - shown.min.y);
    for join in page.joins.iter().filter(|join| join.pages.contains(&at)) {
        for point in &join.crosses {
            cross(scene, mark, point.by(dx, dy));
        }
        if join.pages[1] == at {
            cut_marks(scene, mark, join.beside, window);
        }
    }
}

/// A cross that joins: aslant, and no ring, so that it is not taken for a peg.
pub(super) fn cross(scene: &mut Scene, mark: &Mark, at: Point) {
    scene.line(mark, at.by(-ARM, -ARM), at.by(ARM, ARM), Stroke::MEDIUM);
    scene.line(mark, at.by(-ARM, ARM), at.by(ARM, -ARM), Stroke::MEDIUM);
}

/// Strokes outside the window at both ends of the line that the page is cut along.
fn cut_marks(scene: &mut Scene, mark: &Mark, beside: bool, window: Area) {
    let (near, far) = (mm(1.0), mm(4.0));
    let middle = window.min.by(OVERLAP / 2, OVERLAP / 2);
    let strokes = match beside {
        true => [(window.min.y - far, window.min.y - near), (window.max.y + near, window.max.y + far)]
            .map(|(from, to)| (Point::new(middle.x, from), Point::new(middle.x, to))),
        false => [(window.min.x - far, window.min.x - near), (window.max.x + near, window.max.x + far)]
            .map(|(from, to)| (Point::new(from, middle.y), Point::new(to, middle.y))),
    };
    for (from, to) in strokes {
        scene.line(mark, from, to, Stroke::MEDIUM);
    }
}

/// What pegs and crosses are, beside the name of the page.
pub(super) fn explained(scene: &mut Scene, mark: &Mark, corner: Point, joined: bool) {
    let small = Lettering::SMALL;
    let middle = corner.y + ARM + mm(0.2);
    let mut x = corner.x;
    let mut say = |sign: fn(&mut Scene, &Mark, Point), words: &str| {
        sign(scene, mark, Point::new(x + ARM, middle));
        x += ARM * 2 + mm(1.6);
        scene.text(mark, Point::new(x, middle + small.height.capital() / 2), words, small);
        x += lettering::width(words, small) + mm(5.0);
    };
    say(|s, m, at| super::drawn::peg(m, at, s), "drill here");
    if joined {
        say(cross, "join here: halves meet");
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::draw::mark::Layer;

    fn strip() -> Area {
        Area::between(Point::new(mm(100.0), mm(0.0)), Point::new(mm(110.0), mm(160.0)))
    }

    fn found(draw: impl FnOnce(&mut Scene, &Mark)) -> Vec<Point> {
        let mut scene = Scene::default();
        draw(&mut scene, &Mark::new(Layer::Label));
        crosses(strip(), true, &Ink::of(&scene.items().iter().collect::<Vec<_>>()))
    }

    fn at(y: f64) -> Point {
        Point::new(mm(105.0), mm(y))
    }

    #[test]
    fn crosses_keep_off_what_is_drawn() {
        assert_eq!(found(|_, _| ()), [at(13.8), at(146.2)]);
        // A line across at 14 mm: the cross lies beyond its ink, its own arm and the clear space.
        let line = |y: f64, s: &mut Scene, m: &Mark| {
            s.line(m, Point::new(mm(0.0), mm(y)), Point::new(mm(300.0), mm(y)), Stroke::WIDE);
        };
        assert_eq!(found(|s, m| line(14.0, s, m)), [at(18.8), at(146.2)]);
        let words = |s: &mut Scene, m: &Mark| {
            s.text(m, Point::new(mm(90.0), mm(146.0)), "a long label", Lettering::PLAIN)
        };
        let [_, second] = found(words)[..] else { panic!() };
        assert!(second.y < mm(140.0), "{second:?}");
    }

    #[test]
    fn lines_are_crossed_where_they_fill_a_strip_and_lettering_never() {
        let lines = |s: &mut Scene, m: &Mark| {
            for i in 0..60 {
                let y = mm(f64::from(i) * 3.0);
                s.line(m, Point::new(mm(0.0), y), Point::new(mm(300.0), y), Stroke::THIN);
            }
        };
        assert_eq!(found(lines), [at(13.8), at(146.2)], "on lines, but there");
        let full = |s: &mut Scene, m: &Mark| {
            s.rect(m, strip().grown(mm(5.0)), crate::draw::palette::Ink::WHITE);
        };
        assert_eq!(found(full), []);
    }
}
