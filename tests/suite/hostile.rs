//! Text of a spec and of a part file of its user's own is data in every paper: each text field that the two schemas know is
//! filled with what could be markup, a formula, or a change of the direction of reading, and with far too much; the packet
//! is built and looked through.
//!
//! The fields are those of the schemas, so a new one is attacked without anybody naming it here.
//! A field that takes the text is free text; one that does not names something, and refuses it with a finding.
//! One packet carries all texts at once: a packet holds two books and takes its time.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

use fairlead::diag::Span;
use fairlead::packet::FileSet;
use fairlead::pipeline;
use serde_json::{Map, Value};

/// Ends a tag, an attribute and a CDATA section, and opens a script; begins as a formula.
const NASTY: &str = "=1+1 <script>alert(1)</script> ]]> \" onload=\"x' --> &amp;";
/// Turns the reading round, rings a bell or colours a terminal: refused wherever it stands.
const NEVER: [&str; 4] = ["exe.\u{202e}cod", "bell\u{7}", "\u{1b}[31mred", "\u{85}next"];

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
parts: [own.yaml]
harness: {title: Test loom, drawing: T-1, revision: A, supply: 14 V, thermocouple-colours: ansi, default-wire: etfe-22, wire-marks: {}}
shop: {tail: 100 mm}
zones: {cabin: {ambient: 40 °C}, engine: {ambient: 90 °C, hazards: [fuel]}}
barriers: {firewall: {between: [cabin, engine], holes: {FH1: {bore: 22 mm, lining: own-grommet, seal: putty}}}}
places: {panel: {station: 700 mm}}
route:
  - {from: panel, to: FH1, zone: cabin, length: 900 mm, clamps: 300 mm}
  - {from: FH1, to: shelf, zone: engine, length: 400 mm}
  - {from: shelf, to: cyl-1, zone: engine, length: 400 mm}
  - {from: panel, to: tray, zone: cabin, length: 500 mm, cover: own-sleeve}
bodies: {engine: engine, airframe: structure}
bonds: [{from: engine, to: airframe, resistance: 1 mΩ}]
buses: {main: {source: 40 A, others: {cruise: 9 A}}}
supplies: {CB: {breaker: 2 A, at: panel, bus: main, stud: '#8'}, CB2: {breaker: 2 A, at: panel, bus: main, stud: '#8'}}
grounds: {ENG: {body: engine, at: shelf, stud: M6}, AF: {body: airframe, at: panel, stud: M6}}
studs: {S1: {size: M5, at: shelf}}
splices: {SP1: {part: own-splice, at: shelf}}
connectors: {X1: {plug: own-plug, at: shelf, plug-faces: cyl-1}}
equipment: {GAUGE: {part: engine-gauge-4, at: panel}, BOX: {part: own-box, at: tray}}
sensors:
  CHT1: {part: cht-bayonet-k, at: cyl-1}
  OILP: {part: oil-pressure-3wire, at: shelf}
  OILT: {part: oil-temperature-2wire, at: cyl-1}
circuits:
  CHT1: {from: CHT1, to: GAUGE.cht-1, through: [FH1]}
  OILP: {legs: {OILP.signal: GAUGE.oil-pressure.signal, OILP.return: GAUGE.oil-pressure.return}}
  EXC: {join: [OILP.excitation, GAUGE.oil-pressure.excitation], joined-at: SP1}
  OILT: {from: OILT, to: GAUGE.oil-temperature, via: {X1: [Q1, Q2]}, during: [cruise]}
  POWER: {from: CB, to: GAUGE.power}
  GND: {from: GAUGE.ground, to: ENG}
  BOX-P: {from: CB2, to: BOX.post, wire: own-wire}
  BOX-G: {from: BOX.J.Q1, to: AF}
cables: {C1: {wire: own-cable, carries: [OILP], screen: [GAUGE.screens]}}
waive: [{rule: unseen-indicator, at: GAUGE, because: invented, by: nobody}]
";

