//! Rows of text in; a ruled table out, drawn in as many parts as the sheet has room for.

use std::ops::Range;

use crate::draw::geometry::{Area, Extent, Mm, Point, mm};
use crate::draw::lettering::{self, Lettering};
use crate::draw::mark::{Layer, Mark};
use crate::draw::palette::Ink;
use crate::draw::scene::{Anchor, Scene, Turn};
use crate::draw::stroke::Stroke;

const PAD: Mm = mm(1.4);
const CELL: Lettering = Lettering::SMALL;
const HEAD: Lettering = Lettering::SMALL.bold();
const TITLE: Lettering = Lettering::PLAIN.bold();
/// Widest column; what is longer wraps.
const WIDEST: Mm = mm(56.0);
/// Room for a field of a sheet, `12/AC12` at most.
const FIELD: &str = "12/AC12";

/// One row.
#[derive(Clone, Debug)]
pub(super) struct Row {
    pub mark: Mark,
    pub cells: Vec<String>,
    /// Where on the drawing it is found; its field of the sheet goes into the last column.
    pub at: Option<Point>,
}

/// A table; the last column is the field of the sheet.
#[derive(Clone, Debug)]
pub(super) struct Table {
    title: &'static str,
    /// Heading, and whether figures stand at the right.
    columns: Vec<(&'static str, bool)>,
    rows: Vec<(Row, Vec<Vec<String>>, Mm)>,
    widths: Vec<Mm>,
    head: Vec<Vec<String>>,
}

impl Table {
    pub fn new(title: &'static str, columns: &[(&'static str, bool)], rows: Vec<Row>) -> Table {
        let mut columns = columns.to_vec();
        columns.push(("field", false));
        let last = columns.len() - 1;
        let widths: Vec<Mm> = columns
            .iter()
            .enumerate()
            .map(|(i, (heading, _))| {
                let words = heading.split(' ').map(|w| lettering::width(w, HEAD));
                let cells = rows.iter().filter_map(|r| r.cells.get(i)).map(|c| lettering::width(c, CELL));
                let field = (i == last).then(|| lettering::width(FIELD, CELL));
                let widest = words.clone().chain(cells).chain(field).max().unwrap_or_default();
                widest.min(WIDEST).max(words.max().unwrap_or_default()) + PAD * 2
            })
            .collect();
        let head =
            columns.iter().zip(&widths).map(|((h, _), w)| lettering::wrap(h, HEAD, *w - PAD * 2)).collect();
        let rows = rows
            .into_iter()
            .map(|row| {
                let wrapped: Vec<Vec<String>> = row
                    .cells
                    .iter()
                    .zip(&widths)
                    .map(|(c, w)| lettering::wrap(c, CELL, *w - PAD * 2))
                    .collect();
                let lines = wrapped.iter().map(Vec::len).max().unwrap_or(1).max(1);
                (row, wrapped, height(lines))
            })
            .collect();
        Table { title, columns, rows, widths, head }
    }

    pub fn len(&self) -> usize {
        self.rows.len()
    }

    pub fn width(&self) -> Mm {
        self.widths.iter().copied().sum::<Mm>().max(lettering::width(self.title, TITLE) + mm(18.0))
    }

    fn top(&self) -> Mm {
        let lines = self.head.iter().map(Vec::len).max().unwrap_or(1);
        TITLE.height.pitch() + height(lines)
    }

    /// Size of the part with these rows.
    pub fn size(&self, rows: Range<usize>) -> Extent {
        let body: Mm = self.rows.iter().take(rows.end).skip(rows.start).map(|(_, _, h)| *h).sum();
        Extent::new(self.width(), self.top() + body)
    }

    /// How many rows from `start` fit into this height.
    pub fn fitting(&self, start: usize, height: Mm) -> usize {
        let mut used = self.top();
        let fits = |(_, _, row): &&(Row, Vec<Vec<String>>, Mm)| {
            used += *row;
            used <= height
        };
        self.rows.iter().skip(start).take_while(fits).count()
    }

    /// Draws the part with these rows; `field` tells the field of a place on the drawing.
    pub fn draw(
        &self,
        scene: &mut Scene,
        corner: Point,
        rows: Range<usize>,
        field: &dyn Fn(Point) -> String,
    ) {
        let note = Mark::new(Layer::Note);
        let title = match rows.start {
            0 => self.title.to_owned(),
            _ => format!("{}, continued", self.title),
        };
        scene.text(&note, corner.by(Mm::ZERO, TITLE.height.capital()), &title, TITLE);
        let size = self.size(rows.clone());
        let top = corner.by(Mm::ZERO, TITLE.height.pitch());
        let width = self.widths.iter().copied().sum::<Mm>();
        scene.rect(
            &note,
            Area::at(top, Extent::new(width, size.height - TITLE.height.pitch())),
            Stroke::MEDIUM.filled(Ink::WHITE),
        );
        let mut y = top.y;
        let mut x = top.x;
        for ((lines, width), (_, right)) in self.head.iter().zip(&self.widths).zip(&self.columns) {
            cell(scene, &note, Point::new(x, y), *width, lines, HEAD, *right);
            x += *width;
            if x < top.x + self.widths.iter().copied().sum::<Mm>() {
                scene.line(&note, Point::new(x, y), Point::new(x, corner.y + size.height), Stroke::HAIR);
            }
        }
        y += self.top() - TITLE.height.pitch();
        for (i, (row, wrapped, height)) in self.rows.iter().enumerate().take(rows.end).skip(rows.start) {
            let stroke = if i == rows.start { Stroke::MEDIUM } else { Stroke::HAIR };
            scene.line(&note, Point::new(top.x, y), Point::new(top.x + width, y), stroke);
            let own = row.at.map(field).unwrap_or_default();
            let mut x = top.x;
            let last = [vec![own]];
            let cells = wrapped.iter().chain(&last);
            for ((lines, width), (_, right)) in cells.zip(&self.widths).zip(&self.columns) {
                cell(scene, &row.mark, Point::new(x, y), *width, lines, CELL, *right);
                x += *width;
            }
            y += *height;
        }
    }
}

fn height(lines: usize) -> Mm {
    CELL.height.pitch().times(lines) + mm(0.8)
}

fn cell(
    scene: &mut Scene,
    mark: &Mark,
    corner: Point,
    width: Mm,
    lines: &[String],
    lettering: Lettering,
    right: bool,
) {
    let (x, anchor) = if right { (width - PAD, Anchor::End) } else { (PAD, Anchor::Start) };
    for (i, line) in lines.iter().enumerate() {
        let baseline = corner.y + mm(0.4) + lettering.height.pitch().times(i + 1)
            - lettering.height.capital().scaled(0.38);
        scene.text_at(mark, Point::new(corner.x + x, baseline), line, lettering, anchor, Turn::Level);
    }
}
