//! Text of a spec is data in every paper: each text field that the schema knows is filled with what could be markup, a
//! formula, or a change of the direction of reading, and with far too much; the packet is built and looked through.
//!
//! The fields are those of the schema, so a new one is attacked without anybody naming it here.
//! A field that takes the text is free text; one that does not names something, and refuses it with a finding.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

use fairlead::packet::FileSet;
use fairlead::pipeline;
use serde_json::{Map, Value};

/// Ends a tag, an attribute and a CDATA section, and opens a script; begins as a formula.
const NASTY: &str = "=1+1 <script>alert(1)</script> ]]> \" onload=\"x' --> &amp;";
/// Turns the reading round: refused wherever it stands.
const TURNED: &str = "exe.\u{202e}cod";

type Field = Vec<String>;

/// Every field of the schema that takes any text: a step for each name, `*` for any name, `[]` for any item.
fn text_fields(schema: &Value) -> BTreeSet<Field> {
    fn walk(
        schema: &Value,
        node: &Value,
        at: &mut Field,
        inside: &mut Vec<String>,
        found: &mut BTreeSet<Field>,
    ) {
        if let Some(name) = node["$ref"].as_str().and_then(|r| r.rsplit('/').next()) {
            if inside.iter().any(|seen| seen == name) {
                return;
            }
            inside.push(name.to_owned());
            walk(schema, &schema["$defs"][name], at, inside, found);
            inside.pop();
        }
        for choice in ["anyOf", "oneOf", "allOf"] {
            node[choice].as_array().into_iter().flatten().for_each(|n| walk(schema, n, at, inside, found));
        }
        let kinds = match &node["type"] {
            Value::Array(all) => all.iter().filter_map(Value::as_str).collect(),
            one => one.as_str().into_iter().collect::<Vec<_>>(),
        };
        // Words of a fixed set and quantities with their units are no free text.
        let limited = ["const", "enum", "examples", "maxLength", "pattern", "format"];
        if kinds.contains(&"string") && limited.iter().all(|key| node.get(key).is_none()) {
            found.insert(at.clone());
        }
        for (name, child) in node["properties"].as_object().into_iter().flatten() {
            at.push(name.clone());
            walk(schema, child, at, inside, found);
            at.pop();
        }
        for (step, key) in [("*", "additionalProperties"), ("[]", "items")] {
            if node[key].is_object() {
                at.push(step.to_owned());
                walk(schema, &node[key], at, inside, found);
                at.pop();
            }
        }
    }
    let mut found = BTreeSet::new();
    walk(schema, schema, &mut Vec::new(), &mut Vec::new(), &mut found);
    found
}

/// A small loom that has one of everything, so that every field of the schema belongs to something in it.
const SPEC: &str = "fairlead: 1
harness: {title: Test loom, drawing: T-1, revision: A, supply: 14 V, thermocouple-colours: ansi, default-wire: etfe-22, wire-marks: {}}
shop: {tail: 100 mm}
zones: {cabin: {ambient: 40 °C}, engine: {ambient: 90 °C, hazards: [fuel]}}
barriers: {firewall: {between: [cabin, engine], holes: {FH1: {bore: 22 mm, lining: grommet-22, seal: putty}}}}
places: {panel: {station: 700 mm}}
route:
  - {from: panel, to: FH1, zone: cabin, length: 900 mm, clamps: 300 mm}
  - {from: FH1, to: shelf, zone: engine, length: 400 mm}
  - {from: shelf, to: cyl-1, zone: engine, length: 400 mm}
bodies: {engine: engine, airframe: structure}
bonds: [{from: engine, to: airframe, resistance: 1 mΩ}]
buses: {main: {source: 40 A, others: {cruise: 9 A}}}
supplies: {CB: {breaker: 2 A, at: panel, bus: main, stud: '#8'}}
grounds: {ENG: {body: engine, at: shelf, stud: M6}}
studs: {S1: {size: M5, at: shelf}}
splices: {SP1: {part: solder-sleeve-24-16, at: shelf}}
connectors: {X1: {plug: sealed-2-plug, at: shelf, plug-faces: cyl-1}}
equipment: {GAUGE: {part: engine-gauge-4, at: panel}}
sensors:
  CHT1: {part: cht-bayonet-k, at: cyl-1}
  OILP: {part: oil-pressure-3wire, at: shelf}
  OILT: {part: oil-temperature-2wire, at: cyl-1}
