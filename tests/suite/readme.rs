//! The examples of README.md: each shell line is run as a reader would run it, and must say what README.md says.
//!
//! A `yaml` block that begins with `# file: NAME` is that file; with `, as OTHER but for` behind it, it is OTHER with the
//! lines of the same keys exchanged. A line of a `sh` block ends well, unless it says
//! `# ends with CODE`; with `| head -N` behind it, its first N lines are what it prints. A `text` block after a `sh`
//! block is what its last line prints; `UPDATE=1` writes it anew.

use std::fs;
use std::path::Path;
use std::process::Command;

use crate::kept::hold;
use crate::tidy::{files_under, root, shown};

/// One fenced block: its language, its text, and the line on which the text begins.
struct Block {
    language: String,
    text: String,
    first: usize,
}

fn blocks(text: &str) -> Vec<Block> {
    let mut found: Vec<Block> = Vec::new();
    let mut open = false;
    for (i, line) in text.lines().enumerate() {
        match (line.strip_prefix("```"), open) {
            (Some(language), false) => {
                found.push(Block { language: language.to_owned(), text: String::new(), first: i + 1 });
                open = true;
            }
            (Some(_), true) => open = false,
            (None, true) => {
                let block = found.last_mut().expect("a block is open");
                block.text.push_str(line);
                block.text.push('\n');
            }
            (None, false) => {}
        }
    }
    assert!(!open, "a block is not closed");
    found
}

/// Name and text of the file that a yaml block stands for.
fn file<'a>(block: &'a str, folder: &Path) -> (&'a str, String) {
    let (head, rest) = block.split_once('\n').expect("more than a file name");
    let name = head.strip_prefix("# file: ").expect("a file name in a yaml block");
    let Some((name, other)) = name.split_once(", as ") else { return (name, block.to_owned()) };
    let other = other.strip_suffix(" but for").expect("`as OTHER but for`");
    let other = fs::read_to_string(folder.join(other)).unwrap();
    let mut lines: Vec<&str> = other.lines().collect();
    for line in rest.lines() {
        let key = &line[..=line.find(':').expect("a key")];
        let at =
            lines.iter().rposition(|l| l.starts_with(key)).unwrap_or_else(|| panic!("no `{key}` in {name}"));
        lines[at] = line;
    }
    (name, lines.join("\n") + "\n")
}

/// The arguments of fairlead in a shell line; None for a line that runs something else.
fn arguments(line: &str) -> Option<Vec<&str>> {
    let command = line.split(['#', '|']).next().unwrap_or(line);
    let rest = ["fairlead ", "cargo run --release -- ", "cargo run -- "]
        .iter()
        .find_map(|p| command.strip_prefix(p))?;
    Some(rest.split_whitespace().collect())
}

fn expected_code(line: &str) -> i32 {
    line.split_once("# ends with ")
        .map_or(0, |(_, code)| code.trim().parse().expect("a number after `ends with`"))
}

/// Runs one line in `folder`; gives what it printed.
fn run(line: &str, folder: &Path) -> Option<String> {
    let ran = Command::new(env!("CARGO_BIN_EXE_fairlead"))
        .args(arguments(line)?)
        .current_dir(folder)
        .env("NO_COLOR", "1")
        .env("COLUMNS", "100")
        .output()
        .unwrap();
    let (out, err) = (String::from_utf8(ran.stdout).unwrap(), String::from_utf8(ran.stderr).unwrap());
    assert_eq!(ran.status.code(), Some(expected_code(line)), "{line}\n{out}{err}");
    let said = out + &err;
    let Some((_, most)) = line.split_once("| head -") else { return Some(said) };
    let most = most.trim().parse().expect("a number of lines");
    Some(said.lines().take(most).flat_map(|l| [l, "\n"]).collect())
}

/// A folder as a reader has it after cloning, so that what the examples write stays in it.
fn clone() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    for path in files_under("harness-specs") {
        let to = folder.path().join(shown(&path));
        fs::create_dir_all(to.parent().unwrap()).unwrap();
        fs::copy(&path, to).unwrap();
    }
    folder
}

