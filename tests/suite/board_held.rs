//! What holds a leg of a board, measured: as many clamps as the install sheet counts, spread evenly and on nothing else;
//! ties wherever note and install sheet ask for them; and signs that explain what was drawn and nothing more.

use std::collections::BTreeSet;

use fairlead::draw::board::boards;
use fairlead::draw::{Area, Board, Ink, Item, Layer, Mm, Point, Scene, Shape, TagKind, mm};
use fairlead::graph::{Bundles, Routing};
use fairlead::harness::Harness;
use fairlead::parts::library::Library;
use fairlead::pipeline::beyond;
use fairlead::plan::Plan;
use fairlead::plan::clamping::{clamp_spacing, clamps_between};
use fairlead::plan::install::{Job, Subject, install_sheet};
use fairlead::quantity::Length;
use fairlead::trade::installation::ties_beyond;

use crate::board::traced;
use crate::faces::{shipped, texts};
use crate::generator;
use crate::loom::Loom;

/// What is allowed between what is drawn and what is meant.
const EXACT: f64 = 0.1;
/// Colour of bundles' edges and of clamps.
const EDGE: Ink = Ink::new(52, 60, 68);

fn is_clamp(item: &Item) -> bool {
    let four = matches!(&item.shape, Shape::Polyline { points, closed: true } if points.len() == 4);
    four && item.mark.layer == Layer::Symbol && item.paint.fill == Some(EDGE)
}

fn is_tie(item: &Item) -> bool {
    let broad = item.paint.stroke.is_some_and(|s| s.width.width() == mm(0.5));
    let of_run = item.mark.tags().first().is_some_and(|t| t.kind == TagKind::Run);
    broad && of_run && item.mark.layer == Layer::Symbol && matches!(item.shape, Shape::Line { .. })
}

/// Middle of a sign, and distances from the leg's start and from the leg of the spot nearest to it.
fn station(item: &Item, line: &[(f64, f64)]) -> f64 {
    let corners: Vec<Point> = match &item.shape {
        Shape::Polyline { points, .. } => points.clone(),
        Shape::Line { from, to } => vec![*from, *to],
        other => panic!("{other:?}"),
    };
    let middle = |of: &dyn Fn(&Point) -> Mm| {
        corners.iter().map(|p| of(p).as_f64()).sum::<f64>() / corners.len() as f64
    };
    let (x, y) = (middle(&|p| p.x), middle(&|p| p.y));
    let (mut passed, mut best) = (0.0, (f64::MAX, 0.0));
    for two in line.windows(2) {
        let ((ax, ay), (bx, by)) = (two[0], two[1]);
        let length = (bx - ax).hypot(by - ay);
        let share =
            (((x - ax) * (bx - ax) + (y - ay) * (by - ay)) / length.powi(2).max(1e-12)).clamp(0.0, 1.0);
        let off = (x - ax - share * (bx - ax)).hypot(y - ay - share * (by - ay));
        if off < best.0 {
            best = (off, passed + share * length);
        }
        passed += length;
    }
    assert!(best.0 < EXACT, "a sign lies {} mm beside its leg", best.0);
    best.1
}

/// Pegs and words: nothing that holds a leg sits on one of them.
fn shunned(scene: &Scene) -> Vec<Area> {
    let of_drawing = scene.items().iter().filter(|i| i.mark.layer.is_of_drawing());
    of_drawing
        .filter_map(|item| match &item.shape {
            Shape::Circle { radius, .. } if *radius == mm(2.0) || *radius == mm(2.6) => item.bounds(),
            Shape::Text(text) => Some(text.area()),
            _ => None,
        })
        .collect()
}

/// True where the hull of a sign that may lie aslant overlaps a rectangle: by its own edges, not by its bounds.
fn meets(sign: &Item, area: Area) -> bool {
    let points = match &sign.shape {
        Shape::Polyline { points, .. } => points.clone(),
        Shape::Line { from, to } => vec![*from, *to],
        _ => Vec::new(),
    };
    // Points along both long sides, close enough for anything as large as a peg.
    let between = |a: Point, b: Point| {
        (0..=20_i64).map(move |i| Point::new(a.x + (b.x - a.x) * i / 20, a.y + (b.y - a.y) * i / 20))
    };
    points.iter().zip(points.iter().skip(1)).any(|(a, b)| between(*a, *b).any(|p| area.holds(p)))
}

