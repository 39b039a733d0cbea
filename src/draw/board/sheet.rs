//! A drawn loom in; the sheet that it needs out, with its notes, its signs and the title block.

use super::drawn::{self, Shown};
use super::hold;
use super::way::{Stand, Way};
use super::{Board, Job, card, tiles};
use crate::draw::block::{Block, Sign, words};
use crate::draw::geometry::{Area, Extent, Mm, Point, mm};
use crate::draw::legend::Legend;
use crate::draw::lettering::Lettering;
use crate::draw::mark::{Layer, Mark};
use crate::draw::palette::Ink;
use crate::draw::scene::Scene;
use crate::draw::sheet::{Format, Sheet};
use crate::draw::signs;
use crate::draw::stroke::{Dash, Stroke};
use crate::draw::title_block::TitleBlock;
use crate::harness::DeviceClass;
use crate::trade::installation::ties_beyond;

const GAP: Mm = mm(8.0);
/// Free space inside the frame.
const MARGIN: Mm = mm(6.0);
/// Width of the column of notes: the first where it fits, wider ones take less height.
const NOTES: [Mm; 3] = [mm(150.0), mm(220.0), mm(300.0)];
/// Widest legend.
const LEGEND: Mm = mm(330.0);

/// What kinds of things are held at its ends.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Kinds([bool; SIGNS.len()]);

/// What a thing at an end is, its sign and its words.
type Kind = (fn(&DeviceClass) -> bool, Sign, &'static str);

/// Signs that stand before the names of ends.
const SIGNS: [Kind; 6] = [
    (|class| matches!(class, DeviceClass::Equipment), signs::equipment, "equipment"),
    (|class| matches!(class, DeviceClass::Sensor), signs::sensor, "probe, sender or pick-up"),
    (|class| matches!(class, DeviceClass::Ground { .. }), signs::ground, "ground stud"),
    (|class| matches!(class, DeviceClass::Supply { .. }), signs::supply, "breaker or fuse"),
    (|class| matches!(class, DeviceClass::InLine { .. }), signs::in_line, "in-line connector"),
    (|class| matches!(class, DeviceClass::Stud { .. }), signs::stud, "stud or post"),
];

impl Kinds {
    pub fn of<'a>(classes: impl Iterator<Item = &'a DeviceClass>) -> Kinds {
        let mut kinds = [false; SIGNS.len()];
        for class in classes {
            for (seen, (is, ..)) in kinds.iter_mut().zip(SIGNS) {
                *seen |= is(class);
            }
        }
        Kinds(kinds)
    }
}

/// What one board must say of itself.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Told {
    pub fits: bool,
    pub folds: usize,
    pub letters: bool,
    pub shown: Shown,
    pub kinds: Kinds,
    pub splices: bool,
    pub holes: bool,
    /// True where wires are fed through a hole into one of its legs.
    pub fed: bool,
}

/// Where notes and signs stand.
#[derive(Clone, Copy, Debug, Default)]
struct Foot {
    /// Greatest width of the notes, and what they take.
    notes: (Mm, Area),
    legend: Area,
    legend_width: Mm,
}

/// Notes left of the title block, signs right of them; under them where that is too narrow. None where there is no room.
fn foot(sheet: &Sheet, width: Mm, notes: &Block, legend: &Legend) -> Option<Foot> {
    let room = sheet.beside_block.unwrap_or(sheet.drawing);
    let abreast = room.width() >= width + GAP + mm(90.0);
    let beside = if abreast { width + GAP } else { Mm::ZERO };
    let legend_width = (room.width() - beside).min(LEGEND);
    let (notes, legend) = (notes.size(), legend.measure(legend_width));
    let at = |x: Mm, foot: Mm, size: Extent| Area::at(Point::new(room.min.x + x, foot - size.height), size);
    let above = if abreast { Mm::ZERO } else { legend.height + GAP };
    let legend = at(beside, room.max.y, legend);
    let notes = at(Mm::ZERO, room.max.y - above, notes);
    let inside = |area: Area| area.max.x <= room.max.x && area.min.y >= sheet.drawing.min.y;
    (inside(notes) && inside(legend)).then_some(Foot { notes: (width, notes), legend, legend_width })
}

