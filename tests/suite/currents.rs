//! The steady current in every conductor, by Kirchhoff's first law over what the parts and the spec say.

use crate::loom::Loom;
use crate::rules::judge_text;
use fairlead::diag::Severity;
use fairlead::graph::{Basis, Currents, Electrical, feeds};
use fairlead::harness::Harness;
use fairlead::quantity::Current;
use fairlead::rules::Outcome;

const BENCH: &str = "fairlead: 1
harness: {title: Test loom, drawing: T-1, supply: 14 V, thermocouple-colours: ansi, default-wire: etfe-22}
zones: {cabin: {}}
route:
  - {from: panel, to: shelf, zone: cabin, length: 900 mm}
bodies: {engine: engine, airframe: structure}
bonds: [{from: engine, to: airframe}]
equipment:
  GAUGE: {part: engine-gauge-4, at: panel}
  LAMP: {part: alert-lamp, at: panel}
  LAMP2: {part: alert-lamp, at: panel}
sensors:
  CHT1: {part: cht-bayonet-k, at: shelf}
  OILT: {part: oil-temperature-1wire, at: shelf, body: engine}
  OILP: {part: oil-pressure-3wire, at: shelf}
  FUELP: {part: fuel-pressure-3wire, at: shelf}
  TL: {part: tank-float-2wire, at: shelf}
  TR: {part: tank-float-2wire, at: shelf}
  SHUNT: {part: current-shunt-60, at: shelf}
  ALT: {part: rpm-alternator-tap, at: shelf, body: engine}
grounds: {ENG: {body: engine, at: shelf, stud: M6}, AF: {body: airframe, at: panel, stud: M6}}
supplies: {CB: {breaker: 2 A, at: panel, stud: '#8'}, CB2: {breaker: 2 A, at: panel, stud: '#8'}}
studs: {POST: {size: M6, at: panel}, FED: {size: M6, at: panel, others: 2}}
circuits:
";

fn loom(circuits: &str) -> (Loom, Currents) {
    let loom = Loom::sound(&format!("{BENCH}{circuits}"));
    let currents = Currents::of(&loom.harness, &Electrical::of(&loom.harness));
    (loom, currents)
}

/// Milliamperes and basis of the first wire on a pin.
fn at(l: &(Loom, Currents), pin: &str) -> (Option<i64>, Basis) {
    let wire = l.0.wire(pin);
    (l.1.in_conductor(wire).map(|c| (c.amps() * 1000.0).round() as i64), l.1.basis(wire))
}

/// Names of the loads in the first wire on a pin, those that lessen the sum with a minus.
fn shares(l: &(Loom, Currents), pin: &str) -> Vec<String> {
    let h: &Harness = &l.0.harness;
    let told = l.1.shares(l.0.wire(pin)).into_iter().map(|share| {
        let name = share.load.pin().map_or("", |p| h.pin(p).name.as_str());
        format!("{}{name}", if share.against { "-" } else { "" })
    });
    told.collect()
}

const GAUGE: &str = "  POWER: {from: CB, to: GAUGE.power}
  GND: {from: GAUGE.ground, to: ENG}
  LAMPS: {join: [CB, LAMP.supply, LAMP2.supply], joined-at: POST}
  ALERT: {from: LAMP.drive, to: GAUGE.alert}
";

#[test]
fn a_ground_wire_carries_what_comes_in_less_what_leaves_another_way() {
    let l = loom(&format!("{GAUGE}  OILT: {{from: OILT, to: GAUGE.oil-temperature}}\n"));
    assert_eq!(at(&l, "GAUGE.B.19"), (Some(500), Basis::Loads));
    assert_eq!(at(&l, "LAMP.drive"), (Some(80), Basis::Loads));
    assert_eq!(at(&l, "OILT.signal"), (Some(10), Basis::Loads));
    // 500 mA of the gauge and 80 mA of the lamp, less 10 mA that go home through the sender's thread.
    assert_eq!(at(&l, "ENG"), (Some(570), Basis::Loads));
    assert_eq!(shares(&l, "ENG"), ["GAUGE.B.19", "LAMP.supply", "-OILT.signal"]);
}

#[test]
fn a_feed_carries_all_that_is_behind_it() {
    let l = loom(&format!("{GAUGE}  ALERT2: {{from: LAMP2.drive, to: ENG}}\n"));
    let h = &l.0.harness;
    // From the breaker to the post both lamps, from there one each.
    let on_cb: Vec<Option<Current>> = h
        .conductor_ids()
        .filter(|c| [h.conductor(*c).from, h.conductor(*c).to].iter().any(|p| h.pin(*p).name == "CB"))
        .map(|c| l.1.in_conductor(c))
        .collect();
    let amps = |a| Some(Current::from_amps(a));
    assert_eq!(on_cb, [amps(0.5), amps(0.16)]);
    assert_eq!(at(&l, "LAMP2.supply"), (Some(80), Basis::Loads));
}

