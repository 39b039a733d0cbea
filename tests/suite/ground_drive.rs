//! What drives current from body to body, against a solver of this file: bonds sound, corroded, insulating and open.

use crate::ground_network::{GND, Ground, R20, R22, ground};
use fairlead::graph::ground_network::{Strap, StrapOpen};
use fairlead::graph::{Phase, Scenario};
use fairlead::harness::BondId;

const SUPPLY: f64 = 14.0;
const FLOAT: f64 = 0.01;
const CRUISE: Scenario = Scenario::Whole(Phase::Cruise);
const CRANKING: Scenario = Scenario::Whole(Phase::Cranking);

#[track_caller]
fn near(found: f64, by_hand: f64) {
    assert!((found - by_hand).abs() < 3e-6 * by_hand.abs().max(1.0), "{found} found, {by_hand} by hand");
}

/// Node voltages against node 0: conductances between nodes, and what is pushed in at each; Gauss with pivots.
fn nodal<const N: usize>(lines: &[(usize, usize, f64)], pushed: [f64; N]) -> [f64; N] {
    let mut m = [[0.0; N]; N];
    for (a, b, ohms) in lines {
        for (i, j) in [(*a, *b), (*b, *a)] {
            m[i][i] += 1.0 / ohms;
            m[i][j] -= 1.0 / ohms;
        }
    }
    let mut rhs = pushed;
    m[0] = [0.0; N];
    (m[0][0], rhs[0]) = (1.0, 0.0);
    for k in 0..N {
        let pivot = (k..N).max_by(|a, b| m[*a][k].abs().total_cmp(&m[*b][k].abs())).unwrap();
        m.swap(k, pivot);
        rhs.swap(k, pivot);
        let row = m[k];
        for i in (0..N).filter(|i| *i != k) {
            let share = m[i][k] / row[k];
            m[i].iter_mut().zip(row).for_each(|(left, taken)| *left -= share * taken);
            rhs[i] -= share * rhs[k];
        }
    }
    std::array::from_fn(|k| rhs[k] / m[k][k])
}

/// Engine 0, airframe 1, gauge 2: the gauge grounded on both, its 0.5 A and the float's 10 mA from the airframe to the gauge.
/// Straps with what they carry, one of them open or none; alternator or starter.
struct ByHand {
    airframe: f64,
    gauge: f64,
    flows: Vec<f64>,
}

fn by_hand(straps: &[(f64, f64)], open: Option<usize>, cruise: bool) -> ByHand {
    let wires = [(0, 2, 2.0 * R20), (1, 2, 0.5 * R22)];
    let sign = if cruise { 1.0 } else { -1.0 };
    // Voltages with all drives as `emf` behind `own`, or the current alone.
    let solve = |drives: &[(Option<f64>, f64)], open: Option<usize>| {
        let mut lines = wires.to_vec();
        let mut pushed = [0.0, -(0.5 - FLOAT), 0.5 - FLOAT];
        for (i, (drive, (ohms, _))) in drives.iter().zip(straps).enumerate() {
            if Some(i) != open {
                lines.push((0, 1, *ohms));
            }
            let amps = match drive {
                (Some(own), _) => {
                    lines.push((0, 1, *own));
                    SUPPLY / own
                }
                (None, amps) => *amps,
            };
            pushed[1] += sign * amps;
            pushed[0] -= sign * amps;
        }
        nodal(&lines, pushed)
    };
    let said: Vec<_> = straps.iter().map(|(_, amps)| (None, *amps)).collect();
    // Straps lie abreast, so all are held by the same voltage.
    let lift = sign * solve(&said, None)[1];
    let none = 1e-7;
    let own: Vec<f64> = straps.iter().map(|(_, amps)| ((SUPPLY - lift) / amps).max(none)).collect();
    let drives: Vec<_> = own.iter().map(|own| (Some(*own), 0.0)).collect();
    let volts = solve(&drives, open);
    let flows = own.iter().map(|own| (SUPPLY - sign * volts[1]) / own).collect();
    ByHand { airframe: volts[1], gauge: volts[2], flows }
}

fn looped(bonds: &str) -> Ground {
    let tank = "sensors: {TANK: {part: tank-float-1wire, at: wing, body: airframe}}\n";
    let circuits = format!(
        "{GND}  GND-2: {{from: GAUGE.screens, to: AF, length: 500 mm}}\n  TANK: {{from: TANK, to: GAUGE.tank-left}}\n"
    );
    ground(bonds, tank, &circuits)
}

impl Ground {
    fn open(&self, bond: usize, phase: Phase) -> &StrapOpen {
        let Strap::Around(opens) = &self.solved.straps[bond] else { panic!("{:?}", self.solved.straps) };
        opens.iter().find(|open| open.phase == phase).unwrap()
    }
}