/// Puts a drawn loom on the smallest sheet that holds it: loom, notes, signs and title block keep off one another, and one
/// may reach beside the other.
pub(super) fn on_sheet(
    job: &Job,
    drawing: &Scene,
    told: &Told,
    block: &TitleBlock,
    banner: Option<&str>,
) -> Board {
    let area = drawing.bounds().unwrap_or_default().grown(mm(1.0));
    let legend = legend(told);
    let notes = NOTES.map(|width| (width, notes(job, area.extent(), told, width)));
    // What is drawn of the loom, in parts none of which is much larger than what is seen of it.
    let drawn: Vec<Area> = drawing.items().iter().flat_map(tiles::covered).collect();
    // Where notes and signs go on a sheet, with the widest notes where narrower ones are in the way of the loom.
    let footed = |sheet: &Sheet| notes.iter().find_map(|(width, notes)| foot(sheet, *width, notes, &legend));
    let fits = |sheet: &Sheet| {
        let corner = sheet.drawing.min;
        let room = Area { min: corner, max: sheet.frame.max.by(-MARGIN, -MARGIN) };
        if !room.contains(Area::at(corner, area.extent())) {
            return None;
        }
        let (dx, dy) = (corner.x - area.min.x, corner.y - area.min.y);
        let on_sheet = |part: &Area| Area { min: part.min.by(dx, dy), max: part.max.by(dx, dy) }.grown(GAP);
        let free = |taken: Area| !drawn.iter().any(|part| on_sheet(part).overlaps(taken));
        // The title block, with all that stands right of what lies beside it.
        let beside = sheet.beside_block.map_or(sheet.frame.min.x, |beside| beside.max.x);
        let block = Area { min: Point::new(beside, sheet.drawing.max.y), max: sheet.frame.max };
        if !free(block) {
            return None;
        }
        notes.iter().find_map(|(width, notes)| {
            let foot = foot(sheet, *width, notes, &legend)?;
            (free(foot.notes.1) && free(foot.legend)).then_some(foot)
        })
    };
    let formats = Format::series().into_iter().map(|f| Sheet::on(f, block, banner));
    // A roll is cut to length; its width is that of a sheet of the series, or what is needed.
    let width = Mm::from_um((area.width() + mm(44.0)).um().div_euclid(10_000) * 10_000 + 10_000);
    let width = width.max(mm(420.0));
    let long = |height: Mm| {
        let format = Format { name: format!("{height} × {width}"), size: Extent::new(width, height) };
        Sheet::on(format, block, banner)
    };
    let most = (area.height().um() / 10_000 + 60).max(0);
    let higher = (60..=most.max(60)).map(|tens| mm(10.0) * tens);
    let rolls = [297.0, 420.0, 594.0].map(mm).into_iter().chain(higher).map(long);
    let found = formats.chain(rolls).find_map(|sheet| fits(&sheet).map(|foot| (sheet, foot)));
    let (sheet, foot) = found.unwrap_or_else(|| {
        // Never so in what was tried; then all of it stands below the loom.
        let below = notes.first().map_or(Mm::ZERO, |(_, notes)| notes.size().height)
            + legend.measure(LEGEND).height
            + GAP * 3;
        let sheet = Sheet::fitting(Extent::new(area.width(), area.height() + below), block, banner);
        let foot = footed(&sheet).unwrap_or_default();
        (sheet, foot)
    });
    let mut scene = sheet.scene();
    let (dx, dy) = (sheet.drawing.min.x - area.min.x, sheet.drawing.min.y - area.min.y);
    scene.place(drawing, dx, dy);
    let (width, at) = foot.notes;
    if let Some((_, notes)) = notes.iter().find(|(own, _)| *own == width) {
        notes.draw(&mut scene, at.min);
    }
    legend.draw(&mut scene, foot.legend.min, foot.legend_width);
    let moved = |p: Point| p.by(dx, dy);
    Board { scene, area: Area { min: moved(area.min), max: moved(area.max) }, fits_bench: told.fits }
}

