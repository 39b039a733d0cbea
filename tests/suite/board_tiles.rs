//! The boards in pages that are glued together, measured: each page shows what it says, crosses of neighbours stand on the
//! same points of the board, and on nothing that is drawn.

use std::collections::{BTreeMap, BTreeSet};

use fairlead::draw::board::{OVERLAP, Tile, tiles, window as window_of};
use fairlead::draw::{Area, Board, Item, Layer, Mm, Paper, Point, Scene, Shape, audit, mm};
use fairlead::parts::library::Library;

use crate::board::{drawn, traced};
use crate::faces::{shipped, texts};
use crate::generator;
use crate::loom::Loom;

/// The pages of one board.
fn pages_join(name: &str, board: &Board) {
    for paper in Paper::ALL {
        let pages = tiles(board, paper, Some("BUILT DESPITE FINDINGS: 2 stop. See the findings sheet."));
        let size = paper.lying().size;
        // Where a page shows the board: the way from board to page, found by the items themselves.
        let mut shown: BTreeMap<String, (Area, Mm, Mm)> = BTreeMap::new();
        for page in pages.iter().map(|tile| &tile.scene) {
            assert_eq!(page.size, size, "{name}");
            has_a_ruler(name, page);
            let sheet = Area::at(Point::default(), size);
            for item in page.items().iter().filter(|i| i.mark.layer == Layer::Note) {
                let area = item.bounds().unwrap();
                assert!(sheet.grown(mm(-4.0)).contains(area), "{name}: {:?} leaves the page", item.shape);
            }
            assert!(texts(page).all(|(_, t)| !t.is_empty()));
        }
        for Tile { name: own, scene: page } in &pages[1..] {
            // What stands around the window touches nothing.
            let report = audit(page);
            assert_eq!(report.defects, [], "{name} {own}: {report}");
            let window = page.clip.expect("a window");
            assert_eq!(window, window_of(paper));
            let written = texts(page).find(|(i, _)| i.mark.layer == Layer::Note).unwrap().1;
            assert_eq!(written, own, "{name}");
            for (item, words) in texts(page).filter(|(i, _)| i.mark.layer.is_of_drawing()) {
                let seen = item.bounds().unwrap().overlaps(window);
                assert!(seen, "{name}: {words} is on {own} and out of its window");
            }
            // An item that is on the board only once: the same mark, drawn in the same size.
            let twin = |item: &Item| {
                let bounds = item.bounds()?;
                let same = |i: &&Item| i.mark == item.mark && i.paint == item.paint;
                let twins = board.scene.items().iter().filter(same).filter_map(Item::bounds);
                let twins: Vec<Area> = twins.filter(|b| b.extent() == bounds.extent()).collect();
                (twins.len() == 1).then(|| (twins[0].min.x - bounds.min.x, twins[0].min.y - bounds.min.y))
            };
            let of_board = page.items().iter().filter(|i| !i.mark.tags().is_empty());
            let (dx, dy) =
                of_board.into_iter().find_map(twin).unwrap_or_else(|| panic!("{name}: {own} is empty"));
            let area = Area { min: window.min.by(dx, dy), max: window.max.by(dx, dy) };
            assert_eq!(shown.insert(own.clone(), (area, dx, dy)), None, "{name}: {own} twice");
        }
        covers(name, board, &shown);
        crosses_coincide(name, &pages, &shown);
    }
}

/// Exactly 100 mm long, with a stroke for each millimetre.
fn has_a_ruler(name: &str, page: &Scene) {
    let lines: Vec<(Point, Point)> = page
        .items()
        .iter()
        .filter(|i| i.mark.layer == Layer::Note)
        .filter_map(|i| if let Shape::Line { from, to } = i.shape { Some((from, to)) } else { None })
        .collect();
    let base = lines
        .iter()
        .find(|(a, b)| a.y == b.y && b.x - a.x == mm(100.0))
        .unwrap_or_else(|| panic!("{name}: no ruler"));
    let strokes = lines.iter().filter(|(a, b)| a.x == b.x && a.y == base.0.y).map(|(a, _)| a.x - base.0.x);
    assert_eq!(strokes.collect::<BTreeSet<Mm>>(), (0..=100).map(|i| mm(f64::from(i))).collect(), "{name}");
    let svg = fairlead::draw::svg_out::write(page, &fairlead::draw::svg_out::SvgOptions::default());
    let (from, to) = base;
    let told = format!("M{} {}H{}", from.x, from.y, to.x);
    assert!(svg.contains(&told), "{name}: {told}");
    let unit = format!("width=\"{}mm\"", page.size.width);
    assert!(
        svg.contains(&unit)
            && svg.contains(&format!("viewBox=\"0 0 {} {}\"", page.size.width, page.size.height))
    );
}

