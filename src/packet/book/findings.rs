//! Findings and what could not be judged in; their strips out, each finding behind a bar as heavy as it is.

use super::columns::Columns;
use super::flow::Strip;
use super::lead::Drawn;
use super::listing::{Job, text};
use super::prose::{self, QUIET, Span, span, ticked};
use crate::diag::{Finding, Severity, text as summary};
use crate::draw::{Ink, Layer, Lettering, Mark, Mm, Point, Scene, Stroke, mm};
use crate::packet::papers::{NotJudged, Papers};
use crate::packet::places::{Place, places};
use crate::packet::table::{Cell, Column, Row, Table};

/// From the bar to the words.
const INDENT: Mm = mm(5.0);

/// Findings in a sentence: how many of each weight, and how the rules went.
pub(super) fn score(papers: &Papers<'_>) -> String {
    let found = if papers.findings.is_empty() {
        "Nothing was found".to_owned()
    } else {
        summary::summary(papers.findings)
    };
    format!("{found}. {}.", papers.score.words())
}

/// All strips, on a page with a free area of this width and height.
pub(super) fn strips(papers: &Papers<'_>, width: Mm, height: Mm) -> Vec<Strip> {
    let mut strips = text(&[span(score(papers), Lettering::SMALL)], width);
    strips.push(Strip::space(mm(4.0)));
    for finding in papers.findings {
        article(finding, papers, width, &mut strips);
    }
    if !papers.score.not_judged.is_empty() {
        let table = not_judged(&papers.score.not_judged);
        strips.push(Strip::space(mm(4.0)));
        let title = [span("Not judged, because the spec does not say enough", Lettering::PLAIN.bold())];
        let named = |strip| Strip { holds_next: true, bookmark: Some("Not judged".to_owned()), ..strip };
        strips.extend(text(&title, width).into_iter().map(named));
        strips.push(Strip { holds_next: true, ..Strip::space(mm(2.0)) });
        let drawn = Drawn::default();
        let columns = Columns::of(&table);
        let job = Job { table: &table, columns: &columns, width, height, drawn: &drawn };
        strips.extend(job.strips());
    }
    strips
}

fn article(finding: &Finding, papers: &Papers<'_>, width: Mm, strips: &mut Vec<Strip>) {
    let waived = finding.waived.is_some();
    let ink = if finding.severity == Severity::Stop && !waived { Ink::ALARM } else { Ink::BLACK };
    let weight = Lettering::SMALL.bold().inked(ink);
    let word = finding.severity.word();
    let word = if waived { format!("{word}, waived") } else { word.to_owned() };
    let bar = match finding.severity {
        _ if waived => Stroke::THIN,
        Severity::Stop => Stroke::BAR,
        Severity::Doubt => Stroke::WIDE,
        Severity::Note => Stroke::THIN,
    };
    let bar = bar.inked(ink);
    let mut said: Vec<Vec<Span>> = vec![
        vec![span(format!("{word} "), weight), span(finding.rule, QUIET)],
        ticked(&finding.message, Lettering::SMALL),
    ];
    said.extend(places(finding, &papers.sources).iter().map(place));
    for (name, words) in [
        ("in service", finding.in_service.as_str()),
        ("do", finding.remedy.as_str()),
        ("source", finding.source.as_str()),
        ("waived", finding.waived.as_deref().unwrap_or("")),
    ] {
        if !words.is_empty() {
            let mut line = vec![span(format!("{name}: "), QUIET)];
            line.extend(ticked(words, Lettering::SMALL));
            said.push(line);
        }
    }
    let first = strips.len();
    for words in said {
        let lines = prose::lay(&words, width - INDENT);
        // A line a strip, so that the longest finding finds its pages.
        for i in 0..lines.count() {
            let mut scene = Scene::default();
            let line = lines.part(i, 1);
            let mark = Mark::new(Layer::Note);
            let at = bar.width.width() / 2;
            scene.line(&mark, Point::new(at, Mm::ZERO), Point::new(at, line.height()), bar);
            line.draw(&mut scene, &mark, Point::new(INDENT, Mm::ZERO));
            strips.push(Strip { scene, height: line.height(), holds_next: true, ..Strip::default() });
        }
    }
    if let Some(head) = strips.get_mut(first) {
        head.bookmark = Some(format!("{word}: {}", finding.rule));
    }
    if let Some(last) = strips.last_mut() {
        last.holds_next = false;
    }
    strips.push(Strip::space(mm(4.5)));
}

/// Where it stands and what the spec says there.
fn place(place: &Place) -> Vec<Span> {
    let mut words = vec![span(format!("{}  ", place.at), QUIET)];
    let pieces = place.line.iter().enumerate();
    words.extend(
        pieces.map(|(i, piece)| {
            span(piece, if i % 2 == 1 { Lettering::SMALL.bold() } else { Lettering::SMALL })
        }),
    );
    if !place.words.is_empty() {
        words.push(span("  ", QUIET));
        words.extend(ticked(&place.words, QUIET));
    }
    words
}

fn not_judged(open: &[NotJudged]) -> Table {
    let row = |open: &NotJudged| Row {
        key: String::new(),
        about: vec![],
        cells: vec![
            open.rule.into(),
            Cell { text: open.id.clone(), ..Cell::default() },
            open.reason.replace('`', "").into(),
            open.place.clone().into(),
        ],
        record: vec![],
        group: None,
        part: false,
    };
    Table {
        name: "not-judged",
        title: "Not judged",
        purpose: "",
        lead: vec![],
        ticked: false,
        columns: ["rule", "what", "missing", "place"].map(|head| Column::words(head, 25)).to_vec(),
        rows: open.iter().map(row).collect(),
        record_heads: vec![],
        notes: vec![],
    }
}
