//! Networks of resistances against answers of a general-purpose sparse solver, made by tests/reference/oracles/make.py.

use serde_json::Value;

use fairlead::quantity::{Current, Resistance};
use fairlead::trade::network::{Network, Source};

/// SciPy's sparse solver over the grounded Laplacian: every voltage to a nanovolt, or a millionth of itself.
#[test]
fn a_sparse_solver_finds_the_same_voltages() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/reference/oracles/resistive_networks.json");
    let all: Vec<Value> = serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap();
    assert!(all.len() > 10, "{}", all.len());
    for (i, case) in all.iter().enumerate() {
        let count = case["nodes"].as_u64().unwrap() as usize;
        let (mut network, n) = Network::of_nodes(count);
        let triple = |v: &Value| {
            let node = |k: usize| n[v[k].as_u64().unwrap() as usize];
            (node(0), node(1), v[2].as_f64().unwrap())
        };
        for (a, b, ohms) in case["resistors"].as_array().unwrap().iter().map(triple) {
            network.join(a, b, Resistance::from_ohms(ohms));
        }
        let source = |v: &Value| {
            let (from, to, amps) = triple(v);
            Source { from, to, current: Current::from_amps(amps) }
        };
        let sources: Vec<Source> = case["sources"].as_array().unwrap().iter().map(source).collect();
        let reduced = network.reduced();
        let solved = reduced.solve(&sources).unwrap();
        for (k, volts) in case["volts"].as_array().unwrap().iter().enumerate() {
            let (ours, theirs) = (solved.between(n[k], n[0]).unwrap().volts(), volts.as_f64().unwrap());
            let off = (ours - theirs).abs();
            assert!(off <= 1e-9 + 1e-6 * theirs.abs(), "network {i}, node {k}: {ours} V, not {theirs} V");
        }
    }
}