/// Every point of every middle line and every corner of every word is shown on a page.
fn covers(name: &str, board: &Board, shown: &BTreeMap<String, (Area, Mm, Mm)>) {
    for item in board.scene.items() {
        if matches!(item.mark.layer, Layer::Paper | Layer::Frame | Layer::Note) {
            continue;
        }
        let points: Vec<Point> = match &item.shape {
            Shape::Path(steps) => traced(steps).iter().map(|p| Point::new(mm(p.0), mm(p.1))).collect(),
            Shape::Text(text) => text.area().corners().into(),
            Shape::Polyline { points, .. } => points.clone(),
            Shape::Line { from, to } => vec![*from, *to],
            Shape::Circle { centre, radius } => {
                [(-1, 0), (1, 0), (0, -1), (0, 1)].map(|(x, y)| centre.by(*radius * x, *radius * y)).to_vec()
            }
            Shape::Rect { area, .. } => area.corners().to_vec(),
            Shape::Arc { from, to, .. } => vec![*from, *to],
        };
        for point in points {
            let on = shown.values().any(|(area, ..)| area.holds(point));
            assert!(on, "{name}: {point:?} of {:?} is on no page", item.mark.tags().first());
        }
        // Lettering is whole on a page, or is parted by an upright edge only.
        if let Shape::Text(text) = &item.shape {
            let area = text.area();
            let tall = shown.values().any(|(a, ..)| {
                a.min.y <= area.min.y && a.max.y >= area.max.y && a.min.x < area.max.x && a.max.x > area.min.x
            });
            assert!(tall, "{name}: {}", text.words);
        }
    }
}

/// Middles of the crosses of a page: two slanted lines of equal bounds.
fn crosses(page: &Scene) -> Vec<Area> {
    let slanted = page.items().iter().filter(|i| i.mark.layer == Layer::Note).filter_map(|i| match i.shape {
        Shape::Line { from, to } if from.x != to.x && from.y != to.y => Some(Area::between(from, to)),
        _ => None,
    });
    let mut all: Vec<Area> = slanted.filter(|a| a.width() == mm(6.0) && a.height() == mm(6.0)).collect();
    all.sort_by_key(|a| (a.min, a.max));
    // The one beside the name says what it is.
    let own: Vec<Area> = all
        .chunks(2)
        .map(|two| {
            assert_eq!(two[0], two[1]);
            two[0]
        })
        .collect();
    let window = page.clip.expect("a window");
    let (inside, said): (Vec<Area>, Vec<Area>) = own.into_iter().partition(|a| window.contains(*a));
    assert_eq!(said.len(), usize::from(!inside.is_empty()), "a cross is explained where there are any");
    inside
}

/// Pages that show the same strip share two crosses, on the same points of the board, and far apart; no page has others.
fn crosses_coincide(name: &str, pages: &[Tile], shown: &BTreeMap<String, (Area, Mm, Mm)>) {
    let mut at: BTreeMap<Point, BTreeSet<&str>> = BTreeMap::new();
    for Tile { name: own, scene: page } in &pages[1..] {
        let (_, dx, dy) = shown[own];
        for cross in crosses(page) {
            at.entry(cross.centre().by(dx, dy)).or_default().insert(own);
        }
    }
    assert!(at.values().all(|on| on.len() == 2), "{name}: {at:?}");
    let all: Vec<(&String, &(Area, Mm, Mm))> = shown.iter().collect();
    let mut joins = 0;
    for (i, (a, (first, ..))) in all.iter().enumerate() {
        for (b, (second, ..)) in &all[i + 1..] {
            let beside = first.min.y == second.min.y
                && (first.max.x - second.min.x == OVERLAP || second.max.x - first.min.x == OVERLAP);
            let above = first.min.x == second.min.x
                && (first.max.y - second.min.y == OVERLAP || second.max.y - first.min.y == OVERLAP);
            let shared: Vec<&Point> = at
                .iter()
                .filter(|(_, on)| on.contains(a.as_str()) && on.contains(b.as_str()))
                .map(|(p, _)| p)
                .collect();
            assert_eq!(shared.len(), if beside || above { 2 } else { 0 }, "{name}: {a} and {b}");
            if let [first, second] = shared[..] {
                let apart = first.distance(*second);
                assert!(apart > mm(60.0), "{name}: {a} and {b}: {apart}");
                joins += 1;
            }
        }
    }
    assert_eq!(joins * 2, at.len(), "{name}");
}

