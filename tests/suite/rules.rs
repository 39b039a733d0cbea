//! Every rule over its own folder under tests/rules: it fires exactly on the lines that expect it, and nowhere else.
//!
//! A folder holds `pass.yaml` (no finding of any rule), `edge.yaml` (exactly at the limit, or the case next to what the
//! rule is about that it must let pass; none but waived findings) and `fail.yaml`, whose flagged lines end in
//! `# expect: rule-name`; `fail.txt` is the rendered text. `fail-edge.yaml` is a hair past the limit. `UPDATE=1` writes
//! fail.txt anew. A folder may hold part files of its own, more `fail-….yaml` with their `.txt`, and `unjudged.yaml`: a
//! spec that leaves out what the rule needs, on lines that end in `# not judged: rule-name`; what is found there
//! nevertheless is marked as in `fail.yaml`. `# checked on: no day` has a file checked by nobody's calendar.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

use fairlead::diag::text::{Look, render};
use fairlead::diag::{Finding, Sink, Sources};
use fairlead::graph::{Bundles, Routing};
use fairlead::harness::resolve::{Input, resolve};
use fairlead::parts::user::library_for;
use fairlead::quantity::Date;
use fairlead::rules::{self, Base, Outcome, Report};
use fairlead::spec::gate;
use fairlead::spec::load::load;
use fairlead::spec::model::Spec;

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/rules")
}

/// The day on which fixtures are checked.
fn today() -> Option<Date> {
    Date::new(2026, 11, 25)
}

/// Reads and judges one spec text; a spec that cannot be read fails the test.
pub fn judge_text(name: &str, text: &str, today: Option<Date>) -> (Report, Sources) {
    let mut sources = Sources::default();
    let mut sink = Sink::default();
    let file = sources.add(name, text);
    let tree =
        gate::read(&sources, file, &mut sink).unwrap_or_else(|| panic!("{name}: {:?}", sink.findings()));
    let loaded = load::<Spec>(&tree, &mut sink);
    let Some(spec) = loaded.value.clone() else {
        panic!("{}", render(sink.findings(), &sources, Look::default()))
    };
    let lost = |name: &str| loaded.lost(name);
    let beside = folder().join(name);
    let library = library_for(&spec, &tree, beside.parent(), &mut sources, &mut sink, &mut |_, _| {});
    let input = Input { spec: &spec, tree: &tree, library: &library, lost: &lost };
    let harness = resolve(input, &mut sink);
    assert!(sink.is_empty(), "{}", render(&sink.into_sorted(), &sources, Look::default()));
    let routing = Routing::lay_out(&harness);
    let bundles = Bundles::of(&harness, &library, &routing);
    let base = Base::of(&harness, &library, &routing, &bundles);
    (rules::judge(base.facts(today)), sources)
}

fn read(path: &Path) -> String {
    fs::read_to_string(path).unwrap_or_else(|e| panic!("{}: {e}", path.display()))
}

fn judge_file(path: &Path) -> (Report, Sources) {
    let name = path.strip_prefix(folder()).unwrap().to_string_lossy().replace('\\', "/");
    let text = read(path);
    let day = if text.contains("# checked on: no day") { None } else { today() };
    let (mut report, sources) = judge_text(&name, &text, day);
    // A part file serves all fixtures of its folder: what of it one of them leaves unused is no matter there.
    let in_part_file = |f: &Finding| sources.name(f.labels[0].span.file) != name;
    let own = name.starts_with("unused-part/");
    report.findings.retain(|f| own || f.rule != "unused-part" || !in_part_file(f));
    (report, sources)
}

/// The rules that a mark of a line names.
fn marked<'l>(line: &'l str, mark: &str) -> impl Iterator<Item = &'l str> {
    let names = line.split_once(mark).map_or("", |(_, rest)| rest.split('#').next().unwrap_or_default());
    names.split(',').map(str::trim).filter(|name| !name.is_empty())
}

