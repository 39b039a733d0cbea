//! Finished text in; standard output and standard error out.

use std::io::{self, ErrorKind, IsTerminal, Write as _};

use super::{Exit, Said};

/// Writes everything; the exit code is the command's own unless the output could not be written.
///
/// A reader that closes the pipe early (`fairlead check spec.yaml | head`) has what it wanted: that is no failure.
pub(super) fn put(said: &Said) -> Exit {
    let _ = io::stderr().lock().write_all(said.problems.as_bytes());
    let mut out = io::stdout().lock();
    match out.write_all(said.result.as_bytes()).and_then(|()| out.flush()) {
        Err(error) if error.kind() != ErrorKind::BrokenPipe => {
            let _ = writeln!(io::stderr(), "fairlead: the result could not be written: {error}");
            Exit::Unusable
        }
        _ => said.exit,
    }
}

/// True where colour may be used: on a terminal, and the user has not set `NO_COLOR` (no-color.org: present and not
/// empty) or `TERM=dumb`.
pub(super) fn colour(stream: &impl IsTerminal) -> bool {
    let refused = std::env::var_os("NO_COLOR").is_some_and(|v| !v.is_empty());
    let dumb = std::env::var_os("TERM").is_some_and(|v| v == "dumb");
    stream.is_terminal() && !refused && !dumb
}
