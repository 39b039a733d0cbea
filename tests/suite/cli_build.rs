//! `fairlead build`: a packet appears as a whole or not at all, is the same wherever it is made, and carries its
//! banner on every paper where findings were overruled.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use serde_json::Value;

use crate::command_line::{TODAY, changed_starter, run, run_in, stopped_starter};
use crate::tidy::root;

/// Names and bytes of everything in a folder; none may be a folder itself.
fn files(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let entry = |e: std::io::Result<fs::DirEntry>| {
        let path = e.unwrap().path();
        (path.file_name().unwrap().to_string_lossy().into_owned(), fs::read(&path).unwrap())
    };
    fs::read_dir(folder).unwrap().map(entry).collect()
}

/// The files that are texts. What the book says is read by the tests of the book.
fn texts(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let mut files = files(folder);
    files.retain(|name, _| !name.ends_with(".pdf"));
    files
}

#[test]
fn a_packet_is_written_beside_nothing_else_and_listed() {
    let (folder, _) = changed_starter(&[]);
    let ran = run_in(folder.path(), ["build", "spec.yaml"]);
    assert_eq!(ran.code, Some(0), "{}", ran.err);
    let made = files(&folder.path().join("spec-packet"));
    let listed: Vec<&str> = ran.out.lines().map(|l| l.rsplit(['/', '\\']).next().unwrap()).collect();
    let mut sorted = listed.clone();
    sorted.sort_unstable();
    assert_eq!(sorted, made.keys().collect::<Vec<_>>());
    for name in ["index.html", "cut-list.csv", "crimp-list.html", "parts-list.csv", "manifest.json"] {
        assert!(made.contains_key(name), "{name}");
    }
    assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 2, "spec and packet, nothing half made");
}

#[test]
fn the_same_spec_gives_the_same_bytes_wherever_it_lies() {
    let (here, _) = changed_starter(&[]);
    let (there, spec) = changed_starter(&[]);
    assert_eq!(run_in(here.path(), ["build", "spec.yaml", "-o", "p"]).code, Some(0));
    let absolute = spec.to_string_lossy().into_owned();
    let out = there.path().join("deep/q").to_string_lossy().into_owned();
    assert_eq!(run(&["build", &absolute, "-o", &out, "--today", "2031-05-06"]).code, Some(0));
    let (one, two) = (files(&here.path().join("p")), files(&there.path().join("deep/q")));
    assert_eq!(one.keys().collect::<Vec<_>>(), two.keys().collect::<Vec<_>>());
    for (name, bytes) in &one {
        assert!(two[name] == *bytes, "{name} differs");
        let text = String::from_utf8_lossy(bytes);
        for place in [here.path(), there.path()] {
            assert!(!text.contains(&*place.to_string_lossy()), "{name} names a folder of the machine");
        }
    }
}

#[test]
fn the_manifest_tells_every_file_and_input_by_its_digest() {
    let (folder, spec) = changed_starter(&[]);
    assert_eq!(run_in(folder.path(), ["build", "spec.yaml", "-o", "p"]).code, Some(0));
    let made = files(&folder.path().join("p"));
    let manifest: Value = serde_json::from_slice(&made["manifest.json"]).unwrap();
    let told = manifest["files"].as_object().unwrap();
    assert_eq!(told.len() + 1, made.len());
    let digest = |bytes: &[u8]| Value::from(fairlead::packet::file_set::sha256(bytes));
    for (name, bytes) in made.iter().filter(|(name, _)| *name != "manifest.json") {
        assert_eq!(told[name], digest(bytes), "{name}");
    }
    assert_eq!(manifest["inputs"]["spec.yaml"], digest(&fs::read(spec).unwrap()));
    assert_eq!(manifest["built-despite-findings"], false);
}

#[test]
fn findings_that_stop_leave_the_disk_alone() {
    let (folder, _) = changed_starter(&[]);
    assert_eq!(run_in(folder.path(), ["build", "spec.yaml", "-o", "p"]).code, Some(0));
    let before = files(&folder.path().join("p"));
    let (stopped, spec) = stopped_starter("");
    fs::copy(spec, folder.path().join("spec.yaml")).unwrap();
    let ran = run_in(folder.path(), ["build", "spec.yaml", "-o", "p"]);
    assert_eq!((ran.code, ran.out.as_str()), (Some(1), ""));
    assert!(ran.err.contains("unfused-supply") && ran.err.contains("nothing was written"), "{}", ran.err);
    assert_eq!(files(&folder.path().join("p")), before);
    drop(stopped);
}

#[test]
fn overruled_findings_stand_on_every_paper() {
    let (folder, _) = stopped_starter("");
    let ran = run_in(folder.path(), ["build", "spec.yaml", "-o", "p", "--despite-findings"]);
    assert_eq!(ran.code, Some(0), "{}", ran.err);
    assert!(ran.err.contains("unfused-supply"), "still told: {}", ran.err);
    for (name, bytes) in texts(&folder.path().join("p")) {
        let text = String::from_utf8(bytes).unwrap();
        match name.rsplit('.').next().unwrap() {
            "csv" => {
                for line in text.lines().skip(1) {
                    assert!(line.starts_with("\"DO NOT BUILD FROM THIS PAPER: "), "{name}: {line}");
                }
            }
            "json" if name == "manifest.json" => {
                assert!(text.contains("\"built-despite-findings\": true"), "{name}");
            }
            // The findings themselves say it.
            "json" => assert!(text.contains("unfused-supply"), "{name}"),
            _ => assert!(text.contains("DO NOT BUILD FROM THIS PAPER"), "{name}"),
        }
    }
}