/// Parts of the user's own, one of each kind, all of them used in the loom.
const PARTS: &str = "
devices:
  own-box:
    title: Box
    style: other
    connectors: {J: {shell: own-receptacle, title: all}}
    terminals: {post: {stud: M10}, spare: {stud: M10}}
    ports:
      feed: {kind: power-in, pins: {supply: post}, current: 100 mA}
      earth: {kind: ground, pins: {ground: J.Q1}}
    links: [[J.Q1, J.Q2]]
    rated: 105 °C
shells:
  own-plug:
    title: Plug
    mate: own-receptacle
    face: {rows: [[Q1, Q2, Q3]], pitch: 5 mm, shape: block}
    contacts: [own-socket]
    only: {Q3: own-socket}
    seal: 0.9..3.1 mm
    cavity-plug: own-stopper
    backshell: own-backshell
    outline: [18 mm, 16 mm]
    rated: 125 °C
    key: latch up
  own-receptacle:
    title: Receptacle
    mate: own-plug
    face: {rows: [[Q3, Q2, Q1]], pitch: 5 mm, shape: block}
    contacts: [own-pin]
    seal: 0.9..3.1 mm
    cavity-plug: own-stopper
    outline: [18 mm, 16 mm]
    rated: 125 °C
    key: latch up
contacts:
  own-socket: {title: Socket, gender: socket, size: small, wire: 24..20 AWG, insulation: 0.9..3.1 mm, strip: 5 mm, tool: tool, die: die, extractor: pick}
  own-pin: {title: Pin, gender: pin, size: small, wire: 24..20 AWG, insulation: 0.9..3.1 mm, strip: 5 mm, tool: tool, die: die, extractor: pick}
lugs:
  own-lug: {title: Lug, stud: M10, wire: 24..18 AWG, insulation: 0.9..3.1 mm, strip: 6 mm, tool: tool, die: die, width: 18 mm}
splices:
  own-splice: {title: Splice, wire: 24..18 AWG, ends: 4, strip: 6 mm, tool: tool, die: die, outside: 5 mm, length: 25 mm, covering: own-cover, rated: 125 °C}
wires:
  own-wire: {title: Wire, family: own, gauge: 22 AWG, outside: 1.3 mm, rated: 150 °C}
  own-cable: {title: Cable, family: own-2, gauge: 22 AWG, outside: 3.5 mm, core-outside: 1.3 mm, cores: [{colour: WH}, {colour: BU}], screen: {make: braid, cut-back: 10 mm, drain: 22 AWG, sleeve: own-solder-sleeve}, lay: 30 mm, rated: 150 °C}
coverings:
  own-cover: {title: Cover, use-for: insulation, over: 2..9 mm, wall: 1 mm, rated: 125 °C, piece: 50 mm}
  own-sleeve: {title: Sleeve, use-for: chafe, over: 1..20 mm, wall: 1 mm, rated: 125 °C}
linings:
  own-grommet: {title: Grommet, bore: 22 mm, hole: 29 mm, rated: 200 °C}
sundries:
  own-stopper: {title: Stopper, tool: none}
  own-backshell: {title: Backshell}
  own-solder-sleeve: {title: Solder sleeve, tool: hot air}
";

