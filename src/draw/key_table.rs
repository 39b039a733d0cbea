//! Rows of text in; a light table out that explains the numbers in a picture: no box, a rule under the heads, thin rules
//! between the rows, in as many columns of rows as asked for.

use std::ops::Range;

use super::geometry::{Extent, Mm, Point, mm};
use super::insulation::Insulation;
use super::lettering::{self, Lettering};
use super::mark::{Layer, Mark};
use super::palette::Ink;
use super::scene::{Anchor, Scene, Turn};
use super::stroke::Stroke;
use super::wire_end;

const CELL: Lettering = Lettering::SMALL;
const HEAD: Lettering = Lettering::SMALL.inked(Ink::SLATE);
/// Free space right of each column.
const PAD: Mm = mm(2.4);
/// Free space between two columns of rows.
const GAP: Mm = mm(8.0);
/// Room for a sample disc before its letters.
const SAMPLE: Mm = mm(5.0);
const RADIUS: Mm = mm(1.7);
/// Rows that are not worth parting.
const FEW: usize = 6;

/// How a cell is lettered.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Regular, from the left.
    Words,
    /// Bold, from the left.
    Name,
    /// Bold, to the right.
    Number,
    /// Letters of a colour with a disc of it before them.
    Colour,
}

/// One row.
#[derive(Clone, Debug)]
pub struct Row {
    /// What it is about.
    pub mark: Mark,
    /// Colours of the disc in its column of that kind.
    pub insulation: Insulation,
    /// One for each column; one that is alone goes over all of them.
    pub cells: Vec<String>,
}

#[derive(Clone, Debug)]
struct Wrapped {
    row: Row,
    cells: Vec<Vec<String>>,
    height: Mm,
}

