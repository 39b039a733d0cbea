//! The ground of whole harnesses, solved: against sums by hand and against specs that say the same otherwise.

use crate::loom::Loom;
use fairlead::graph::ground_network::{Sender, Strap, Unread};
use fairlead::graph::{Currents, Electrical, GroundNetwork, Phase, Scenario, Through, Unsure};
use fairlead::harness::BondId;
use fairlead::parts::library::Library;
use fairlead::quantity::Voltage;

pub(crate) struct Ground {
    pub loom: Loom,
    pub solved: GroundNetwork,
}

impl Ground {
    pub fn of(text: &str) -> Ground {
        let loom = Loom::sound(text);
        Ground { solved: solved(&loom), loom }
    }
}

fn solved(loom: &Loom) -> GroundNetwork {
    let electrical = Electrical::of(&loom.harness);
    let currents = Currents::of(&loom.harness, &electrical);
    GroundNetwork::of(&loom.harness, Library::supplied(), &loom.routing, &electrical, &currents)
}

/// A bench at 20 °C, at which the table gives its ohms, without tails and loops: every length is the run's. 22 AWG has
/// 16.2 Ω and 20 AWG 9.88 Ω in 1000 ft (AC 43.13-1B Table 11-9): 53.1496 and 32.4147 mΩ in a metre.
pub(crate) fn ground(strap: &str, more: &str, circuits: &str) -> Ground {
    let text = format!(
        "fairlead: 1
harness: {{title: Bench, drawing: T-1, supply: 14 V, thermocouple-colours: ansi, default-wire: etfe-22}}
shop: {{tail: 0 mm, service-loop: 0 mm}}
zones: {{bench: {{ambient: 20 °C}}}}
route:
  - {{from: panel, to: block, zone: bench, length: 2000 mm}}
  - {{from: panel, to: wing, zone: bench, length: 1000 mm}}
bodies: {{engine: engine, airframe: structure}}
bonds: [{{from: engine, to: airframe{strap}}}]
grounds: {{ENG: {{body: engine, at: block, stud: M6}}, AF: {{body: airframe, at: panel, stud: M6}}}}
supplies: {{CB: {{breaker: 2 A, at: wing, stud: '#8'}}}}
equipment: {{GAUGE: {{part: engine-gauge-4, at: panel}}}}
{more}circuits:
  POWER: {{from: CB, to: GAUGE.power}}
{circuits}"
    );
    Ground::of(&text)
}

const STRAP: &str = ", resistance: 4 mΩ, carries: 45 A, cranking: 200 A";
pub(crate) const GND: &str = "  GND: {from: GAUGE.ground, to: ENG, gauge: 20 AWG}\n";
pub(crate) const R22: f64 = 16.2 / 304.8;
pub(crate) const R20: f64 = 9.88 / 304.8;

impl Ground {
    pub(crate) fn sender(&self, name: &str) -> &Sender {
        let of = |s: &&Sender| self.loom.harness.device(s.device).name == name;
        self.solved.senders.iter().find(of).expect(name)
    }

    pub(crate) fn volts(&self, name: &str, scenario: Scenario) -> Result<f64, Unsure> {
        let found = self.sender(name).offsets.iter().find(|(s, _)| *s == scenario).expect("the scenario");
        found.1.map(|offset| offset.exact().expect("nothing left open").volts.volts())
    }
}

#[track_caller]
fn near(found: f64, by_hand: f64) {
    assert!((found - by_hand).abs() < 1e-7 * by_hand.abs().max(1.0), "{found} found, {by_hand} by hand");
}

const CRUISE: Scenario = Scenario::Whole(Phase::Cruise);
const CRANKING: Scenario = Scenario::Whole(Phase::Cranking);

