//! The electrical graph: what is joined to what, where ground current can go round, what a thermocouple leg passes.

use crate::loom::Loom;
use fairlead::graph::{Electrical, GroundLoop, Piece, Point, Through};
use fairlead::harness::{Harness, PinId};

const BENCH: &str = "fairlead: 1
harness: {title: Test loom, drawing: T-1, supply: 14 V, thermocouple-colours: ansi, default-wire: etfe-22}
zones: {cabin: {}, engine: {}}
barriers: {firewall: {between: [cabin, engine], holes: {FH1: {bore: 20 mm}}}}
route:
  - {from: panel, to: FH1, zone: cabin, length: 900 mm}
  - {from: FH1, to: shelf, zone: engine, length: 300 mm}
  - {from: shelf, to: cyl-1, zone: engine, length: 350 mm}
bodies: {engine: engine, airframe: structure, rack: avionics}
bonds:
  - {from: engine, to: airframe}
  - {from: airframe, to: rack}
  - {from: engine, to: rack}
equipment: {GAUGE: {part: engine-gauge-4, at: panel}}
sensors:
  CHT1: {part: cht-bayonet-k, at: cyl-1}
  CHT2: {part: cht-bayonet-k-grounded, at: cyl-1, body: engine}
  OILT: {part: oil-temperature-2wire, at: cyl-1}
  OILP: {part: oil-pressure-1wire, at: shelf, body: engine}
connectors: {FWD: {plug: dsub-9-pin, at: shelf, plug-faces: cyl-1}}
grounds:
  ENG: {body: engine, at: shelf, stud: M6}
  AF: {body: airframe, at: panel, stud: M6}
  RACK: {body: rack, at: panel, stud: M6}
circuits:
";

fn loom(circuits: &str) -> (Harness, Electrical) {
    let loom = Loom::sound(&format!("{BENCH}{circuits}"));
    let electrical = Electrical::of(&loom.harness);
    (loom.harness, electrical)
}

fn pin(h: &Harness, name: &str) -> PinId {
    PinId::at(h.pins.iter().position(|p| p.name == name).unwrap_or_else(|| panic!("{name}")))
}

fn names(h: &Harness, pins: &[PinId]) -> Vec<String> {
    pins.iter().map(|p| h.pin(*p).name.clone()).collect()
}

/// Bodies of a loop in order, then how many wires it has.
fn told(h: &Harness, found: &[GroundLoop]) -> Vec<(Vec<String>, usize)> {
    let bodies = |l: &GroundLoop| l.bodies.iter().map(|b| h.body(*b).name.clone()).collect();
    found.iter().map(|l| (bodies(l), l.conductors.len())).collect()
}

#[test]
fn a_net_goes_through_connectors_and_links_but_not_through_bodies() {
    let (h, e) = loom(
        "  A: {from: OILT, to: GAUGE.oil-temperature, via: {FWD: [1, 2]}}
  G: {from: GAUGE.ground, to: ENG}
  H: {from: OILP.case, to: ENG}
",
    );
    let wired = names(&h, e.wired(pin(&h, "OILT.signal")));
    assert_eq!(wired, ["GAUGE.B.1", "OILT.signal", "FWD.plug.1", "FWD.receptacle.1"]);
    // The returns and the ground are one point inside the gauge.
    assert!(e.joined(pin(&h, "OILT.return"), pin(&h, "ENG")));
    assert!(!e.joined(pin(&h, "OILT.signal"), pin(&h, "ENG")));
    assert!(!e.wired(pin(&h, "OILT.return")).contains(&pin(&h, "ENG")));
    let touches: Vec<String> =
        e.net(pin(&h, "ENG")).contacts.iter().map(|c| h.device(c.device).name.clone()).collect();
    assert_eq!(touches, ["OILP", "ENG"]);
}

#[test]
fn a_way_is_told_step_by_step() {
    let (h, e) = loom("  A: {from: OILT, to: GAUGE.oil-temperature, via: {FWD: [1, 2]}}\n");
    let way = e.way(pin(&h, "OILT.signal"), pin(&h, "GAUGE.B.1")).unwrap();
    let through: Vec<&str> = way
        .iter()
        .map(|s| match s.through {
            Through::Conductor(_) => "wire",
            Through::Mate(_) => "mate",
            _ => "other",
        })
        .collect();
    assert_eq!(through, ["wire", "mate", "wire"]);
    assert_eq!(way.last().map(|s| s.to), Some(Point::Pin(pin(&h, "GAUGE.B.1"))));
    assert_eq!(e.way(pin(&h, "OILT.signal"), pin(&h, "ENG")), None);
    assert_eq!(e.way(pin(&h, "ENG"), pin(&h, "ENG")), Some(Vec::new()));
}

