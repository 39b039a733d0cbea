//! The drawing of connector faces, measured: every wired cavity once, mirrored in the small view, nothing on anything else.

use std::collections::BTreeMap;

use fairlead::draw::{Item, Layer, Mm, Point, Scene, Shape, TagKind, audit, faces, mm};
use fairlead::harness::{Harness, PinSite};
use fairlead::parts::library::Library;
use fairlead::pipeline::{self, Resolved};

use crate::generator;
use crate::loom::Loom;

/// Every spec that is shipped.
pub fn shipped() -> Vec<(String, Resolved)> {
    let mut paths = crate::tidy::files_under("harness-specs");
    paths.retain(|p| p.extension().is_some_and(|e| e == "yaml"));
    paths.sort();
    let all: Vec<(String, Resolved)> = paths
        .iter()
        // A part file that lies among the specs is no spec.
        .filter_map(|p| {
            Some((p.file_stem()?.to_string_lossy().into_owned(), pipeline::read(p).unwrap().resolve().ok()?))
        })
        .collect();
    assert!(all.len() >= 4);
    all
}

/// Nothing overlaps, touches or leaves the frame; sheets count themselves.
#[track_caller]
pub fn assert_clean(name: &str, scenes: &[Scene]) {
    for (i, scene) in scenes.iter().enumerate() {
        let report = audit(scene);
        assert_eq!(report.defects, [], "{name} {}: {report}", i + 1);
        let sheet = format!("{}/{}", i + 1, scenes.len());
        assert!(texts(scene).any(|(_, text)| text == sheet), "{name}: sheet {sheet}");
    }
}

pub fn texts(scene: &Scene) -> impl Iterator<Item = (&Item, &str)> {
    scene.items().iter().filter_map(|i| match &i.shape {
        Shape::Text(text) => Some((i, text.words.as_str())),
        _ => None,
    })
}

/// Discs of conductors: filled, on the layer of conductors or symbols, with a conductor as their own tag.
pub fn discs(scene: &Scene, layer: Layer) -> impl Iterator<Item = (&Item, Point, Mm)> {
    scene.items().iter().filter_map(move |i| match i.shape {
        Shape::Circle { centre, radius }
            if i.mark.layer == layer
                && i.paint.fill.is_some()
                && i.mark.tags().first().is_some_and(|t| t.kind == TagKind::Conductor) =>
        {
            Some((i, centre, radius))
        }
        _ => None,
    })
}

fn measure(name: &str, h: &Harness, scenes: &[Scene]) {
    assert_clean(name, scenes);
    every_end_in_a_cavity_once(name, h, scenes);
    for scene in scenes {
        labels_stand_apart(name, scene);
        legend_explains(name, scene);
        every_cavity_in_both_views(name, h, scene);
        both_sides_are_named(name, scene);
    }
}

/// A disc, a label with the mark, letters of the colour: once for each conductor that ends in a cavity.
fn every_end_in_a_cavity_once(name: &str, h: &Harness, scenes: &[Scene]) {
    let mut expected: BTreeMap<(String, String), usize> = BTreeMap::new();
    for c in &h.conductors {
        for pin in [c.from, c.to] {
            if let PinSite::Cavity { .. } = h.pin(pin).site {
                *expected.entry((c.mark.clone(), h.pin(pin).name.clone())).or_default() += 1;
            }
        }
    }
    let mut drawn: BTreeMap<(String, String), usize> = BTreeMap::new();
    for (item, ..) in scenes.iter().flat_map(|s| discs(s, Layer::Conductor)) {
        let id = |kind| item.mark.id(kind).unwrap_or_default().to_owned();
        *drawn.entry((id(TagKind::Conductor), id(TagKind::Cavity))).or_default() += 1;
    }
    assert_eq!(drawn, expected, "{name}");
    for c in &h.conductors {
        for pin in [c.from, c.to].into_iter().filter(|p| matches!(h.pin(*p).site, PinSite::Cavity { .. })) {
            let own = |layer: Layer| {
                let of_it = scenes.iter().flat_map(texts).filter(move |(i, _)| {
                    i.mark.layer == layer
                        && i.mark.tags().first().is_some_and(|t| *t.id == *c.mark)
                        && i.mark.id(TagKind::Cavity) == Some(&h.pin(pin).name)
                });
                of_it.map(|(_, words)| words.to_owned()).collect::<Vec<_>>()
            };
            let row = own(Layer::Note);
            let code = c.colour.value.code();
            assert_eq!(
                row.iter().filter(|w| **w == code).count(),
                1,
                "{name}: {} in the table: {row:?}",
                c.mark
            );
            let label = own(Layer::Label);
            // Only where there are too many cavities the table alone tells what is in them.
            if !label.is_empty() && label != [code.clone()] {
                assert_eq!(label.concat(), format!("{}{code}", c.mark), "{name}");
            } else if name == "four-cylinder" && h.pin(pin).name.starts_with("GAUGE.A.") {
                panic!("{} has room at a face of 25 ways: {label:?}", c.mark);
            }
        }
    }
}