/// The gauge takes 0.5 A: one metre of 22 AWG in, two metres of 20 AWG back. Warmed by its own current as page 11-22 has
/// it: T = 20 + 130 √(I / Imax), with 5 A for 22 AWG and 7 A for 20 AWG.
#[test]
fn the_drop_of_a_load_is_that_of_feed_and_return() {
    let g = ground(STRAP, "", GND);
    let [drop] = &g.solved.drops[..] else { panic!("{:?}", g.solved.drops) };
    let dropped = drop.known.as_ref().unwrap().exact().unwrap();
    let warm = |most: f64| (234.5 + 20.0 + 130.0 * (0.5_f64 / most).sqrt()) / 254.5;
    near(dropped.supply.volts(), 0.5 * R22 * warm(5.0));
    near(dropped.back.volts(), 0.5 * 2.0 * R20 * warm(7.0));
}

/// The alternator's return comes into the engine over the strap, so the airframe lies above the engine; the starter's goes
/// the other way. The gauge's own ground lies above the engine by what its current drops, which the float's current
/// through case, airframe, strap and engine lessens by its 10 mA.
#[test]
fn a_float_on_the_airframe_reads_against_the_engine() {
    let sensors = "sensors: {TANK: {part: tank-float-1wire, at: wing, body: airframe}}\n";
    let g = ground(STRAP, sensors, &format!("{GND}  TANK: {{from: TANK, to: GAUGE.tank-left}}\n"));
    let gauge = (0.5 - 0.01) * 2.0 * R20;
    near(g.volts("TANK", CRUISE).unwrap(), 45.0 * 0.004 - gauge);
    near(g.volts("TANK", CRANKING).unwrap(), -200.0 * 0.004 - gauge);
    assert_eq!(g.sender("TANK").bonds, [BondId(0)]);
    let sum: f64 = g
        .solved
        .terms(g.sender("TANK"), Phase::Cruise)
        .iter()
        .map(|(_, volts)| volts.exact().unwrap().volts())
        .sum();
    near(sum, g.volts("TANK", CRUISE).unwrap());
    assert!(matches!(g.solved.straps[..], [Strap::Alone]));
}

/// A sender with its own return is off by its own current through it, whatever flows between the bodies.
#[test]
fn a_return_of_its_own_keeps_the_strap_out() {
    let sensors = "sensors:\n  OILP: {part: oil-pressure-3wire, at: block}\n  TANK: {part: tank-float-2wire, at: wing}\n";
    let circuits = format!(
        "{GND}  OILP: {{from: OILP, to: GAUGE.oil-pressure}}\n  TANK: {{from: TANK, to: GAUGE.tank-left}}\n"
    );
    let g = ground(STRAP, sensors, &circuits);
    for scenario in [CRUISE, CRANKING] {
        near(g.volts("OILP", scenario).unwrap(), 0.01 * 2.0 * R22);
        near(g.volts("TANK", scenario).unwrap(), 0.01 * R22);
    }
    assert_eq!(g.sender("OILP").bonds, []);
    // 10 mA over 0.5 to 4.5 V for 150 psi: 37.5 psi a volt.
    let offset = *g.sender("OILP").offsets[0].1.as_ref().unwrap().exact().unwrap();
    near(offset.misread.unwrap().error.value(), (0.02 * R22 * 37.5 * 1e6_f64).round() / 1e6);
    // The signal wire of a sender of resistance counts.
    near(g.sender("TANK").wire.unwrap().exact().unwrap().ohms(), R22);
}

/// Two floats in series: the first reads with the returns of both.
#[test]
fn floats_in_series_add_up() {
    let sensors =
        "sensors:\n  IN: {part: tank-float-2wire, at: wing}\n  OUT: {part: tank-float-2wire, at: block}\n";
    let circuits = format!(
        "{GND}  TANK:\n    legs: {{GAUGE.tank-left.signal: IN.signal, IN.return: OUT.signal, OUT.return: GAUGE.tank-left.return}}\n"
    );
    let g = ground(STRAP, sensors, &circuits);
    near(g.volts("IN", CRUISE).unwrap(), 0.01 * (3.0 + 2.0) * R22);
    let zeros = g.sender("IN").zeros.as_ref().unwrap();
    assert_eq!(zeros.behind, [g.loom.harness.device_by_name["OUT"]]);
    assert_eq!(g.solved.senders.len(), 1, "OUT is read by nobody alone");
}

