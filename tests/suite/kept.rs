//! Files that are kept in the project and made by the tool: each must equal a fresh one. `UPDATE=1` writes them anew.

use std::fs;

use crate::command_line::run;
use crate::tidy::root;

pub fn update() -> bool {
    std::env::var_os("UPDATE").is_some_and(|v| v == "1")
}

/// Compares a kept file with what it should be, or writes it anew.
pub fn hold(path: &str, fresh: &[u8]) {
    let file = root().join(path);
    let kept = fs::read(&file).unwrap_or_default();
    if kept == fresh {
        return;
    }
    if update() {
        fs::create_dir_all(file.parent().unwrap()).unwrap();
        fs::write(&file, fresh).unwrap();
        return;
    }
    let (Ok(kept), Ok(fresh)) = (std::str::from_utf8(&kept), std::str::from_utf8(fresh)) else {
        let same = kept.iter().zip(fresh).take_while(|(a, b)| a == b).count();
        panic!("{path} is behind from byte {same} on; UPDATE=1 writes it anew");
    };
    // A line of a page may be as long as its typeface.
    let cut =
        |text: &str| text.lines().map(|l| l.chars().take(200).collect::<String>() + "\n").collect::<String>();
    let (kept, fresh) = (cut(kept), cut(fresh));
    let diff = similar::TextDiff::from_lines(&kept, &fresh);
    let shown: String =
        diff.unified_diff().context_radius(1).to_string().lines().take(60).collect::<Vec<_>>().join("\n");
    panic!("{path} is behind; UPDATE=1 writes it anew\n{shown}");
}

#[test]
fn the_reference_of_the_language_is_up_to_date() {
    hold("harness-specs/LANGUAGE.md", run(&["language"]).out.as_bytes());
    hold("harness-specs/spec.schema.json", run(&["language", "--schema"]).out.as_bytes());
    hold("harness-specs/parts.schema.json", run(&["language", "--schema", "--parts"]).out.as_bytes());
}

#[test]
fn the_reference_of_the_rules_is_up_to_date() {
    hold("harness-specs/RULES.md", fairlead::rules::reference().as_bytes());
}
