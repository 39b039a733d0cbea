//! The routing drawing, measured: of the example specs, and of random structures.

use std::collections::BTreeMap;

use crate::generator::Dice;
use crate::loom::Loom;
use crate::routing_audit::*;
use fairlead::draw::routing::routing_with;
use fairlead::draw::{Area, Item, Layer, Mm, Point, Scene, Shape, TagKind, mm};
use fairlead::graph::Bundles;
use fairlead::harness::Harness;
use fairlead::parts::library::Library;
use fairlead::pipeline;
use fairlead::quantity::Length;

/// What must hold of every routing drawing.
pub fn measure(h: &Harness, scenes: &[Scene], name: &str) {
    crate::faces::assert_clean(name, scenes);
    // What must hold of all of them together: items keep the places of their own sheets.
    let scene = &joined(scenes);
    every_length_once(h, scene, name);
    every_place_once(h, scene, name);
    no_run_crosses(scene, name);
    no_run_lies_in_a_wall(scene, name);
    every_hole_stands_in_its_wall(h, scene, name);
    every_run_lies_in_its_zone(h, scene, name);
    every_name_stands_at_its_own_sign(h, scene, name);
    every_figure_stands_at_its_own_run(scene, name);
    every_table_is_torn_no_more_than_it_must_be(scenes, name);
    what_explains_the_drawing_stands_with_it(scenes, name);
    every_sign_is_explained(h, scenes, name);
}

/// All sheets side by side, as one.
pub fn joined(scenes: &[Scene]) -> Scene {
    let mut all = Scene::default();
    let mut left = Mm::ZERO;
    for scene in scenes {
        all.place(scene, left, Mm::ZERO);
        left += scene.size.width;
    }
    all
}

/// Walls are passed level, through holes.
fn no_run_lies_in_a_wall(scene: &Scene, name: &str) {
    let structure = || scene.items().iter().filter(|i| i.mark.layer == Layer::Structure);
    let of = |item: &&Item, kind| own(item).is_some_and(|(k, _)| k == kind);
    let walls: Vec<_> = structure()
        .filter(|i| of(i, TagKind::Barrier))
        .filter_map(|i| if let Shape::Rect { area, .. } = i.shape { Some(area) } else { None })
        .collect();
    for item in structure().filter(|i| of(i, TagKind::Run)) {
        let Shape::Polyline { points, .. } = &item.shape else { continue };
        for (a, b) in points.iter().zip(points.iter().skip(1)).filter(|(a, b)| a.y != b.y) {
            let half = item.paint.stroke.map_or(Mm::ZERO, |s| s.width.width() / 2);
            let piece = Area::between(*a, *b).grown(half);
            assert!(!walls.iter().any(|w| w.overlaps(piece)), "{name}: {:?} in a wall", own(item));
        }
    }
}

pub fn words(scene: &Scene, layer: Layer) -> impl Iterator<Item = (&Item, &str)> {
    let texts = scene.items().iter().filter_map(|i| match &i.shape {
        Shape::Text(text) => Some((i, text.words.as_str())),
        _ => None,
    });
    texts.filter(move |(i, _)| i.mark.layer == layer)
}

/// The kind and name of what an item is itself.
pub fn own(item: &Item) -> Option<(TagKind, &str)> {
    item.mark.tags().first().map(|t| (t.kind, &*t.id))
}

/// On the drawing and in the table: each run's length once; the table's sum is the sum of the model.
fn every_length_once(h: &Harness, scene: &Scene, name: &str) {
    let units = h.header.units;
    for layer in [Layer::Label, Layer::Note] {
        let mut printed: BTreeMap<&str, Vec<&str>> = BTreeMap::new();
        for (item, text) in words(scene, layer) {
            if let Some((TagKind::Run, run)) = own(item)
                && text.parse::<Length>().is_ok()
            {
                printed.entry(run).or_default().push(text);
            }
        }
        for (i, run) in h.runs.iter().enumerate() {
            let length = run.length.value.show(units);
            let found = printed.remove(run.name.as_str()).unwrap_or_default();
            // A table shows the bundle's diameter as a length too.
            let found = if layer == Layer::Note { &found[..1] } else { &found[..] };
            assert_eq!(found, [length.as_str()], "{name}: run {i} `{}` on layer {layer:?}", run.name);
        }
    }
    let sum: Length = h.runs.iter().map(|r| r.length.value).sum();
    let told: Vec<&str> = words(scene, Layer::Note).map(|(_, text)| text).collect();
    let at = told.iter().position(|t| *t == "all runs").expect("a sum");
    assert_eq!(told[at + 1], sum.show(units), "{name}");
}

