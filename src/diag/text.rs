//! Findings in, text for a terminal out: the lines of the spec with what is wrong, then what follows and what to do.

use std::borrow::Cow;
use std::collections::BTreeMap;

use annotate_snippets::renderer::Renderer;
use annotate_snippets::{Annotation, AnnotationKind, Group, Level, Origin, Snippet};

use super::{FileId, Finding, Label, Severity, Sources, is_active, shown};

/// How findings are shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Look {
    /// Colour by terminal sequences.
    pub colour: bool,
    /// One line a finding: `file:line:column: severity: rule: message`.
    pub short: bool,
    /// Width in characters that lines are kept within where they can be.
    pub width: usize,
}

impl Default for Look {
    /// In full, without colour, 100 characters wide.
    fn default() -> Look {
        Look { colour: false, short: false, width: 100 }
    }
}

/// Labels that are so many lines apart are shown apart.
const NEAR: usize = 8;

/// Longer lines are named by line and column only.
const LONGEST_LINE: usize = 2000;

/// All findings, each followed by an empty line unless they are short.
pub fn render(findings: &[Finding], sources: &Sources, look: Look) -> String {
    let mut text = String::new();
    for finding in findings {
        text.push_str(&if look.short { short(finding, sources) } else { full(finding, sources, look) });
        text.push_str(if look.short { "\n" } else { "\n\n" });
    }
    text
}

/// How many there are of each weight: `2 stop, 1 doubt, 1 waived`; `nothing found` where there are none.
pub fn summary(findings: &[Finding]) -> String {
    let count = |severity| findings.iter().filter(|f| f.waived.is_none() && f.severity == severity).count();
    let mut parts: Vec<String> = [Severity::Stop, Severity::Doubt, Severity::Note]
        .into_iter()
        .filter(|severity| count(*severity) > 0)
        .map(|severity| format!("{} {}", count(severity), severity.word()))
        .collect();
    let waived = findings.iter().filter(|f| f.waived.is_some()).count();
    if waived > 0 {
        parts.push(format!("{waived} waived"));
    }
    if parts.is_empty() { "nothing found".to_owned() } else { parts.join(", ") }
}

fn word(finding: &Finding) -> String {
    let word = finding.severity.word();
    if finding.waived.is_some() { format!("{word}, waived") } else { word.to_owned() }
}

fn short(finding: &Finding, sources: &Sources) -> String {
    let place = finding.labels.first().map(|label| {
        let at = sources.position(label.span);
        format!("{}:{}:{}: ", shown(sources.name(label.span.file)), at.line, at.column)
    });
    let (place, word) = (place.unwrap_or_default(), word(finding));
    format!("{place}{word}: {}: {}", finding.rule, shown(&finding.message))
}

fn full(finding: &Finding, sources: &Sources, look: Look) -> String {
    let level = match finding.severity {
        Severity::Stop => Level::ERROR,
        Severity::Doubt => Level::WARNING,
        Severity::Note => Level::NOTE,
    };
    let title = level.with_name(word(finding)).primary_title(shown(&finding.message)).id(finding.rule);
    let mut group = Group::with_title(title);
    for part in parts(&finding.labels, sources) {
        group = match part {
            Part::Lines(lines) => group.element(lines),
            Part::Place(place) => group.element(place),
        };
    }
    let said = [
        ("in service", finding.in_service.as_str()),
        ("do", finding.remedy.as_str()),
        ("source", finding.source.as_str()),
        ("waived", finding.waived.as_deref().unwrap_or("")),
    ];
    for (name, text) in said.into_iter().filter(|(_, text)| !text.is_empty()) {
        let level = if name == "do" { Level::HELP } else { Level::NOTE };
        // The name, its `= ` and the margin stand before the text.
        let width = look.width.saturating_sub(name.len() + 10).max(40);
        group = group.element(level.with_name(name).message(wrapped(&shown(text), width)));
    }
    let renderer = if look.colour { Renderer::styled() } else { Renderer::plain() };
    renderer.term_width(look.width).render(&[group])
}

/// A run of lines of one file, or only a place.
enum Part<'a> {
    Lines(Snippet<'a, Annotation<'a>>),
    Place(Origin<'a>),
}

