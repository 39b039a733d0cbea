//! A spec in; what was found out, as text for people or JSON or SARIF for programs.

use std::path::{Path, PathBuf};

use clap::ValueEnum;

use super::terminal;
use super::{Exit, Said};
use crate::diag::text::{self, Look};
use crate::diag::{Finding, Severity, Sources, json, sarif};
use crate::pipeline;

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

pub(super) fn run(args: &Args) -> Said {
    let reading = match pipeline::read(&args.spec) {
        Ok(reading) => reading,
        Err(error) => return Said::unusable(unreadable(&args.spec, &error)),
    };
    match reading.resolve() {
        Err(unread) => Said {
            result: show(args, &unread.findings, &unread.sources),
            problems: String::new(),
            exit: Exit::Unusable,
        },
        Ok(resolved) => Said {
            result: show(args, &resolved.findings, &resolved.sources),
            problems: String::new(),
            exit: exit(&resolved.findings, args.strict),
        },
    }
}

/// The sentence for a spec that the system does not give.
pub(super) fn unreadable(path: &Path, error: &std::io::Error) -> String {
    format!("`{}` cannot be read: {error}", path.display())
}

/// Stops stand against building; doubts do where the check is strict.
pub(super) fn exit(findings: &[Finding], strict: bool) -> Exit {
    let least = if strict { Severity::Doubt } else { Severity::Stop };
    let stands = findings.iter().any(|f| f.waived.is_none() && f.severity >= least);
    if stands { Exit::Findings } else { Exit::Clean }
}

fn show(args: &Args, findings: &[Finding], sources: &Sources) -> String {
    match args.format {
        Format::Text => {
            let look =
                Look { colour: terminal::colour(&std::io::stdout()), short: args.short, ..Look::default() };
            let found = text::render(findings, sources, look);
            format!("{found}{}\n", text::summary(findings))
        }
        Format::Json => json::render(findings, sources),
        Format::Sarif => sarif::render(findings, &[], sources),
    }
}
