//! Heading, findings and contents in; the strips of the cover out.

use super::flow::Strip;
use super::larger;
use super::lead::Lead;
use super::listing::text;
use super::prose::{self, QUIET, plain, span};
use crate::diag::Severity;
use crate::draw::graduation;
use crate::draw::lettering::{self, Height};
use crate::draw::{
    Anchor, Area, Extent, Ink, Layer, Lettering, Mark, Mm, Paper, Point, Scene, Stroke, Turn, mm,
};
use crate::packet::cautions::CAUTIONS;
use crate::packet::papers::Papers;

/// A line of the contents.
#[derive(Clone, Debug)]
pub(super) struct Entry {
    /// What it is.
    pub title: String,
    /// Size of its pages.
    pub size: String,
    /// Its first page in the book, from 1; None where it is not in the book.
    pub page: Option<usize>,
    /// The part of the book, from 0.
    pub part: usize,
    /// What kind of thing begins here; empty where the kind is the one of the entry before.
    pub kind: &'static str,
}

/// Free space between the sections of the cover.
pub(super) const WIDE: Mm = mm(5.5);
/// The least of it.
pub(super) const CLOSE: Mm = mm(2.5);

/// All strips, for pages with a free area of this width; `gap` is free between sections.
pub(super) fn strips(papers: &Papers<'_>, paper: Paper, entries: &[Entry], width: Mm, gap: Mm) -> Vec<Strip> {
    let space = || Strip::space(gap);
    let mut strips = head(papers, width);
    strips.push(space());
    strips.extend(cautions(papers, width));
    strips.push(space());
    strips.extend(score(papers, width));
    strips.push(space());
    strips.extend(contents(entries, width));
    if let Some(told) = larger::words(papers, paper) {
        strips.push(space());
        strips.extend(text(&[span(told, Lettering::SMALL)], width));
    }
    let last = strips.len();
    strips.push(space());
    strips.push(print(paper, width));
    strips.push(space());
    // Both stand together, so that no page is there for the last line alone.
    for strip in strips.iter_mut().skip(last) {
        strip.holds_next = true;
    }
    let made = format!("Made by {} from {}.", papers.made_by(), papers.inputs_line());
    strips.extend(text(&[span(made, QUIET)], width));
    strips
}

fn heading(words: &str, width: Mm) -> Strip {
    let lines = plain(words, Lettering::PLAIN.bold(), width);
    let mut scene = Scene::default();
    lines.draw(&mut scene, &Mark::new(Layer::Note), Point::default());
    Strip { scene, height: lines.height() + mm(1.0), holds_next: true, ..Strip::default() }
}

fn head(papers: &Papers<'_>, width: Mm) -> Vec<Strip> {
    let heading = &papers.heading;
    let largest = Lettering::regular(Height::H10).bold();
    let title = lettering::fit(&heading.title, largest, width, 1, Height::H7);
    let mut strips = text(&[span("Drawing book", QUIET)], width);
    strips.extend(text(&[span(&heading.title, title.lettering)], width));
    if let Some(machine) = heading.particular("for") {
        strips.extend(text(&[span(machine, Lettering::LARGE)], width));
    }
    strips.push(Strip::space(mm(4.0)));
    strips.extend(particulars(papers, width));
    strips
}