#[test]
fn every_paper_carries_the_cautions_and_the_remark() {
    let (folder, _) = changed_starter(&[]);
    assert_eq!(run_in(folder.path(), ["build", "spec.yaml", "-o", "p"]).code, Some(0));
    for (name, bytes) in texts(&folder.path().join("p")) {
        if name.ends_with(".html") {
            let text = String::from_utf8(bytes).unwrap();
            assert!(text.contains("Not approved data"), "{name}");
            assert!(text.contains("released by a licensed person only"), "{name}");
            assert!(text.contains("Starter example, invented."), "{name}");
        }
    }
}

#[test]
fn a_faulty_language_is_not_built_even_despite_findings() {
    let (folder, _) = changed_starter(&[("part: cht-bayonet-k", "part: cht-bayonet-kk")]);
    let ran = run_in(folder.path(), ["build", "spec.yaml", "--despite-findings"]);
    assert_eq!((ran.code, ran.out.as_str()), (Some(2), ""));
    assert!(ran.err.contains("`cht-bayonet-k`"), "the nearest part is offered: {}", ran.err);
    assert!(!folder.path().join("spec-packet").exists());
}

#[test]
fn what_others_put_in_the_folder_is_named_and_stays() {
    let (folder, _) = changed_starter(&[]);
    assert_eq!(run_in(folder.path(), ["build", "spec.yaml", "-o", "p"]).code, Some(0));
    fs::write(folder.path().join("p/photo.jpg"), "mine").unwrap();
    let ran = run_in(folder.path(), ["build", "spec.yaml", "-o", "p"]);
    assert_eq!((ran.code, ran.out.as_str()), (Some(2), ""));
    assert!(ran.err.contains("`photo.jpg`"), "{}", ran.err);
    for folder_of_spec in [".", "spec.yaml"] {
        assert_eq!(run_in(folder.path(), ["build", "spec.yaml", "-o", folder_of_spec]).code, Some(2));
    }
    assert!(folder.path().join("spec.yaml").is_file());
}

#[test]
fn text_of_the_spec_becomes_neither_markup_nor_formula() {
    let nasty = "\"=cmd|' /C calc'!A0<script>alert(1)</script>\"";
    let (folder, _) = changed_starter(&[
        ("title: Engine gauge harness", &format!("title: {nasty}")),
        (
            "CHT1:  {from: CHT1, to: GAUGE.cht-1}",
            &format!("CHT1:  {{from: CHT1, to: GAUGE.cht-1, note: {nasty}, system: {nasty}}}"),
        ),
    ]);
    let ran = run_in(folder.path(), ["build", "spec.yaml", "-o", "p"]);
    assert_eq!(ran.code, Some(0), "{}", ran.err);
    for (name, bytes) in texts(&folder.path().join("p")) {
        let text = String::from_utf8(bytes.clone()).unwrap();
        if name.ends_with(".html") || name.ends_with(".svg") {
            assert!(!text.contains("<script>alert"), "{name}");
        }
        if name.ends_with(".csv") {
            for record in csv::Reader::from_reader(bytes.as_slice()).records() {
                for cell in record.unwrap().iter() {
                    // OWASP, "CSV Injection": signs that a spreadsheet takes for the start of a formula.
                    assert!(!cell.starts_with(['=', '+', '-', '@', '\t', '\r']), "{name}: {cell}");
                }
            }
        }
    }
}

#[test]
fn lists_hold_every_conductor_once_and_every_end_once() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("p").to_string_lossy().into_owned();
    let spec = "harness-specs/four-cylinder.yaml";
    assert_eq!(run(&["build", spec, "-o", &out, "--today", TODAY]).code, Some(0));
    let read = fairlead::pipeline::read(&root().join(spec)).unwrap().resolve().unwrap();
    let mut marks: Vec<&str> = read.harness.conductors.iter().map(|c| c.mark.as_str()).collect();
    marks.sort_unstable();
    let column = |file: &str| {
        let mut reader = csv::Reader::from_path(folder.path().join("p").join(file)).unwrap();
        let at = reader.headers().unwrap().iter().position(|h| h == "wire mark").unwrap();
        let mut found: Vec<String> = reader.records().map(|r| r.unwrap()[at].to_owned()).collect();
        // The end of a screened cable is no conductor.
        found.retain(|mark| !mark.is_empty());
        found.sort();
        found
    };
    assert_eq!(column("cut-list.csv"), marks);
    let twice: Vec<&str> = marks.iter().flat_map(|m| [*m, *m]).collect();
    assert_eq!(column("crimp-list.csv"), twice);
}
