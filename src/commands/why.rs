//! A spec and the name of anything in it in; how each of its figures comes about out.

use std::path::PathBuf;

use anyhow::{Result, anyhow};

use super::{Said, check, clock};
use crate::plan::why_text;
use crate::quantity::Date;

/// Arguments of `fairlead why`.
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    /// The spec file
    spec: PathBuf,
    /// A wire mark, circuit, device, pin, cable, hole, run, place, bus or bond; a rule, or `finding 1`; `mass`, or no
    /// name, for what all of the harness weighs
    #[arg(default_value = "", hide_default_value = true)]
    name: String,
    /// The day for which waivers are judged, as 2027-01-31; today where it is not given
    #[arg(long, value_name = "DATE")]
    today: Option<Date>,
}

pub(super) fn run(args: &Args) -> Result<Said> {
    let resolved = match check::resolved(&args.spec)? {
        Err(said) => return Ok(said),
        Ok(resolved) => resolved,
    };
    let derivations =
        resolved.why(&args.name, args.today.or_else(clock::today)).map_err(|unknown| anyhow!("{unknown}"))?;
    Ok(Said::clean(why_text::render(&derivations, &resolved.sources)))
}
