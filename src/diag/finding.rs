//! What a rule or the reader found: one record for every renderer.

use super::Span;

/// How much a finding weighs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Severity {
    /// Worth knowing.
    Note,
    /// A person must look; stops under `--strict`.
    Doubt,
    /// Do not build.
    Stop,
}

impl Severity {
    /// The word users see.
    pub fn word(self) -> &'static str {
        match self {
            Severity::Note => "note",
            Severity::Doubt => "doubt",
            Severity::Stop => "stop",
        }
    }
}

/// One place that a finding points at.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Label {
    /// Where in the sources.
    pub span: Span,
    /// What this place has to do with the finding, lower case; may be empty.
    pub text: String,
    /// The thing of the spec that stands there (`CHT1`, `FH1`, a wire mark), where there is one.
    pub id: Option<String>,
}

/// Something wrong, doubtful or worth knowing.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Finding {
    /// The rule's name, or `spec-language` for what cannot be read.
    pub rule: &'static str,
    /// How much it weighs.
    pub severity: Severity,
    /// Who, measured, allowed: one sentence, lower case, ids in backticks, units on numbers.
    pub message: String,
    /// The offender first, then other places; the line that set the limit last.
    pub labels: Vec<Label>,
    /// What would be seen in service if it were built so; empty where nothing can be said.
    pub in_service: String,
    /// One action that mends it.
    pub remedy: String,
    /// Where the law or limit comes from; empty for errors of the language.
    pub source: String,
    /// The reason of the waiver that covers it, if one does.
    pub waived: Option<String>,
}

/// Collects findings in the order they are met.
#[derive(Clone, Debug, Default)]
pub struct Sink {
    findings: Vec<Finding>,
}

impl Sink {
    /// Adds one.
    pub fn push(&mut self, finding: Finding) {
        self.findings.push(finding);
    }

    /// An error of the spec language at `span`.
    pub fn unreadable(&mut self, span: Span, message: impl Into<String>, remedy: impl Into<String>) {
        self.push(Finding {
            rule: "spec-language",
            severity: Severity::Stop,
            message: message.into(),
            labels: vec![Label { span, text: String::new(), id: None }],
            in_service: String::new(),
            remedy: remedy.into(),
            source: String::new(),
            waived: None,
        });
    }

    /// An error of the spec language at `span` that other places explain.
    pub fn unreadable_with(
        &mut self,
        span: Span,
        message: impl Into<String>,
        remedy: impl Into<String>,
        others: Vec<(Span, String)>,
    ) {
        self.unreadable(span, message, remedy);
        if let Some(finding) = self.findings.last_mut() {
            finding.labels.extend(others.into_iter().map(|(span, text)| Label { span, text, id: None }));
        }
    }

    /// True when nothing was found.
    pub fn is_empty(&self) -> bool {
        self.findings.is_empty()
    }

    /// What was found so far.
    pub fn findings(&self) -> &[Finding] {
        &self.findings
    }

    /// All findings, ordered by the place of their first label, then by rule and message.
    pub fn into_sorted(mut self) -> Vec<Finding> {
        self.findings.sort_by(|a, b| {
            let key = |f: &Finding| f.labels.first().map(|l| l.span);
            (key(a), a.rule, &a.message).cmp(&(key(b), b.rule, &b.message))
        });
        self.findings
    }
}
