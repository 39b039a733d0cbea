//! The drawn pieces of structure, tables, notes and legend in; sheets with all of them out: the smallest format on which
//! the largest piece has room, and as few sheets of it as serve; A2 for A3 where legend and notes then stand on the first. A table is torn into no more parts than it must be.

use std::ops::Range;

use super::table::Table;
use crate::draw::block::Block;
use crate::draw::free::Free;
use crate::draw::geometry::{Area, Extent, Mm, Point, mm};
use crate::draw::legend::Legend;
use crate::draw::scene::Scene;
use crate::draw::sheet::{Format, Sheet};
use crate::draw::title_block::TitleBlock;

const GAP: Mm = mm(8.0);
/// Rows that a part of a table has at least, unless it is the end of it.
const FEWEST: usize = 4;
/// Widths of a legend that does not stand beside the title block.
const LEGEND: [Mm; 3] = [mm(168.0), mm(84.0), mm(56.0)];

/// A piece of structure that hangs together.
pub(super) struct Piece {
    pub drawing: Scene,
    /// The rectangle it takes.
    pub area: Area,
    /// What of the rectangle is really taken.
    pub taken: Vec<Area>,
}

/// What goes on the sheets.
pub(super) struct Contents<'a> {
    pub pieces: &'a [Piece],
    pub tables: &'a [Table],
    /// The notes, in blocks of several widths: one of them is drawn.
    pub notes: &'a [Block],
    pub legend: &'a Legend,
}

/// All sheets, and whether legend and notes stand on the first.
pub(super) struct Sheets {
    pub scenes: Vec<Scene>,
    explained: bool,
}

impl Sheets {
    /// True where no other way of drawing could serve better than by a sheet less.
    pub fn are_small(&self) -> bool {
        let a3 = Format::series().into_iter().find(|f| f.name == "A3").map(|f| f.size.width);
        self.explained && self.scenes.first().map(|scene| scene.size.width) <= a3
    }

    /// Those that serve better compare less: of smaller first sheets, explained there, and few.
    pub fn rank(&self) -> (Mm, bool, usize) {
        let first = self.scenes.first().map_or(Mm::ZERO, |scene| scene.size.width);
        (first, !self.explained, self.scenes.len())
    }
}

/// What stands on a sheet.
enum Item {
    Piece(usize, Point),
    Rows(usize, Range<usize>, Point),
    Notes(usize, Point),
    Legend(Point, Mm),
}

/// A sheet in the making.
struct Page {
    sheet: Sheet,
    free: Free,
    /// Right edge of the structure on it: tables stand beside it rather than under it.
    edge: Mm,
    items: Vec<Item>,
}

impl Page {
    fn new(sheet: Sheet) -> Page {
        let start = sheet.drawing.min;
        let beside = sheet.beside_block.map(|beside| Area::between(start, beside.max));
        let all = [Area::between(start, sheet.drawing.max)].into_iter().chain(beside);
        Page { free: Free::new(all.collect(), GAP), edge: start.x, items: Vec::new(), sheet }
    }

    fn put(&mut self, size: Extent) -> Option<Point> {
        let edge = self.edge;
        self.free.put(size, |corner| (corner.x < edge, corner))
    }

    /// True when the piece found room.
    fn take(&mut self, number: usize, piece: &Piece) -> bool {
        // What is not taken of its rectangle may lie over the title block, or over what stands there already.
        let stands = |corner: &Point| {
            let (dx, dy) = (corner.x - piece.area.min.x, corner.y - piece.area.min.y);
            piece.taken.iter().all(|taken| {
                let moved = Area::between(taken.min.by(dx, dy), taken.max.by(dx, dy));
                self.free.areas().iter().any(|room| room.contains(moved))
            })
        };
        let Some(corner) = self.free.areas().iter().map(|room| room.min).filter(stands).min() else {
            return false;
        };
        let size = piece.area.extent();
        let (dx, dy) = (corner.x - piece.area.min.x, corner.y - piece.area.min.y);
        for taken in &piece.taken {
            self.free.cut(Area::between(taken.min.by(dx, dy), taken.max.by(dx, dy)));
        }
        self.edge = self.edge.max(corner.x + size.width);
        self.items.push(Item::Piece(number, corner));
        true
    }

    fn legend(&mut self, legend: &Legend) -> bool {
        let wide = self.sheet.beside_block.map(|b| b.width());
        let widths = wide.into_iter().chain(LEGEND);
        let found = widths.into_iter().find_map(|width| Some((self.put(legend.measure(width))?, width)));
        self.items.extend(found.map(|(corner, width)| Item::Legend(corner, width)));
        found.is_some()
    }

