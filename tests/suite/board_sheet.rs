//! Sheets of the boards: none higher than it must be; in-line connectors with each half in words and in the drawing.

use std::collections::BTreeMap;

use fairlead::draw::{Area, Board, Ink, Item, Layer, Mm, Point, Scene, Shape, TagKind, mm};
use fairlead::harness::{DeviceClass, Harness, PinSite};
use fairlead::parts::library::Library;

use crate::board::{drawn, traced};
use crate::faces::{shipped, texts};
use crate::generator;
use crate::loom::Loom;

/// Rectangles around what is drawn of a loom, in small parts.
fn parts(scene: &Scene) -> Vec<Area> {
    let mut out = Vec::new();
    for item in scene.items().iter().filter(|i| i.mark.layer.is_of_drawing()) {
        let half = item.paint.stroke.map_or(Mm::ZERO, |s| s.width.width() / 2);
        match &item.shape {
            Shape::Path(steps) => {
                for two in traced(steps).windows(2) {
                    let parts = ((two[1].0 - two[0].0).hypot(two[1].1 - two[0].1) / 5.0).ceil().max(1.0);
                    let at = |i: f64| {
                        let share = i / parts;
                        let (x, y) = (
                            two[0].0 + (two[1].0 - two[0].0) * share,
                            two[0].1 + (two[1].1 - two[0].1) * share,
                        );
                        Point::new(mm(x), mm(y))
                    };
                    out.extend(
                        (0..parts as u32)
                            .map(|i| Area::between(at(i.into()), at(f64::from(i) + 1.0)).grown(half)),
                    );
                }
            }
            _ => out.extend(item.bounds()),
        }
    }
    out
}

/// No board is so high that one of the next lower height would hold it as it is laid out.
fn no_higher_than_it_must_be(name: &str, board: &Board) {
    let scene = &board.scene;
    let height = scene.size.height;
    let lower = [297.0, 420.0, 594.0].map(mm).into_iter().rfind(|h| *h < height);
    let lower = lower.map(|lower| if height > mm(600.0) { height - mm(10.0) } else { lower });
    let series = [210.0, 420.0, 594.0, 841.0].map(mm).contains(&scene.size.width);
    let Some(lower) = lower.filter(|_| !series) else { return };
    let parts = parts(scene);
    let notes = scene.items().iter().filter(|i| i.mark.layer == Layer::Note).filter_map(Item::bounds);
    let foot: Vec<Area> = notes.chain(scene.reserved.first().copied()).collect();
    // How far down the loom might still go before something of it comes too close to what stands below it.
    let reach = |under: &Area| {
        let above =
            parts.iter().filter(|p| p.min.x < under.max.x + mm(8.0) && p.max.x > under.min.x - mm(8.0));
        above.map(|p| under.min.y - p.max.y).min()
    };
    let slack = foot.iter().filter_map(reach).min().unwrap_or(height);
    let lowest = parts.iter().map(|p| p.max.y).max().unwrap_or_default();
    let inside = height - mm(16.0) - lowest;
    let slack = slack.min(inside + mm(8.0));
    // Slanted lines are reckoned with in pieces of two centimetres, which takes up to 14 mm more.
    assert!(height - slack + mm(30.0) > lower, "{name}: {height} is higher than it must be: {slack} is free");
}

/// Each half of an in-line connector that wires end in has a line with as many conductors as end there.
fn halves_are_told(name: &str, h: &Harness, boards: &[Board]) -> usize {
    let mut wires: BTreeMap<(&str, &str), usize> = BTreeMap::new();
    for id in h.conductor_ids() {
        let c = h.conductor(id);
        for pin in [c.from, c.to] {
            let device = h.device(h.pin(pin).device);
            if let (DeviceClass::InLine { .. }, PinSite::Cavity { connector, .. }) =
                (&device.class, &h.pin(pin).site)
            {
                let half = if *connector == 0 { "plug" } else { "receptacle" };
                *wires.entry((&device.name, half)).or_default() += 1;
            }
        }
    }
    for ((device, half), count) in &wires {
        let own = boards
            .iter()
            .flat_map(|b| texts(&b.scene))
            .filter(|(i, _)| i.mark.layer == Layer::Label && i.mark.id(TagKind::Connector) == Some(device));
        let own: Vec<&str> = own.map(|(_, words)| words).collect();
        if own.is_empty() {
            continue;
        }
        let told: usize = own
            .iter()
            .filter_map(|words| {
                words.strip_prefix(half)?.strip_prefix(": ")?.split(' ').next()?.parse::<usize>().ok()
            })
            .sum();
        assert_eq!(told, *count, "{name}: {device}.{half}: {own:?}");
    }
    wires.len()
}

/// Halves are drawn where both or one of them ends, the plug black, the receptacle open, at the end of the tail.
fn halves_are_drawn(name: &str, h: &Harness, boards: &[Board]) -> usize {
    let mut count = 0;
    for device in h.devices.iter().filter(|d| matches!(d.class, DeviceClass::InLine { .. })) {
        let mine =
            |i: &&Item| i.mark.layer == Layer::Symbol && i.mark.tags().iter().any(|t| *t.id == *device.name);
        let items: Vec<&Item> = boards.iter().flat_map(|b| b.scene.items()).filter(mine).collect();
        let tails = items.iter().filter(|i| {
            matches!(i.shape, Shape::Path(_)) && i.bounds().is_some_and(|b| b.width() > mm(40.0))
        });
        let boxes = |fill: Ink| {
            let of = |i: &&&Item| {
                matches!(&i.shape, Shape::Polyline { points, closed: true } if points.len() == 4)
                    && i.paint.fill == Some(fill)
            };
            items.iter().filter(of).count()
        };
        let tails = tails.count();
        // A white box is the place of the labels too.
        let (black, white) = (boxes(Ink::new(52, 60, 68)), boxes(Ink::WHITE));
        assert!(black + white >= tails * 2, "{name}: {}: {black} and {white} for {tails}", device.name);
        count += black;
    }
    count
}

#[test]
fn boards_of_the_shipped_specs_are_no_higher_than_they_must_be() {
    for (name, found) in shipped() {
        for banner in [None, Some("BUILT DESPITE FINDINGS: 2 stop. See the findings sheet.")] {
            let (boards, _) = drawn(&found.harness, &found.library, &found.routing, banner);
            boards.iter().for_each(|board| no_higher_than_it_must_be(&name, board));
            if name == "as-found" {
                assert!(
                    boards.iter().all(|b| b.scene.size.height <= mm(420.0)),
                    "half of a higher one is empty"
                );
            }
        }
    }
}

#[test]
fn both_halves_of_in_line_connectors_are_told_and_drawn() {
    let (mut told, mut black) = (0, 0);
    for (name, found) in shipped() {
        let (boards, _) = drawn(&found.harness, &found.library, &found.routing, None);
        told += halves_are_told(&name, &found.harness, &boards);
        black += halves_are_drawn(&name, &found.harness, &boards);
    }
    for seed in 1..=15 {
        let conductors = 4 + usize::try_from(seed * 17 % 90).unwrap();
        let loom = Loom::sound(&generator::spec(seed, conductors));
        let (boards, _) = drawn(&loom.harness, Library::supplied(), &loom.routing, None);
        boards.iter().for_each(|board| no_higher_than_it_must_be(&format!("seed {seed}"), board));
        told += halves_are_told(&format!("seed {seed}"), &loom.harness, &boards);
        black += halves_are_drawn(&format!("seed {seed}"), &loom.harness, &boards);
    }
    assert!(told > 20 && black > 10, "{told} {black}");
}