#[test]
fn bonds_alone_and_one_ground_wire_make_no_loop() {
    let (h, e) = loom("  G: {from: GAUGE.ground, to: ENG}\n");
    assert_eq!(told(&h, &e.ground_loops(&h)), []);
}

#[test]
fn a_jumper_to_the_same_body_is_no_loop_and_nor_are_two_wires_side_by_side() {
    let (h, e) = loom(
        "  G: {from: GAUGE.ground, to: ENG}
  S: {from: GAUGE.screens, to: ENG}
  J: {from: OILP.case, to: ENG}
",
    );
    assert_eq!(told(&h, &e.ground_loops(&h)), []);
}

#[test]
fn two_bodies_make_a_loop_through_the_strap_between_them() {
    let (h, e) = loom("  G: {from: GAUGE.ground, to: ENG}\n  S: {from: GAUGE.screens, to: AF}\n");
    let found = e.ground_loops(&h);
    assert_eq!(told(&h, &found), [(vec!["engine".to_owned(), "airframe".to_owned()], 2)]);
    let steps = &found[0].steps;
    assert_eq!(steps.last().map(|s| s.to), Some(Point::Body(found[0].start)));
    // Each step starts where the one before ends: no point is passed twice.
    let mut points: Vec<Point> = steps.iter().map(|s| s.to).collect();
    points.sort_unstable();
    points.dedup();
    assert_eq!(points.len(), steps.len());
}

#[test]
fn every_further_ground_adds_one_loop() {
    let (h, e) = loom(
        "  G: {from: GAUGE.ground, to: ENG}
  S: {from: GAUGE.screens, to: AF}
  R: {from: GAUGE.outside-air.return, to: RACK}
",
    );
    assert_eq!(e.ground_loops(&h).len(), 2);
}

#[test]
fn the_return_of_a_sender_that_is_grounded_too_is_a_loop_on_one_body() {
    let (h, e) =
        loom("  G: {from: GAUGE.ground, to: ENG}\n  R: {from: OILP.case, to: GAUGE.oil-pressure.return}\n");
    assert_eq!(told(&h, &e.ground_loops(&h)), [(vec!["engine".to_owned()], 2)]);
}

#[test]
fn a_grounded_junction_touches_the_engine() {
    let (h, e) = loom("  C: {from: CHT2, to: GAUGE.cht-2}\n");
    let net = e.net(pin(&h, "GAUGE.A.15"));
    assert_eq!(net.contacts.len(), 1);
    assert_eq!(h.device(net.contacts[0].device).name, "CHT2");
    // Both legs meet in the junction.
    assert!(e.joined(pin(&h, "GAUGE.A.2"), pin(&h, "GAUGE.A.15")));
    assert_eq!(told(&h, &e.ground_loops(&h)), []);
}

#[test]
fn a_leg_is_followed_through_the_connector_to_the_gauge() {
    let (h, e) = loom("  C: {from: CHT1, to: GAUGE.cht-1, via: {FWD: [3, 4]}}\n");
    let runs = e.thermocouple_runs(&h);
    let run = runs.iter().find(|r| h.device(r.sensor).name == "CHT1").unwrap();
    let pins: Vec<String> = run
        .plus
        .pieces
        .iter()
        .filter_map(|p| match p {
            Piece::Pin(p) => Some(h.pin(*p).name.clone()),
            Piece::Conductor(_) => None,
        })
        .collect();
    assert_eq!(pins, ["CHT1.plus", "FWD.plug.3", "FWD.receptacle.3", "GAUGE.A.1"]);
    assert_eq!(run.minus.end(), Some(pin(&h, "GAUGE.A.14")));
    let open = runs.iter().find(|r| h.device(r.sensor).name == "CHT2").unwrap();
    assert_eq!((open.plus.pieces.len(), open.plus.end()), (1, None));
}

#[test]
fn a_second_probe_on_the_same_pins_is_followed_as_far_as_the_first() {
    let (h, e) = loom(
        "  CHT1: {from: CHT1, to: GAUGE.cht-1}
  CHT2: {legs: {CHT2.plus: GAUGE.A.14, CHT2.minus: GAUGE.A.1}, wire: thermocouple-k-ansi-20}
",
    );
    let gauge = pin(&h, "GAUGE.A.14");
    let second = e.thermocouple_runs(&h).into_iter().find(|run| h.device(run.sensor).name == "CHT2").unwrap();
    assert!(second.plus.ends.contains(&gauge), "{second:?}");
}
