//! Colours that a cable has not, and more wires than marks can tell apart: said where they stand.

use crate::loom::Loom;

const HEAD: &str = "fairlead: 1
harness: {title: Test loom, drawing: T-1, thermocouple-colours: ansi, default-wire: etfe-22}
zones: {cabin: {}}
route: [{from: panel, to: shelf, zone: cabin, length: 500 mm}]
equipment: {GAUGE: {part: engine-gauge-4, at: panel}}
sensors: {OILT: {part: oil-temperature-2wire, at: shelf}, TL: {part: tank-float-2wire, at: shelf}, CHT1: {part: cht-bayonet-k, at: shelf}}
";

/// Message, remedy and line of each finding.
fn told(text: &str) -> Vec<(String, String, usize)> {
    let loom = Loom::read(text);
    let line = |f: &fairlead::diag::Finding| loom.sources.position(f.labels[0].span).line;
    loom.findings.iter().map(|f| (f.message.clone(), f.remedy.clone(), line(f))).collect()
}

#[test]
fn a_colour_that_no_core_has_is_not_passed_over() {
    let spec = |colours: &str| {
        format!(
            "{HEAD}circuits:\n  OILT: {{from: OILT, to: GAUGE.oil-temperature, wire: twisted-2-22, colours: {colours}}}\n"
        )
    };
    assert_eq!(told(&spec("[WHBU, WH]")), []);
    let red = told(&spec("[WH, RD]"));
    assert_eq!(red.len(), 1, "{red:?}");
    assert_eq!((red[0].0.as_str(), red[0].2), ("no core of `twisted-2-22` is red", 8));
    assert!(red[0].1.starts_with("its cores are WH (white), WHBU ("), "{red:?}");
    let twice = told(&spec("[WH, WH]"));
    assert_eq!(twice.len(), 1, "{twice:?}");
    assert_eq!(twice[0].0, "the white core of `twisted-2-22` is given already");
    // Of a thermocouple pair a rule says what its colours mean.
    let pair = format!(
        "{HEAD}circuits: {{CHT1: {{from: CHT1, to: GAUGE.cht-1, wire: thermocouple-k-ansi-20, colours: [GN, WH]}}}}\n"
    );
    assert_eq!(told(&pair), []);
}

#[test]
fn circuits_in_one_cable_cannot_have_one_core() {
    let spec = format!(
        "{HEAD}circuits:
  OILT: {{legs: {{OILT.signal: GAUGE.B.1}}, colours: [RD]}}
  TANK: {{legs: {{TL.signal: GAUGE.B.15}}, colours: [RD]}}
cables: {{BOTH: {{wire: boat-cable-3-0.75, carries: [OILT, TANK]}}}}
"
    );
    let told = told(&spec);
    assert_eq!(told.len(), 1, "{told:?}");
    assert_eq!((told[0].0.as_str(), told[0].2), ("the red core of `boat-cable-3-0.75` is given already", 9));
}

#[test]
fn a_cable_that_carries_nothing_is_said_to() {
    let spec = format!(
        "{HEAD}circuits: {{OILT: {{from: OILT, to: GAUGE.oil-temperature}}}}
cables: {{SPARE: {{wire: boat-cable-3-0.75, carries: []}}}}
"
    );
    let told = told(&spec);
    assert_eq!(told.len(), 1, "{told:?}");
    assert_eq!((told[0].0.as_str(), told[0].2), ("cable `SPARE` carries no circuit", 8));
}

#[test]
fn more_wires_of_one_number_than_segment_letters_are_said_to_be_so() {
    // Ground points that one join brings together: each of its wires is a segment of one number.
    let spec = |count: usize| {
        let grounds: String = (0..count).map(|i| format!("  G{i}: {{body: engine, at: shelf}}\n")).collect();
        let names: Vec<String> = (0..count).map(|i| format!("G{i}")).collect();
        format!(
            "{HEAD}bodies: {{engine: engine}}\nstuds: {{BAR: {{size: M6, at: panel}}}}\ngrounds:\n{grounds}circuits:\n  ALL: {{join: [BAR, {}], joined-at: BAR, kind: ground}}\n",
            names.join(", ")
        )
    };
    assert_eq!(told(&spec(600)), []);
    let over = told(&spec(602));
    assert_eq!(over.len(), 1, "{over:?}");
    assert_eq!(
        over[0].0,
        "circuit `ALL` has more than 600 wires of one number, and a mark no segment letters for more"
    );
    assert_eq!(over[0].1, "part it into several circuits");
}
