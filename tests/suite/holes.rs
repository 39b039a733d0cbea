//! The drawing of holes, measured: every conductor once in each hole that it passes, to scale, within the bore, nothing on
//! anything else.

use std::collections::BTreeMap;

use fairlead::draw::routing::routing_with;
use fairlead::draw::{Item, Layer, Mm, Point, Scene, Shape, TagKind, holes, mm};
use fairlead::graph::{Bundles, More, Routing};
use fairlead::harness::Harness;
use fairlead::parts::library::Library;
use fairlead::pipeline;
use fairlead::plan::Plan;
use fairlead::plan::install::{self, Subject, install_sheet};

use crate::faces::{assert_clean, assert_printable, discs, shipped, texts};
use crate::generator;
use crate::loom::Loom;

fn drawn(
    h: &Harness,
    library: &Library,
    routing: &Routing,
    bundles: &Bundles,
    banner: Option<&str>,
) -> Vec<Scene> {
    let plan = Plan::of(h, library, routing);
    holes(h, library, routing, bundles, &pipeline::fed(&plan), banner)
}

/// A circle on paper.
#[derive(Clone, Copy, Debug)]
struct Disc {
    at: Point,
    radius: Mm,
}

/// Circles of a hole by what they stand for.
#[derive(Default)]
struct Drawn {
    /// Lining and bore.
    structure: Vec<Disc>,
    conductors: BTreeMap<String, Vec<Disc>>,
    cables: BTreeMap<String, Vec<Disc>>,
    /// What may be added.
    spare: Vec<Disc>,
    /// Wires in the small picture of a hole of which there is a detail; and those of other harnesses.
    small: Vec<Disc>,
    /// Scale of that detail.
    detail: Option<f64>,
}

fn measure(
    name: &str,
    h: &Harness,
    library: &Library,
    routing: &Routing,
    bundles: &Bundles,
    scenes: &[Scene],
) {
    assert_clean(name, scenes);
    let mut drawn: BTreeMap<String, Drawn> = BTreeMap::new();
    for scene in scenes {
        for item in scene.items() {
            let (Shape::Circle { centre, radius }, Some(hole)) = (&item.shape, item.mark.id(TagKind::Hole))
            else {
                continue;
            };
            let of_it = drawn.entry(hole.to_owned()).or_default();
            let edge = item.paint.stroke.map_or(Mm::ZERO, |s| s.width.width() / 2);
            let disc = Disc { at: *centre, radius: *radius + edge };
            let first = item.mark.tags()[0].kind;
            match (item.mark.layer, first) {
                (Layer::Structure, _) => of_it.structure.push(Disc { at: *centre, radius: *radius }),
                (Layer::Symbol, TagKind::Cable) if item.paint.fill.is_some() => {
                    of_it
                        .cables
                        .entry(item.mark.id(TagKind::Cable).unwrap().to_owned())
                        .or_default()
                        .push(disc);
                }
                (Layer::Note, TagKind::Hole)
                    if item.paint.stroke.is_some_and(|s| s.width.width() == mm(0.25)) =>
                {
                    of_it.spare.push(disc);
                }
                (Layer::Symbol, TagKind::Hole) if item.paint.fill.is_some() => of_it.small.push(disc),
                _ => {}
            }
        }
        for (item, words) in texts(scene) {
            if let (Some(hole), Some(said)) = (item.mark.id(TagKind::Hole), words.strip_prefix("A, ")) {
                let (paper, thing) = said.split(',').next().unwrap().split_once(':').unwrap();
                let scale = paper.parse::<f64>().unwrap() / thing.parse::<f64>().unwrap();
                drawn.entry(hole.to_owned()).or_default().detail = Some(scale);
            }
        }
        for (item, at, radius) in discs(scene, Layer::Symbol) {
            let of_it = drawn.entry(item.mark.id(TagKind::Hole).unwrap().to_owned()).or_default();
            let mark = item.mark.id(TagKind::Conductor).unwrap().to_owned();
            // The edge stands on the filled disc.
            of_it.conductors.entry(mark).or_default().push(Disc { at, radius: radius + mm(0.125) });
        }
    }
    for (i, hole) in h.holes.iter().enumerate() {
        let id = fairlead::harness::HoleId::at(i);
        let none = Drawn::default();
        let of_it = drawn.get(&hole.name).unwrap_or(&none);
        let told = format!("{name}: {}", hole.name);
        let passing: Vec<&str> = routing.in_hole[i].iter().map(|c| h.conductor(*c).mark.as_str()).collect();
        for mark in &passing {
            assert_eq!(of_it.conductors.get(*mark).map(Vec::len), Some(1), "{told}: {mark}");
            let rows: Vec<&str> = scenes
                .iter()
                .flat_map(texts)
                .filter(|(item, _)| {
                    item.mark.layer == Layer::Note
                        && item.mark.tags().first().is_some_and(|t| *t.id == **mark)
                        && item.mark.id(TagKind::Hole) == Some(&hole.name)
                })
                .map(|(_, t)| t)
                .collect();
            assert!(
                rows.len() >= 3 && rows[0].parse::<usize>().is_ok(),
                "{told}: {mark} in the table: {rows:?}"
            );
            let on_disc = scenes.iter().flat_map(texts).find(|(item, _)| {
                item.mark.layer == Layer::Symbol
                    && item.mark.tags().first().is_some_and(|t| *t.id == **mark)
                    && item.mark.id(TagKind::Hole) == Some(&hole.name)
            });
            if let Some((_, number)) = on_disc {
                assert_eq!(number, rows[0], "{told}: {mark}");
            }
        }
        assert_eq!(of_it.conductors.len(), passing.len(), "{told}");
        circles_lie_well(&told, h, library, bundles, id, of_it);
    }
}

