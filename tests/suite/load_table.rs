//! The load table: what each bus gives in each phase, what is left of its source, and how that is derived.

use std::path::Path;

use crate::loom::Loom;
use fairlead::graph::{Bundles, Loading};
use fairlead::packet::lists;
use fairlead::parts::library::Library;
use fairlead::pipeline;
use fairlead::plan::Plan;
use fairlead::plan::load_table::{Section, load_table};
use fairlead::plan::why::{Asked, Derivation, derive};
use fairlead::quantity::{Current, Units};

const SPEC: &str = "fairlead: 1
harness: {title: Test loom, drawing: T-1, supply: 14 V, thermocouple-colours: ansi, default-wire: etfe-22, ceiling: 10000 ft}
zones: {cabin: {ambient: 50 °C}, engine: {ambient: 100 °C}}
barriers: {firewall: {between: [cabin, engine], holes: {FH1: {bore: 20 mm}}}}
route:
  - {from: panel, to: FH1, zone: cabin, length: 900 mm}
  - {from: FH1, to: shelf, zone: engine, length: 300 mm, surface: 180 °C}
bodies: {engine: engine}
buses:
  main: {source: 20 A, others: {cruise: 14 A, landing: 16 A}}
  aux: {source: 10 A}
supplies:
  CB: {breaker: 3 A, at: panel, bus: main, stud: '#8'}
  CB2: {breaker: 5 A, at: panel, bus: main, stud: '#8'}
  CB3: {fuse: 1 A, at: panel, bus: aux, stud: '#8'}
  CB4: {breaker: 1 A, at: panel, stud: '#8'}
equipment:
  GAUGE: {part: engine-gauge-4, at: panel}
  LAMP: {part: alert-lamp, at: panel}
  HORN: {part: warning-horn, at: shelf}
  SHUNT: {part: current-shunt-60, at: panel}
grounds: {ENG: {body: engine, at: shelf, stud: M6}}
circuits:
  POWER: {from: CB, to: GAUGE.power, current: 0.75 A}
  VOLTS: {from: CB3, to: GAUGE.volts}
  GND: {from: GAUGE.ground, to: ENG}
  LAMP: {from: CB3, to: LAMP.supply}
  LAMP-D: {from: LAMP.drive, to: GAUGE.alert}
  HORN: {from: CB2, to: HORN.supply, current: 2 A, duty: intermittent, during: [landing]}
  HORN-G: {from: HORN.drive, to: ENG}
  OUT: {legs: {CB4: SHUNT.line}}
";

fn sections() -> Vec<Section> {
    let loom = Loom::sound(SPEC);
    let loading = Loading::of(&loom.harness, Library::supplied(), &loom.routing);
    load_table(&loom.harness, &loading.feeds)
}

fn amps(a: f64) -> Option<Current> {
    Some(Current::from_amps(a))
}

#[test]
fn each_phase_has_its_loads_and_its_margin() {
    let sections = sections();
    let named: Vec<(&str, &str, usize)> =
        sections.iter().map(|s| (s.bus.as_str(), s.phase.as_str(), s.loads.len())).collect();
    let expected = [("main", "cruise", 1), ("main", "landing", 2), ("aux", "", 2), ("", "", 1)];
    assert_eq!(named, expected);
    // 0.75 A of the gauge beside 14 A and 16 A of the rest; the horn's 2 A in landing only, and for short times.
    assert_eq!((sections[0].margin(), sections[0].least_margin()), (amps(5.25), amps(5.25)));
    assert_eq!((sections[1].margin(), sections[1].least_margin()), (amps(3.25), amps(1.25)));
    // The lamp of 80 mA, and the gauge's sense pin on the same fuse, which draws nothing.
    assert_eq!((sections[2].continuous, sections[2].margin()), (Current::from_amps(0.08), amps(9.92)));
    assert_eq!(
        sections[2].loads.last().map(|l| (l.pin.as_str(), l.current)),
        Some(("GAUGE.B.17", amps(0.0)))
    );
    // What flows to the shunt nobody says.
    assert_eq!(
        (sections[3].unknown.as_slice(), sections[3].margin()),
        (&["SHUNT.line".to_owned()][..], None)
    );
}

#[test]
fn figures_of_a_section_add_up_down_the_column() {
    let table = lists::loads(&sections(), Units::Metric);
    let column = |phase: &str, head: &str| -> Vec<f64> {
        let at = table.record_heads.iter().position(|h| h == head).unwrap();
        let of = table.rows.iter().filter(|r| r.record[0] == "main" && r.record[1] == phase);
        of.map(|r| r.record[at].parse().unwrap_or(0.0)).collect()
    };
    for (phase, head) in
        [("cruise", "continuous (A)"), ("landing", "continuous (A)"), ("landing", "with intermittent (A)")]
    {
        let figures = column(phase, head);
        // Loads and the rest of the machine, then their sum, the source and what is left of it.
        let [parts @ .., sum, source, margin] = figures.as_slice() else { panic!("{figures:?}") };
        assert!((parts.iter().sum::<f64>() - sum).abs() < 1e-9, "{figures:?}");
        assert!((source - sum - margin).abs() < 1e-9, "{figures:?}");
    }
    let keys: std::collections::BTreeSet<&String> = table.rows.iter().map(|r| &r.key).collect();
    assert_eq!(keys.len(), table.rows.len());
    assert!(table.notes.iter().any(|n| n.starts_with('?')) && table.notes.iter().any(|n| n.starts_with('!')));
}

