//! The sources as text: who may know whom, who may print and write, how a file begins and how long it may be.
//!
//! These are the invariants of DEVELOPERS.md that a compiler does not hold.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

/// Stages in the order of the flow. Those of one line do not know each other.
const FLOW: &[&[&str]] = &[
    &["spec"],
    &["parts"],
    &["harness"],
    &["graph"],
    &["rules", "plan", "draw"],
    &["packet"],
    &["pipeline"],
    &["commands"],
];

/// What lies under all stages, lowest first; each may know those before it.
const GROUND: &[&str] = &["workers", "diag", "quantity", "trade"];

/// What reads arguments, environment or clock, or prints.
const OUTSIDE: &[&str] = &[
    "println!",
    "print!",
    "eprintln!",
    "eprint!",
    "dbg!",
    "stdout()",
    "stderr()",
    "stdin()",
    "std::env::",
    "env::var",
    "env::args",
    "SystemTime",
    "Instant::now",
    "Zoned::now",
    "Timestamp::now",
    "process::exit",
];

/// What changes a disk.
const WRITING: &[&str] = &[
    "fs::write",
    "fs::rename",
    "fs::remove_",
    "fs::create_dir",
    "fs::copy",
    "fs::hard_link",
    "fs::set_permissions",
    "File::create",
    "OpenOptions",
    "tempfile::",
    ".persist(",
];

pub fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// Every file under a folder of the project, in order of its path.
pub fn files_under(folder: &str) -> Vec<PathBuf> {
    let mut found = Vec::new();
    let mut waiting = vec![root().join(folder)];
    while let Some(folder) = waiting.pop() {
        let Ok(entries) = fs::read_dir(&folder) else { continue };
        for path in entries.map(|e| e.unwrap().path()) {
            if path.is_dir() { waiting.push(path) } else { found.push(path) }
        }
    }
    found.sort();
    found
}

fn rust_files(folder: &str) -> Vec<PathBuf> {
    files_under(folder).into_iter().filter(|p| p.extension().is_some_and(|e| e == "rs")).collect()
}

/// A path as it is written in the project.
pub fn shown(path: &Path) -> String {
    path.strip_prefix(root()).unwrap_or(path).to_string_lossy().replace('\\', "/")
}

/// One file of `src` as it is in the program: without remarks and without tests.
struct Source {
    path: String,
    /// Line number and text.
    lines: Vec<(usize, String)>,
}

impl Source {
    /// `src/graph/route.rs` and `src/pipeline.rs` belong to `graph` and to `pipeline`.
    fn stage(&self) -> &str {
        let path = self.path.trim_start_matches("src/");
        path.split(['/', '.']).next().unwrap_or(path)
    }

    /// Where one of `words` stands.
    fn places(&self, words: &[&str]) -> Vec<String> {
        let hits = self.lines.iter().filter_map(|(number, line)| {
            let word = words.iter().find(|w| line.contains(**w))?;
            Some(format!("{}:{number}: {word}", self.path))
        });
        hits.collect()
    }
}

fn program() -> Vec<Source> {
    let files = rust_files("src");
    let for_tests: BTreeSet<PathBuf> = files.iter().flat_map(|path| test_modules(path)).collect();
    let is_for_tests = |path: &PathBuf| path.ancestors().any(|p| for_tests.contains(p));
    // The build script runs before the program is there; it is no part of it.
    let manifest = fs::read_to_string(root().join("Cargo.toml")).unwrap();
    let is_build_script = |path: &PathBuf| manifest.contains(&format!("build = \"{}\"", shown(path)));
    let sources = files.iter().filter(|p| !is_for_tests(p) && !is_build_script(p)).map(|path| {
        let text = fs::read_to_string(path).unwrap();
        let mut lines = Vec::new();
        let mut before = "";
        for (i, line) in text.lines().enumerate() {
            if before == "#[cfg(test)]" && line.starts_with("mod ") && line.ends_with('{') {
                break;
            }
            before = line;
            if !line.trim_start().starts_with("//") {
                let code = line.split(" // ").next().unwrap_or(line);
                lines.push((i + 1, code.to_owned()));
            }
        }
        Source { path: shown(path), lines }
    });
    let sources: Vec<Source> = sources.collect();
    assert!(sources.len() > 100, "only {} source files were found", sources.len());
    sources
}

/// Files and folders that a file declares as modules for tests only.
fn test_modules(path: &Path) -> Vec<PathBuf> {
    let text = fs::read_to_string(path).unwrap();
    let lines: Vec<&str> = text.lines().collect();
    let is_root = path.file_name().is_some_and(|n| n == "mod.rs" || n == "lib.rs" || n == "main.rs");
    let folder = if is_root { path.parent().unwrap().to_owned() } else { path.with_extension("") };
    let names = lines.windows(2).filter(|w| w[0] == "#[cfg(test)]").filter_map(|w| {
        let name = w[1].strip_prefix("pub ").unwrap_or(w[1]).strip_prefix("mod ")?;
        name.strip_suffix(';')
    });
    names.flat_map(|n| [folder.join(n), folder.join(format!("{n}.rs"))]).collect()
}