/// The loom and its parts as one value.
fn loom() -> Value {
    let read = |text| serde_yaml::from_str::<Value>(text).unwrap();
    Value::Object(Map::from_iter([("spec".to_owned(), read(SPEC)), ("parts".to_owned(), read(PARTS))]))
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

/// The value as a spec and a part file: JSON is YAML. Marks of direction are written by their number, as nobody could see
/// them.
fn put(folder: &Path, value: &Value) -> PathBuf {
    for (name, value) in [("spec.yaml", &value["spec"]), ("own.yaml", &value["parts"])] {
        let text = serde_json::to_string_pretty(value).unwrap();
        let text = text.replace('\u{202e}', "\\u202e").replace('\u{85}', "\\u0085");
        fs::write(folder.join(name), text).unwrap();
    }
    folder.join("spec.yaml")
}

/// True where the spec can be read; what stands against it is told without anything active in it.
fn is_taken(folder: &Path, value: &Value) -> bool {
    places_refused(folder, value).is_empty()
}

/// In which places something is refused, by file; what stands against it is told without anything active in it.
fn places_refused(folder: &Path, value: &Value) -> BTreeSet<(String, Span)> {
    let told = match pipeline::read(&put(folder, value)).unwrap().resolve() {
        Ok(_) => return BTreeSet::new(),
        Err(unreadable) => unreadable,
    };
    assert!(!told.findings.is_empty());
    let text =
        fairlead::diag::text::render(&told.findings, &told.sources, fairlead::diag::text::Look::default());
    let active = |c: char| c == '\u{202e}' || (c.is_control() && c != '\n');
    assert!(!text.contains(active), "{text}");
    let place = |span: Span| (told.sources.name(span.file).to_owned(), span);
    told.findings.iter().map(|finding| place(finding.labels[0].span)).collect()
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

/// Nothing of the spec is markup, formula or a change of direction in any file. A book is read back only where its text
/// could act: that takes longer than making it.
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
            if name != "long" {
                crate::pdf::Pdf::read(bytes).assert_passive(&format!("{name} {file}"));
            }
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

/// The text fields of a schema, as fields of one half of the loom.
fn fields_of(half: &str) -> Vec<Field> {
    let path = crate::tidy::root().join(format!("harness-specs/{half}.schema.json"));
    let schema: Value = serde_json::from_str(&fs::read_to_string(path).unwrap()).unwrap();
    let fields = text_fields(&schema).into_iter();
    fields.map(|field| [vec![half.to_owned()], field].concat()).collect()
}

/// The fields of one half that are free text; the others name something, and refuse what they are given.
fn free_text(folder: &Path, half: &str) -> Vec<Field> {
    let loom = loom();
    let mut free = Vec::new();
    for field in fields_of(half) {
        let mut changed = loom.clone();
        assert!(fill(&mut changed, &field, NASTY), "the loom has nothing that {field:?} belongs to: add it");
        if is_taken(folder, &changed) {
            free.push(field);
        }
    }
    for never in NEVER {
        // All at once, each told in its place.
        let value = filled(&loom, &free, never);
        let [before, places] = [&loom, &value].map(|value| count(value, never));
        assert!(before == 0 && places >= free.len());
        // A part that is left out for it is missed in the spec.
        let mut refused = places_refused(folder, &value);
        refused.retain(|(file, _)| file.ends_with(if half == "spec" { "spec.yaml" } else { "own.yaml" }));
        assert_eq!(refused.len(), places, "{half} takes {never:?} somewhere");
    }
    free
}

/// How often a text stands in a value.
fn count(value: &Value, text: &str) -> usize {
    match value {
        Value::String(own) => usize::from(own == text),
        Value::Array(all) => all.iter().map(|value| count(value, text)).sum(),
        Value::Object(all) => all.values().map(|value| count(value, text)).sum(),
        _ => 0,
    }
}

fn filled(value: &Value, fields: &[Field], text: &str) -> Value {
    let mut changed = value.clone();
    for field in fields {
        fill(&mut changed, field, text);
    }
    changed
}

#[test]
fn text_of_a_spec_and_its_parts_is_never_markup_formula_or_direction() {
    let folder = tempfile::tempdir().unwrap();
    let loom = loom();
    assert!(is_taken(folder.path(), &loom));
    let free = [free_text(folder.path(), "spec"), free_text(folder.path(), "parts")].concat();
    let seen: BTreeSet<String> = free.iter().map(|field| field.join("/")).collect();
    let (named, plain) = (nasty_names(folder.path(), &loom), plain_names(&loom));
    // As long as the attack, so that it is laid out alike.
    let benign = packet(folder.path(), &filled(&plain, &free, &"plain ".repeat(NASTY.len() / 6)));
    look_through("nasty", &packet(folder.path(), &filled(&named, &free, NASTY)), &benign);
    let long = "long text ".repeat(400);
    look_through("long", &packet(folder.path(), &filled(&loom, &free, &long)), &benign);
    // What is free text today; a field that stops to be is told by this.
    for field in [
        "spec/harness/title",
        "spec/harness/drawing",
        "spec/harness/machine",
        "spec/harness/owner",
        "spec/harness/remark",
        "spec/zones/*/title",
        "spec/barriers/*/title",
        "spec/barriers/*/holes/*/seal",
        "spec/places/*/title",
        "spec/bonds/[]/title",
        "spec/buses/*/title",
        "spec/equipment/*/title",
        "spec/equipment/*/note",
        "spec/sensors/*/title",
        "spec/sensors/*/note",
        "spec/grounds/*/title",
        "spec/supplies/*/title",
        "spec/circuits/*/system",
        "spec/circuits/*/note",
        "spec/waive/[]/because",
        "spec/waive/[]/by",
        "parts/contacts/*/die",
        "parts/contacts/*/extractor",
        "parts/contacts/*/size",
        "parts/contacts/*/title",
        "parts/contacts/*/tool",
        "parts/coverings/*/title",
        "parts/devices/*/connectors/*/title",
        "parts/devices/*/title",
        "parts/linings/*/title",
        "parts/lugs/*/die",
        "parts/lugs/*/title",
        "parts/lugs/*/tool",
        "parts/shells/*/key",
        "parts/shells/*/title",
        "parts/splices/*/die",
        "parts/splices/*/title",
        "parts/splices/*/tool",
        "parts/sundries/*/title",
        "parts/sundries/*/tool",
        "parts/wires/*/screen/make",
        "parts/wires/*/title",
    ] {
        assert!(seen.contains(field), "{field} is not taken: {seen:?}");
    }
}

/// A thing by another name, wherever it stands: alone, or as a part of `BOX.J.Q1`.
fn renamed(value: &Value, from: &str, to: &str) -> Value {
    let word = |text: &str| {
        let parts: Vec<&str> = text.split('.').map(|part| if part == from { to } else { part }).collect();
        parts.join(".")
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

/// Names of things: the first of each section of the spec, and those within a device and a shell of the part file.
fn names(loom: &Value) -> Vec<String> {
    let sections = [
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
    ];
    let first = |section: &str| loom["spec"][section].as_object().and_then(|all| all.keys().next()).cloned();
    let within = ["J", "post", "feed", "Q2"].map(str::to_owned);
    sections.into_iter().filter_map(first).chain(within).collect()
}

/// The loom with hostile names where they are taken: refused, or harmless.
fn nasty_names(folder: &Path, loom: &Value) -> Value {
    let mut all = loom.clone();
    let mut taken = BTreeSet::new();
    for name in names(loom) {
        // A full stop parts a device from its pin.
        let nasty = format!("={name}<script>]]>\" onload=\"x'&").replace('.', "");
        if is_taken(folder, &renamed(loom, &name, &nasty)) {
            all = renamed(&all, &name, &nasty);
            taken.insert(name);
        }
    }
    assert!(!taken.is_empty(), "no name is taken");
    // The name of a part goes into file names and marks.
    for part in
        loom["parts"].as_object().into_iter().flatten().filter_map(|(_, all)| all.as_object()?.keys().next())
    {
        assert!(!is_taken(folder, &renamed(loom, part, &format!("{part}<script>"))), "{part}");
    }
    all
}

/// The same names with what is harmless and as long.
fn plain_names(loom: &Value) -> Value {
    renamed(loom, "panel", &"panel ".repeat(8))
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