/// Each place has one capsule and one name beside it, each hole likewise.
fn every_place_once(h: &Harness, scene: &Scene, name: &str) {
    for place in &h.places {
        let kind = if place.hole.is_some() { TagKind::Hole } else { TagKind::Place };
        let own_item = |i: &&Item| own(i) == Some((kind, place.name.as_str()));
        let capsules = scene.items().iter().filter(own_item).filter(|i| {
            i.mark.layer == Layer::Symbol && i.paint.stroke.is_some() && matches!(i.shape, Shape::Rect { .. })
        });
        assert_eq!(capsules.count(), 1, "{name}: place `{}`", place.name);
        let mut said = words(scene, Layer::Label).filter(|(i, _)| own_item(i)).map(|(_, text)| text);
        let first = said.next().unwrap_or_default();
        assert!(place.name.starts_with(first), "{name}: place `{}` is called `{first}`", place.name);
    }
}

/// The lines of two runs meet under the capsules of places only.
fn no_run_crosses(scene: &Scene, name: &str) {
    let mut pieces: Vec<(&str, Point, Point)> = Vec::new();
    for item in scene.items().iter().filter(|i| i.mark.layer == Layer::Structure) {
        if let (Some((TagKind::Run, run)), Shape::Polyline { points, .. }) = (own(item), &item.shape) {
            pieces.extend(points.iter().zip(points.iter().skip(1)).map(|(a, b)| (run, *a, *b)));
        }
    }
    let places: Vec<_> = scene
        .items()
        .iter()
        .filter(|i| i.mark.layer == Layer::Symbol && i.mark.id(TagKind::Place).is_some())
        .filter_map(|i| i.bounds())
        .collect();
    for (i, (run, a, b)) in pieces.iter().enumerate() {
        for (other, c, d) in pieces.iter().skip(i + 1).filter(|(other, ..)| other != run) {
            if let Some(at) = meet((*a, *b), (*c, *d)) {
                assert!(places.iter().any(|p| p.holds(at)), "{name}: `{run}` meets `{other}` at {at:?}");
            }
        }
    }
}

/// A point that both pieces share.
fn meet((a, b): (Point, Point), (c, d): (Point, Point)) -> Option<Point> {
    let side = |p: Point, q: Point, r: Point| {
        let (px, py) = (i128::from((q.x - p.x).um()), i128::from((q.y - p.y).um()));
        let (rx, ry) = (i128::from((r.x - p.x).um()), i128::from((r.y - p.y).um()));
        (px * ry - py * rx).signum()
    };
    let between = |p: Point, q: Point, r: Point| {
        side(p, q, r) == 0
            && (p.x.min(q.x)..=p.x.max(q.x)).contains(&r.x)
            && (p.y.min(q.y)..=p.y.max(q.y)).contains(&r.y)
    };
    let (c_side, d_side) = (side(a, b, c), side(a, b, d));
    let (a_side, b_side) = (side(c, d, a), side(c, d, b));
    if c_side * d_side < 0 && a_side * b_side < 0 {
        // Close enough to tell where: pieces are level, upright or short.
        return Some(if a.x == b.x { Point::new(a.x, c.y) } else { Point::new(c.x, a.y) });
    }
    let touching = [(a, b, c), (a, b, d)].into_iter().find(|(p, q, r)| between(*p, *q, *r));
    let touching =
        touching.or_else(|| [(c, d, a), (c, d, b)].into_iter().find(|(p, q, r)| between(*p, *q, *r)));
    touching.map(|(_, _, r)| r)
}

pub fn drawn(loom: &Loom) -> Vec<Scene> {
    let library = Library::supplied();
    let bundles = Bundles::of(&loom.harness, library, &loom.routing);
    routing_with(&loom.harness, library, &loom.routing, &bundles, None)
}

