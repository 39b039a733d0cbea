//! Sections of buses, installation and mounting in, the same in the resolved harness out; slips in them told.

use crate::resolve::read;
use fairlead::spec::words::FedEnds;
use fairlead::trade::voltage_drop::Duty;

#[test]
fn the_fields_of_installation_and_loads_arrive() {
    let text = "\
fairlead: 1
harness: {title: T, drawing: D, supply: 14 V, default-wire: etfe-22, ceiling: 18000 ft}
zones: {cabin: {ambient: 40 °C}}
route:
  - {from: panel, to: shelf, zone: cabin, length: 500 mm, beside: [oxygen], apart: {oxygen: 80 mm}, rigid: true, clamps: 300 mm, slack: 8 mm, bend: 30 mm}
places: {panel: {station: -120 mm, bend: 25 mm, magneto: true}}
bodies: {engine: engine, airframe: structure}
bonds: [{from: engine, to: airframe, resistance: 1 mΩ, carries: 30 A, cranking: 180 A}]
buses: {main: {source: 40 A, others: {start: 4 A, cruise: 20 A}}}
supplies: {CB: {breaker: 2 A, at: panel, bus: main}}
equipment: {LAMP: {part: alert-lamp, at: shelf, off-centre: 90 mm, drip-loop: true}}
circuits: {L: {from: CB, to: LAMP.supply, duty: intermittent, during: [start]}}
";
    let (h, findings, _) = read(text);
    assert_eq!(findings, []);
    let run = &h.runs[0];
    assert_eq!(run.apart[0].1.value.to_string(), "80 mm");
    assert!(run.rigid && run.clamps.is_some() && run.slack.is_some() && run.bend.is_some());
    let panel = h.places.iter().find(|p| p.name == "panel").unwrap();
    assert_eq!(panel.station.unwrap().value.to_string(), "-120 mm");
    assert!(panel.bend.is_some() && panel.magneto.is_some());
    assert_eq!(h.bonds[0].cranking.unwrap().value.to_string(), "180 A");
    assert_eq!(
        (h.phases.as_slice(), h.buses[0].others.len()),
        (&["start".to_owned(), "cruise".to_owned()][..], 2)
    );
    let circuit = &h.circuits[0];
    assert_eq!((circuit.duty, circuit.during[0].value.index()), (Duty::Intermittent, 0));
    let lamp = h.device(h.device_by_name["LAMP"]);
    assert!(lamp.mounting.off_centre.is_some() && lamp.mounting.drip_loop.is_some_and(|d| d.value));
    assert!(h.header.ceiling.is_some());
}

#[test]
fn phases_buses_and_distances_that_mean_nothing_are_told() {
    let text = "\
fairlead: 1
harness: {title: T, drawing: D, supply: 14 V, default-wire: etfe-22}
zones: {cabin: {ambient: 40 °C}}
route: [{from: panel, to: shelf, zone: cabin, length: 500 mm, apart: {fuel: 80 mm}}]
buses: {main: {others: {cruise: 20 A}}}
supplies: {CB: {breaker: 2 A, at: panel, bus: mian}}
equipment: {LAMP: {part: alert-lamp, at: shelf}}
circuits: {L: {from: CB, to: LAMP.supply, during: [cruse]}}
";
    let told: Vec<String> = read(text).1.into_iter().map(|f| f.message).collect();
    for words in ["`mian` is not a bus", "`cruse` is not a phase", "kept apart from fuel"] {
        assert!(told.iter().any(|m| m.contains(words)), "{words} in {told:?}");
    }
}

#[test]
fn what_else_lies_in_a_hole_and_how_it_is_fed() {
    let spec = |hole: &str| {
        format!(
            "fairlead: 1
harness: {{title: T, drawing: D, supply: 14 V}}
zones: {{cabin: {{}}, engine: {{}}}}
barriers: {{wall: {{between: [cabin, engine], holes: {{H: {{{hole}}}}}}}}}
route:
  - {{from: panel, to: H, zone: cabin, length: 500 mm}}
  - {{from: H, to: shelf, zone: engine, length: 500 mm}}
supplies: {{CB: {{breaker: 2 A, at: panel}}}}
equipment: {{LAMP: {{part: alert-lamp, at: panel}}}}
circuits: {{L: {{from: CB, to: LAMP.supply, wire: etfe-22}}}}
"
        )
    };
    let (h, told, _) = read(&spec("bore: 19 mm, others: 3, others-outside: 2.2 mm, feed: bare"));
    assert!(told.is_empty(), "{told:?}");
    assert_eq!(h.holes[0].others_outside.unwrap().value.to_string(), "2.2 mm");
    assert_eq!(h.holes[0].feed.unwrap().value, FedEnds::Bare);
    for (hole, told) in [
        ("others: 4000000000", "`H` cannot hold 4000000000 other conductors"),
        ("others: 2, others-outside: 0 mm", "the other conductors in `H` have no thickness"),
    ] {
        let found: Vec<String> = read(&spec(hole)).1.into_iter().map(|f| f.message).collect();
        assert_eq!(found, [told]);
    }
}

