//! A tree and the type it should be in; a value of that type out, or every fault of the file as a finding.
//!
//! A sound file is read by `serde_yaml` and that is all. In a faulty one each entry of each section is read by itself:
//! a fault is told, the smallest part that holds it is left out, and the entry is read again until it reads. What is
//! then left of the file is still a value, so that the stages behind can find more; what was left out is named, so
//! that they do not complain of names that are missing only for that.

use std::collections::BTreeSet;

use schemars::{JsonSchema, Schema};
use serde::de::DeserializeOwned;

use super::decode;
use super::fault::{Fault, Objection, Place};
use super::from_tree::{LeftOut, Reader};
use super::gate;
use super::objection;
use super::tree::{Kind, NodeId, Step, Tree};
use crate::diag::{Sink, Sources, Span};

/// After so many findings of one file the reader stops.
const MAX_FINDINGS: usize = 200;

/// A part of a file whose entries are read one by one.
#[derive(Clone, Copy, Debug)]
pub struct Section {
    name: &'static str,
    read: fn(Reader<'_>) -> Result<(), Fault>,
}

impl Section {
    /// The map or list `name` at the top of a file, with entries of type `T`.
    pub const fn of<T: DeserializeOwned>(name: &'static str) -> Section {
        Section { name, read: read_as::<T> }
    }

    /// The name under which it stands at the top of a file.
    pub fn name(&self) -> &'static str {
        self.name
    }
}

fn read_as<T: DeserializeOwned>(reader: Reader<'_>) -> Result<(), Fault> {
    T::deserialize(reader).map(drop)
}

/// A file type that is made of sections.
pub trait Sectioned: DeserializeOwned + JsonSchema {
    /// The sections with many entries. Others are read as a whole, which is slower if they hold faults.
    const SECTIONS: &'static [Section];
}

/// What could be read of a file.
#[derive(Clone, Debug)]
pub struct Loaded<T> {
    /// The value without the parts that hold faults; None where too much is missing to make one.
    pub value: Option<T>,
    /// Entries that were left out: the name of the map that holds them, and theirs.
    pub left_out: BTreeSet<(String, String)>,
}

impl<T> Loaded<T> {
    /// True where an entry of that name was left out of any map, so that nobody should wonder that it is missing.
    pub fn lost(&self, name: &str) -> bool {
        self.left_out.iter().any(|(_, lost)| lost == name)
    }
}

/// The whole way from the bytes of a file to what could be read of it, with the tree for the places. None where the
/// bytes are no text or the text no YAML.
pub fn read<T: Sectioned>(
    name: &str,
    bytes: &[u8],
    sources: &mut Sources,
    sink: &mut Sink,
) -> Option<(Tree, Loaded<T>)> {
    let file = decode::decode(name, bytes, sources, sink)?;
    let tree = gate::read(sources, file, sink)?;
    let loaded = load(&tree, sink);
    Some((tree, loaded))
}

/// Reads `tree` as a `T`; faults are findings in `sink`.
pub fn load<T: Sectioned>(tree: &Tree, sink: &mut Sink) -> Loaded<T> {
    let refusal = if tree.is_refused() {
        None
    } else {
        match serde_yaml::from_str::<T>(tree.text()) {
            Ok(value) => return Loaded { value: Some(value), left_out: BTreeSet::new() },
            Err(error) => Some(error),
        }
    };
    let mut mender = Mender {
        tree,
        schema: schemars::schema_for!(T),
        left_out: LeftOut::none(tree),
        lost: BTreeSet::new(),
        found: 0,
        full: false,
        sink,
    };
    for section in T::SECTIONS {
        mender.section(section);
    }
    let mut value = None;
    mender.read_until_sound(tree.root(), |reader| {
        value = Some(T::deserialize(reader)?);
        Ok(())
    });
    if let (0, Some(error)) = (mender.found, refusal) {
        // Only the first reader sees a fault. Its word counts.
        let span = span_of(&error, tree);
        mender.sink.unreadable(span, format!("this cannot be read: {error}"), "write it in another way");
    }
    Loaded { value, left_out: mender.lost }
}

