//! A spec in; its packet on the disk, and what was written and found.

use std::path::{Path, PathBuf};

use anyhow::Result;

use super::check;
use super::{Exit, Said, clock};
use crate::diag::shown;
use crate::packet::manifest::FILE_NAME;
use crate::packet::write;
use crate::quantity::Date;

/// Arguments of `fairlead build`.
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    /// The spec file
    spec: PathBuf,
    /// Folder for the packet; a former packet there is replaced as a whole [default: SPEC's name with -packet behind
    /// it, in the working folder]
    #[arg(short, long, value_name = "FOLDER")]
    output: Option<PathBuf>,
    /// Build even where findings say stop; every paper then says so
    #[arg(long)]
    despite_findings: bool,
    /// The day for which waivers are judged, as 2027-01-31; today where it is not given
    #[arg(long, value_name = "DATE")]
    today: Option<Date>,
}

pub(super) fn run(args: &Args) -> Result<Said> {
    let resolved = match check::resolved(&args.spec)? {
        Err(said) => return Ok(said),
        Ok(resolved) => resolved,
    };
    let report = resolved.judge(args.today.or_else(clock::today));
    let mut problems = check::found(&report.findings, &report.standings, &resolved.sources);
    let stands = check::exit(&report.findings, false);
    if stands == Exit::Findings && !args.despite_findings {
        problems.push_str(
            "nothing was written, because findings say stop; mend them, waive them with a reason, or build with \
             `--despite-findings`\n",
        );
        return Ok(Said { result: String::new(), problems, exit: stands });
    }
    let folder = args.output.clone().unwrap_or_else(|| default_folder(&args.spec));
    let (set, manifest) = resolved.packet(&report)?;
    if let Err(error) = write::replace_folder(&folder, &set, &manifest) {
        problems.push_str(&Said::unusable(&error.into()).problems);
        return Ok(Said { result: String::new(), problems, exit: Exit::Unusable });
    }
    // Findings that were overruled stand on every paper; the run did what it was asked to do.
    let names = set.iter().map(|(name, _)| name).chain([FILE_NAME]);
    let result = names.map(|name| format!("{}\n", shown(&folder.join(name).to_string_lossy()))).collect();
    Ok(Said { result, problems, exit: Exit::Clean })
}

/// `four-cylinder-packet` for `specs/four-cylinder.yaml`, in the working folder.
fn default_folder(spec: &Path) -> PathBuf {
    let stem = spec.file_stem().unwrap_or_default().to_string_lossy();
    PathBuf::from(format!("{stem}-packet"))
}
