//! Each defect drawn on purpose, and its nearest innocent neighbour.

use proptest::prelude::*;

use super::*;
use crate::draw::geometry::{Area, Extent, mm};
use crate::draw::lettering::Lettering;
use crate::draw::mark::{Layer, Mark, TagKind};
use crate::draw::palette::Ink;
use crate::draw::stroke::Stroke;
use crate::draw::symbols;

fn at(x: f64, y: f64) -> Point {
    Point::new(mm(x), mm(y))
}

fn sheet() -> Scene {
    Scene::new(Extent::new(mm(200.0), mm(100.0)))
}

fn wire(name: &str) -> Mark {
    Mark::new(Layer::Conductor).with(TagKind::Conductor, name)
}

fn device(name: &str) -> Mark {
    Mark::new(Layer::Device).with(TagKind::Device, name)
}

fn kinds(scene: &Scene) -> Vec<DefectKind> {
    audit(scene).defects.iter().map(|d| d.kind).collect()
}

fn of(draw: impl FnOnce(&mut Scene)) -> Vec<DefectKind> {
    let mut scene = sheet();
    draw(&mut scene);
    kinds(&scene)
}

#[test]
fn lettering_on_lettering() {
    let label = Mark::new(Layer::Label);
    let pair = |dy: f64| {
        of(|s| {
            s.text(&label, at(10.0, 20.0), "W12", Lettering::SMALL);
            s.text(&label, at(12.0, 20.0 + dy), "W13", Lettering::SMALL);
        })
    };
    assert_eq!(pair(2.0), [DefectKind::TextOnText]);
    assert_eq!(pair(2.7), [], "a line below");
}

#[test]
fn lettering_on_a_line_even_its_own() {
    let on = |dy: f64, layer: Layer| {
        of(|s| {
            let mark = wire("W1").on(layer);
            s.line(&mark, at(1.0, 50.0), at(100.0, 50.0), Stroke::WIDE);
            s.text(&mark.on(Layer::Label), at(10.0, 50.0 - dy), "W1", Lettering::SMALL);
        })
    };
    assert_eq!(on(-1.0, Layer::Conductor), [DefectKind::TextOnLine]);
    assert_eq!(on(0.3, Layer::Structure), [DefectKind::TextOnLine], "nearer than 0.15 mm clear");
    assert_eq!(on(0.5, Layer::Conductor), []);
    let slanted = of(|s| {
        s.line(&wire("W1"), at(1.0, 1.0), at(99.0, 99.0), Stroke::THIN);
        s.text(&Mark::new(Layer::Label), at(60.0, 40.0), "beside", Lettering::SMALL);
    });
    assert_eq!(slanted, [], "inside the slanted line's rectangle, but beside the line");
}

#[test]
fn a_plate_hides_the_line_below() {
    let plated = |plate: Layer| {
        of(|s| {
            s.line(&wire("W1").on(Layer::Structure), at(1.0, 50.0), at(100.0, 50.0), Stroke::BAR);
            let area = Area::between(at(8.0, 46.0), at(30.0, 54.0));
            s.rect(&Mark::new(plate), area, Stroke::THIN.filled(Ink::WHITE));
            s.text(&Mark::new(Layer::Label), at(10.0, 51.0), "R1", Lettering::SMALL);
        })
    };
    assert_eq!(plated(Layer::Label), []);
    assert_eq!(plated(Layer::Underlay), [DefectKind::TextOnLine], "the underlay is drawn before the line");
}

#[test]
fn lettering_on_a_plate_stands_clear_of_its_edge() {
    let found = of(|s| {
        s.line(&wire("W1").on(Layer::Structure), at(1.0, 50.0), at(100.0, 50.0), Stroke::BAR);
        for (i, words) in ["R1", "Ågjpq (|)", "___", "x"].iter().enumerate() {
            let centre = at(15.0 + 20.0 * i as f64, 50.0);
            let label = Mark::new(Layer::Label);
            let area = s.plate(&label, centre, words, Lettering::SMALL, Stroke::THIN.filled(Ink::WHITE));
            assert!(area.holds(centre));
        }
    });
    assert_eq!(found, []);
}

