//! Where things stand on a routing drawing, measured on its scenes: holes in their walls, runs in their zones, names and
//! figures at what they belong to, legend, notes and tables where they are looked for.

use crate::routing_drawing::{own, words};
use fairlead::draw::{Area, Item, Layer, Mm, Point, Scene, Shape, TagKind, mm};
use fairlead::harness::Harness;
use fairlead::quantity::Length;

fn rects(scene: &Scene, layer: Layer, kind: TagKind) -> Vec<(&str, Area)> {
    let of = scene.items().iter().filter(|i| i.mark.layer == layer);
    of.filter_map(|i| match (own(i), &i.shape) {
        (Some((own, name)), Shape::Rect { area, .. }) if own == kind => Some((name, *area)),
        _ => None,
    })
    .collect()
}

/// On a tree the sign of each hole stands on the wall that it is bored through, with one of its zones on either side.
pub fn every_hole_stands_in_its_wall(h: &Harness, scene: &Scene, name: &str) {
    let zones = rects(scene, Layer::Underlay, TagKind::Zone);
    if zones.is_empty() {
        return;
    }
    let walls = rects(scene, Layer::Structure, TagKind::Barrier);
    let zone_at = |at: Point| zones.iter().find(|(_, area)| area.holds(at)).map(|(zone, _)| *zone);
    for hole in &h.holes {
        let barrier = h.barrier(hole.barrier);
        let signs = rects(scene, Layer::Symbol, TagKind::Hole).into_iter().filter(|(of, _)| *of == hole.name);
        let area = signs.map(|(_, area)| area).reduce(Area::union).expect("a sign");
        let centre = area.centre();
        let wall = walls.iter().find(|(_, wall)| wall.overlaps(area));
        assert_eq!(wall.map(|(of, _)| *of), Some(barrier.name.as_str()), "{name}: {} in its wall", hole.name);
        // The capsule may reach far beyond the wall, for several runs turn off behind it.
        let wall = wall.unwrap().1;
        let (left, right) =
            (Point::new(wall.min.x - mm(1.0), centre.y), Point::new(wall.max.x + mm(1.0), centre.y));
        let mut found = [zone_at(left), zone_at(right)];
        let mut between = barrier.between.map(|zone| Some(h.zone(zone).name.as_str()));
        found.sort_unstable();
        between.sort_unstable();
        assert_eq!(found, between, "{name}: {} between its zones", hole.name);
    }
}

/// On a tree all of a run lies on the ground of its own zone.
pub fn every_run_lies_in_its_zone(h: &Harness, scene: &Scene, name: &str) {
    let zones = rects(scene, Layer::Underlay, TagKind::Zone);
    if zones.is_empty() {
        return;
    }
    for item in scene.items().iter().filter(|i| i.mark.layer == Layer::Structure) {
        let (Some((TagKind::Run, run)), Shape::Polyline { points, closed: false }) = (own(item), &item.shape)
        else {
            continue;
        };
        let zone = h.runs.iter().find(|r| r.name == run).map(|r| h.zone(r.zone).name.as_str());
        // It ends in the middle of a wall, which belongs to the zone on its right.
        let fields = zones.iter().filter(|(of, _)| Some(*of) == zone).map(|(_, area)| area.grown(mm(2.1)));
        let mut inside = fields.filter(|area| points.iter().all(|p| area.holds(*p)));
        assert!(inside.next().is_some(), "{name}: `{run}` lies outside {zone:?}: {points:?}");
    }
}

fn gap(a: Area, b: Area) -> f64 {
    let apart = |a: (Mm, Mm), b: (Mm, Mm)| (b.0 - a.1).max(a.0 - b.1).max(Mm::ZERO).as_f64();
    apart((a.min.x, a.max.x), (b.min.x, b.max.x)).hypot(apart((a.min.y, a.max.y), (b.min.y, b.max.y)))
}

