//! What a gauge shows over wrong wiring, against sums of NIST's printed emf values.
//!
//! Each harness is read from a spec; its junctions lie in zones at 25, 42 and 100 °C, temperatures of the table. The
//! expected emf is the law of intermediate temperatures written out by hand with the values of NIST SRD 60 as printed
//! (to 0.001 mV); NIST's own approximate inverse turns it into a temperature, with the error that NIST prints beside it.

use crate::loom::Loom;
use crate::published::{Row, number, rows};
use fairlead::graph::{Chain, Electrical, NoReading};
use fairlead::quantity::{Temperature, Units};
use fairlead::trade::thermocouple::Shown;

const HEAD: &str = "fairlead: 1
harness: {title: Test loom, drawing: T-1, thermocouple-colours: ansi, default-wire: etfe-22}
zones: {cabin: {ambient: 25 °C}, bay: {ambient: 42 °C}, engine: {ambient: 100 °C}}
route:
  - {from: panel, to: shelf, zone: cabin, length: 500 mm}
  - {from: shelf, to: tray, zone: bay, length: 300 mm}
  - {from: tray, to: wall, zone: bay, length: 300 mm}
  - {from: wall, to: cyl, zone: engine, length: 300 mm}
  - {from: cyl, to: pipe, zone: engine, length: 300 mm}
equipment: {GAUGE: {part: engine-gauge-4, at: panel}}
sensors: {CHT1: {part: cht-bayonet-k, at: pipe}}
";

fn chain_of(spec: &str) -> Result<Chain, NoReading> {
    let loom = Loom::sound(spec);
    let h = &loom.harness;
    Electrical::of(h).thermocouple_runs(h)[0].chain(h, &loom.routing)
}

fn chain(circuits: &str) -> Chain {
    chain_of(&format!("{HEAD}{circuits}")).unwrap()
}

/// NIST SRD 60, rounded as its table prints it, in mV.
fn e(kind: &str, celsius: f64) -> f64 {
    let row = |r: &&Row| r["type"] == kind && number(r, "T_C") == celsius;
    number(rows("thermocouple_check_values.csv").iter().find(row).unwrap(), "rounded_3")
}

/// NIST's approximate inverse of type K, in °C; the rows of the range that holds the emf.
fn inverse(millivolts: f64) -> f64 {
    let table = rows("thermocouple_inverse_coefficients.csv");
    let holds = |r: &&Row| {
        let (low, high) = r["e_range"].split_once("..").unwrap();
        let end = |text: &str| text.split(' ').next().unwrap().parse::<f64>().unwrap();
        r["type"] == "K" && (end(low)..=end(high)).contains(&millivolts)
    };
    let of = |(i, r): (usize, &Row)| number(r, "value") * millivolts.powi(i as i32);
    let range = table.iter().find(holds).unwrap()["e_range"].clone();
    table.iter().filter(|r| r["type"] == "K" && r["e_range"] == range).enumerate().map(of).sum()
}

/// NIST prints up to 0.06 °C of error beside its inverse; three values rounded to 0.5 µV are 0.04 °C, and twice that
/// where one is taken twice; below 0 °C a degree gives a little less.
const BOUND: f64 = 0.15;

#[track_caller]
fn shows(chain: &Chain, probe: f64, millivolts: f64) {
    let t = Temperature::from_celsius(probe);
    let Shown::At(shown) = chain.at(t).unwrap().shown else { panic!("off the scale") };
    let published = inverse(millivolts);
    assert!((shown.celsius() - published).abs() < BOUND, "{} °C, published {published} °C", shown.celsius());
}

#[test]
fn right_all_the_way() {
    let right = chain("circuits: {CHT1: {from: CHT1, to: GAUGE.cht-1}}");
    assert!(right.is_right());
    for probe in [25.0, 200.0, 400.0] {
        shows(&right, probe, e("K", probe));
    }
    // The emf at the terminals lacks what their own temperature gives.
    let emf = right.at(Temperature::from_celsius(200.0)).unwrap().emf.unwrap();
    assert!((emf.millivolts() - (e("K", 200.0) - e("K", 25.0))).abs() < 0.0011);
}

#[test]
fn swapped_at_the_gauge() {
    let swapped = chain("circuits: {CHT1: {legs: {CHT1.plus: GAUGE.A.14, CHT1.minus: GAUGE.A.1}}}");
    shows(&swapped, 25.0, e("K", 25.0));
    shows(&swapped, 100.0, 2.0 * e("K", 25.0) - e("K", 100.0));
    let seen = swapped.seen(Temperature::from_celsius(100.0), Units::Metric).unwrap();
    let low = 100.0 - inverse(2.0 * e("K", 25.0) - e("K", 100.0));
    assert!(seen.starts_with(&format!("reads {low:.0} °C low (")), "{seen}");
    assert!(seen.ends_with("with the probe at 100 °C and falls as the engine warms"), "{seen}");
}

