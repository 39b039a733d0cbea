//! Specs in, wiring drawings out: clean, complete, and joined as the harness is.

use std::collections::BTreeMap;
use std::path::PathBuf;

use fairlead::draw::wiring::{WiringSheet, wiring};
use fairlead::draw::{Area, Ink, Layer, Point, Scene, Shape, TagKind, audit, mm};
use fairlead::harness::{Harness, PinSite};
use fairlead::pipeline;

use crate::generator;
use crate::loom::Loom;

fn shipped() -> Vec<(String, Harness, Scene)> {
    let mut paths: Vec<PathBuf> = std::fs::read_dir(concat!(env!("CARGO_MANIFEST_DIR"), "/harness-specs"))
        .unwrap()
        .map(|e| e.unwrap().path())
        .filter(|p| p.is_file())
        .collect();
    paths.sort();
    let mut out = Vec::new();
    for path in paths {
        // A part file that lies among the specs is no spec.
        let Ok(read) = pipeline::read(&path).unwrap().resolve() else { continue };
        let scene = wiring(&read.harness, &read.library, &read.routing, &WiringSheet::default());
        out.push((path.file_stem().unwrap().to_string_lossy().into_owned(), read.harness, scene));
    }
    assert!(out.len() >= 4);
    out
}

fn drawn(loom: &Loom, banner: Option<&str>) -> Scene {
    let with = WiringSheet { banner: banner.map(str::to_owned), ..WiringSheet::default() };
    wiring(&loom.harness, fairlead::parts::library::Library::supplied(), &loom.routing, &with)
}

/// Lines of each conductor, by its mark: those that lie on one another (edge, core, tracer) once.
fn lines(scene: &Scene) -> BTreeMap<String, Vec<Vec<Point>>> {
    let mut out: BTreeMap<String, Vec<Vec<Point>>> = BTreeMap::new();
    for item in scene.items().iter().filter(|i| i.mark.layer == Layer::Conductor) {
        let mark = item.mark.id(TagKind::Conductor).expect("a conductor without its mark").to_owned();
        let Shape::Polyline { points, closed: false } = &item.shape else { panic!("{mark} is no line") };
        let lines = out.entry(mark).or_default();
        if !lines.contains(points) {
            lines.push(points.clone());
        }
    }
    out
}

/// Boxes drawn for each pin.
fn cells(scene: &Scene) -> BTreeMap<String, Vec<Area>> {
    let mut out: BTreeMap<String, Vec<Area>> = BTreeMap::new();
    for item in scene.items().iter().filter(|i| i.mark.layer == Layer::Device) {
        if let (Some(pin), Shape::Rect { area, .. }) = (item.mark.id(TagKind::Cavity), &item.shape) {
            out.entry(pin.to_owned()).or_default().push(*area);
        }
    }
    out
}

/// Ovals drawn for each screen.
fn screens(scene: &Scene) -> BTreeMap<String, Vec<Area>> {
    let mut out: BTreeMap<String, Vec<Area>> = BTreeMap::new();
    for item in scene.items().iter().filter(|i| i.mark.layer == Layer::Symbol) {
        if let (Some(cable), Shape::Rect { area, .. }) = (item.mark.id(TagKind::Cable), &item.shape) {
            out.entry(cable.to_owned()).or_default().push(*area);
        }
    }
    out
}

/// Faults of a drawing measured against the harness by coordinates alone.
fn faults(h: &Harness, scene: &Scene) -> Vec<String> {
    let (lines, cells, screens) = (lines(scene), cells(scene), screens(scene));
    let mut faults = Vec::new();
    let on_edge = |area: &Area, p: Point| area.grown(mm(0.01)).holds(p) && !area.grown(mm(-0.01)).holds(p);
    for c in &h.conductors {
        let Some([line]) = lines.get(&c.mark).map(Vec::as_slice) else {
            faults.push(format!("{} is drawn {} times", c.mark, lines.get(&c.mark).map_or(0, Vec::len)));
            continue;
        };
        for (pin, end) in [(c.from, line.first()), (c.to, line.last())] {
            let end = *end.unwrap();
            let name = &h.pin(pin).name;
            let places = match h.pin(pin).site {
                PinSite::Screen(cable) => screens.get(&h.cable(cable).name),
                _ => cells.get(name),
            };
            if !places.is_some_and(|areas| areas.iter().any(|a| on_edge(a, end))) {
                faults.push(format!("{} does not end at {name} but at {end:?}", c.mark));
            }
        }
        for pair in line.windows(2) {
            if pair[0].x != pair[1].x && pair[0].y != pair[1].y {
                faults.push(format!("{} runs at a slant", c.mark));
            }
        }
        let texts = |words: &str| -> Vec<Area> {
            let own = scene.items().iter().filter(|i| i.mark.id(TagKind::Conductor) == Some(&c.mark));
            own.filter_map(|i| match &i.shape {
                Shape::Text(t) if t.words == words => Some(t.area()),
                _ => None,
            })
            .collect()
        };
        let (marks, makes) = (texts(&c.mark), texts(&format!("{} {}", c.gauge, c.colour.value.code())));
        // A short straight conductor has one label; on all others one stands near each end.
        let short = line.len() == 2 && line[0].distance(line[1]) < mm(130.0) && marks.len() == 1;
        let near = |p: Option<&Point>| {
            let around = p.map(|p| Area::between(*p, *p).grown(mm(45.0)));
            marks.iter().any(|m| around.is_some_and(|a| a.overlaps(*m)))
        };
        if marks.len() != makes.len() || !(short || near(line.first()) && near(line.last())) {
            faults.push(format!("{} is not labelled near both ends", c.mark));
        }
    }
    if lines.len() != h.conductors.len() {
        faults.push(format!("{} conductors drawn, {} in the harness", lines.len(), h.conductors.len()));
    }
    for device in &h.devices {
        let named = |i: &&fairlead::draw::Item| {
            i.mark.id(TagKind::Device) == Some(&device.name) && matches!(i.shape, Shape::Text(_))
        };
        if scene.items().iter().find(named).is_none() {
            faults.push(format!("{} is not drawn", device.name));
        }
    }
    faults
}

