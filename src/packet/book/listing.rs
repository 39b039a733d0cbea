//! A table in; its strips out: heads, groups and rows, with boxes to tick by pencil.

use std::rc::Rc;

use super::columns::{self, Columns, GAP, TICKS};
use super::flow::Strip;
use super::lead::{Drawn, Lead};
use super::prose::{self, Lines, QUIET, plain, span};
use crate::draw::lettering::{self, Abridged, Height};
use crate::draw::{Anchor, Area, Extent, Ink, Layer, Lettering, Mark, Mm, Point, Scene, Stroke, Turn, mm};
use crate::packet::table::{Align, Cell, Group, Row, Table};

/// Free space above and below the words of a row.
const PAD: Mm = mm(0.9);
/// Side of a box to tick.
const BOX: Mm = mm(3.4);
/// Free space above and below the words of a group's head.
const GROUND: Mm = mm(0.8);
/// Free space beside them.
const INSET: Mm = mm(1.6);
/// Rows that the signatures under a list take along.
const KEPT: usize = 5;

/// What a table is laid out for.
pub(super) struct Job<'a> {
    pub table: &'a Table,
    /// Its cells, measured.
    pub columns: &'a Columns,
    /// Width of the page's free area.
    pub width: Mm,
    /// Height of the free area of any page but the first.
    pub height: Mm,
    /// Where the things that cells name are drawn.
    pub drawn: &'a Drawn,
}