#[test]
fn swapped_at_a_connector_in_the_engine_compartment() {
    let swapped = chain(
        "connectors: {FWD: {plug: dsub-9-pin, at: cyl, plug-faces: pipe}}
circuits:
  HOT: {legs: {CHT1.plus: FWD.plug.3, CHT1.minus: FWD.plug.4}, wire: thermocouple-k-ansi-22}
  CHT1: {legs: {FWD.receptacle.4: GAUGE.A.1, FWD.receptacle.3: GAUGE.A.14}, wire: thermocouple-k-ansi-22}
",
    );
    // The chromel goes on in alumel at 100 °C: right up to there, then the wrong way round, and to the wrong pins.
    shows(&swapped, 200.0, 2.0 * e("K", 100.0) - e("K", 200.0));
}

#[test]
fn swapped_twice() {
    let twice = chain(
        "circuits: {CHT1: {legs: {CHT1.plus: GAUGE.A.1, CHT1.minus: GAUGE.A.14}, colours: [RD, YE], wire: thermocouple-k-ansi-22}}",
    );
    shows(&twice, 400.0, e("K", 400.0) - 2.0 * (e("K", 100.0) - e("K", 25.0)));
}

#[test]
fn copper_all_the_way_from_the_probe() {
    let copper = chain("circuits: {CHT1: {from: CHT1, to: GAUGE.cht-1, wire: twisted-2-22}}");
    for probe in [200.0, 300.0, 400.0] {
        shows(&copper, probe, e("K", probe) - e("K", 100.0) + e("K", 25.0));
    }
}

#[test]
fn wire_of_the_other_type() {
    let other = chain("circuits: {CHT1: {from: CHT1, to: GAUGE.cht-1, wire: thermocouple-j-ansi-22}}");
    let of_j = e("J", 100.0) - e("J", 25.0);
    shows(&other, 300.0, e("K", 300.0) - e("K", 100.0) + of_j + e("K", 25.0));
}

#[test]
fn copper_between_two_connectors() {
    let between = chain(
        "connectors:
  HOT: {plug: dsub-9-pin, at: cyl, plug-faces: pipe}
  COLD: {plug: dsub-9-pin, at: tray, plug-faces: wall}
circuits:
  HOT: {legs: {CHT1.plus: HOT.plug.1, CHT1.minus: HOT.plug.2}, wire: thermocouple-k-ansi-22}
  MID: {legs: {HOT.receptacle.1: COLD.plug.1, HOT.receptacle.2: COLD.plug.2}, wire: twisted-2-22}
  CHT1: {legs: {COLD.receptacle.1: GAUGE.A.1, COLD.receptacle.2: GAUGE.A.14}, wire: thermocouple-k-ansi-22}
",
    );
    assert_eq!((between.plus.len(), between.minus.len()), (3, 3));
    shows(&between, 400.0, e("K", 400.0) - (e("K", 100.0) - e("K", 42.0)));
}

#[test]
fn what_is_not_declared_is_not_known() {
    let dark = HEAD.replace("cabin: {ambient: 25 °C}", "cabin: {}");
    let probe = Temperature::from_celsius(200.0);
    let right = chain_of(&format!("{dark}circuits: {{CHT1: {{from: CHT1, to: GAUGE.cht-1}}}}")).unwrap();
    let reading = right.at(probe).unwrap();
    assert_eq!((reading.shown, reading.emf), (Shown::At(probe), None));
    let copper = format!("{dark}circuits: {{CHT1: {{from: CHT1, to: GAUGE.cht-1, wire: twisted-2-22}}}}");
    assert!(matches!(chain_of(&copper).unwrap().at(probe), Err(NoReading::NoAmbient(_))));
    let legs = |legs: &str| chain_of(&format!("{HEAD}circuits: {{CHT1: {{legs: {{{legs}}}}}}}"));
    assert_eq!(legs("CHT1.plus: GAUGE.A.1"), Err(NoReading::Open));
    assert!(matches!(legs("CHT1.plus: GAUGE.A.1, CHT1.minus: GAUGE.A.15"), Err(NoReading::NotOnePort(_))));
}

#[test]
fn off_the_scale_is_said_with_the_last_temperature_that_reads() {
    let swapped = chain("circuits: {CHT1: {legs: {CHT1.plus: GAUGE.A.14, CHT1.minus: GAUGE.A.1}}}");
    let seen = swapped.seen(Temperature::from_celsius(700.0), Units::Metric).unwrap();
    assert!(seen.contains("with the probe at 200 °C"), "{seen}");
    assert!(seen.ends_with("; at 700 °C it shows less than it can read"), "{seen}");
}
