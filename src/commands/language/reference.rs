//! The JSON Schemas of the language and the starter spec in; the reference as Markdown out.
//!
//! Each type is one section: maps a table of keys, words a table of words, quantities one table together. Types
//! come in the order in which a reader meets them.

use std::fmt::Write as _;

use indexmap::IndexMap;
use serde_json::Value;

use super::schema::Language;
use crate::diag::{Sink, Sources};
use crate::spec::gate;
use crate::spec::tree::{Kind, NodeId, Tree};

const HEAD: &str = "\
# The spec language

Made by `fairlead language` from the types that read it; a change belongs there.

A spec is one YAML file. Quantities are written with their unit (`900 mm`, `14 V`, `45 °C`), lists in `[ ]` or with
`-`, remarks after `#`. Anchors, aliases, tags and merge keys of YAML are not read: every line says what it means by
itself. A key that is not listed here is refused, with the nearest one that is. In the column *needed*, a `no` means
that the key may be left out; where leaving it out means something, the row says what.

";

/// The whole reference.
pub(super) fn markdown() -> String {
    let (spec, parts) = (Language::Spec.schema(), Language::Parts.schema());
    let mut book = Book::default();
    book.file("Spec", spec.as_value());
    let specs = book.chapters.len();
    book.file("PartFile", parts.as_value());

    let mut out = HEAD.to_owned();
    out.push_str("## Spec file\n");
    let starter = Starter::read();
    for (i, (name, definition)) in book.chapters.iter().enumerate() {
        if i == specs {
            out.push_str("\n## Part file\n");
        }
        if !matches!(name.as_str(), "Spec" | "PartFile") {
            let _ = write!(out, "\n### {}\n", heading(name));
        }
        let _ = write!(out, "\n{}\n\n", description(definition));
        keys(&mut out, definition);
        if let Some(example) = starter.as_ref().and_then(|s| s.example(name)) {
            let _ = write!(out, "\n```yaml\n{example}\n```\n");
        }
    }
    out.push_str("\n## Words\n");
    for (name, definition) in &book.words {
        let _ = write!(out, "\n### {}\n\n{}\n\n", heading(name), description(definition));
        words(&mut out, definition);
    }
    out.push_str("\n## Quantities and names\n\n| what | is written | example |\n|---|---|---|\n");
    for (name, definition) in &book.quantities {
        let example = definition.pointer("/examples/0").and_then(Value::as_str);
        let example = example.map(|e| format!("`{e}`")).unwrap_or_default();
        let anchor = heading(name);
        let _ = writeln!(
            out,
            "| <a id=\"{}\"></a>{anchor} | {} | {example} |",
            slug(&anchor),
            cell(&written(definition))
        );
    }
    out
}

/// All types of the language by what they are, each once, in the order in which they are met.
#[derive(Default)]
struct Book<'a> {
    chapters: IndexMap<String, &'a Value>,
    words: IndexMap<String, &'a Value>,
    quantities: IndexMap<String, &'a Value>,
}

impl<'a> Book<'a> {
    fn file(&mut self, name: &str, schema: &'a Value) {
        self.chapters.insert(name.to_owned(), schema);
        let mut waiting: Vec<&str> = references(schema.get("properties").unwrap_or(&Value::Null));
        waiting.reverse();
        while let Some(name) = waiting.pop() {
            let Some(definition) = schema.pointer(&format!("/$defs/{name}")) else { continue };
            let shelf = if definition.get("properties").is_some() {
                &mut self.chapters
            } else if choices(definition).is_some() {
                &mut self.words
            } else {
                &mut self.quantities
            };
            if shelf.insert(name.to_owned(), definition).is_none() {
                waiting.extend(references(definition).into_iter().rev());
            }
        }
    }
}

/// Names of the types that a schema refers to, in order.
fn references(schema: &Value) -> Vec<&str> {
    match schema {
        Value::Object(map) => map
            .iter()
            .filter(|(key, _)| *key != "$defs")
            .flat_map(|(key, value)| match (key.as_str(), value) {
                ("$ref", Value::String(path)) => vec![target(path)],
                (_, value) => references(value),
            })
            .collect(),
        Value::Array(items) => items.iter().flat_map(references).collect(),
        _ => vec![],
    }
}

