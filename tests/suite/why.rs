//! `why`: every printed figure can be followed to the lines that set it.

use crate::loom::Loom;
use fairlead::diag::{Finding, Label, Severity};
use fairlead::graph::{Bundles, Loading, Routing};
use fairlead::harness::Conductor;
use fairlead::parts::library::Library;
use fairlead::plan::Plan;
use fairlead::plan::why::{Asked, Derivation, Unknown, derive};
use fairlead::plan::why_text::render;
use fairlead::quantity::{Length, Units};

const SPEC: &str = "fairlead: 1
harness: {title: Test loom, drawing: T-1, thermocouple-colours: ansi, default-wire: etfe-22}
shop: {cut-step: 10 mm}
zones: {cabin: {}, engine: {splices: forbidden}}
barriers: {firewall: {between: [cabin, engine], holes: {FH1: {bore: 19 mm, max-conductors: 12, others: 2, others-outside: 2 mm}}}}
route:
  - {from: panel, to: tray, zone: cabin, length: 500 mm}
  - {from: tray, to: FH1, zone: cabin, length: 200 mm}
  - {from: FH1, to: shelf, zone: engine, length: 300 mm, cover: fire-sleeve-10}
bodies: {engine: engine}
equipment: {GAUGE: {part: engine-gauge-4, at: panel}}
grounds: {ENG: {body: engine, at: shelf, stud: M6}}
sensors:
  CHT1: {part: cht-bayonet-k, at: shelf}
  OILP: {part: oil-pressure-3wire, at: shelf}
  OILT: {part: oil-temperature-2wire, at: shelf}
circuits:
  CHT1: {from: CHT1, to: GAUGE.cht-1}
  RET: {join: [GAUGE.A.25, OILP.return, OILT.return], kind: ground}
  POWER: {legs: {GAUGE.A.24: ENG}}
";

fn ask(id: &str) -> Result<(Vec<Derivation>, String), Unknown> {
    ask_in(SPEC, id)
}

/// The same of another spec.
fn ask_in(spec: &str, id: &str) -> Result<(Vec<Derivation>, String), Unknown> {
    let loom = Loom::sound(spec);
    let library = Library::supplied();
    let plan = Plan::of(&loom.harness, library, &loom.routing);
    let (h, routing) = (&loom.harness, &loom.routing);
    let findings = [Finding {
        rule: "hole-count",
        severity: Severity::Stop,
        message: "`FH1` carries too much".into(),
        labels: vec![Label { span: h.holes[0].span, text: "this hole".into(), id: Some("FH1".into()) }],
        in_service: String::new(),
        remedy: "move a circuit".into(),
        source: "declared".into(),
        waived: None,
    }];
    let bundles = Bundles::of(h, library, routing);
    let loading = Loading::of(h, library, routing);
    let (bundles, plan, loading, findings) = (&bundles, &plan, &loading, &findings);
    let found = derive(&Asked { h, library, routing, bundles, plan, loading, findings }, id)?;
    let text = render(&found, &loom.sources);
    Ok((found, text))
}

#[track_caller]
fn value(found: &[Derivation], figure: &str) -> String {
    let figures = found.iter().flat_map(|d| &d.figures);
    figures.clone().find(|f| f.name == figure).unwrap_or_else(|| panic!("{figure}: {found:?}")).value.clone()
}

#[test]
fn a_wire_tells_its_length_term_by_term() {
    let mark = {
        let loom = Loom::sound(SPEC);
        loom.harness.conductor(loom.wire("GAUGE.A.24")).mark.clone()
    };
    let (found, text) = ask(&mark).unwrap();
    // 300 + 200 + 500, tails 2 × 100, loop 150, reserve 2 × 9 and 2 × 11: 1390 mm, a whole step.
    assert_eq!(value(&found, "cut length"), "1390 mm");
    assert!(text.contains("run FH1-shelf") && text.contains("test.yaml:9"), "{text}");
    assert!(text.contains("default of the tool"), "{text}");
    assert!(text.contains("AC 43.13-1B par. 11-118"), "{text}");
    assert_eq!(value(&found, "path"), "panel > tray > FH1 > shelf");
}

#[test]
fn one_name_may_mean_a_circuit_a_cable_and_a_sensor() {
    let (found, _) = ask("CHT1").unwrap();
    let what: Vec<&str> = found.iter().map(|d| d.what.split([' ', ',']).next().unwrap()).collect();
    assert_eq!(what, ["circuit", "cable", "Cylinder-head"]);
}

