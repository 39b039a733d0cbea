//! The harness in; the tables of runs and holes, the notes and the legend of the routing drawing out.

use super::card::{self, conductors};
use super::drawn::{LOOM, bored, is_fire, sleeve};
use super::job::Job;
use super::table::{Row, Table};
use crate::draw::block::{Block, words};
use crate::draw::geometry::{Area, Mm, Point, mm};
use crate::draw::legend::Legend;
use crate::draw::lettering::Lettering;
use crate::draw::mark::{Layer, Mark};
use crate::draw::palette::Ink;
use crate::draw::scene::{Anchor, Turn};
use crate::draw::signs;
use crate::draw::stroke::{Dash, Stroke};
use crate::graph::clamp::clamp_count;
use crate::harness::{Device, DeviceClass, DeviceId, HoleId, Place, PlaceId, Run, RunId};
use crate::quantity::Length;
use crate::trade::installation::support_spacing;

/// Where something of the spec stands on the drawing.
pub(super) type At<'a, Id> = &'a dyn Fn(Id) -> Option<Point>;

/// Runs, holes, and what is fitted.
pub(super) fn tables(job: &Job, at_run: At<RunId>, at_place: At<PlaceId>) -> Vec<Table> {
    let all = [runs(job, at_run), holes(job, at_place), fitted(job, at_place)];
    all.into_iter().filter(|table| table.len() > 0).collect()
}

/// Every run in the order of the spec, and the sum of all.
fn runs(job: &Job, at: At<RunId>) -> Table {
    let row = |(i, run): (usize, &Run)| {
        let id = RunId::at(i);
        let [from, to] = run.ends.map(|p| job.h.place(p).name.clone());
        // Of several runs between the same places the name ends in a number.
        let to = match run.name.strip_prefix(&format!("{from}-{to}")) {
            Some(more) if !more.is_empty() => format!("{to} ({})", more.trim_start_matches('-')),
            _ => to,
        };
        let bundle = job.bundles.run(id);
        let diameter = match bundle.conductors {
            0 => "–".to_owned(),
            _ => bundle.diameter().show(job.units),
        };
        let over = |name: &str| {
            let covering = job.library.coverings.look_up(name).filter(|_| bundle.conductors > 0);
            match covering {
                Some((_, part)) => {
                    format!("{name} (Ø {} over it)", bundle.covered_diameter(part).show(job.units))
                }
                None => name.to_owned(),
            }
        };
        let mut remarks: Vec<String> = run.cover.iter().map(|c| over(&c.value)).collect();
        remarks.extend(run.surface.map(|s| format!("surface {}", s.value.show(job.units))));
        remarks.extend(run.beside.iter().map(|x| format!("beside {}", x.words())));
        Row {
            mark: job.run_mark(id).on(Layer::Note),
            cells: vec![
                from,
                to,
                run.length.value.show(job.units),
                bundle.conductors.to_string(),
                diameter,
                clamped(job, run, bundle.conductors),
                remarks.join(", "),
            ],
            at: at(id),
        }
    };
    let mut rows: Vec<Row> = job.h.runs.iter().enumerate().map(row).collect();
    let sum: Length = job.h.runs.iter().map(|r| r.length.value).sum();
    rows.push(Row {
        mark: Mark::new(Layer::Note),
        cells: vec!["all runs".into(), String::new(), sum.show(job.units)],
        at: None,
    });
    let columns = [
        ("from", false),
        ("to", false),
        ("length", true),
        ("conductors", true),
        ("bundle Ø", true),
        ("clamps", true),
        ("cover, surroundings", false),
    ];
    Table::new("Runs", &columns, rows)
}

/// Clamps of a run that anything is laid along, and how far apart they may be.
fn clamped(job: &Job, run: &Run, conductors: usize) -> String {
    if conductors == 0 {
        return "–".to_owned();
    }
    format!("{} ≤ {}", clamp_count(run), card::pitch(job, run))
}

/// Every device that has a place, in the order of the spec.
fn fitted(job: &Job, at: At<PlaceId>) -> Table {
    let row = |(i, device): (usize, &Device)| {
        let id = DeviceId::at(i);
        let place = job.routing.place_of.get(i).copied().flatten()?;
        let told = card::told(job, id);
        let mut what = if device.title == device.name { String::new() } else { device.title.clone() };
        // What is told at the place begins with a title of the spec.
        let more = told.strip_prefix(&what).unwrap_or(&told).trim_start_matches(", ");
        if !more.is_empty() {
            what = if what.is_empty() { more.to_owned() } else { format!("{what}, {more}") };
        }
        let mark = job.device_mark(id, place).on(Layer::Note);
        let class = card::class_word(&device.class).to_owned();
        Some(Row {
            mark,
            cells: vec![device.name.clone(), class, what, job.h.place(place).name.clone()],
            at: at(place),
        })
    };
    let rows = job.h.devices.iter().enumerate().filter_map(row).collect();
    let columns = [("name", false), ("kind", false), ("what it is", false), ("at", false)];
    Table::new("What is fitted", &columns, rows)
}