/// Line and rule of every first label, and of every `# expect:`.
fn met_and_expected(findings: &[Finding], sources: &Sources, text: &str) -> [BTreeSet<(usize, String)>; 2] {
    let met = findings.iter().map(|f| (sources.position(f.labels[0].span).line, f.rule.to_owned())).collect();
    let mut expected = BTreeSet::new();
    for (i, line) in text.lines().enumerate() {
        expected.extend(marked(line, "# expect:").map(|name| (i + 1, name.to_owned())));
    }
    [met, expected]
}

fn files(rule: &str, stem: &str) -> Vec<PathBuf> {
    let mut found: Vec<PathBuf> = fs::read_dir(folder().join(rule))
        .unwrap_or_else(|e| panic!("tests/rules/{rule}: {e}"))
        .map(|entry| entry.unwrap().path())
        .filter(|p| p.extension().is_some_and(|e| e == "yaml"))
        .filter(|p| p.file_stem().unwrap().to_string_lossy().starts_with(stem))
        .collect();
    found.sort();
    found
}

#[test]
fn every_rule_has_its_folder_and_every_folder_its_rule() {
    let rules: BTreeSet<String> = rules::all().map(|r| r.name.to_owned()).collect();
    let folders: BTreeSet<String> = fs::read_dir(folder())
        .unwrap()
        .map(|e| e.unwrap())
        .filter(|e| e.path().is_dir())
        .map(|e| e.file_name().to_string_lossy().into_owned())
        .collect();
    assert_eq!(rules, folders);
    for rule in &rules {
        for stem in ["pass", "edge", "fail"] {
            assert!(!files(rule, stem).is_empty(), "{rule} has no {stem}");
        }
    }
}

