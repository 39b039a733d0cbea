//! A board and a paper in; pages that are glued together to the board, out: which there are, and what each shows.
//!
//! Pages overlap by [`OVERLAP`]; the crosses in the overlap stand on the same points of the board on both pages
//! ([`super::tile_join`]). What lies across an edge is on both, so lettering that is not higher than the overlap is whole
//! on one of them or joined over both. Pages on which nothing lies are left out and named on the plan, which comes first.

use std::collections::BTreeSet;

use super::tile_join::{self, Ink, Join};
use super::tile_page::{self, Page};
use super::{Board, card, tile_plan};
use crate::draw::geometry::{Area, Extent, Mm, Point, mm};
use crate::draw::outline;
use crate::draw::paper::Paper;
use crate::draw::scene::{Item, Scene, Shape};

/// How far neighbouring pages show the same.
pub const OVERLAP: Mm = mm(10.0);
/// Border that printers leave blank, and room for the names of the neighbours.
const BORDER: Mm = mm(11.0);
/// Strip below the window: ruler, plan, title.
const STRIP: Mm = mm(38.0);

/// What lies so close to a cut is on both pages.
const EDGE: Mm = mm(1.0);
/// In so many steps a cut is shifted to each side at most, none shorter than a millimetre.
const SHIFTS: i64 = 24;

/// Where a page, lying, shows the board.
pub fn window(paper: Paper) -> Area {
    let size = paper.lying().size;
    Area::between(Point::new(BORDER, BORDER), Point::new(size.width - BORDER, size.height - STRIP))
}

/// How a board is cut.
#[derive(Clone, Debug)]
pub(super) struct Cut {
    pub paper: Paper,
    /// The upper left corner of the first page's window, on the board's sheet.
    pub origin: Point,
    pub columns: usize,
    pub rows: usize,
    /// Pages on which something lies, by row and column.
    pub filled: BTreeSet<(usize, usize)>,
}

impl Cut {
    /// Cut so that what is over is shared out between both sides; where a leg then lies along a strip that joins two pages,
    /// so that there is none, as near to that as there is such a cut. Where there is none in as few pages as hold the
    /// board, one row or column more is tried.
    fn of(board: &Board, items: &[&Item], paper: Paper) -> (Cut, Vec<Join>) {
        let (size, step) = (board.area.extent(), step(paper));
        let count = |length: Mm, step: Mm| {
            let pages = (length - OVERLAP).um().max(1) + step.um() - 1;
            usize::try_from(pages.div_euclid(step.um())).unwrap_or(1).max(1)
        };
        let (columns, rows) = (count(size.width, step.width), count(size.height, step.height));
        let sight = Sight {
            area: board.area,
            ink: Ink::of(items),
            boxes: items.iter().flat_map(|item| covered(item)).collect(),
        };
        let (mut best, mut poor) = sight.shifted(paper, columns, rows);
        for (columns, rows) in [(columns, rows + 1), (columns + 1, rows), (columns + 1, rows + 1)] {
            if poor == 0 {
                break;
            }
            let (other, own) = sight.shifted(paper, columns, rows);
            if own < poor {
                (best, poor) = (other, own);
            }
        }
        best
    }

    fn fill(&mut self, area: Area) {
        let step = step(self.paper);
        let index = |from: Mm, to: Mm, step: Mm, count: usize| {
            // Pages are cut in the middle of the overlap: what is seen of it on both, one of them need not show.
            let page = |at: Mm| (at - OVERLAP / 2).um().div_euclid(step.um()).max(0);
            let (first, last) = (page(from - EDGE), page(to + EDGE));
            let most = count.saturating_sub(1);
            let at = |n: i64| usize::try_from(n).unwrap_or(0).min(most);
            at(first)..=at(last)
        };
        let (min, max) = (area.min, area.max);
        let rows = index(min.y - self.origin.y, max.y - self.origin.y, step.height, self.rows);
        for row in rows {
            for column in index(min.x - self.origin.x, max.x - self.origin.x, step.width, self.columns) {
                self.filled.insert((row, column));
            }
        }
    }

    /// What a page shows of the board's sheet.
    pub fn shown(&self, (row, column): (usize, usize)) -> Area {
        let step = step(self.paper);
        let corner = self.origin.by(step.width.times(column), step.height.times(row));
        Area::at(corner, window(self.paper).extent())
    }

    /// `B3`: letter of the column, number of the row.
    pub fn name(&self, (row, column): (usize, usize)) -> String {
        format!("{}{}", card::letters(column), row + 1)
    }