#[test]
fn a_hole_tells_who_passes() {
    let (found, text) = ask("FH1").unwrap();
    assert_eq!(found.len(), 1);
    // The pair, two returns behind the splice in the cabin, the ground, and two of another harness.
    assert_eq!(value(&found, "conductors"), "7");
    assert_eq!((value(&found, "most conductors"), value(&found, "bore")), ("12".into(), "19 mm".into()));
    assert!(text.contains("of other harnesses"), "{text}");
    let fill: f64 =
        value(&found, "fill by area (cross-check by rule of thumb)").trim_end_matches(" %").parse().unwrap();
    let squares = 3.4 * 3.4 + 3.0 * 1.27 * 1.27 + 2.0 * 2.0 * 2.0;
    assert!((fill - 100.0 * squares / (19.0 * 19.0)).abs() < 0.05);
    // Pushed against the wall, the bundle leaves at least what the bore is wider; by area the rest of it at most.
    let mm = |figure: &str| value(&found, figure).trim_end_matches(" mm").parse::<f64>().unwrap();
    let (bundle, spare) = (mm("bundle"), mm("spare circle"));
    assert_eq!(value(&found, "fit (the law)"), "passes");
    assert!(
        spare >= 19.0 - bundle - 0.1 && spare < (19.0 * 19.0 - squares).sqrt(),
        "{spare} beside {bundle}"
    );
    assert_eq!(value(&found, "fed towards"), "engine");
}

/// The widths are those of the library, and the bore that of the spec.
#[test]
fn a_hole_a_wire_and_an_end_tell_the_width_against_the_bore() {
    let (hole, text) = ask("FH1").unwrap();
    let figure =
        hole[0].figures.iter().find(|f| f.name == "ends through it").unwrap_or_else(|| panic!("{text}"));
    let library = Library::supplied();
    let wide = |name: &str| library.lugs.look_up(name).unwrap().1.width;
    for term in &figure.terms {
        let part = term.words.split([' ', ',']).nth(1).unwrap();
        if term.words.starts_with("terminal") {
            assert_eq!(term.value, wide(part).show(Units::Metric), "{term:?}");
            let left = Length::from_mm(19.0) - wide(part);
            let said = format!(
                "passes, {} less than the bore of FH1, 19 mm: fed finished",
                left.show(Units::Metric)
            );
            assert_eq!(term.formula, said, "{term:?}");
        }
    }
    assert!(figure.terms.iter().any(|t| t.words.starts_with("terminal")), "{figure:?}");
    let ends: usize =
        figure.value.split("; ").map(|n| n.split(' ').next().unwrap().parse::<usize>().unwrap()).sum();
    let loom = Loom::sound(SPEC);
    assert_eq!(ends, Routing::lay_out(&loom.harness).in_hole[0].len(), "{}", figure.value);

    let narrow = SPEC.replace("bore: 19 mm", "bore: 4 mm");
    let (_, text) = ask_in(&narrow, "FH1").unwrap();
    let contact = "contact on the bench, into its shell after feeding";
    assert!(text.contains("does not pass, ") && text.contains("more than the bore of FH1, 4 mm"), "{text}");
    // The same of its pin and of its wire.
    let loom = Loom::sound(&narrow);
    let h = &loom.harness;
    let of_shell = |c: &&Conductor| h.pin(c.from).name.starts_with("OILP.");
    let c = h.conductors.iter().find(of_shell).unwrap();
    let pin = &h.pin(c.from).name;
    for id in [pin, &c.mark] {
        let (_, text) = ask_in(&narrow, id).unwrap();
        let shell = format!("shell sealed-3-plug, to {pin} ");
        assert!(text.contains(&shell) && text.contains(contact), "{id}: {text}");
    }
    let unknown = SPEC.replace("bore: 19 mm, ", "");
    assert!(ask_in(&unknown, "FH1").unwrap().1.contains("not judged, its bore is not given"));
}

#[test]
fn a_splice_tells_what_other_places_would_take() {
    let loom = Loom::sound(SPEC);
    let joint = loom.harness.circuits[1].joint.unwrap();
    let (found, text) = ask(&loom.harness.device(joint).name).unwrap();
    assert_eq!(value(&found, "place"), "tray");
    let terms: Vec<(&str, &str)> =
        found[0].figures[0].terms.iter().skip(1).map(|t| (t.words.as_str(), t.value.as_str())).collect();
    assert_eq!(terms, [("at tray, chosen", "1500 mm"), ("at panel", "2000 mm")], "{text}");
    // Home to the gauge at the panel both senders take 1000 mm each.
    assert_eq!(value(&found, "saving"), "500 mm less than the naive choice");
    assert!(
        text.contains("all wires home to GAUGE.A.25 at panel") && text.contains("save nothing"),
        "{text}"
    );
}