/// To scale, apart from each other, in the bore.
fn circles_lie_well(
    told: &str,
    h: &Harness,
    library: &Library,
    bundles: &Bundles,
    id: fairlead::harness::HoleId,
    of_it: &Drawn,
) {
    let hole = h.hole(id);
    let Some(bore) = hole.bore.map(|b| b.value) else { return };
    // The innermost circle of the structure is the bore; its radius gives the scale.
    let inner = of_it.structure.iter().min_by_key(|d| d.radius).expect(told);
    let small = inner.radius.as_f64() * 2.0 / bore.mm();
    let scale = of_it.detail.unwrap_or(small);
    let preferred = [0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0];
    // ISO 5455:1979, clause 4 (from memory).
    for scale in [small, scale] {
        assert!(preferred.iter().any(|p| (p - scale).abs() < 0.001), "{told}: {scale}");
    }
    let mut outer: Vec<Disc> = of_it.cables.values().flatten().copied().collect();
    for (mark, discs) in &of_it.conductors {
        let c = h.conductors.iter().find(|c| c.mark == *mark).unwrap();
        let part = library.wires.get(c.wire);
        let (disc, outside) = (discs[0], if c.cable.is_some() { part.insulation() } else { part.outside });
        let paper = outside.mm() * scale / 2.0;
        match c.cable {
            None => {
                assert!(
                    (disc.radius.as_f64() - paper).abs() < 0.003,
                    "{told}: {mark} is {} not {paper}",
                    disc.radius
                );
                outer.push(disc);
            }
            Some(cable) => {
                assert!(disc.radius.as_f64() < paper + 0.003, "{told}: {mark}");
                let jacket = of_it.cables[&h.cable(cable).name][0];
                let reach = jacket.at.distance(disc.at) + disc.radius;
                assert!(reach <= jacket.radius + mm(0.003), "{told}: {mark} leaves its cable");
            }
        }
    }
    apart(told, &of_it.conductors.values().flatten().copied().collect::<Vec<_>>());
    let others = if hole.others_outside.is_some() { hole.others as usize } else { 0 };
    if of_it.detail.is_none() {
        assert_eq!(of_it.small.len(), others, "{told}: those of other harnesses");
        outer.extend(&of_it.small);
    } else {
        assert!(others == 0, "{told}: tell the two pictures of them apart here");
        apart(told, &outer);
        // The same strands, lying as they do, smaller.
        let sizes = |discs: &[Disc], scale: f64| {
            let mut sizes: Vec<f64> = discs.iter().map(|d| d.radius.as_f64() / scale).collect();
            sizes.sort_by(f64::total_cmp);
            sizes
        };
        assert_eq!(outer.len(), of_it.small.len(), "{told}");
        for (a, b) in sizes(&outer, scale).iter().zip(sizes(&of_it.small, small)) {
            assert!((a - b).abs() < 0.02, "{told}: {a} and {b}");
        }
        outer = of_it.small.clone();
    }
    outer.extend(&of_it.spare);
    apart(told, &outer);
    if bundles.hole_with_others(id).diameter() <= bore {
        for disc in &outer {
            let reach = inner.at.distance(disc.at) + disc.radius;
            // Paper is whole micrometres, and a packing is rounded up.
            assert!(reach <= inner.radius + mm(0.03), "{told}: {disc:?} leaves the bore");
        }
    }
}

