//! Networks of resistances: sums by hand, and what holds in any of them.

use proptest::prelude::*;

use fairlead::quantity::{Current, Resistance, Voltage};
use fairlead::trade::network::{Branch, Network, Node, Open, Source};

fn ohms(value: f64) -> Resistance {
    Resistance::from_ohms(value)
}

fn amps(value: f64) -> Current {
    Current::from_amps(value)
}

fn network(count: usize, lines: &[(usize, usize, f64)]) -> (Network, Vec<Node>, Vec<Branch>) {
    let (mut network, nodes) = Network::of_nodes(count);
    let branches = lines.iter().map(|(a, b, r)| network.join(nodes[*a], nodes[*b], ohms(*r))).collect();
    (network, nodes, branches)
}

fn pushed(n: &[Node], from: usize, to: usize, a: f64) -> Source {
    Source { from: n[from], to: n[to], current: amps(a) }
}

/// Worked by hand: 23 V2 = 15 V1 + 3 V3; 19 V3 = 10 V1 + 4 V2; 3 V1 = 2 + 2 V2 + V3.
#[test]
fn a_bridge_out_of_balance() {
    let lines = [(1, 2, 1.0), (1, 3, 2.0), (2, 0, 3.0), (3, 0, 4.0), (2, 3, 5.0)];
    let (network, n, branches) = network(4, &lines);
    let reduced = network.reduced();
    let solved = reduced.solve(&[pushed(&n, 0, 1, 1.0)]).unwrap();
    let volts = |i: usize| solved.between(n[i], n[0]).unwrap();
    let is = |i: usize, seventy_firsts: f64| assert_eq!(volts(i), Voltage::from_volts(seventy_firsts / 71.0));
    is(1, 170.0);
    is(2, 126.0);
    is(3, 116.0);
    assert_eq!(solved.current(branches[4]), Some(amps(2.0 / 71.0)));
}

#[test]
fn a_bridge_in_balance_carries_nothing_across() {
    let lines = [(1, 2, 10.0), (1, 3, 20.0), (2, 0, 30.0), (3, 0, 60.0), (2, 3, 0.001)];
    let (network, n, branches) = network(4, &lines);
    let reduced = network.reduced();
    let solved = reduced.solve(&[pushed(&n, 0, 1, 3.0)]).unwrap();
    assert_eq!(solved.current(branches[4]), Some(Current::ZERO));
    // 40 Ω beside 80 Ω
    assert_eq!(solved.between(n[1], n[0]), Some(Voltage::from_volts(80.0)));
}

/// The cube of twelve equal resistors: 5/6 of one from corner to opposite corner.
#[test]
fn a_cube_of_resistors() {
    let mut lines = Vec::new();
    for a in 0..8_usize {
        lines.extend([1, 2, 4].iter().filter(|bit| a & **bit == 0).map(|bit| (a, a | bit, 6.0)));
    }
    let (network, n, _) = network(8, &lines);
    let reduced = network.reduced();
    let solved = reduced.solve(&[pushed(&n, 0, 7, 1.0)]).unwrap();
    assert_eq!(solved.between(n[7], n[0]), Some(Voltage::from_volts(5.0)));
    assert_eq!(reduced.resistance(n[0], n[7]), Some(ohms(5.0)));
}

#[test]
fn bridges_and_rings_on_a_way_add_up() {
    // Nothing, 2 ohms, 3 beside 6 ohms, 1 ohm; a part of its own.
    let lines = [(0, 1, 0.0), (1, 2, 2.0), (2, 3, 3.0), (2, 3, 6.0), (3, 4, 1.0), (5, 6, 1.0)];
    let (network, n, _) = network(7, &lines);
    let reduced = network.reduced();
    assert_eq!(reduced.resistance(n[0], n[4]), Some(ohms(5.0)));
    assert_eq!(reduced.resistance(n[4], n[2]), Some(ohms(3.0)));
    assert_eq!(reduced.resistance(n[0], n[1]), Some(Resistance::ZERO));
    assert_eq!(reduced.resistance(n[0], n[5]), None);
}

#[test]
fn zero_ohms_make_one_point_and_their_current_is_not_told() {
    let (network, n, branches) = network(4, &[(0, 1, 0.0), (1, 2, 2.0), (0, 3, 0.0), (3, 1, 0.0)]);
    let reduced = network.reduced();
    let solved = reduced.solve(&[pushed(&n, 3, 2, 4.0)]).unwrap();
    assert_eq!(solved.between(n[2], n[0]), Some(Voltage::from_volts(8.0)));
    assert_eq!((solved.current(branches[1]), solved.current(branches[0])), (Some(amps(-4.0)), None));
}