/// Each cavity has its number in both views, and those of the small view lie as in a mirror.
fn every_cavity_in_both_views(name: &str, h: &Harness, scene: &Scene) {
    let mut halves: BTreeMap<String, Vec<(String, Point, Point)>> = BTreeMap::new();
    for item in scene.items() {
        let (Shape::Circle { centre, .. }, Layer::Device) = (&item.shape, item.mark.layer) else { continue };
        let (Some(pin), Some(half)) = (item.mark.id(TagKind::Cavity), item.mark.id(TagKind::Connector))
        else {
            continue;
        };
        let PinSite::Cavity { cavity, .. } = &h.pins.iter().find(|p| p.name == pin).unwrap().site else {
            panic!("{pin}")
        };
        let is_number = |(i, words): &(&Item, &str)| {
            i.mark.layer == Layer::Label && i.mark.id(TagKind::Cavity) == Some(pin) && words == cavity
        };
        // Lettering is centred, so where its baseline's middle stands is where the number is.
        let at = |i: &Item| if let Shape::Text(text) = &i.shape { text.at } else { panic!("no text") };
        let mut numbers: Vec<Point> = texts(scene).filter(is_number).map(|(i, _)| at(i)).collect();
        assert_eq!(numbers.len(), 2, "{name}: {pin}");
        // That of the large view stands over or under its ring.
        numbers.sort_by_key(|p| (p.x - centre.x).abs() + (p.y - centre.y).abs());
        assert!((numbers[0].x - centre.x).abs() < mm(0.6), "{name}: {pin}");
        let known = halves.entry(half.to_owned()).or_default();
        if !known.iter().any(|(k, ..)| k == pin) {
            known.push((pin.to_owned(), *centre, numbers[1]));
        }
    }
    for (half, cavities) in halves {
        let (_, ring, small) = cavities[0];
        for (pin, other_ring, other_small) in &cavities {
            let (dx, dy) = (other_ring.x - ring.x, other_ring.y - ring.y);
            let (sx, sy) = (other_small.x - small.x, other_small.y - small.y);
            let sign = |d: Mm| d.um().signum();
            assert_eq!((sign(sx), sign(sy)), (-sign(dx), sign(dy)), "{name}: {half} {pin}");
        }
    }
}

/// Between labels of wires that stand side by side there is a letter's width: the least advance of a capital, 2 mm at 2.5 mm.
fn labels_stand_apart(name: &str, scene: &Scene) {
    let labels: Vec<(&Item, &str)> = texts(scene)
        .filter(|(i, _)| {
            i.mark.layer == Layer::Label
                && i.mark.id(TagKind::Cavity).is_some()
                && i.mark.tags().first().is_some_and(|t| t.kind == TagKind::Conductor)
        })
        .collect();
    for (n, (a, words)) in labels.iter().enumerate() {
        for (b, other) in &labels[n + 1..] {
            let (first, second) = (a.bounds().unwrap(), b.bounds().unwrap());
            let level = first.min.y < second.max.y && second.min.y < first.max.y;
            if level && a.mark.id(TagKind::Cavity) != b.mark.id(TagKind::Cavity) {
                let gap = (first.min.x - second.max.x).max(second.min.x - first.max.x);
                assert!(gap >= mm(1.9), "{name}: {words} and {other} are {gap} apart");
            }
        }
    }
}

