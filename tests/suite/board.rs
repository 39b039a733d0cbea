//! The boards, measured: every leg as long as it is, every conductor from stop to stop along its middle lines, nothing on
//! anything else, on the bench or said so.

use std::collections::{BTreeMap, BTreeSet};

use fairlead::draw::board::{Beyond, boards};
use fairlead::draw::{Board, Layer, Mm, Point, Scene, Shape, Step, TagKind, mm};
use fairlead::graph::{Bundles, LeastBends, Routing};
use fairlead::harness::{ConductorId, DeviceClass, Harness, PinSite, RunId};
use fairlead::parts::library::Library;
use fairlead::pipeline::beyond;
use fairlead::plan::Plan;

use crate::faces::{assert_clean, shipped, texts};
use crate::generator;
use crate::loom::Loom;

/// What is allowed between what is drawn and what is meant.
const EXACT: f64 = 0.1;

pub fn drawn(
    h: &Harness,
    library: &Library,
    routing: &Routing,
    banner: Option<&str>,
) -> (Vec<Board>, Vec<[Beyond; 2]>) {
    let plan = Plan::of(h, library, routing);
    let bundles = Bundles::of(h, library, routing);
    let beyond = beyond(h, &plan);
    (boards(h, library, routing, &bundles, &beyond, &plan.fed_into, banner), beyond)
}

/// A middle line: what it stands for and the points along it, curves in small pieces.
struct Line<'s> {
    tags: Vec<(TagKind, &'s str)>,
    points: Vec<(f64, f64)>,
    length: f64,
    board: usize,
}

impl Line<'_> {
    fn run(&self) -> Option<&str> {
        self.tags.first().filter(|t| t.0 == TagKind::Run).map(|t| t.1)
    }

    fn ends(&self) -> [(i64, i64); 2] {
        let whole = |p: &(f64, f64)| ((p.0 * 1000.0).round() as i64, (p.1 * 1000.0).round() as i64);
        [whole(&self.points[0]), whole(&self.points[self.points.len() - 1])]
    }
}

/// Points of an outline; a cubic curve in 200 pieces.
pub fn traced(steps: &[Step]) -> Vec<(f64, f64)> {
    let xy = |p: &Point| (p.x.as_f64(), p.y.as_f64());
    let mut out = Vec::new();
    for step in steps {
        match step {
            Step::Move(p) | Step::Line(p) => out.push(xy(p)),
            Step::Curve(a, b, c) => {
                let (p0, p1, p2, p3) = (out[out.len() - 1], xy(a), xy(b), xy(c));
                out.extend((1..=200).map(|i| {
                    let t = f64::from(i) / 200.0;
                    let s = 1.0 - t;
                    let at = |q0: f64, q1: f64, q2: f64, q3: f64| {
                        s * s * s * q0 + 3.0 * s * s * t * q1 + 3.0 * s * t * t * q2 + t * t * t * q3
                    };
                    (at(p0.0, p1.0, p2.0, p3.0), at(p0.1, p1.1, p2.1, p3.1))
                }));
            }
            Step::Close => {}
        }
    }
    out
}

/// Middle lines are the chain lines of legs and tails.
fn lines(boards: &[Board]) -> Vec<Line<'_>> {
    let mut out = Vec::new();
    for (board, drawn) in boards.iter().enumerate() {
        for item in drawn.scene.items().iter().filter(|i| i.mark.layer == Layer::Symbol) {
            let Shape::Path(steps) = &item.shape else { continue };
            let tags = item.mark.tags().iter().map(|t| (t.kind, &*t.id)).collect();
            let points = traced(steps);
            let length = points.windows(2).map(|p| dist(p[0], p[1])).sum();
            out.push(Line { tags, points, length, board });
        }
    }
    out
}

