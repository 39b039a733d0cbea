//! Typed reading of faulty files: every fault once, at its place, with the way out, and the sound rest still read.

use std::collections::BTreeSet;

use fairlead::diag::{Sink, Sources};
use fairlead::parts::model::PartFile;
use fairlead::spec::decode::decode;
use fairlead::spec::gate;
use fairlead::spec::load::{Loaded, Section, Sectioned, load};
use fairlead::spec::model::Spec;
use indexmap::IndexMap;
use schemars::JsonSchema;
use serde::{Deserialize, Deserializer, de};

#[derive(Debug, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct Loom {
    version: u32,
    title: Title,
    #[serde(default)]
    holes: IndexMap<String, Hole>,
    #[serde(default)]
    runs: Vec<Run>,
}

#[derive(Debug, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
struct Title {
    text: String,
    sheet: Option<String>,
}

#[derive(Debug, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct Hole {
    bore: Bore,
    lining: Lining,
    max_conductors: Option<u32>,
    #[serde(default)]
    between: Option<[String; 2]>,
    #[serde(default)]
    inner: IndexMap<String, Hole>,
}

#[derive(Debug, PartialEq, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
enum Lining {
    Grommet,
    Bushing,
}

#[derive(Debug, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
struct Run {
    from: String,
    to: String,
    length: Bore,
}

/// Stands for a quantity: its text must end in a unit, and it says so itself.
#[derive(Debug, PartialEq, JsonSchema)]
struct Bore(String);

impl<'de> Deserialize<'de> for Bore {
    fn deserialize<D: Deserializer<'de>>(d: D) -> Result<Bore, D::Error> {
        let text = String::deserialize(d)?;
        let sound = text.ends_with(" mm");
        sound
            .then(|| Bore(text.clone()))
            .ok_or_else(|| de::Error::custom(format!("`{text}` has no unit; write `{text} mm`")))
    }
}

impl Sectioned for Loom {
    const SECTIONS: &'static [Section] = &[Section::of::<Hole>("holes"), Section::of::<Run>("runs")];
}

/// What was read, and `line:column message | remedy` of every finding in the order of the file.
fn read(text: &str) -> (Loaded<Loom>, Vec<String>) {
    let (mut sources, mut sink) = (Sources::default(), Sink::default());
    let file = decode("loom.yaml", text.as_bytes(), &mut sources, &mut sink).unwrap();
    let tree = gate::read(&sources, file, &mut sink).unwrap();
    let loaded = load::<Loom>(&tree, &mut sink);
    let findings = sink.into_sorted().into_iter().map(|f| {
        let at = sources.position(f.labels[0].span);
        assert!(!sources.excerpt(f.labels[0].span).is_empty(), "{f:?}");
        format!("{}:{} {} | {}", at.line, at.column, f.message, f.remedy)
    });
    (loaded, findings.collect())
}

fn lost(loaded: &Loaded<Loom>) -> Vec<(&str, &str)> {
    loaded.left_out.iter().map(|(holder, name)| (holder.as_str(), name.as_str())).collect()
}

#[test]
fn a_sound_file_is_read_whole() {
    let (loaded, findings) =
        read("version: 1\ntitle: {text: 4711}\nholes:\n  FH1: {bore: 22 mm, lining: grommet}\n");
    assert_eq!(findings, Vec::<String>::new());
    assert_eq!(loaded.left_out, BTreeSet::new());
    let loom = loaded.value.unwrap();
    assert_eq!(loom.title.text, "4711");
    assert_eq!(loom.holes["FH1"].bore, Bore("22 mm".into()));
}

