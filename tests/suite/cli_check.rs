//! `fairlead check`: what it finds goes to standard output, in every format; the exit code says how it stands.

use serde_json::Value;

use crate::command_line::{TODAY, changed_starter, fairlead, run, run_in, stopped_starter};
use crate::tidy::root;

const CLEAN: &str = "harness-specs/four-cylinder.yaml";
const FAULTY: &str = "harness-specs/as-found.yaml";

#[test]
fn a_clean_spec_ends_with_0_and_says_so() {
    let ran = run(&["check", CLEAN, "--today", TODAY]);
    assert_eq!((ran.code, ran.err.as_str()), (Some(0), ""));
    assert!(ran.out.starts_with("nothing found\nrules: "), "{}", ran.out);
    assert!(ran.out.contains(" passed, 0 failed, 0 waived, "), "{}", ran.out);
}

#[test]
fn findings_that_stop_end_with_1_and_stand_on_standard_output() {
    let ran = run(&["check", FAULTY, "--today", TODAY]);
    assert_eq!((ran.code, ran.err.as_str()), (Some(1), ""));
    assert!(ran.out.contains("stop[swapped-legs]: "), "{}", ran.out);
    assert!(ran.out.contains("harness-specs/as-found.yaml:"), "{}", ran.out);
    assert!(!ran.out.contains('\u{1b}'), "no colour where there is no terminal");
}

#[test]
fn doubts_stand_against_building_only_when_strict() {
    let waiver = "waive:\n  - {rule: hole-count, at: FH1, because: there is room, by: QB}\n";
    let (folder, spec) = changed_starter(&[]);
    let text = std::fs::read_to_string(&spec).unwrap();
    std::fs::write(&spec, format!("{text}\n{waiver}")).unwrap();
    let ran = run_in(folder.path(), ["check", "spec.yaml", "--short"]);
    assert_eq!(ran.code, Some(0), "{}", ran.out);
    assert!(ran.out.contains(": doubt: waiver-matches-nothing: "), "{}", ran.out);
    assert_eq!(run_in(folder.path(), ["check", "spec.yaml", "--strict"]).code, Some(1));
}

#[test]
fn a_waiver_holds_to_the_end_of_its_last_day() {
    let waiver =
        "waive:\n  - {rule: unfused-supply, at: GAUGE-CB, because: bench test, by: QB, until: 2027-01-31}\n";
    let (folder, _) = stopped_starter(waiver);
    let on = |day: &str| run_in(folder.path(), ["check", "spec.yaml", "--today", day]);
    let last = on("2027-01-31");
    assert_eq!(last.code, Some(0), "{}", last.out);
    assert!(last.out.contains("1 waived") && last.out.contains("bench test (QB)"), "{}", last.out);
    let after = on("2027-02-01");
    assert_eq!(after.code, Some(1));
    assert!(after.out.contains("waiver-expired"), "{}", after.out);
}

#[test]
fn a_day_that_is_none_is_a_fault_of_the_arguments() {
    let ran = run(&["check", CLEAN, "--today", "2027-02-30"]);
    assert_eq!((ran.code, ran.out.as_str()), (Some(2), ""));
    assert!(ran.err.contains("is not a day of the calendar"), "{}", ran.err);
}

#[test]
fn what_is_not_there_ends_with_2_on_standard_error() {
    for path in ["no-such.yaml", "harness-specs"] {
        let ran = run(&["check", path]);
        assert_eq!((ran.code, ran.out.as_str()), (Some(2), ""), "{path}");
        assert!(ran.err.starts_with(&format!("fairlead: `{path}` cannot be read: ")), "{}", ran.err);
    }
}

#[test]
fn a_faulty_language_ends_with_2_and_names_line_and_column() {
    let (folder, spec) = changed_starter(&[("equipment:", "equipmint:")]);
    let ran = run_in(folder.path(), ["check", "spec.yaml"]);
    let line = std::fs::read_to_string(spec).unwrap().lines().position(|l| l == "equipmint:").unwrap() + 1;
    assert_eq!((ran.code, ran.err.as_str()), (Some(2), ""));
    assert!(ran.out.contains(&format!("spec.yaml:{line}:1")), "{}", ran.out);
    assert!(ran.out.contains("`equipment`"), "the nearest key is offered: {}", ran.out);
    for format in ["json", "sarif"] {
        let ran = run_in(folder.path(), ["check", "spec.yaml", "--format", format]);
        assert_eq!(ran.code, Some(2));
        let _: Value = serde_json::from_str(&ran.out).unwrap();
    }
}