#[test]
fn a_text_across_the_edge_of_its_ground() {
    let zone = |x: f64| {
        of(|s| {
            s.rect(&Mark::new(Layer::Underlay), Area::between(at(1.0, 0.0), at(50.0, 50.0)), Ink::SAND);
            s.text(&Mark::new(Layer::Label), at(x, 20.0), "engine", Lettering::SMALL);
        })
    };
    assert_eq!(zone(10.0), []);
    assert_eq!(zone(45.0), [DefectKind::TextOnLine]);
}

#[test]
fn a_label_in_a_strange_box() {
    let label = |owner: &str| {
        of(|s| {
            let area = Area::between(at(10.0, 10.0), at(50.0, 50.0));
            s.rect(&device("GAUGE"), area, Stroke::MEDIUM.filled(Ink::BONE));
            s.text(&device(owner).on(Layer::Label), at(20.0, 20.0), owner, Lettering::SMALL);
        })
    };
    assert_eq!(label("GAUGE"), []);
    assert_eq!(label("CHT1"), [DefectKind::TextInForeignBox]);
}

#[test]
fn conductors_in_one_lane() {
    let lanes = |dy: f64, other: &str| {
        of(|s| {
            s.line(&wire("W1"), at(1.0, 50.0), at(100.0, 50.0), Stroke::WIDE);
            s.line(&wire(other), at(60.0, 50.0 + dy), at(160.0, 50.0 + dy), Stroke::WIDE);
        })
    };
    assert_eq!(lanes(0.0, "W2"), [DefectKind::SharedLane]);
    assert_eq!(lanes(1.1, "W2"), [DefectKind::CrowdedLane]);
    assert_eq!(lanes(1.3, "W2"), []);
    assert_eq!(lanes(0.0, "W1"), [], "a conductor's core lies on its own edge");
    let one_after_another = of(|s| {
        s.line(&wire("W1"), at(1.0, 50.0), at(50.0, 50.0), Stroke::WIDE);
        s.line(&wire("W2"), at(52.0, 50.0), at(99.0, 50.0), Stroke::WIDE);
    });
    assert_eq!(one_after_another, []);
}

#[test]
fn crossings_are_counted_and_no_fault() {
    let mut scene = sheet();
    for i in 0..4 {
        let x = 10.0 + 10.0 * f64::from(i);
        scene.line(&wire(&format!("W{i}")), at(x, 10.0), at(x, 60.0), Stroke::WIDE);
        scene.line(&wire(&format!("W{i}")), at(x, 10.0), at(x, 60.0), Stroke::THIN);
    }
    // A point that only divides the line is no bend.
    scene.polyline(&wire("W9"), vec![at(1.0, 30.0), at(20.0, 30.0), at(90.0, 30.0)], Stroke::WIDE);
    let report = audit(&scene);
    assert_eq!((report.crossings, report.defects), (4, vec![]));
}

#[test]
fn a_joint_that_is_not_shown() {
    let tee = |dot: bool, end: f64| {
        of(|s| {
            s.line(&wire("W1"), at(1.0, 50.0), at(100.0, 50.0), Stroke::WIDE);
            s.line(&wire("W2"), at(40.0, 10.0), at(40.0, end), Stroke::WIDE);
            if dot {
                symbols::junction(s, &Mark::new(Layer::Symbol), at(40.0, 50.0));
            }
        })
    };
    assert_eq!(tee(false, 50.0), [DefectKind::FalseJoint]);
    assert_eq!(tee(true, 50.0), []);
    assert_eq!(tee(false, 48.0), []);
    let bend = of(|s| {
        s.line(&wire("W1"), at(1.0, 50.0), at(100.0, 50.0), Stroke::WIDE);
        s.polyline(&wire("W2"), vec![at(40.0, 10.0), at(50.0, 50.0), at(60.0, 10.0)], Stroke::WIDE);
    });
    assert_eq!(bend, [DefectKind::FalseJoint]);
}

