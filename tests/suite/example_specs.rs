//! The example specs and the starter spec: each checks clean, down to the last doubt.

use std::path::Path;

use fairlead::diag::text::{Look, render};
use fairlead::diag::{Finding, Severity, Sources};
use fairlead::harness::Harness;
use fairlead::pipeline;
use fairlead::rules::{Base, Report, judge};

/// A day on which every waiver of the examples that is meant to hold does so.
const TODAY: &str = "2026-11-25";

/// A spec of the project, judged by every rule.
pub struct Judged {
    pub harness: Harness,
    pub sources: Sources,
    pub report: Report,
}

/// Reads and judges the spec at a path of the project.
pub fn judged(path: &str) -> Judged {
    let reading = pipeline::read(Path::new(path)).unwrap_or_else(|error| panic!("{path}: {error}"));
    let resolved = reading
        .resolve()
        .unwrap_or_else(|bad| panic!("{}", render(&bad.findings, &bad.sources, Look::default())));
    let base = Base::of(&resolved.harness, &resolved.library, &resolved.routing, &resolved.bundles);
    let report = judge(base.facts(TODAY.parse().ok()));
    Judged { harness: resolved.harness, sources: resolved.sources, report }
}

fn against(findings: &[Finding]) -> Vec<Finding> {
    findings.iter().filter(|f| f.waived.is_none() && f.severity >= Severity::Doubt).cloned().collect()
}

#[test]
fn every_example_but_the_one_as_found_checks_clean() {
    let mut names: Vec<String> = std::fs::read_dir("harness-specs")
        .unwrap()
        .map(|entry| entry.unwrap().path().to_string_lossy().into_owned())
        .filter(|name| name.ends_with(".yaml") && !name.ends_with("as-found.yaml"))
        .collect();
    names.sort();
    assert!(names.len() >= 3, "{names:?}");
    names.push("src/commands/starter.yaml".into());
    for name in names {
        let found = judged(&name);
        let open = against(&found.report.findings);
        assert!(open.is_empty(), "{}", render(&open, &found.sources, Look::default()));
    }
}

#[test]
fn every_example_says_that_it_is_invented() {
    for name in ["four-cylinder", "six-cylinder", "workboat", "as-found"] {
        let header = judged(&format!("harness-specs/{name}.yaml")).harness.header;
        assert!(header.remark.is_some_and(|r| r.to_lowercase().contains("invented")), "{name}");
    }
    let starter = judged("src/commands/starter.yaml").harness.header;
    assert!(starter.remark.is_some_and(|r| r.to_lowercase().contains("invented")));
}