/// Where `serde_yaml` says it is.
fn span_of(error: &serde_yaml::Error, tree: &Tree) -> Span {
    let at = error.location().map_or(0, |place| {
        let line_start =
            tree.text().split_inclusive('\n').take(place.line().saturating_sub(1)).map(str::len).sum();
        let line = tree.text().get(line_start..).unwrap_or("");
        line_start + line.chars().take(place.column().saturating_sub(1)).map(char::len_utf8).sum::<usize>()
    });
    let length = tree.text().get(at..).and_then(|t| t.chars().next()).map_or(0, char::len_utf8);
    Span::new(tree.file(), at, at + length)
}

struct Mender<'a> {
    tree: &'a Tree,
    schema: Schema,
    left_out: LeftOut,
    lost: BTreeSet<(String, String)>,
    found: usize,
    full: bool,
    sink: &'a mut Sink,
}

impl Mender<'_> {
    fn section(&mut self, section: &Section) {
        let tree = self.tree;
        let Some(node) = tree.get(tree.root(), section.name) else { return };
        let entries: Vec<NodeId> = match tree.kind(node) {
            Kind::Map => tree.entries(node).map(|e| e.value).collect(),
            Kind::List => tree.items(node).collect(),
            Kind::Scalar => return,
        };
        for entry in entries {
            self.read_until_sound(entry, section.read);
        }
    }

    /// Reads the part below `node`, leaving out what is at fault, until it reads or is left out itself.
    fn read_until_sound(&mut self, node: NodeId, mut read: impl FnMut(Reader<'_>) -> Result<(), Fault>) {
        while !self.full && !self.left_out.has(node) {
            let Err(fault) = read(Reader { tree: self.tree, left_out: &self.left_out, node }) else { return };
            self.tell(&fault);
            let at_fault = match fault.place {
                Place::Key { value, .. } | Place::Value(value) => value,
                Place::Unknown => node,
            };
            // Without progress the whole part goes.
            if !self.leave_out(at_fault) {
                self.leave_out(node);
                return;
            }
        }
    }

    fn leave_out(&mut self, node: NodeId) -> bool {
        let path = self.tree.path(node);
        if let [before @ .., Step::Entry(name)] = path.as_slice() {
            let holder = before.iter().rev().find_map(|step| match step {
                Step::Entry(name) => Some(*name),
                Step::Item(_) => None,
            });
            self.lost.insert((holder.unwrap_or("").to_owned(), (*name).to_owned()));
        }
        self.left_out.add(node)
    }

    /// Makes a finding of the fault, unless it only follows from what was told before.
    fn tell(&mut self, fault: &Fault) {
        if self.follows(fault) {
            return;
        }
        let mut finding = objection::finding(fault, self.tree, &self.schema);
        if self.found == MAX_FINDINGS {
            self.full = true;
            finding.message = format!("reading stops after {MAX_FINDINGS} findings in this file");
            finding.remedy = "mend those and run again".to_owned();
        } else {
            self.found += 1;
        }
        self.sink.push(finding);
    }

    fn follows(&self, fault: &Fault) -> bool {
        let node = match fault.place {
            Place::Key { value, .. } | Place::Value(value) => value,
            Place::Unknown => self.tree.root(),
        };
        let is_out = |node| self.left_out.has(node);
        match &fault.objection {
            _ if self.tree.is_refused_at(node) => true,
            // It stands in the file and was left out for another fault.
            Objection::Missing { name, of } => {
                objection::missing(name, *of, node, self.tree, &self.schema).is_empty()
            }
            // A list of fixed length is short only because its items were left out.
            Objection::WrongKind { .. } => self.tree.items(node).any(is_out),
            _ => false,
        }
    }
}