#[test]
fn the_examples_are_drawn_without_a_defect() {
    for name in ["four-cylinder", "six-cylinder", "workboat", "as-found"] {
        let path = format!("harness-specs/{name}.yaml");
        let reading = pipeline::read(std::path::Path::new(&path)).unwrap();
        let found = reading.resolve().unwrap_or_else(|bad| panic!("{name}: {:?}", bad.findings));
        let bundles = Bundles::of(&found.harness, &found.library, &found.routing);
        let draw = |banner| routing_with(&found.harness, &found.library, &found.routing, &bundles, banner);
        let scene = draw(None);
        measure(&found.harness, &scene, name);
        assert_eq!(scene, draw(None), "{name}: the same twice");
        measure(&found.harness, &draw(Some("BUILT DESPITE FINDINGS: 2 stop. See the findings sheet.")), name);
        every_conductor_marks_its_way(&found.harness, &found.routing, &joined(&scene));
        every_conductor_can_be_followed(&found.harness, &found.routing, &joined(&scene));
    }
}

/// Selecting a conductor finds every run that it passes.
fn every_conductor_marks_its_way(h: &Harness, routing: &fairlead::graph::Routing, scene: &Scene) {
    for id in h.conductor_ids() {
        let mark = h.conductor(id).mark.as_str();
        let marked: std::collections::BTreeSet<&str> = scene
            .items()
            .iter()
            .filter(|i| i.mark.tags().iter().any(|t| t.kind == TagKind::Conductor && &*t.id == mark))
            .filter_map(|i| i.mark.id(TagKind::Run))
            .collect();
        let path = routing.path_of(h, id).filter(|_| !h.conductor(id).drain);
        let passed = path.iter().flat_map(|p| &p.runs).map(|r| h.run(*r).name.as_str()).collect();
        assert_eq!(marked, passed, "{mark}");
    }
}

/// A structure with two to four zones, up to three holes a barrier, places with names of any length, and runs that
/// close loops inside zones and over two holes.
fn random_structure(seed: u64) -> String {
    use std::fmt::Write;
    let mut dice = Dice::new(seed);
    let zones = dice.between(1, 4);
    let (mut route, mut holes) = (String::new(), vec![String::new(); 4]);
    let mut places: Vec<Vec<String>> = vec![Vec::new(); 4];
    let run = |route: &mut String, dice: &mut Dice, a: &str, b: &str, zone: u64| {
        let extra = match dice.between(0, 9) {
            0 => ", surface: 310 °C, cover: fire-sleeve-10",
            1 => ", beside: [ignition, charging]",
            2 => ", cover: braid-sleeve-6",
            _ => "",
        };
        let length = dice.between(40, 4000);
        _ = writeln!(route, "  - {{from: {a}, to: {b}, zone: z{zone}, length: {length} mm{extra}}}");
    };
    for zone in 0..zones {
        let own = &mut places[zone as usize];
        if zone > 0 {
            // Any zone before this one may be the one beside it.
            let before = dice.between(0, zone - 1);
            for hole in 0..dice.between(1, 3) {
                let name = format!("H{zone}{hole}");
                _ = write!(holes[zone as usize], "{name}: {{bore: 12 mm, max-conductors: 2}}, ");
                own.push(name);
            }
            holes[zone as usize].push_str(&format!("/{before}"));
        }
        for place in 0..dice.between(1, 9) {
            let long =
                if dice.between(0, 6) == 0 { "-behind-the-forward-baffle-beside-the-oil-cooler" } else { "" };
            own.push(format!("p{zone}{place}{long}"));
        }
    }
    for zone in 0..zones {
        let own = places[zone as usize].clone();
        for (i, place) in own.iter().enumerate().skip(1) {
            let to = dice.between(0, i as u64 - 1) as usize;
            run(&mut route, &mut dice, &own[to], place, zone);
        }
        if let Some((_, before)) = holes[zone as usize].split_once('/') {
            let before: u64 = before.parse().unwrap();
            let there = places[before as usize].clone();
            for hole in own.iter().filter(|p| p.starts_with('H')) {
                let at = dice.between(0, there.len() as u64 - 1) as usize;
                run(&mut route, &mut dice, &there[at], hole, before);
            }
        }
        for _ in 0..dice.between(0, 4) {
            let pick = |dice: &mut Dice| dice.between(0, own.len() as u64 - 1) as usize;
            let (a, b) = (pick(&mut dice), pick(&mut dice));
            if a != b {
                run(&mut route, &mut dice, &own[a], &own[b], zone);
            }
        }
    }
    let mut text = format!(
        "fairlead: 1\nharness: {{title: Random, drawing: R-{seed}, supply: 14 V, thermocouple-colours: ansi}}\nzones:\n"
    );
    for zone in 0..zones {
        let hazards = if zone % 2 == 1 { ", hazards: [fuel, oil, exhaust, ignition]" } else { "" };
        _ = writeln!(text, "  z{zone}: {{ambient: {} °C{hazards}}}", 40 + zone * 20);
    }
    let walls: Vec<(usize, (&str, &str))> =
        holes.iter().enumerate().filter_map(|(i, h)| Some((i, h.split_once('/')?))).collect();
    if !walls.is_empty() {
        text.push_str("barriers:\n");
    }
    for (zone, (own, before)) in walls {
        _ = writeln!(text, "  wall{zone}: {{between: [z{before}, z{zone}], holes: {{{own}}}}}");
    }
    _ = write!(
        text,
        "route:\n{route}equipment: {{GAUGE: {{part: engine-gauge-4, at: {}}}}}\nsensors:\n",
        places[0][0]
    );
    let all: Vec<&String> = places.iter().flatten().collect();
    let mut circuits = String::from("circuits:\n");
    // Two pairs: a bundle of two needs no search.
    for probe in 1..=2 {
        let at = all[dice.between(0, all.len() as u64 - 1) as usize];
        _ = writeln!(text, "  CHT{probe}: {{part: cht-bayonet-k, at: {at}}}");
        _ = writeln!(circuits, "  CHT{probe}: {{from: CHT{probe}, to: GAUGE.cht-{probe}}}");
    }
    text + &circuits
}

