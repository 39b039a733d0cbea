//! The part files that a spec names in; the library of this run out, with findings for what could not be used.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use super::beside::{Refusal, plain_path, read_beside};
use super::check::{self, Fault, Origin};
use super::library::Library;
use super::model::PartFile;
use crate::diag::{FileId, Finding, Label, Severity, Sink, Sources, Span};
use crate::spec::load::load;
use crate::spec::model::Spec;
use crate::spec::tree::Tree;
use crate::spec::{decode, gate};

/// A part file that could be read, and what of it could not.
struct UserFile {
    tree: Tree,
    parts: PartFile,
}

/// The supplied parts and those of the files under `parts:` of the spec, whose shape is `tree`. `spec_dir` is the
/// folder the paths start at; None for a spec that is no file. `on_read` is told each file that was read: its path as
/// written, and its bytes.
///
/// Every user part that is shelved passes [`check::faults`]. One that does not, or that takes the name of another, is
/// told in `sink` and left out; [`Library::may_be_lost`] knows it.
pub fn library_for(
    spec: &Spec,
    tree: &Tree,
    spec_dir: Option<&Path>,
    sources: &mut Sources,
    sink: &mut Sink,
    on_read: &mut dyn FnMut(&str, &[u8]),
) -> Library {
    let mut library = Library::supplied().clone();
    if spec.parts.is_empty() {
        return library;
    }
    let spec_name = PathBuf::from(sources.name(tree.file()));
    let mut files: Vec<UserFile> = Vec::new();
    let mut seen: BTreeSet<PathBuf> = BTreeSet::new();
    for (written, span) in places(spec, tree) {
        if let Some(path) = plain_path(written)
            && !seen.insert(path)
        {
            sink.unreadable(span, format!("`{written}` is listed twice"), "list each part file once");
            continue;
        }
        let bytes = match spec_dir {
            Some(folder) => read_beside(folder, written),
            None => Err(Refusal {
                message: format!("`{written}` cannot be found, because the spec is not in a folder"),
                remedy: "give the spec as a file",
            }),
        };
        let file = match bytes {
            Ok(bytes) => {
                on_read(written, &bytes);
                // Shown so that it can be found from where the spec was given.
                let name = spec_name.with_file_name(written);
                parse(&name.to_string_lossy(), &bytes, sources, sink, &mut library.lost)
            }
            Err(refusal) => {
                sink.unreadable(span, refusal.message, refusal.remedy);
                None
            }
        };
        match file {
            Some(file) => files.push(file),
            None => library.file_lost = true,
        }
    }
    shelve(library, &files, sink)
}

/// Each path under `parts:` and where it stands.
fn places<'a>(spec: &'a Spec, tree: &Tree) -> Vec<(&'a str, Span)> {
    let list = tree.get(tree.root(), "parts");
    let mut items = list.into_iter().flat_map(|list| tree.items(list));
    let whole = list.map_or(Span::new(tree.file(), 0, 0), |list| tree.label_span(list));
    // Items that could not be read are missing in the spec, but not in the tree.
    let place = |written: &str| items.find(|item| tree.scalar(*item) == Some(written));
    let mut place = place;
    spec.parts
        .iter()
        .map(|written| (written.as_str(), place(written).map_or(whole, |item| tree.label_span(item))))
        .collect()
}

fn parse(
    name: &str,
    bytes: &[u8],
    sources: &mut Sources,
    sink: &mut Sink,
    lost: &mut BTreeSet<String>,
) -> Option<UserFile> {
    let file = decode::decode(name, bytes, sources, sink)?;
    let before = sink.findings().len();
    let tree = gate::read(sources, file, sink)?;
    let mut parts = load::<PartFile>(&tree, sink).value?;
    let told: Vec<Span> = sink
        .findings()
        .iter()
        .skip(before)
        .filter_map(|finding| finding.labels.first().map(|label| label.span))
        .collect();
    leave_out(&tree, &told, &mut parts, lost);
    Some(UserFile { tree, parts })
}

/// Takes out the parts in which something was told: they are not whole, and a check of them would only tell it again.
fn leave_out(tree: &Tree, told: &[Span], parts: &mut PartFile, lost: &mut BTreeSet<String>) {
    if told.is_empty() {
        return;
    }
    for section in tree.entries(tree.root()) {
        for part in tree.entries(section.value) {
            let (start, end) = (part.key_span.start, tree.span(part.value).end.max(part.key_span.end));
            if told.iter().any(|span| start <= span.start && span.start <= end) {
                lost.insert(part.key.to_owned());
                take_out(parts, section.key, part.key);
            }
        }
    }
}

