//! Findings, drawings and lists in; the whole packet out, in memory.

use std::collections::BTreeMap;
use std::error::Error;
use std::fmt;

use super::bound::Bound;
use super::cautions;
use super::csv;
use super::file_set::{FileSet, sha256};
use super::heading::Heading;
use super::manifest::Manifest;
use super::page;
use super::table::Table;
use crate::diag::{Finding, Severity, Sources, json};
use crate::draw::board::Tile;
use crate::draw::svg_out::{self, SvgOptions};
use crate::draw::{Paper, Scene};
use crate::rules::{Count, Standing};

/// A drawing: one sheet.
#[derive(Clone, Debug)]
pub struct Drawing {
    /// Stem of its file: `wiring`, `wiring-2`.
    pub name: String,
    /// Title over it.
    pub title: String,
    /// What is drawn.
    pub scene: Scene,
}

/// Pages that are printed at true size and glued together to a drawing.
#[derive(Clone, Debug)]
pub struct Print {
    /// Name of the drawing.
    pub of: String,
    /// `Board in pages`.
    pub title: String,
    /// What they are printed on.
    pub paper: Paper,
    /// All of them, the plan first.
    pub pages: Vec<Tile>,
}

impl Print {
    /// What a book calls it: `board-1-pages`.
    pub fn name(&self) -> String {
        format!("{}-pages", self.of)
    }
}

/// Something that a rule could not judge.
#[derive(Clone, Debug)]
pub struct NotJudged {
    /// The rule.
    pub rule: &'static str,
    /// The thing.
    pub id: String,
    /// What is missing.
    pub reason: String,
    /// `file:line:column`.
    pub place: String,
}

/// How the rules went.
#[derive(Clone, Debug, Default)]
pub struct Score {
    /// Rules by outcome.
    pub count: Count,
    /// Each thing that could not be judged.
    pub not_judged: Vec<NotJudged>,
}

impl Score {
    /// From how each rule came out.
    pub fn of(standings: &[Standing], sources: &Sources) -> Score {
        let not_judged = standings.iter().flat_map(|standing| {
            standing.unjudged.iter().map(|open| {
                let at = sources.position(open.span);
                NotJudged {
                    rule: standing.rule.name,
                    id: open.id.clone(),
                    reason: open.reason.clone(),
                    place: format!("{}:{}:{}", sources.name(open.span.file), at.line, at.column),
                }
            })
        });
        Score { count: Count::of(standings), not_judged: not_judged.collect() }
    }

    /// `31 rules passed, 2 failed, 1 waived, 3 not judged for want of data`.
    pub fn words(&self) -> String {
        let Count { passed, failed, waived, not_judged } = self.count;
        let rules = if passed == 1 { "rule" } else { "rules" };
        format!(
            "{passed} {rules} passed, {failed} failed, {waived} waived, {not_judged} not judged for want of data"
        )
    }
}

/// Everything that goes into a packet.
#[derive(Debug)]
pub struct Papers<'a> {
    /// Title block data.
    pub heading: Heading,
    /// What was found, in the order of the files.
    pub findings: &'a [Finding],
    /// How the rules went.
    pub score: Score,
    /// The texts that findings point into; their names are relative to the spec's folder.
    pub sources: Sources,
    /// SHA-256 of every file that was read, by its name relative to the spec's folder.
    pub inputs: BTreeMap<String, String>,
    /// Drawings in the order of the page.
    pub drawings: Vec<Drawing>,
    /// Drawings in pages, for each paper. They stand in the books.
    pub prints: Vec<Print>,
    /// Lists in the order of the page.
    pub tables: Vec<Table>,
    /// The words of the banner; None where nothing stands against building.
    pub banner: Option<String>,
}

/// A file of a packet that could not be made.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Unmade {
    /// Its name.
    pub name: String,
    /// Why.
    pub reason: String,
}

impl fmt::Display for Unmade {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} could not be made: {}", self.name, self.reason)
    }
}

impl Error for Unmade {}

/// Findings that stop and are not waived.
pub fn stops(findings: &[Finding]) -> usize {
    findings.iter().filter(|f| f.severity == Severity::Stop && f.waived.is_none()).count()
}

/// The banner for these findings; None where none stops.
pub fn banner(findings: &[Finding]) -> Option<String> {
    let stops = stops(findings);
    (stops > 0).then(|| cautions::banner(stops))
}

impl Papers<'_> {
    /// Name and version of the tool.
    pub fn made_by(&self) -> String {
        format!("fairlead {}", env!("CARGO_PKG_VERSION"))
    }

    /// The files that were read, with the beginning of each digest.
    pub fn inputs_line(&self) -> String {
        let one =
            |(name, digest): (&String, &String)| format!("{name} ({}…)", digest.get(..12).unwrap_or(digest));
        self.inputs.iter().map(one).collect::<Vec<_>>().join(", ")
    }

    /// What tells the tick marks of this packet from those of any other: the same inputs give the same key.
    pub(super) fn key(&self) -> String {
        let all: Vec<String> =
            self.inputs.iter().map(|(name, digest)| format!("{name} {digest}\n")).collect();
        sha256(all.concat().as_bytes()).get(..16).unwrap_or_default().to_owned()
    }

    /// Makes every file.
    ///
    /// # Errors
    /// Where a file cannot be made; nothing of a spec can make it so.
    pub fn assemble(&self) -> Result<(FileSet, Manifest), Unmade> {
        let mut set = FileSet::default();
        let books = self.add_books(&mut set)?;
        set.add("index.html", page::index(self, &books, &self.key()));
        set.add("findings.html", page::findings_paper(self));
        set.add("findings.json", json::render(self.findings, &self.sources));
        let scenes: Vec<&Scene> = self.drawings.iter().map(|drawing| &drawing.scene).collect();
        let options = SvgOptions { id_prefix: String::new(), embed_typeface: true };
        for (drawing, svg) in self.drawings.iter().zip(svg_out::write_each(&scenes, &options)) {
            set.add(&format!("{}.svg", drawing.name), svg);
        }
        for table in &self.tables {
            set.add(&format!("{}.csv", table.name), csv::write(table, self.banner.as_deref()));
            set.add(&format!("{}.html", table.name), page::paper(self, table));
        }
        let mut manifest = Manifest {
            made_by: self.made_by(),
            title: self.heading.title.clone(),
            drawing: self.heading.drawing.clone(),
            revision: self.heading.revision.clone(),
            built_despite_findings: self.banner.is_some(),
            inputs: self.inputs.clone(),
            files: BTreeMap::new(),
        };
        manifest.enter(&set);
        Ok((set, manifest))
    }

    /// One for each paper: a packet goes to shops whose printers take one or the other.
    #[cfg(feature = "book")]
    fn add_books(&self, set: &mut FileSet) -> Result<Vec<Bound>, Unmade> {
        let bind = |paper| {
            let book = super::book::Book::of(self, paper);
            (book.bound(), book.write())
        };
        let mut books = Vec::new();
        for (bound, written) in crate::workers::each(Paper::ALL.len(), |n| bind(Paper::ALL[n])) {
            match written {
                Ok(bytes) => set.add(&bound.file, bytes),
                Err(reason) => return Err(Unmade { name: bound.file, reason: reason.to_string() }),
            };
            books.push(bound);
        }
        Ok(books)
    }

    /// This program was built without books.
    #[cfg(not(feature = "book"))]
    fn add_books(&self, _: &mut FileSet) -> Result<Vec<Bound>, Unmade> {
        Ok(Vec::new())
    }
}