#[test]
fn random_structures_are_drawn_without_a_defect() {
    for seed in 1..=24 {
        let loom = Loom::read(&random_structure(seed));
        measure(&loom.harness, &drawn(&loom), &format!("seed {seed}"));
    }
}

#[test]
fn generated_test_stands_are_drawn_without_a_defect() {
    for seed in 1..=50 {
        // Packing is most of the work, so few are large.
        let size = if seed % 25 == 0 { 70 } else { 2 + seed as usize % 9 };
        let loom = Loom::read(&crate::generator::spec(seed, size));
        measure(&loom.harness, &drawn(&loom), &format!("generated {seed}"));
    }
}

#[test]
fn the_examples_are_on_sheets_no_larger_than_they_must_be() {
    // The largest format of each; the tables come onto sheets of A3.
    for (name, width) in
        [("four-cylinder", 594.0), ("six-cylinder", 594.0), ("workboat", 594.0), ("as-found", 594.0)]
    {
        let path = format!("harness-specs/{name}.yaml");
        let found = pipeline::read(std::path::Path::new(&path)).unwrap().resolve().unwrap();
        let scenes = routing_with(&found.harness, &found.library, &found.routing, &found.bundles, None);
        for scene in &scenes {
            assert!(scene.size.width <= mm(width), "{name}: {}", scene.size.width);
        }
        assert!(scenes.len() <= 3, "{name}");
    }
}

/// What is said of the clamps of each run, at its length.
#[test]
fn clamps_are_counted_and_those_that_nobody_gave_are_starred() {
    let text = "fairlead: 1\nharness: {title: Two runs, drawing: T-1, supply: 14 V, thermocouple-colours: ansi}\n\
        zones: {a: {ambient: 40 °C}}\n\
        route:\n  - {from: panel, to: post, zone: a, length: 900 mm, clamps: 300 mm}\n  \
        - {from: post, to: far, zone: a, length: 700 mm}\n  - {from: post, to: spare, zone: a, length: 500 mm}\n\
        equipment: {GAUGE: {part: engine-gauge-4, at: panel}}\nsensors: {CHT1: {part: cht-bayonet-k, at: far}}\n\
        circuits: {CHT1: {from: CHT1, to: GAUGE.cht-1}}\n";
    let loom = Loom::read(text);
    let scenes = drawn(&loom);
    measure(&loom.harness, &scenes, "clamps");
    let scene = joined(&scenes);
    let told = |run: &str| {
        let of_it = words(&scene, Layer::Label).filter(|(i, _)| own(i) == Some((TagKind::Run, run)));
        of_it.map(|(_, text)| text.replace('\u{a0}', " ")).find(|text| text.contains("clamps"))
    };
    // 900 mm at 300 mm: both ends and two between; 700 mm at the 24 in (609.6 mm) of AC 43.13-1B par. 11-96a: one between.
    assert_eq!(told("panel-post").as_deref(), Some("4 clamps ≤ 300 mm"));
    assert_eq!(told("post-far").as_deref(), Some("3 clamps*"));
    assert_eq!(told("post-spare"), None, "nothing is laid along it");
    // Each run with clamps carries a band at either end, and one for those between.
    let bands = |run: &str| {
        let of_it = |i: &&Item| i.mark.layer == Layer::Structure && own(i) == Some((TagKind::Run, run));
        scene.items().iter().filter(of_it).filter(|i| matches!(i.shape, Shape::Rect { .. })).count()
    };
    assert_eq!((bands("panel-post"), bands("post-far"), bands("post-spare")), (3, 3, 0));
}