circuits:
  CHT1: {from: CHT1, to: GAUGE.cht-1, through: [FH1]}
  OILP: {legs: {OILP.signal: GAUGE.oil-pressure.signal, OILP.return: GAUGE.oil-pressure.return}}
  EXC: {join: [OILP.excitation, GAUGE.oil-pressure.excitation], joined-at: SP1}
  OILT: {from: OILT, to: GAUGE.oil-temperature, via: {X1: [1, 2]}, during: [cruise]}
  POWER: {from: CB, to: GAUGE.power}
  GND: {from: GAUGE.ground, to: ENG}
cables: {C1: {wire: screened-2-22, carries: [OILP], screen: [GAUGE.screens]}}
waive: [{rule: unseen-indicator, at: GAUGE, because: invented, by: nobody}]
";

/// The loom as a value.
fn loom() -> Value {
    serde_yaml::from_str(SPEC).unwrap()
}

/// Puts `text` into the field wherever `value` has what it belongs to; true where it had.
fn fill(value: &mut Value, field: &[String], text: &str) -> bool {
    let Some((step, rest)) = field.split_first() else {
        *value = Value::String(text.to_owned());
        return true;
    };
    let mut filled = false;
    match (step.as_str(), value) {
        ("*", Value::Object(all)) => {
            for child in all.values_mut() {
                filled |= fill(child, rest, text);
            }
        }
        ("[]", Value::Array(all)) => {
            for child in all {
                filled |= fill(child, rest, text);
            }
        }
        (name, Value::Object(all)) if name != "*" => {
            match rest {
                [] if !all.contains_key(name) => drop(all.insert(name.to_owned(), Value::Null)),
                [item] if item == "[]" && !all.contains_key(name) => {
                    all.insert(name.to_owned(), Value::Array(vec![Value::Null]));
                }
                _ => {}
            }
            filled = all.get_mut(name).is_some_and(|child| fill(child, rest, text));
        }
        _ => {}
    }
    filled
}

/// The value as a spec: JSON is YAML. Marks of direction are written by their number, as nobody could see them.
fn put(folder: &Path, value: &Value) -> PathBuf {
    let text = serde_json::to_string_pretty(value).unwrap().replace('\u{202e}', "\\u202e");
    let path = folder.join("spec.yaml");
    fs::write(&path, text).unwrap();
    path
}

/// True where the spec can be read; what stands against it is told without anything active in it.
fn is_taken(folder: &Path, value: &Value) -> bool {
    let told = match pipeline::read(&put(folder, value)).unwrap().resolve() {
        Ok(_) => return true,
        Err(unreadable) => unreadable,
    };
    assert!(!told.findings.is_empty());
    let text =
        fairlead::diag::text::render(&told.findings, &told.sources, fairlead::diag::text::Look::default());
    assert!(!text.contains('\u{202e}'), "{text}");
    false
}

fn packet(folder: &Path, value: &Value) -> FileSet {
    let resolved = pipeline::read(&put(folder, value)).unwrap().resolve().unwrap_or_else(|u| {
        let look = fairlead::diag::text::Look::default();
        panic!("{}", fairlead::diag::text::render(&u.findings, &u.sources, look))
    });
    let report = resolved.judge(None);
    resolved.packet(&report).unwrap().0
}

/// Names of the elements of a markup text, and names of their attributes.
fn vocabulary(markup: &str) -> [BTreeSet<String>; 2] {
    let mut names = [BTreeSet::new(), BTreeSet::new()];
    let mut rest = markup;
    while let Some(at) = rest.find('<') {
        rest = &rest[at + 1..];
        let Some(first) = rest.chars().next().filter(|c| c.is_ascii_alphabetic()) else { continue };
        let _ = first;
        let end = rest.find(|c: char| !c.is_ascii_alphanumeric() && c != '-').unwrap_or(rest.len());
        let name = rest[..end].to_owned();
        rest = &rest[end..];
        // Attributes in double quotes, up to the end of the tag.
        loop {
            rest = rest.trim_start();
            if rest.starts_with('>') || rest.starts_with("/>") || rest.is_empty() {
                break;
            }
            let end = rest.find(['=', '>', ' ']).unwrap_or(rest.len());
            names[1].insert(rest[..end].to_owned());
            rest = &rest[end..];
            if let Some(value) = rest.strip_prefix("=\"") {
                rest = value.split_once('"').map_or("", |(_, after)| after);
            }
        }
        // What a script or a style says is no markup.
        if name == "script" || name == "style" {
            rest = rest.split_once(&format!("</{name}>")).map_or("", |(_, after)| after);
        }
        names[0].insert(name);
    }
    names
}

