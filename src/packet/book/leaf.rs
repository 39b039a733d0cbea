//! One page of paper: frame, banner, heading and title fields around a free area that strips are dealt into.

use super::flow::{Placed, Strip, deal};
use super::lead::Lead;
use super::prose::{self, Lines, QUIET, plain, span};
use crate::draw::field::{self, Field, row_height};
use crate::draw::lettering::{self, Abridged};
use crate::draw::{Area, Extent, Ink, Layer, Lettering, Mark, Mm, Point, Scene, Stroke, mm};
use crate::packet::cautions::RUNNING;
use crate::packet::papers::Papers;

/// Filing edge on the left, as on the sheets of the drawings (ISO 5457).
const FILING_EDGE: Mm = mm(20.0);
/// Border on the other sides.
const BORDER: Mm = mm(10.0);
/// Free space inside the frame.
const MARGIN: Mm = mm(5.0);
const PAD: Mm = mm(1.6);

/// What all pages of one part of the book have in common.
pub(super) struct Form<'a> {
    pub papers: &'a Papers<'a>,
    /// Size of its pages.
    pub size: Extent,
    /// What the part is called; empty for the cover, which has no heading.
    pub title: &'a str,
    /// What is said under the heading of its first page.
    pub purpose: &'a str,
}

/// A page before its number is known.
#[derive(Clone, Debug)]
pub(super) struct Leaf {
    /// All but frame and fields.
    pub scene: Scene,
    /// What leads elsewhere.
    pub leads: Vec<(Area, Lead)>,
    /// What the outline names, and where.
    pub bookmarks: Vec<(String, Point)>,
}

