//! Findings as other programs read them: our own JSON, and SARIF 2.1.0.

use fairlead::diag::sarif::RuleNote;
use fairlead::diag::{Finding, Label, Severity, Sources, Span, json, sarif};
use serde_json::{Value, json as expect};

/// Two findings over two files; the second is waived, and the names are meant to break something.
fn findings() -> (Sources, Vec<Finding>) {
    let mut sources = Sources::default();
    let loom = sources.add("specs/my loom µ.yaml", "a: 1\nFH1: {bore: 22 mm} # 🎵 x\n");
    let shop = sources.add("shop\\limits.yaml", "fill: 40 %\n");
    let label = |file, part: &str, text: &str, id: Option<&str>| {
        let at = sources.text(file).find(part).unwrap();
        Label { span: Span::new(file, at, at + part.len()), text: text.into(), id: id.map(str::to_owned) }
    };
    let first = Finding {
        rule: "hole-fill",
        severity: Severity::Stop,
        message: "hole `FH1` is 62 % full".into(),
        labels: vec![label(loom, "x", "", Some("FH1")), label(shop, "40 %", "the limit is set here", None)],
        in_service: "insulation chafes".into(),
        remedy: "move a circuit".into(),
        source: "common practice".into(),
        waived: None,
    };
    let second = Finding {
        rule: "not-described",
        severity: Severity::Doubt,
        message: "`x\u{1B}[31m\u{9B}\u{202E}\"` [a](1)\nb".into(),
        labels: vec![],
        in_service: String::new(),
        remedy: "look".into(),
        source: String::new(),
        waived: Some("measured".into()),
    };
    (sources, vec![first, second])
}

fn is_quiet(text: &str) -> bool {
    !text.chars().any(|c| (c.is_control() && c != '\n') || matches!(c, '\u{202E}' | '\u{2028}'))
}

#[test]
fn json_has_every_key_and_every_place() {
    let (sources, findings) = findings();
    let text = json::render(&findings, &sources);
    assert!(is_quiet(&text), "{text}");
    let value: Value = serde_json::from_str(&text).unwrap();
    assert_eq!(
        value,
        expect!({
            "tool": "fairlead",
            "version": env!("CARGO_PKG_VERSION"),
            "findings": [
                {
                    "rule": "hole-fill",
                    "severity": "stop",
                    "message": "hole `FH1` is 62 % full",
                    "places": [
                        // The note sign is one character, though UTF-16 counts it as two.
                        {"file": "specs/my loom µ.yaml", "line": 2, "column": 24, "end_line": 2, "end_column": 25,
                         "id": "FH1", "text": null},
                        {"file": "shop\\limits.yaml", "line": 1, "column": 7, "end_line": 1, "end_column": 11,
                         "id": null, "text": "the limit is set here"},
                    ],
                    "in_service": "insulation chafes",
                    "remedy": "move a circuit",
                    "source": "common practice",
                    "waived": null,
                },
                {
                    "rule": "not-described",
                    "severity": "doubt",
                    "message": findings[1].message,
                    "places": [],
                    "in_service": null,
                    "remedy": "look",
                    "source": null,
                    "waived": "measured",
                },
            ],
            "counts": {"stop": 1, "doubt": 0, "note": 0, "waived": 1},
        })
    );
}

fn log() -> (String, Value) {
    let (sources, findings) = findings();
    let rules =
        [RuleNote { name: "hole-fill", title: "A hole is too full", help: "Why.", severity: Severity::Stop }];
    let text = sarif::render(&findings, &rules, &sources);
    let value = serde_json::from_str(&text).unwrap();
    (text, value)
}

/// What the JSON schema of SARIF 2.1.0 (OASIS, sarif-schema-2.1.0.json) requires and allows of each object that is
/// written: definition, required keys, all keys that this tool may use. Copied by hand from the schema's `required`
/// and `properties`; a whole log was also validated against the schema itself when this was written.
const OBJECTS: &[(&str, &[&str], &[&str])] = &[
    ("sarifLog", &["version", "runs"], &["$schema", "version", "runs"]),
    ("run", &["tool"], &["tool", "columnKind", "results"]),
    ("tool", &["driver"], &["driver"]),
    ("toolComponent", &["name"], &["name", "version", "rules"]),
    ("reportingDescriptor", &["id"], &["id", "shortDescription", "help", "defaultConfiguration"]),
    ("reportingConfiguration", &[], &["level"]),
    ("message", &["text"], &["text"]),
    (
        "result",
        &["message"],
        &["ruleId", "ruleIndex", "level", "message", "locations", "relatedLocations", "suppressions"],
    ),
    ("location", &[], &["id", "physicalLocation", "logicalLocations", "message"]),
    ("physicalLocation", &["artifactLocation"], &["artifactLocation", "region"]),
    ("artifactLocation", &[], &["uri"]),
    ("region", &[], &["startLine", "startColumn", "endLine", "endColumn"]),
    ("logicalLocation", &[], &["name"]),
    ("suppression", &["kind"], &["kind", "status", "justification"]),
];

