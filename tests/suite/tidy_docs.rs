//! README.md, DEVELOPERS.md and Cargo.toml against the project: what they name must exist, and what exists and
//! matters must be named.

use std::collections::BTreeSet;
use std::fs;

use crate::tidy::{files_under, root, shown};

/// What may lie in the top folder.
const TOP: &[&str] = &[
    ".ci",
    ".gitignore",
    "Cargo.lock",
    "Cargo.toml",
    "DEVELOPERS.md",
    "LICENSE",
    "README.md",
    "clippy.toml",
    "harness-specs",
    "out-examples",
    "rustfmt.toml",
    "src",
    "tests",
];

/// What tools put beside the project.
const BY_TOOLS: &[&str] = &[".git", "target"];

fn text(file: &str) -> String {
    fs::read_to_string(root().join(file)).unwrap_or_else(|e| panic!("{file}: {e}"))
}

#[test]
fn the_top_folder_holds_what_it_may() {
    let strange: Vec<String> = fs::read_dir(root())
        .unwrap()
        .map(|e| e.unwrap().file_name().to_string_lossy().into_owned())
        .filter(|n| !TOP.contains(&n.as_str()) && !BY_TOOLS.contains(&n.as_str()))
        .collect();
    assert!(strange.is_empty(), "not of the project's top folder: {}", strange.join(", "));
}

/// Paths of the project that a text names, in backticks or as the target of a link.
fn paths(text: &str) -> Vec<&str> {
    let ticked = text.split('`').skip(1).step_by(2).flat_map(str::split_whitespace);
    let linked = text.split("](").skip(1).filter_map(|rest| rest.split(')').next());
    let of_project = |path: &&str| {
        let top = path.split('/').next().unwrap_or(path);
        TOP.contains(&top) && (path.contains('/') || *path != ".git")
    };
    // A name in capitals stands for any: `src/rules/NAME.rs`.
    let stands_for_any =
        |path: &str| path.split(['/', '.']).any(|p| ["NAME", "KIND", "STAGE", "…", "*"].contains(&p));
    ticked.chain(linked).filter(of_project).filter(|p| !stands_for_any(p)).collect()
}

#[test]
fn every_path_that_the_documents_name_exists() {
    let mut missing = Vec::new();
    for file in ["README.md", "DEVELOPERS.md"] {
        let text = text(file);
        let named = paths(&text);
        assert!(named.len() > 3, "{file} names hardly a path");
        missing.extend(
            named
                .iter()
                .filter(|p| !root().join(p).exists())
                .map(|p| format!("{file}: no `{p}` in the project")),
        );
    }
    assert!(missing.is_empty(), "{}", missing.join("\n"));
}

#[test]
fn every_folder_of_the_sources_and_the_tests_is_told() {
    let developers = text("DEVELOPERS.md");
    let mut folders: BTreeSet<String> = BTreeSet::new();
    for top in ["src", "tests"] {
        for entry in fs::read_dir(root().join(top)).unwrap().map(|e| e.unwrap()) {
            if entry.path().is_dir() {
                folders.insert(format!("`{top}/{}", entry.file_name().to_string_lossy()));
            }
        }
    }
    let untold: Vec<&String> = folders.iter().filter(|f| !developers.contains(f.as_str())).collect();
    assert!(untold.is_empty(), "DEVELOPERS.md does not name {untold:?}");
}

/// Names of the crates in one table of Cargo.toml.
fn dependencies(table: &str) -> Vec<String> {
    let manifest = text("Cargo.toml");
    let head = format!("[{table}]");
    let lines = manifest.lines().skip_while(|l| *l != head).skip(1).take_while(|l| !l.starts_with('['));
    let names = lines.filter(|l| !l.starts_with('#')).filter_map(|l| l.split_once('='));
    names.map(|(name, _)| name.trim().to_owned()).collect()
}

#[test]
fn every_dependency_is_used_and_has_its_reason_told() {
    let developers = text("DEVELOPERS.md");
    let read = |folder: &str| -> String {
        let rust = files_under(folder).into_iter().filter(|p| p.extension().is_some_and(|e| e == "rs"));
        rust.map(|p| fs::read_to_string(p).unwrap()).collect()
    };
    let (program, tests) = (read("src"), read("tests"));
    let mut wrong = Vec::new();
    for (table, dev) in [("dependencies", false), ("dev-dependencies", true)] {
        let names = dependencies(table);
        assert!(!names.is_empty(), "no {table} in Cargo.toml");
        for name in names {
            let path = format!("{}::", name.replace('-', "_"));
            let is_used = program.contains(&path) || (dev && tests.contains(&path));
            if !is_used {
                wrong.push(format!("`{name}` is in Cargo.toml and nothing uses it"));
            }
            if !developers.contains(&format!("| `{name}` |")) {
                wrong.push(format!("DEVELOPERS.md does not say why there is `{name}`"));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn the_manifest_says_what_the_crate_is() {
    let manifest = text("Cargo.toml");
    for key in ["name", "version", "edition", "rust-version", "description", "license", "readme"] {
        assert!(manifest.lines().any(|l| l.starts_with(&format!("{key} = "))), "Cargo.toml has no {key}");
    }
    let license = text("LICENSE");
    assert!(manifest.contains("license = \"MIT OR Apache-2.0\""));
    assert!(license.contains("MIT License") && license.contains("Apache License"));
}

/// Texts of the project must hold for every reader: no place of a machine, no name of a person.
#[test]
fn no_text_speaks_of_one_machine() {
    // Put together here, so that this file does not find itself.
    let words = [["/wo", "rk/"], ["/tm", "p/"], ["/ro", "ot/"], ["/ho", "me/"], ["C:\\", "Users"]]
        .map(|w| w.concat());
    let mut wrong = Vec::new();
    let tops = ["src", "tests", "harness-specs", "out-examples", ".ci"].into_iter().flat_map(files_under);
    let files = TOP.iter().map(|t| root().join(t)).filter(|p| p.is_file());
    for path in tops.chain(files) {
        // What is no text (typefaces) is passed over.
        let Ok(text) = fs::read_to_string(&path) else { continue };
        for (i, line) in text.lines().enumerate() {
            wrong.extend(
                words
                    .iter()
                    .filter(|w| line.contains(w.as_str()))
                    .map(|w| format!("{}:{}: {w}", shown(&path), i + 1)),
            );
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
