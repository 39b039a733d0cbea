//! The name of a rule in; its words out.

use anyhow::{Result, anyhow};

use super::Said;
use crate::diag::nearest;
use crate::rules;

/// Arguments of `fairlead explain`.
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    /// The rule; all are listed where none is named
    name: Option<String>,
}

pub(super) fn run(args: &Args) -> Result<Said> {
    let Some(name) = &args.name else { return Ok(Said::clean(rules::list())) };
    match rules::find(name) {
        Some(rule) => Ok(Said::clean(rules::explain(rule))),
        None => {
            let near = nearest(name, rules::all().map(|r| r.name));
            let hint = near.map_or_else(
                || "`fairlead explain` lists the rules".to_owned(),
                |near| format!("write `{near}`, if that is meant"),
            );
            Err(anyhow!("no rule is named `{name}`; {hint}"))
        }
    }
}