/// Every hole.
fn holes(job: &Job, at: At<PlaceId>) -> Table {
    let row = |(i, hole): (usize, &crate::harness::Hole)| {
        let id = HoleId::at(i);
        let bundle = job.bundles.hole(id);
        let missing = || "not given".to_owned();
        let limit = hole.max_conductors.map(|m| m.value.to_string());
        let room = job.bundles.room(job.h, id);
        let packed = match room.diameter {
            Length::ZERO => "–".to_owned(),
            _ => room.diameter_words(job.units),
        };
        let fill = room.fill_words(job.units).map(|fill| {
            let most = hole.max_fill.map(|m| format!(" of {}", m.value.show(job.units)));
            format!("{fill}{}", most.unwrap_or_default())
        });
        let lining = hole.lining.map(|l| job.library.linings.name(l).to_owned());
        Row {
            mark: job.hole_mark(id).on(Layer::Note),
            cells: vec![
                hole.name.clone(),
                job.h.barrier(hole.barrier).name.clone(),
                hole.bore.map_or_else(missing, |b| b.value.show(job.units)),
                lining.unwrap_or_else(missing),
                hole.seal.clone().unwrap_or_else(missing),
                bundle.conductors.to_string(),
                hole.others.to_string(),
                limit.unwrap_or_else(|| "none".to_owned()),
                fill.unwrap_or_else(|| "not known".to_owned()),
                packed,
                room.more.show(job.units),
            ],
            at: at(hole.place),
        }
    };
    let rows = job.h.holes.iter().enumerate().map(row).collect();
    let columns = [
        ("hole", false),
        ("barrier", false),
        ("bore", true),
        ("lining", false),
        ("seal", false),
        ("own conductors", true),
        ("others", true),
        ("limit", true),
        ("fill", true),
        ("packed Ø", true),
        ("may be added, Ø", true),
    ];
    Table::new("Holes", &columns, rows)
}

/// Widths of the notes that are tried, from the one that reads best.
const NOTES: [Mm; 3] = [mm(96.0), mm(140.0), mm(200.0)];

/// What cannot be drawn, after what is to be said `first`: in one block of each width that there may be room for.
pub(super) fn notes(job: &Job, first: &[String]) -> Vec<Block> {
    let mut notes = first.to_vec();
    notes.extend([
        format!(
            "Clamps are counted with those at both ends of a run; one serves where two runs of one thickness meet. * The \
             spec gives no spacing, or a wider one: at most {}, except where the bundle lies in a trough, duct or conduit (AC 43.13-1B \
             par. 11-96a). The maker's own instructions come first.",
            support_spacing().at_most(job.units)
        ),
        "Bundle diameters are those of the tightest packing that was computed; a bundle laid by hand is thicker. Cores \
         are counted singly, a cable takes room by its jacket. ≥ stands where something in the hole has no known size: \
         own leads of devices, or conductors of other harnesses of which the spec does not give it. What may be added is \
         the thickest wire or cable that goes in beside the others and keeps the limits of count and fill."
            .into(),
    ]);
    let mut reaches = Vec::new();
    for device in &job.h.devices {
        for other in &device.trades_with {
            let other = job.h.device(other.value);
            let place = other.place.map(|p| job.h.place(p).name.as_str()).unwrap_or_default();
            reaches.push(format!("{} also reaches {} at {place}", device.name, other.name));
        }
    }
    if !reaches.is_empty() {
        notes.push(format!(
            "Probes that trade places; the spare length is tied up at their own place: {}.",
            reaches.join("; ")
        ));
    }
    let unplaced: Vec<&str> = job
        .h
        .devices
        .iter()
        .zip(&job.routing.place_of)
        .filter(|(_, place)| place.is_none())
        .map(|(d, _)| d.name.as_str())
        .collect();
    if !unplaced.is_empty() {
        notes.push(format!("⚠ Without a place, not drawn: {}.", unplaced.join(", ")));
    }
    let without = job
        .h
        .conductor_ids()
        .filter(|c| !job.h.conductor(*c).drain && job.routing.path_of(job.h, *c).is_none())
        .count();
    if without > 0 {
        notes.push(format!("⚠ Without a way along the route, in no run: {}.", conductors(without)));
    }
    let mark = Mark::new(Layer::Note);
    let block = |width: Mm| {
        let mut block = Block::default();
        block.add(&[words("Notes", Lettering::PLAIN.bold(), &mark)], width);
        for (i, note) in notes.iter().enumerate() {
            let entry = [
                words(&format!("{}.", i + 1), Lettering::SMALL.bold(), &mark),
                words(note, Lettering::SMALL, &mark),
            ];
            block.add(&entry, width);
        }
        block
    };
    NOTES.into_iter().map(block).collect()
}