#[test]
fn shared_excitation_and_senders_in_series() {
    let l = loom(
        "  GND: {from: GAUGE.ground, to: ENG}
  EXC: {join: [GAUGE.oil-pressure.excitation, OILP.excitation, FUELP.excitation], joined-at: POST}
  RET-O: {from: OILP.return, to: GAUGE.oil-pressure.return}
  RET-F: {from: FUELP.return, to: GAUGE.fuel-pressure.return}
  OILP: {from: OILP.signal, to: GAUGE.oil-pressure.signal}
  TANK: {legs: {GAUGE.tank-left.signal: TL.signal, TL.return: TR.signal, TR.return: GAUGE.tank-left.return}}
",
    );
    assert_eq!(at(&l, "GAUGE.B.2"), (Some(20), Basis::Loads));
    assert_eq!(at(&l, "OILP.A.2"), (Some(10), Basis::Loads));
    assert_eq!(at(&l, "OILP.A.3"), (Some(0), Basis::NoLoad));
    // One current through both floats, not two.
    for pin in ["GAUGE.B.15", "TL.return", "TR.return"] {
        assert_eq!(at(&l, pin), (Some(10), Basis::Loads), "{pin}");
    }
    assert_eq!(shares(&l, "GAUGE.B.15"), ["TL.signal"]);
    // Both go out and come back, so the gauge's own ground has no part in them.
    assert_eq!(at(&l, "ENG"), (Some(0), Basis::NoLoad));
    assert_eq!(shares(&l, "ENG"), Vec::<String>::new());
}

#[test]
fn what_only_measures_carries_nothing() {
    let l = loom(
        "  CHT1: {from: CHT1, to: GAUGE.cht-1}
  VOLTS: {from: CB, to: GAUGE.volts}
  AMPS: {from: SHUNT, to: GAUGE.amps}
",
    );
    for pin in ["CHT1.plus", "GAUGE.B.17", "SHUNT.plus"] {
        assert_eq!(at(&l, pin), (Some(0), Basis::NoLoad), "{pin}");
    }
}

#[test]
fn a_declared_current_goes_before_the_parts_and_into_the_sum() {
    let l = loom(
        "  POWER: {from: CB, to: GAUGE.power, current: 0.9 A}
  GND: {from: GAUGE.ground, to: ENG}
  MAIN: {legs: {CB2: SHUNT.line}, current: 3 A}
",
    );
    assert_eq!(at(&l, "GAUGE.B.19").0, Some(900));
    assert!(matches!(at(&l, "GAUGE.B.19").1, Basis::Declared(_)));
    assert_eq!(at(&l, "ENG"), (Some(900), Basis::Loads));
    assert_eq!(at(&l, "CB2").0, Some(3000));
}

#[test]
fn what_nobody_says_is_not_known() {
    // The shunt's cable: nobody says what flows. What passes through its links to the post is not known either.
    let l = loom("  MAIN: {legs: {CB: SHUNT.line}}\n  OUT: {join: [CB2, LAMP.supply], joined-at: POST}\n");
    assert_eq!(at(&l, "SHUNT.line"), (None, Basis::UnknownLoad));
    assert_eq!(shares(&l, "SHUNT.line"), ["SHUNT.line"]);
    // The lamp beside it is known, although its drive goes nowhere.
    assert_eq!(at(&l, "LAMP.supply"), (Some(80), Basis::Loads));
    // What feeds a net alone gives what its loads take.
    let l = loom("  OUT: {legs: {SHUNT.load: LAMP.supply}}\n");
    assert_eq!(at(&l, "SHUNT.load"), (Some(80), Basis::Loads));
    // Through the shunt the lamp is fed, and that is known.
    let l = loom("  MAIN: {legs: {CB: SHUNT.line, SHUNT.load: LAMP.supply}}\n");
    assert_eq!(at(&l, "SHUNT.line"), (Some(80), Basis::Loads));
}

#[test]
fn two_ways_to_ground_have_an_upper_bound() {
    let l = loom(
        "  POWER: {from: CB, to: GAUGE.power}
  GND: {from: GAUGE.ground, to: ENG}
  GND-2: {from: GAUGE.ground, to: AF}
  CASE: {legs: {ALT.pulse: GAUGE.B.11}}
",
    );
    assert_eq!(at(&l, "ENG"), (Some(500), Basis::AtMost));
    assert_eq!(at(&l, "AF"), (Some(500), Basis::AtMost));
    // From body to body a wire lies beside what joins them.
    let l = loom("  STRAP: {from: ENG, to: AF}\n");
    assert_eq!(at(&l, "ENG"), (None, Basis::Beside));
}

