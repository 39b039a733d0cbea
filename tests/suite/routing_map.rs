//! The routing drawing of a harness whose places have positions: true to scale, each run once, lettering clear.

use crate::faces::assert_clean;
use crate::generator::Dice;
use crate::loom::Loom;
use crate::routing_drawing::{drawn, joined, measure, own, words};
use fairlead::draw::routing::routing_with;
use fairlead::draw::{Layer, Mm, Point, Scene, Shape, TagKind};
use fairlead::harness::Harness;
use fairlead::pipeline;
use std::collections::BTreeMap;

/// The figure behind `1:` in the title block.
fn reduction(scene: &Scene) -> Option<f64> {
    let said = words(scene, Layer::Frame).find_map(|(_, text)| text.strip_prefix("1:")?.parse().ok());
    said.or_else(|| words(scene, Layer::Frame).any(|(_, text)| text == "1:1").then_some(1.0))
}

/// Signs of places stand as far apart on paper as in the spec, divided by the scale; x to the right, y upwards.
fn is_true_to_scale(h: &Harness, scene: &Scene, reduction: f64, name: &str) {
    let signs: BTreeMap<&str, Point> = scene
        .items()
        .iter()
        .filter(|i| i.mark.layer == Layer::Symbol && i.paint.stroke.is_some())
        .filter(|i| matches!(own(i), Some((TagKind::Place | TagKind::Hole, _))))
        .filter_map(|i| Some((i.mark.id(TagKind::Place)?, i.bounds()?.centre())))
        .collect();
    let first = &h.places[0];
    for place in &h.places {
        let (from, to) = (signs[first.name.as_str()], signs[place.name.as_str()]);
        let across = |i: usize| place.position.unwrap().value[i].mm() - first.position.unwrap().value[i].mm();
        let off = |paper: Mm, spec: f64| (paper.as_f64() - spec / reduction).abs();
        assert!(off(to.x - from.x, across(0)) < 0.01, "{name}: `{}` stands at {to:?}", place.name);
        assert!(off(from.y - to.y, across(1)) < 0.01, "{name}: `{}` stands at {to:?}", place.name);
    }
}

/// One line a run; a sleeve is drawn as two on one another.
fn every_run_once(h: &Harness, scene: &Scene, name: &str) {
    let mut ways: BTreeMap<&str, Vec<&Vec<Point>>> = BTreeMap::new();
    for item in scene.items().iter().filter(|i| i.mark.layer == Layer::Structure) {
        if let (Some((TagKind::Run, run)), Shape::Polyline { points, closed: false }) =
            (own(item), &item.shape)
        {
            let ways = ways.entry(run).or_default();
            if !ways.contains(&points) {
                ways.push(points);
            }
        }
    }
    assert_eq!(ways.len(), h.runs.len(), "{name}");
    assert!(ways.iter().all(|(_, ways)| ways.len() == 1), "{name}: {ways:?}");
}

#[test]
fn the_workboat_is_a_map() {
    let found =
        pipeline::read(std::path::Path::new("harness-specs/workboat.yaml")).unwrap().resolve().unwrap();
    let h = &found.harness;
    let draw = |banner| routing_with(h, &found.library, &found.routing, &found.bundles, banner);
    let scenes = draw(None);
    measure(h, &scenes, "workboat");
    assert_clean("workboat, banner", &draw(Some("BUILT DESPITE FINDINGS: 2 stop. See the findings sheet.")));
    let reduction = reduction(&scenes[0]).expect("a scale");
    is_true_to_scale(h, &scenes[0], reduction, "workboat");
    every_run_once(h, &scenes[0], "workboat");
    let barriers = scenes[0]
        .items()
        .iter()
        .filter(|i| i.mark.layer == Layer::Structure && matches!(own(i), Some((TagKind::Barrier, _))));
    assert_eq!(barriers.count(), h.barriers.len(), "one line a wall");
}

