//! A table and the room for it in; the widths of its columns out, so that as few cells as can be are broken over lines.
//!
//! A cell is taken to break into as many lines as its length goes into the width, a little over; nothing is broken for real
//! here. Costs about as much as the table has cells.

use super::prose::QUIET;
use crate::draw::lettering;
use crate::draw::{Lettering, Mm, mm};
use crate::packet::table::{Align, Cell, Column, Row, Table};

/// Free space right of each column's words.
pub(super) const GAP: Mm = mm(3.0);
/// Column of the boxes to tick, free space included.
pub(super) const TICKS: Mm = mm(11.0);
/// A longer word may be broken.
const LONGEST_WORD: Mm = mm(34.0);
/// Widths that are tried for a column.
const TRIALS: usize = 200;
/// What is lost at the ends of lines: of a long text about a twelfth.
const LOSS: f64 = 13.0 / 12.0;

/// How a table may be laid out.
pub(super) struct Columns {
    columns: Vec<Measured>,
}

/// What stands in a column.
struct Measured {
    /// Its longest word stands whole; of figures, its longest cell.
    least: Mm,
    /// Length of its head. It stands on every page and counts as a few cells.
    head: Mm,
    /// Length of the text and of the line under it, for each row.
    cells: Vec<[Mm; 2]>,
}

impl Columns {
    /// Measures every cell.
    pub fn of(table: &Table) -> Columns {
        let measured = |(i, column): (usize, &Column)| {
            let head = head(column);
            let mut measured =
                Measured { least: word(&head, QUIET), head: lettering::width(&head, QUIET), cells: vec![] };
            for row in &table.rows {
                let Some((cell, lettering)) = lettered(row).nth(i) else { continue };
                let under = cell.under.as_deref().unwrap_or_default();
                let lines = [lettering::width(&cell.text, lettering), lettering::width(under, QUIET)];
                let least = match column.align {
                    Align::End => lines[0].max(word(under, QUIET)),
                    Align::Start => word(&cell.text, lettering).max(word(under, QUIET)),
                };
                measured.least = measured.least.max(least);
                measured.cells.push(lines);
            }
            measured
        };
        Columns { columns: table.columns.iter().enumerate().map(measured).collect() }
    }

    /// Width of each column, free space right of it included; all together as wide as `room`.
    ///
    /// From what each needs at least, room goes to where it saves the most lines for its width, until no more is to be
    /// saved; what is then over goes to all alike.
    pub fn widths(&self, room: Mm) -> Vec<Mm> {
        let least: Mm = self.columns.iter().map(|c| c.least + GAP).sum();
        if least > room {
            return self.columns.iter().map(|c| share(room, c.least + GAP, least)).collect();
        }
        let mut widths: Vec<Mm> = self.columns.iter().map(|c| c.least).collect();
        let mut over = room - least;
        let trials: Vec<Vec<(Mm, u64)>> = self.columns.iter().map(Measured::trials).collect();
        loop {
            let mut best: Option<(f64, usize, Mm)> = None;
            for (i, (trials, now)) in trials.iter().zip(&widths).enumerate() {
                let lines =
                    trials.iter().rev().find(|(width, _)| width <= now).map_or(0, |(_, lines)| *lines);
                for (width, fewer) in trials.iter().filter(|(width, _)| width > now && *width - *now <= over)
                {
                    let saved = lines.saturating_sub(*fewer) as f64 / (*width - *now).as_f64();
                    if saved > best.map_or(0.0, |(most, ..)| most) {
                        best = Some((saved, i, *width));
                    }
                }
            }
            let Some((_, i, width)) = best else { break };
            if let Some(now) = widths.get_mut(i) {
                over -= width - *now;
                *now = width;
            }
        }
        let used: Mm = widths.iter().map(|w| *w + GAP).sum();
        widths.iter().map(|w| *w + GAP + share(over, *w + GAP, used)).collect()
    }

    /// True where the table takes no more pages that lie, on which fewer cells are broken, than pages that stand, or where
    /// words would be broken on these.
    /// `upright` and `lying`: width and height of the room for rows.
    pub fn lie(&self, upright: (Mm, Mm), lying: (Mm, Mm)) -> bool {
        let least: Mm = self.columns.iter().map(|c| c.least + GAP).sum();
        let pages = |(width, height): (Mm, Mm)| {
            self.height(&self.widths(width)).um() as f64 / height.um().max(1) as f64
        };
        let broken =
            self.widths(upright.0).iter().zip(&self.columns).any(|(width, c)| c.is_broken(*width - GAP));
        least > upright.0 || (broken && pages(lying).ceil() <= pages(upright).ceil())
    }

    /// Height of all rows, about.
    fn height(&self, widths: &[Mm]) -> Mm {
        let rows = self.columns.iter().map(|c| c.cells.len()).max().unwrap_or(0);
        let lines = |row: usize| {
            let cells =
                self.columns.iter().zip(widths).filter_map(|(c, width)| Some((c.cells.get(row)?, *width)));
            cells.map(|(cell, width)| lines(cell, width - GAP)).max().unwrap_or(1)
        };
        (0..rows).map(|row| Lettering::SMALL.height.pitch().scaled(lines(row) as f64 + 0.4)).sum()
    }
}

impl Measured {
    /// Whether a cell takes more than its one line, or two where something is said under it.
    fn is_broken(&self, width: Mm) -> bool {
        self.cells.iter().flatten().any(|length| *length > width)
    }