fn take_out(parts: &mut PartFile, section: &str, name: &str) {
    macro_rules! each {
        ($($section:ident),+) => {
            match section {
                $(stringify!($section) => drop(parts.$section.shift_remove(name)),)+
                _ => {}
            }
        };
    }
    each!(devices, shells, contacts, lugs, splices, wires, coverings, linings, sundries);
}

/// Puts the parts on the shelves, tells what does not hold, and puts up again without it until all of it holds.
fn shelve(mut base: Library, files: &[UserFile], sink: &mut Sink) -> Library {
    let mut out: BTreeSet<(&'static str, String)> = BTreeSet::new();
    let mut first_round = true;
    loop {
        let mut library = base.clone();
        for file in files {
            let mut parts = file.parts.clone();
            for (section, name) in &out {
                take_out(&mut parts, section, name);
            }
            let mut taken = Vec::new();
            let place = |section: &'static str, name: &str| {
                let section = file.tree.get(file.tree.root(), section)?;
                file.tree.entry(section, name).map(|entry| entry.key_span)
            };
            library.take(parts, place, |section, name| taken.push((section, name.to_owned())));
            if first_round {
                for (section, name) in taken {
                    tell_taken(&library, section, &name, place(section, &name), sink);
                }
            }
        }
        let faults = check::faults(&library, Origin::User);
        if faults.is_empty() {
            return library;
        }
        for fault in faults {
            // What fails in a later round does so only for want of what was told in the first.
            if first_round {
                let span = place_of(&fault, &library, files);
                sink.unreadable(span, fault.message, fault.remedy);
            }
            base.lost.insert(fault.part.clone());
            out.insert((fault.section, fault.part));
        }
        first_round = false;
    }
}

fn tell_taken(library: &Library, section: &'static str, name: &str, span: Option<Span>, sink: &mut Sink) {
    let Some(span) = span else { return };
    let label = |span, text: &str| Label { span, text: text.to_owned(), id: Some(name.to_owned()) };
    let first = span_of(library, section, name);
    let mut labels = vec![label(span, if first.is_some() { "again here" } else { "" })];
    labels.extend(first.map(|first| label(first, "first here")));
    let message = match first {
        Some(_) => format!("`{name}` is there twice among the {section} of the part files"),
        None => format!("`{name}` is among the {section} that come with the tool"),
    };
    sink.push(Finding {
        rule: "spec-language",
        severity: Severity::Stop,
        message,
        labels,
        in_service: String::new(),
        remedy: "give the part another name".to_owned(),
        source: String::new(),
        waived: None,
    });
}

/// Where a user part is named.
fn span_of(library: &Library, section: &str, name: &str) -> Option<Span> {
    macro_rules! each {
        ($($section:ident),+) => {
            match section {
                $(stringify!($section) => library.$section.span(library.$section.find(name)?),)+
                _ => None,
            }
        };
    }
    each!(devices, shells, contacts, lugs, splices, wires, coverings, linings, sundries)
}