fn target(path: &str) -> &str {
    path.rsplit('/').next().unwrap_or(path)
}

/// The words and their meanings, where the type is a choice of words.
fn choices(definition: &Value) -> Option<Vec<(&str, &str)>> {
    let word = |v: &'_ Value| v.get("const").and_then(Value::as_str).map(str::to_owned);
    let list = definition.get("oneOf").and_then(Value::as_array);
    if let Some(list) = list
        && list.iter().all(|v| word(v).is_some() || v.get("enum").is_some())
    {
        let mut found = Vec::new();
        for choice in list {
            let meaning = choice.get("description").and_then(Value::as_str).unwrap_or("");
            match (choice.get("const").and_then(Value::as_str), choice.get("enum").and_then(Value::as_array))
            {
                (Some(one), _) => found.push((one, meaning)),
                (None, Some(many)) => {
                    found.extend(many.iter().filter_map(Value::as_str).map(|w| (w, meaning)))
                }
                (None, None) => {}
            }
        }
        return Some(found);
    }
    let plain = definition.get("enum").and_then(Value::as_array)?;
    // A long list of names, such as stud sizes, reads better as one line of the table of names.
    (definition.get("examples").is_none()
        && !plain.iter().any(|w| w.as_str().is_some_and(|w| w.starts_with('#'))))
    .then(|| plain.iter().filter_map(Value::as_str).map(|w| (w, "")).collect())
}

fn keys(out: &mut String, definition: &Value) {
    let Some(properties) = definition.get("properties").and_then(Value::as_object) else { return };
    let required: Vec<&str> = definition
        .get("required")
        .and_then(Value::as_array)
        .map(|names| names.iter().filter_map(Value::as_str).collect())
        .unwrap_or_default();
    out.push_str("| key | holds | needed | meaning |\n|---|---|---|---|\n");
    for (key, schema) in properties {
        let needed = if required.contains(&key.as_str()) { "yes" } else { "no" };
        let _ = writeln!(
            out,
            "| `{key}` | {} | {needed} | {} |",
            cell(&holds(schema)),
            cell(description(schema))
        );
    }
}

fn words(out: &mut String, definition: &Value) {
    out.push_str("| word | meaning |\n|---|---|\n");
    for (word, meaning) in choices(definition).unwrap_or_default() {
        let _ = writeln!(out, "| `{word}` | {} |", cell(meaning));
    }
}

/// What may stand under a key, in words.
fn holds(schema: &Value) -> String {
    if let Some(path) = schema.get("$ref").and_then(Value::as_str) {
        let name = heading(target(path));
        return format!("[{name}](#{})", slug(&name));
    }
    if let Some(choice) = schema.get("anyOf").or_else(|| schema.get("oneOf")).and_then(Value::as_array) {
        let is_null = |v: &&Value| v.get("type").and_then(Value::as_str) != Some("null");
        return choice.iter().filter(is_null).map(holds).collect::<Vec<_>>().join(" or ");
    }
    if let Some(word) = schema.get("const").and_then(Value::as_str) {
        return format!("`{word}`");
    }
    let kinds: Vec<&str> = match schema.get("type") {
        Some(Value::String(kind)) => vec![kind.as_str()],
        Some(Value::Array(kinds)) => {
            kinds.iter().filter_map(Value::as_str).filter(|k| *k != "null").collect()
        }
        _ => vec![],
    };
    let said: Vec<String> = kinds.into_iter().map(|kind| of_kind(kind, schema)).collect();
    said.join(" or ")
}

fn of_kind(kind: &str, schema: &Value) -> String {
    match kind {
        "object" => {
            let entry = schema.get("additionalProperties").map(holds).unwrap_or_default();
            format!("names, each with: {entry}")
        }
        "array" => {
            let item = schema.get("items").map(holds).unwrap_or_default();
            let bound = |key| schema.get(key).and_then(Value::as_u64);
            match (bound("minItems"), bound("maxItems")) {
                (Some(least), Some(most)) if least == most => format!("list of {least}: {item}"),
                _ => format!("list of: {item}"),
            }
        }
        "string" if schema.get("maxLength").and_then(Value::as_u64) == Some(1) => "one letter".into(),
        "string" => "text".into(),
        "integer" => "whole number".into(),
        "number" => "number".into(),
        "boolean" => "`true` or `false`".into(),
        other => other.into(),
    }
}