#[test]
fn a_wire_through_a_box_is_told_from_one_that_ends_there() {
    let through = |end: f64, own: bool| {
        of(|s| {
            let area = Area::between(at(50.0, 10.0), at(80.0, 60.0));
            s.rect(&device("GAUGE"), area, Stroke::MEDIUM.filled(Ink::BONE));
            let mark = if own { wire("W1").with(TagKind::Device, "GAUGE") } else { wire("W1") };
            s.line(&mark, at(1.0, 30.0), at(end, 30.0), Stroke::WIDE);
        })
    };
    assert_eq!(through(50.0, false), []);
    assert_eq!(through(120.0, false), [DefectKind::WireThroughBox]);
    assert_eq!(through(120.0, true), []);
}

#[test]
fn boxes_may_be_nested_but_not_cut() {
    let two = |x: f64| {
        of(|s| {
            s.rect(&device("A"), Area::between(at(10.0, 10.0), at(50.0, 50.0)), Stroke::MEDIUM);
            s.rect(&device("B"), Area::between(at(x, 20.0), at(x + 20.0, 40.0)), Stroke::MEDIUM);
        })
    };
    assert_eq!(two(20.0), []);
    assert_eq!(two(50.0), []);
    assert_eq!(two(40.0), [DefectKind::BoxOnBox]);
}

#[test]
fn the_frame_and_the_title_block_are_kept_free() {
    let mut scene = sheet();
    scene.frame = Some(Area::between(at(20.0, 10.0), at(190.0, 90.0)));
    scene.reserved.push(Area::between(at(100.0, 70.0), at(190.0, 90.0)));
    let note = Mark::new(Layer::Note);
    scene.text(&note, at(30.0, 50.0), "inside", Lettering::SMALL);
    scene.text(&note, at(186.0, 50.0), "outside", Lettering::SMALL);
    scene.text(&note, at(120.0, 80.0), "on the block", Lettering::SMALL);
    scene.text(&Mark::new(Layer::Frame), at(120.0, 88.0), "in the block", Lettering::SMALL);
    scene.text(&Mark::new(Layer::Frame), at(199.0, 9.0), "off the sheet", Lettering::SMALL);
    let found = audit(&scene);
    let told: Vec<(DefectKind, usize)> = found.defects.iter().map(|d| (d.kind, d.first.0)).collect();
    use DefectKind::{OnReservedPlace, OutsideFrame};
    assert_eq!(told, [(OutsideFrame, 1), (OnReservedPlace, 2), (OutsideFrame, 4)], "{found}");
    assert!(found.to_string().contains("note text “outside”"), "{found}");
}

#[test]
fn the_sample_sheet_is_clean() {
    let report = audit(&crate::draw::sample::scene());
    assert_eq!(report.defects, [], "{report}");
}

proptest! {
    /// The bin grid loses nothing that a comparison of all with all finds.
    #[test]
    fn finds_every_overlap(places in prop::collection::vec((0..180_000_i64, 5_000..95_000_i64), 1..60)) {
        let mut scene = sheet();
        for (x, y) in &places {
            let place = Point::new(crate::draw::Mm::from_um(*x), crate::draw::Mm::from_um(*y));
            scene.text(&Mark::new(Layer::Label), place, "W123", Lettering::SMALL);
        }
        let areas: Vec<Area> = scene.items().iter().filter_map(|i| i.bounds()).collect();
        let mut pairs = 0;
        for (i, a) in areas.iter().enumerate() {
            pairs += areas.iter().skip(i + 1).filter(|b| a.overlaps(**b)).count();
        }
        prop_assert_eq!(audit(&scene).count(DefectKind::TextOnText), pairs);
    }
}