impl Form<'_> {
    fn frame(&self) -> Area {
        Area::between(
            Point::new(FILING_EDGE, BORDER),
            Point::new(self.size.width - BORDER, self.size.height - BORDER),
        )
    }

    /// Width of the free area.
    pub fn width(&self) -> Mm {
        self.frame().width() - MARGIN * 2
    }

    /// Height of the free area of a page: of the first, and of all others.
    pub fn room(&self) -> [Mm; 2] {
        let bottom = self.foot(0, 0).min.y - MARGIN;
        [true, false].map(|first| (bottom - self.top(first)).max(Mm::ZERO))
    }

    fn banner(&self) -> Option<(Area, Lines)> {
        let words = self.papers.banner.as_deref()?;
        let frame = self.frame();
        let lettering = Lettering::PLAIN.bold().inked(Ink::ALARM);
        let lines = plain(words, lettering, frame.width() - MARGIN * 2);
        Some((Area::at(frame.min, Extent::new(frame.width(), lines.height() + mm(6.0))), lines))
    }

    fn heading(&self, first: bool) -> (Lines, Lines) {
        if self.title.is_empty() {
            return (Lines::default(), Lines::default());
        }
        let title = plain(self.title, Lettering::LARGE.bold(), self.width() - mm(40.0));
        let purpose = if first { plain(self.purpose, QUIET, self.width()) } else { Lines::default() };
        (title, purpose)
    }

    /// Where the free area begins.
    fn top(&self, first: bool) -> Mm {
        let above = self.banner().map_or(self.frame().min.y, |(area, _)| area.max.y);
        let (title, purpose) = self.heading(first);
        let below = if title.count() > 0 { mm(3.0) } else { Mm::ZERO };
        above + MARGIN + title.height() + purpose.height() + below
    }

    /// Deals strips onto as many pages as they take.
    pub fn fill(&self, strips: &[Strip]) -> Vec<Leaf> {
        let pages = deal(strips, self.room());
        let count = pages.len();
        pages.iter().enumerate().map(|(i, placed)| self.leaf(placed, i + 1, count)).collect()
    }

    fn leaf(&self, placed: &[Placed<'_>], number: usize, count: usize) -> Leaf {
        let mark = Mark::new(Layer::Note);
        let first = number == 1;
        let mut scene = Scene::new(self.size);
        scene.rect(&Mark::new(Layer::Paper), Area::at(Point::default(), self.size), Ink::WHITE);
        let top = self.top(first);
        let corner = Point::new(self.frame().min.x + MARGIN, top);
        let (title, purpose) = self.heading(first);
        let mut head =
            Point::new(corner.x, self.banner().map_or(self.frame().min.y, |(a, _)| a.max.y) + MARGIN);
        title.draw(&mut scene, &mark, head);
        if count > 1 && title.count() > 0 {
            let sheet = plain(&format!("sheet {number} of {count}"), QUIET, self.width());
            sheet.draw_to(
                &mut scene,
                &mark,
                corner.x + self.width(),
                head.y + title.height() - sheet.height(),
            );
        }
        head = head.by(Mm::ZERO, title.height());
        purpose.draw(&mut scene, &mark, head);
        let (mut leads, mut bookmarks) = (Vec::new(), Vec::new());
        for Placed { strip, corner: at } in placed {
            let at = corner.by(at.x, at.y);
            scene.place(&strip.scene, at.x, at.y);
            let moved = |area: &Area| Area { min: area.min.by(at.x, at.y), max: area.max.by(at.x, at.y) };
            leads.extend(strip.leads.iter().map(|(area, lead)| (moved(area), lead.clone())));
            bookmarks.extend(strip.bookmark.iter().map(|words| (words.clone(), at)));
        }
        Leaf { scene, leads, bookmarks }
    }

    /// The page with frame, banner and fields, when its number in the book is known.
    pub fn finish(&self, leaf: &Leaf, page: usize, pages: usize) -> Scene {
        let mut scene = leaf.scene.clone();
        let mark = Mark::new(Layer::Frame);
        let frame = self.frame();
        scene.title = self.papers.heading.line();
        scene.caution = RUNNING.to_owned();
        scene.frame = Some(frame);
        let area = self.foot(page, pages);
        scene.reserved.push(area);
        let caution = self.caution();
        let edge = Point::new(area.max.x, area.min.y);
        scene.line(&mark, area.min, edge, Stroke::FRAME);
        caution.draw(&mut scene, &mark, area.min.by(PAD, PAD / 2));
        let below = area.min.by(Mm::ZERO, caution.height() + PAD);
        scene.line(&mark, below, Point::new(area.max.x, below.y), Stroke::MEDIUM);
        field::draw_row(&mut scene, &mark, &self.fields(page, pages), below);
        if let Some((area, lines)) = self.banner() {
            scene.reserved.push(area);
            scene.rect(&mark, area.grown(-mm(1.2)), Stroke::FRAME.inked(Ink::ALARM));
            lines.draw(&mut scene, &mark, area.min.by(MARGIN, mm(2.6)));
            scene.line(&mark, Point::new(area.min.x, area.max.y), area.max, Stroke::FRAME);
        }
        scene.rect(&mark, frame, Stroke::FRAME);
        scene
    }

    fn caution(&self) -> Lines {
        prose::lay(&[span(format!("⚠ {RUNNING}"), Lettering::SMALL)], self.frame().width() - PAD * 2)
    }

    /// The strip of fields along the foot, caution included.
    fn foot(&self, page: usize, pages: usize) -> Area {
        let frame = self.frame();
        let height = self.caution().height() + PAD + row_height(&self.fields(page, pages));
        Area::between(Point::new(frame.min.x, frame.max.y - height), frame.max)
    }

    /// By ISO 7200, as far as a list needs them.
    fn fields(&self, page: usize, pages: usize) -> Vec<Field> {
        let heading = &self.papers.heading;
        let plain = Lettering::SMALL;
        let name = Lettering::PLAIN.bold();
        let frame = self.frame().width();
        let (owner, number, revision, sheet) = (frame.scaled(0.28), mm(38.0), mm(14.0), mm(25.0));
        let title = frame - owner - number - revision - sheet;
        let owned = heading.particular("owner").unwrap_or_default();
        let revised = heading.revision.as_deref().unwrap_or_default();
        vec![
            Field::new(owner, "Legal owner", &brief(owned, owner), plain),
            Field::new(title, "Title", &brief(&heading.title, title), name),
            Field::new(number, "Drawing number", &brief(&heading.drawing, number), name),
            Field::new(revision, "Rev.", &brief(revised, revision), name),
            Field::new(sheet, "Page of book", &format!("{page}/{pages}"), name),
        ]
    }
}

/// As much of a text as a field of this width takes in two lines. The cover says all of it.
fn brief(words: &str, width: Mm) -> String {
    // More letters than any field takes: every page asks, and the text may be a book of its own.
    let begin: String = words.chars().take(400).collect();
    let (Abridged::Whole(words) | Abridged::Cut(words)) =
        lettering::abridge(&begin, Lettering::SMALL.bold(), (width - PAD * 2).scaled(1.5));
    words
}
