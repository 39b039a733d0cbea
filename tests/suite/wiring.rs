//! Specs in, wiring drawings out: clean, complete, and joined as the harness is.

use std::collections::{BTreeMap, BTreeSet};
use std::path::PathBuf;

use fairlead::draw::wiring::{Wiring, WiringSheet, wiring};
use fairlead::draw::{Area, Ink, Layer, Mm, Point, Scene, Shape, TagKind, audit, mm};
use fairlead::harness::{DeviceClass, Harness, PinSite};
use fairlead::pipeline;

use crate::generator;
use crate::loom::Loom;
use crate::wiring_signs::{lost_ends, unexplained};

fn shipped() -> Vec<(String, Harness, Vec<Wiring>)> {
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
        let sheets = wiring(&read.harness, &read.library, &read.routing, &WiringSheet::default());
        out.push((path.file_stem().unwrap().to_string_lossy().into_owned(), read.harness, sheets));
    }
    assert!(out.len() >= 4);
    out
}

fn drawn(loom: &Loom, banner: Option<&str>) -> Vec<Wiring> {
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
pub fn cells(scene: &Scene) -> BTreeMap<String, Vec<Area>> {
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

/// The sheets on which each conductor is drawn.
pub fn sheets_of(sheets: &[Wiring]) -> BTreeMap<String, Vec<usize>> {
    let mut out: BTreeMap<String, Vec<usize>> = BTreeMap::new();
    for (i, sheet) in sheets.iter().enumerate() {
        for (mark, lines) in lines(&sheet.scene) {
            out.entry(mark).or_default().extend(lines.iter().map(|_| i));
        }
    }
    out
}

/// Faults of a drawing measured against the harness by coordinates alone.
fn faults(h: &Harness, sheets: &[Wiring]) -> Vec<String> {
    let on = sheets_of(sheets);
    let mut faults = Vec::new();
    let all: Vec<_> = sheets.iter().map(|s| (lines(&s.scene), cells(&s.scene), screens(&s.scene))).collect();
    let on_edge = |area: &Area, p: Point| area.grown(mm(0.01)).holds(p) && !area.grown(mm(-0.01)).holds(p);
    for c in &h.conductors {
        let Some([sheet]) = on.get(&c.mark).map(Vec::as_slice) else {
            faults.push(format!("{} is drawn on sheets {:?}", c.mark, on.get(&c.mark)));
            continue;
        };
        let (scene, (lines, cells, screens)) = (&sheets[*sheet].scene, &all[*sheet]);
        let line = &lines[&c.mark][0];
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
        // A straight conductor on which nothing has room near the other end has one label; on all others one stands near each.
        let wide = marks.iter().zip(&makes).map(|(a, b)| b.max.x - a.min.x).max().unwrap_or_default();
        let short = line.len() == 2 && marks.len() == 1 && no_room(scene, line, wide);
        let near = |p: Option<&Point>| {
            let around = p.map(|p| Area::between(*p, *p).grown(mm(45.0)));
            marks.iter().any(|m| around.is_some_and(|a| a.overlaps(*m)))
        };
        if marks.len() != makes.len() || !(short || near(line.first()) && near(line.last())) {
            faults.push(format!("{} is not labelled near both ends", c.mark));
        }
    }
    if on.len() != h.conductors.len() {
        faults.push(format!("{} conductors drawn, {} in the harness", on.len(), h.conductors.len()));
    }
    for device in &h.devices {
        if !sheets.iter().any(|s| name_of(&s.scene, &device.name).is_some()) {
            faults.push(format!("{} is not drawn", device.name));
        }
    }
    faults
}

/// True where a label of this width has no room over the right end of a level line beside another one over its left end.
fn no_room(scene: &Scene, line: &[Point], wide: Mm) -> bool {
    let (left, right) = (line[0].x.min(line[1].x), line[0].x.max(line[1].x));
    // At each end up to 2 mm in front of it, 7.5 mm for the sign of a cable, and 6 mm between the labels.
    if right - left < wide * 2 + mm(6.0 + 2.0 * 9.5) {
        return true;
    }
    let foot = Point::new(right - mm(9.5) - wide, line[0].y - mm(0.9));
    let label = Area::between(foot, foot.by(wide, mm(-3.4)));
    scene.items().iter().any(|item| match &item.shape {
        Shape::Text(text) => text.area().overlaps(label),
        Shape::Polyline { points, .. } => {
            points.windows(2).any(|p| Area::between(p[0], p[1]).grown(mm(0.5)).overlaps(label))
        }
        Shape::Rect { area, .. } => item.mark.layer == Layer::Symbol && area.overlaps(label),
        _ => false,
    })
}

/// What the lines say to somebody who sees no tags: each line leads from the box of one pin, or from the oval of a screen,
/// to that of another, and the mark that stands over it is its own. Told as names of pins and marks, sorted.
fn as_seen(scene: &Scene) -> Vec<(String, String, String)> {
    let is_line = |i: &&fairlead::draw::Item| i.mark.layer == Layer::Conductor;
    let mut lines: Vec<&[Point]> = Vec::new();
    for item in scene.items().iter().filter(is_line) {
        // Edge, core and tracer lie on one another.
        if let Shape::Polyline { points, .. } = &item.shape
            && !lines.contains(&points.as_slice())
        {
            lines.push(points);
        }
    }
    let on_edge = |area: &Area, p: Point| area.grown(mm(0.01)).holds(p) && !area.grown(mm(-0.01)).holds(p);
    let (cells, screens) = (cells(scene), screens(scene));
    let ends: Vec<(&String, &Area)> =
        cells.iter().chain(&screens).flat_map(|(name, areas)| areas.iter().map(move |a| (name, a))).collect();
    let end = |p: Point| -> String {
        let mut found: Vec<&String> = ends.iter().filter(|(_, a)| on_edge(a, p)).map(|(n, _)| *n).collect();
        found.dedup();
        found.into_iter().map(String::as_str).collect::<Vec<_>>().join(" or ")
    };
    // A mark stands over the level piece that is next below it.
    let mut marks: Vec<BTreeSet<String>> = vec![BTreeSet::new(); lines.len()];
    for item in scene.items().iter().filter(|i| i.mark.layer == Layer::Label) {
        let (Shape::Text(text), Some(_)) = (&item.shape, item.mark.id(TagKind::Conductor)) else { continue };
        let area = text.area();
        let below = lines.iter().enumerate().filter_map(|(i, line)| {
            let under = |p: &&[Point]| {
                let (left, right) = (p[0].x.min(p[1].x), p[0].x.max(p[1].x));
                p[0].y == p[1].y && p[0].y >= area.max.y && left <= area.min.x && area.max.x <= right
            };
            line.windows(2).filter(under).map(|p| (p[0].y, i)).min()
        });
        if let Some((_, line)) = below.min() {
            marks[line].insert(text.words.clone());
        }
    }
    let mut seen: Vec<(String, String, String)> = Vec::new();
    for (line, marks) in lines.iter().zip(marks) {
        let mut pins = [line[0], line[line.len() - 1]].map(end);
        pins.sort();
        let [a, b] = pins;
        seen.push((a, b, marks.into_iter().collect::<Vec<_>>().join(" ")));
    }
    seen.sort();
    seen
}

/// The same as the harness means it.
fn as_meant(h: &Harness) -> Vec<(String, String, String)> {
    let told = |c: &fairlead::harness::Conductor| {
        let end = |pin| match h.pin(pin).site {
            PinSite::Screen(cable) => h.cable(cable).name.clone(),
            _ => h.pin(pin).name.clone(),
        };
        let mut pins = [end(c.from), end(c.to)];
        pins.sort();
        let mut words = [c.mark.clone(), format!("{} {}", c.gauge, c.colour.value.code())];
        words.sort();
        let [a, b] = pins;
        (a, b, words.join(" "))
    };
    let mut all: Vec<_> = h.conductors.iter().map(told).collect();
    all.sort();
    all
}

/// Where the name of a device stands, its first line where it has several.
fn name_of(scene: &Scene, device: &str) -> Option<Area> {
    let of_it = scene.items().iter().filter(|i| i.mark.id(TagKind::Device) == Some(device));
    let mut texts = of_it.filter_map(|i| if let Shape::Text(text) = &i.shape { Some(text) } else { None });
    texts.find(|t| !t.words.is_empty() && device.starts_with(&t.words)).map(|t| t.area())
}

#[track_caller]
fn assert_clean(name: &str, h: &Harness, sheets: &[Wiring]) {
    for (i, sheet) in sheets.iter().enumerate() {
        let report = audit(&sheet.scene);
        assert_eq!(report.defects, [], "{name}, sheet {}: {report}", i + 1);
        assert_eq!(through_walls(&sheet.scene), [] as [&str; 0], "{name}, sheet {}", i + 1);
    }
    assert_eq!(faults(h, sheets), [] as [&str; 0], "{name}");
    let mut seen: Vec<_> = sheets.iter().flat_map(|s| as_seen(&s.scene)).collect();
    seen.sort();
    assert_eq!(seen, as_meant(h), "{name}: what a reader follows");
    assert_eq!(lost_flags(sheets), [] as [&str; 0], "{name}");
    assert_eq!(lost_ends(h, sheets), [] as [&str; 0], "{name}");
    for (i, sheet) in sheets.iter().enumerate() {
        assert_eq!(unexplained(sheet), [] as [&str; 0], "{name}, sheet {}", i + 1);
    }
}

/// The zone of a place by ISO 5457: fields of 50 mm counted from the middle of the sheet, what is over at its ends
/// belonging to the outer ones; letters from the top without I and O, numbers from the left.
pub fn zone(size: fairlead::draw::Extent, at: Point) -> String {
    let field = |length: f64, place: f64| {
        let half = ((length / 2.0 + 25.0) / 50.0).floor().max(1.0);
        let from_middle = ((place - length / 2.0) / 50.0).floor();
        (from_middle + half).clamp(0.0, 2.0 * half - 1.0) as usize
    };
    let letter = b"ABCDEFGHJKLMNPQRSTUVWXYZ"[field(size.height.as_f64(), at.y.as_f64())];
    format!("{}{}", char::from(letter), field(size.width.as_f64(), at.x.as_f64()) + 1)
}

/// Flags by sheet, device and what they say: words of the form `3/C4` that are tagged with the device.
fn flags(sheets: &[Wiring]) -> Vec<(usize, String, usize, String)> {
    let mut out = Vec::new();
    for (i, sheet) in sheets.iter().enumerate() {
        for item in sheet.scene.items() {
            let (Some(device), Shape::Text(text)) = (item.mark.id(TagKind::Device), &item.shape) else {
                continue;
            };
            let Some((number, zone)) = text.words.split_once('/') else { continue };
            let is_zone = zone.len() >= 2
                && zone.starts_with(|c: char| c.is_ascii_uppercase())
                && zone[1..].bytes().all(|b| b.is_ascii_digit());
            if let (Ok(number), true) = (number.parse::<usize>(), is_zone) {
                out.push((i, device.to_owned(), number, zone.to_owned()));
            }
        }
    }
    out
}

/// What is wrong with the references from sheet to sheet.
fn lost_flags(sheets: &[Wiring]) -> Vec<String> {
    let mut faults = Vec::new();
    let flags = flags(sheets);
    let mut on: BTreeMap<&str, BTreeSet<usize>> = BTreeMap::new();
    for (i, sheet) in sheets.iter().enumerate() {
        for item in sheet.scene.items() {
            if let (Some(device), Layer::Device) = (item.mark.id(TagKind::Device), item.mark.layer) {
                on.entry(device).or_default().insert(i);
            }
        }
    }
    for (from, device, to, said) in &flags {
        match to.checked_sub(1).and_then(|i| sheets.get(i)) {
            Some(sheet) if to - 1 != *from => {
                let found = name_of(&sheet.scene, device).map(|a| zone(sheet.scene.size, a.centre()));
                if found.as_ref() != Some(said) {
                    faults.push(format!(
                        "sheet {}: {device} is said to be at {to}/{said}, is at {found:?}",
                        from + 1
                    ));
                }
            }
            _ => faults.push(format!("sheet {}: {device} points to sheet {to}", from + 1)),
        }
    }
    // From each sheet of a device all its others can be reached by its flags, directly where they are few.
    for (device, sheets) in on.iter().filter(|(_, sheets)| sheets.len() > 1) {
        for start in sheets {
            let next = |at: usize| -> BTreeSet<usize> {
                flags.iter().filter(|f| f.0 == at && f.1 == *device).map(|f| f.2 - 1).collect()
            };
            if sheets.len() <= 10 && next(*start).len() != sheets.len() - 1 {
                faults.push(format!("sheet {}: {device} does not name all its sheets", start + 1));
            }
            let mut seen = BTreeSet::from([*start]);
            let mut queue = vec![*start];
            while let Some(at) = queue.pop() {
                for to in next(at) {
                    if seen.insert(to) {
                        queue.push(to);
                    }
                }
            }
            if seen != *sheets {
                faults.push(format!("sheet {}: {device} leads to {seen:?}, is on {sheets:?}", start + 1));
            }
        }
    }
    for (from, device, ..) in &flags {
        if on.get(device.as_str()).is_none_or(|sheets| !sheets.contains(from) || sheets.len() < 2) {
            faults.push(format!("sheet {}: {device} has a flag and no other sheet", from + 1));
        }
    }
    faults
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
    for (name, h, sheets) in shipped() {
        assert_clean(&name, &h, &sheets);
    }
}

#[test]
fn generated_harnesses_are_drawn_clean_and_as_they_are_joined() {
    let sizes = (1..=48).map(|seed| (seed, 2 + (seed as usize * 7) % 46)).chain([(49, 120), (50, 400)]);
    for (seed, conductors) in sizes {
        let loom = Loom::sound(&generator::spec(seed, conductors));
        let sheets = drawn(&loom, None);
        assert_clean(&format!("seed {seed}"), &loom.harness, &sheets);
        for sheet in &sheets {
            let size = sheet.scene.size;
            assert!(size.width <= mm(420.0) && size.height <= mm(297.0), "seed {seed}: {size:?}");
        }
        assert!(sheets.len() <= 2 + conductors / 8, "seed {seed}: {} sheets of {conductors}", sheets.len());
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
                let sheets = wiring(&read.harness, &read.library, &read.routing, &with);
                assert_clean(&path.to_string_lossy(), &read.harness, &sheets);
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
    let sheets = drawn(&loom, None);
    assert_clean("wall connector", &loom.harness, &sheets);
    // The zones stand in the order in which they are reached, each right of the one before.
    let left = |scene: &Scene, zone: &str| {
        let of_it = scene
            .items()
            .iter()
            .filter(|i| i.mark.id(TagKind::Zone) == Some(zone) && matches!(i.shape, Shape::Text(_)));
        of_it.filter_map(|i| i.bounds()).map(|a| a.min.x).min()
    };
    let mut seen = 0;
    for sheet in &sheets {
        let stand: Vec<_> =
            ["cabin", "engine", "wing"].iter().filter_map(|z| left(&sheet.scene, z)).collect();
        assert!(stand.is_sorted(), "{stand:?}");
        seen += usize::from(stand.len() == 3);
    }
    assert!(seen > 0, "no sheet has all zones");
    // Both halves of the connector stand in the firewall's hole, the plug's wires in the engine compartment.
    let halves = sheets.iter().map(|s| cells(&s.scene)).find(|c| c.contains_key("X1.plug.1")).expect("X1");
    let (plug, receptacle) = (halves["X1.plug.1"][0], halves["X1.receptacle.1"][0]);
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
    let sheets = drawn(&loom, Some(&"BUILT DESPITE FINDINGS: ".repeat(12)));
    assert_clean("long names", &loom.harness, &sheets);
}

#[test]
fn zones_of_one_column_do_not_mix() {
    for (name, h, sheets) in shipped() {
        for scene in sheets.iter().map(|s| &s.scene) {
            let grounds: Vec<(String, Area)> = scene
                .items()
                .iter()
                .filter(|i| i.mark.layer == Layer::Underlay)
                .filter_map(|i| Some((i.mark.id(TagKind::Zone)?.to_owned(), i.bounds()?)))
                .collect();
            for (pin, areas) in cells(scene) {
                let device =
                    h.pins.iter().find(|p| p.name == pin).map(|p| h.device(p.device)).expect("a pin");
                let place = device.lead_ends_at.map(|p| p.value).or(device.place);
                let zones: Vec<&str> = place
                    .map_or(vec![], |p| h.place(p).zones.iter().map(|z| h.zone(*z).name.as_str()).collect());
                // What sits between zones may be drawn in either of them.
                if let [zone] = zones.as_slice() {
                    let inside = |area: &Area| grounds.iter().any(|(n, g)| n == zone && g.contains(*area));
                    assert!(areas.iter().all(inside), "{name}: {pin} is not drawn in {zone}");
                }
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
    for (name, h, sheets) in shipped() {
        let lines = sheets.iter().map(|s| lines(&s.scene)).flat_map(BTreeMap::into_values).flatten();
        let bends: usize = lines.map(|l| l.len() - 2).sum();
        assert!(bends <= h.conductors.len(), "{name}: {bends} bends in {} conductors", h.conductors.len());
        let crossings: usize = sheets.iter().map(|s| audit(&s.scene).crossings).sum();
        assert!(crossings * 8 <= h.conductors.len(), "{name}: {crossings} crossings");
    }
}

#[test]
fn every_sheet_of_the_examples_is_one_that_a_shop_prints() {
    for (name, _, sheets) in shipped() {
        for (i, sheet) in sheets.iter().enumerate() {
            let size = sheet.scene.size;
            assert_eq!((size.width, size.height), (mm(420.0), mm(297.0)), "{name}, sheet {}", i + 1);
        }
        assert!(sheets.len() <= 6, "{name}: {} sheets", sheets.len());
    }
}

#[test]
fn what_belongs_together_is_on_one_sheet() {
    for (name, h, sheets) in shipped() {
        let on = sheets_of(&sheets);
        let sheet = |c: &fairlead::harness::Conductor| on[&c.mark][0];
        for cable in &h.cables {
            let cores = cable.cores.iter().flatten().chain(cable.ties.iter().flatten());
            let of: BTreeSet<usize> = cores.map(|c| sheet(h.conductor(*c))).collect();
            assert!(of.len() <= 1, "{name}: {} is on sheets {of:?}", cable.name);
        }
        for lay in &h.lays {
            let of: BTreeSet<usize> = lay.conductors.iter().map(|c| sheet(h.conductor(*c))).collect();
            assert!(of.len() <= 1, "{name}: a lay is on sheets {of:?}");
        }
        // A sensor or splice has all its conductors on one sheet.
        for (i, device) in h.devices.iter().enumerate() {
            if matches!(device.class, DeviceClass::Sensor | DeviceClass::Splice { .. }) {
                let ends = |c: &&fairlead::harness::Conductor| {
                    [c.from, c.to].iter().any(|p| h.pin(*p).device.index() == i)
                };
                let of: BTreeSet<usize> = h.conductors.iter().filter(ends).map(sheet).collect();
                assert!(of.len() <= 1, "{name}: {} is on sheets {of:?}", device.name);
            }
        }
    }
}

#[test]
fn lanes_add_no_crossing_to_those_of_the_order() {
    let mut all = 0;
    for (name, _, sheets) in shipped() {
        for (i, sheet) in sheets.iter().enumerate() {
            assert_eq!(audit(&sheet.scene).crossings, sheet.crossings, "{name}, sheet {}", i + 1);
            all += sheet.crossings;
        }
    }
    assert!(all > 0, "nothing crosses, so nothing is tested");
    for seed in 1..=6 {
        let loom = Loom::sound(&generator::spec(seed, 10 + 9 * seed as usize));
        for (i, sheet) in drawn(&loom, None).iter().enumerate() {
            assert_eq!(audit(&sheet.scene).crossings, sheet.crossings, "seed {seed}, sheet {}", i + 1);
        }
    }
}

/// A sheet is measured in nothing, says by its title every system that is on it, and which colour of a thermocouple is minus.
#[test]
fn sheets_of_wiring_say_what_is_on_them() {
    for (name, h, sheets) in shipped() {
        for (i, sheet) in sheets.iter().enumerate() {
            let said: Vec<&str> = crate::faces::texts(&sheet.scene).map(|(_, t)| t).collect();
            let all = said.join(" ");
            assert!(!said.contains(&"mm") && !said.contains(&"in"), "{name} {}: units", i + 1);
            let on: BTreeSet<&str> = lines(&sheet.scene)
                .into_keys()
                .map(|mark| &*h.circuit(h.conductors.iter().find(|c| c.mark == mark).unwrap().circuit).system)
                .collect();
            if sheets.len() > 1 && on.len() <= 10 {
                assert!(!all.contains(" more."), "{name} {}", i + 1);
                assert!(on.iter().all(|system| all.contains(system)), "{name} {}: {on:?}", i + 1);
            }
            if all.contains("the negative leg") && h.header.thermocouple_colours.is_some() {
                assert!(all.contains(" minus"), "{name} {}", i + 1);
            }
        }
    }
}
