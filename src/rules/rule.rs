//! What a rule is: its words and its check.

use super::{Facts, Verdict};
use crate::diag::Severity;

/// A rule. Its file, its name and its fixture folder under tests/rules are called alike.
#[derive(Debug)]
pub struct Rule {
    /// Name of the bad thing, so that `waive swapped-legs` reads well.
    pub name: &'static str,
    /// One line: what is wrong.
    pub title: &'static str,
    /// Weight of its findings, unless a finding says otherwise.
    pub severity: Severity,
    /// Why it matters to the engine or the person.
    pub why: &'static str,
    /// What is allowed, and what it is measured by.
    pub limit: &'static str,
    /// Where the law or limit comes from.
    pub source: Source,
    /// What mends it as a rule; a finding may know better.
    pub remedy: &'static str,
    /// Looks at the facts, tells the verdict.
    pub check: fn(&Facts<'_>, &mut Verdict),
}

/// Where a law or limit comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Source {
    /// A published document, read in its text.
    Document {
        /// Number or title.
        document: &'static str,
        /// Paragraph, table or page.
        place: &'static str,
    },
    /// A published document, read in somebody's copy of it.
    Copied {
        /// Number or title.
        document: &'static str,
        /// Paragraph, table or page.
        place: &'static str,
    },
    /// A published document as it is remembered: to be looked up before it is relied on.
    Remembered {
        /// Number or title.
        document: &'static str,
        /// Paragraph, table or page.
        place: &'static str,
    },
    /// A law of physics, by name.
    Physics(&'static str),
    /// The spec or the part itself sets the limit.
    Declared(&'static str),
    /// Common practice; no source is known.
    CommonPractice,
}

impl Source {
    /// The words that stand behind `source:`.
    pub fn words(self) -> String {
        match self {
            Source::Document { document, place } => format!("{document}, {place}"),
            Source::Copied { document, place } => {
                format!("{document}, {place} (from a copy of the document)")
            }
            Source::Remembered { document, place } => format!("{document}, {place} (from memory)"),
            Source::Physics(law) => law.to_owned(),
            Source::Declared(what) => what.to_owned(),
            Source::CommonPractice => "common practice, no source".to_owned(),
        }
    }
}
