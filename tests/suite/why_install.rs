//! `why` of a run, a place and a hole: clamps, bend, distances and mass with their terms and sources.

use crate::loom::Loom;
use fairlead::graph::{Bundles, Loading};
use fairlead::parts::library::Library;
use fairlead::plan::Plan;
use fairlead::plan::why::{Asked, Derivation, derive};
use fairlead::plan::why_text::render;

const SPEC: &str = "fairlead: 1
harness: {title: Test loom, drawing: T-1, thermocouple-colours: ansi, default-wire: etfe-22}
shop: {cut-step: 10 mm}
zones: {cabin: {}, engine: {}}
barriers: {firewall: {between: [cabin, engine], holes: {FH1: {bore: 19 mm, lining: grommet-19}}}}
route:
  - {from: panel, to: FH1, zone: cabin, length: 700 mm, clamps: 200 mm, slack: 8 mm}
  - {from: FH1, to: shelf, zone: engine, length: 300 mm, beside: [fuel, exhaust], apart: {fuel: 80 mm}, rigid: true, bend: 70 mm}
places: {panel: {station: 700 mm}, FH1: {station: 0 mm}}
equipment: {GAUGE: {part: engine-gauge-4, at: panel}}
sensors:
  CHT1: {part: cht-bayonet-k, at: shelf}
circuits:
  CHT1: {from: CHT1, to: GAUGE.cht-1}
";

fn ask(id: &str) -> (Vec<Derivation>, String) {
    let loom = Loom::sound(SPEC);
    let (h, routing, library) = (&loom.harness, &loom.routing, Library::supplied());
    let bundles = Bundles::of(h, library, routing);
    let plan = Plan::of(h, library, routing);
    let loading = Loading::of(h, library, routing);
    let (bundles, plan, loading, findings) = (&bundles, &plan, &loading, &[]);
    let asked = Asked { h, library, routing, bundles, plan, loading, findings };
    let found = derive(&asked, id).unwrap();
    let text = render(&found, &loom.sources);
    (found, text)
}

#[track_caller]
fn value(found: &[Derivation], figure: &str) -> String {
    let figures = found.iter().flat_map(|d| &d.figures);
    figures.clone().find(|f| f.name == figure).unwrap_or_else(|| panic!("{figure}: {found:?}")).value.clone()
}

#[test]
fn a_run_tells_how_it_is_clamped_and_kept_apart() {
    let (found, text) = ask("panel-FH1");
    // 700 mm by 200 mm: three between, four spans of 175 mm.
    assert_eq!(value(&found, "clamps"), "at both ends and 3 between");
    assert!(
        text.contains("175 mm") && text.contains("609.6 mm (24 in)") && text.contains("par. 11-96a"),
        "{text}"
    );
    assert_eq!(value(&found, "slack"), "8 mm");
    let (found, text) = ask("FH1-shelf");
    assert_eq!(value(&found, "distance from fuel"), "80 mm");
    assert!(text.contains("50.8 mm (2 in)") && text.contains("rigid: true"), "{text}");
    assert_eq!(value(&found, "distance from exhaust"), "not given");
    // Ten times 3.4 mm after TM 1-1500-204-23-4, twenty times for thermocouple wire from memory.
    assert_eq!(value(&found, "least bend radius"), "68 mm");
    assert!(
        text.contains("34 mm") && text.contains("TM 1-1500-204-23-4") && text.contains("from memory"),
        "{text}"
    );
}

#[test]
fn masses_come_with_wire_length_arm_and_moment() {
    // 20 g/m of pair over 700 mm and three clamps of 2.5 g, half way between 0 and 700 mm.
    let (found, text) = ask("panel-FH1");
    assert_eq!(
        (value(&found, "mass"), value(&found, "arm"), value(&found, "moment")),
        ("21.5 g".into(), "350 mm".into(), "7.5 kg·mm".into())
    );
    assert!(text.contains("700 mm × 20 g/m") && text.contains("station of panel"), "{text}");
    // The grommet weighs at the hole, and a clamp on each side of it.
    let (found, text) = ask("FH1");
    assert_eq!((value(&found, "mass"), value(&found, "arm")), ("11 g".into(), "0 mm".into()));
    assert!(text.contains("1 × grommet-19"), "{text}");
    // Where no station is given there is a mass and no arm.
    let (found, _) = ask("shelf");
    assert!(found.iter().flat_map(|d| &d.figures).all(|f| f.name != "arm"));
    assert!(value(&found, "mass").ends_with(" g"));
}