fn measure(
    name: &str,
    h: &Harness,
    library: &Library,
    routing: &Routing,
    boards: &[Board],
    beyond: &[[Beyond; 2]],
) {
    let scenes: Vec<Scene> = boards.iter().map(|b| b.scene.clone()).collect();
    assert_clean(name, &scenes);
    let lines = lines(boards);
    legs_are_as_long_as_they_are(name, h, &lines);
    bends_are_wide_enough(name, h, library, routing, &scenes);
    conductors_are_whole(name, h, routing, boards, &lines, beyond);
    what_does_not_fit_says_so(name, h, boards);
}

/// Each run that carries anything once, as long as measured, and its length in words once.
fn legs_are_as_long_as_they_are(name: &str, h: &Harness, lines: &[Line]) {
    let routing = Routing::lay_out(h);
    for (run, inside) in h.runs.iter().zip(&routing.in_run) {
        let own: Vec<&Line> = lines.iter().filter(|l| l.run() == Some(&run.name)).collect();
        assert_eq!(own.len(), usize::from(!inside.is_empty()), "{name}: {}", run.name);
        for line in own {
            let off = line.length - run.length.value.mm();
            assert!(off.abs() < EXACT, "{name}: {} is {off} mm too long", run.name);
        }
    }
}

/// Every arc of a leg or tail is at least as wide as the wires in it ask for, at its inner side.
fn bends_are_wide_enough(name: &str, h: &Harness, library: &Library, routing: &Routing, scenes: &[Scene]) {
    let bundles = Bundles::of(h, library, routing);
    for item in scenes.iter().flat_map(Scene::items).filter(|i| i.mark.layer == Layer::Symbol) {
        let (Shape::Path(steps), Some(run)) = (&item.shape, item.mark.tags().first()) else { continue };
        let of_run = h.runs.iter().position(|r| run.kind == TagKind::Run && *r.name == *run.id);
        let tagged = |id: &ConductorId| {
            let mark = &*h.conductor(*id).mark;
            item.mark.tags().iter().any(|t| t.kind == TagKind::Conductor && *t.id == *mark)
        };
        let inside: Vec<ConductorId> = match of_run {
            Some(id) => routing.in_run[id].clone(),
            None => h.conductor_ids().filter(tagged).collect(),
        };
        let Some(bends) = LeastBends::of(h, library, &inside) else { continue };
        let least = bends.to_keep().radius.value.mm();
        // What shares a tail is at least as thick together as it is drawn.
        let half = match of_run {
            Some(id) => bundles.run(RunId::at(id)).diameter().mm() / 2.0,
            None => 0.0,
        };
        let mut pen = Point::default();
        for step in steps {
            if let Step::Curve(_, _, to) = step {
                // Radius from chord and tangent: a curve of the tested way starts and ends along its tangents.
                let piece = traced(&[Step::Move(pen), *step]);
                let n = piece.len();
                let (a, b, c) = (piece[0], piece[n / 2], piece[n - 1]);
                let (ab, bc, ca) = (dist(a, b), dist(b, c), dist(c, a));
                let area = ((b.0 - a.0) * (c.1 - a.1) - (c.0 - a.0) * (b.1 - a.1)).abs() / 2.0;
                let radius = ab * bc * ca / (4.0 * area);
                assert!(radius - half > least - 0.1, "{name}: {}: {radius} − {half} < {least}", run.id);
                pen = *to;
            } else if let Step::Move(to) | Step::Line(to) = step {
                pen = *to;
            }
        }
    }
}

fn dist(a: (f64, f64), b: (f64, f64)) -> f64 {
    (a.0 - b.0).hypot(a.1 - b.1)
}

type Letters = BTreeMap<(usize, String), Vec<Point>>;

/// Ringed letters with where they stand: what is broken off goes on at the same letter of the same board.
fn letters(boards: &[Board]) -> Letters {
    let mut out = Letters::new();
    for (i, board) in boards.iter().enumerate() {
        for item in board.scene.items() {
            let Shape::Circle { centre, radius } = item.shape else { continue };
            if radius != mm(2.8) || item.mark.layer != Layer::Symbol {
                continue;
            }
            let inside = |at: &Point| (at.x - centre.x).abs() < mm(2.0) && (at.y - centre.y).abs() < mm(2.0);
            let letter = board.scene.items().iter().find_map(|other| match &other.shape {
                Shape::Text(text) if inside(&text.at) && other.mark.layer == Layer::Label => {
                    Some(text.words.clone())
                }
                _ => None,
            });
            out.entry((i, letter.unwrap_or_else(|| panic!("a ring without a letter"))))
                .or_default()
                .push(centre);
        }
    }
    out
}