fn apart(told: &str, discs: &[Disc]) {
    for (i, a) in discs.iter().enumerate() {
        for b in discs.iter().skip(i + 1) {
            assert!(a.at.distance(b.at) + mm(0.01) >= a.radius + b.radius, "{told}: {a:?} on {b:?}");
        }
    }
}

#[test]
fn the_examples_are_drawn_clean_and_complete() {
    for (name, r) in shipped() {
        let scenes = drawn(&r.harness, &r.library, &r.routing, &r.bundles, None);
        measure(&name, &r.harness, &r.library, &r.routing, &r.bundles, &scenes);
        assert_printable(&name, &scenes);
        let banner = Some("BUILT DESPITE FINDINGS: 2 stop. See the findings sheet.");
        let scenes = drawn(&r.harness, &r.library, &r.routing, &r.bundles, banner);
        assert_clean(&name, &scenes);
        assert_printable(&name, &scenes);
    }
}

#[test]
fn generated_harnesses_are_drawn_clean_and_complete() {
    let library = Library::supplied();
    for seed in 1..=50 {
        // Packing is most of the work, so few are large.
        let size = if seed % 25 == 0 { 40 } else { 2 + seed as usize % 9 };
        let loom = Loom::sound(&generator::spec(seed, size));
        let bundles = Bundles::of(&loom.harness, library, &loom.routing);
        let scenes = drawn(&loom.harness, library, &loom.routing, &bundles, None);
        measure(&format!("seed {seed}"), &loom.harness, library, &loom.routing, &bundles, &scenes);
    }
}

/// Four wires through one hole of which this is said.
fn through(hole: &str) -> (Loom, Vec<String>) {
    let text = format!(
        "fairlead: 1\nharness: {{title: One hole, drawing: T-1, supply: 14 V, thermocouple-colours: ansi}}\n\
         zones: {{a: {{ambient: 40 °C}}, b: {{ambient: 60 °C}}}}\n\
         barriers: {{wall: {{between: [a, b], holes: {{H: {hole}}}}}}}\n\
         route:\n  - {{from: panel, to: H, zone: a, length: 200 mm}}\n  - {{from: H, to: far, zone: b, length: 200 mm}}\n\
         equipment: {{GAUGE: {{part: engine-gauge-4, at: panel}}}}\n\
         sensors: {{CHT1: {{part: cht-bayonet-k, at: far}}, CHT2: {{part: cht-bayonet-k, at: far}}}}\n\
         circuits: {{CHT1: {{from: CHT1, to: GAUGE.cht-1}}, CHT2: {{from: CHT2, to: GAUGE.cht-2}}}}\n"
    );
    let loom = Loom::read(&text);
    let library = Library::supplied();
    let bundles = Bundles::of(&loom.harness, library, &loom.routing);
    let scenes = drawn(&loom.harness, library, &loom.routing, &bundles, None);
    measure(hole, &loom.harness, library, &loom.routing, &bundles, &scenes);
    let said = scenes.iter().flat_map(texts).map(|(_, t)| t.to_owned()).collect();
    (loom, said)
}

#[test]
fn what_is_given_and_what_is_not_is_told() {
    let (_, said) = through(
        "{bore: 16 mm, lining: grommet-16, seal: sealing compound, max-conductors: 9, max-fill: 30 %, others: 3}",
    );
    let has = |said: &[String], words: &str| said.iter().any(|t| t.contains(words));
    assert!(has(&said, "7 of 9 allowed, 3 of other harnesses among them"), "{said:?}");
    // Nobody knows how thick the three are, so nobody knows what has room beside them.
    assert!(has(&said, "2 conductors; by size not known") && has(&said, "≥ 9 % of 30 %"), "{said:?}");
    assert!(has(&said, "sealing compound") && has(&said, "grommet-16"));
    let (_, said) = through("{bore: 16 mm}");
    assert!(has(&said, "4, no limit given") && has(&said, "not given"), "{said:?}");
    let (_, said) = through("{}");
    assert!(has(&said, "not known, no bore given"), "{said:?}");
    let (_, said) = through("{bore: 5 mm}");
    assert!(has(&said, "the bundle does not pass it") && has(&said, "nothing: no room by size"), "{said:?}");
    for full in ["{bore: 16 mm, max-conductors: 4}", "{max-conductors: 4}"] {
        let (_, said) = through(full);
        assert!(has(&said, "nothing: the count is reached"), "{full}: {said:?}");
    }
    let (_, said) = through("{bore: 16 mm, max-conductors: 1}");
    assert!(has(&said, "nothing: the count is exceeded by 3"), "{said:?}");
}