/// Nothing of the spec is markup, formula or a change of direction in any file.
fn look_through(name: &str, set: &FileSet, benign: &FileSet) {
    let mut known: BTreeMap<&str, [BTreeSet<String>; 2]> = BTreeMap::new();
    let kind = |file: &str| if file.ends_with(".svg") { "svg" } else { "html" };
    let markup = |file: &str| file.ends_with(".svg") || file.ends_with(".html");
    for (file, bytes) in benign.iter().filter(|(file, _)| markup(file)) {
        let [tags, attributes] = vocabulary(std::str::from_utf8(bytes).unwrap());
        let entry = known.entry(kind(file)).or_default();
        entry[0].extend(tags);
        entry[1].extend(attributes);
    }
    for (file, bytes) in set.iter() {
        if file.ends_with(".pdf") {
            #[cfg(feature = "book")]
            crate::pdf::Pdf::read(bytes).assert_passive(&format!("{name} {file}"));
            continue;
        }
        let text = std::str::from_utf8(bytes).unwrap();
        if markup(file) {
            let [tags, mut attributes] = vocabulary(text);
            // Lettering may be turned where it is long.
            attributes.remove("transform");
            let known = &known[kind(file)];
            assert!(tags.is_subset(&known[0]), "{name} {file}: {:?}", tags.difference(&known[0]));
            assert!(attributes.is_subset(&known[1]), "{name} {file}: {:?}", attributes.difference(&known[1]));
            assert!(!text.contains("<script>alert"), "{name} {file}");
            assert!(!text.contains('\u{202e}'), "{name} {file}: turns the reading round");
            // XML 1.0, section 2.4: this must not stand in text.
            assert!(kind(file) == "html" || !text.contains("]]>"), "{name} {file}");
        } else if file.ends_with(".csv") {
            let mut reader = csv::ReaderBuilder::new().has_headers(false).from_reader(bytes);
            for field in
                reader.records().flat_map(|r| r.unwrap().iter().map(str::to_owned).collect::<Vec<_>>())
            {
                let formula = field.trim_start().starts_with(['=', '+', '-', '@']);
                assert!(!formula || field.parse::<f64>().is_ok(), "{name} {file}: {field}");
                assert!(!field.contains('\u{202e}'), "{name} {file}: {field}");
            }
        } else if file.ends_with(".json") {
            serde_json::from_str::<Value>(text).unwrap_or_else(|e| panic!("{name} {file}: {e}"));
            assert!(!text.contains('\u{202e}'), "{name} {file}");
        }
    }
}

fn schema() -> Value {
    let text = fs::read_to_string(crate::tidy::root().join("harness-specs/spec.schema.json")).unwrap();
    serde_json::from_str(&text).unwrap()
}

/// The fields that are free text; the others name something, and refuse what they are given.
fn free_text(folder: &Path) -> Vec<Field> {
    let fields = text_fields(&schema());
    let loom = loom();
    assert!(is_taken(folder, &loom));
    let mut free = Vec::new();
    for field in fields {
        let mut changed = loom.clone();
        assert!(fill(&mut changed, &field, NASTY), "the loom has nothing that {field:?} belongs to: add it");
        if is_taken(folder, &changed) {
            let turned = filled(&loom, std::slice::from_ref(&field), TURNED);
            assert!(!is_taken(folder, &turned), "{field:?} lets text be turned round");
            free.push(field);
        }
    }
    free
}

fn filled(value: &Value, fields: &[Field], text: &str) -> Value {
    let mut changed = value.clone();
    for field in fields {
        fill(&mut changed, field, text);
    }
    changed
}