/// Each sign is in the legend of its sheet, and each entry of the legend on the sheet.
fn legend_explains(name: &str, scene: &Scene) {
    let legend: Vec<&str> = texts(scene)
        .filter(|(i, _)| i.mark.layer == Layer::Note && i.mark.tags().is_empty())
        .map(|(_, t)| t)
        .collect();
    let legend = legend.join(" ");
    let own = |i: &&Item| i.mark.layer == Layer::Device && i.mark.id(TagKind::Cavity).is_some();
    let wired = |i: &Item| {
        discs(scene, Layer::Conductor).any(|(d, ..)| d.mark.id(TagKind::Cavity) == i.mark.id(TagKind::Cavity))
    };
    let of = |i: &Item| {
        let all = scene.items().iter().filter(own);
        all.filter(|o| o.mark.id(TagKind::Cavity) == i.mark.id(TagKind::Cavity)).count()
    };
    let cavities: Vec<&Item> = scene.items().iter().filter(own).collect();
    let signs = [
        ("cavity with its wire", discs(scene, Layer::Conductor).next().is_some()),
        ("one-way contact, check", cavities.iter().any(|i| matches!(i.shape, Shape::Rect { .. }))),
        ("closed with a plug", cavities.iter().any(|i| !wired(i) && of(i) > 1)),
        ("empty cavity", cavities.iter().any(|i| !wired(i))),
        ("where the wires enter", texts(scene).any(|(_, t)| t.contains("wire-entry side"))),
    ];
    for (words, used) in signs {
        assert_eq!(legend.contains(words), used, "{name}: {words}: {legend}");
    }
}

fn both_sides_are_named(name: &str, scene: &Scene) {
    let count = |words: &str| texts(scene).filter(|(_, t)| t.contains(words)).count();
    let (entry, mating) = (count("wire-entry side, "), count("mating side, "));
    assert!(entry == mating && entry > 0, "{name}: {entry} and {mating}");
}

#[test]
fn the_examples_are_drawn_clean_and_complete() {
    for (name, r) in shipped() {
        measure(&name, &r.harness, &faces(&r.harness, &r.library, None));
        let banner = Some("BUILT DESPITE FINDINGS: 2 stop. See the findings sheet.");
        assert_clean(&name, &faces(&r.harness, &r.library, banner));
    }
}

/// A3, lying, is the largest sheet of most printers.
#[track_caller]
pub fn assert_printable(name: &str, scenes: &[Scene]) {
    for (i, scene) in scenes.iter().enumerate() {
        let (width, height) = (scene.size.width, scene.size.height);
        assert!(width <= mm(420.0) && height <= mm(297.0), "{name} {}: {width} by {height}", i + 1);
    }
}

#[test]
fn the_examples_are_on_sheets_that_are_printed_in_house() {
    let most = [("as-found", 3), ("four-cylinder", 3), ("six-cylinder", 6), ("workboat", 2)];
    for (name, r) in shipped() {
        let scenes = faces(&r.harness, &r.library, None);
        assert_printable(&name, &scenes);
        let allowed = most.iter().find(|(known, _)| *known == name).map(|(_, sheets)| *sheets);
        assert!(allowed.is_none_or(|most| scenes.len() <= most), "{name}: {} sheets", scenes.len());
        assert_printable(&name, &faces(&r.harness, &r.library, Some("BUILT DESPITE FINDINGS: 2 stop.")));
    }
}

#[test]
fn what_is_the_same_of_small_connectors_is_said_once_and_not_after_them() {
    let (_, r) = shipped().into_iter().find(|(name, _)| name == "six-cylinder").unwrap();
    let scenes = faces(&r.harness, &r.library, None);
    let sheet_of = |wanted: &dyn Fn(&str) -> bool| -> Vec<usize> {
        let found = |(i, scene): (usize, &Scene)| texts(scene).any(|(_, t)| wanted(t)).then_some(i);
        scenes.iter().enumerate().filter_map(found).collect()
    };
    let told = sheet_of(&|t| t == "14 connectors are alike");
    assert_eq!(told.len(), 1, "both halves, on one sheet: {told:?}");
    let faces = sheet_of(&|t| t.starts_with("X-CHT") || t.starts_with("X-EGT"));
    // Where wires go is told on sheets before, too.
    let heads = sheet_of(&|t| t == "X-CHT1.plug" || t == "X-TITR.receptacle");
    assert!(!faces.is_empty() && heads.iter().all(|sheet| *sheet >= told[0]), "{told:?} {heads:?}");
}