/// The lines of a conductor hang together from end to end and sum to its way and both its tails.
fn conductors_are_whole(
    name: &str,
    h: &Harness,
    routing: &Routing,
    boards: &[Board],
    lines: &[Line],
    beyond: &[[Beyond; 2]],
) {
    let letters = letters(boards);
    for (letter, places) in &letters {
        assert_eq!(places.len(), 2, "{name}: letter {letter:?}");
    }
    let mut of: BTreeMap<&str, Vec<&Line>> = BTreeMap::new();
    for line in lines {
        for (_, mark) in line.tags.iter().filter(|t| t.0 == TagKind::Conductor) {
            of.entry(mark).or_default().push(line);
        }
    }
    for id in h.conductor_ids() {
        let c = h.conductor(id);
        let own: Vec<&Line> = of.remove(&*c.mark).unwrap_or_default();
        let Some(path) = routing.path_of(h, id) else {
            assert!(own.is_empty(), "{name}: {}", c.mark);
            continue;
        };
        let on: BTreeSet<usize> = own.iter().map(|l| l.board).collect();
        let held = |pin| {
            let pin = h.pin(pin);
            let splice = matches!(h.device(pin.device).class, DeviceClass::Splice { .. });
            !splice && !matches!(pin.site, PinSite::Screen(_))
        };
        let tails: f64 = [c.from, c.to]
            .iter()
            .zip(beyond[id.index()])
            .filter(|(pin, _)| held(**pin))
            .map(|(_, b)| b.laid().mm())
            .sum();
        // A wire that comes back over a leg lies in it twice, but the leg is drawn once.
        let passed: BTreeSet<RunId> = path.runs.iter().copied().filter(|_| !c.drain).collect();
        let runs: f64 = passed.iter().map(|r| h.run(*r).length.value.mm()).sum();
        // Both halves of a mated connector, and two cavities of one, share a tail: it is then drawn once.
        let drawn: f64 = own.iter().map(|l| l.length).sum();
        let shared = [c.from, c.to].map(|p| h.pin(p).device);
        if shared[0] != shared[1] {
            assert!(
                (drawn - runs - tails).abs() < 4.0 * EXACT,
                "{name}: {}: {drawn} for {runs} + {tails}",
                c.mark
            );
        }
        if own.is_empty() {
            assert!(runs + tails == 0.0, "{name}: {} is not drawn", c.mark);
            continue;
        }
        assert_eq!(on.len(), 1, "{name}: {} on one board", c.mark);
        // Runs of its way, each once.
        let runs: BTreeSet<&str> = own.iter().filter_map(|l| l.run()).collect();
        let expected: BTreeSet<&str> =
            if c.drain { BTreeSet::new() } else { path.runs.iter().map(|r| &*h.run(*r).name).collect() };
        assert_eq!(runs, expected, "{name}: {}", c.mark);
        hangs_together(name, &c.mark, &own, &letters);
    }
}