#[test]
fn text_of_a_spec_is_never_markup_formula_or_direction() {
    let folder = tempfile::tempdir().unwrap();
    let (loom, free) = (loom(), free_text(folder.path()));
    let seen: BTreeSet<String> = free.iter().map(|field| field.join("/")).collect();
    // As long as the attack, so that it is laid out alike.
    let benign = packet(folder.path(), &filled(&loom, &free, &"plain ".repeat(NASTY.len() / 6)));
    look_through("nasty", &packet(folder.path(), &filled(&loom, &free, NASTY)), &benign);
    let long = "long text ".repeat(1_000);
    look_through("long", &packet(folder.path(), &filled(&loom, &free, &long)), &benign);
    // What is free text today; a field that stops to be is told by this.
    for field in [
        "harness/title",
        "harness/drawing",
        "harness/machine",
        "harness/owner",
        "harness/remark",
        "zones/*/title",
        "barriers/*/title",
        "barriers/*/holes/*/seal",
        "places/*/title",
        "bonds/[]/title",
        "buses/*/title",
        "equipment/*/title",
        "equipment/*/note",
        "sensors/*/title",
        "sensors/*/note",
        "grounds/*/title",
        "supplies/*/title",
        "circuits/*/system",
        "circuits/*/note",
        "waive/[]/because",
        "waive/[]/by",
    ] {
        assert!(seen.contains(field), "{field} is not taken: {seen:?}");
    }
}

/// Names of things, wherever they stand: refused, or harmless.
#[test]
fn names_of_things_are_data_too() {
    fn renamed(value: &Value, from: &str, to: &str) -> Value {
        let word = |text: &str| match text.strip_prefix(from) {
            Some("") => to.to_owned(),
            Some(rest) if rest.starts_with('.') => format!("{to}{rest}"),
            _ => text.to_owned(),
        };
        match value {
            Value::String(text) => Value::String(word(text)),
            Value::Array(all) => Value::Array(all.iter().map(|v| renamed(v, from, to)).collect()),
            Value::Object(all) => {
                let entry = |(name, v): (&String, &Value)| (word(name), renamed(v, from, to));
                Value::Object(all.iter().map(entry).collect::<Map<_, _>>())
            }
            other => other.clone(),
        }
    }
    let folder = tempfile::tempdir().unwrap();
    let value = loom();
    let benign = packet(folder.path(), &renamed(&value, "panel", &"panel ".repeat(8)));
    let mut all = value.clone();
    let mut taken = 0;
    for section in [
        "zones",
        "barriers",
        "places",
        "bodies",
        "grounds",
        "supplies",
        "buses",
        "equipment",
        "sensors",
        "circuits",
    ] {
        let first = value[section].as_object().and_then(|all| all.keys().next()).cloned();
        let Some(first) = first else { continue };
        // A full stop parts a device from its pin.
        let nasty = format!("={first}<script>]]>\" onload=\"x'&").replace('.', "");
        let one = renamed(&value, &first, &nasty);
        if is_taken(folder.path(), &one) {
            taken += 1;
            all = renamed(&all, &first, &nasty);
        }
    }
    assert!(taken > 0);
    look_through("names", &packet(folder.path(), &all), &benign);
}

/// The same bytes whatever the folder, the language and the clock's zone of whoever runs it.
#[test]
fn surroundings_change_no_byte() {
    let spec = crate::tidy::root().join("harness-specs/workboat.yaml");
    let build = |folder: &Path, zone: &str, language: &str| -> BTreeMap<String, Vec<u8>> {
        let mut command = crate::command_line::fairlead(folder);
        command.env("TZ", zone).env("LC_ALL", language).env("LANG", language).env("HOME", folder);
        let ran = command
            .args(["build", "--today", crate::command_line::TODAY, "-o", "out"])
            .arg(&spec)
            .output()
            .unwrap();
        assert!(ran.status.success(), "{}", String::from_utf8_lossy(&ran.stderr));
        let files = fs::read_dir(folder.join("out")).unwrap().map(|entry| entry.unwrap().path());
        files
            .map(|path| (path.file_name().unwrap().to_string_lossy().into_owned(), fs::read(path).unwrap()))
            .collect()
    };
    let (here, there) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    let deeper = there.path().join("Ordner mit Ümlauten");
    fs::create_dir_all(&deeper).unwrap();
    let first = build(here.path(), "Pacific/Kiritimati", "C");
    let second = build(&deeper, "America/Anchorage", "tr_TR.UTF-8");
    assert!(first.len() > 10);
    assert!(first.keys().eq(second.keys()));
    for (file, bytes) in &first {
        assert!(bytes == &second[file], "{file} differs");
    }
}
