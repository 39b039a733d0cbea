//! A spec and the name of anything in it in; how each of its figures comes about out.

use std::path::PathBuf;

use super::{Exit, Said, check, clock};
use crate::pipeline;
use crate::plan::why_text;
use crate::quantity::Date;

/// Arguments of `fairlead why`.
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    /// The spec file
    spec: PathBuf,
    /// A wire mark, circuit, device, pin, cable, hole, run or place; a rule, or `finding 1`
    name: String,
    /// The day for which waivers are judged, as 2027-01-31; today where it is not given
    #[arg(long, value_name = "DATE")]
    today: Option<Date>,
}

pub(super) fn run(args: &Args) -> Said {
    let resolved = match pipeline::read(&args.spec).map(pipeline::Reading::resolve) {
        Err(error) => return Said::unusable(check::unreadable(&args.spec, &error)),
        Ok(Err(unread)) => {
            let problems = check::found(&unread.findings, &[], &unread.sources);
            return Said { result: String::new(), problems, exit: Exit::Unusable };
        }
        Ok(Ok(resolved)) => resolved,
    };
    match resolved.why(&args.name, args.today.or_else(clock::today)) {
        Ok(derivations) => Said::clean(why_text::render(&derivations, &resolved.sources)),
        Err(unknown) => Said::unusable(unknown),
    }
}