    /// Widths worth trying, from the least, each with the lines that all cells take in it.
    fn trials(&self) -> Vec<(Mm, u64)> {
        let mut lengths: Vec<Mm> = self.cells.iter().flatten().copied().chain([self.head]).collect();
        // Long texts gain by being broken over fewer lines too.
        lengths.extend(self.cells.iter().flatten().flat_map(|l| [2.0, 3.0, 4.0].map(|n| l.scaled(LOSS / n))));
        lengths.retain(|length| *length > self.least);
        lengths.sort_unstable();
        lengths.dedup();
        let step = lengths.len().div_ceil(TRIALS).max(1);
        // The longest is tried whatever the step.
        let tried = lengths.iter().rev().step_by(step).rev().copied();
        let heads = [[self.head, Mm::ZERO]; 3];
        let lines = |width: Mm| self.cells.iter().chain(&heads).map(|cell| lines(cell, width)).sum();
        [self.least].into_iter().chain(tried).map(|width| (width, lines(width))).collect()
    }
}

/// Lines that a cell takes in this width, about.
fn lines(cell: &[Mm; 2], width: Mm) -> u64 {
    let of = |length: Mm| match length {
        Mm::ZERO => 0,
        length if length <= width => 1,
        length => (length.as_f64() * LOSS / width.as_f64().max(0.001)).ceil().max(2.0) as u64,
    };
    cell.iter().copied().map(of).sum()
}

/// `part` of `whole`, of what is to be shared out.
fn share(shared: Mm, part: Mm, whole: Mm) -> Mm {
    let um = i128::from(shared.um()) * i128::from(part.um()) / i128::from(whole.um().max(1));
    Mm::from_um(i64::try_from(um).unwrap_or(0))
}

/// The cells of a row with their lettering: the first that names a thing, what the row is called by, is bold.
pub(super) fn lettered(row: &Row) -> impl Iterator<Item = (&Cell, Lettering)> {
    let name = row.cells.iter().position(|cell| cell.names.is_some());
    let of = move |i: usize| if Some(i) == name { Lettering::SMALL.bold() } else { Lettering::SMALL };
    row.cells.iter().enumerate().map(move |(i, cell)| (cell, of(i)))
}

/// Width of the longest word, or of as much of it as is kept whole.
fn word(text: &str, lettering: Lettering) -> Mm {
    let words = text.split_whitespace().map(|w| lettering::width(w, lettering));
    words.max().unwrap_or_default().min(LONGEST_WORD)
}

/// What stands over a column: its name and its unit.
pub(super) fn head(column: &Column) -> String {
    match column.unit {
        Some(unit) => format!("{} ({unit})", column.head),
        None => column.head.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn table(rows: &[[&str; 3]]) -> Table {
        let row = |cells: &[&str; 3]| Row {
            key: String::new(),
            about: vec![],
            cells: cells.map(Cell::from).to_vec(),
            record: vec![],
            group: None,
            part: false,
        };
        Table {
            name: "t",
            title: "T",
            purpose: "",
            lead: vec![],
            ticked: true,
            columns: vec![
                Column::words("mark", 20),
                Column::figures("length", Some("mm"), 20),
                Column::words("remark", 60),
            ],
            rows: rows.iter().map(row).collect(),
            record_heads: vec![],
            notes: vec![],
        }
    }

    #[test]
    fn columns_fill_the_room_and_long_texts_get_most_of_it() {
        let long =
            "a remark that goes on for much longer than any of the other cells and then some more of it";
        let columns = Columns::of(&table(&[["E1A20", "1035", long], ["E2A20", "5", ""]]));
        for room in [mm(65.0), mm(120.0), mm(250.0)] {
            let widths = columns.widths(room);
            let all: Mm = widths.iter().copied().sum();
            assert!(all <= room && all > room - mm(0.01), "{all}");
            let whole = lettering::width("E1A20", Lettering::SMALL);
            assert!(widths[2] > widths[0] && widths[0] >= whole, "{widths:?}");
        }
    }

    #[test]
    fn no_figure_is_broken_where_there_is_room() {
        let columns =
            Columns::of(&table(&[["a b c d e f g", "1 234 567 890.25", "c d e f g h i j k l m n"]]));
        let whole = lettering::width("1 234 567 890.25", Lettering::SMALL);
        assert!(columns.widths(mm(70.0))[1] >= whole + GAP);
    }

    #[test]
    fn a_little_room_goes_to_where_it_saves_many_lines() {
        // Seven rows whose first cell lacks a millimetre; one row with a very long remark.
        let long = "word ".repeat(60);
        let mut rows = vec![["mark one two", "1", ""]; 7];
        rows.push(["m", "1", &long]);
        let columns = Columns::of(&table(&rows));
        assert!(columns.widths(mm(90.0))[0] >= lettering::width("mark one two", Lettering::SMALL) + GAP);
    }

    #[test]
    fn a_table_lies_where_it_saves_pages() {
        let long = "a remark of middling length that stands in one line on a page that lies";
        let rows = vec![["E1A20", "1035", long]; 60];
        let (upright, lying) = ((mm(80.0), mm(200.0)), (mm(200.0), mm(120.0)));
        assert!(Columns::of(&table(&rows)).lie(upright, lying));
        assert!(!Columns::of(&table(&vec![["E1A20", "1035", ""]; 60])).lie(upright, lying));
    }

    #[test]
    fn a_table_without_rows_or_room_does_no_harm() {
        assert_eq!(Columns::of(&table(&[])).widths(Mm::ZERO).len(), 3);
        assert_eq!(Columns::of(&table(&[["a", "b", "c"]])).widths(mm(-5.0)).len(), 3);
    }
}