#[test]
fn joints_are_seen_where_they_lie() {
    let found =
        pipeline::read(std::path::Path::new("harness-specs/six-cylinder.yaml")).unwrap().resolve().unwrap();
    let scene = joined(&routing_with(&found.harness, &found.library, &found.routing, &found.bundles, None));
    // Its sign stands in the capsule of its place, and nothing of it is written before the capsule, which would hide it.
    for (kind, name, place) in [
        (TagKind::Connector, "X1", "disconnect"),
        (TagKind::Connector, "X-CHT1", "tc-bracket"),
        (TagKind::Joint, "SP-EXC", "sender-rail"),
    ] {
        let capsule = scene.items().iter().position(|i| {
            i.mark.layer == Layer::Symbol
                && own(i) == Some((TagKind::Place, place))
                && i.paint.stroke.is_some()
        });
        let capsule = capsule.expect(place);
        let area = scene.items()[capsule].bounds().unwrap();
        let of_it = |i: &Item| i.mark.layer == Layer::Symbol && own(i) == Some((kind, name));
        let first = scene.items().iter().position(of_it).expect(name);
        assert!(first > capsule, "{name} is hidden");
        let inside = scene.items().iter().filter(|i| of_it(i) && area.contains(i.bounds().unwrap())).count();
        assert!(inside > 0, "{name} at {place}");
    }
}

/// The runs of a conductor hang together on paper: each ends under the capsule of a place that the next one ends under.
fn every_conductor_can_be_followed(h: &Harness, routing: &fairlead::graph::Routing, scene: &Scene) {
    let mut ends: BTreeMap<&str, Vec<Point>> = BTreeMap::new();
    for item in scene.items().iter().filter(|i| i.mark.layer == Layer::Structure) {
        if let (Some((TagKind::Run, run)), Shape::Polyline { points, .. }) = (own(item), &item.shape) {
            ends.entry(run).or_default().extend(points.first().into_iter().chain(points.last()));
        }
    }
    let capsules: BTreeMap<&str, Area> = scene
        .items()
        .iter()
        .filter(|i| {
            i.mark.layer == Layer::Symbol && matches!(i.shape, Shape::Rect { .. }) && i.paint.stroke.is_some()
        })
        .filter(|i| matches!(own(i), Some((TagKind::Place | TagKind::Hole, _))))
        .filter_map(|i| Some((i.mark.id(TagKind::Place)?, i.bounds()?)))
        .collect();
    let broken: Vec<&str> = scene
        .items()
        .iter()
        .filter(|i| i.mark.layer == Layer::Symbol && matches!(i.shape, Shape::Circle { .. }))
        .filter_map(|i| i.mark.id(TagKind::Run))
        .collect();
    for id in h.conductor_ids().filter(|id| !h.conductor(*id).drain) {
        let Some(path) = routing.path_of(h, id) else { continue };
        for run in &path.runs {
            let run = h.run(*run);
            for place in run.ends {
                let capsule = capsules[h.place(place).name.as_str()];
                let meets = ends[run.name.as_str()].iter().any(|end| capsule.grown(mm(0.1)).holds(*end));
                // A run that is broken off ends at its letter and starts again at the same one.
                let mark = &h.conductor(id).mark;
                assert!(
                    meets || broken.contains(&run.name.as_str()),
                    "{mark}: `{}` misses its end",
                    run.name
                );
            }
        }
    }
}