/// One model from a sound strap to an insulating one, whole and open.
#[test]
fn a_strap_of_any_resistance_is_one_model() {
    for ohms in [0.001, 0.004, 0.02, 0.3, 1.0, 100.0, 1e6] {
        let g = looped(&format!(", resistance: {ohms} Ω, carries: 40 A, cranking: 300 A"));
        for (phase, amps) in [(Phase::Cruise, 40.0), (Phase::Cranking, 300.0)] {
            let cruise = phase == Phase::Cruise;
            let straps = [(ohms, amps)];
            let whole = by_hand(&straps, None, cruise);
            near(g.volts("TANK", Scenario::Whole(phase)).unwrap(), whole.airframe - whole.gauge);
            near(g.solved.driven(BondId(0), phase).unwrap().drives.amps(), whole.flows[0]);
            let open = by_hand(&straps, Some(0), cruise);
            let found = g.volts("TANK", Scenario::Open(BondId(0), phase)).unwrap();
            near(found, open.airframe - open.gauge);
            near(g.open(0, phase).gap.volts(), open.airframe.abs());
            // Where it hardly conducted, next to nothing changes.
            if ohms >= 100.0 {
                let whole = g.volts("TANK", Scenario::Whole(phase)).unwrap();
                assert!((found - whole).abs() < 2e-3 * whole.abs(), "{found} {whole}");
            }
        }
    }
}

/// Two straps abreast are held back together: with one of them open both drive less.
#[test]
fn straps_abreast_are_held_back_together() {
    let second = "}, {from: engine, to: airframe, title: second";
    let g = looped(&format!(
        ", resistance: 2 mΩ, carries: 20 A, cranking: 150 A{second}, resistance: 1 MΩ, carries: 25 A, cranking: 50 A"
    ));
    for (phase, amps) in [(Phase::Cruise, [20.0, 25.0]), (Phase::Cranking, [150.0, 50.0])] {
        let straps = [(0.002, amps[0]), (1e6, amps[1])];
        for bond in [0, 1] {
            let open = by_hand(&straps, Some(bond), phase == Phase::Cruise);
            near(g.open(bond, phase).flows.amps(), open.flows[bond]);
            near(g.open(bond, phase).gap.volts(), open.airframe.abs());
        }
    }
    // Both insulate: what is left of 14 V goes through the wires, by whatever drive.
    let g = looped(&format!(
        ", resistance: 50 Ω, carries: 400 A, cranking: 400 A{second}, resistance: 70 Ω, carries: 300 A, cranking: 300 A"
    ));
    let whole = g.volts("TANK", CRUISE).unwrap();
    let gauge = SUPPLY * 2.0 * R20 / (2.0 * R20 + 0.5 * R22);
    let loads = (0.5 - FLOAT) * 2.0 * R20 * 0.5 * R22 / (2.0 * R20 + 0.5 * R22);
    assert!((whole - (SUPPLY - gauge - loads)).abs() < 1e-4, "{whole}");
}

/// 40 A said of 100 Ω: 14 V drive 0.14 A. Nothing of 4000 V.
#[test]
fn an_insulating_strap_alone_has_the_supply_over_it() {
    let tank = "sensors: {TANK: {part: tank-float-1wire, at: wing, body: airframe}}\n";
    let circuits = format!("{GND}  TANK: {{from: TANK, to: GAUGE.tank-left}}\n");
    let g = ground(", resistance: 100 Ω, carries: 40 A, cranking: 200 A", tank, &circuits);
    let gauge = (0.5 - FLOAT) * 2.0 * R20;
    near(g.volts("TANK", CRUISE).unwrap(), SUPPLY - gauge);
    near(g.volts("TANK", CRANKING).unwrap(), -SUPPLY - gauge);
    for phase in Phase::ALL {
        let driven = g.solved.driven(BondId(0), phase).unwrap();
        near(driven.drives.amps(), 0.14);
        near(driven.lift.volts(), SUPPLY);
        near(g.solved.across(BondId(0), phase).unwrap().volts().abs(), SUPPLY);
    }
}

/// An unknown strap beside a ground wire: what it leaves open ends where the supply does.
#[test]
fn an_unknown_strap_leaves_no_more_than_the_supply() {
    let g = looped(", carries: 40 A, cranking: 300 A");
    let found = g.sender("TANK").offsets.iter().find(|(s, _)| *s == CRANKING).unwrap().1.unwrap();
    let none = by_hand(&[(1e-9, 300.0)], None, false);
    let open = by_hand(&[(1e12, 300.0)], None, false);
    near(found.low.volts.volts(), open.airframe - open.gauge);
    near(found.high.volts.volts(), none.airframe - none.gauge);
    assert!(found.low.volts.volts() > -SUPPLY);
}