#[test]
fn generated_harnesses_are_drawn_clean_and_complete() {
    for seed in 1..=50 {
        let loom = Loom::sound(&generator::spec(seed, 2 + (seed as usize * 7) % 45));
        measure(&format!("seed {seed}"), &loom.harness, &faces(&loom.harness, Library::supplied(), None));
    }
}

#[test]
fn one_way_contacts_and_plugs_are_told() {
    let (_, r) = shipped().into_iter().find(|(name, _)| name == "workboat").unwrap();
    let scenes = faces(&r.harness, &r.library, None);
    let said: Vec<&str> = scenes.iter().flat_map(texts).map(|(_, t)| t).collect();
    assert!(said.iter().any(|t| t.contains("one-way contacts")), "{said:?}");
    assert!(said.contains(&"plug") && said.iter().any(|t| t.contains("in each empty cavity")));
    // A plug and a square are shapes, not colours only; every wired cavity has two rings, only these have a square.
    let signs = |pin: &str| {
        let of_it = |i: &&Item| i.mark.layer == Layer::Device && i.mark.id(TagKind::Cavity) == Some(pin);
        let own: Vec<&Item> = scenes.iter().flat_map(Scene::items).filter(of_it).collect();
        let squares = own.iter().filter(|i| matches!(i.shape, Shape::Rect { .. })).count();
        let circles = own.iter().filter(|i| matches!(i.shape, Shape::Circle { .. })).count();
        (squares, circles)
    };
    assert_eq!((signs("GAUGE.A.1"), signs("GAUGE.A.2")), ((1, 1), (0, 2)));
}

/// Red is plus on other wires of the same face: where thermocouples are connected, plus and minus are said in letters.
#[test]
fn faces_with_thermocouples_say_which_colour_is_minus() {
    let (_, r) = shipped().into_iter().find(|(name, _)| name == "four-cylinder").unwrap();
    let told = "⚠ type K by ASTM E230 / ANSI MC96.1: YE plus, RD minus";
    let scenes = faces(&r.harness, &r.library, None);
    let said: Vec<(&Item, &str)> =
        scenes.iter().flat_map(texts).filter(|(_, t)| told.starts_with(t)).collect();
    let of: Vec<Option<&str>> = said.iter().map(|(i, _)| i.mark.id(TagKind::Connector)).collect();
    assert!(of.contains(&Some("GAUGE.A")) && !of.contains(&Some("GAUGE.B")), "{said:?}");
}

/// Only connectors that leave out what they have in common are counted as alike; each tells its gauge.
#[test]
fn small_connectors_tell_their_gauge_and_large_ones_shelter_nobody() {
    let (_, r) = shipped().into_iter().find(|(name, _)| name == "four-cylinder").unwrap();
    let scenes = faces(&r.harness, &r.library, None);
    let said: Vec<(&Item, &str)> = scenes.iter().flat_map(texts).collect();
    assert!(!said.iter().any(|(_, t)| t.contains("connectors are alike")));
    // In the table of the large ones, beside the words of the view on the small one.
    for name in ["OILP.A", "RPMR.A"] {
        let of = |words: &str| {
            said.iter().any(|(i, t)| i.mark.id(TagKind::Connector) == Some(name) && t.contains(words))
        };
        assert!(of("22 AWG") && of("sealed-3-plug"), "{name}");
    }
    let views = said.iter().filter(|(_, t)| t.starts_with("wire-entry side") && t.ends_with("; 22 AWG"));
    assert_eq!(views.count(), 1);
}

#[test]
fn marks_of_any_length_are_drawn_clean() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/harness-specs/four-cylinder.yaml");
    let text = std::fs::read_to_string(path).unwrap();
    for pattern in ["{circuit}-{number}", "{circuit}{circuit}{circuit}-{number}{segment}", "{number}"] {
        let text = text.replace(
            "  default-wire: etfe-22",
            &format!("  default-wire: etfe-22\n  wire-marks: {{pattern: \"{pattern}\"}}"),
        );
        let loom = Loom::read(&text);
        measure(pattern, &loom.harness, &faces(&loom.harness, Library::supplied(), None));
    }
}

#[test]
fn a_harness_without_connectors_has_no_such_drawing() {
    let loom = Loom::read(
        "fairlead: 1\nharness: {title: Nothing, drawing: T-0, supply: 14 V, default-wire: etfe-22}\n",
    );
    assert_eq!(faces(&loom.harness, Library::supplied(), None), []);
}