#[test]
fn the_examples_run_and_say_what_is_printed() {
    let readme = root().join("README.md");
    let text = fs::read_to_string(&readme).unwrap();
    // Built without books, the tool makes none.
    let made = |line: &&str| cfg!(feature = "book") || !line.ends_with(".pdf");
    let text: String = text.lines().filter(made).flat_map(|line| [line, "\n"]).collect();
    let folder = clone();
    let mut printed: Option<String> = None;
    let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
    let (mut ran, mut compared) = (0, 0);
    // Blocks are put in from the last to the first, so that line numbers hold.
    let mut fresh: Vec<(usize, usize, String)> = Vec::new();
    for block in blocks(&text) {
        match block.language.as_str() {
            "yaml" => {
                let (name, text) = file(&block.text, folder.path());
                fs::write(folder.path().join(name), text).unwrap();
            }
            "sh" => {
                for line in block.text.lines() {
                    let said = run(line, folder.path());
                    ran += usize::from(said.is_some());
                    printed = said.or(printed);
                }
            }
            "text" => {
                let said =
                    printed.take().unwrap_or_else(|| panic!("line {}: nothing was run before", block.first));
                fresh.push((block.first, block.text.lines().count(), said));
                compared += 1;
            }
            other => panic!("line {}: no rule for a block of `{other}`", block.first),
        }
    }
    assert!(ran > 1 && compared > 1, "README.md shows nothing");
    let drawing = fs::read(folder.path().join("gauge-packet/wiring-1.svg")).unwrap();
    hold("tests/draw/readme_wiring.svg", &drawing);
    for (first, count, said) in fresh.into_iter().rev() {
        lines.splice(first..first + count, said.lines().map(|l| l.trim_end().to_owned()));
    }
    let expected = lines.join("\n") + "\n";
    if std::env::var_os("UPDATE").is_some_and(|v| v == "1") {
        fs::write(&readme, &expected).unwrap();
    } else if text != expected {
        let diff = similar::TextDiff::from_lines(&text, &expected);
        panic!("README.md is behind; UPDATE=1 writes it anew\n{}", diff.unified_diff());
    }
}

#[test]
fn every_command_is_in_the_table_and_the_table_names_no_other() {
    let text = fs::read_to_string(root().join("README.md")).unwrap();
    let told: Vec<&str> = text
        .lines()
        .filter_map(|l| l.strip_prefix("| `fairlead "))
        .filter_map(|rest| rest.split([' ', '`']).next())
        .collect();
    let help = run("fairlead --help", root()).unwrap();
    let there: Vec<&str> = help
        .lines()
        .skip_while(|l| *l != "Commands:")
        .skip(1)
        .take_while(|l| !l.is_empty())
        .filter(|l| l.starts_with("  ") && !l.starts_with("   "))
        .filter_map(|l| l.split_whitespace().next())
        .filter(|name| *name != "help")
        .collect();
    assert_eq!(told, there);
}

#[test]
fn the_exit_codes_are_as_told() {
    let folder = clone();
    let write = |name: &str, text: &str| fs::write(folder.path().join(name), text).unwrap();
    let clean = fs::read_to_string(root().join("src/commands/starter.yaml")).unwrap();
    write("clean.yaml", &clean);
    write("garbled.yaml", &clean.replace("zones:", "zones: ["));
    write("unknown.yaml", &clean.replace("part: cht-bayonet-k", "part: no-such-probe"));
    for line in [
        "fairlead check clean.yaml",
        "fairlead check clean.yaml --strict",
        "fairlead check clean.yaml --format json",
        "fairlead check harness-specs/as-found.yaml # ends with 1",
        "fairlead check harness-specs/as-found.yaml --format sarif # ends with 1",
        "fairlead check garbled.yaml # ends with 2",
        "fairlead check unknown.yaml # ends with 2",
        "fairlead check no-such-file.yaml # ends with 2",
        "fairlead check # ends with 2",
        "fairlead check clean.yaml --no-such-option # ends with 2",
        "fairlead no-such-command # ends with 2",
    ] {
        assert!(run(line, folder.path()).is_some_and(|said| !said.is_empty()), "{line} says nothing");
    }
}