/// Gauge grounded on both bodies, the strap open: all of its current goes through the two ground wires, less what they
/// hold back. What drives it lies behind (14 V − U) / I, with U what lies over the strap; the gauge's 0.5 A lift the airframe
/// by the drop of its way to the structure.
#[test]
fn a_strap_that_opens_sends_its_current_through_the_ground_wires() {
    let circuits = format!("{GND}  GND-2: {{from: GAUGE.screens, to: AF, length: 500 mm}}\n");
    let g = ground(STRAP, "", &circuits);
    let [Strap::Around(opens)] = &g.solved.straps[..] else { panic!("{:?}", g.solved.straps) };
    let around = 2.0 * R20 + 0.5 * R22;
    let to_airframe = 0.5 * R22;
    for (open, amps, sign) in [(&opens[0], 45.0, 1.0), (&opens[1], 200.0, -1.0)] {
        near(open.around.ohms(), around);
        // The gauge's current leaves at the airframe: divided by strap and wires, and by the wires alone.
        let own = (14.0 - (amps * around - sign * 0.5 * to_airframe) * 0.004 / (around + 0.004)) / amps;
        near(open.flows.amps(), (14.0 + sign * 0.5 * to_airframe) / (own + around));
    }
    // The gauge's own 0.5 A leave at the structure; the rating of 22 AWG at 20 °C is that of the table.
    let worst = &opens[0].overloads[0];
    assert_eq!(g.loom.harness.conductor(worst.conductor).mark, "P3A22N");
    near(worst.rating.ampacity.amps(), 5.0);
    near(worst.current.amps(), opens[0].flows.amps() - 0.5);
}

/// A strap of a megohm is an open strap: the ring solved by itself gives what the whole network gives. Without a supply
/// voltage nothing limits the current.
#[test]
fn an_open_strap_is_one_of_a_megohm() {
    let sensors = "sensors:\n  TANK: {part: tank-float-1wire, at: wing, body: airframe}\n  OILT: {part: oil-temperature-1wire, at: block, body: engine}\n";
    let circuits = format!(
        "{GND}  GND-2: {{from: GAUGE.screens, to: AF, length: 500 mm}}\n  TANK: {{from: TANK, to: GAUGE.tank-left}}\n  OILT: {{from: OILT, to: GAUGE.oil-temperature}}\n"
    );
    let solve = |strap: &str| {
        let mut g = ground(strap, sensors, &circuits);
        g.loom.harness.header.supply = None;
        g.solved = solved(&g.loom);
        g
    };
    let good = solve(", resistance: 2 mΩ, carries: 3 A, cranking: 5 A");
    let broken = solve(", resistance: 1 MΩ, carries: 3 A, cranking: 5 A");
    for name in ["TANK", "OILT"] {
        for phase in Phase::ALL {
            let open = good.volts(name, Scenario::Open(BondId(0), phase)).unwrap();
            let whole = broken.volts(name, Scenario::Whole(phase)).unwrap();
            assert!((open - whole).abs() < 1e-6, "{name} {phase:?}: {open} V, {whole} V");
        }
    }
}

#[test]
fn what_is_not_said_is_not_known() {
    let tank = "sensors: {TANK: {part: tank-float-1wire, at: wing, body: airframe}}\n";
    let circuits = format!("{GND}  TANK: {{from: TANK, to: GAUGE.tank-left}}\n");
    let at = |strap| ground(strap, tank, &circuits).volts("TANK", CRUISE);
    assert!(matches!(at(", carries: 45 A"), Err(Unsure::Resistance(_))));
    assert_eq!(at(", resistance: 4 mΩ"), Err(Unsure::Current(BondId(0))));
    let only_cruise = ground(", resistance: 4 mΩ, carries: 45 A", tank, &circuits);
    assert!(only_cruise.volts("TANK", CRUISE).is_ok());
    assert_eq!(only_cruise.volts("TANK", CRANKING), Err(Unsure::Current(BondId(0))));
    let nowhere = "sensors: {TANK: {part: tank-float-1wire, at: wing}}\n";
    assert_eq!(ground(STRAP, nowhere, &circuits).sender("TANK").zeros, Err(Unread::NoReturn));
}

