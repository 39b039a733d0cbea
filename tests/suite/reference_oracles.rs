//! Our laws against answers of general-purpose libraries, made by tests/reference/oracles/make.py.

use std::fmt::Write as _;

use crate::loom::Loom;
use crate::published::{near, number, rows};
use fairlead::graph::RouteGraph;
use fairlead::quantity::{Length, Temperature, Voltage};
use fairlead::trade::thermocouple::{emf, range, temperature};
use fairlead::trade::thermocouple_colour::ThermocoupleType;

// PyPI thermocouples_reference 0.20 and thermocouple-its90 1.0.2: emf to a nanovolt, temperature to a micro-degree,
// every 10 °C and at both ends of the range.
#[test]
fn two_python_packages_agree_on_thermocouples_both_ways() {
    let table = rows("oracles/thermocouples.csv");
    for (letter, kind) in [("K", ThermocoupleType::K), ("J", ThermocoupleType::J)] {
        let of_kind: Vec<_> = table.iter().filter(|row| row["type"] == letter).collect();
        let ends = [of_kind[0], of_kind[of_kind.len() - 1]].map(|row| number(row, "T_C"));
        assert_eq!(ends, [range(kind).low().celsius(), range(kind).high().celsius()]);
        assert!(of_kind.len() as f64 >= (ends[1] - ends[0]) / 10.0);
        for row in of_kind {
            let t = number(row, "T_C");
            for package in ["reference", "its90"] {
                let place = format!("type {letter} at {t} °C by {package}");
                let theirs = number(row, &format!("emf_{package}_mV"));
                let ours = emf(kind, Temperature::from_celsius(t)).unwrap();
                near(ours.millivolts(), theirs, 1e-6, &place);
                // At the very ends the emf rounded to a picovolt may lie outside.
                let within = emf_within(kind, theirs);
                let back = temperature(kind, within).unwrap().celsius();
                // Near -270 °C the curve of K is so flat (about 1 µV a degree) that a nanovolt is a thousandth of a degree.
                let off = if t < -250.0 { 2e-3 } else { 1e-5 };
                near(back, number(row, &format!("back_{package}_C")), off, &place);
            }
        }
    }
}

/// The emf, held within the range of the type.
fn emf_within(kind: ThermocoupleType, millivolts: f64) -> Voltage {
    let end = |t| emf(kind, t).unwrap();
    Voltage::from_millivolts(millivolts).clamp(end(range(kind).low()), end(range(kind).high()))
}

/// A graph with whole weights and the distances from one node to all.
#[derive(serde::Deserialize)]
struct ShortestPaths {
    edges: Vec<(usize, usize, i64)>,
    from: usize,
    distance: Vec<i64>,
}

// networkx 3.3, single_source_dijkstra_path_length; a weight is a length in millimetres.
#[test]
fn networkx_agrees_on_shortest_ways_along_the_structure() {
    let path = format!("{}/tests/reference/oracles/shortest_paths.json", env!("CARGO_MANIFEST_DIR"));
    let cases: Vec<ShortestPaths> = serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap();
    assert_eq!(cases.len(), 20);
    for (i, case) in cases.iter().enumerate() {
        let mut text = String::from(
            "fairlead: 1\nharness: {title: Any graph, drawing: T-1, thermocouple-colours: ansi}\n\
             zones: {bay: {}}\nroute:\n",
        );
        for (a, b, weight) in &case.edges {
            writeln!(text, "  - {{from: n{a}, to: n{b}, zone: bay, length: {weight} mm}}").unwrap();
        }
        // Told to have no circuits, which is true.
        let loom = Loom::read(&text);
        let h = &loom.harness;
        let place = |node: usize| loom.place(&format!("n{node}"));
        let route = RouteGraph::new(h);
        for (node, distance) in case.distance.iter().enumerate() {
            let (length, path) = route.distance(place(case.from), place(node)).unwrap();
            assert_eq!(length, Length::from_um(1000 * distance), "graph {i}, node {node}");
            assert_eq!(path.runs.iter().map(|r| h.run(*r).length.value).sum::<Length>(), length);
        }
    }
}
