//! A path in; a starter spec with remarks written there.

use std::path::PathBuf;

use anyhow::Result;

use super::Said;
use crate::diag::shown;
use crate::packet::write;

/// The spec that is written. It checks clean as it stands.
pub(super) const STARTER: &str = include_str!("starter.yaml");

/// Arguments of `fairlead new`.
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    /// File to write; a file that is there already is left alone
    #[arg(default_value = "harness.yaml")]
    path: PathBuf,
}

pub(super) fn run(args: &Args) -> Result<Said> {
    write::new_file(&args.path, STARTER.as_bytes())?;
    let name = args.path.to_string_lossy();
    let name = shown(&name);
    Ok(Said::clean(format!("wrote {name}\nnext: fill it in, then `fairlead check {name}`\n")))
}