/// The labels, those near each other in one file together, in the order in which they stand in the finding. Near-linear: a
/// finding may have as many labels as there are wires.
fn parts<'a>(labels: &'a [Label], sources: &'a Sources) -> Vec<Part<'a>> {
    let mut groups: Vec<Vec<(usize, &Label)>> = Vec::new();
    // Of each line that has a label, the first group that has one there.
    let mut group_at: BTreeMap<(FileId, usize), usize> = BTreeMap::new();
    for (position, label) in labels.iter().enumerate() {
        let (file, line) = (label.span.file, sources.position(label.span).line);
        let near = (file, line.saturating_sub(NEAR))..=(file, line + NEAR);
        let group = group_at.range(near).map(|(_, group)| *group).min().unwrap_or(groups.len());
        match groups.get_mut(group) {
            Some(labels) => labels.push((position, label)),
            None => groups.push(vec![(position, label)]),
        }
        group_at.insert((file, line), group);
    }
    groups.iter().map(|group| part(group, sources)).collect()
}

fn part<'a>(labels: &[(usize, &'a Label)], sources: &'a Sources) -> Part<'a> {
    let Some((_, first)) = labels.first() else { return Part::Place(Origin::path("")) };
    let file = first.span.file;
    let text = sources.text(file);
    let starts = labels.iter().map(|(_, label)| (label.span.start as usize).min(text.len()));
    let (low, high) = starts.fold((text.len(), 0), |(low, high), at| (low.min(at), high.max(at)));
    let from = text.get(..low).and_then(|t| t.rfind('\n')).map_or(0, |at| at + 1);
    let to = text.get(high..).and_then(|t| t.find('\n')).map_or(text.len(), |at| high + at);
    let path = shown(sources.name(file));
    let lines = text.get(from..to).unwrap_or("");
    if lines.lines().any(|line| line.len() > LONGEST_LINE) {
        let at = sources.position(first.span);
        return Part::Place(Origin::path(path).line(at.line).char_column(at.column));
    }
    let annotations = labels.iter().map(|(position, label)| {
        let kind = if *position == 0 { AnnotationKind::Primary } else { AnnotationKind::Context };
        let annotation = kind.span(within(lines, label, from));
        if label.text.is_empty() { annotation } else { annotation.label(shown(&label.text)) }
    });
    Part::Lines(
        Snippet::source(quietened(lines))
            .path(path)
            .line_start(sources.position(first_of(labels, first).span).line)
            .annotations(annotations),
    )
}

/// `lines` with signs of the same length in bytes for those active characters that the snippet renderer lets through.
fn quietened(lines: &str) -> Cow<'_, str> {
    let stand_in = |c: char| match c.len_utf8() {
        2 => '¿',
        3 => '\u{FFFD}',
        _ => c,
    };
    match shown(lines) {
        Cow::Borrowed(clean) => Cow::Borrowed(clean),
        Cow::Owned(_) => lines.chars().map(|c| if is_active(c) { stand_in(c) } else { c }).collect(),
    }
}

/// The label that stands first in the file.
fn first_of<'a>(labels: &[(usize, &'a Label)], otherwise: &'a Label) -> &'a Label {
    labels.iter().map(|(_, label)| *label).min_by_key(|label| label.span.start).unwrap_or(otherwise)
}

/// The label's range inside `lines`, which begin at byte `from` of the file: on one line and on whole characters,
/// whatever the span says.
fn within(lines: &str, label: &Label, from: usize) -> std::ops::Range<usize> {
    let start = lines.floor_char_boundary((label.span.start as usize).saturating_sub(from));
    let end = lines.ceil_char_boundary((label.span.end as usize).saturating_sub(from)).max(start);
    let covered = lines.get(start..end).unwrap_or("");
    let line = covered.split('\n').next().unwrap_or("").trim_end();
    start..start + line.len()
}

/// `text` broken between words into lines of at most `width` characters; longer words stay whole.
fn wrapped(text: &str, width: usize) -> String {
    let mut out = String::new();
    let mut column = 0;
    for word in text.split(' ') {
        let length = word.chars().count();
        if column > 0 && column + 1 + length > width {
            out.push('\n');
            column = 0;
        } else if column > 0 {
            out.push(' ');
            column += 1;
        }
        out.push_str(word);
        column += length;
    }
    out
}
