//! The tool as a user runs it: arguments in; exit code, standard output and standard error out.

use std::ffi::OsStr;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use crate::tidy::root;

/// A day on which every waiver of the examples that is meant to hold does so.
pub const TODAY: &str = "2026-11-25";

/// What one run said.
pub struct Run {
    pub code: Option<i32>,
    pub out: String,
    pub err: String,
}

/// The tool, to be run in `folder`, with nothing of this process's environment that could change what it says.
pub fn fairlead(folder: &Path) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_fairlead"));
    command.current_dir(folder).env_remove("NO_COLOR").env("TERM", "xterm").stdin(Stdio::null());
    command
}

/// Runs the tool in `folder`.
pub fn run_in<A: AsRef<OsStr>>(folder: &Path, arguments: impl IntoIterator<Item = A>) -> Run {
    let ran = fairlead(folder).args(arguments).output().unwrap();
    Run {
        code: ran.status.code(),
        out: String::from_utf8(ran.stdout).unwrap(),
        err: String::from_utf8(ran.stderr).unwrap(),
    }
}

/// Runs the tool in the top folder of the project.
pub fn run(arguments: &[&str]) -> Run {
    run_in(root(), arguments)
}

/// A folder with one spec in it: the starter with `changes` made, each a text and what stands in its place.
pub fn changed_starter(changes: &[(&str, &str)]) -> (tempfile::TempDir, PathBuf) {
    let folder = tempfile::tempdir().unwrap();
    let mut text = std::fs::read_to_string(root().join("src/commands/starter.yaml")).unwrap();
    for (from, to) in changes {
        assert!(text.contains(from), "the starter has no `{from}`");
        text = text.replacen(from, to, 1);
    }
    let spec = folder.path().join("spec.yaml");
    std::fs::write(&spec, text).unwrap();
    (folder, spec)
}

/// The starter with a supply that has neither breaker nor fuse, which says stop, and with `waiver` at its end.
pub fn stopped_starter(waiver: &str) -> (tempfile::TempDir, PathBuf) {
    let (folder, spec) = changed_starter(&[("{breaker: 2 A, at: panel", "{at: panel")]);
    let text = std::fs::read_to_string(&spec).unwrap();
    std::fs::write(&spec, format!("{text}\n{waiver}")).unwrap();
    (folder, spec)
}