/// A second strap of which nobody knows the resistance: it takes between nothing and all of what goes through the first.
#[test]
fn an_unknown_strap_beside_a_known_one_leaves_a_range() {
    let tank = "sensors: {TANK: {part: tank-float-1wire, at: wing, body: airframe}}\n";
    let circuits = format!("{GND}  TANK: {{from: TANK, to: GAUGE.tank-left}}\n");
    let second = ", resistance: 4 mΩ, carries: 45 A, cranking: 200 A}, {from: engine, to: airframe, title: second, carries: 0 A, cranking: 0 A";
    let g = ground(second, tank, &circuits);
    let gauge = (0.5 - 0.01) * 2.0 * R20;
    for (scenario, amps) in [(CRUISE, 45.0), (CRANKING, -200.0)] {
        let found = g.sender("TANK").offsets.iter().find(|(s, _)| *s == scenario).unwrap();
        let range = found.1.unwrap();
        assert_eq!(range.open, Some(Through::Bond(BondId(1))));
        let ends = [-gauge, amps * 0.004 - gauge];
        near(range.low.volts.volts(), ends[0].min(ends[1]));
        near(range.high.volts.volts(), ends[0].max(ends[1]));
    }
    // With the first strap open all goes through the second, and nobody knows what that makes; with the second open all is
    // known.
    let open =
        |bond| g.sender("TANK").offsets.iter().find(|(s, _)| *s == Scenario::Open(bond, Phase::Cruise));
    assert!(open(BondId(0)).is_none());
    // What drives the 45 A lies behind 14 V / 45 A: the second strap taken as sound, as long as it was there.
    let flows = 14.0 / (14.0 / 45.0 + 0.004);
    let volts = open(BondId(1)).unwrap().1.unwrap().exact().unwrap().volts.volts();
    near(volts, flows * 0.004 - gauge);
}

/// A sender whose current does not pass the straps is told exactly, however little is known of them.
#[test]
fn an_unknown_strap_elsewhere_does_not_matter() {
    let sensors = "sensors: {OILT: {part: oil-temperature-1wire, at: block, body: engine}}\n";
    let circuits = format!("{GND}  OILT: {{from: OILT, to: GAUGE.oil-temperature}}\n");
    let unknown = ", carries: 45 A, cranking: 200 A}, {from: engine, to: airframe, title: second";
    let [known, unknown] = [STRAP, unknown].map(|strap| {
        let g = ground(strap, sensors, &circuits);
        (g.volts("OILT", CRUISE), g.solved.drops[0].known.as_ref().unwrap().exact().unwrap().total())
    });
    assert_eq!(known, unknown);
}

/// A bond without resistance makes one point of its bodies: nothing lies across it, and all of a sender's offset is told
/// by its wires.
#[test]
fn a_bond_of_no_resistance_drops_nothing() {
    let tank = "sensors: {TANK: {part: tank-float-1wire, at: wing, body: airframe}}\n";
    let circuits = format!("{GND}  TANK: {{from: TANK, to: GAUGE.tank-left}}\n");
    let g = ground(", resistance: 0 Ω, carries: 45 A, cranking: 200 A", tank, &circuits);
    assert_eq!(g.solved.across(BondId(0), Phase::Cranking), Some(Voltage::ZERO));
    let off = g.volts("TANK", CRANKING).unwrap() + (0.5 - 0.01) * 2.0 * R20;
    assert!(off.abs() < 1e-6, "{off}");
}