/// The deepest place on the way to the fault that is written in the file.
fn place_of(fault: &Fault, library: &Library, files: &[UserFile]) -> Span {
    let named = span_of(library, fault.section, &fault.part);
    let named = named.unwrap_or(Span::new(FileId(0), 0, 0));
    let Some(file) = files.iter().find(|file| file.tree.file() == named.file) else { return named };
    let tree = &file.tree;
    let Some(part) = tree.find(tree.root(), &[fault.section, &fault.part]) else { return named };
    let mut at = part;
    for key in &fault.path {
        let Some(next) = tree.get(at, key) else { break };
        at = next;
    }
    if at == part { named } else { tree.label_span(at) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::fs;

    /// The library for a spec with these part files beside it, and each finding as `file:line:column message`.
    fn with_files(parts: &str, files: &[(&str, &str)]) -> (Library, Vec<String>) {
        let folder = tempfile::tempdir().unwrap();
        for (name, text) in files {
            fs::write(folder.path().join(name), text).unwrap();
        }
        let text = format!("fairlead: 1\nharness: {{title: t, drawing: d}}\nparts: {parts}\n");
        let (mut sources, mut sink) = (Sources::default(), Sink::default());
        let file = decode::decode("looms/spec.yaml", text.as_bytes(), &mut sources, &mut sink).unwrap();
        let tree = gate::read(&sources, file, &mut sink).unwrap();
        let spec = load::<Spec>(&tree, &mut sink).value.unwrap();
        let library = library_for(&spec, &tree, Some(folder.path()), &mut sources, &mut sink, &mut |_, _| {});
        let told = sink
            .into_sorted()
            .into_iter()
            .map(|finding| {
                let span = finding.labels[0].span;
                let at = sources.position(span);
                format!("{}:{}:{} {}", sources.name(span.file), at.line, at.column, finding.message)
            })
            .collect();
        (library, told)
    }

    const LUG: &str = "title: t, stud: M4, wire: 24..20 AWG, insulation: 1..2 mm, strip: 4 mm, tool: t, die: d, width: 8 mm";

    #[test]
    fn user_parts_stand_beside_the_supplied_ones() {
        let own = format!("lugs:\n  own-lug: {{{LUG}}}\n");
        let (library, told) = with_files("[own.yaml]", &[("own.yaml", &own)]);
        assert_eq!(told, [""; 0]);
        let id = library.lugs.find("own-lug").unwrap();
        assert_eq!(library.lugs.span(id).map(|span| span.start), Some("lugs:\n  ".len() as u32));
        let supplied = library.lugs.find("ring-m4-22-18").unwrap();
        assert_eq!(library.lugs.span(supplied), None);
        assert!(!library.may_be_lost("own-lug"));
    }

    #[test]
    fn no_name_is_taken_twice() {
        let own = format!("lugs:\n  ring-m4-22-18: {{{LUG}}}\n  own: {{{LUG}}}\n");
        let second = format!("lugs:\n  own: {{{LUG}}}\n");
        let (library, told) = with_files(
            "[own.yaml, second.yaml, ./own.yaml]",
            &[("own.yaml", &own), ("second.yaml", &second)],
        );
        assert_eq!(
            told,
            [
                "looms/spec.yaml:3:32 `./own.yaml` is listed twice",
                "looms/own.yaml:2:3 `ring-m4-22-18` is among the lugs that come with the tool",
                "looms/second.yaml:2:3 `own` is there twice among the lugs of the part files",
            ]
        );
        let (_, supplied) = library.lugs.look_up("ring-m4-22-18").unwrap();
        assert_ne!(supplied.title, "t");
    }

    #[test]
    fn a_fault_is_told_once_where_it_stands_and_what_hangs_on_it_goes_quietly() {
        let own = "devices:\n  own-gauge:\n    title: t\n    style: indicator\n    connectors: {A: {shell: own-half}}\n    \
            ports: {p: {kind: ground, pins: {ground: A.1}}}\nshells:\n  own-half:\n    title: t\n    mate: dsub-9-pin\n    \
            face: {rows: [[1]], pitch: 5 mm, shape: block}\n    contacts: [dsub-socket]\n    outline: [9 mm, 9 mm]\n";
        let (library, told) = with_files("[own.yaml]", &[("own.yaml", own)]);
        assert_eq!(
            told,
            ["looms/own.yaml:10:11 `own-half` mates with `dsub-9-pin`, whose mate is `dsub-9-socket`"]
        );
        assert!(library.devices.find("own-gauge").is_none() && library.shells.find("own-half").is_none());
        assert!(library.may_be_lost("own-gauge") && library.may_be_lost("own-half"));
        assert!(!library.may_be_lost("other"));
    }

    #[test]
    fn a_part_that_does_not_read_is_not_checked_on_top() {
        let own = format!("lugs:\n  own: {{{LUG}}}\n  bad: {{{}}}\n", LUG.replace("stud: M4", "stud: M7"));
        let (library, told) = with_files("[own.yaml]", &[("own.yaml", &own)]);
        assert_eq!(told.len(), 1, "{told:?}");
        assert!(told[0].starts_with("looms/own.yaml:3:25 "), "{told:?}");
        assert!(library.lugs.find("own").is_some() && library.may_be_lost("bad"));
    }

    #[test]
    fn a_file_that_cannot_be_had_is_told_at_the_spec() {
        let (library, told) = with_files("[gone.yaml, ../up.yaml]", &[]);
        assert_eq!(
            told,
            [
                "looms/spec.yaml:3:9 `gone.yaml` cannot be read: there is no such file",
                "looms/spec.yaml:3:20 `../up.yaml` does not name a file inside the folder of the spec",
            ]
        );
        assert!(library.may_be_lost("anything"));
    }
}
