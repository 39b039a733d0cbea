//! The packets of the example specs, kept in out-examples: each equals a fresh build, byte for byte, and no file is
//! there that no build makes. `UPDATE=1` writes them anew.

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

use crate::command_line::{TODAY, run};
use crate::kept::{hold, update};
use crate::tidy::root;

#[test]
fn the_packets_of_the_examples_are_up_to_date() {
    let mut stems = BTreeSet::new();
    for entry in fs::read_dir(root().join("harness-specs")).unwrap() {
        let path = entry.unwrap().path();
        if path.extension().is_some_and(|e| e == "yaml") {
            stems.insert(path.file_stem().unwrap().to_string_lossy().into_owned());
        }
    }
    assert!(stems.len() >= 4, "{stems:?}");
    for stem in &stems {
        let room = tempfile::tempdir().unwrap();
        let fresh = room.path().join("packet");
        let mut arguments = vec!["build".to_owned(), format!("harness-specs/{stem}.yaml"), "-o".to_owned()];
        arguments.extend([fresh.to_string_lossy().into_owned(), "--today".to_owned(), TODAY.to_owned()]);
        if stem == "as-found" {
            arguments.push("--despite-findings".to_owned());
        }
        let ran = run(&arguments.iter().map(String::as_str).collect::<Vec<_>>());
        assert_eq!(ran.code, Some(0), "{stem}: {}", ran.err);
        let names = names_in(&fresh);
        let is_made = |name: &String| cfg!(feature = "book") || !name.ends_with(".pdf");
        // Without books the manifest, which lists them, is another one.
        for name in names.iter().filter(|name| cfg!(feature = "book") || *name != "manifest.json") {
            hold(&format!("out-examples/{stem}/{name}"), &fs::read(fresh.join(name)).unwrap());
        }
        let kept = root().join("out-examples").join(stem);
        for extra in names_in(&kept).difference(&names).filter(|name| is_made(name)) {
            assert!(
                update(),
                "out-examples/{stem}/{extra} is made by no build any more; UPDATE=1 takes it out"
            );
            fs::remove_file(kept.join(extra)).unwrap();
        }
    }
    let kept = names_in(&root().join("out-examples"));
    let strange: Vec<&String> =
        kept.iter().filter(|name| !stems.contains(*name) && *name != "README.md").collect();
    assert!(strange.is_empty(), "in out-examples without a spec: {strange:?}");
}

fn names_in(folder: &Path) -> BTreeSet<String> {
    let name = |e: std::io::Result<fs::DirEntry>| e.unwrap().file_name().to_string_lossy().into_owned();
    fs::read_dir(folder).map(|entries| entries.map(name).collect()).unwrap_or_default()
}
