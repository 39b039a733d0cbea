//! Specs in, wiring drawings out: clean, complete, and joined as the harness is.

use std::collections::BTreeMap;
use std::path::PathBuf;

use fairlead::diag::{Sink, Sources};
use fairlead::draw::wiring::{WiringSheet, wiring};
use fairlead::draw::{Area, Layer, Point, Scene, Shape, TagKind, audit, mm};
use fairlead::graph::Routing;
use fairlead::harness::resolve::{Input, resolve};
use fairlead::harness::{Harness, PinSite};
use fairlead::parts::library::Library;
use fairlead::spec::gate;
use fairlead::spec::load::load;
use fairlead::spec::model::Spec;

fn harness(name: &str, text: &str) -> Harness {
    let mut sources = Sources::default();
    let mut sink = Sink::default();
    let file = sources.add(name, text);
    let tree = gate::read(&sources, file, &mut sink).unwrap_or_else(|| panic!("{:?}", sink.findings()));
    let loaded = load::<Spec>(&tree, &mut sink);
    let spec = loaded.value.clone().unwrap_or_else(|| panic!("{:?}", sink.findings()));
    let lost = |name: &str| loaded.lost(name);
    resolve(Input { spec: &spec, tree: &tree, library: Library::supplied(), lost: &lost }, &mut sink)
}

fn drawn(h: &Harness) -> Scene {
    let routing = Routing::lay_out(h);
    wiring(h, Library::supplied(), &routing, &WiringSheet::default())
}

fn shipped() -> Vec<(String, Harness)> {
    let mut paths: Vec<PathBuf> = std::fs::read_dir(concat!(env!("CARGO_MANIFEST_DIR"), "/harness-specs"))
        .unwrap()
        .map(|e| e.unwrap().path())
        .filter(|p| p.extension().is_some_and(|e| e == "yaml"))
        .collect();
    paths.sort();
    assert!(paths.len() >= 3);
    let read = |p: &PathBuf| {
        let name = p.file_stem().unwrap().to_string_lossy().into_owned();
        let h = harness(&name, &std::fs::read_to_string(p).unwrap());
        (name, h)
    };
    paths.iter().map(read).collect()
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
        let label = format!("{}  {}  {}", c.mark, c.gauge, c.colour.value.code());
        let said = scene.items().iter().filter(|i| {
            i.mark.id(TagKind::Conductor) == Some(&c.mark)
                && matches!(&i.shape, Shape::Text(t) if t.words.split_whitespace().eq(label.split_whitespace()))
        });
        if said.count() < 2 {
            faults.push(format!("{} is not labelled at both ends", c.mark));
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

#[test]
fn shipped_specs_are_drawn_clean_and_as_they_are_joined() {
    for (name, h) in shipped() {
        let scene = drawn(&h);
        let report = audit(&scene);
        assert_eq!(report.defects, [], "{name}: {report}");
        assert_eq!(faults(&h, &scene), [] as [&str; 0], "{name}");
    }
}

#[test]
fn conductors_cross_a_barrier_in_its_holes_only() {
    for (name, h) in shipped() {
        let scene = drawn(&h);
        let mut walls: Vec<Area> = Vec::new();
        for item in scene.items() {
            if let (Layer::Structure, Shape::Rect { area, .. }) = (item.mark.layer, &item.shape) {
                walls.push(*area);
            }
        }
        assert!(!walls.is_empty());
        for (mark, lines) in lines(&scene) {
            for pair in lines[0].windows(2) {
                let piece = Area::between(pair[0], pair[1]).grown(mm(0.45));
                assert!(!walls.iter().any(|w| w.overlaps(piece)), "{name}: {mark} runs through a wall");
            }
        }
    }
}

#[test]
fn the_same_harness_gives_the_same_drawing() {
    for (_, h) in shipped() {
        assert_eq!(drawn(&h), drawn(&h));
    }
}