/// Each place is named beside its own sign, further from any other; a line leads to those few on a map that are not.
pub fn every_name_stands_at_its_own_sign(h: &Harness, scene: &Scene, name: &str) {
    let mut signs: Vec<(Option<&str>, Area)> = Vec::new();
    for item in scene.items().iter().filter(|i| i.mark.layer == Layer::Symbol && i.paint.stroke.is_some()) {
        match (own(item), &item.shape) {
            (Some((TagKind::Place | TagKind::Hole, _)), Shape::Rect { area, .. }) => {
                signs.push((item.mark.id(TagKind::Place), *area));
            }
            (Some((TagKind::Run, _)), Shape::Circle { .. }) => signs.push((None, item.bounds().unwrap())),
            _ => {}
        }
    }
    // On a map all that is written at a place stands beside it as one block, its name at the head.
    let map = !scene.items().iter().any(|i| i.mark.layer == Layer::Underlay);
    for place in &h.places {
        let kind = if place.hole.is_some() { TagKind::Hole } else { TagKind::Place };
        let is_own = |i: &Item| own(i) == Some((kind, place.name.as_str()));
        if scene
            .items()
            .iter()
            .any(|i| i.mark.layer == Layer::Label && is_own(i) && matches!(i.shape, Shape::Line { .. }))
        {
            continue;
        }
        let (item, _) = words(scene, Layer::Label).find(|(i, _)| is_own(i)).expect("a name");
        let written = item.bounds().unwrap();
        let to = |wanted: bool| {
            let of = signs.iter().filter(|(of, _)| (*of == Some(place.name.as_str())) == wanted);
            of.map(|(_, area)| gap(written, *area)).fold(f64::INFINITY, f64::min)
        };
        let (mine, other) = (to(true), to(false));
        let near = if map { f64::INFINITY } else { 6.0 };
        assert!(
            mine < near && mine < other,
            "{name}: `{}` is {mine} mm from its sign, {other} mm from another",
            place.name
        );
    }
}

/// What is written on a run stands nearer to it than to any other; on a map a line leads to it where it does not.
pub fn every_figure_stands_at_its_own_run(scene: &Scene, name: &str) {
    let mut pieces: Vec<(&str, Area, f64)> = Vec::new();
    let mut led: Vec<&str> = Vec::new();
    for item in scene.items() {
        let Some((TagKind::Run, run)) = own(item) else { continue };
        match (&item.shape, item.mark.layer) {
            (Shape::Line { .. }, Layer::Label) => led.push(run),
            (Shape::Polyline { points: corners, closed: false }, Layer::Structure) => {
                let half = item.paint.stroke.map_or(0.0, |stroke| stroke.width.width().as_f64() / 2.0);
                for (a, b) in corners.iter().zip(corners.iter().skip(1)) {
                    let straight = a.x == b.x || a.y == b.y;
                    let length = if straight { 0.0 } else { a.distance(*b).as_f64() };
                    let steps = (length / 0.5).ceil().max(1.0) as i64;
                    let at = |i: i64| a.by((b.x - a.x) * i / steps, (b.y - a.y) * i / steps);
                    pieces.extend((0..steps).map(|i| (run, Area::between(at(i), at(i + 1)), half)));
                }
            }
            _ => {}
        }
    }
    // A block is what follows one another under one mark.
    let mut blocks: Vec<(&str, bool, Area)> = Vec::new();
    let mut last = None;
    for item in scene.items().iter() {
        let (Shape::Text(text), Layer::Label, Some((TagKind::Run, run))) =
            (&item.shape, item.mark.layer, own(item))
        else {
            last = None;
            continue;
        };
        let (area, figure) = (text.area(), text.words.parse::<Length>().is_ok());
        match blocks.last_mut().filter(|_| last == Some(&item.mark)) {
            Some(block) => *block = (run, block.1 || figure, block.2.union(area)),
            None => blocks.push((run, figure, area)),
        }
        last = Some(&item.mark);
    }
    for (run, _, area) in blocks.into_iter().filter(|(run, figure, _)| *figure && !led.contains(run)) {
        let to = |own: bool| {
            let of = pieces.iter().filter(|(of, ..)| (*of == run) == own);
            of.map(|(_, piece, half)| gap(area, *piece) - half).fold(f64::INFINITY, f64::min)
        };
        let (mine, other) = (to(true), to(false));
        assert!(
            mine < 9.0 && mine <= other,
            "{name}: `{run}` is {mine} mm from its figures, another {other} mm"
        );
    }
}

/// A table that has room on one sheet of A3 stands in one part, and no sheet bears the head of one for a row or two.
pub fn every_table_is_torn_no_more_than_it_must_be(scenes: &[Scene], name: &str) {
    for title in ["Runs", "Holes", "What is fitted"] {
        let mut parts = 0;
        for scene in scenes {
            parts += words(scene, Layer::Note)
                .filter(|(_, t)| *t == title || *t == format!("{title}, continued"))
                .count();
        }
        assert!(parts <= most_parts(scenes, title), "{name}: {title} in {parts} parts");
    }
}