#[test]
fn what_may_be_added_keeps_to_the_fill() {
    // Two pairs of 3.4 mm and what may be added are 30 % of the bore's area: 16² · 0.3 - 2 · 3.4² = 53.68 = 7.33².
    let (_, said) = through("{bore: 16 mm, max-fill: 30 %}");
    assert!(said.iter().any(|t| t.contains("Ø 7.33 mm at most (dashed)")), "{said:?}");
}

#[test]
fn conductors_of_other_harnesses_are_drawn_and_take_room_where_their_size_is_told() {
    // 2 · 3.4² + 3 · 2² = 35.12 of 16² = 256: 13.7 %; what may be added: 256 · 0.3 - 35.12 = 41.68 = 6.46².
    let (_, said) = through("{bore: 16 mm, max-fill: 30 %, others: 3, others-outside: 2 mm}");
    let has = |words: &str| assert!(said.iter().any(|t| t.contains(words)), "{words}: {said:?}");
    has("7, no limit given, 3 of other harnesses among them, drawn grey");
    has("13.7 % of 30 % allowed");
    has("Ø 6.46 mm at most (dashed)");
    has("conductor of another harness");
}

/// Of two holes of one bore the one that holds more has no more room; what is added keeps to the count.
#[test]
fn a_fuller_hole_never_has_more_room() {
    let library = Library::supplied();
    let mut compared = 0;
    let mut looms: Vec<(String, Loom)> = Vec::new();
    for seed in [1, 3, 7, 11] {
        looms.push((format!("seed {seed}"), Loom::sound(&generator::spec(seed, 100))));
    }
    let generated = looms
        .iter()
        .map(|(name, l)| (name.clone(), &l.harness, Bundles::of(&l.harness, library, &l.routing)));
    let examples = shipped();
    let known = examples.iter().map(|(name, r)| (name.clone(), &r.harness, r.bundles.clone()));
    for (name, h, bundles) in generated.chain(known) {
        let ids: Vec<_> = (0..h.holes.len()).map(fairlead::harness::HoleId::at).collect();
        for a in &ids {
            for b in ids.iter().filter(|b| *b != a) {
                let sizes = |id| {
                    let mut sizes = bundles.hole_with_others(id).diameters.clone();
                    sizes.sort_by(|a, b| b.cmp(a));
                    sizes
                };
                let (fuller, other) = (sizes(*a), sizes(*b));
                let more = fuller.len() >= other.len() && fuller.iter().zip(&other).all(|(x, y)| x >= y);
                let alike =
                    |id| h.hole(id).bore.map(|b| b.value).zip(Some(h.hole(id).max_fill.map(|f| f.value)));
                let (full, empty) = (bundles.room(h, *a), bundles.room(h, *b));
                let (More::Thick(less), More::Thick(room)) = (full.more, empty.more) else { continue };
                if more && alike(*a) == alike(*b) {
                    compared += 1;
                    assert!(less <= room, "{name}: {less} in {a:?}, {room} in {b:?}");
                }
            }
            for fit in bundles.fits(h, *a) {
                let cores = r_cores(library, fit.wire);
                let most = bundles.room(h, *a).count.unwrap_or(usize::MAX);
                assert!(fit.pieces.saturating_mul(cores) <= most, "{name}: {fit:?}");
                // What may be added alone may be added at all.
                let outside = library.wires.get(fit.wire).outside;
                if matches!(bundles.room(h, *a).more, More::Thick(room) if outside <= room) && cores <= most {
                    assert!(fit.pieces > 0, "{name}: {fit:?}");
                }
            }
        }
    }
    assert!(compared > 4, "{compared}");
}

fn r_cores(library: &Library, wire: fairlead::parts::library::WirePartId) -> usize {
    library.wires.get(wire).cores.len().max(1)
}

