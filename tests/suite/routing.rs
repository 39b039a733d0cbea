//! Where things are laid: what a person with a string along the structure would do.

use crate::loom::Loom;
use fairlead::graph::{Bundles, Reach, splice_places};
use fairlead::quantity::Length;

/// Two holes; the cylinders hang on a branch; a spur beside the ignition is the shorter way to the shelf.
const STRUCTURE: &str = "fairlead: 1
harness: {title: Test loom, drawing: T-1, supply: 14 V, thermocouple-colours: ansi}
zones: {cabin: {}, engine: {splices: forbidden}}
barriers:
  firewall: {between: [cabin, engine], holes: {FH1: {bore: 20 mm}, FH2: {bore: 20 mm}}}
route:
  - {from: panel, to: tray, zone: cabin, length: 500 mm}
  - {from: tray, to: FH1, zone: cabin, length: 200 mm}
  - {from: tray, to: FH2, zone: cabin, length: 600 mm}
  - {from: FH1, to: mount, zone: engine, length: 300 mm}
  - {from: FH2, to: shelf, zone: engine, length: 100 mm}
  - {from: mount, to: shelf, zone: engine, length: 250 mm, beside: [ignition]}
  - {from: mount, to: cyl-1, zone: engine, length: 350 mm}
  - {from: cyl-1, to: cyl-3, zone: engine, length: 150 mm}
bodies: {engine: engine}
equipment: {GAUGE: {part: engine-gauge-4, at: panel}}
grounds: {ENG: {body: engine, at: shelf, stud: M6}}
sensors:
  CHT1: {part: cht-bayonet-k, at: cyl-1, trades-with: [CHT3]}
  CHT3: {part: cht-bayonet-k, at: cyl-3}
  OILP: {part: oil-pressure-3wire, at: shelf}
  OILT: {part: oil-temperature-2wire, at: shelf}
";

fn loom(more: &str) -> Loom {
    Loom::sound(&format!("{STRUCTURE}{more}"))
}

fn mm(value: f64) -> Length {
    Length::from_mm(value)
}

#[test]
fn the_shortest_way_through_one_hole() {
    let loom =
        loom("circuits: {CHT1: {from: CHT1, to: GAUGE.cht-1}, OILP: {from: OILP, to: GAUGE.oil-pressure}}");
    assert_eq!(loom.way("CHT1.plus"), "cyl-1>mount>FH1>tray>panel");
    // 100 + 600 + 500 by FH2; 250 + 300 + 200 + 500 by FH1.
    assert_eq!(loom.way("OILP.A.1"), "shelf>FH2>tray>panel");
    let path = loom.routing.path_of(&loom.harness, loom.wire("CHT1.plus")).unwrap();
    assert_eq!((path.length, &path.holes), (mm(1350.0), &vec![loom.hole("FH1")]));
    assert_eq!(path.breaches(&loom.harness), []);
    let in_hole = |hole| loom.routing.in_hole[loom.hole(hole).index()].len();
    assert_eq!((in_hole("FH1"), in_hole("FH2")), (2, 3));
    assert_eq!(loom.routing.in_run[loom.run("panel-tray").index()].len(), 5);
    assert_eq!(loom.routing.in_run[loom.run("mount-shelf").index()].len(), 0);
}

#[test]
fn goes_through_what_it_is_told_to_and_keeps_off() {
    let told = loom("circuits: {OILP: {from: OILP, to: GAUGE.oil-pressure, through: [FH1]}}");
    assert_eq!(told.way("OILP.A.1"), "shelf>mount>FH1>tray>panel");
    // With the ignition beside mount-shelf it goes in by FH2 and out by FH1 through the cabin, or straight: it keeps
    // off where it can, and goes straight where it cannot.
    let cut = STRUCTURE.replace("  - {from: tray, to: FH2, zone: cabin, length: 600 mm}\n", "");
    let only = Loom::sound(&format!(
        "{cut}circuits: {{OILP: {{from: OILP, to: GAUGE.oil-pressure, keep-off: [ignition]}}}}"
    ));
    assert_eq!(only.way("OILP.A.1"), "shelf>mount>FH1>tray>panel");
    // Without keep-off the probe of CHT1 reaches the ground stud over the shelf; with it, around by the cabin.
    let circuit = |keep: &str| {
        loom(&format!("circuits: {{TC: {{legs: {{CHT1.plus: ENG}}, kind: signal{keep}}}}}")).way("CHT1.plus")
    };
    assert_eq!(circuit(""), "cyl-1>mount>shelf");
    assert_eq!(circuit(", keep-off: [ignition]"), "cyl-1>mount>FH1>tray>FH2>shelf");
}