struct Counted {
    clamps: usize,
    ties: usize,
}

fn hold(name: &str, h: &Harness, library: &Library, routing: &Routing, counted: &mut Counted) {
    let plan = Plan::of(h, library, routing);
    let bundles = Bundles::of(h, library, routing);
    let boards = boards(h, library, routing, &bundles, &beyond(h, &plan), &plan.fed_into, None);
    let visits = install_sheet(&Job { h, library, routing, bundles: &bundles, plan: &plan });
    for (i, run) in h.runs.iter().enumerate() {
        let of_run = |item: &&Item| {
            item.mark.tags().first().is_some_and(|t| t.kind == TagKind::Run && *t.id == *run.name)
        };
        let Some(board) = boards.iter().find(|b| b.scene.items().iter().any(|i| of_run(&i))) else {
            continue;
        };
        let items: Vec<&Item> = board.scene.items().iter().filter(of_run).collect();
        let line = items.iter().find_map(|item| match &item.shape {
            Shape::Path(steps) if item.mark.layer == Layer::Symbol => Some(traced(steps)),
            _ => None,
        });
        let line = line.expect("a middle line");
        let stations = |is: fn(&Item) -> bool| {
            let mut at: Vec<f64> = items.iter().filter(|i| is(i)).map(|i| station(i, &line)).collect();
            at.sort_by(f64::total_cmp);
            at
        };
        let (clamps, ties) = (stations(is_clamp), stations(is_tie));
        let (length, spacing) = (run.length.value.mm(), clamp_spacing(run));
        // As many as the plan counts, none further from the next than it may be, none far from where it would be.
        assert_eq!(clamps.len(), clamps_between(run.length.value, spacing), "{name}: {}", run.name);
        let even = length / (clamps.len() + 1) as f64;
        for (n, at) in clamps.iter().enumerate() {
            let off = (at - even * (n + 1) as f64).abs();
            assert!(off < even / 2.0 + EXACT, "{name}: {} clamp {n}: {off} mm off {even}", run.name);
        }
        let with_ends = |inner: &[f64]| [&[0.0], inner, &[length]].concat();
        let supports = with_ends(&clamps);
        assert!(
            supports.windows(2).all(|two| two[1] - two[0] < spacing.mm() + EXACT),
            "{name}: {supports:?}"
        );
        let task =
            visits.iter().filter(|v| v.subject == Subject::Run && v.name == run.name).flat_map(|v| &v.tasks);
        let task = task.clone().find(|t| t.kind == "clamps").expect("a line of the install sheet");
        let count = match clamps.len() {
            0 => "at both ends".to_owned(),
            1 => "at both ends and once between".to_owned(),
            n => format!("at both ends and {n} times between"),
        };
        assert!(task.work.contains(&count), "{name}: {}: {}", run.name, task.work);
        // Ties: wherever the install sheet asks for them, on the bench or after feeding.
        let apart = spacing.min(run.length.value) > ties_beyond().value;
        let fed = plan.fed_into[i].is_some();
        let tied = run.cover.is_none() && (run.clamps.is_none() || apart);
        assert_eq!(
            task.work.contains("tie it"),
            run.cover.is_none() && (apart || fed && tied),
            "{name}: {}",
            task.work
        );
        let said =
            items.iter().any(|i| matches!(&i.shape, Shape::Text(t) if t.words.contains("; tie after ")));
        assert_eq!(said, tied && fed, "{name}: {}", run.name);
        if tied && !fed {
            let held: BTreeSet<Mm> = supports.iter().chain(&ties).map(|at| mm(*at)).collect();
            let held: Vec<Mm> = held.into_iter().collect();
            assert!(
                held.windows(2).all(|two| two[1] - two[0] < mm(100.0 + EXACT)),
                "{name}: {} {held:?}",
                run.name
            );
        } else {
            assert_eq!(ties.len(), 0, "{name}: {}", run.name);
        }
        // Nothing sits on a peg or on words.
        let shunned = shunned(&board.scene);
        for sign in items.iter().filter(|i| is_clamp(i) || is_tie(i)) {
            let on = shunned.iter().find(|area| meets(sign, **area));
            assert_eq!(on, None, "{name}: {} on {:?}", run.name, sign.bounds());
        }
        counted.clamps += clamps.len();
        counted.ties += ties.len();
    }
    boards.iter().for_each(|board| signs_explain_what_is_drawn(name, h, board));
}