/// Lines that share a point belong together; where a letter stands near a point, so do those at its twin.
fn hangs_together(name: &str, mark: &str, own: &[&Line], letters: &Letters) {
    let mut group: Vec<usize> = (0..own.len()).collect();
    let join = |group: &mut Vec<usize>, a: usize, b: usize| {
        let (from, to) = (group[a], group[b]);
        group.iter_mut().filter(|g| **g == from).for_each(|g| *g = to);
    };
    for a in 0..own.len() {
        for b in 0..a {
            if own[a].ends().iter().any(|p| own[b].ends().contains(p)) {
                join(&mut group, a, b);
            }
        }
    }
    if group.iter().collect::<BTreeSet<_>>().len() > 1 {
        // The ring stands in the card of a place or at the start of a piece: within a card's size of the point.
        let near = |line: &Line, at: &Point| {
            let close = |p: &(i64, i64)| {
                let (dx, dy) = (p.0 - at.x.um(), p.1 - at.y.um());
                dx.abs() < 110_000 && dy.abs() < 80_000
            };
            line.ends().iter().any(close)
        };
        for ((board, _), twins) in letters {
            if own[0].board != *board {
                continue;
            }
            for a in 0..own.len() {
                for b in 0..own.len() {
                    if near(own[a], &twins[0]) && near(own[b], &twins[1]) {
                        join(&mut group, a, b);
                    }
                }
            }
        }
    }
    let parts = group.iter().collect::<BTreeSet<_>>().len();
    assert_eq!(parts, 1, "{name}: {mark} lies in {parts} parts");
}

fn what_does_not_fit_says_so(name: &str, h: &Harness, boards: &[Board]) {
    for board in boards {
        let bench = h.shop.bench;
        let (width, depth) = (Mm::from(bench.width.value), Mm::from(bench.depth.value));
        let within = board.area.width() <= width + mm(3.0) && board.area.height() <= depth + mm(3.0);
        let said = texts(&board.scene).any(|(_, t)| t.contains("does not fit"));
        assert_eq!(board.fits_bench, !said, "{name}");
        assert!(!board.fits_bench || within, "{name}: {:?}", board.area);
    }
}

#[test]
fn the_shipped_looms_lie_flat_and_whole() {
    for (name, found) in shipped() {
        for banner in [None, Some("BUILT DESPITE FINDINGS: 2 stop. See the findings sheet.")] {
            let (boards, beyond) = drawn(&found.harness, &found.library, &found.routing, banner);
            measure(&name, &found.harness, &found.library, &found.routing, &boards, &beyond);
        }
    }
}

/// Runs that close a ring: each of them has to be broken somewhere, and nothing else.
fn rings(h: &Harness, routing: &Routing) -> usize {
    let mut of: Vec<usize> = (0..h.places.len()).collect();
    fn root(of: &[usize], mut at: usize) -> usize {
        while of[at] != at {
            at = of[at];
        }
        at
    }
    let used = h.runs.iter().zip(&routing.in_run).filter(|(_, inside)| !inside.is_empty());
    let closes = |(run, _): &(&fairlead::harness::Run, _)| {
        let [a, b] = run.ends.map(|end| root(&of, end.index()));
        of[a] = b;
        a == b
    };
    used.filter(closes).count()
}

#[test]
fn looms_go_on_the_bench_with_nothing_broken_off() {
    for (name, found) in shipped() {
        let (boards, _) = drawn(&found.harness, &found.library, &found.routing, None);
        assert!(boards.iter().all(|board| board.fits_bench), "{name}");
        let broken = letters(&boards).len() - rings(&found.harness, &found.routing);
        // Runs of a boat are longer than the bench is wide: one of its legs finds no place beside the trunk.
        assert!(broken <= usize::from(name == "workboat"), "{name}: {broken} legs are laid apart");
    }
}

#[test]
fn generated_looms_lie_flat_and_whole() {
    let library = Library::supplied();
    for seed in 1..=50 {
        let conductors = 2 + usize::try_from(seed * 7 % 60).unwrap();
        let loom = Loom::sound(&generator::spec(seed, conductors));
        let (boards, beyond) = drawn(&loom.harness, library, &loom.routing, None);
        measure(&format!("seed {seed}"), &loom.harness, library, &loom.routing, &boards, &beyond);
    }
}