/// How a quantity or a name is written.
fn written(definition: &Value) -> String {
    let mut text = description(definition).to_owned();
    if let Some(names) = definition.get("enum").and_then(Value::as_array) {
        let names: Vec<String> = names.iter().filter_map(Value::as_str).map(|n| format!("`{n}`")).collect();
        let _ = write!(text, " One of {}.", names.join(", "));
    }
    text
}

fn description(schema: &Value) -> &str {
    schema.get("description").and_then(Value::as_str).unwrap_or("")
}

/// One cell of a table: one line, no column mark.
fn cell(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ").replace('|', "\\|")
}

/// `WireMarkSpec` becomes `wire mark`: a type of a spec loses the word for what it is, others keep theirs.
fn heading(name: &str) -> String {
    let mut words = String::new();
    for letter in name.strip_suffix("Spec").unwrap_or(name).chars() {
        if letter.is_ascii_uppercase() && !words.is_empty() {
            words.push(' ');
        }
        words.push(letter.to_ascii_lowercase());
    }
    words
}

/// The anchor that Markdown readers give a heading.
fn slug(heading: &str) -> String {
    heading.replace(' ', "-")
}

/// The starter spec as a tree, to take examples from.
struct Starter {
    tree: Tree,
}

impl Starter {
    fn read() -> Option<Starter> {
        let mut sources = Sources::default();
        let file = sources.add("starter", super::super::new::STARTER);
        gate::read(&sources, file, &mut Sink::default()).map(|tree| Starter { tree })
    }

    /// Text of a place in the starter that shows a type of this name.
    fn example(&self, name: &str) -> Option<String> {
        let path: &[&str] = match name {
            "HarnessSpec" => &["harness"],
            "ShopSpec" => &["shop"],
            "ZoneSpec" => &["zones"],
            "BarrierSpec" => &["barriers"],
            "PlaceSpec" => &["places"],
            "RunSpec" => &["route"],
            "BondSpec" => &["bonds"],
            "DeviceSpec" => &["sensors"],
            "GroundSpec" => &["grounds"],
            "SupplySpec" => &["supplies"],
            "ConnectorSpec" => &["connectors"],
            "SpliceSpec" => &["splices"],
            "StudSpec" => &["studs"],
            "CircuitSpec" => &["circuits"],
            "CableSpec" => &["cables"],
            "WaiverSpec" => &["waive"],
            _ => return None,
        };
        let node = self.tree.find(self.tree.root(), path)?;
        let shown = self.first_lines(node)?;
        Some(format!("{}:\n{shown}", path.join(".")))
    }

    /// The node's first lines as they stand in the file, at most eight of them.
    fn first_lines(&self, node: NodeId) -> Option<String> {
        if self.tree.kind(node) == Kind::Scalar {
            return None;
        }
        let span = self.tree.span(node);
        let text = self.tree.text();
        let start = text.get(..span.start as usize)?.rfind('\n').map_or(0, |at| at + 1);
        let lines: Vec<&str> = text.get(start..span.end as usize)?.lines().take(8).collect();
        Some(lines.join("\n"))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_link_leads_to_a_section() {
        let text = markdown();
        let mut links = 0;
        for part in text.split("](#").skip(1) {
            let anchor = part.split(')').next().unwrap();
            let is_there = text.contains(&format!("<a id=\"{anchor}\">"))
                || text
                    .lines()
                    .any(|l| l.starts_with("###") && slug(l.trim_start_matches('#').trim()) == anchor);
            assert!(is_there, "no section for {anchor}");
            links += 1;
        }
        assert!(links > 50);
    }

    #[test]
    fn no_key_is_without_meaning_or_kind() {
        for line in markdown().lines().filter(|l| l.starts_with("| `") && l.matches(" | ").count() == 3) {
            assert!(!line.contains("|  |"), "{line}");
        }
    }
}