/// What of this crate a line names: `use crate::graph::Routing` names `graph`.
fn named(line: &str) -> Vec<&str> {
    let word = |text: &'_ str| text.find(|c: char| !c.is_alphanumeric() && c != '_').unwrap_or(text.len());
    let mut names = Vec::new();
    for rest in line.split("crate::").skip(1) {
        match rest.strip_prefix('{') {
            // `use crate::{diag::Sink, spec::Spec}`: rustfmt would write one line each for what is longer.
            Some(list) => names.extend(list.split(',').map(|i| i.trim()).map(|i| &i[..word(i)])),
            None => names.push(&rest[..word(rest)]),
        }
    }
    names.retain(|n| !n.is_empty());
    names
}

fn rank(stage: &str) -> Option<usize> {
    FLOW.iter().position(|line| line.contains(&stage))
}

/// None where `stage` may know `other`, else why not.
fn objection(stage: &str, other: &str) -> Option<String> {
    if stage == other || matches!(stage, "lib" | "main") {
        return None;
    }
    if let Some(height) = GROUND.iter().position(|g| *g == stage) {
        let may = GROUND[..height].contains(&other);
        return (!may).then(|| format!("`{stage}` is ground floor and must not know `{other}`"));
    }
    if GROUND.contains(&other) {
        return None;
    }
    match (rank(stage), rank(other)) {
        (Some(own), Some(its)) if its < own => None,
        (None, _) => Some(format!("`{stage}` has no place in the flow; give it one in tests/suite/tidy.rs")),
        _ => Some(format!("`{stage}` must not know `{other}`, which does not come before it in the flow")),
    }
}

#[test]
fn a_stage_knows_only_what_comes_before_it() {
    let mut wrong = Vec::new();
    for source in program() {
        for (number, line) in &source.lines {
            let objections = named(line).into_iter().filter_map(|other| objection(source.stage(), other));
            wrong.extend(objections.map(|o| format!("{}:{number}: {o}", source.path)));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn the_order_of_the_flow_is_told_apart() {
    assert_eq!(objection("draw", "harness"), None);
    assert_eq!(objection("trade", "quantity"), None);
    assert!(objection("spec", "parts").is_some());
    assert!(objection("rules", "plan").is_some());
    assert!(objection("quantity", "trade").is_some());
    assert!(objection("diag", "spec").is_some());
    assert!(objection("surprise", "spec").is_some());
    assert_eq!(named("use crate::{diag::Sink, spec::Spec};"), ["diag", "spec"]);
    assert_eq!(named("let x = crate::trade::stud::MOST + crate::plan::N;"), ["trade", "plan"]);
}

#[test]
fn only_commands_print_and_know_the_world_outside() {
    let sources = program();
    let wrong: Vec<String> =
        sources.iter().filter(|s| s.stage() != "commands").flat_map(|s| s.places(OUTSIDE)).collect();
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    assert!(sources.iter().any(|s| s.stage() == "commands" && !s.places(OUTSIDE).is_empty()));
}

#[test]
fn only_the_packet_writes_files() {
    let sources = program();
    let wrong: Vec<String> =
        sources.iter().filter(|s| s.stage() != "packet").flat_map(|s| s.places(WRITING)).collect();
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    assert!(sources.iter().any(|s| s.stage() == "packet" && !s.places(WRITING).is_empty()));
}

#[test]
fn nothing_is_left_to_be_done() {
    let words = &["todo!", "unimplemented!", "dbg!", "FIXME", "TODO", "XXX"];
    let wrong: Vec<String> = program().iter().flat_map(|s| s.places(words)).collect();
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn every_file_says_first_what_it_is_and_fits_a_sitting() {
    let mut wrong = Vec::new();
    for path in rust_files("src").into_iter().chain(rust_files("tests")) {
        let text = fs::read_to_string(&path).unwrap();
        let first = text.lines().next().unwrap_or_default();
        if !first.starts_with("//! ") {
            wrong.push(format!("{}:1: begins without `//!`", shown(&path)));
        }
        let length = text.lines().count();
        if length > 700 {
            wrong.push(format!("{}: {length} lines, split it before 700", shown(&path)));
        }
        let name = path.file_stem().unwrap().to_string_lossy();
        if ["utils", "util", "helpers", "helper", "common", "misc"].contains(&&*name) {
            wrong.push(format!("{}: name it after what it is", shown(&path)));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