/// Holes are told from the other pegs.
#[test]
fn holes_are_squares_around_their_pegs() {
    for (name, found) in shipped() {
        let h = &found.harness;
        let (boards, _) = drawn(h, &found.library, &found.routing, None);
        for hole in &h.holes {
            let squares = boards.iter().flat_map(|b| b.scene.items()).filter(|item| {
                item.mark.id(TagKind::Hole) == Some(&hole.name) && matches!(item.shape, Shape::Rect { .. })
            });
            let place = h.place(hole.place);
            let drawn = boards
                .iter()
                .flat_map(|b| texts(&b.scene))
                .any(|(item, words)| item.mark.layer == Layer::Label && words == place.name);
            assert_eq!(squares.count() > 0, drawn, "{name}: {}", hole.name);
        }
    }
}

/// A splice on a leg is drawn as long as it is with its cover.
#[test]
fn splices_are_as_long_as_they_are() {
    let mut measured = 0;
    for (name, found) in shipped() {
        let h = &found.harness;
        let (boards, _) = drawn(h, &found.library, &found.routing, None);
        for (i, device) in h.devices.iter().enumerate() {
            let DeviceClass::Splice { part: Some(part), .. } = device.class else { continue };
            if found.routing.shift_of[i].is_none() {
                continue;
            }
            let part = found.library.splices.get(part);
            let cover = part.covering.as_deref().and_then(|name| found.library.coverings.look_up(name));
            let length = part.length.max(cover.and_then(|(_, c)| c.piece).unwrap_or_default());
            let outline = boards.iter().flat_map(|b| b.scene.items()).find_map(|item| match &item.shape {
                Shape::Polyline { points, .. }
                    if item.mark.layer == Layer::Symbol
                        && item.mark.tags().first().is_some_and(|t| *t.id == *device.name)
                        && points.len() > 10 =>
                {
                    Some(points.clone())
                }
                _ => None,
            });
            let outline = outline.unwrap_or_else(|| panic!("{name}: {} is not drawn", device.name));
            // Both long sides: one of a bend is longer, the other shorter, so that their middle counts.
            let side =
                |points: &[Point]| points.windows(2).map(|p| p[0].distance(p[1]).as_f64()).sum::<f64>();
            let half = outline.len() / 2;
            let middle = (side(&outline[..half]) + side(&outline[half..half * 2])) / 2.0;
            assert!((middle - length.mm()).abs() < 0.5, "{name}: {}: {middle} for {length}", device.name);
            measured += 1;
        }
    }
    assert!(measured > 0);
}

/// A drain lead goes into its shell with the cores: as long from the peg, and in the same tail.
#[test]
fn drain_leads_share_the_tail_of_their_shell() {
    let mut drains = 0;
    for (name, found) in shipped() {
        let h = &found.harness;
        let (boards, beyond) = drawn(h, &found.library, &found.routing, None);
        for id in h.conductor_ids().filter(|id| h.conductor(*id).drain) {
            let c = h.conductor(id);
            let laid = |pin, beyond: [Beyond; 2]| if pin == c.from { beyond[0] } else { beyond[1] };
            for pin in [c.from, c.to] {
                let PinSite::Cavity { connector, .. } = h.pin(pin).site else { continue };
                let device = h.device(h.pin(pin).device);
                let shell = format!("{}.{}", device.name, device.connectors[connector as usize].name);
                let own = laid(pin, beyond[id.index()]).laid();
                let mates = h.conductor_ids().flat_map(|other| {
                    let o = h.conductor(other);
                    [(o.from, beyond[other.index()][0]), (o.to, beyond[other.index()][1])]
                });
                for (other, b) in mates {
                    let same =
                        matches!(h.pin(other).site, PinSite::Cavity { connector: c, .. } if c == connector);
                    if same && h.pin(other).device == h.pin(pin).device && b.reach.um() == 0 {
                        assert_eq!(b.laid(), own, "{name}: {} beside {}", c.mark, h.pin(other).name);
                    }
                }
                let stubs = boards
                    .iter()
                    .flat_map(|b| texts(&b.scene))
                    .filter(|(item, words)| *words == shell && item.mark.layer == Layer::Label);
                assert_eq!(stubs.count(), 1, "{name}: {shell}");
                drains += 1;
            }
        }
    }
    assert!(drains > 0);
}