    fn notes(&mut self, notes: &[Block]) -> bool {
        let found = notes.iter().enumerate().find_map(|(i, block)| Some((i, self.put(block.size())?)));
        self.items.extend(found.map(|(i, corner)| Item::Notes(i, corner)));
        found.is_some()
    }

    /// Legend and notes, both or neither.
    fn explain(&mut self, contents: &Contents) -> bool {
        let (free, count) = (self.free.clone(), self.items.len());
        let found = self.legend(contents.legend) && self.notes(contents.notes);
        if !found {
            self.free = free;
            self.items.truncate(count);
        }
        found
    }

    /// Most rows of a table from `from` on that one part of it has room for here.
    fn most_rows(&self, table: &Table, from: usize) -> usize {
        let rooms = self.free.areas().iter().filter(|room| room.width() >= table.width());
        rooms.map(|room| table.fitting(from, room.height())).max().unwrap_or(0)
    }

    /// Takes rows of a table from `from` on, as many as there is room for: where the whole rest fits, there; returns how
    /// many. None is taken where only a few would be torn off.
    fn rows(&mut self, number: usize, table: &Table, from: usize) -> usize {
        let left = table.len() - from;
        let rows = |room: &Area| match room.width() >= table.width() {
            true => table.fitting(from, room.height()).min(left),
            false => 0,
        };
        let edge = self.edge;
        let whole = self.free.areas().iter().filter(|room| rows(room) >= left);
        let whole = whole.min_by_key(|room| (room.min.x < edge, room.min)).copied();
        let room = whole.or_else(|| self.free.areas().iter().max_by_key(|room| rows(room)).copied());
        let Some((room, rows)) = room.map(|room| (room, rows(&room))) else { return 0 };
        if rows < left.min(FEWEST) {
            return 0;
        }
        self.free.cut(Area::at(room.min, table.size(from..from + rows)));
        self.items.push(Item::Rows(number, from..from + rows, room.min));
        rows
    }
}

/// Puts everything on sheets: of the smallest format on which every piece has room.
pub(super) fn on_sheets(contents: &Contents, block: &TitleBlock, banner: Option<&str>) -> Sheets {
    let formats: Vec<Format> = Format::series().into_iter().skip(1).collect();
    let on = |format: &Format| {
        let new = || Page::new(Sheet::on(format.clone(), block, banner));
        // Of the orders of tables the first that takes fewest sheets.
        let shared = orders(contents.tables.len())
            .into_iter()
            .map_while(|order| share(contents, &order, new, &formats, block, banner));
        shared.min_by_key(|(pages, explained)| (!explained, pages.len()))
    };
    let mut found = formats.iter().find_map(on);
    // A2 rather than A3 with what explains it on another sheet; nothing larger, which few can print.
    if let (Some((pages, false)), [small, large, ..]) = (&found, formats.as_slice())
        && pages.first().is_some_and(|page| page.sheet.format == *small)
        && let Some((larger, true)) = on(large)
    {
        found = Some((larger, true));
    }
    let (pages, explained) = found.unwrap_or_else(|| {
        // Larger than the series: as large as it must be.
        let sizes = contents.pieces.iter().map(|p| p.area.extent());
        let needed = sizes.reduce(|a, b| Extent::new(a.width.max(b.width), a.height.max(b.height)));
        let sheet = Sheet::fitting(needed.unwrap_or_default(), block, banner);
        let order: Vec<usize> = (0..contents.tables.len()).collect();
        let shared = share(contents, &order, || Page::new(sheet.clone()), &formats, block, banner);
        shared.unwrap_or_default()
    });
    let count = pages.len();
    let page = |(i, page): (usize, &Page)| draw(contents, &pages, page, (i + 1, count), block, banner);
    Sheets { scenes: pages.iter().enumerate().map(page).collect(), explained }
}

