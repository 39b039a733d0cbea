//! The drawn structure, tables, notes and legend in; one sheet with all of them out: the smallest that holds them.

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
/// Width of a legend that does not stand beside the title block.
const LEGEND: Mm = mm(84.0);

/// What goes on the sheet.
pub(super) struct Contents<'a> {
    /// The structure, and the rectangle it takes.
    pub drawing: &'a Scene,
    pub area: Area,
    /// What of the rectangle is really taken.
    pub taken: &'a [Area],
    pub tables: [&'a Table; 2],
    pub notes: &'a Block,
    pub legend: &'a Legend,
}

/// Where everything stands, relative to the sheet.
struct Placed {
    parts: Vec<(usize, std::ops::Range<usize>, Point)>,
    notes: Point,
    legend: (Point, Mm),
}

/// Puts everything on the smallest sheet.
pub(super) fn on_sheet(contents: &Contents, block: &TitleBlock, banner: Option<&str>) -> Scene {
    let formats = Format::series().into_iter().skip(1).map(|f| Sheet::on(f, block, banner));
    let found = formats.into_iter().find_map(|sheet| {
        let placed = place(contents, &sheet)?;
        Some((sheet, placed))
    });
    let (sheet, placed) = found.unwrap_or_else(|| long_sheet(contents, block, banner));
    draw(contents, &sheet, &placed)
}

/// A sheet as long as it must be: tables to the right of the drawing.
fn long_sheet(contents: &Contents, block: &TitleBlock, banner: Option<&str>) -> (Sheet, Placed) {
    let size = contents.area.extent();
    let tables = contents.tables.map(|t| t.size(0..t.len()));
    let width = tables.iter().map(|t| t.width).chain([contents.notes.size().width, LEGEND]).max();
    let parts = tables.iter().map(|t| t.height);
    let others = [contents.notes.size().height, contents.legend.measure(LEGEND).height];
    let height: Mm = parts.chain(others).map(|h| h + GAP).sum();
    let needed = Extent::new(size.width + GAP + width.unwrap_or_default(), size.height.max(height));
    let sheet = Sheet::fitting(needed, block, banner);
    let x = sheet.drawing.min.x + size.width + GAP;
    let mut y = sheet.drawing.min.y;
    let mut next = |height: Mm| {
        let at = Point::new(x, y);
        y += height + GAP;
        at
    };
    let [runs, holes] = contents.tables;
    let parts = [(0, runs), (1, holes)].into_iter().filter(|(_, t)| t.len() > 0);
    let parts = parts.map(|(i, t)| (i, 0..t.len(), next(t.size(0..t.len()).height))).collect();
    let notes = next(contents.notes.size().height);
    let legend = (next(Mm::ZERO), LEGEND);
    (sheet, Placed { parts, notes, legend })
}

/// Everything on this sheet; None where it does not fit.
fn place(contents: &Contents, sheet: &Sheet) -> Option<Placed> {
    let start = sheet.drawing.min;
    let own = Area::at(start, contents.area.extent());
    let beside = sheet.beside_block.map(|beside| Area::between(start, beside.max));
    let all = [Area::between(start, sheet.drawing.max)].into_iter().chain(beside);
    let mut free = Free::new(all.collect(), GAP);
    if !free.areas().iter().any(|a| a.contains(own)) {
        return None;
    }
    let (dx, dy) = (start.x - contents.area.min.x, start.y - contents.area.min.y);
    for taken in contents.taken {
        free.cut(Area::between(taken.min.by(dx, dy), taken.max.by(dx, dy)));
    }
    let mut parts = Vec::new();
    for (i, table) in contents.tables.into_iter().enumerate() {
        let mut from = 0;
        while from < table.len() {
            let left = table.len() - from;
            // The whole rest where there is room for it, else as much as fits.
            let rows = |room: &Area| match room.width() >= table.width() {
                true => table.fitting(from, room.height()),
                false => 0,
            };
            // Beside the drawing rather than under it.
            let whole = free.areas().iter().filter(|room| rows(room) >= left);
            let whole = whole.min_by_key(|room| (room.min.x < own.max.x, room.min)).copied();
            let room = whole.or_else(|| free.areas().iter().max_by_key(|room| rows(room)).copied())?;
            let (corner, rows) = (room.min, rows(&room));
            if rows < left.min(FEWEST) {
                return None;
            }
            free.cut(Area::at(corner, table.size(from..from + rows)));
            parts.push((i, from..from + rows, corner));
            from += rows;
        }
    }
    let after = |corner: Point| (corner.x < own.max.x, corner);
    let notes = free.put(contents.notes.size(), after)?;
    let wide = sheet.beside_block.map(|b| b.width());
    let legend = wide
        .into_iter()
        .chain([LEGEND * 2, LEGEND])
        .find_map(|width| Some((free.put(contents.legend.measure(width), after)?, width)))?;
    Some(Placed { parts, notes, legend })
}

fn draw(contents: &Contents, sheet: &Sheet, placed: &Placed) -> Scene {
    let mut scene = sheet.scene();
    let (dx, dy) = (sheet.drawing.min.x - contents.area.min.x, sheet.drawing.min.y - contents.area.min.y);
    scene.place(contents.drawing, dx, dy);
    let field = |at: Point| sheet.zone(at.by(dx, dy));
    for (table, rows, corner) in &placed.parts {
        if let Some(table) = contents.tables.get(*table) {
            table.draw(&mut scene, *corner, rows.clone(), &field);
        }
    }
    contents.notes.draw(&mut scene, placed.notes);
    let (corner, width) = placed.legend;
    contents.legend.draw(&mut scene, corner, width);
    scene
}
