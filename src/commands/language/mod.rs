//! Nothing in; the reference of the spec language as Markdown, or its JSON Schema, out.

mod reference;
mod schema;

use super::Said;
use schema::Language;

/// Arguments of `fairlead language`.
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    /// Print the JSON Schema instead, for editors that complete and check while one types
    #[arg(long)]
    schema: bool,
    /// The language of part files instead of that of specs; the Markdown reference has both
    #[arg(long, requires = "schema")]
    parts: bool,
}

pub(super) fn run(args: &Args) -> Said {
    match (args.schema, args.parts) {
        (false, _) => Said::clean(reference::markdown()),
        (true, false) => Said::clean(Language::Spec.json()),
        (true, true) => Said::clean(Language::Parts.json()),
    }
}