    /// Names of the pages that are left out.
    pub fn left_out(&self) -> Vec<String> {
        let all = (0..self.rows).flat_map(|row| (0..self.columns).map(move |column| (row, column)));
        all.filter(|at| !self.filled.contains(at)).map(|at| self.name(at)).collect()
    }
}

/// What is drawn of a board, as its cuts see it.
struct Sight {
    /// Where all of it lies.
    area: Area,
    ink: Ink,
    boxes: Vec<Area>,
}

impl Sight {
    /// The best cut into so many columns and rows, with its joins, and how many of them hold less well than they might.
    fn shifted(&self, paper: Paper, columns: usize, rows: usize) -> ((Cut, Vec<Join>), usize) {
        let (size, step) = (self.area.extent(), step(paper));
        let over = |step: Mm, count: usize, length: Mm| (step.times(count) + OVERLAP - length) / 2;
        let (wide, high) = (over(step.width, columns, size.width), over(step.height, rows, size.height));
        let tried = |dx: Mm, dy: Mm| {
            let origin = self.area.min.by(dx - wide, dy - high);
            let mut cut = Cut { paper, origin, columns, rows, filled: BTreeSet::new() };
            self.boxes.iter().for_each(|area| cut.fill(*area));
            let joins = tile_join::joins(&cut, &self.ink);
            (cut, joins)
        };
        let mut at = (Mm::ZERO, Mm::ZERO);
        let mut best = tried(at.0, at.1);
        for beside in [false, true] {
            let mut poor = tile_join::poor(&best.1, &self.ink, beside);
            for by in shifts(if beside { wide } else { high }) {
                if poor == 0 {
                    break;
                }
                let next = if beside { (by, at.1) } else { (at.0, by) };
                let other = tried(next.0, next.1);
                let own = tile_join::poor(&other.1, &self.ink, beside);
                if own < poor {
                    (poor, best) = (own, other);
                    at = next;
                }
            }
        }
        let poor = [false, true].map(|beside| tile_join::poor(&best.1, &self.ink, beside)).iter().sum();
        (best, poor)
    }
}

/// How far a cut may be shifted where so much is over on both sides, the nearest first.
fn shifts(over: Mm) -> impl Iterator<Item = Mm> {
    let step = (over / SHIFTS).max(mm(1.0));
    let count = usize::try_from(over.um() / step.um()).unwrap_or(0);
    (1..=count).flat_map(move |n| [step.times(n), -step.times(n)])
}

fn step(paper: Paper) -> Extent {
    let window = window(paper);
    Extent::new(window.width() - OVERLAP, window.height() - OVERLAP)
}

/// True for what is drawn of the loom; its sheet, notes and signs are not cut up.
fn is_of_board(item: &Item) -> bool {
    item.mark.layer.is_of_drawing()
}

/// Rectangles that hold what is seen of an item, none much larger than that.
pub(super) fn covered(item: &Item) -> Vec<Area> {
    if let Shape::Text(text) = &item.shape {
        return vec![text.area()];
    }
    let half = item.paint.stroke.map_or(Mm::ZERO, |s| s.width.width() / 2);
    let mut out = Vec::new();
    for (from, to) in outline::pieces(item) {
        let parts = from.distance(to).um() / 20_000 + 1;
        let at =
            |i: i64| Point::new(from.x + (to.x - from.x) * i / parts, from.y + (to.y - from.y) * i / parts);
        out.extend((0..parts).map(|i| Area::between(at(i), at(i + 1)).grown(half)));
    }
    out
}

/// A page, lying, and what it is called.
#[derive(Clone, Debug)]
pub struct Tile {
    /// `Plan`, `B3`.
    pub name: String,
    /// What stands on it. What is drawn of the loom is seen through its window only.
    pub scene: Scene,
}

/// The plan and the pages of a board. `banner` stands on each, where the harness must not be built yet.
pub fn tiles(board: &Board, paper: Paper, banner: Option<&str>) -> Vec<Tile> {
    let items: Vec<&Item> = board.scene.items().iter().filter(|i| is_of_board(i)).collect();
    let (cut, joins) = Cut::of(board, &items, paper);
    let page = Page { board, cut: &cut, joins: &joins, banner };
    let mut pages = vec![Tile { name: tile_plan::NAME.to_owned(), scene: tile_plan::plan(&page, &items) }];
    pages.extend(cut.filled.iter().map(|at| {
        let shown = cut.shown(*at);
        let on_it: Vec<&Item> =
            items.iter().copied().filter(|i| i.bounds().is_some_and(|b| b.overlaps(shown))).collect();
        Tile { name: cut.name(*at), scene: tile_page::tile(&page, *at, &on_it) }
    }));
    pages
}
