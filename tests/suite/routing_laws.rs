//! The routing of any structure, held against slower ways to the same answer: all pairs by Floyd and Warshall, and every
//! place for every splice.

use std::collections::BTreeMap;

use crate::loom::Loom;
use fairlead::graph::splice_places;
use fairlead::harness::{DeviceClass, DeviceId, Harness, PlaceId};
use fairlead::quantity::Length;
use proptest::prelude::*;

/// A cabin and an engine bay with two holes between them, each a tree of places with some runs across; senders at any
/// place, wired to the gauge, and joins that need a splice.
fn any_spec() -> impl Strategy<Value = String> {
    let tree = || prop::collection::vec((0_usize..100, 1_u32..900), 1..9);
    let across = prop::collection::vec((0_usize..100, 0_usize..100, 1_u32..900), 0..5);
    let senders = prop::collection::vec((any::<bool>(), 0_usize..100), 2..9);
    let joins = prop::collection::vec(prop::collection::vec(0_usize..100, 1..5), 0..4);
    (tree(), tree(), across, senders, joins, any::<bool>()).prop_map(
        |(cabin, engine, across, senders, joins, open)| {
            let splices = if open { "allowed" } else { "forbidden" };
            let mut text = format!(
                "fairlead: 1\nharness: {{title: Any loom, drawing: T-1, thermocouple-colours: ansi}}
zones: {{cabin: {{}}, engine: {{splices: {splices}}}}}
barriers: {{firewall: {{between: [cabin, engine], holes: {{FH1: {{}}, FH2: {{}}}}}}}}
route:
  - {{from: c0, to: FH1, zone: cabin, length: 70 mm}}
  - {{from: c1, to: FH2, zone: cabin, length: 40 mm}}
  - {{from: FH1, to: e0, zone: engine, length: 30 mm}}
  - {{from: FH2, to: e1, zone: engine, length: 60 mm}}\n"
            );
            for (zone, letter, tree) in [("cabin", 'c', &cabin), ("engine", 'e', &engine)] {
                for (i, (to, length)) in tree.iter().enumerate() {
                    let to = to % (i + 1);
                    text += &format!(
                        "  - {{from: {letter}{to}, to: {letter}{}, zone: {zone}, length: {length} mm}}\n",
                        i + 1
                    );
                }
            }
            for (a, b, length) in across {
                let (a, b) = (a % (engine.len() + 1), b % (engine.len() + 1));
                if a != b {
                    text += &format!("  - {{from: e{a}, to: e{b}, zone: engine, length: {length} mm}}\n");
                }
            }
            text += "equipment: {GAUGE: {part: engine-gauge-4, at: c0}}\nsensors:\n";
            for (i, (in_engine, at)) in senders.iter().enumerate() {
                let (letter, places) =
                    if *in_engine { ('e', engine.len() + 1) } else { ('c', cabin.len() + 1) };
                text += &format!("  S{i}: {{part: oil-temperature-2wire, at: {letter}{}}}\n", at % places);
            }
            text += "circuits:\n";
            for i in 0..senders.len() {
                text += &format!("  S{i}: {{legs: {{S{i}.signal: GAUGE.B.{}}}}}\n", i + 10);
            }
            for (j, ends) in joins.iter().enumerate() {
                let ends: std::collections::BTreeSet<usize> =
                    ends.iter().map(|e| e % senders.len()).collect();
                let ends: Vec<String> = ends.iter().map(|e| format!("S{e}.return")).collect();
                text += &format!(
                    "  J{j}: {{join: [GAUGE.B.{}, GAUGE.B.{}, {}]}}\n",
                    2 * j + 1,
                    2 * j + 2,
                    ends.join(", ")
                );
            }
            text
        },
    )
}

/// Shortest lengths between all places, without regard to zones: every place but the holes lies in one.
fn all_pairs(h: &Harness) -> BTreeMap<(PlaceId, PlaceId), Length> {
    let places: Vec<PlaceId> = (0..h.places.len()).map(PlaceId::at).collect();
    let mut far: BTreeMap<_, _> = places.iter().map(|p| ((*p, *p), Length::ZERO)).collect();
    for run in &h.runs {
        for (a, b) in [(run.ends[0], run.ends[1]), (run.ends[1], run.ends[0])] {
            let known = far.entry((a, b)).or_insert(run.length.value);
            *known = (*known).min(run.length.value);
        }
    }
    for via in &places {
        for a in &places {
            for b in &places {
                if let (Some(x), Some(y)) = (far.get(&(*a, *via)).copied(), far.get(&(*via, *b)).copied()) {
                    let known = far.entry((*a, *b)).or_insert(x + y);
                    *known = (*known).min(x + y);
                }
            }
        }
    }
    far
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]
    #[test]
    fn ways_are_shortest_and_splices_lie_where_nothing_is_better(text in any_spec()) {
        let loom = Loom::sound(&text);
        let h = &loom.harness;
        let far = all_pairs(h);
        for id in h.conductor_ids() {
            let c = h.conductor(id);
            let [from, to] = [c.from, c.to].map(|p| loom.routing.place_of_pin(h, p).expect("a place"));
            let path = loom.routing.path_of(h, id).expect("a way");
            prop_assert_eq!(Some(&path.length), far.get(&(from, to)));
            prop_assert_eq!((path.places[0], *path.places.last().unwrap()), (from, to));
            for (i, run) in path.runs.iter().enumerate() {
                let mut ends = h.run(*run).ends;
                let mut step = [path.places[i], path.places[i + 1]];
                ends.sort();
                step.sort();
                prop_assert_eq!(ends, step);
            }
            prop_assert_eq!(path.breaches(h), vec![]);
        }
        for (i, device) in h.devices.iter().enumerate() {
            if !matches!(device.class, DeviceClass::Splice { made: true, .. }) {
                continue;
            }
            let place = loom.routing.place_of[i].expect("a place");
            let places = splice_places(h, &loom.routing, DeviceId::at(i));
            let chosen = places.iter().find(|p| p.place == place).expect("a place where it may lie");
            prop_assert_eq!(chosen.wire, places[0].wire);
            // The same by hand: the sum of the shortest lengths to every end.
            let pin = device.first_pin;
            let ends = h.conductors.iter().filter(|c| c.from == pin || c.to == pin).map(|c| {
                if c.from == pin { c.to } else { c.from }
            });
            let ends: Vec<PlaceId> = ends.map(|p| loom.routing.place_of_pin(h, p).unwrap()).collect();
            for candidate in &places {
                let sum: Length = ends.iter().map(|end| far[&(candidate.place, *end)]).sum();
                prop_assert_eq!(candidate.wire, sum);
            }
        }
    }
}