#[test]
fn every_fault_is_told_in_one_run_and_the_rest_is_read() {
    let (loaded, findings) = read(
        "version: one\n\
         titel: x\n\
         title: {text: Loom, sheet: [1]}\n\
         holes:\n\
         \x20 FH1: {bore: 22, lining: gromet, max-conductors: -3}\n\
         \x20 FH2:\n\
         \x20   bore: 9 mm\n\
         \x20   max_conductors: 4\n\
         \x20 FH3: {bore: 7 mm, lining: bushing, between: [a]}\n\
         \x20 FH4: []\n\
         \x20 FH5: {bore: 5 mm, lining: bushing, inner: {X: {bore: 1, lining: bushing}}}\n\
         \x20 FH6: {bore: 6 mm, lining: bushing}\n\
         runs:\n\
         \x20 - {from: a, to: b, length: 900 mm}\n\
         \x20 - {from: a, length: 900 mm}\n\
         \x20 - {from: a, to: {}, length: 5}\n",
    );
    assert_eq!(
        findings,
        [
            "1:10 `version` is the text `one`, where a whole number of 0 or more is expected | write a whole number of 0 or more",
            "2:1 `titel` is not among the entries of the file | write `title` if that is meant",
            "3:21 `sheet` is a list, where text is expected | write one plain text there",
            "5:15 `bore`: `22` has no unit | write `22 mm`",
            "5:27 `lining` cannot be `gromet` | write `grommet` if that is meant",
            "5:51 `max-conductors` is the number -3, where a whole number of 0 or more is expected | write a whole number of 0 or more",
            "6:3 `FH2` has no `lining` | add `lining: …`",
            "8:5 `max_conductors` is not among the entries of `FH2` | write `max-conductors` if that is meant",
            "9:38 `between` is a list of 1, where a list of 2 is expected | give it 2 items",
            "10:3 `FH4` is a list, where a map is expected | write entries `name: value` below it, or in braces",
            "11:56 `bore`: `1` has no unit | write `1 mm`",
            "15:5 item 2 of `runs` has no `to` | add `to: …`",
            "16:15 `to` is a map, where text is expected | write one plain text there",
            "16:31 `length`: `5` has no unit | write `5 mm`",
        ]
    );
    // `version` is wanted, so nothing whole can be made of it.
    assert!(loaded.value.is_none());
    for name in ["FH1", "FH2", "FH4", "X"] {
        assert!(loaded.lost(name), "{name}: {:?}", lost(&loaded));
    }
    for name in ["FH3", "FH5", "FH6"] {
        assert!(!loaded.lost(name), "{name}: {:?}", lost(&loaded));
    }
}

#[test]
fn all_that_an_entry_lacks_is_told_at_once() {
    let (_, findings) = read("version: 1\ntitle: {text: x}\nholes:\n  FH1:\n  FH2: {}\nruns:\n  - {to: b}\n");
    assert_eq!(
        findings,
        [
            "4:3 `FH1` has no `bore` and no `lining` | add `bore: …` and `lining: …`",
            "5:3 `FH2` has no `bore` and no `lining` | add `bore: …` and `lining: …`",
            "7:5 item 1 of `runs` has no `from` and no `length` | add `from: …` and `length: …`",
        ]
    );
    let (loaded, findings) = read("holes: {}\n");
    assert_eq!(findings, ["1:1 the file has no `version` and no `title` | add `version: …` and `title: …`"]);
    assert!(loaded.value.is_none());
}

#[test]
fn what_is_left_is_still_a_value() {
    let (loaded, findings) = read(
        "version: 1\ntitle: {text: x, shet: 1}\nholes:\n  A: {bore: 1, lining: grommet}\n  \
         B: {bore: 1 mm, lining: grommet}\nruns: 5\n",
    );
    assert_eq!(findings.len(), 3, "{findings:#?}");
    assert_eq!(lost(&loaded), [("", "runs"), ("A", "bore"), ("holes", "A"), ("title", "shet")]);
    let loom = loaded.value.unwrap();
    assert_eq!(loom.holes.keys().collect::<Vec<_>>(), ["B"]);
    assert_eq!(loom.title.text, "x");
}

#[test]
fn what_the_gate_refused_is_not_told_twice() {
    let (loaded, findings) =
        read("version: 1\ntitle: &t {text: x}\nholes:\n  A: *t\n  A: {}\n  B: {bore: 5}\n");
    let starts = [
        "2:8 `&t`",
        "4:6 `*t`",
        "5:3 `A` stands twice",
        "6:3 `B` has no `lining`",
        "6:13 `bore`: `5` has no unit",
    ];
    assert_eq!(findings.len(), starts.len(), "{findings:#?}");
    for (finding, start) in findings.iter().zip(starts) {
        assert!(finding.starts_with(start), "{finding}\n{start}");
    }
    assert!(loaded.lost("A") && loaded.value.is_some());
}

#[test]
fn a_flood_of_faults_ends() {
    let mut text = "version: 1\ntitle: {text: x}\nholes:\n".to_owned();
    for i in 0..5000 {
        text.push_str(&format!("  H{i}: {{bore: {i}, lining: grommet}}\n"));
    }
    let (_, findings) = read(&text);
    assert_eq!(findings.len(), 201);
    assert!(findings[200].starts_with("204:16 reading stops after 200 findings"), "{}", findings[200]);
}

#[test]
fn a_large_faulty_file_costs_no_more_than_its_size() {
    let mut text = "version: 1\ntitle: {text: x}\nholes:\n".to_owned();
    for i in 0..20_000 {
        let bore = if i % 200 == 0 { "5" } else { "5 mm" };
        text.push_str(&format!("  H{i}: {{bore: {bore}, lining: grommet, between: [a, b]}}\n"));
    }
    let started = std::time::Instant::now();
    let (loaded, findings) = read(&text);
    assert_eq!(findings.len(), 100);
    assert_eq!(loaded.value.unwrap().holes.len(), 19_900);
    assert!(started.elapsed() < std::time::Duration::from_secs(20), "{:?}", started.elapsed());
}