#[test]
fn no_way_back_is_told() {
    let (network, n, _) = network(4, &[(0, 1, 1.0), (2, 3, 1.0)]);
    let reduced = network.reduced();
    assert_eq!(reduced.solve(&[pushed(&n, 1, 2, 5.0)]).unwrap_err(), Open { at: n[0], excess: amps(-5.0) });
    // There and back over two parts is a closed way.
    let there_and_back = [pushed(&n, 1, 2, 5.0), pushed(&n, 3, 0, 5.0)];
    let solved = reduced.solve(&there_and_back).unwrap();
    assert_eq!(solved.between(n[2], n[3]), Some(Voltage::from_volts(5.0)));
    assert_eq!(solved.between(n[0], n[2]), None);
    assert!(!reduced.joined(n[0], n[2]) && reduced.joined(n[0], n[1]));
}

/// A milliohm strap beside megohms: neither drowns the other.
#[test]
fn a_strap_beside_insulation() {
    let (network, n, branches) = network(3, &[(0, 1, 0.001), (0, 2, 2e6), (2, 1, 1e6)]);
    let reduced = network.reduced();
    let solved = reduced.solve(&[pushed(&n, 0, 1, 100.0)]).unwrap();
    // 1 mΩ beside 3 MΩ.
    let strap = 0.1 * 3e9 / (3e9 + 1.0);
    assert_eq!(solved.between(n[1], n[0]), Some(Voltage::from_volts(strap)));
    assert_eq!(solved.between(n[2], n[0]), Some(Voltage::from_volts(strap * 2.0 / 3.0)));
    assert_eq!(solved.current(branches[1]), Some(amps(-strap / 3e6)));
}

/// From node to node, and how much of it.
type Link = (usize, usize, f64);

/// Networks of up to 12 nodes in one part, with loops, from 10 µΩ to 1 kΩ, and two sources.
fn any_network() -> impl Strategy<Value = (usize, Vec<Link>, Vec<Link>)> {
    (2_usize..12).prop_flat_map(|count| {
        let r = || (-5.0..3.0_f64).prop_map(|power| 10_f64.powf(power));
        let tree = (1..count).map(|i| (0..i, Just(i), r())).collect::<Vec<_>>();
        let more = prop::collection::vec((0..count, 0..count, r()), 0..12);
        let sources = prop::collection::vec((0..count, 0..count, -50.0..50.0_f64), 1..3);
        (Just(count), tree, more, sources).prop_map(|(count, mut tree, more, sources)| {
            tree.extend(more);
            (count, tree, sources)
        })
    })
}

proptest! {
    /// Kirchhoff at every node, to a billionth of what flows; and the resistances turn into heat what sources give.
    #[test]
    fn current_and_energy_are_kept((count, lines, sources) in any_network()) {
        let (network, n, branches) = network(count, &lines);
        let reduced = network.reduced();
        let pushes: Vec<Source> = sources.iter().map(|(a, b, i)| pushed(&n, *a, *b, *i)).collect();
        let solved = reduced.solve(&pushes).unwrap();
        let mut left = vec![0.0; count];
        let (mut given, mut heat) = (0.0, 0.0);
        // What a thousand amperes drop, to a nano-ohm's worth each way.
        let by_law = reduced.solve(&[pushed(&n, 0, count - 1, 1e3)]).unwrap().between(n[count - 1], n[0]);
        let told = reduced.resistance(n[0], n[count - 1]).unwrap().ohms();
        let by_law = by_law.unwrap().volts() / 1e3;
        prop_assert!((told - by_law).abs() <= 1e-9 * (1.0 + by_law), "{told} told, {by_law} by the law");
        for ((a, b, _), s) in sources.iter().zip(&pushes) {
            left[*a] -= s.current.amps();
            left[*b] += s.current.amps();
            given += s.current.amps() * solved.between(n[*b], n[*a]).unwrap().volts();
        }
        for ((a, b, r), branch) in lines.iter().zip(&branches).filter(|((a, b, _), _)| a != b) {
            let i = solved.current(*branch).unwrap().amps();
            left[*a] -= i;
            left[*b] += i;
            heat += i * i * r;
        }
        // Currents are told in whole nanoamperes, resistances in whole nano-ohms.
        prop_assert!(left.iter().all(|l| l.abs() < 1e-6), "{left:?}");
        prop_assert!((given - heat).abs() <= 1e-3 * given.abs() + 1e-2, "{given} W given, {heat} W heat");
    }

    /// What a current here does there is what the same current there does here (reciprocity).
    #[test]
    fn here_and_there_may_be_exchanged((count, lines, _) in any_network()) {
        let (network, n, _) = network(count, &lines);
        let reduced = network.reduced();
        let here = reduced.solve(&[pushed(&n, 0, 1, 1.0)]).unwrap();
        let there = reduced.solve(&[pushed(&n, 0, count - 1, 1.0)]).unwrap();
        let (a, b) = (here.between(n[count - 1], n[0]).unwrap(), there.between(n[1], n[0]).unwrap());
        prop_assert!((a.volts() - b.volts()).abs() <= 1e-9 * a.volts().abs() + 2e-12, "{a} {b}");
    }
}