/// Everything on pages like `new`, and whether legend and notes stand on the first; pages with tables alone may be
/// smaller. None where a piece has no room on one.
fn share(
    contents: &Contents,
    order: &[usize],
    new: impl Fn() -> Page,
    formats: &[Format],
    block: &TitleBlock,
    banner: Option<&str>,
) -> Option<(Vec<Page>, bool)> {
    let mut pages: Vec<Page> = Vec::new();
    let mut explained = false;
    for (i, piece) in contents.pieces.iter().enumerate() {
        if pages.iter_mut().any(|page| page.take(i, piece)) {
            continue;
        }
        let mut page = new();
        page.take(i, piece).then_some(())?;
        // What explains the drawing stands with its first piece.
        if pages.is_empty() {
            explained = page.explain(contents);
        }
        pages.push(page);
    }
    if pages.is_empty() {
        pages.push(new());
    }
    let tables = || formats.first().map_or_else(&new, |f| Page::new(Sheet::on(f.clone(), block, banner)));
    if !explained && !pages.iter_mut().any(|page| page.explain(contents)) {
        if !pages.iter_mut().any(|page| page.legend(contents.legend)) {
            let mut page = tables();
            page.legend(contents.legend);
            pages.push(page);
        }
        if !pages.iter_mut().any(|page| page.notes(contents.notes)) {
            let mut page = tables();
            page.notes(contents.notes);
            pages.push(page);
        }
    }
    for (i, table) in order.iter().filter_map(|i| Some((*i, contents.tables.get(*i)?))) {
        let sheets = formats.iter().map(|f| Sheet::on(f.clone(), block, banner));
        let wide = sheets.into_iter().find(|sheet| sheet.drawing.width() >= table.width());
        let fresh = || wide.clone().map_or_else(&new, Page::new);
        // Parts that the table takes on sheets of its own from each row on.
        let empty = fresh();
        let mut parts = vec![0_usize; table.len() + 1];
        for from in (0..table.len()).rev() {
            let next = (from + empty.most_rows(table, from).max(1)).min(table.len());
            parts[from] = 1 + parts[next];
        }
        let mut from = 0;
        while from < table.len() {
            let left = table.len() - from;
            // A part here saves one there, or the table is torn for nothing.
            let pays = |rows: usize| {
                let after = parts.get(from + rows).copied().unwrap_or(0);
                rows >= FEWEST && after < parts[from]
            };
            let most: Vec<usize> = pages.iter().map(|page| page.most_rows(table, from)).collect();
            let whole = most.iter().position(|rows| *rows >= left);
            let taken = match whole.or_else(|| most.iter().position(|rows| pays(*rows))) {
                Some(page) => pages.get_mut(page).map_or(0, |page| page.rows(i, table, from)),
                None => 0,
            };
            from += taken;
            if taken > 0 {
                continue;
            }
            let mut page = fresh();
            let taken = page.rows(i, table, from);
            if taken == 0 {
                // A row higher than a sheet: as much of the table as there is, on a sheet of its own.
                let size = table.size(from..table.len());
                page = Page::new(Sheet::fitting(size, block, banner));
                from += page.rows(i, table, from).max(1);
            }
            from += taken;
            pages.push(page);
        }
    }
    Some((pages, explained))
}

/// Orders in which the tables may be put down: that in which they are given first.
fn orders(count: usize) -> Vec<Vec<usize>> {
    let mut orders = vec![Vec::new()];
    for _ in 0..count {
        let more = |order: &Vec<usize>| {
            let order = order.clone();
            (0..count)
                .filter(|i| !order.contains(i))
                .map(|i| [order.as_slice(), &[i]].concat())
                .collect::<Vec<_>>()
        };
        orders = orders.iter().flat_map(more).collect();
    }
    orders
}

fn draw(
    contents: &Contents,
    pages: &[Page],
    page: &Page,
    (number, count): (usize, usize),
    block: &TitleBlock,
    banner: Option<&str>,
) -> Scene {
    let own = TitleBlock { sheet: number, sheets: count, ..block.clone() };
    let sheet = Sheet::on(page.sheet.format.clone(), &own, banner);
    let mut scene = sheet.scene();
    let field = |at: Point| place_of(contents, pages, at);
    for item in &page.items {
        match item {
            Item::Piece(i, corner) => {
                if let Some(piece) = contents.pieces.get(*i) {
                    scene.place(&piece.drawing, corner.x - piece.area.min.x, corner.y - piece.area.min.y);
                }
            }
            Item::Rows(i, rows, corner) => {
                if let Some(table) = contents.tables.get(*i) {
                    table.draw(&mut scene, *corner, rows.clone(), &field);
                }
            }
            Item::Notes(i, corner) => {
                if let Some(notes) = contents.notes.get(*i) {
                    notes.draw(&mut scene, *corner);
                }
            }
            Item::Legend(corner, width) => _ = contents.legend.draw(&mut scene, *corner, *width),
        }
    }
    scene
}

/// The field that a point of the structure comes to lie in: `C4`, and the sheet before it where there are several.
fn place_of(contents: &Contents, pages: &[Page], at: Point) -> String {
    for (n, page) in pages.iter().enumerate() {
        for item in &page.items {
            let Item::Piece(i, corner) = item else { continue };
            let Some(piece) = contents.pieces.get(*i).filter(|piece| piece.area.holds(at)) else { continue };
            let there = at.by(corner.x - piece.area.min.x, corner.y - piece.area.min.y);
            let field = page.sheet.zone(there);
            return if pages.len() > 1 { format!("{}/{field}", n + 1) } else { field };
        }
    }
    String::new()
}