/// Parts that a table has at most when each but the last fills a column of a sheet of A3: by the height of its rows.
fn most_parts(scenes: &[Scene], title: &str) -> usize {
    let mut height = Mm::ZERO;
    for scene in scenes {
        let tops: Vec<Point> = words(scene, Layer::Note)
            .filter(|(_, t)| *t == title || *t == format!("{title}, continued"))
            .filter_map(|(i, _)| if let Shape::Text(t) = &i.shape { Some(t.at) } else { None })
            .collect();
        for top in tops {
            // The frame of the part begins at the title's left edge, just below it.
            let frames =
                scene.items().iter().filter(|i| i.mark.layer == Layer::Note).filter_map(|i| match &i.shape {
                    Shape::Rect { area, .. } if area.min.x == top.x && area.min.y > top.y => Some(*area),
                    _ => None,
                });
            height += frames.min_by_key(|area| area.min.y).map_or(Mm::ZERO, |area| area.height());
        }
    }
    // A sheet of A3 has 240 mm beside the title block, and 190 mm over it.
    (height.as_f64() / 175.0).ceil().max(1.0) as usize
}

/// Legend and notes stand on the first sheet, unless it is full of the drawing.
pub fn what_explains_the_drawing_stands_with_it(scenes: &[Scene], name: &str) {
    let bears = |scene: &Scene, title: &str| words(scene, Layer::Note).any(|(_, text)| text == title);
    for title in ["Legend", "Notes"] {
        assert_eq!(scenes.iter().filter(|s| bears(s, title)).count(), 1, "{name}: {title}");
        if scenes.len() > 1 && !bears(&scenes[0], title) {
            let drawn = scenes[0].items().iter().filter(|i| i.mark.layer == Layer::Underlay);
            let area = drawn.filter_map(Item::bounds).reduce(Area::union).unwrap_or_default();
            let sheet = scenes[0].size;
            let share = area.width().as_f64() * area.height().as_f64()
                / (sheet.width.as_f64() * sheet.height.as_f64());
            assert!(share > 0.4, "{name}: {title} is not on the first sheet, which is {share} full");
        }
    }
}

/// What the legend explains is drawn, and the other way round.
pub fn every_sign_is_explained(h: &Harness, scenes: &[Scene], name: &str) {
    let explained = |said: &str| {
        let lines = scenes.iter().flat_map(|s| words(s, Layer::Note)).map(|(_, text)| text);
        lines.collect::<Vec<_>>().join(" ").contains(said)
    };
    let all = || scenes.iter().flat_map(Scene::items);
    let of = |i: &Item, kind| own(i).is_some_and(|(own, _)| own == kind);
    if all().any(|i| i.mark.layer == Layer::Underlay) {
        let holes = all().filter(|i| i.mark.layer == Layer::Symbol && of(i, TagKind::Hole));
        let lining = |i: &&Item| i.paint.stroke.is_none();
        let lined = holes.filter(lining).count();
        assert_eq!(
            lined,
            h.holes.iter().filter(|x| x.lining.is_some()).count() * 2,
            "{name}: two bars for each lining"
        );
        assert_eq!(explained("with its lining"), lined > 0, "{name}");
        assert_eq!(explained("of which no lining"), h.holes.iter().any(|x| x.lining.is_none()), "{name}");
        let chained = all().any(|i| {
            i.mark.layer == Layer::Structure
                && i.mark.tags().is_empty()
                && matches!(i.shape, Shape::Line { .. })
        });
        assert_eq!(explained("that no wall parts"), chained, "{name}");
        let rings = all().any(|i| i.mark.layer == Layer::Symbol && of(i, TagKind::Run));
        assert_eq!(explained("run broken off"), rings, "{name}");
    }
    let bands = all().any(|i| {
        let closed = matches!(i.shape, Shape::Rect { .. } | Shape::Polyline { closed: true, .. });
        i.mark.layer == Layer::Structure && of(i, TagKind::Run) && closed
    });
    let told = explained("clamp: at both ends") || explained("clamps on this run, at both");
    assert_eq!(told, bands, "{name}");
}