#[test]
fn amounts_have_no_sign_and_a_supply_has_a_voltage() {
    let text = |supply: &str, current: &str| {
        format!(
            "fairlead: 1\nharness: {{title: T, drawing: D, supply: {supply}, default-wire: etfe-22}}\n\
             zones: {{cabin: {{}}}}\nroute: [{{from: panel, to: shelf, zone: cabin, length: 500 mm}}]\n\
             supplies: {{CB: {{breaker: 2 A, at: panel}}}}\nequipment: {{LAMP: {{part: alert-lamp, at: shelf}}}}\n\
             circuits: {{L: {{from: CB, to: LAMP.supply, current: {current}}}}}\n"
        )
    };
    let told = |supply, current| -> Vec<String> {
        crate::loom::Loom::read(&text(supply, current)).findings.into_iter().map(|f| f.message).collect()
    };
    assert_eq!(told("14 V", "1 A"), Vec::<String>::new());
    assert!(told("0 V", "1 A").iter().any(|m| m.contains("gives no voltage")));
    assert!(told("14 V", "-1 A").iter().any(|m| m.contains("`-1 A` is negative")));
}

/// Values that mean nothing are told where they stand, with what to write instead.
#[test]
fn distances_phases_and_currents_that_mean_nothing_are_refused() {
    let spec = |run: &str, hole: &str, circuit: &str| {
        format!(
            "fairlead: 1
harness: {{title: T, drawing: D, supply: 14 V, default-wire: etfe-22}}
zones: {{cabin: {{ambient: 40 °C}}, engine: {{ambient: 90 °C}}}}
barriers: {{wall: {{between: [cabin, engine], holes: {{H: {{bore: 19 mm{hole}}}}}}}}}
route:
  - {{from: panel, to: H, zone: cabin, length: 500 mm{run}}}
  - {{from: H, to: shelf, zone: engine, length: 500 mm}}
buses: {{main: {{at: panel, others: {{start: 4 A, cruise: 20 A}}}}}}
supplies: {{CB: {{breaker: 2 A, at: panel, bus: main}}}}
equipment: {{LAMP: {{part: alert-lamp, at: panel}}}}
circuits:
  L: {{from: CB, to: LAMP.supply{circuit}}}
"
        )
    };
    assert_eq!(
        read(&spec(", clamps: 300 mm", ", others: 2, others-outside: 2 mm", ", during: [start]")).1,
        []
    );
    assert_eq!(read(&spec("", "", ", current: 5000 A")).1, []);
    let cases = [
        (spec(", clamps: 0 mm", "", ""), (6, 63), "are no distance apart", "leave it out"),
        (spec("", ", others-outside: 2 mm", ""), (4, 86), "and has none", "(`others:`)"),
        (spec("", ", others: 0, others-outside: 2 mm", ""), (4, 97), "and has none", "(`others:`)"),
        (spec("", "", ", during: []"), (12, 34), "in no phase at all", "leave `during:` out"),
        (
            spec("", "", ", during: [start, cruise, start]"),
            (12, 58),
            "`start` stands there twice",
            "leave one",
        ),
        (spec("", "", ", current: 5001 A"), (12, 43), "`5001 A` is out of range", "between 0 mA and 5000 A"),
    ];
    for (text, place, message, remedy) in cases {
        let (_, told, at) = read(&text);
        let [finding] = &told[..] else { panic!("{message}: {told:?}") };
        assert!(finding.message.contains(message) && finding.remedy.contains(remedy), "{finding:?}");
        let found = at.position(finding.labels[0].span);
        assert_eq!((found.line, found.column), place, "{message}");
    }
}

/// A bus says where it is; a place that nobody knows is told.
#[test]
fn the_place_of_a_bus_arrives() {
    let spec = |at: &str| {
        format!(
            "fairlead: 1
harness: {{title: T, drawing: D, supply: 14 V, default-wire: etfe-22}}
zones: {{cabin: {{ambient: 40 °C}}}}
route: [{{from: panel, to: shelf, zone: cabin, length: 500 mm}}]
buses: {{main: {{at: {at}}}}}
supplies: {{CB: {{breaker: 2 A, at: panel, bus: main}}}}
equipment: {{LAMP: {{part: alert-lamp, at: shelf}}}}
circuits: {{L: {{from: CB, to: LAMP.supply}}}}
"
        )
    };
    let (h, told, _) = read(&spec("shelf"));
    assert_eq!(told, []);
    assert_eq!(
        h.bus(fairlead::harness::BusId(0)).at.map(|at| h.place(at.value).name.as_str()),
        Some("shelf")
    );
    let (_, told, _) = read(&spec("shlef"));
    assert!(told.len() == 1 && told[0].message.contains("`shlef`"), "{told:?}");
}
