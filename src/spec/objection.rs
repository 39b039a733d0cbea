//! A fault of a typed reader in, the finding that a designer reads out.

use schemars::Schema;

use super::fault::{Fault, Objection, Place};
use super::tree::{NodeId, Step, Tree, words_of};
use crate::diag::{Finding, Label, Severity, Span, nearest};

/// Names are listed up to this many; a longer list helps nobody.
const LISTED: usize = 24;

/// The finding of `fault`, at its exact place.
pub(super) fn finding(fault: &Fault, tree: &Tree, schema: &Schema) -> Finding {
    let (node, key) = match fault.place {
        Place::Key { key, value } => (value, Some(key)),
        Place::Value(node) => (node, None),
        Place::Unknown => (tree.root(), None),
    };
    let span = key.map_or_else(|| tree.label_span(node), |key| tree.span(key));
    let (message, remedy) = words(&fault.objection, node, key.is_some(), tree, schema);
    Finding {
        rule: "spec-language",
        severity: Severity::Stop,
        message,
        labels: vec![Label { span: or_line(span, tree), text: String::new(), id: id_of(node, tree) }],
        in_service: String::new(),
        remedy,
        source: String::new(),
        waived: None,
    }
}

fn words(
    objection: &Objection,
    node: NodeId,
    in_key: bool,
    tree: &Tree,
    schema: &Schema,
) -> (String, String) {
    let subject = || tree.words(node);
    match objection {
        Objection::UnknownField { name, known } => {
            let owner = owner(node, tree);
            (format!("`{name}` is not among the entries of {owner}"), choose(name, known))
        }
        Objection::UnknownWord { word, known } => {
            (format!("{} cannot be `{word}`", subject()), choose(word, known))
        }
        Objection::Missing { name, of } => {
            let missing = missing(name, *of, node, tree, schema);
            let list =
                |form: &dyn Fn(&String) -> String| missing.iter().map(form).collect::<Vec<_>>().join(" and ");
            let lacks = list(&|name| format!("no `{name}`"));
            (format!("{} has {lacks}", subject()), format!("add {}", list(&|name| format!("`{name}: …`"))))
        }
        Objection::WrongKind { found, expected } => {
            let subject = if in_key { "the name".to_owned() } else { subject() };
            (format!("{subject} is {found}, where {expected} is expected"), correct(expected, node, tree))
        }
        Objection::Said(text) => {
            // A value that knows better ends with its own remedy.
            let (message, remedy) = text.rsplit_once("; ").unwrap_or((text, "correct the value"));
            (format!("{}: {message}", subject()), remedy.to_owned())
        }
    }
}

/// How to write what is expected.
fn correct(expected: &str, node: NodeId, tree: &Tree) -> String {
    match (expected, tree.scalar(node)) {
        ("a map", _) => "write entries `name: value` below it, or in braces".to_owned(),
        ("a list", Some(text)) if !text.is_empty() => format!("write it as a list: `[{text}]`"),
        ("a list", _) => "write it in brackets: `[…, …]`".to_owned(),
        ("text", _) => "write one plain text there".to_owned(),
        (other, _) => match other.strip_prefix("a list of ") {
            Some(count) => format!("give it {count} items"),
            None => format!("write {other}"),
        },
    }
}

/// The nearest known name, or all of them.
fn choose(typed: &str, known: &[&str]) -> String {
    if let Some(name) = nearest(typed, known.iter().copied()) {
        return format!("write `{name}` if that is meant");
    }
    let quoted: Vec<String> = known.iter().take(LISTED).map(|name| format!("`{name}`")).collect();
    if let [only] = known {
        return format!("write `{only}`");
    }
    match known.len().checked_sub(LISTED) {
        None | Some(0) if known.is_empty() => "remove it".to_owned(),
        None | Some(0) => format!("choose among {}", quoted.join(", ")),
        Some(more) => format!("choose among {} and {more} more", quoted.join(", ")),
    }
}

/// The map that holds the entry `node`, in words.
fn owner(node: NodeId, tree: &Tree) -> String {
    let path = tree.path(node);
    match path.split_last() {
        Some((_, before)) => words_of(before),
        None => tree.words(node),
    }
}

/// All entries that the map must have and that are not in the file, the one that was met first among them.
pub(super) fn missing(
    first: &str,
    of: Option<&str>,
    node: NodeId,
    tree: &Tree,
    schema: &Schema,
) -> Vec<String> {
    let root = schema.as_value();
    let is_root = |name: &str| root.get("title").and_then(|t| t.as_str()) == Some(name);
    let definition =
        of.and_then(
            |name| {
                if is_root(name) { Some(root) } else { root.get("$defs").and_then(|all| all.get(name)) }
            },
        );
    let required = definition.and_then(|d| d.get("required")).and_then(|r| r.as_array());
    let mut names: Vec<&str> = required.into_iter().flatten().filter_map(|name| name.as_str()).collect();
    if !names.contains(&first) {
        names = vec![first];
    }
    names.into_iter().filter(|name| tree.get(node, name).is_none()).map(str::to_owned).collect()
}

/// The entry of a section that the fault lies in.
fn id_of(node: NodeId, tree: &Tree) -> Option<String> {
    match tree.path(node).get(1) {
        Some(Step::Entry(name)) => Some((*name).to_owned()),
        _ => None,
    }
}

/// A place that can be shown: an empty one grows to the character that stands there.
fn or_line(span: Span, tree: &Tree) -> Span {
    if span.end > span.start {
        return span;
    }
    let start = span.start as usize;
    let length = tree
        .text()
        .get(start..)
        .and_then(|t| t.chars().next())
        .filter(|c| *c != '\n')
        .map_or(0, char::len_utf8);
    Span::new(span.file, start, start + length)
}