/// Two ways home for the gauge, through engine and airframe: what the alternator sends through the strap takes them too.
fn two_grounds(ohms: &str, gauge: &str) -> String {
    format!(
        "fairlead: 1
harness: {{title: T, drawing: D, supply: 14 V, thermocouple-colours: ansi, default-wire: etfe-22}}
zones: {{cabin: {{ambient: 40 °C}}}}
route: [{{from: panel, to: shelf, zone: cabin, length: 900 mm}}]
bodies: {{engine: engine, airframe: structure}}
bonds: [{{from: engine, to: airframe, resistance: {ohms}, carries: 45 A, cranking: 180 A}}]
equipment: {{GAUGE: {{part: engine-gauge-4, at: panel}}}}
grounds: {{ENG: {{body: engine, at: shelf, stud: M6}}, AF: {{body: airframe, at: panel, stud: M6}}}}
supplies: {{CB: {{breaker: 2 A, at: panel, stud: '#8'}}}}
circuits:
  POWER: {{from: CB, to: GAUGE.power}}
  GND: {{from: GAUGE.ground, to: ENG, gauge: {gauge}}}
  GND-2: {{from: GAUGE.ground, to: AF, gauge: {gauge}}}
"
    )
}

fn thin_wires(text: &str) -> Vec<(Severity, String)> {
    let (report, _) = judge_text("two-grounds.yaml", text, None);
    let thin = report.findings.into_iter().filter(|f| f.rule == "thin-wire");
    thin.map(|f| (f.severity, f.message)).collect()
}

#[test]
fn a_wire_in_a_ring_of_grounds_carries_its_share_of_alternator_and_starter() {
    // A strap of 1.5 mΩ beside 120 mΩ of wire: half an ampere in cruise, two while cranking.
    assert_eq!(thin_wires(&two_grounds("1.5 mΩ", "22 AWG")), []);
    // A corroded one: 5 A by Table 11-9, and more while the starter turns.
    let cranking = thin_wires(&two_grounds("6 mΩ", "22 AWG"));
    assert!(
        !cranking.is_empty() && cranking.iter().all(|(_, m)| m.contains(" while cranking;")),
        "{cranking:?}"
    );
    // A worse one: too much for good.
    let cruise = thin_wires(&two_grounds("60 mΩ", "22 AWG"));
    assert!(!cruise.is_empty(), "{cruise:?}");
    assert!(cruise.iter().all(|(s, m)| *s == Severity::Stop && m.contains(" in cruise;")), "{cruise:?}");
}

/// Where the place alone is too hot for the insulation, the two rules of ampacity do not pass.
#[test]
fn a_place_hotter_than_the_insulation_is_not_judged_but_pointed_out() {
    let text = two_grounds("1.5 mΩ", "22 AWG").replace("ambient: 40 °C", "ambient: 160 °C");
    let (report, _) = judge_text("hot.yaml", &text, None);
    for rule in ["thin-wire", "crowded-wire"] {
        let standing = report.standings.iter().find(|s| s.rule.name == rule).unwrap();
        assert_eq!(standing.outcome, Outcome::NotJudged, "{rule}");
        assert!(
            standing.unjudged.iter().all(|u| u.reason.contains("hot-insulation")),
            "{:?}",
            standing.unjudged
        );
    }
    assert!(report.findings.iter().any(|f| f.rule == "hot-insulation"));
}

/// The first silent load in each conductor is the first of the shares that says nothing.
#[test]
fn the_silent_load_is_the_first_silent_share() {
    let l = loom("  MAIN: {legs: {CB: SHUNT.line}}\n  OUT: {join: [CB2, LAMP.supply], joined-at: POST}\n");
    for id in l.0.harness.conductor_ids() {
        let by_share = l.1.shares(id).into_iter().find(|s| s.load.current.is_none()).map(|s| *s.load);
        assert_eq!(l.1.silent(id).copied(), by_share);
    }
    assert!(l.1.silent(l.0.wire("SHUNT.line")).is_some());
}

/// Pins behind the first breaker while every switch is closed, and devices of which that is not known.
fn behind(circuits: &str) -> (Vec<String>, Vec<String>) {
    let (loom, currents) = loom(circuits);
    let h = &loom.harness;
    let electrical = Electrical::of(h);
    let feed = feeds(h, &electrical, &currents).remove(0);
    let pins = feed.behind.pins.iter().map(|p| h.pin(*p).name.clone()).collect();
    let unsure = feed.behind.unsure.iter().map(|d| h.device(*d).name.clone()).collect();
    (pins, unsure)
}

#[test]
fn what_lies_behind_a_link_is_fed_too() {
    let (pins, unsure) = behind("  MAIN: {legs: {CB: SHUNT.line, SHUNT.load: LAMP.supply}}\n");
    for pin in ["CB", "SHUNT.line", "SHUNT.load", "LAMP.supply"] {
        assert!(pins.iter().any(|p| p == pin), "{pin} in {pins:?}");
    }
    assert_eq!(unsure, Vec::<String>::new());
}