/// Which of the two pictures is drawn, and what is in it that not every one has.
pub(super) enum Picture {
    Tree { broken: bool, open: bool },
    Map { crossings: usize, at_ends: bool },
}

/// What the signs mean; only those that are used.
pub(super) fn legend(job: &Job, picture: &Picture) -> Legend {
    let mut legend = Legend::new();
    let level = |a: Area| (Point::new(a.min.x, a.centre().y), Point::new(a.max.x, a.centre().y));
    let scale = match job.reduction {
        1 => "full size".to_owned(),
        n => format!("1:{n}"),
    };
    legend.entry(
        &format!("run; thickness of its line is that of the bundle, {scale}, 0.7 mm at least"),
        |s, m, a| {
            let (from, to) = level(a);
            s.line(m, from, to, Stroke::WIDE.measured(mm(3.0)).inked(LOOM));
        },
    );
    if job.h.runs.iter().zip(&job.weight).any(|(r, w)| *w == 0 && r.cover.is_none()) {
        legend.entry("run that nothing is laid along", |s, m, a| {
            let (from, to) = level(a);
            s.line(m, from, to, Stroke::MEDIUM.dashed(Dash::Dashed));
        });
    }
    for (fire, meaning) in
        [(true, "run in a fire sleeve"), (false, "run in a sleeve or cover other than for fire")]
    {
        let of = |run: &Run| run.cover.as_ref().is_some_and(|cover| is_fire(job, &cover.value) == fire);
        if job.h.runs.iter().any(of) {
            legend.entry(meaning, |s, m, a| {
                let (from, to) = level(a);
                sleeve(s, m, &[from, to], mm(3.6), fire);
            });
        }
    }
    if job.weight.iter().any(|count| *count > 0) {
        legend.entry(
            match picture {
                Picture::Map { at_ends: false, .. } => {
                    "clamps on this run, at both its ends and between; how many, and how far apart at most, stands beside \
                     its length"
                }
                _ => {
                    "clamp: at both ends of a run, and one in its middle for all between; how many, and how far apart at \
                     most, stands beside its length"
                }
            },
            |s, m, a| {
                let (from, to) = level(a);
                s.line(m, from, to, Stroke::WIDE.measured(mm(2.0)).inked(LOOM));
                signs::band(s, m, a.centre(), mm(2.0), true);
            },
        );
    }
    match picture {
        Picture::Tree { broken, open } => tree_signs(job, *broken, *open, &mut legend),
        Picture::Map { crossings, .. } => map_signs(job, *crossings, &mut legend),
    }
    let drawn = || job.devices_at.iter().flatten().map(|device| job.h.device(*device));
    let has = |wanted: fn(&DeviceClass) -> bool| drawn().any(|d| wanted(&d.class));
    let kinds: [(bool, &str, crate::draw::block::Sign); 7] = [
        (has(|c| matches!(c, DeviceClass::Equipment)), "equipment", signs::equipment),
        (has(|c| matches!(c, DeviceClass::Sensor)), "probe, sender or pick-up", signs::sensor),
        (has(|c| matches!(c, DeviceClass::Ground { .. })), "ground stud on a body", signs::ground),
        (has(|c| matches!(c, DeviceClass::Supply { .. })), "breaker or fuse", signs::supply),
        (has(|c| matches!(c, DeviceClass::InLine { .. })), "in-line connector", signs::in_line),
        (has(|c| matches!(c, DeviceClass::Splice { .. })), "splice", signs::splice),
        (has(|c| matches!(c, DeviceClass::Stud { .. })), "stud or post", signs::stud),
    ];
    for (used, meaning, sign) in kinds {
        if used {
            legend.entry(meaning, |s, m, a| sign(s, m, a.centre()));
        }
    }
    if job.leads_at.iter().any(|d| !d.is_empty()) {
        legend.entry("end of a device's own leads", |s, m, a| signs::lead_end(s, m, a.centre()));
    }
    legend
}