#[test]
fn places_to_pass_may_be_named_from_either_end() {
    for order in ["[FH1, tray]", "[tray, FH1]"] {
        let loom =
            loom(&format!("circuits: {{OILP: {{from: OILP, to: GAUGE.oil-pressure, through: {order}}}}}"));
        assert_eq!(loom.way("OILP.A.1"), "shelf>mount>FH1>tray>panel", "{order}");
    }
}

#[test]
fn a_wall_is_crossed_without_a_hole_only_when_nothing_else_is_left() {
    let open = STRUCTURE.replace(
        "  - {from: mount, to: cyl-1",
        "  - {from: panel, to: gap, zone: cabin, length: 10 mm}\n  - {from: gap, to: cyl-1, zone: engine, length: 10 mm}\n  - {from: mount, to: cyl-1",
    );
    let loom = Loom::sound(&format!("{open}circuits: {{CHT1: {{from: CHT1, to: GAUGE.cht-1}}}}"));
    assert_eq!(loom.way("CHT1.plus"), "cyl-1>mount>FH1>tray>panel");
    let walled = open
        .replace("  - {from: FH1, to: mount, zone: engine, length: 300 mm}\n", "")
        .replace("  - {from: FH2, to: shelf, zone: engine, length: 100 mm}\n", "");
    let loom = Loom::sound(&format!("{walled}circuits: {{CHT1: {{from: CHT1, to: GAUGE.cht-1}}}}"));
    assert_eq!(loom.way("CHT1.plus"), "cyl-1>gap>panel");
    let path = loom.routing.path_of(&loom.harness, loom.wire("CHT1.plus")).unwrap();
    assert_eq!((path.breaches(&loom.harness), path.holes.len()), (vec![loom.place("gap")], 0));
}

#[test]
fn a_place_that_nothing_leads_to_has_no_path() {
    let loom = Loom::sound(&format!(
        "{}circuits: {{CHT1: {{from: CHT1, to: GAUGE.cht-1}}, OILP: {{from: OILP, to: GAUGE.oil-pressure}}}}",
        STRUCTURE.replace("  - {from: mount, to: cyl-1, zone: engine, length: 350 mm}\n", "")
    ));
    assert_eq!(loom.way("CHT1.plus"), "none");
    assert_eq!(loom.way("OILP.A.1"), "shelf>FH2>tray>panel");
}

#[test]
fn wires_start_where_the_leads_of_a_device_end() {
    let led = STRUCTURE.replace("at: cyl-1, trades", "at: cyl-1, lead-ends-at: mount, trades");
    let loom = Loom::sound(&format!("{led}circuits: {{CHT1: {{from: CHT1, to: GAUGE.cht-1}}}}"));
    assert_eq!(loom.way("CHT1.plus"), "mount>FH1>tray>panel");
}

/// Three ends: the gauge, the ground stud and a second stud in the cabin. The 1-median of three places of a tree is the
/// place where their ways part, here the tray; in the engine zone splices are forbidden.
#[test]
fn a_splice_lies_where_it_takes_least_wire() {
    let more = "studs: {S1: {size: M5, at: FH2-side}}
circuits: {GND: {join: [GAUGE.A.25, OILP.return, OILT.return], kind: ground}}";
    let structure = STRUCTURE.replace(
        "  - {from: FH1, to: mount,",
        "  - {from: tray, to: FH2-side, zone: cabin, length: 400 mm}\n  - {from: FH1, to: mount,",
    );
    let loom = Loom::sound(&format!("{structure}{more}"));
    let h = &loom.harness;
    let joint = h.circuits[0].joint.expect("a splice");
    // Two ends lie on the shelf, where splices are forbidden, and FH2 is a hole: the tray is the nearest that is left.
    assert_eq!(loom.routing.place_of[joint.index()], Some(loom.place("tray")));
    let places = splice_places(h, &loom.routing, joint);
    let named: Vec<(&str, f64)> =
        places.iter().map(|p| (h.place(p.place).name.as_str(), p.wire.mm())).collect();
    assert_eq!(named, [("tray", 1900.0), ("panel", 2400.0), ("FH2-side", 3100.0)]);
    // The reported wire is what the paths take.
    let laid: Length = h
        .conductors_of(fairlead::harness::CircuitId(0))
        .map(|id| loom.routing.path_of(h, id).expect("a path").length)
        .sum();
    assert_eq!(laid, places[0].wire);
}