/// A spec with faults of every kind a designer makes; all invented.
#[test]
fn the_real_spec_language_explains_itself() {
    let text = r"
fairlead: 1
harness: {title: Gauge loom, drawing: T1, supply: 14, thermocouple-colours: din}
zones:
  cabin: {ambient: 45, hazards: fuel}
  engine: {ambient: 120 °F, hazard: [fuel]}
barriers:
  firewall:
    between: [cabin, engine, tail]
    holes:
      FH1: {bore: 22, max-fill: 140 %}
      FH2: {bore: '0.875 in', others: -1}
route:
  - {from: panel, to: FH1, zone: cabin, length: 90 furlongs}
  - {from: panel, zone: cabin}
grounds:
  ENG: {body: engine, at: crankcase, stud: M99}
circuits:
  CHT1: {from: CHT1, too: GAUGE.cht-1}
  OILP: {from: [OILP], to: GAUGE.oil-pressure, via: {FWD: some}}
  EGT: {from: EGT, to: GAUGE.egt, gauge: 21, letter: TT}
";
    let (mut sources, mut sink) = (Sources::default(), Sink::default());
    let read = fairlead::spec::load::read::<Spec>("x.yaml", text.as_bytes(), &mut sources, &mut sink);
    assert!(read.is_some());
    let said: Vec<String> = sink
        .into_sorted()
        .iter()
        .map(|f| {
            let at = sources.position(f.labels[0].span);
            format!("{}:{} {} | {}", at.line, at.column, f.message, f.remedy)
        })
        .collect();
    let starts = [
        "3:51 `supply`: `14` has no unit",
        "3:77 `thermocouple-colours` cannot be `din` | choose among `ansi`, `iec`",
        "5:20 `ambient`: `45` has no unit",
        "5:33 `hazards` is the text `fuel`, where a list is expected | write it as a list: `[fuel]`",
        "6:29 `hazard` is not among the entries of `engine` | write `hazards` if that is meant",
        "9:5 `between` is a list of 3, where a list of 2 is expected | give it 2 items",
        "11:19 `bore`: `22` has no unit",
        "12:39 `others` is the number -1, where a whole number of 0 or more is expected",
        "14:49 `length`: ",
        "15:5 item 2 of `route` has no `to` and no `length` | add `to: …` and `length: …`",
        "17:44 `stud`: `M99` is not a stud size",
        "19:22 `too` is not among the entries of `CHT1` | write `to` if that is meant",
        "20:10 `from` is a list, where text is expected | write one plain text there",
        "20:59 `FWD` cannot be `some` | write `auto`",
        "21:42 `gauge`: `21` has no unit",
        "21:54 `letter` is the text `TT`, where one character is expected | write one character",
    ];
    assert_eq!(said.len(), starts.len(), "{said:#?}");
    for (said, start) in said.iter().zip(starts) {
        assert!(said.starts_with(start), "{said}\n{start}");
    }
}

/// The embedded part files must satisfy what is asked of those of a user.
#[test]
fn the_embedded_part_files_pass_the_gate() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("src/parts/library");
    let mut paths: Vec<_> = std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    paths.retain(|path| path.extension().is_some_and(|e| e == "yaml"));
    paths.sort();
    assert!(!paths.is_empty());
    let (mut sources, mut sink) = (Sources::default(), Sink::default());
    for path in &paths {
        let bytes = std::fs::read(path).unwrap();
        let name = path.file_name().unwrap().to_string_lossy();
        let (_, loaded) =
            fairlead::spec::load::read::<PartFile>(&name, &bytes, &mut sources, &mut sink).unwrap();
        assert!(loaded.value.is_some(), "{name}");
    }
    let shown = fairlead::diag::text::render(sink.findings(), &sources, Default::default());
    assert!(sink.is_empty(), "{shown}");
}

/// The names in the tables of sections must be those of the types, or their faults would be found one run at a time.
#[test]
fn sections_carry_the_names_of_the_language() {
    for (schema, names) in [
        (
            schemars::schema_for!(Spec),
            <Spec as Sectioned>::SECTIONS.iter().map(Section::name).collect::<Vec<_>>(),
        ),
        (
            schemars::schema_for!(PartFile),
            <PartFile as Sectioned>::SECTIONS.iter().map(Section::name).collect(),
        ),
    ] {
        let properties = schema.as_value()["properties"].as_object().unwrap();
        for name in &names {
            assert!(properties.contains_key(*name), "{name}");
        }
        // Maps and lists of entries that nobody put into the table.
        for (name, property) in properties {
            let entries = property.get("additionalProperties").or_else(|| property.get("items"));
            let of_entries = entries.and_then(|e| e.get("$ref")).and_then(|r| r.as_str());
            let is_map = of_entries.is_some_and(|r| r.ends_with("Spec") || r.ends_with("Part"));
            assert!(!is_map || names.contains(&name.as_str()), "{name} has no section");
        }
    }
}
