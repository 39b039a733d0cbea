//! Findings in, a SARIF log out, which code hosts and editors show beside the lines of the spec.
//!
//! Static Analysis Results Interchange Format, version 2.1.0, OASIS Standard of 27 March 2020.

use serde::Serialize;

use super::json::{end_of, to_text};
use super::{Finding, Label, Severity, Sources};

/// What a SARIF reader shows about a rule.
#[derive(Clone, Copy, Debug)]
pub struct RuleNote<'a> {
    /// The rule's name, as findings give it.
    pub name: &'a str,
    /// One line.
    pub title: &'a str,
    /// Why it matters, what the limit is and where it comes from.
    pub help: &'a str,
    /// Its usual weight.
    pub severity: Severity,
}

#[derive(Serialize)]
struct Log<'a> {
    #[serde(rename = "$schema")]
    schema: &'static str,
    version: &'static str,
    runs: [Run<'a>; 1],
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Run<'a> {
    tool: Tool<'a>,
    column_kind: &'static str,
    results: Vec<Outcome<'a>>,
}

#[derive(Serialize)]
struct Tool<'a> {
    driver: Driver<'a>,
}

#[derive(Serialize)]
struct Driver<'a> {
    name: &'static str,
    version: &'static str,
    rules: Vec<RuleEntry<'a>>,
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct RuleEntry<'a> {
    id: &'a str,
    short_description: Text<'a>,
    help: Text<'a>,
    default_configuration: Configuration,
}

#[derive(Serialize)]
struct Configuration {
    level: &'static str,
}

#[derive(Serialize)]
struct Text<'a> {
    text: std::borrow::Cow<'a, str>,
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Outcome<'a> {
    rule_id: &'a str,
    #[serde(skip_serializing_if = "Option::is_none")]
    rule_index: Option<usize>,
    level: &'static str,
    message: Text<'a>,
    locations: Vec<Location<'a>>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    related_locations: Vec<Location<'a>>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    suppressions: Vec<Suppression<'a>>,
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Location<'a> {
    #[serde(skip_serializing_if = "Option::is_none")]
    id: Option<usize>,
    physical_location: Physical,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    logical_locations: Vec<Logical<'a>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    message: Option<Text<'a>>,
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Physical {
    artifact_location: Artifact,
    region: Region,
}

#[derive(Serialize)]
struct Artifact {
    uri: String,
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Region {
    start_line: usize,
    start_column: usize,
    end_line: usize,
    end_column: usize,
}

#[derive(Serialize)]
struct Logical<'a> {
    name: &'a str,
}

#[derive(Serialize)]
struct Suppression<'a> {
    kind: &'static str,
    status: &'static str,
    justification: &'a str,
}

/// The findings as a SARIF log. `rules` describes the rules that were run, whether or not they found anything.
pub fn render(findings: &[Finding], rules: &[RuleNote<'_>], sources: &Sources) -> String {
    let driver = Driver {
        name: env!("CARGO_PKG_NAME"),
        version: env!("CARGO_PKG_VERSION"),
        rules: rules.iter().map(rule_entry).collect(),
    };
    to_text(&Log {
        schema: "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json",
        version: "2.1.0",
        runs: [Run {
            tool: Tool { driver },
            // Positions count characters, not the halves of those outside the basic plane.
            column_kind: "unicodeCodePoints",
            results: findings.iter().map(|finding| outcome(finding, rules, sources)).collect(),
        }],
    })
}

fn level(severity: Severity) -> &'static str {
    match severity {
        Severity::Stop => "error",
        Severity::Doubt => "warning",
        Severity::Note => "note",
    }
}

fn rule_entry<'a>(rule: &RuleNote<'a>) -> RuleEntry<'a> {
    RuleEntry {
        id: rule.name,
        short_description: text(rule.title),
        help: text(rule.help),
        default_configuration: Configuration { level: level(rule.severity) },
    }
}

fn outcome<'a>(finding: &'a Finding, rules: &[RuleNote<'_>], sources: &Sources) -> Outcome<'a> {
    let (offender, others) = match finding.labels.split_first() {
        Some((first, others)) => (Some(first), others),
        None => (None, &[][..]),
    };
    Outcome {
        rule_id: finding.rule,
        rule_index: rules.iter().position(|rule| rule.name == finding.rule),
        level: level(finding.severity),
        message: Text { text: whole_message(finding).into() },
        locations: offender.iter().map(|label| location(label, None, sources)).collect(),
        related_locations: (1..).zip(others).map(|(id, label)| location(label, Some(id), sources)).collect(),
        suppressions: finding.waived.iter().map(|reason| suppression(reason)).collect(),
    }
}

fn suppression(reason: &str) -> Suppression<'_> {
    Suppression { kind: "inSource", status: "accepted", justification: reason }
}

/// A SARIF reader shows one text, so all that the finding says goes into it. `[…](…)` would be read as a link.
fn whole_message(finding: &Finding) -> String {
    let parts = [
        ("", &finding.message),
        ("In service: ", &finding.in_service),
        ("Do: ", &finding.remedy),
        ("Source: ", &finding.source),
    ];
    let said = parts.into_iter().filter(|(_, text)| !text.is_empty());
    let lines: Vec<String> = said.map(|(name, text)| format!("{name}{text}")).collect();
    let text = lines.join("\n");
    if text.contains("](") { text.replace('[', "\\[").replace(']', "\\]") } else { text }
}

fn location<'a>(label: &'a Label, id: Option<usize>, sources: &Sources) -> Location<'a> {
    let (start, end) = (sources.position(label.span), sources.position(end_of(label.span)));
    Location {
        id,
        physical_location: Physical {
            artifact_location: Artifact { uri: uri(sources.name(label.span.file)) },
            region: Region {
                start_line: start.line,
                start_column: start.column,
                end_line: end.line,
                end_column: end.column,
            },
        },
        logical_locations: label.id.iter().map(|name| Logical { name }).collect(),
        message: Some(&label.text).filter(|text| !text.is_empty()).map(|t| text(t)),
    }
}

fn text(text: &str) -> Text<'_> {
    Text { text: text.into() }
}

/// A path as a relative URI reference (RFC 3986): `/` between folders, everything unusual as `%` and two digits.
fn uri(path: &str) -> String {
    let mut uri = String::new();
    for byte in path.replace('\\', "/").bytes() {
        match byte {
            b'A'..=b'Z' | b'a'..=b'z' | b'0'..=b'9' | b'-' | b'.' | b'_' | b'~' | b'/' => {
                uri.push(char::from(byte))
            }
            other => uri.push_str(&format!("%{other:02X}")),
        }
    }
    uri
}