#[test]
fn json_counts_what_it_lists() {
    let ran = run(&["check", FAULTY, "--format", "json", "--today", TODAY]);
    assert_eq!((ran.code, ran.err.as_str()), (Some(1), ""));
    let report: Value = serde_json::from_str(&ran.out).unwrap();
    let findings = report["findings"].as_array().unwrap();
    let open = |severity: &str| {
        findings.iter().filter(|f| f["severity"] == severity && f["waived"].is_null()).count() as u64
    };
    for severity in ["stop", "doubt", "note"] {
        assert_eq!(report["counts"][severity].as_u64(), Some(open(severity)), "{severity}");
    }
    assert!(open("stop") > 0);
}

#[test]
fn sarif_describes_every_rule_it_reports() {
    // SARIF 2.1.0 (OASIS, 27 March 2020), 3.27.5: ruleId names a reportingDescriptor of the driver.
    let ran = run(&["check", FAULTY, "--format", "sarif", "--today", TODAY]);
    let log: Value = serde_json::from_str(&ran.out).unwrap();
    assert_eq!(log["version"], "2.1.0");
    let known: Vec<&Value> =
        log["runs"][0]["tool"]["driver"]["rules"].as_array().unwrap().iter().map(|r| &r["id"]).collect();
    let results = log["runs"][0]["results"].as_array().unwrap();
    assert!(!results.is_empty());
    for result in results {
        assert!(known.contains(&&result["ruleId"]), "{}", result["ruleId"]);
    }
}

#[test]
fn short_is_one_line_a_finding() {
    let ran = run(&["check", FAULTY, "--short", "--today", TODAY]);
    let findings = ran.out.lines().take_while(|l| l.starts_with("harness-specs/as-found.yaml:")).count();
    let json = run(&["check", FAULTY, "--format", "json", "--today", TODAY]);
    let report: Value = serde_json::from_str(&json.out).unwrap();
    assert_eq!(findings, report["findings"].as_array().unwrap().len());
}

#[test]
fn the_clock_is_read_where_no_day_is_given() {
    // Whatever day it is, it is after this waiver's last.
    let waiver =
        "waive:\n  - {rule: unfused-supply, at: GAUGE-CB, because: bench test, by: QB, until: 2020-01-31}\n";
    let (folder, _) = stopped_starter(waiver);
    let ran = run_in(folder.path(), ["check", "spec.yaml"]);
    assert_eq!(ran.code, Some(1));
    assert!(ran.out.contains("waiver-expired"), "{}", ran.out);
}

#[cfg(unix)]
#[test]
fn a_reader_that_leaves_early_is_no_failure() {
    use std::process::Stdio;
    let mut child = fairlead(root())
        .args(["check", FAULTY, "--today", TODAY])
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    drop(child.stdout.take());
    let ended = child.wait_with_output().unwrap();
    assert_eq!(ended.status.code(), Some(1), "the code is that of the findings");
    assert_eq!(String::from_utf8(ended.stderr).unwrap(), "");
}

#[cfg(unix)]
#[test]
fn the_name_of_a_file_cannot_drive_the_terminal() {
    let folder = tempfile::tempdir().unwrap();
    let name = "a\u{1b}[31m\u{202e}b.yaml";
    std::fs::write(folder.path().join(name), "fairlead: 1\nx: 1\n").unwrap();
    let missing = run_in(folder.path(), ["check", "\u{1b}]0;gone\u{7}.yaml"]);
    let faulty = run_in(folder.path(), ["check", name]);
    for text in [missing.err, faulty.out] {
        assert!(!text.is_empty());
        assert!(!text.chars().any(|c| c.is_control() && c != '\n') && !text.contains('\u{202e}'), "{text:?}");
    }
}
