//! What one rule has to say: findings, and what it could not judge.

use super::Rule;
use crate::diag::{Finding, Label, Severity, Span};

/// Something a rule could not judge for want of data.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Unjudged {
    /// Where the thing stands that could not be judged.
    pub span: Span,
    /// Its name.
    pub id: String,
    /// What is missing, lower case.
    pub reason: String,
}

/// Collects what one rule says.
#[derive(Debug)]
pub struct Verdict {
    rule: &'static Rule,
    findings: Vec<Finding>,
    unjudged: Vec<Unjudged>,
}

impl Verdict {
    /// Nothing said yet.
    pub(super) fn of(rule: &'static Rule) -> Verdict {
        Verdict { rule, findings: Vec::new(), unjudged: Vec::new() }
    }

    /// Something is wrong.
    pub fn finds(&mut self, fault: Fault) {
        self.findings.push(Finding {
            rule: self.rule.name,
            severity: fault.severity.unwrap_or(self.rule.severity),
            message: fault.message,
            labels: fault.labels.into_iter().chain(fault.limit).collect(),
            in_service: fault.in_service,
            remedy: fault.remedy.unwrap_or_else(|| self.rule.remedy.to_owned()),
            source: fault.source.unwrap_or_else(|| self.rule.source.words()),
            waived: None,
        });
    }

    /// Something cannot be judged.
    pub fn not_judged(&mut self, span: Span, id: &str, reason: impl Into<String>) {
        self.unjudged.push(Unjudged { span, id: id.to_owned(), reason: reason.into() });
    }

    /// All that was said.
    pub(super) fn into_parts(self) -> (Vec<Finding>, Vec<Unjudged>) {
        (self.findings, self.unjudged)
    }
}

/// A fault, told bit by bit.
#[derive(Clone, Debug)]
pub struct Fault {
    message: String,
    labels: Vec<Label>,
    limit: Option<Label>,
    in_service: String,
    remedy: Option<String>,
    source: Option<String>,
    severity: Option<Severity>,
}

impl Fault {
    /// Who, measured, allowed.
    pub fn new(message: impl Into<String>) -> Fault {
        Fault {
            message: message.into(),
            labels: Vec::new(),
            limit: None,
            in_service: String::new(),
            remedy: None,
            source: None,
            severity: None,
        }
    }

    /// A place that has to do with it; the offender first. A place that is named already is not named again.
    pub fn at(mut self, span: Span, id: &str, text: impl Into<String>) -> Fault {
        let label = Label { span, text: text.into(), id: Some(id.to_owned()) };
        if !self.labels.iter().any(|l| l.span == label.span && l.id == label.id && l.text == label.text) {
            self.labels.push(label);
        }
        self
    }

    /// The line that set the limit.
    pub fn limit(mut self, span: Span, text: impl Into<String>) -> Fault {
        self.limit = Some(Label { span, text: text.into(), id: None });
        self
    }

    /// What would be seen in service.
    pub fn seen(mut self, text: impl Into<String>) -> Fault {
        self.in_service = text.into();
        self
    }

    /// What mends it, where that can be said better than the rule does.
    pub fn mend(mut self, text: impl Into<String>) -> Fault {
        self.remedy = Some(text.into());
        self
    }

    /// Another source than the rule's.
    pub fn by(mut self, text: impl Into<String>) -> Fault {
        self.source = Some(text.into());
        self
    }

    /// Another weight than the rule's.
    pub fn weighs(mut self, severity: Severity) -> Fault {
        self.severity = Some(severity);
        self
    }
}