impl Job<'_> {
    fn indent(&self) -> Mm {
        if self.table.ticked { TICKS } else { Mm::ZERO }
    }

    /// The table's strips: heads again wherever a page begins.
    pub fn strips(&self) -> Vec<Strip> {
        let widths = self.columns.widths(self.width - self.indent());
        let head = self.head(&widths);
        let again = Rc::new(head.clone());
        let mut strips = vec![Strip { holds_next: true, ..head }];
        for rows in self.table.rows.chunk_by(|a, b| a.group == b.group) {
            let mut over = vec![again.clone()];
            if let Some(group) = rows.first().and_then(|r| r.group.as_ref()) {
                strips.extend(self.group(group, &over));
                over.push(Rc::new(self.group_again(group)));
            }
            for (i, row) in rows.iter().enumerate() {
                let from = strips.len();
                self.row(row, &widths, &over, &mut strips);
                let held = rows.get(i + 1).is_some_and(|next| next.part);
                strips.iter_mut().skip(from).for_each(|strip| strip.holds_next |= held);
            }
        }
        if self.table.rows.is_empty() {
            strips.extend(text(&[span("Nothing stands in this list.", QUIET)], self.width));
        }
        strips
    }

    /// Heads of the columns over a rule.
    fn head(&self, widths: &[Mm]) -> Strip {
        let mark = Mark::new(Layer::Note);
        let set = |(column, width): (_, &Mm)| plain(&columns::head(column), QUIET, *width - GAP);
        let heads: Vec<Lines> = self.table.columns.iter().zip(widths).map(set).collect();
        let done = plain("done", QUIET, TICKS);
        let height = heads.iter().map(Lines::height).max().unwrap_or_default().max(done.height());
        let mut scene = Scene::default();
        if self.table.ticked {
            done.draw(&mut scene, &mark, Point::new(Mm::ZERO, height - done.height()));
        }
        let mut x = self.indent();
        for ((lines, column), width) in heads.iter().zip(&self.table.columns).zip(widths) {
            let top = height - lines.height();
            match column.align {
                Align::Start => lines.draw(&mut scene, &mark, Point::new(x, top)),
                Align::End => lines.draw_to(&mut scene, &mark, x + *width - GAP, top),
            }
            x += *width;
        }
        let rule = height + mm(0.9);
        scene.line(&mark, Point::new(Mm::ZERO, rule), Point::new(self.width, rule), Stroke::MEDIUM);
        Strip { scene, height: rule + mm(0.3), ..Strip::default() }
    }

    /// A group's name on a tinted ground, and what holds for all its rows.
    fn group(&self, group: &Group, over: &[Rc<Strip>]) -> Vec<Strip> {
        let title = prose::lay(&[span(&group.title, Lettering::SMALL.bold())], self.inside());
        let said = |(name, said): &(&'static str, String)| {
            prose::lay(&[span(format!("{name}: "), QUIET), span(said, Lettering::SMALL)], self.inside())
        };
        let warned = |words: &String| {
            prose::lay(&[span(format!("CAUTION: {words}"), Lettering::SMALL.bold())], self.inside())
        };
        let cautions = group.cautions.iter().map(warned);
        let all = [title].into_iter().chain(cautions).chain(group.details.iter().map(said));
        let pieces: Vec<Lines> = all.flat_map(|lines| slices(&lines, self.most())).collect();
        let mut strips = vec![Strip::space(mm(2.0))];
        let mut rest = pieces.as_slice();
        while !rest.is_empty() {
            // As many as a page takes; one at least.
            let mut count = 0;
            let fits = |lines: &&Lines| {
                count += lines.count();
                count <= self.most()
            };
            let held = rest.iter().take_while(fits).count().max(1);
            strips.push(self.tinted(rest.get(..held).unwrap_or_default()));
            rest = rest.get(held..).unwrap_or_default();
        }
        for strip in &mut strips {
            strip.holds_next = true;
            strip.again = over.to_vec();
        }
        if let Some(named) = strips.get_mut(1) {
            named.bookmark = Some(group.title.clone());
        }
        strips
    }

    /// In one line, so that what is said again never takes the page.
    fn group_again(&self, group: &Group) -> Strip {
        let more = " (continued)";
        let room = self.inside() - lettering::width(more, QUIET) - mm(2.0);
        let (Abridged::Whole(title) | Abridged::Cut(title)) =
            lettering::abridge(&group.title, Lettering::SMALL.bold(), room);
        let words = [span(title, Lettering::SMALL.bold()), span(more, QUIET)];
        self.tinted(&[prose::lay(&words, self.inside())])
    }

    /// Lines on the ground of a group's head.
    fn tinted(&self, pieces: &[Lines]) -> Strip {
        let height = GROUND * 2 + pieces.iter().map(Lines::height).sum::<Mm>();
        let mut scene = Scene::default();
        let ground = Area::at(Point::default(), Extent::new(self.width, height));
        scene.rect(&Mark::new(Layer::Underlay), ground, Ink::MIST);
        let mut y = GROUND;
        for lines in pieces {
            lines.draw(&mut scene, &Mark::new(Layer::Note), Point::new(INSET, y));
            y += lines.height();
        }
        Strip { scene, height, ..Strip::default() }
    }

    fn inside(&self) -> Mm {
        self.width - INSET * 2
    }

    /// Lines of a row that one page takes beside the heads that are said again.
    fn most(&self) -> usize {
        let pitch = Lettering::SMALL.height.pitch().um().max(1);
        usize::try_from(((self.height - mm(45.0)).um() / pitch).max(1)).unwrap_or(1)
    }

    /// A row over a hair line. One that is higher than a page goes on on the next, line by line.
    fn row(&self, row: &Row, widths: &[Mm], over: &[Rc<Strip>], strips: &mut Vec<Strip>) {
        let mark = Mark::new(Layer::Note);
        let set = |((cell, lettering), width): ((&Cell, Lettering), &Mm)| {
            let width = *width - GAP;
            let under = cell.under.as_deref().map(|under| plain(under, QUIET, width)).unwrap_or_default();
            (plain(&cell.text, lettering, width), under)
        };
        let cells: Vec<(Lines, Lines)> = columns::lettered(row).zip(widths).map(set).collect();
        let lines = cells.iter().map(|(said, under)| said.count() + under.count()).max().unwrap_or(0).max(1);
        let most = self.most();
        let pitch = Lettering::SMALL.height.pitch();
        for from in (0..lines).step_by(most) {
            let count = (lines - from).min(most);
            let mut scene = Scene::default();
            let mut leads = Vec::new();
            let height = PAD * 2 + pitch.times(count);
            if self.table.ticked && !row.part && from == 0 {
                let corner = Point::new(mm(2.0), PAD + (pitch - BOX) / 2 + mm(0.2));
                scene.rect(&mark, Area::at(corner, Extent::new(BOX, BOX)), Stroke::THIN);
            }
            let mut x = self.indent();
            let columns = self.table.columns.iter().zip(widths);
            for (((said, under), cell), (column, width)) in cells.iter().zip(&row.cells).zip(columns) {
                if cell.tick && from == 0 {
                    let corner = Point::new(x, PAD + (pitch - BOX) / 2 + mm(0.2));
                    scene.rect(&mark, Area::at(corner, Extent::new(BOX, BOX)), Stroke::THIN);
                }
                let shown = said.part(from, count);
                let below = under.part(from.saturating_sub(said.count()), count - shown.count());
                for (lines, top) in [(&shown, PAD), (&below, PAD + shown.height())] {
                    match column.align {
                        Align::Start => lines.draw(&mut scene, &mark, Point::new(x, top)),
                        Align::End => lines.draw_to(&mut scene, &mark, x + *width - GAP, top),
                    }
                }
                if let Some(to) = cell.names.as_ref().and_then(|thing| self.drawn.of(thing))
                    && shown.count() > 0
                {
                    let area = Area::at(Point::new(x, PAD), Extent::new(shown.width(), shown.height()));
                    leads.push((area, Lead::To(to)));
                }
                x += *width;
            }
            let hair = Stroke::HAIR.inked(Ink::SLATE);
            scene.line(&mark, Point::new(Mm::ZERO, height), Point::new(self.width, height), hair);
            strips.push(Strip { scene, height, leads, again: over.to_vec(), ..Strip::default() });
        }
    }
}

