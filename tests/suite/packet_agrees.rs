//! Packets of the examples and of generated specs: lists, drawings and page name the same conductors, each as often
//! as it should, and the same spec gives the same bytes wherever it lies.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;

use fairlead::graph::Routing;
use fairlead::harness::{Conductor, Harness, PinSite};
use fairlead::packet::FileSet;
use fairlead::pipeline;

use crate::generator;

fn packet(path: &Path) -> (Harness, FileSet, String) {
    let resolved = pipeline::read(path).unwrap().resolve().unwrap_or_else(|u| panic!("{:?}", u.findings));
    let report = resolved.judge(None);
    let (set, manifest) = resolved.packet(&report).unwrap();
    (resolved.harness, set, manifest.to_json())
}

/// The examples, and specs of several sizes that no person wrote: name and text.
fn specs() -> Vec<(String, String)> {
    let examples = ["four-cylinder", "workboat", "as-found"]
        .map(|name| (name.to_owned(), fs::read_to_string(format!("harness-specs/{name}.yaml")).unwrap()));
    let generated =
        [(1, 3), (2, 40)].map(|(seed, size)| (format!("generated-{size}"), generator::spec(seed, size)));
    examples.into_iter().chain(generated).collect()
}

/// Puts a spec and the part files beside it into a folder.
fn put(folder: &Path, name: &str, text: &str) -> std::path::PathBuf {
    for path in crate::tidy::files_under("harness-specs") {
        let to = folder.join(path.strip_prefix(crate::tidy::root().join("harness-specs")).unwrap());
        fs::create_dir_all(to.parent().unwrap()).unwrap();
        fs::copy(&path, to).unwrap();
    }
    let path = folder.join(format!("{name}.yaml"));
    fs::write(&path, text).unwrap();
    path
}

/// How often each value stands in a column of a list.
fn column(set: &FileSet, list: &str, head: &str) -> BTreeMap<String, usize> {
    let bytes = set.get(&format!("{list}.csv")).unwrap_or_else(|| panic!("no {list}.csv"));
    let text = String::from_utf8(bytes.to_vec()).unwrap();
    // What stands over the head of a list is a banner.
    let from =
        text.find(&format!("\"{head}\"")).map_or(0, |at| text[..at].rfind('\n').map_or(0, |at| at + 1));
    let mut reader = csv::Reader::from_reader(&text.as_bytes()[from..]);
    let at = reader.headers().unwrap().iter().position(|h| h == head).unwrap_or_else(|| panic!("no {head}"));
    let mut counts = BTreeMap::new();
    for record in reader.records() {
        let value = record.unwrap()[at].to_owned();
        // The end of a screened cable is no conductor.
        if !value.is_empty() {
            *counts.entry(value).or_default() += 1;
        }
    }
    counts
}

/// All values of an attribute in a text of markup.
fn attributes(markup: &[u8], name: &str) -> BTreeSet<String> {
    let text = std::str::from_utf8(markup).unwrap();
    let head = format!(" {name}=\"");
    let values = text.split(&head).skip(1).filter_map(|rest| rest.split('"').next());
    values.flat_map(|v| v.split(' ')).map(str::to_owned).collect()
}

#[test]
fn every_conductor_is_in_every_paper_as_often_as_it_should() {
    let folder = tempfile::tempdir().unwrap();
    for (name, text) in specs() {
        let (harness, set, _) = packet(&put(folder.path(), &name, &text));
        let marks: BTreeSet<String> = harness.conductors.iter().map(|c| c.mark.clone()).collect();
        assert_eq!(marks.len(), harness.conductors.len(), "{name}: marks are unique");
        let each = |times: usize| marks.iter().map(|m| (m.clone(), times)).collect::<BTreeMap<_, _>>();
        assert_eq!(column(&set, "cut-list", "wire mark"), each(1), "{name}: each conductor is cut once");
        assert_eq!(column(&set, "crimp-list", "wire mark"), each(2), "{name}: each conductor has two ends");
        assert_eq!(attributes(set.get("index.html").unwrap(), "data-conductor"), marks, "{name}: the page");
        let wiring: Vec<_> =
            set.iter().filter(|(file, _)| file.starts_with("wiring") && file.ends_with(".svg")).collect();
        if !wiring.is_empty() {
            let drawn =
                wiring.iter().flat_map(|(_, svg)| attributes(svg, "data-conductor")).collect::<BTreeSet<_>>();
            assert_eq!(drawn, marks, "{name}: the wiring drawing");
        }
        let drawn = |kind: &str| {
            let sheets = set.iter().filter(|(file, _)| file.starts_with(kind) && file.ends_with(".svg"));
            sheets.flat_map(|(_, svg)| attributes(svg, "data-conductor")).collect::<BTreeSet<_>>()
        };
        let in_cavity = |c: &&Conductor| {
            [c.from, c.to].iter().any(|p| matches!(harness.pin(*p).site, PinSite::Cavity { .. }))
        };
        let in_cavities: BTreeSet<String> =
            harness.conductors.iter().filter(in_cavity).map(|c| c.mark.clone()).collect();
        assert_eq!(drawn("faces-"), in_cavities, "{name}: the faces");
        let routing = Routing::lay_out(&harness);
        let laid = harness.conductor_ids().filter(|id| routing.path_of(&harness, *id).is_some());
        let laid = laid.map(|id| harness.conductor(id).mark.clone());
        assert_eq!(drawn("board"), laid.collect::<BTreeSet<_>>(), "{name}: the boards");
        let through = routing.in_hole.iter().flatten().map(|c| harness.conductor(*c).mark.clone());
        assert_eq!(drawn("holes-"), through.collect::<BTreeSet<_>>(), "{name}: the holes");
    }
}

#[test]
fn the_same_spec_gives_the_same_bytes_in_any_folder() {
    let (here, there) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    let deeper = there.path().join("a folder").join("with a longer name");
    fs::create_dir_all(&deeper).unwrap();
    for (name, text) in
        specs().into_iter().filter(|(name, _)| ["as-found", "generated-40"].contains(&&**name))
    {
        let (_, first, manifest) = packet(&put(here.path(), &name, &text));
        let (_, second, again) = packet(&put(&deeper, &name, &text));
        assert_eq!(manifest, again, "{name}");
        for ((file, bytes), (other, others)) in first.iter().zip(second.iter()) {
            assert_eq!(file, other, "{name}");
            assert!(bytes == others, "{name}: {file} differs");
        }
        assert_eq!(first.iter().len(), second.iter().len(), "{name}");
    }
}