#[test]
fn splices_that_could_lie_together_are_staggered() {
    let structure = STRUCTURE.replace(
        "  - {from: panel, to: tray, zone: cabin, length: 500 mm}",
        "  - {from: panel, to: half, zone: cabin, length: 250 mm}\n  - {from: half, to: tray, zone: cabin, length: 250 mm}",
    );
    let loom = Loom::sound(&format!(
        "{structure}circuits:
  A: {{join: [GAUGE.A.25, OILP.return, OILT.return], kind: ground}}
  B: {{join: [GAUGE.A.24, OILP.excitation, OILT.signal], kind: signal}}
"
    ));
    let place = |c: usize| loom.routing.place_of[loom.harness.circuits[c].joint.unwrap().index()];
    // Two of three ends lie behind the tray, so both belong there: less wire goes before staggering.
    assert_eq!((place(0), place(1)), (Some(loom.place("tray")), Some(loom.place("tray"))));
    let loom = Loom::sound(&format!(
        "{structure}circuits:
  A: {{join: [GAUGE.A.25, GAUGE.A.24, OILP.return, OILT.return], kind: ground}}
  B: {{join: [GAUGE.A.23, GAUGE.A.22, OILP.excitation, OILT.signal], kind: signal}}
  C: {{join: [GAUGE.A.12, GAUGE.A.11, OILP.signal, ENG], joined-at: panel, kind: signal}}
"
    ));
    // Two ends on either side: every place between costs the same, and each splice gets its own.
    let place = |c: usize| loom.routing.place_of[loom.harness.circuits[c].joint.unwrap().index()];
    let (a, b) = (place(0).unwrap(), place(1).unwrap());
    assert_ne!(a, b);
}

#[test]
fn conductors_of_a_connector_in_a_hole_count_once() {
    let more = "connectors: {FWD: {plug: dsub-9-pin, at: FH1, plug-faces: mount}}
circuits: {CHT1: {from: CHT1, to: GAUGE.cht-1, via: {FWD: auto}}}";
    let loom = loom(more);
    let h = &loom.harness;
    assert_eq!(h.conductors.len(), 4);
    let hole = &loom.routing.in_hole[loom.hole("FH1").index()];
    assert_eq!(hole.len(), 2);
    // No piece crosses: each ends on its own side.
    assert!(h.conductor_ids().all(|id| loom.routing.path_of(h, id).unwrap().holes.is_empty()));
}

#[test]
fn a_wire_on_the_wrong_half_of_a_connector_in_a_hole_crosses_it() {
    let more = "connectors: {FWD: {plug: dsub-9-pin, at: FH1, plug-faces: mount}}
circuits: {X: {legs: {CHT1.plus: FWD.receptacle.1, GAUGE.A.1: FWD.plug.1}, kind: signal}}";
    let loom = loom(more);
    let h = &loom.harness;
    let holes: Vec<usize> =
        h.conductor_ids().map(|id| loom.routing.path_of(h, id).unwrap().holes.len()).collect();
    assert_eq!(holes, [1, 1]);
}

#[test]
fn reach_is_asked_by_the_same_rules() {
    let loom = loom("circuits: {CHT1: {from: CHT1, to: GAUGE.cht-1, through: [FH1]}}");
    let h = &loom.harness;
    let wire = loom.wire("CHT1.plus");
    let mut reach = Reach::over(&loom.routing);
    let there = reach.path(h, wire, h.conductor(wire).from, loom.place("cyl-3")).unwrap();
    assert_eq!(there.length, mm(1500.0));
    let (length, path) = loom.routing.route.distance(loom.place("cyl-3"), loom.place("shelf")).unwrap();
    assert_eq!((length, path.runs.len()), (mm(750.0), 3));
}

