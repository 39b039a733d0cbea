//! Arguments in; text on the terminal and an exit code out. The only stage that prints and that knows arguments,
//! environment and clock.
//!
//! Each command is a function from its arguments to what it has to [`Said`]; nothing is printed before it is done.

mod build;
mod check;
mod clock;
mod explain;
mod language;
mod new;
mod terminal;
mod why;

use std::process::ExitCode;

use clap::{Parser, Subcommand};

use crate::diag::shown;

/// Ends a run; the number is the process's exit code.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Exit {
    /// Done, and nothing stands against building.
    Clean = 0,
    /// The spec was read, and findings stand against building.
    Findings = 1,
    /// The spec, the arguments or the disk could not be used.
    Unusable = 2,
}

/// What a command has to say.
#[derive(Debug)]
struct Said {
    /// Goes to standard output: the result.
    result: String,
    /// Goes to standard error: what stood in the way.
    problems: String,
    /// How the run ends.
    exit: Exit,
}

impl Said {
    /// A result and nothing against it.
    fn clean(result: impl Into<String>) -> Said {
        Said { result: result.into(), problems: String::new(), exit: Exit::Clean }
    }

    /// No result, for this reason and what led to it.
    fn unusable(reason: &anyhow::Error) -> Said {
        let problems = format!("fairlead: {}\n", shown(&format!("{reason:#}")));
        Said { result: String::new(), problems, exit: Exit::Unusable }
    }
}

/// Checks an engine-instrument harness written in YAML and makes the drawings, lists and papers to build it from.
#[derive(Debug, Parser)]
#[command(name = "fairlead", version, arg_required_else_help = true, after_help = EXIT_CODES)]
struct Cli {
    #[command(subcommand)]
    command: Command,
}

const EXIT_CODES: &str = "\
Exit codes: 0 done, and nothing stands against building that was not overruled;
1 findings stand against building; 2 the spec, the arguments or the disk could not be used.
What a command finds out goes to standard output, what stands in its way to standard error.";

#[derive(Debug, Subcommand)]
enum Command {
    /// Check a spec and write its packet: drawings, lists and one page that ties them together
    Build(build::Args),
    /// Check a spec and say what was found
    Check(check::Args),
    /// List the rules, or tell one in full
    Explain(explain::Args),
    /// Say how the figures of one thing come about, term by term, with the lines of the spec behind them
    Why(why::Args),
    /// Write a starter spec with remarks
    New(new::Args),
    /// Print the reference of the spec language
    Language(language::Args),
}

/// Runs the command line of this process.
pub fn main() -> ExitCode {
    let cli = match Cli::try_parse() {
        Ok(cli) => cli,
        Err(error) => {
            // Help and version are results, everything else is a problem; clap knows which stream is whose.
            let exit = if error.use_stderr() { Exit::Unusable } else { Exit::Clean };
            let _ = error.print();
            return ExitCode::from(exit as u8);
        }
    };
    let said = match cli.command {
        Command::Build(args) => build::run(&args),
        Command::Check(args) => check::run(&args),
        Command::Explain(args) => explain::run(&args),
        Command::Why(args) => why::run(&args),
        Command::New(args) => new::run(&args),
        Command::Language(args) => Ok(language::run(&args)),
    };
    let said = said.unwrap_or_else(|error| Said::unusable(&error));
    let exit = terminal::put(&said);
    ExitCode::from(exit as u8)
}

#[cfg(test)]
mod tests {
    use clap::CommandFactory as _;

    #[test]
    fn the_command_line_is_well_formed() {
        super::Cli::command().debug_assert();
    }
}