#[track_caller]
fn assert_clean(name: &str, h: &Harness, scene: &Scene) {
    let report = audit(scene);
    assert_eq!(report.defects, [], "{name}: {report}");
    assert_eq!(faults(h, scene), [] as [&str; 0], "{name}");
    assert_eq!(through_walls(scene), [] as [&str; 0], "{name}");
}

/// Conductors that do not keep to the openings of a wall.
fn through_walls(scene: &Scene) -> Vec<String> {
    let is_wall = |i: &&fairlead::draw::Item| {
        i.mark.layer == Layer::Structure
            && i.mark.id(TagKind::Hole).is_none()
            && i.paint.fill == Some(Ink::SLATE)
    };
    let walls: Vec<Area> = scene.items().iter().filter(is_wall).filter_map(|i| i.bounds()).collect();
    let mut out = Vec::new();
    for (mark, lines) in lines(scene) {
        for pair in lines.iter().flat_map(|l| l.windows(2)) {
            let piece = Area::between(pair[0], pair[1]).grown(mm(0.45));
            if walls.iter().any(|w| w.overlaps(piece)) {
                out.push(mark.clone());
            }
        }
    }
    out
}

#[test]
fn shipped_specs_are_drawn_clean_and_as_they_are_joined() {
    for (name, h, scene) in shipped() {
        assert_clean(&name, &h, &scene);
    }
}

#[test]
fn generated_harnesses_are_drawn_clean_and_as_they_are_joined() {
    for (seed, conductors) in [(1, 2), (2, 9), (3, 23), (4, 41), (5, 60), (6, 77), (7, 150), (8, 260)] {
        let loom = Loom::sound(&generator::spec(seed, conductors));
        assert_clean(&format!("seed {seed}"), &loom.harness, &drawn(&loom, None));
    }
}

#[test]
fn specs_with_faults_are_drawn_clean_too() {
    let rules = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/rules");
    let mut drawn_ones = 0;
    for rule in std::fs::read_dir(rules).unwrap() {
        for file in std::fs::read_dir(rule.unwrap().path()).unwrap() {
            let path = file.unwrap().path();
            if path.extension().is_some_and(|e| e == "yaml")
                && let Ok(read) = pipeline::read(&path).unwrap().resolve()
            {
                let with =
                    WiringSheet { banner: Some("BUILT DESPITE FINDINGS".into()), ..WiringSheet::default() };
                let scene = wiring(&read.harness, &read.library, &read.routing, &with);
                assert_clean(&path.to_string_lossy(), &read.harness, &scene);
                drawn_ones += 1;
            }
        }
    }
    assert!(drawn_ones > 50);
}

#[test]
fn the_same_harness_gives_the_same_drawing() {
    let text = generator::spec(11, 90);
    assert_eq!(drawn(&Loom::sound(&text), Some("BANNER")), drawn(&Loom::sound(&text), Some("BANNER")));
}

#[test]
fn a_connector_in_a_wall_and_a_way_past_a_zone_are_drawn_clean() {
    let loom = Loom::sound(include_str!("../draw/wall_connector.yaml"));
    let scene = drawn(&loom, None);
    assert_clean("wall connector", &loom.harness, &scene);
    // The zones stand in the order in which they are reached, each right of the one before.
    let left = |zone: &str| {
        let of_it = scene
            .items()
            .iter()
            .filter(|i| i.mark.id(TagKind::Zone) == Some(zone) && matches!(i.shape, Shape::Text(_)));
        of_it.filter_map(|i| i.bounds()).map(|a| a.min.x).min().expect(zone)
    };
    assert!(left("cabin") < left("engine") && left("engine") < left("wing"));
    // Both halves of the connector stand in the firewall's hole, the plug's wires in the engine compartment.
    let cells = cells(&scene);
    let (plug, receptacle) = (cells["X1.plug.1"][0], cells["X1.receptacle.1"][0]);
    assert!(receptacle.max.x < plug.min.x);
}

