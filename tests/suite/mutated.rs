//! Example specs with a few words changed, lines lost or doubled: whatever is in a spec, the run ends in a result or
//! in findings that can be shown, never in a panic. Generated faults reach where no written test thinks of looking.

use std::cell::Cell;
use std::fs;

use fairlead::diag::text::{Look, render};
use fairlead::diag::{Finding, Sources, json, sarif};
use fairlead::pipeline;
use proptest::prelude::*;
use proptest::sample::{Index, select};
use proptest::test_runner::{Config, RngAlgorithm, TestRng, TestRunner};

const SPECS: [&str; 4] = ["four-cylinder", "six-cylinder", "workboat", "as-found"];

/// Words that mean something somewhere in the language, and some that are wrong everywhere.
const WORDS: [&str; 16] = [
    "0",
    "-1",
    "1",
    "9999999999",
    "0 mm",
    "1e9 mm",
    "-40 °C",
    "0 AWG",
    "auto",
    "null",
    "[]",
    "{}",
    "\"\"",
    "x",
    "é",
    "engine",
];

/// One change of a spec.
#[derive(Clone, Debug)]
enum Change {
    /// A line is lost.
    Lose(Index),
    /// A line stands twice.
    Double(Index),
    /// A word takes the place of another one of the file.
    Exchange(Index, Index),
    /// A word is replaced by one of [`WORDS`].
    Replace(Index, &'static str),
}

fn change() -> impl Strategy<Value = Change> {
    let any = any::<Index>;
    prop_oneof![
        1 => any().prop_map(Change::Lose),
        1 => any().prop_map(Change::Double),
        5 => (any(), any()).prop_map(|(a, b)| Change::Exchange(a, b)),
        2 => (any(), select(WORDS.to_vec())).prop_map(|(a, word)| Change::Replace(a, word)),
    ]
}

/// Where the words of a text stand, remarks left out.
fn words(text: &str) -> Vec<(usize, usize)> {
    let mut found: Vec<(usize, usize)> = Vec::new();
    let mut remark = false;
    for (at, letter) in text.char_indices() {
        remark = (remark || letter == '#') && letter != '\n';
        if remark || !(letter.is_alphanumeric() || "-._".contains(letter)) {
            continue;
        }
        match found.last_mut() {
            Some((_, end)) if *end == at => *end = at + letter.len_utf8(),
            _ => found.push((at, at + letter.len_utf8())),
        }
    }
    found
}

fn changed(text: &str, change: &Change) -> String {
    let mut lines: Vec<&str> = text.lines().collect();
    match change {
        Change::Lose(at) => drop(lines.remove(at.index(lines.len()))),
        Change::Double(at) => {
            let at = at.index(lines.len());
            lines.insert(at, lines[at]);
        }
        Change::Exchange(..) | Change::Replace(..) => {
            let words = words(text);
            let (at, word) = match change {
                Change::Exchange(at, other) => {
                    let (from, to) = *other.get(&words);
                    (at, &text[from..to])
                }
                Change::Replace(at, word) => (at, *word),
                Change::Lose(_) | Change::Double(_) => unreachable!(),
            };
            let (from, to) = *at.get(&words);
            return format!("{}{word}{}", &text[..from], &text[to..]);
        }
    }
    lines.join("\n") + "\n"
}

/// Every way of showing findings.
fn show(findings: &[Finding], sources: &Sources) {
    for finding in findings {
        assert!(!finding.message.is_empty() && !finding.labels.is_empty(), "{finding:?}");
    }
    for look in [Look::default(), Look { short: true, ..Look::default() }] {
        assert_eq!(render(findings, sources, look).is_empty(), findings.is_empty());
    }
    assert!(json::render(findings, sources).ends_with("}\n"));
    assert!(sarif::render(findings, &[], sources).contains("2.1.0"));
}

#[test]
fn no_change_of_a_spec_breaks_the_run() {
    let texts = SPECS.map(|name| fs::read_to_string(format!("harness-specs/{name}.yaml")).unwrap());
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("changed.yaml");
    // The part files that a spec names lie beside it.
    fs::create_dir(folder.path().join("parts")).unwrap();
    for part in fs::read_dir("harness-specs/parts").unwrap().map(Result::unwrap) {
        fs::copy(part.path(), folder.path().join("parts").join(part.file_name())).unwrap();
    }
    let (runs, judged) = (Cell::new(0), Cell::new(0));
    let cases = (select(texts.to_vec()), proptest::collection::vec(change(), 1..3));
    let config = Config { cases: 30, failure_persistence: None, ..Config::default() };
    let outcome = TestRunner::new_with_rng(config, TestRng::deterministic_rng(RngAlgorithm::ChaCha)).run(
        &cases,
        |(text, changes)| {
            let text = changes.iter().fold(text, |text, change| changed(&text, change));
            fs::write(&path, &text).unwrap();
            runs.set(runs.get() + 1);
            match pipeline::read(&path).unwrap().resolve() {
                Err(unreadable) => show(&unreadable.findings, &unreadable.sources),
                Ok(resolved) => {
                    judged.set(judged.get() + 1);
                    let report = resolved.judge(None);
                    show(&report.findings, &resolved.sources);
                    let (set, _) = resolved.packet(&report).unwrap();
                    assert!(set.get("index.html").is_some_and(|page| page.ends_with(b"</html>\n")));
                }
            }
            Ok(())
        },
    );
    outcome.unwrap_or_else(|failure| panic!("{failure}"));
    // Most changes make names unknown; enough must come through to the rules.
    assert!(judged.get() * 20 > runs.get(), "{} of {} runs came to the rules", judged.get(), runs.get());
}