fn slices(lines: &Lines, most: usize) -> Vec<Lines> {
    (0..lines.count()).step_by(most.max(1)).map(|from| lines.part(from, most)).collect()
}

/// Text over the whole width, a strip a line, so that the longest finds its pages.
pub(super) fn text(words: &[prose::Span], width: Mm) -> Vec<Strip> {
    let lines = prose::lay(words, width);
    let line = |i: usize| {
        let line = lines.part(i, 1);
        let mut scene = Scene::default();
        line.draw(&mut scene, &Mark::new(Layer::Note), Point::default());
        Strip { scene, height: line.height(), ..Strip::default() }
    };
    (0..lines.count()).map(line).collect()
}

/// What is read before the first row.
pub(super) fn lead(lead: &[String], width: Mm) -> Vec<Strip> {
    let bold = Lettering::SMALL.bold();
    let mut strips: Vec<Strip> = lead.iter().flat_map(|words| text(&[span(words, bold)], width)).collect();
    if !strips.is_empty() {
        strips.push(Strip::space(mm(3.0)));
    }
    strips
}

/// Adds what stands under a list: its notes, and lines for whoever worked by it and checked it. They stay with its last rows,
/// so that nobody signs an empty page, nor one that a single row was left over for. `height`: of the free area of a page.
pub(super) fn add_foot(strips: &mut Vec<Strip>, notes: &[String], width: Mm, height: Mm) {
    let notes = notes.iter().flat_map(|note| text(&[span(note, QUIET)], width));
    let foot = [Strip::space(mm(3.0))].into_iter().chain(notes);
    let mut taken = Mm::ZERO;
    let some = strips.iter().rev().take(KEPT).take_while(|strip| {
        taken += strip.height;
        taken <= height / 3
    });
    let kept = strips.len().saturating_sub(some.count().max(1));
    strips.extend(foot);
    for strip in strips.iter_mut().skip(kept) {
        strip.holds_next = true;
    }
    strips.push(signatures(width));
}

fn signatures(width: Mm) -> Strip {
    let mark = Mark::new(Layer::Note);
    let mut scene = Scene::default();
    let (gap, line) = (mm(6.0), mm(15.0));
    let part = (width - gap * 3) / 4;
    let below = line + Height::H2_5.capital() + mm(1.2);
    for (i, who) in ["worked by", "date", "checked by", "date"].into_iter().enumerate() {
        let x = (part + gap).times(i);
        scene.line(&mark, Point::new(x, line), Point::new(x + part, line), Stroke::THIN);
        scene.text_at(&mark, Point::new(x, below), who, QUIET, Anchor::Start, Turn::Level);
    }
    Strip { scene, height: below + mm(1.0), ..Strip::default() }
}

#[cfg(test)]
mod tests {
    use super::super::flow::deal;
    use super::*;

    /// How many strips stand above the signatures on the last page of a list of so many rows.
    fn above(rows: usize, height: f64, notes: &[String]) -> usize {
        let row = |n: usize| {
            let mut scene = Scene::default();
            scene.text(&Mark::new(Layer::Note), Point::default(), &n.to_string(), Lettering::SMALL);
            Strip { scene, height: mm(height), ..Strip::default() }
        };
        let mut strips: Vec<Strip> = (1..=rows).map(row).collect();
        let page = mm(200.0);
        add_foot(&mut strips, notes, mm(180.0), page);
        let pages = deal(&strips, [page; 2]);
        assert_eq!(pages.iter().map(Vec::len).sum::<usize>(), strips.len(), "nothing is lost");
        pages.last().unwrap().len() - 1
    }

    #[test]
    fn the_signatures_are_never_alone() {
        let note = ["a note".to_owned()];
        for rows in 1..=80 {
            assert!(above(rows, 6.0, &[]) >= rows.min(KEPT), "{rows}");
            assert!(above(rows, 6.0, &note) >= rows.min(KEPT), "{rows}");
            // Rows that fill pages take along what a third of a page holds, and one at least.
            assert!(above(rows, 45.0, &note) > 1 && above(rows, 120.0, &[]) > 1, "{rows}");
        }
    }
}