/// Thirty places at random, 0.8 m apart at least, each joined to the nearest before it and a few to any other.
fn scattered(seed: u64, places: usize, extra: usize) -> String {
    use std::fmt::Write;
    let mut dice = Dice::new(seed);
    let mut at: Vec<(u64, u64)> = Vec::new();
    while at.len() < places {
        let (x, y) = (dice.between(0, 9000), dice.between(0, 5000));
        let apart = |p: &(u64, u64)| p.0.abs_diff(x).pow(2) + p.1.abs_diff(y).pow(2);
        if at.iter().all(|p| apart(p) >= 800_u64.pow(2)) {
            at.push((x, y));
        }
    }
    let mut text = format!(
        "fairlead: 1\nharness: {{title: Random, drawing: R-{seed}, supply: 14 V, thermocouple-colours: ansi}}\n\
         zones: {{cabin: {{ambient: 40 °C}}, engine: {{ambient: 80 °C, hazards: [fuel]}}}}\nroute:\n"
    );
    let far = |a: usize, b: usize| at[a].0.abs_diff(at[b].0).pow(2) + at[a].1.abs_diff(at[b].1).pow(2);
    let mut run = |a: usize, b: usize, zone: &str| {
        let length = (far(a, b) as f64).sqrt().ceil() as u64 + 40;
        _ = writeln!(text, "  - {{from: p{a}, to: p{b}, zone: {zone}, length: {length} mm}}");
    };
    for i in 1..places {
        run((0..i).min_by_key(|j| far(i, *j)).unwrap(), i, if i % 3 == 0 { "engine" } else { "cabin" });
    }
    for i in 0..extra {
        run(i, places - 1 - i, "cabin");
    }
    text.push_str("places:\n");
    for (i, (x, y)) in at.iter().enumerate() {
        _ = writeln!(text, "  p{i}: {{position: [{x} mm, {y} mm]}}");
    }
    text + "equipment: {GAUGE: {part: engine-gauge-4, at: p0}}\nsensors: {CHT1: {part: cht-bayonet-k, at: p9}}\n\
            circuits: {CHT1: {from: CHT1, to: GAUGE.cht-1}}\n"
}

#[test]
fn scattered_places_are_drawn_clean_and_mostly_as_maps() {
    let mut maps = 0;
    for seed in 1..=8 {
        for extra in [0, 2] {
            let name = format!("seed {seed}, {extra} more");
            let loom = Loom::read(&scattered(seed, 30, extra));
            let scenes = drawn(&loom);
            assert_clean(&name, &scenes);
            let Some(reduction) = reduction(&scenes[0]) else {
                let told =
                    words(&joined(&scenes), Layer::Note).any(|(_, text)| text.contains("Drawn as a tree"));
                assert!(told, "{name}: no word why there is no map");
                continue;
            };
            maps += 1;
            is_true_to_scale(&loom.harness, &scenes[0], reduction, &name);
            every_run_once(&loom.harness, &scenes[0], &name);
        }
    }
    assert!(maps >= 8, "{maps} maps of 16");
}

/// Two runs that cross pass with a gap: the later one has white under it where they do.
#[test]
fn runs_that_cross_are_told_apart_and_counted() {
    let text = "fairlead: 1\nharness: {title: X, drawing: X-1, supply: 14 V, thermocouple-colours: ansi}\n\
        zones: {a: {ambient: 40 °C}}\n\
        route:\n  - {from: n, to: s, zone: a, length: 2100 mm}\n  - {from: w, to: e, zone: a, length: 2100 mm}\n  \
        - {from: n, to: w, zone: a, length: 1500 mm}\n  - {from: n, to: w, zone: a, length: 1700 mm}\n\
        places: {n: {position: [1 m, 2 m]}, s: {position: [1 m, 0 m]}, w: {position: [0 m, 1 m]}, e: {position: [2 m, 1 m]}}\n\
        equipment: {GAUGE: {part: engine-gauge-4, at: s}}\nsensors: {CHT1: {part: cht-bayonet-k, at: e}}\n\
        circuits: {CHT1: {from: CHT1, to: GAUGE.cht-1}}\n";
    let loom = Loom::sound(text);
    let scenes = drawn(&loom);
    assert_clean("crossing", &scenes);
    is_true_to_scale(&loom.harness, &scenes[0], reduction(&scenes[0]).unwrap(), "crossing");
    every_run_once(&loom.harness, &scenes[0], "crossing");
    let grounds = scenes[0].items().iter().filter(|i| {
        i.mark.layer == Layer::Structure && i.mark.tags().is_empty() && matches!(i.shape, Shape::Line { .. })
    });
    assert_eq!(grounds.count(), 1);
    let told = words(&joined(&scenes), Layer::Note).any(|(_, text)| text.contains("once"));
    assert!(told, "the legend says how many");
    // One position less: a tree, and the name of the place.
    let tree = drawn(&Loom::sound(&text.replace("s: {position: [1 m, 0 m]}, ", "")));
    assert_clean("tree", &tree);
    assert_eq!(reduction(&tree[0]), None);
    let said: Vec<String> = words(&joined(&tree), Layer::Note).map(|(_, text)| text.to_owned()).collect();
    assert!(said.join(" ").contains("these places have no position: s."), "{said:?}");
}
