//! A spec in; what was found out, as text for people or JSON or SARIF for programs.

use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use anyhow::{Context as _, Result};
use clap::ValueEnum;

use super::{Exit, Said, clock, terminal};
use crate::diag::text::{self, Look};
use crate::diag::{Finding, Severity, Sources, json, sarif, shown};
use crate::pipeline::{self, Reading, Resolved};
use crate::quantity::Date;
use crate::rules::{self, Count, Standing};

/// Arguments of `fairlead check`.
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    /// The spec file
    spec: PathBuf,
    /// How the findings are written
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,
    /// Doubts stand against building too, not only stops
    #[arg(long)]
    strict: bool,
    /// The day for which waivers are judged, as 2027-01-31; today where it is not given
    #[arg(long, value_name = "DATE")]
    today: Option<Date>,
    /// One line a finding (text only)
    #[arg(long)]
    short: bool,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum Format {
    /// For people: the lines of the spec with what is wrong
    Text,
    /// For programs: one JSON object
    Json,
    /// For editors and code hosts: SARIF 2.1.0
    Sarif,
}

pub(super) fn run(args: &Args) -> Result<Said> {
    let (findings, standings, sources, exit) = match read(&args.spec)?.resolve() {
        Err(unread) => (unread.findings, Vec::new(), unread.sources, Exit::Unusable),
        Ok(resolved) => {
            let report = resolved.judge(args.today.or_else(clock::today));
            let exit = exit(&report.findings, args.strict);
            (report.findings, report.standings, resolved.sources, exit)
        }
    };
    let result = match args.format {
        Format::Text => {
            let look =
                Look { colour: terminal::colour(&std::io::stdout()), short: args.short, ..Look::default() };
            text(&findings, &standings, &sources, look)
        }
        Format::Json => json::render(&findings, &sources),
        Format::Sarif => {
            let helps: Vec<String> = rules::all().map(rules::explain).collect();
            let notes: Vec<sarif::RuleNote> = rules::all()
                .zip(&helps)
                .map(|(r, help)| sarif::RuleNote { name: r.name, title: r.title, help, severity: r.severity })
                .collect();
            sarif::render(&findings, &notes, &sources)
        }
    };
    Ok(Said { result, problems: String::new(), exit })
}

/// What was found, as text for standard error: the result of the command is something else.
pub(super) fn found(findings: &[Finding], standings: &[Standing], sources: &Sources) -> String {
    let look = Look { colour: terminal::colour(&std::io::stderr()), ..Look::default() };
    text(findings, standings, sources, look)
}

/// Findings, their count, how the rules came out and what could not be judged.
fn text(findings: &[Finding], standings: &[Standing], sources: &Sources, look: Look) -> String {
    let found = text::render(findings, sources, look);
    format!("{found}{}\n{}", text::summary(findings), outcome(standings, sources))
}

/// How the rules came out, and what could not be judged.
fn outcome(standings: &[Standing], sources: &Sources) -> String {
    if standings.is_empty() {
        return String::new();
    }
    let count = Count::of(standings);
    let mut text = format!(
        "rules: {} passed, {} failed, {} waived, {} not judged\n",
        count.passed, count.failed, count.waived, count.not_judged
    );
    for standing in standings {
        for open in &standing.unjudged {
            let at = sources.position(open.span);
            let _ = writeln!(
                text,
                "not judged: {}: `{}`: {} ({}:{}:{})",
                standing.rule.name,
                shown(&open.id),
                shown(&open.reason),
                shown(sources.name(open.span.file)),
                at.line,
                at.column
            );
        }
    }
    text
}

/// Reads a spec and resolves it; what is to be said, where what stands in it cannot be read.
pub(super) fn resolved(path: &Path) -> Result<std::result::Result<Resolved, Said>> {
    Ok(read(path)?.resolve().map_err(|unread| {
        let problems = found(&unread.findings, &[], &unread.sources);
        Said { result: String::new(), problems, exit: Exit::Unusable }
    }))
}

/// Reads a spec.
fn read(path: &Path) -> Result<Reading> {
    pipeline::read(path).with_context(|| format!("`{}` cannot be read", path.display()))
}

/// Stops stand against building; doubts do where the check is strict.
pub(super) fn exit(findings: &[Finding], strict: bool) -> Exit {
    let least = if strict { Severity::Doubt } else { Severity::Stop };
    let stands = findings.iter().any(|f| f.waived.is_none() && f.severity >= least);
    if stands { Exit::Findings } else { Exit::Clean }
}