/// Number, revision, owner, day of issue, supply: each under its name, in a row, or in more where they are long.
fn particulars(papers: &Papers<'_>, width: Mm) -> Vec<Strip> {
    let heading = &papers.heading;
    let mut said = vec![("drawing number", heading.drawing.as_str())];
    if let Some(revision) = &heading.revision {
        said.push(("revision", revision));
    }
    said.extend(
        heading
            .particulars
            .iter()
            .filter(|(name, _)| *name != "for")
            .map(|(name, value)| (if *name == "owner" { "legal owner" } else { *name }, value.as_str())),
    );
    let mark = Mark::new(Layer::Note);
    let gap = mm(8.0);
    let mut strips: Vec<Strip> = Vec::new();
    // Where the open row ends; None where none is open.
    let mut end: Option<Mm> = None;
    for (name, value) in said {
        let lines = plain(value, Lettering::PLAIN, width);
        if lines.count() > 1 {
            strips.extend(text(&[span(name, QUIET)], width));
            strips.extend(text(&[span(value, Lettering::PLAIN)], width));
            end = None;
            continue;
        }
        let taken = lines.width().max(lettering::width(name, QUIET));
        let x = match end {
            Some(end) if end + gap + taken <= width => end + gap,
            _ => {
                strips.push(Strip::default());
                Mm::ZERO
            }
        };
        let Some(row) = strips.last_mut() else { continue };
        plain(name, QUIET, width).draw(&mut row.scene, &mark, Point::new(x, Mm::ZERO));
        lines.draw(&mut row.scene, &mark, Point::new(x, QUIET.height.pitch()));
        row.height = row.height.max(QUIET.height.pitch() + lines.height() + mm(1.5));
        end = Some(x + taken);
    }
    strips
}

/// Behind a bar, as on the page.
pub(super) fn cautions(papers: &Papers<'_>, width: Mm) -> Vec<Strip> {
    let mark = Mark::new(Layer::Note);
    let indent = mm(5.0);
    let remark = papers.heading.remark.iter().map(|remark| (remark.as_str(), Lettering::SMALL.bold()));
    let cautions = CAUTIONS.iter().map(|caution| (*caution, Lettering::SMALL));
    let barred = |(words, lettering): (&str, Lettering)| {
        let lines = plain(words, lettering, width - indent);
        let one = |i: usize| {
            let line = lines.part(i, 1);
            let gap = if i + 1 == lines.count() { mm(0.8) } else { Mm::ZERO };
            let height = line.height() + gap;
            let mut scene = Scene::default();
            let x = Stroke::BAR.width.width() / 2;
            scene.line(&mark, Point::new(x, Mm::ZERO), Point::new(x, height), Stroke::BAR);
            line.draw(&mut scene, &mark, Point::new(indent, Mm::ZERO));
            Strip { scene, height, ..Strip::default() }
        };
        (0..lines.count()).map(one).collect::<Vec<_>>()
    };
    remark.chain(cautions).flat_map(barred).collect()
}

/// How many findings of each weight and how many rules of each outcome, as figures over their names.
fn score(papers: &Papers<'_>, width: Mm) -> Vec<Strip> {
    let mark = Mark::new(Layer::Note);
    let count =
        |severity| papers.findings.iter().filter(|f| f.waived.is_none() && f.severity == severity).count();
    let waived = papers.findings.iter().filter(|f| f.waived.is_some()).count();
    let rules = papers.score.count;
    let groups: [(&str, Vec<(&str, usize)>); 2] = [
        (
            "Findings",
            vec![
                (Severity::Stop.word(), count(Severity::Stop)),
                (Severity::Doubt.word(), count(Severity::Doubt)),
                (Severity::Note.word(), count(Severity::Note)),
                ("waived", waived),
            ],
        ),
        (
            "Rules",
            vec![
                ("passed", rules.passed),
                ("failed", rules.failed),
                ("waived", rules.waived),
                ("not judged", rules.not_judged),
            ],
        ),
    ];
    let mut scene = Scene::default();
    let column = width / 8;
    let figures = heading("x", width).height;
    let names = figures + mm(9.5);
    for (g, (title, counts)) in groups.into_iter().enumerate() {
        let left = column.times(g * 4);
        plain(title, Lettering::PLAIN.bold(), width).draw(&mut scene, &mark, Point::new(left, Mm::ZERO));
        for (i, (name, number)) in counts.into_iter().enumerate() {
            let at = Point::new(left + column.times(i), figures + mm(6.5));
            let lettering =
                if number == 0 { Lettering::LARGE.inked(Ink::SLATE) } else { Lettering::LARGE.bold() };
            let alarming = name == Severity::Stop.word() && number > 0;
            let lettering = if alarming { lettering.inked(Ink::ALARM) } else { lettering };
            scene.text(&mark, at, &number.to_string(), lettering);
            plain(name, QUIET, column - mm(1.0)).draw(&mut scene, &mark, Point::new(at.x, names - mm(1.5)));
        }
    }
    let numbers = Strip { scene, height: names + QUIET.height.pitch(), ..Strip::default() };
    vec![numbers]
}