/// Seven thin wires in a wide bore line its wall: what may be added is hardly less than the bore without one of them.
#[test]
fn a_thin_bundle_is_laid_along_the_wall() {
    let (loom, said) = through("{bore: 25 mm}");
    let bundles = Bundles::of(&loom.harness, Library::supplied(), &loom.routing);
    let room = bundles.room(&loom.harness, fairlead::harness::HoleId::at(0));
    let More::Thick(more) = room.more else { panic!("{:?}", room.more) };
    // Two pairs of 3.4 mm: packed, they leave 25 - 6.8 mm.
    assert!(room.moved && more > fairlead::quantity::Length::from_mm(21.0), "{more}");
    assert!(said.iter().any(|t| t.contains("moved aside for the dashed circle")), "{said:?}");
}

/// Each sign of a sheet is in its legend, and each entry of the legend on the sheet.
#[test]
fn legends_explain_what_is_drawn_and_nothing_else() {
    let library = Library::supplied();
    let mut all: Vec<(String, Vec<Scene>)> = Vec::new();
    for (name, r) in shipped() {
        all.push((name, drawn(&r.harness, &r.library, &r.routing, &r.bundles, None)));
    }
    for seed in 1..=12 {
        let loom = Loom::sound(&generator::spec(seed, 30));
        let bundles = Bundles::of(&loom.harness, library, &loom.routing);
        all.push((format!("seed {seed}"), drawn(&loom.harness, library, &loom.routing, &bundles, None)));
    }
    for (name, scenes) in &all {
        for (i, scene) in scenes.iter().enumerate() {
            let legend: String = texts(scene)
                .filter(|(item, _)| item.mark.layer == Layer::Note && item.mark.tags().is_empty())
                .map(|(_, t)| t)
                .collect::<Vec<_>>()
                .join(" ");
            let any = |wanted: &dyn Fn(&Item) -> bool| scene.items().iter().any(wanted);
            let circle = |item: &Item| matches!(item.shape, Shape::Circle { .. });
            let hole = |item: &Item| item.mark.id(TagKind::Hole).is_some();
            let first = |item: &Item| item.mark.tags().first().map(|t| t.kind);
            let signs = [
                ("conductor in the colours of its insulation", discs(scene, Layer::Symbol).next().is_some()),
                (
                    "cable with its cores",
                    any(&|i| {
                        i.mark.layer == Layer::Symbol
                            && first(i) == Some(TagKind::Cable)
                            && i.paint.fill.is_some()
                            && !any(&|o| dashed_in(o, i))
                    }),
                ),
                (
                    "the dashed ring",
                    any(&|i| {
                        i.mark.layer == Layer::Symbol
                            && first(i) == Some(TagKind::Cable)
                            && circle(i)
                            && i.paint.fill.is_none()
                    }),
                ),
                (
                    "that may still be added",
                    any(&|i| {
                        first(i) == Some(TagKind::Hole)
                            && i.mark.layer == Layer::Note
                            && circle(i)
                            && i.paint.stroke.is_some_and(|s| s.width.width() == mm(0.25))
                    }),
                ),
                (
                    "drawn larger beside the hole",
                    texts(scene).any(|(_, t)| t == "A")
                        && texts(scene).any(|(i, t)| hole(i) && t.starts_with("A, ")),
                ),
            ];
            for (words, used) in signs {
                assert_eq!(legend.contains(words), used, "{name} {}: {words}: {legend}", i + 1);
            }
        }
    }
}

/// The ring of a screen in this cable.
fn dashed_in(ring: &Item, cable: &Item) -> bool {
    ring.mark == cable.mark && ring.paint.fill.is_none() && matches!(ring.shape, Shape::Circle { .. })
}