fn signs_explain_what_is_drawn(name: &str, h: &Harness, board: &Board) {
    let items = board.scene.items();
    let drawn = |is: &dyn Fn(&Item) -> bool| items.iter().any(|i| i.mark.layer.is_of_drawing() && is(i));
    let circle = |of: f64| {
        move |i: &Item| {
            matches!(i.shape, Shape::Circle { radius, .. } if radius == mm(of))
                && i.mark.layer == Layer::Symbol
        }
    };
    let device = |kind: TagKind| move |i: &Item| i.mark.layer == Layer::Label && i.mark.id(kind).is_some();
    let covered = |i: &Item| {
        let run = i.mark.tags().first().filter(|t| t.kind == TagKind::Run).map(|t| &*t.id);
        run.is_some_and(|run| h.runs.iter().any(|r| r.name == run && r.cover.is_some()))
    };
    let explained = |words: &str| {
        texts(&board.scene)
            .any(|(i, t)| i.mark.layer == Layer::Note && t.starts_with(words) && !t.ends_with('.'))
    };
    for (words, shown) in [
        ("tie", drawn(&is_tie)),
        ("clamp between the ends", drawn(&is_clamp)),
        ("covering", drawn(&covered)),
        ("peg inside a bend", drawn(&circle(2.0))),
        ("ground stud", drawn(&device(TagKind::Ground))),
        ("breaker or fuse", drawn(&device(TagKind::Supply))),
    ] {
        assert_eq!(explained(words), shown, "{name}: {words}");
    }
}

#[test]
fn what_holds_a_leg_is_what_the_lists_say() {
    let mut counted = Counted { clamps: 0, ties: 0 };
    for (name, found) in shipped() {
        hold(&name, &found.harness, &found.library, &found.routing, &mut counted);
    }
    assert!(counted.clamps > 20 && counted.ties > 100, "{} {}", counted.clamps, counted.ties);
}

#[test]
fn what_holds_a_leg_of_a_generated_loom_is_what_the_lists_say() {
    let mut counted = Counted { clamps: 0, ties: 0 };
    for seed in 1..=25 {
        let conductors = 4 + usize::try_from(seed * 11 % 80).unwrap();
        let loom = Loom::sound(&generator::spec(seed, conductors));
        hold(&format!("seed {seed}"), &loom.harness, Library::supplied(), &loom.routing, &mut counted);
    }
    assert!(counted.clamps > 20 && counted.ties > 100, "{} {}", counted.clamps, counted.ties);
}

/// Twelve inches, the border of par. 11-158b: clamps that may be further apart have ties between, as everywhere where none
/// are declared; a covering has none.
#[test]
fn ties_lie_between_clamps_that_are_far_apart() {
    let spec = |said: &str| {
        format!(
            "fairlead: 1
harness: {{title: Test loom, drawing: T-1, thermocouple-colours: ansi, default-wire: etfe-22}}
zones: {{cabin: {{ambient: 40 °C}}}}
route:
  - {{from: panel, to: shelf, zone: cabin, length: 600 mm{said}}}
equipment: {{GAUGE: {{part: engine-gauge-4, at: panel}}}}
sensors: {{OILP: {{part: oil-pressure-3wire, at: shelf}}}}
circuits: {{OILP: {{from: OILP, to: GAUGE.oil-pressure}}}}
"
        )
    };
    for (said, clamps, ties) in [
        ("", 0, 5),
        (", clamps: 600 mm", 0, 5),
        // Two bays of 300 mm with two ties each.
        (", clamps: 305 mm", 1, 4),
        (", clamps: 304 mm", 1, 0),
        (", clamps: 150 mm", 3, 0),
        (", clamps: 600 mm, cover: fire-sleeve-6", 0, 0),
    ] {
        let loom = Loom::sound(&spec(said));
        let mut counted = Counted { clamps: 0, ties: 0 };
        hold(said, &loom.harness, Library::supplied(), &loom.routing, &mut counted);
        assert_eq!((counted.clamps, counted.ties), (clamps, ties), "{said}");
    }
    assert!(Length::from_mm(304.0) < ties_beyond().value && ties_beyond().value < Length::from_mm(305.0));
}