fn contents(entries: &[Entry], width: Mm) -> Vec<Strip> {
    let mark = Mark::new(Layer::Note);
    let mut strips = vec![heading("Contents", width)];
    let (kind, size) = (mm(27.0), width - mm(45.0));
    for entry in entries {
        let mut scene = Scene::default();
        let title = plain(&entry.title, Lettering::SMALL, size - kind - mm(3.0));
        let top = mm(0.6);
        let height = title.height().max(Height::H2_5.pitch()) + mm(1.2);
        plain(entry.kind, QUIET, kind).draw(&mut scene, &mark, Point::new(Mm::ZERO, top));
        title.draw(&mut scene, &mark, Point::new(kind, top));
        plain(&entry.size, QUIET, mm(32.0)).draw(&mut scene, &mark, Point::new(size, top));
        let page = entry.page.map_or_else(|| "–".to_owned(), |page| page.to_string());
        plain(&page, Lettering::SMALL.bold(), width).draw_to(&mut scene, &mark, width, top);
        let from = if entry.kind.is_empty() { kind } else { Mm::ZERO };
        scene.line(
            &mark,
            Point::new(from, Mm::ZERO),
            Point::new(width, Mm::ZERO),
            Stroke::HAIR.inked(Ink::SLATE),
        );
        let area = Area::at(Point::new(kind, Mm::ZERO), Extent::new(width - kind, height));
        let leads = entry.page.map(|_| (area, Lead::Part(entry.part))).into_iter().collect();
        strips.push(Strip { scene, height, leads, ..Strip::default() });
    }
    strips
}

/// How the book is printed, over a line to measure.
fn print(paper: Paper, width: Mm) -> Strip {
    let mark = Mark::new(Layer::Note);
    let words = format!(
        "Print at 100 %, never fitted to the page. Lists and boards in pages are for {} paper; a drawing's page has the size of its sheet. Every \
         sheet and this page carry a line of {} mm: measure it on the print before anything else. Where it is not {} mm \
         long, nothing on that print is true to scale.",
        paper.word(),
        graduation::LENGTH,
        graduation::LENGTH,
    );
    let lines = prose::lay(&[span(words, Lettering::SMALL)], width);
    let mut scene = Scene::default();
    lines.draw(&mut scene, &mark, Point::default());
    let measure = measure();
    scene.place(&measure.scene, Mm::ZERO, lines.height());
    Strip { scene, height: lines.height() + measure.height, ..Strip::default() }
}

/// A line to measure, and how long it is.
pub(super) fn measure() -> Strip {
    let mark = Mark::new(Layer::Note);
    let mut scene = Scene::default();
    let y = mm(6.0);
    ruler(&mut scene, &mark, Point::new(Mm::ZERO, y));
    let at = Point::new(graduation::LENGTH + mm(3.0), y);
    let words = format!("{} mm", graduation::LENGTH);
    scene.text_at(&mark, at, &words, Lettering::SMALL, Anchor::Start, Turn::Level);
    Strip { scene, height: y + mm(2.0), ..Strip::default() }
}

/// A line of 100 mm with a mark every 10 mm, from `start` to the right.
fn ruler(scene: &mut Scene, mark: &Mark, start: Point) {
    let steps = 10;
    scene.line(mark, start, start.by(graduation::LENGTH, Mm::ZERO), Stroke::WIDE);
    for i in 0..=steps {
        let at = start.by(graduation::LENGTH / steps * i, Mm::ZERO);
        let height = if i % 5 == 0 { mm(4.0) } else { mm(2.0) };
        scene.line(mark, at, at.by(Mm::ZERO, -height), Stroke::WIDE);
    }
}