/// A spacing that is wider than the limit is not passed on: neither the count nor what is printed goes by it, and what is
/// printed is not rounded up past the limit.
#[test]
fn clamps_are_no_further_apart_than_the_limit_whatever_the_spec_says() {
    for (given, said) in [
        ("640 mm", "3 ≤ 609 mm*"),
        ("609.6 mm", "3 ≤ 609 mm"),
        ("24 in", "3 ≤ 609 mm"),
        ("400.9 mm", "3 ≤ 400 mm"),
    ] {
        let text = format!(
            "fairlead: 1\nharness: {{title: One run, drawing: T-1, supply: 14 V, thermocouple-colours: ansi}}\n\
             zones: {{a: {{ambient: 40 °C}}}}\n\
             route:\n  - {{from: panel, to: far, zone: a, length: 700 mm, clamps: {given}}}\n\
             equipment: {{GAUGE: {{part: engine-gauge-4, at: panel}}}}\nsensors: {{CHT1: {{part: cht-bayonet-k, at: far}}}}\n\
             circuits: {{CHT1: {{from: CHT1, to: GAUGE.cht-1}}}}\n"
        );
        let loom = Loom::read(&text);
        let scene = joined(&drawn(&loom));
        let told: Vec<String> = words(&scene, Layer::Note).map(|(_, t)| t.replace('\u{a0}', " ")).collect();
        assert!(told.iter().any(|t| t == said), "{given}: {told:?}");
        let on_run: Vec<String> =
            words(&scene, Layer::Label).map(|(_, t)| t.replace('\u{a0}', " ")).collect();
        assert!(on_run.iter().any(|t| *t == said.replace("3 ", "3 clamps ")), "{given}: {on_run:?}");
        assert!(told.join(" ").contains("at most 609 mm (24 in)"), "the note");
    }
}

/// Two looms that nothing joins, the second of which the spec begins at a hole: it hangs on its panel all the same.
#[test]
fn a_tree_is_never_rooted_at_a_hole() {
    let text = "fairlead: 1\nharness: {title: Two looms, drawing: T-1, supply: 14 V, thermocouple-colours: ansi}\n\
        zones: {desk-1: {ambient: 40 °C}, cell-1: {ambient: 90 °C}, desk-2: {ambient: 40 °C}, cell-2: {ambient: 90 °C}}\n\
        barriers:\n  wall-1: {between: [desk-1, cell-1], holes: {H1: {bore: 12 mm}}}\n  \
        wall-2: {between: [desk-2, cell-2], holes: {H2: {bore: 12 mm}, H3: {bore: 12 mm}}}\n\
        route:\n  - {from: panel-1, to: H1, zone: desk-1, length: 300 mm}\n  \
        - {from: H1, to: cyl-1, zone: cell-1, length: 300 mm}\n  \
        - {from: H2, to: cyl-2, zone: cell-2, length: 300 mm}\n  - {from: H2, to: shelf-2, zone: desk-2, length: 300 mm}\n  \
        - {from: shelf-2, to: panel-2, zone: desk-2, length: 300 mm}\n\
        equipment:\n  G1: {part: engine-gauge-4, at: panel-1}\n  G2: {part: engine-gauge-4, at: panel-2}\n\
        sensors:\n  CHT1: {part: cht-bayonet-k, at: cyl-1}\n  CHT2: {part: cht-bayonet-k, at: cyl-2}\n\
        circuits:\n  CHT1: {from: CHT1, to: G1.cht-1}\n  CHT2: {from: CHT2, to: G2.cht-1}\n";
    let loom = Loom::read(text);
    let scenes = drawn(&loom);
    measure(&loom.harness, &scenes, "two looms");
    let scene = joined(&scenes);
    let x = |place: &str| {
        let signs = scene.items().iter().filter(|i| {
            i.mark.layer == Layer::Symbol
                && i.paint.stroke.is_some()
                && i.mark.id(TagKind::Place) == Some(place)
        });
        signs.filter_map(Item::bounds).map(|area| area.min.x).min().expect("a sign")
    };
    assert!(x("panel-2") < x("shelf-2") && x("shelf-2") < x("H2") && x("H2") < x("cyl-2"));
}