/// What is seen of an item lies clear of a rectangle: its lettering, and its lines point by point.
fn is_clear(item: &Item, of: Area) -> bool {
    let half = item.paint.stroke.map_or(Mm::ZERO, |s| s.width.width() / 2);
    let xy = |p: &Point| (p.x.as_f64(), p.y.as_f64());
    let points: Vec<(f64, f64)> = match &item.shape {
        Shape::Text(text) => return !text.area().overlaps(of),
        Shape::Circle { .. } | Shape::Rect { .. } | Shape::Arc { .. } => {
            return !item.bounds().is_some_and(|b| b.overlaps(of));
        }
        Shape::Path(steps) => traced(steps),
        Shape::Polyline { points, closed } => {
            points.iter().chain(points.first().filter(|_| *closed)).map(xy).collect()
        }
        Shape::Line { from, to } => vec![xy(from), xy(to)],
    };
    let of = of.grown(half);
    points.windows(2).all(|two| {
        let ((ax, ay), (bx, by)) = (two[0], two[1]);
        let parts = ((bx - ax).hypot(by - ay) / 0.25).ceil().max(1.0);
        (0..=parts as i64).all(|i| {
            let share = i as f64 / parts;
            !of.holds(Point::new(mm(ax + (bx - ax) * share), mm(ay + (by - ay) * share)))
        })
    })
}

/// No cross lies on lettering, a peg or anything filled, on any page of either paper; returns how many crosses there are, and
/// how many lie on lines.
fn crosses_are_clear(name: &str, board: &Board) -> [usize; 2] {
    let mut count = [0, 0];
    for paper in Paper::ALL {
        for tile in &tiles(board, paper, None)[1..] {
            let drawn = || tile.scene.items().iter().filter(|i| i.mark.layer.is_of_drawing());
            for cross in crosses(&tile.scene) {
                let solid = |i: &&Item| matches!(i.shape, Shape::Text(_)) || i.paint.fill.is_some();
                let on = drawn().filter(solid).find(|i| i.bounds().is_some_and(|b| b.overlaps(cross)));
                assert_eq!(on, None, "{name} {paper:?} {}: {cross:?}", tile.name);
                count[0] += 1;
                count[1] += usize::from(drawn().any(|i| !is_clear(i, cross)));
            }
        }
    }
    count
}

#[test]
fn crosses_lie_on_nothing() {
    let mut count = 0;
    for (name, found) in shipped() {
        let (boards, _) = drawn(&found.harness, &found.library, &found.routing, None);
        for board in &boards {
            let [all, on_lines] = crosses_are_clear(&name, board);
            assert_eq!(on_lines, 0, "{name}");
            count += all;
        }
    }
    assert!(count > 500, "{count}");
}

/// Where a leg lies along a whole strip, and the pages leave too little over to shift the cut, a cross lies on its lines.
#[test]
fn crosses_of_generated_boards_lie_on_lines_at_most_where_a_leg_fills_the_strip() {
    let mut count = [0, 0];
    for seed in 1..=25 {
        let conductors = 4 + usize::try_from(seed * 13 % 90).unwrap();
        let loom = Loom::sound(&generator::spec(seed, conductors));
        let (boards, _) = drawn(&loom.harness, Library::supplied(), &loom.routing, None);
        for board in &boards {
            let own = crosses_are_clear(&format!("seed {seed}"), board);
            count = [count[0] + own[0], count[1] + own[1]];
        }
    }
    let [all, on_lines] = count;
    assert!(all > 500 && on_lines * 100 <= all, "{on_lines} of {all}");
}

#[test]
fn pages_join_to_the_board() {
    for (name, found) in shipped() {
        let (boards, _) = drawn(&found.harness, &found.library, &found.routing, None);
        boards.iter().for_each(|board| pages_join(&name, board));
    }
}