fn notes(job: &Job, size: Extent, told: &Told, width: Mm) -> Block {
    let show = |length| crate::quantity::Length::show_both(length, job.units);
    let bench = job.h.shop.bench;
    let by_default = bench.width.span.is_none() || bench.depth.span.is_none();
    let bench_words = format!(
        "{} × {}{}",
        show(bench.width.value),
        show(bench.depth.value),
        if by_default { " (the tool's usual, the spec names none)" } else { "" }
    );
    let mut notes: Vec<(String, bool)> = Vec::new();
    if told.fits {
        notes.push((format!("The loom lies on the bench of {bench_words}."), false));
    } else {
        let up = |length: Mm| crate::quantity::Length::from_um((length.um() + 9_999) / 10_000 * 10_000);
        let (width, height) = (show(up(size.width)), show(up(size.height)));
        let told = format!(
            "⚠ It does not fit the bench of {bench_words}: it takes {width} × {height}, laid out here at full size."
        );
        notes.push((told, true));
    }
    notes.push((
        "Full size. Lengths are measured along the middle line from peg to peg; tails from the peg to the stop. Lay the \
         middle of the bundle on the middle line."
            .to_owned(),
        false,
    ));
    notes.push((
        "Bends of legs and tails keep the radius that the wires in them ask for. Bundles are as thick as the tightest \
         packing; laid by hand they are thicker."
            .to_owned(),
        false,
    ));
    let beyond = ties_beyond();
    if told.shown.clamps {
        let told = "Clamps are fitted in the machine: as many between the ends of a run as the install sheet says, spread \
                    evenly. Those at its ends are not drawn: they sit at its pegs.";
        notes.push((told.to_owned(), false));
    }
    notes.push((
        format!(
            "Ties are at most {} apart (common practice, no source), on runs for which the spec gives no clamps, and \
             wherever clamps may be more than {} apart ({} {}). A covering holds without ties.",
            show(crate::quantity::Length::from_um(hold::TIES.um())),
            beyond.at_most(job.units),
            beyond.document,
            beyond.place
        ),
        false,
    ));
    notes.push((
        format!(
            "Wire labels go {} before the stop, on short tails in the middle (common practice, no source). `cut … longer` is the \
             reserve to terminate anew and what is folded back; rounding to the shop's step comes on top: see the cut list.",
            show(crate::quantity::Length::from_um(drawn::LABEL.um()))
        ),
        false,
    ));
    if told.fed {
        let told = "What is fed through a hole is left untied beyond it, and no sleeve or cover goes on there: both are done \
                    in the machine, after feeding: on the legs that say so.";
        notes.push((told.to_owned(), false));
    }
    let drained = job.h.conductor_ids().any(|id| job.h.conductor(id).drain);
    if drained {
        let told = "A drain lead is laid as long as the tail that it lies in. How much jacket comes off, and where its sleeve \
                    sits, stands in the crimp list.";
        notes.push((told.to_owned(), false));
    }
    if told.letters {
        let told = "What cannot lie flat or finds no room is broken off: it goes on where the same letter stands, and is joined \
                    there when the loom comes off the bench.";
        notes.push((told.to_owned(), false));
    }
    let without = job
        .h
        .conductor_ids()
        .filter(|c| !job.h.conductor(*c).drain && job.routing.path_of(job.h, *c).is_none())
        .count();
    if without > 0 {
        notes.push((
            format!("⚠ Without a way along the route, not drawn: {}.", card::conductors(without)),
            true,
        ));
    }
    let mark = Mark::new(Layer::Note);
    let mut block = Block::default();
    block.add(&[words("Notes", Lettering::PLAIN.bold(), &mark)], width);
    for (i, (note, alarm)) in notes.iter().enumerate() {
        let plain = if *alarm { Lettering::SMALL.bold().inked(Ink::ALARM) } else { Lettering::SMALL };
        let number = words(&format!("{}.", i + 1), Lettering::SMALL.bold(), &mark);
        block.add(&[number, words(note, plain, &mark)], width);
    }
    block
}

fn level(at: Point) -> Stand {
    Stand { at, dx: 1.0, dy: 0.0 }
}