/// Where nobody says what the source gives, the margin is said to be unstated: in its line and above the table.
#[test]
fn a_margin_without_a_source_is_said_to_be_unstated() {
    let table = lists::loads(&sections(), Units::Metric);
    assert!(!table.ticked, "there is nothing to do in it");
    let margins: Vec<[&str; 4]> = table
        .rows
        .iter()
        .filter(|row| row.record[2] == "margin")
        .map(|row| [&row.record[0], &row.record[1], &row.record[8], &row.record[10]].map(String::as_str))
        .collect();
    assert_eq!(margins.len(), 4, "one for each section: {margins:?}");
    assert_eq!(margins[3], ["", "", "", "not stated: no source rating given"]);
    assert!(!margins[0][2].is_empty());
    assert_eq!(table.lead, ["no bus named: margin not stated: no source rating given."]);
}

fn why(id: &str) -> Derivation {
    let loom = Loom::sound(SPEC);
    let (h, library, routing) = (&loom.harness, Library::supplied(), &loom.routing);
    let (plan, bundles) = (Plan::of(h, library, routing), Bundles::of(h, library, routing));
    let loading = Loading::of(h, library, routing);
    let (plan, bundles, loading) = (&plan, &bundles, &loading);
    let mut found =
        derive(&Asked { h, library, routing, bundles, plan, loading, findings: &[] }, id).unwrap();
    found.remove(0)
}

#[track_caller]
fn figure(told: &Derivation, name: &str) -> (String, Vec<(String, String)>) {
    let found = told.figures.iter().find(|f| f.name == name).unwrap_or_else(|| panic!("{name}: {told:?}"));
    let terms = found.terms.iter().map(|t| (t.words.clone(), t.value.clone()));
    (found.value.clone(), terms.collect())
}

#[test]
fn a_wire_tells_what_it_carries_may_carry_and_stands() {
    let loom = Loom::sound(SPEC);
    let told = why(&loom.harness.conductor(loom.wire("GAUGE.B.37")).mark);
    let (value, terms) = figure(&told, "current");
    assert_eq!(value, "830 mA");
    let named: Vec<&str> = terms.iter().map(|(words, _)| words.as_str()).collect();
    assert_eq!(named, ["sum of the loads", "GAUGE.B.19", "LAMP.supply"]);
    // AC 43.13-1B CHG 1 Table 11-9: 5 A for 22 AWG at 150 °C; √(50 / 80) of it at 100 °C.
    let (value, terms) = figure(&told, "ampacity by the table (cross-check by rule of thumb)");
    assert_eq!((value.as_str(), terms[0].1.as_str(), terms[1].1.as_str()), ("3.95 A", "5 A", "0.791"));
    let (_, terms) = figure(&told, "ampacity by the free-air method (the law)");
    assert!(
        terms.iter().any(|(words, value)| words == "times, for 10000 ft" && value == "0.955"),
        "{terms:?}"
    );
    // 100 °C and 50 K √(0.83 / 3.95) more.
    assert_eq!(figure(&told, "temperature of the conductor").0, "122.9 °C");
    let (_, terms) = figure(&told, "insulation stands");
    assert!(terms.iter().any(|(words, _)| words == "surface beside FH1-shelf, uncovered"), "{terms:?}");
}

#[test]
fn a_bus_and_a_supply_tell_what_they_feed() {
    let told = why("main");
    assert_eq!(figure(&told, "drawn in landing").0, "18.75 A");
    let told = why("CB2");
    assert_eq!(
        (figure(&told, "feeds").0.as_str(), figure(&told, "largest breaker").0.as_str()),
        ("2 A", "5 A")
    );
}

/// Nanoamperes of a printed current; a minus stands before what lessens a sum.
fn printed(text: &str) -> i64 {
    let (sign, text) = text.strip_prefix('-').map_or((1, text), |rest| (-1, rest));
    let amps = text.parse::<Current>().unwrap_or_else(|e| panic!("{text}: {e:?}")).amps();
    sign * (amps * 1e9).round() as i64
}

/// In every example: the terms of a current that is a sum add up as they are printed, and so do those of a feed.
#[test]
fn terms_of_currents_add_up_as_printed() {
    let mut sums = 0;
    for file in ["four-cylinder", "six-cylinder", "workboat", "as-found"] {
        let path = format!("harness-specs/{file}.yaml");
        let reading = pipeline::read(Path::new(&path)).unwrap_or_else(|e| panic!("{path}: {e}"));
        let Ok(resolved) = reading.resolve() else { panic!("{path} is not sound") };
        let (h, library, routing) = (&resolved.harness, &resolved.library, &resolved.routing);
        let (plan, bundles) = (Plan::of(h, library, routing), Bundles::of(h, library, routing));
        let loading = Loading::of(h, library, routing);
        let asked =
            Asked { h, library, routing, bundles: &bundles, plan: &plan, loading: &loading, findings: &[] };
        let marks = h.conductors.iter().map(|c| c.mark.as_str());
        for id in marks.chain(h.devices.iter().map(|d| d.name.as_str())) {
            for figure in derive(&asked, id).unwrap().iter().flat_map(|told| &told.figures) {
                let says = |words: &str| figure.terms.iter().any(|t| t.words == words);
                let summed = says("sum of the loads") || says("the most of the loads' current that can flow");
                let known = figure.terms.iter().all(|t| t.value != "not known");
                if !known || !(summed || figure.name == "feeds" && !figure.terms.is_empty()) {
                    continue;
                }
                let terms = figure.terms.iter().filter(|t| !t.value.is_empty());
                let total: i64 = terms.map(|t| printed(&t.value)).sum();
                let value = figure.value.trim_start_matches("at most ");
                assert_eq!(total, printed(value), "{file}, {id}: {figure:?}");
                sums += 1;
            }
        }
    }
    assert!(sums > 20, "{sums}");
}
