//! Findings in, JSON for other programs out. The shape is fixed: every key is always there, `null` where there is
//! nothing to say.

use serde::Serialize;

use super::{Finding, Label, Severity, Sources, Span, is_active};

#[derive(Serialize)]
struct Report<'a> {
    tool: &'static str,
    version: &'static str,
    findings: Vec<Item<'a>>,
    counts: Counts,
}

#[derive(Serialize)]
struct Item<'a> {
    rule: &'a str,
    severity: &'static str,
    message: &'a str,
    places: Vec<Place<'a>>,
    in_service: Option<&'a str>,
    remedy: &'a str,
    source: Option<&'a str>,
    waived: Option<&'a str>,
}

#[derive(Serialize)]
struct Place<'a> {
    file: &'a str,
    line: usize,
    column: usize,
    end_line: usize,
    end_column: usize,
    id: Option<&'a str>,
    text: Option<&'a str>,
}

#[derive(Serialize)]
struct Counts {
    stop: usize,
    doubt: usize,
    note: usize,
    waived: usize,
}

/// The findings as one JSON object, in their order. Lines and columns count from 1, columns in characters; the end is
/// one past the last character. The counts leave out what is waived.
pub fn render(findings: &[Finding], sources: &Sources) -> String {
    let count = |severity| findings.iter().filter(|f| f.waived.is_none() && f.severity == severity).count();
    let report = Report {
        tool: env!("CARGO_PKG_NAME"),
        version: env!("CARGO_PKG_VERSION"),
        findings: findings.iter().map(|finding| item(finding, sources)).collect(),
        counts: Counts {
            stop: count(Severity::Stop),
            doubt: count(Severity::Doubt),
            note: count(Severity::Note),
            waived: findings.iter().filter(|f| f.waived.is_some()).count(),
        },
    };
    to_text(&report)
}

fn item<'a>(finding: &'a Finding, sources: &'a Sources) -> Item<'a> {
    Item {
        rule: finding.rule,
        severity: finding.severity.word(),
        message: &finding.message,
        places: finding.labels.iter().map(|label| place(label, sources)).collect(),
        in_service: some(&finding.in_service),
        remedy: &finding.remedy,
        source: some(&finding.source),
        waived: finding.waived.as_deref(),
    }
}

fn place<'a>(label: &'a Label, sources: &'a Sources) -> Place<'a> {
    let (start, end) = (sources.position(label.span), sources.position(end_of(label.span)));
    Place {
        file: sources.name(label.span.file),
        line: start.line,
        column: start.column,
        end_line: end.line,
        end_column: end.column,
        id: label.id.as_deref(),
        text: some(&label.text),
    }
}

/// The empty span behind `span`.
pub(super) fn end_of(span: Span) -> Span {
    Span { start: span.end.max(span.start), ..span }
}

fn some(text: &str) -> Option<&str> {
    Some(text).filter(|text| !text.is_empty())
}

/// Indented JSON with a newline at its end. Characters that would drive a terminal are written as escapes, which
/// change nothing for a JSON reader.
pub(super) fn to_text(value: &impl Serialize) -> String {
    // Structs of texts and numbers always serialise.
    let text = serde_json::to_string_pretty(value).unwrap_or_default();
    let mut quiet = String::with_capacity(text.len() + 1);
    for c in text.chars() {
        // Outside of texts JSON is ASCII, and line feeds are its only active character.
        if c != '\n' && is_active(c) {
            quiet.push_str(&format!("\\u{:04x}", u32::from(c)));
        } else {
            quiet.push(c);
        }
    }
    quiet.push('\n');
    quiet
}
