//! The commands that tell: help, version, `explain`, `why`, `new`, `language`.

use crate::command_line::{run, run_in};

#[test]
fn help_and_version_are_results() {
    for arguments in [&["--help"][..], &["check", "--help"], &["help", "build"], &["--version"]] {
        let ran = run(arguments);
        assert_eq!((ran.code, ran.err.as_str()), (Some(0), ""), "{arguments:?}");
        assert!(!ran.out.is_empty() && !ran.out.contains('\u{1b}'), "{arguments:?}");
    }
    let help = run(&["--help"]).out;
    for command in ["build", "check", "explain", "why", "new", "language"] {
        assert!(help.lines().any(|l| l.trim_start().starts_with(command)), "{command}: {help}");
    }
    assert!(help.contains("Exit codes:"), "{help}");
    assert_eq!(run(&["--version"]).out, format!("fairlead {}\n", env!("CARGO_PKG_VERSION")));
}

#[test]
fn wrong_arguments_end_with_2_on_standard_error() {
    for arguments in
        [&[][..], &["bild"], &["check"], &["check", "a", "b"], &["check", "a", "--format", "xml"]]
    {
        let ran = run(arguments);
        assert_eq!((ran.code, ran.out.as_str()), (Some(2), ""), "{arguments:?}");
        assert!(!ran.err.is_empty(), "{arguments:?}");
    }
}

#[test]
fn explain_lists_and_tells_every_rule() {
    let list = run(&["explain"]);
    assert_eq!((list.code, list.err.as_str()), (Some(0), ""));
    for rule in fairlead::rules::all() {
        assert!(list.out.contains(rule.name), "{}", rule.name);
        let told = run(&["explain", rule.name]);
        assert_eq!(told.code, Some(0));
        assert!(told.out.contains(rule.title) && told.out.contains("source:"), "{}", told.out);
    }
    let wrong = run(&["explain", "swaped-legs"]);
    assert_eq!((wrong.code, wrong.out.as_str()), (Some(2), ""));
    assert!(wrong.err.contains("`swapped-legs`"), "{}", wrong.err);
}

#[test]
fn why_adds_up_and_offers_the_nearest_name() {
    let spec = "harness-specs/four-cylinder.yaml";
    let told = run(&["why", spec, "FH1"]);
    assert_eq!((told.code, told.err.as_str()), (Some(0), ""));
    assert!(told.out.contains(spec), "{}", told.out);
    let wrong = run(&["why", spec, "FH11"]);
    assert_eq!((wrong.code, wrong.out.as_str()), (Some(2), ""));
    assert!(wrong.err.contains("`FH1`"), "{}", wrong.err);
    assert_eq!(run(&["why", "no-such.yaml", "FH1"]).code, Some(2));
}

#[test]
fn new_writes_a_spec_that_checks_clean_and_overwrites_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let ran = run_in(folder.path(), ["new"]);
    assert_eq!(ran.code, Some(0), "{}", ran.err);
    let path = folder.path().join("harness.yaml");
    assert!(ran.out.contains("harness.yaml") && path.is_file());
    assert_eq!(run_in(folder.path(), ["check", "harness.yaml", "--strict"]).code, Some(0));
    std::fs::write(&path, "mine").unwrap();
    let again = run_in(folder.path(), ["new"]);
    assert_eq!((again.code, again.out.as_str()), (Some(2), ""));
    assert!(again.err.contains("is not overwritten"), "{}", again.err);
    assert_eq!(std::fs::read_to_string(&path).unwrap(), "mine");
    assert_eq!(run_in(folder.path(), ["new", "no-such-folder/x.yaml"]).code, Some(2));
}

#[test]
fn the_schemas_take_what_the_reader_takes() {
    for arguments in [&["language", "--schema"][..], &["language", "--schema", "--parts"]] {
        let schema: serde_json::Value = serde_json::from_str(&run(arguments).out).unwrap();
        assert_eq!(schema["$schema"], "https://json-schema.org/draft/2020-12/schema");
        assert_eq!(schema["additionalProperties"], false);
    }
    assert_eq!(run(&["language", "--parts"]).code, Some(2));
}