/// The definition that the value of `key` inside `definition` follows.
fn definition_of(definition: &str, key: &str) -> Option<&'static str> {
    Some(match (definition, key) {
        ("sarifLog", "runs") => "run",
        ("run", "tool") => "tool",
        ("run", "results") => "result",
        ("tool", "driver") => "toolComponent",
        ("toolComponent", "rules") => "reportingDescriptor",
        ("reportingDescriptor", "shortDescription" | "help") | (_, "message") => "message",
        ("reportingDescriptor", "defaultConfiguration") => "reportingConfiguration",
        ("result", "locations" | "relatedLocations") => "location",
        ("result", "suppressions") => "suppression",
        ("location", "physicalLocation") => "physicalLocation",
        ("location", "logicalLocations") => "logicalLocation",
        ("physicalLocation", "artifactLocation") => "artifactLocation",
        ("physicalLocation", "region") => "region",
        _ => return None,
    })
}

fn conforms(value: &Value, definition: &str) {
    if let Value::Array(items) = value {
        items.iter().for_each(|item| conforms(item, definition));
        return;
    }
    let (_, required, allowed) = OBJECTS.iter().find(|(name, ..)| *name == definition).unwrap();
    let object = value.as_object().unwrap_or_else(|| panic!("{definition}: {value}"));
    for key in *required {
        assert!(object.contains_key(*key), "{definition} lacks {key}");
    }
    for (key, value) in object {
        assert!(allowed.contains(&key.as_str()), "{definition} has {key}");
        match definition_of(definition, key) {
            Some(inner) => conforms(value, inner),
            None => assert!(!value.is_object() && !value.is_null(), "{definition}.{key}: {value}"),
        }
    }
}

#[test]
fn sarif_keeps_to_the_schema() {
    let (text, log) = log();
    assert!(is_quiet(&text), "{text}");
    conforms(&log, "sarifLog");
    assert_eq!(log["version"], "2.1.0");
}

#[test]
fn sarif_says_what_the_findings_say() {
    let (_, log) = log();
    let run = &log["runs"][0];
    assert_eq!(run["columnKind"], "unicodeCodePoints");
    assert_eq!(run["tool"]["driver"]["rules"][0]["id"], "hole-fill");
    assert_eq!(run["tool"]["driver"]["rules"][0]["defaultConfiguration"]["level"], "error");
    let [first, second] = run["results"].as_array().unwrap().as_slice() else { panic!("{run}") };
    assert_eq!(
        (&first["ruleId"], &first["ruleIndex"], &first["level"]),
        (&"hole-fill".into(), &0.into(), &"error".into())
    );
    let said =
        "hole `FH1` is 62 % full\nIn service: insulation chafes\nDo: move a circuit\nSource: common practice";
    assert_eq!(first["message"]["text"], said);
    let place = &first["locations"][0];
    // RFC 3986: a space and letters beyond ASCII are percent-encoded, each byte of UTF-8 by itself.
    assert_eq!(place["physicalLocation"]["artifactLocation"]["uri"], "specs/my%20loom%20%C2%B5.yaml");
    let region = expect!({"startLine": 2, "startColumn": 24, "endLine": 2, "endColumn": 25});
    assert_eq!(place["physicalLocation"]["region"], region);
    assert_eq!(place["logicalLocations"], expect!([{"name": "FH1"}]));
    let related = &first["relatedLocations"][0];
    assert_eq!(related["physicalLocation"]["artifactLocation"]["uri"], "shop/limits.yaml");
    assert_eq!((&related["id"], &related["message"]["text"]), (&1.into(), &"the limit is set here".into()));
    assert_eq!(first.get("suppressions"), None);

    assert_eq!(second.get("ruleIndex"), None);
    assert_eq!(second["level"], "warning");
    assert_eq!(
        second["suppressions"],
        expect!([{"kind": "inSource", "status": "accepted", "justification": "measured"}])
    );
    assert!(second["message"]["text"].as_str().unwrap().contains("\\[a\\](1)"));
}

#[test]
fn nothing_found_is_a_whole_report_too() {
    let sources = Sources::default();
    let value: Value = serde_json::from_str(&json::render(&[], &sources)).unwrap();
    assert_eq!(value["findings"], expect!([]));
    let log: Value = serde_json::from_str(&sarif::render(&[], &[], &sources)).unwrap();
    conforms(&log, "sarifLog");
    assert_eq!(log["runs"][0]["results"], expect!([]));
}