#[test]
fn passing_specs_have_no_finding_of_any_rule() {
    let mut wrong = String::new();
    for rule in rules::all() {
        for path in files(rule.name, "pass").into_iter().chain(files(rule.name, "edge")) {
            let (report, sources) = judge_file(&path);
            let open: Vec<Finding> = report.open().cloned().collect();
            wrong.push_str(&render(&open, &sources, Look::default()));
            let standing = report.standings.iter().find(|s| s.rule.name == rule.name).unwrap();
            if standing.outcome != Outcome::Passed {
                wrong.push_str(&format!(
                    "{}: {:?} {:?}\n",
                    path.display(),
                    standing.outcome,
                    standing.unjudged
                ));
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong}");
}

/// What could not be judged stands on lines marked `# not judged: rule-name`; nothing is found there but what is marked
/// `# expect:`, as a loop of grounds is in which nobody says what flows.
#[test]
fn specs_that_leave_something_out_are_not_judged() {
    let mut wrong = String::new();
    for rule in rules::all() {
        for path in files(rule.name, "unjudged") {
            let text = read(&path);
            let (report, sources) = judge_file(&path);
            let [found, foreseen] = met_and_expected(&report.findings, &sources, &text);
            if found != foreseen {
                wrong.push_str(&render(&report.findings, &sources, Look::default()));
                wrong.push_str(&format!("{}: {found:?}, not {foreseen:?}\n", path.display()));
            }
            // What other rules lack in it is of interest only where the file says so.
            let names: BTreeSet<&str> = text.lines().flat_map(|line| marked(line, "# not judged:")).collect();
            let met: BTreeSet<(usize, &str)> = report
                .standings
                .iter()
                .filter(|s| names.contains(s.rule.name))
                .flat_map(|s| s.unjudged.iter().map(|u| (sources.position(u.span).line, s.rule.name)))
                .collect();
            let mut expected: BTreeSet<(usize, &str)> = BTreeSet::new();
            for (i, line) in text.lines().enumerate() {
                expected.extend(marked(line, "# not judged:").map(|name| (i + 1, name)));
            }
            assert!(
                expected.iter().any(|(_, name)| *name == rule.name),
                "{} expects nothing",
                path.display()
            );
            if met != expected {
                wrong.push_str(&format!("{}: {met:?}, not {expected:?}\n", path.display()));
            }
            let outcome = report.standings.iter().find(|s| s.rule.name == rule.name).map(|s| s.outcome);
            assert_eq!(outcome, Some(Outcome::NotJudged), "{}", path.display());
        }
    }
    assert!(wrong.is_empty(), "{wrong}");
}

/// A place that no run comes to lies in no zone. That is found by itself, and what is hot there is not passed.
#[test]
fn what_sits_where_no_run_leads_is_not_judged_for_heat() {
    let text = read(&folder().join("hot-terminal/pass.yaml"))
        .replace("holes: {", "holes: {FH2: {bore: 19 mm, max-conductors: 24}, ")
        .replace("head-converter, at: baffle", "head-converter, at: FH2");
    let (report, _) = judge_text("hot-terminal/nowhere.yaml", &text, today());
    assert!(!report.findings.is_empty() && report.findings.iter().all(|f| f.rule == "no-way"));
    for name in ["hot-terminal", "hot-part"] {
        let standing = report.standings.iter().find(|s| s.rule.name == name).unwrap();
        let told: Vec<_> = standing.unjudged.iter().map(|u| (u.id.as_str(), u.reason.as_str())).collect();
        assert_eq!(told, [("BOX", "no run leads to `FH2`, so in which zone it lies is not known")], "{name}");
    }
}

#[test]
fn failing_specs_fail_on_the_lines_that_expect_it() {
    let update = std::env::var_os("UPDATE").is_some();
    let mut wrong = String::new();
    for rule in rules::all() {
        for path in files(rule.name, "fail") {
            let text = read(&path);
            let (report, sources) = judge_file(&path);
            let [met, expected] = met_and_expected(&report.findings, &sources, &text);
            assert!(expected.iter().any(|(_, name)| name == rule.name), "{} expects nothing", path.display());
            for (line, name) in met.symmetric_difference(&expected) {
                let what = if expected.contains(&(*line, name.clone())) { "does not fire" } else { "fires" };
                wrong.push_str(&format!("{}:{line}: {name} {what}\n", path.display()));
            }
            let rendered = render(&report.findings, &sources, Look::default());
            let told = path.with_extension("txt");
            if update {
                fs::write(&told, &rendered).unwrap();
            }
            let kept = fs::read_to_string(&told).unwrap_or_default();
            if kept != rendered {
                let diff = similar::TextDiff::from_lines(&kept, &rendered);
                wrong.push_str(&format!("{}\n{}\n", told.display(), diff.unified_diff()));
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong}UPDATE=1 writes the texts anew\n");
}

/// A designer who works in inches is told inches, by every rule.
#[test]
fn findings_of_an_inch_spec_speak_inches() {
    let metric = |text: &str| {
        let words: Vec<&str> = text.split([' ', ',', ';', ')', '(']).collect();
        words.windows(2).any(|two| matches!(two[1], "mm" | "°C" | "mm²") && two[0].parse::<f64>().is_ok())
    };
    let mut wrong = String::new();
    // What is a hair past its limit is told in the unit that quantities are kept in, or the hair would be rounded away.
    let a_hair =
        |path: &PathBuf| path.file_stem().is_some_and(|stem| stem.to_string_lossy().contains("edge"));
    let failing = rules::all().flat_map(|rule| files(rule.name, "fail"));
    for path in failing.filter(|path| !a_hair(path)) {
        let name = path.strip_prefix(folder()).unwrap().to_string_lossy().into_owned();
        let text =
            read(&path).replacen("harness: {title: Fixture,", "harness: {title: Fixture, units: inch,", 1);
        let (report, _) = judge_text(&name, &text, today());
        // An offset is told in the unit that the sender's own scale is in.
        for f in report.findings.iter().filter(|f| f.rule != "sender-offset") {
            let labels = f.labels.iter().map(|label| &label.text);
            for told in [&f.message, &f.remedy, &f.in_service].into_iter().chain(labels).filter(|t| metric(t))
            {
                wrong.push_str(&format!("{name} [{}]: {told}\n", f.rule));
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong}");
}