#[test]
fn runs_places_pins_and_findings_have_an_answer() {
    assert_eq!(value(&ask("panel-tray").unwrap().0, "conductors"), "4");
    // 6 mm of wall beside what the wires take.
    let (run, text) = ask("FH1-shelf").unwrap();
    let mm = |figure: &str| value(&run, figure).trim_end_matches(" mm").parse::<f64>().unwrap();
    assert!(
        (mm("over the cover") - mm("bundle") - 6.0).abs() < 0.02 && text.contains("4.5 mm to 9 mm"),
        "{text}"
    );
    assert_eq!(value(&ask("shelf").unwrap().0, "runs"), "1");
    assert_eq!(value(&ask("GAUGE.A.1").unwrap().0, "wires"), "1");
    assert_eq!(ask("ENG").unwrap().0.len(), 1);
    for id in ["finding 1", "finding-1", "hole-count"] {
        let (found, text) = ask(id).unwrap();
        assert_eq!(found[0].id, "finding 1");
        assert!(text.contains("FH1: this hole") && text.contains("test.yaml:5"), "{text}");
    }
}

#[test]
fn an_unknown_name_is_answered_with_the_nearest() {
    let nearest = |id: &str| ask(id).unwrap_err().to_string();
    assert_eq!(nearest("CHT9"), "nothing in this harness is called `CHT9`; did you mean `CHT1`?");
    assert_eq!(nearest("E1A20"), "nothing in this harness is called `E1A20`; did you mean `E1A20-CHROM`?");
    assert!(nearest("quite another thing").contains("ask about a wire mark"));
    assert_eq!(nearest("finding 2"), "there is one finding: ask about `finding 1`");
}

/// The reader refuses such characters; what is printed does not rely on it.
#[test]
fn nothing_of_a_spec_drives_the_terminal() {
    let told = Derivation { id: "A\u{1b}[31m".into(), what: "red\u{202e}".into(), ..Derivation::default() };
    let text = render(&[told], &Loom::sound(SPEC).sources);
    assert!(!text.contains(['\u{1b}', '\u{202e}']) && text.contains("red"), "{text}");
}

/// Whatever the names of its circuits: the probe tells junctions, readings, and where the emf comes from.
#[test]
fn a_thermocouple_tells_what_the_gauge_shows() {
    let spec = |circuit: &str| {
        let zones = SPEC.replace("cabin: {}", "cabin: {ambient: 25 °C}");
        let zones =
            zones.replace("engine: {splices: forbidden}", "engine: {ambient: 100 °C, splices: forbidden}");
        zones.replace("  CHT1: {from: CHT1, to: GAUGE.cht-1}", circuit)
    };
    let told = |text: &str| ask_in(text, "CHT1").unwrap();
    let (right, text) = told(&spec("  HEAD: {from: CHT1, to: GAUGE.cht-1}"));
    assert_eq!(value(&right, "what the gauge shows"), "right at any temperature: type K all the way");
    // NIST SRD 60: 8.138 mV at 200 °C, 1.000 mV at 25 °C.
    assert!(text.contains("right; 7.138 mV at the terminals and 1.000 mV for their 25 °C"), "{text}");
    // ASTM E230: 0.75 % of 400 °C.
    assert!(text.contains("± 3.0 °C"), "{text}");

    let (copper, text) = told(&spec("  HEAD: {from: CHT1, to: GAUGE.cht-1, wire: twisted-2-22}"));
    assert_eq!(value(&copper, "leg to the gauge's plus"), "chromel, then copper");
    assert!(text.contains("copper as far as GAUGE.A.1 at panel    25 °C  test.yaml:4"), "{text}");
    // 8.138 - 4.096 mV at the terminals, which a gauge at 25 °C takes for 5.042 mV: about 123 °C.
    assert!(
        value(&copper, "emf with the probe at 200 °C").starts_with("4.042 mV at the terminals"),
        "{text}"
    );
    assert!(value(&copper, "what the gauge shows").starts_with("reads 77 °C low (123 °C)"), "{text}");

    let dark =
        spec("  HEAD: {from: CHT1, to: GAUGE.cht-1, wire: twisted-2-22}").replace("ambient: 25 °C", "");
    let (unknown, _) = told(&dark);
    assert_eq!(
        value(&unknown, "what the gauge shows"),
        "not known: zone `cabin` has no temperature (`ambient:`)"
    );
}