/// What the holes sheet says of a hole, the routing drawing and the install sheet say too.
#[test]
fn all_papers_say_the_same_of_a_hole() {
    for (name, r) in shipped() {
        let h = &r.harness;
        let plan = Plan::of(h, &r.library, &r.routing);
        let sheets = drawn(h, &r.library, &r.routing, &r.bundles, None);
        let route = routing_with(h, &r.library, &r.routing, &r.bundles, None);
        let job =
            install::Job { h, library: &r.library, routing: &r.routing, bundles: &r.bundles, plan: &plan };
        let visits = install_sheet(&job);
        for hole in &h.holes {
            let of = |scenes: &[Scene], layer| -> Vec<String> {
                let all = scenes.iter().flat_map(texts);
                let own = all.filter(|(i, _)| {
                    i.mark.layer == layer && i.mark.tags().first().is_some_and(|t| *t.id == *hole.name)
                });
                own.map(|(_, words)| words.to_owned()).collect()
            };
            let card = of(&sheets, Layer::Label).join(" ");
            // The last cells of the row: fill, packed diameter, what may be added, where on the drawing.
            let row = of(&route, Layer::Note);
            let [.., fill, packed, more, _] = row.as_slice() else { panic!("{name} {}", hole.name) };
            let told = format!("{name} {}: {row:?} and {card}", hole.name);
            let visit = visits.iter().find(|v| v.subject == Subject::Hole && v.name == hole.name);
            let passes = &visit.unwrap().details[0].1;
            assert!(card.contains(fill) && passes.contains(fill), "{told}, {passes}");
            assert!(card.contains(&format!("Ø {packed}")) && passes.contains(packed), "{told}, {passes}");
            match more.as_str() {
                "none" => assert!(card.contains("nothing: "), "{told}"),
                "not known" => assert!(card.contains("not known"), "{told}"),
                more => assert!(card.contains(&format!("Ø {more} at most (dashed)")), "{told}"),
            }
        }
    }
}

/// The install sheet feeds by the numbers of the holes sheet: every number once, rising, to the device its wire goes to.
#[test]
fn the_install_sheet_feeds_by_the_numbers_of_the_drawing() {
    for (name, r) in shipped() {
        let h = &r.harness;
        let plan = Plan::of(h, &r.library, &r.routing);
        let sheets = drawn(h, &r.library, &r.routing, &r.bundles, None);
        let job =
            install::Job { h, library: &r.library, routing: &r.routing, bundles: &r.bundles, plan: &plan };
        for visit in install_sheet(&job).iter().filter(|v| v.subject == Subject::Hole) {
            let mut next = 1;
            for task in visit.tasks.iter().filter(|t| t.kind.starts_with("feed ")) {
                let list = task.more.split(": ").nth(1).unwrap();
                for part in list.split("; ").filter(|part| part.contains(" to ")) {
                    let (numbers, device) = part.rsplit_once(" to ").unwrap();
                    let ends: Vec<usize> =
                        numbers.split(['–', ',']).map(|n| n.trim().parse().unwrap()).collect();
                    assert_eq!(ends[0], next, "{name} {}: {}", visit.name, task.more);
                    for number in ends[0]..=*ends.last().unwrap() {
                        let row = sheets.iter().flat_map(texts).find(|(item, words)| {
                            item.mark.layer == Layer::Note
                                && item.mark.id(TagKind::Hole) == Some(&visit.name)
                                && item.mark.tags()[0].kind == TagKind::Conductor
                                && *words == number.to_string()
                        });
                        let mark = row.unwrap().0.mark.id(TagKind::Conductor).unwrap();
                        let c = h.conductors.iter().find(|c| c.mark == mark).unwrap();
                        let goes = [c.from, c.to].map(|pin| h.device(h.pin(pin).device).name.as_str());
                        assert!(goes.contains(&device), "{name} {} {number}: {goes:?}", visit.name);
                    }
                    next = ends.last().unwrap() + 1;
                }
            }
            let passing = plan.fed[h.holes.iter().position(|x| x.name == visit.name).unwrap()].iter();
            assert_eq!(next - 1, passing.map(|strand| strand.conductors.len()).sum::<usize>(), "{name}");
        }
    }
}

/// Whoever bores the hole of an inch drawing may have metric drills; the title block names the scale of the holes.
#[test]
fn bores_are_told_in_both_units_and_the_sheet_has_the_scale_of_its_holes() {
    let (_, r) = shipped().into_iter().find(|(name, _)| name == "six-cylinder").unwrap();
    let scenes = drawn(&r.harness, &r.library, &r.routing, &r.bundles, None);
    let said: Vec<&str> = scenes.iter().flat_map(texts).map(|(_, t)| t).collect();
    assert!(said.iter().any(|t| t.contains("wall Ø") && t.ends_with(" mm)")), "{said:?}");
    let scale = said.iter().find_map(|t| t.split("seen from ").nth(1)?.split(", ").nth(1)?.split(';').next());
    assert!(said.contains(&scale.unwrap()), "{scale:?} in the title block");
}