fn sample(scene: &mut Scene, mark: &Mark, area: Area) {
    let (from, to) = (Point::new(area.min.x, area.centre().y), Point::new(area.max.x, area.centre().y));
    let line = |width: f64, ink| Stroke::WIDE.measured(mm(width)).inked(ink);
    scene.line(mark, from, to, line(4.0, drawn::EDGE));
    scene.line(mark, from, to, line(3.4, drawn::BUNDLE));
    scene.line(mark, from, to, Stroke::HAIR.dashed(Dash::Chain));
}

fn stop(scene: &mut Scene, mark: &Mark, area: Area) {
    let (x, y) = (area.max.x - mm(3.0), area.centre().y);
    scene.line(mark, Point::new(x, y - mm(3.2)), Point::new(x, y + mm(3.2)), Stroke::BAR);
}

fn legend(told: &Told) -> Legend {
    let mut legend = Legend::new();
    legend.entry("bundle at its true thickness; its middle line is what is measured", sample);
    legend.entry("peg at a place where legs meet or end: drill here", |s, m, a| {
        drawn::peg(m, a.centre(), s);
    });
    legend.entry("datum: the place from which lengths are laid", |s, m, a| {
        drawn::datum(m, a.centre(), s);
        drawn::peg(m, a.centre(), s);
    });
    if told.shown.bends {
        legend.entry("peg inside a bend", |s, m, a| {
            s.circle(m, a.centre(), super::way::PEG, Stroke::MEDIUM.filled(Ink::WHITE));
        });
    }
    if told.holes {
        legend.entry("hole in a wall, and the peg in its place", |s, m, a| {
            drawn::hole(m, a.centre(), s);
            drawn::peg(m, a.centre(), s);
        });
    }
    if told.shown.ties {
        legend.entry("tie", |s, m, a| {
            sample(s, m, a);
            drawn::tie(m, level(a.centre()), mm(2.0), s);
        });
    }
    if told.shown.covers {
        legend.entry("covering", |s, m, a| {
            sample(s, m, a);
            let way = Way::level(Point::new(a.min.x, a.centre().y), a.width());
            drawn::cover(m, &way, mm(2.0), s);
        });
    }
    if told.shown.clamps {
        legend.entry("clamp between the ends of a run, fitted in the machine", |s, m, a| {
            sample(s, m, a);
            drawn::clamp(m, level(a.centre()), mm(2.0), s);
        });
    }
    legend.entry("stop at the end of the wires", |s, m, a| {
        sample(s, m, Area { max: Point::new(a.max.x - mm(3.0), a.max.y), ..a });
        stop(s, m, a);
    });
    if told.shown.labels {
        legend.entry("place for the labels of the wires", |s, m, a| {
            sample(s, m, a);
            drawn::label(m, level(a.centre()), mm(4.0), mm(3.0), s);
        });
    }
    if told.shown.halves {
        legend.entry(
            "halves of an in-line connector, to one stop: plug black, receptacle open",
            |s, m, a| {
                sample(s, m, Area { max: Point::new(a.max.x - mm(3.0), a.max.y), ..a });
                stop(s, m, a);
                drawn::halves(m, level(a.centre().by(mm(2.0), Mm::ZERO)), mm(2.0), [true; 2], s);
            },
        );
    }
    if told.splices {
        legend.entry("splice in the bundle with its cover, as long as they are", |s, m, a| {
            sample(s, m, a);
            let way = Way::level(a.centre().by(mm(-6.0), Mm::ZERO), mm(12.0));
            drawn::splice_sign(m, &way, [Mm::ZERO, mm(12.0)], mm(3.2), s);
        });
    }
    if told.folds > 0 {
        legend.entry("fold: the leg is laid back on itself only on the bench", |s, m, a| {
            sample(s, m, a);
            let at = a.centre();
            s.line(m, at.by(Mm::ZERO, mm(-3.6)), at.by(Mm::ZERO, mm(3.6)), Stroke::BAR);
        });
    }
    if told.letters {
        legend.entry("broken off; goes on at the same letter", |s, m, a| card::ring(s, m, a.centre(), 0));
    }
    for (_, (_, sign, words)) in told.kinds.0.iter().zip(SIGNS).filter(|(seen, _)| **seen) {
        legend.entry(words, |s, m, a| sign(s, m, a.centre()));
    }
    legend
}