/// Signs of places, holes and walls on a tree.
fn tree_signs(job: &Job, broken: bool, open: bool, legend: &mut Legend) {
    let level = |a: Area| (Point::new(a.min.x, a.centre().y), Point::new(a.max.x, a.centre().y));
    legend.entry(
        "place: its name and what is fitted stand below its left end, or right of it where its line ends",
        |s, m, a| {
            let area = Area::between(a.centre().by(mm(-4.0), mm(-1.6)), a.centre().by(mm(4.0), mm(1.6)));
            s.rounded_rect(m, area, mm(1.6), Stroke::WIDE.filled(Ink::WHITE));
        },
    );
    for (lined, meaning) in
        [(true, "hole in a wall, with its lining"), (false, "hole in a wall, of which no lining is given")]
    {
        if job.h.holes.iter().any(|hole| hole.lining.is_some() == lined) {
            legend.entry(meaning, |s, m, a| {
                let at = a.centre();
                let wall = Area::between(at.by(mm(-2.0), mm(-3.8)), at.by(mm(2.0), mm(3.8)));
                s.rect(m, wall, Stroke::FRAME.filled(Ink::WHITE));
                bored(s, m, Area::between(at.by(mm(-3.2), mm(-1.6)), at.by(mm(3.2), mm(1.6))), lined);
            });
        }
    }
    if open {
        legend.entry("border of two zones that no wall parts", |s, m, a| {
            let x = a.centre().x;
            let (top, foot) = (Point::new(x, a.min.y + mm(0.5)), Point::new(x, a.max.y - mm(0.5)));
            s.line(m, top, foot, Stroke::MEDIUM.dashed(Dash::Chain));
        });
    }
    if broken {
        legend.entry("run broken off; it goes on at the same letter", |s, m, a| {
            let (from, _) = level(a);
            s.line(m, from, a.centre(), Stroke::WIDE.measured(mm(1.4)).inked(LOOM));
            s.circle(m, a.centre(), mm(2.8), Stroke::WIDE.filled(Ink::WHITE));
            // The letter's own ground inside the ring.
            s.rect(m, Area::between(a.centre(), a.centre()).grown(mm(1.5)), Ink::WHITE);
            let at = a.centre().by(Mm::ZERO, Lettering::SMALL.height.capital() / 2);
            s.text_at(m, at, "A", Lettering::SMALL.bold(), Anchor::Middle, Turn::Level);
        });
    }
}

/// Ground of a place's sign: that of its zone, white where it does not lie in one alone.
pub(super) fn zone_ink(job: &Job, place: &Place) -> Ink {
    match place.zones.as_slice() {
        [zone] if job.h.zone(*zone).hazards.is_empty() => Ink::MIST,
        [_] => Ink::SAND,
        _ => Ink::WHITE,
    }
}

/// The same on a map.
fn map_signs(job: &Job, crossings: usize, legend: &mut Legend) {
    let level = |a: Area| (Point::new(a.min.x, a.centre().y), Point::new(a.max.x, a.centre().y));
    let inks = || job.h.places.iter().filter(|p| p.hole.is_none()).map(|p| zone_ink(job, p));
    for (ink, meaning) in [
        (Ink::MIST, "place, where it lies, in a zone without hazards"),
        (Ink::SAND, "place, where it lies, in a zone with hazards"),
        (Ink::WHITE, "place between two zones, or in none"),
    ] {
        if inks().any(|used| used == ink) {
            legend.entry(meaning, move |s, m, a| {
                let area = Area::between(a.centre(), a.centre()).grown(mm(1.8));
                s.rounded_rect(m, area, mm(1.8), Stroke::WIDE.filled(ink));
            });
        }
    }
    if !job.h.holes.is_empty() {
        legend.entry("hole, and the wall that it is in", |s, m, a| {
            let (from, to) = level(a);
            s.line(m, from, to, Stroke::BAR.inked(Ink::SLATE));
            let area = Area::between(a.centre(), a.centre()).grown(mm(1.8));
            s.rect(m, area, Stroke::WIDE.filled(Ink::WHITE));
        });
    }
    if crossings > 0 {
        let times = if crossings == 1 { "once".to_owned() } else { format!("{crossings} times") };
        legend.entry(&format!("runs that pass and do not meet, {times}"), |s, m, a| {
            let (from, to) = level(a);
            let line = |width: f64, ink| Stroke::WIDE.measured(mm(width)).inked(ink);
            let (top, foot) = (a.centre().by(Mm::ZERO, mm(-3.0)), a.centre().by(Mm::ZERO, mm(3.0)));
            s.line(m, from, to, line(1.4, LOOM));
            s.line(m, top, foot, line(3.0, Ink::WHITE));
            s.line(m, top, foot, line(1.4, LOOM));
        });
    }
}