/// Three equal circles: the smallest circle around them is 1 + 2/√3 = 2.1547 of their diameter (circles_equal.csv, n 3).
#[test]
fn bundles_are_packed_and_holes_filled_by_what_passes() {
    let row = crate::published::rows("circles_equal.csv").into_iter().find(|r| r["n"] == "3").unwrap();
    let ratio = crate::published::number(&row, "R");
    let loom = loom(
        "circuits: {OILP: {from: OILP, to: GAUGE.oil-pressure, wire: etfe-22}, CHT1: {from: CHT1, to: GAUGE.cht-1}}",
    );
    let library = fairlead::parts::library::Library::supplied();
    let bundles = Bundles::of(&loom.harness, library, &loom.routing);
    let hole = bundles.hole(loom.hole("FH2"));
    assert_eq!((hole.conductors, hole.strands.len()), (3, 3));
    crate::published::near(hole.diameter().mm(), 1.27 * ratio, 0.005, "three wires in FH2");
    // 3 × 1.27² in 20².
    let share = hole.fill(mm(20.0)).unwrap().ratio();
    crate::published::near(share, 3.0 * 1.27 * 1.27 / 400.0, 1e-9, "share of FH2");
    // The pair is one circle of its jacket.
    let pair = bundles.run(loom.run("FH1-mount"));
    assert_eq!((pair.strands.len(), pair.diameter()), (1, mm(3.4)));
    assert_eq!(bundles.run(loom.run("panel-tray")).strands.len(), 4);
}

/// Asked in whatever order, a bundle is the same; with a covering it is thicker by twice the wall.
#[test]
fn bundles_do_not_depend_on_who_asks_first() {
    let loom = loom(
        "circuits: {OILP: {from: OILP, to: GAUGE.oil-pressure, wire: etfe-22}, CHT1: {from: CHT1, to: GAUGE.cht-1}}",
    );
    let library = fairlead::parts::library::Library::supplied();
    let [first, second] = [(), ()].map(|()| Bundles::of(&loom.harness, library, &loom.routing));
    let runs: Vec<_> = loom.harness.runs.iter().map(|run| loom.run(&run.name)).collect();
    runs.iter().rev().for_each(|run| drop(second.run(*run).circles()));
    for run in runs {
        assert_eq!(first.run(run).circles(), second.run(run).circles());
    }
    let (_, sleeve) = library.coverings.look_up("fire-sleeve-6").unwrap();
    let bundle = first.run(loom.run("FH1-mount"));
    assert_eq!(bundle.covered_diameter(sleeve), bundle.diameter() + sleeve.wall + sleeve.wall);
    // FH1 holds the pair of 3.4 mm alone: one more may be as wide as what is left.
    let hole = first.hole(loom.hole("FH1"));
    assert!(hole.fits(mm(3.4)) && !hole.fits(mm(3.399)));
    assert_eq!((hole.spare(mm(10.0)), hole.spare(mm(3.0))), (Some(mm(6.6)), None));
}

/// The leads of a probe lie along the run to where they end, and in no figure.
#[test]
fn own_leads_are_told_beside_the_bundle() {
    let led = STRUCTURE.replace("at: cyl-1, trades", "at: cyl-1, lead-ends-at: mount, trades");
    let loom = Loom::sound(&format!("{led}circuits: {{CHT1: {{from: CHT1, to: GAUGE.cht-1}}}}"));
    let bundles = Bundles::of(&loom.harness, fairlead::parts::library::Library::supplied(), &loom.routing);
    let names = |run: &str| -> Vec<&str> {
        let leads = &bundles.run(loom.run(run)).leads;
        leads.iter().map(|device| loom.harness.device(*device).name.as_str()).collect()
    };
    assert_eq!((names("mount-cyl-1"), names("FH1-mount")), (vec!["CHT1"], Vec::new()));
    assert!(bundles.run(loom.run("mount-cyl-1")).strands.is_empty());
}

/// A place that lies in both zones and is no hole would let a join through the wall by its splice.
#[test]
fn no_splice_lies_where_a_wall_has_no_hole() {
    let open = STRUCTURE.replace("engine: {splices: forbidden}", "engine: {}").replace(
        "  - {from: mount, to: cyl-1",
        "  - {from: panel, to: gap, zone: cabin, length: 10 mm}\n  - {from: gap, to: shelf, zone: engine, length: 10 mm}\n  - {from: mount, to: cyl-1",
    );
    let loom = Loom::sound(&format!(
        "{open}circuits: {{GND: {{join: [GAUGE.A.25, OILP.return, OILT.return], kind: ground}}}}"
    ));
    let joint = loom.harness.circuits[0].joint.expect("a splice");
    assert_eq!(loom.routing.place_of[joint.index()], Some(loom.place("shelf")));
    let places = splice_places(&loom.harness, &loom.routing, joint);
    assert!(places.iter().all(|p| p.place != loom.place("gap")));
}