#[test]
fn long_names_make_the_drawing_larger_and_nothing_worse() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/harness-specs/four-cylinder.yaml");
    let plain = std::fs::read_to_string(path).unwrap();
    let mut text = plain.clone();
    for (short, long) in [
        ("CHT1", "CYLINDER-HEAD-TEMPERATURE-PROBE-OF-THE-FIRST-CYLINDER"),
        ("FH1", "THE-UPPER-HOLE-OF-THE-FIREWALL-BEHIND-THE-BATTERY"),
        ("GAUGE-CB", "BREAKER-OF-THE-ENGINE-GAUGE-IN-THE-SECOND-ROW"),
        ("SCREENS", "screens-of-all-cables-at-one-stud-behind-the-panel"),
        ("cyl-1", "the-first-cylinder-on-the-left-in-front"),
        (
            "Engine compartment",
            "Everything in front of the firewall, the accessory case and the lower cowling too",
        ),
        (
            "Firewall, stainless steel",
            "Firewall of stainless steel with a blanket on its engine side and a shelf on the other",
        ),
    ] {
        text = text.replace(short, long);
    }
    let loom = Loom::read(&text);
    let scene = drawn(&loom, Some(&"BUILT DESPITE FINDINGS: ".repeat(12)));
    assert_clean("long names", &loom.harness, &scene);
}

#[test]
fn zones_of_one_column_do_not_mix() {
    for (name, h, scene) in shipped() {
        let grounds: Vec<(String, Area)> = scene
            .items()
            .iter()
            .filter(|i| i.mark.layer == Layer::Underlay)
            .filter_map(|i| Some((i.mark.id(TagKind::Zone)?.to_owned(), i.bounds()?)))
            .collect();
        for (pin, areas) in cells(&scene) {
            let device = h.pins.iter().find(|p| p.name == pin).map(|p| h.device(p.device)).expect("a pin");
            let place = device.lead_ends_at.map(|p| p.value).or(device.place);
            let zones: Vec<&str> =
                place.map_or(vec![], |p| h.place(p).zones.iter().map(|z| h.zone(*z).name.as_str()).collect());
            // What sits between zones may be drawn in either of them.
            if let [zone] = zones.as_slice() {
                let inside = |area: &Area| grounds.iter().any(|(n, g)| n == zone && g.contains(*area));
                assert!(areas.iter().all(inside), "{name}: {pin} is not drawn in {zone}");
            }
        }
    }
}

#[test]
fn specs_that_lose_lines_are_drawn_clean_too() {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/harness-specs");
    for (seed, name) in (1_u64..).zip(["four-cylinder", "workboat", "as-found"].repeat(5)) {
        let text = std::fs::read_to_string(format!("{folder}/{name}.yaml")).unwrap();
        let mut state = seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1;
        let mut keep = |line: &&str| {
            // xorshift64, Marsaglia 2003; only entries that are whole in one line can go.
            state ^= state << 13;
            state ^= state >> 7;
            state ^= state << 17;
            !(line.starts_with("  ") && line.trim_end().ends_with('}')) || state % 5 != 0
        };
        let left: Vec<&str> = text.lines().filter(|l| keep(l)).collect();
        let loom = Loom::read(&left.join("\n"));
        assert_clean(&format!("{name} {seed}"), &loom.harness, &drawn(&loom, None));
    }
}

#[test]
fn a_spec_without_circuits_or_without_anything_is_a_sheet_all_the_same() {
    let head =
        "fairlead: 1\nharness: {title: Nothing yet, drawing: T-0, supply: 14 V, default-wire: etfe-22}\n";
    let devices =
        "equipment: {GAUGE: {part: engine-gauge-4, at: panel}, LAMP: {part: alert-lamp, at: roof}}\n";
    for text in [head.to_owned(), format!("{head}{devices}")] {
        let loom = Loom::read(&text);
        assert_clean(&text, &loom.harness, &drawn(&loom, None));
    }
}

#[test]
fn conductors_of_the_examples_run_straight_and_seldom_cross() {
    for (name, h, scene) in shipped() {
        let bends: usize = lines(&scene).values().flatten().map(|l| l.len() - 2).sum();
        assert!(bends <= h.conductors.len(), "{name}: {bends} bends in {} conductors", h.conductors.len());
        let crossings = audit(&scene).crossings;
        assert!(crossings * 8 <= h.conductors.len(), "{name}: {crossings} crossings");
    }
}