/// A table, measured.
#[derive(Clone, Debug)]
pub struct KeyTable {
    columns: Vec<(&'static str, Kind)>,
    widths: Vec<Mm>,
    rows: Vec<Wrapped>,
}

impl KeyTable {
    /// A table no wider than `most` if words can be broken so; a column is never wider than its longest cell.
    pub fn new(columns: &[(&'static str, Kind)], rows: Vec<Row>, most: Mm) -> KeyTable {
        let natural = |(i, (head, kind)): (usize, &(&'static str, Kind))| {
            let cells = rows.iter().filter(|r| r.cells.len() > 1).filter_map(|r| r.cells.get(i));
            let cells = cells.map(|c| lettering::width(c, of(*kind)) + before(*kind));
            cells.chain([lettering::width(head, HEAD)]).max().unwrap_or_default()
        };
        let mut widths: Vec<Mm> = columns.iter().enumerate().map(natural).collect();
        let room = most - PAD.times(columns.len().saturating_sub(1));
        narrow(&mut widths, columns, room);
        let mut table = KeyTable { columns: columns.to_vec(), widths, rows: Vec::new() };
        table.rows = rows.into_iter().map(|row| table.wrapped(row)).collect();
        table
    }

    fn wrapped(&self, row: Row) -> Wrapped {
        let alone = row.cells.len() == 1;
        let one = |(i, cell): (usize, &String)| {
            let (kind, width) = match (alone, self.columns.get(i), self.widths.get(i)) {
                (false, Some((_, kind)), Some(width)) => (*kind, *width),
                _ => (Kind::Words, self.width()),
            };
            lettering::wrap(cell, of(kind), width - before(kind))
        };
        let cells: Vec<Vec<String>> = row.cells.iter().enumerate().map(one).collect();
        let lines = cells.iter().map(Vec::len).max().unwrap_or(1).max(1);
        Wrapped { row, height: CELL.height.pitch().times(lines) + mm(0.9), cells }
    }

    /// Width of one column of rows.
    pub fn width(&self) -> Mm {
        self.widths.iter().copied().sum::<Mm>() + PAD.times(self.widths.len().saturating_sub(1))
    }

    /// Columns of rows that stand side by side in this width; a few rows stay together.
    pub fn abreast(&self, width: Mm) -> usize {
        (1..=self.rows.len().div_ceil(FEW).max(1)).rev().find(|n| self.size(*n).width <= width).unwrap_or(1)
    }

    /// Size of the table in this many columns of rows.
    pub fn size(&self, abreast: usize) -> Extent {
        if self.rows.is_empty() {
            return Extent::default();
        }
        let parts = self.parts(abreast);
        let height = |part: &Range<usize>| self.rows_in(part).map(|r| r.height).sum::<Mm>();
        let tallest = parts.iter().map(height).max().unwrap_or_default();
        let gaps = GAP.times(parts.len().saturating_sub(1));
        Extent::new(self.width().times(parts.len()) + gaps, self.top() + tallest)
    }

    /// Room of the heads; none where no column has one.
    fn top(&self) -> Mm {
        if self.columns.iter().all(|(head, _)| head.is_empty()) {
            return Mm::ZERO;
        }
        HEAD.height.pitch() + mm(0.6)
    }

    fn rows_in(&self, part: &Range<usize>) -> impl Iterator<Item = &Wrapped> {
        self.rows.iter().take(part.end).skip(part.start)
    }

    /// Rows shared out so that the columns are about as high as each other, none higher than the first.
    fn parts(&self, abreast: usize) -> Vec<Range<usize>> {
        let all: Mm = self.rows.iter().map(|r| r.height).sum();
        let share = Mm::from_um(all.um() / i64::try_from(abreast.max(1)).unwrap_or(1));
        let mut parts = Vec::new();
        let (mut start, mut used) = (0, Mm::ZERO);
        for (i, row) in self.rows.iter().enumerate() {
            if used >= share && parts.len() + 1 < abreast {
                parts.push(start..i);
                (start, used) = (i, Mm::ZERO);
            }
            used += row.height;
        }
        parts.push(start..self.rows.len());
        parts
    }

    /// Draws it with its upper left corner at `corner`.
    pub fn draw(&self, scene: &mut Scene, corner: Point, abreast: usize) {
        if self.rows.is_empty() {
            return;
        }
        let note = Mark::new(Layer::Note);
        for (n, part) in self.parts(abreast).into_iter().enumerate() {
            let left = corner.x + (self.width() + GAP).times(n);
            let mut x = left;
            for ((head, kind), width) in self.columns.iter().zip(&self.widths) {
                let (at, anchor) =
                    if *kind == Kind::Number { (x + *width, Anchor::End) } else { (x, Anchor::Start) };
                let baseline = Point::new(at, corner.y + HEAD.height.capital());
                scene.text_at(&note, baseline, head, HEAD, anchor, Turn::Level);
                x += *width + PAD;
            }
            let mut y = corner.y + self.top();
            for (i, row) in self.rows_in(&part).enumerate() {
                let stroke = if i == 0 { Stroke::MEDIUM } else { Stroke::HAIR.inked(Ink::SLATE) };
                scene.line(&note, Point::new(left, y), Point::new(left + self.width(), y), stroke);
                self.draw_row(scene, Point::new(left, y), row);
                y += row.height;
            }
        }
    }

    fn draw_row(&self, scene: &mut Scene, corner: Point, row: &Wrapped) {
        let mark = row.row.mark.on(Layer::Note);
        let alone = row.cells.len() == 1;
        let mut x = corner.x;
        for ((lines, (_, kind)), width) in row.cells.iter().zip(&self.columns).zip(&self.widths) {
            let kind = if alone { Kind::Words } else { *kind };
            let (at, anchor) = match kind {
                Kind::Number => (x + *width, Anchor::End),
                _ => (x + before(kind), Anchor::Start),
            };
            let first = corner.y + mm(0.45) + CELL.height.pitch() - CELL.height.capital().scaled(0.36);
            scene.text_lines(&mark, Point::new(at, first), lines, of(kind), anchor);
            if kind == Kind::Colour && !lines.is_empty() {
                let centre = Point::new(x + RADIUS, first - CELL.height.capital() / 2);
                wire_end::draw(scene, &mark, centre, RADIUS, row.row.insulation, &[]);
            }
            x += *width + PAD;
        }
    }
}

/// Takes width from the widest columns of plain words and names, until all fit or none can give any.
fn narrow(widths: &mut [Mm], columns: &[(&'static str, Kind)], room: Mm) {
    const FLOOR: Mm = mm(15.0);
    loop {
        let over = widths.iter().copied().sum::<Mm>() - room;
        let wide =
            widths.iter_mut().zip(columns).filter(|(_, (_, kind))| matches!(kind, Kind::Words | Kind::Name));
        let widest = wide.map(|(w, _)| w).max_by_key(|w| **w);
        match widest {
            Some(width) if over > Mm::ZERO && *width > FLOOR => {
                *width = (*width - over.min(mm(2.0))).max(FLOOR)
            }
            _ => return,
        }
    }
}

fn of(kind: Kind) -> Lettering {
    match kind {
        Kind::Words | Kind::Colour => CELL,
        Kind::Name | Kind::Number => CELL.bold(),
    }
}

fn before(kind: Kind) -> Mm {
    if kind == Kind::Colour { SAMPLE } else { Mm::ZERO }
}
