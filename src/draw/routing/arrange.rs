//! The drawn pieces of structure, tables, notes and legend in; sheets with all of them out: the smallest format on which
//! the largest piece has room, and as few sheets of it as serve.

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
    pub notes: &'a Block,
    pub legend: &'a Legend,
}

/// What stands on a sheet.
enum Item {
    Piece(usize, Point),
    Rows(usize, Range<usize>, Point),
    Notes(Point),
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

    fn notes(&mut self, notes: &Block) -> bool {
        let found = self.put(notes.size());
        self.items.extend(found.map(Item::Notes));
        found.is_some()
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
pub(super) fn on_sheets(contents: &Contents, block: &TitleBlock, banner: Option<&str>) -> Vec<Scene> {
    let formats: Vec<Format> = Format::series().into_iter().skip(1).collect();
    let found = formats.iter().find_map(|format| {
        let new = || Page::new(Sheet::on(format.clone(), block, banner));
        share(contents, new, &formats, block, banner)
    });
    let pages = found.unwrap_or_else(|| {
        // Larger than the series: as large as it must be.
        let sizes = contents.pieces.iter().map(|p| p.area.extent());
        let needed = sizes.reduce(|a, b| Extent::new(a.width.max(b.width), a.height.max(b.height)));
        let sheet = Sheet::fitting(needed.unwrap_or_default(), block, banner);
        share(contents, || Page::new(sheet.clone()), &formats, block, banner).unwrap_or_default()
    });
    let count = pages.len();
    pages
        .iter()
        .enumerate()
        .map(|(i, page)| draw(contents, &pages, page, (i + 1, count), block, banner))
        .collect()
}

/// Everything on pages like `new`; those with tables alone may be smaller. None where a piece has no room on one.
fn share(
    contents: &Contents,
    new: impl Fn() -> Page,
    formats: &[Format],
    block: &TitleBlock,
    banner: Option<&str>,
) -> Option<Vec<Page>> {
    let mut pages: Vec<Page> = Vec::new();
    for (i, piece) in contents.pieces.iter().enumerate() {
        if pages.iter_mut().any(|page| page.take(i, piece)) {
            continue;
        }
        let mut page = new();
        page.take(i, piece).then_some(())?;
        pages.push(page);
    }
    if pages.is_empty() {
        pages.push(new());
    }
    // What explains the drawing stands with it.
    let tables = || formats.first().map_or_else(&new, |f| Page::new(Sheet::on(f.clone(), block, banner)));
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
    for (i, table) in contents.tables.iter().enumerate() {
        let mut from = 0;
        while from < table.len() {
            let whole = |page: &&mut Page| {
                page.free.areas().iter().any(|room| {
                    room.width() >= table.width() && table.fitting(from, room.height()) >= table.len() - from
                })
            };
            let taken = match pages.iter_mut().find(whole) {
                Some(page) => page.rows(i, table, from),
                None => {
                    pages.iter_mut().map(|page| page.rows(i, table, from)).find(|rows| *rows > 0).unwrap_or(0)
                }
            };
            from += taken;
            if taken > 0 {
                continue;
            }
            let sheets = formats.iter().map(|f| Sheet::on(f.clone(), block, banner));
            let wide = sheets.into_iter().find(|sheet| sheet.drawing.width() >= table.width());
            let mut page = wide.map_or_else(&new, Page::new);
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
    Some(pages)
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
            Item::Notes(corner) => contents.notes.draw(&mut scene, *corner),
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
