//! Small signs for the lists at a place: what kind of thing is fitted there. All are this drawing's own and stand in
//! its legend; all fit into 3.2 mm by 2.8 mm.

use crate::draw::block::Sign;
use crate::draw::geometry::{Area, Mm, Point, mm};
use crate::draw::mark::Mark;
use crate::draw::palette::Ink;
use crate::draw::scene::Scene;
use crate::draw::stroke::Stroke;
use crate::harness::DeviceClass;

fn boxed(at: Point, half_width: f64, half_height: f64) -> Area {
    Area::between(at.by(mm(-half_width), mm(-half_height)), at.by(mm(half_width), mm(half_height)))
}

/// The sign of a device of a class.
pub(super) fn of(class: &DeviceClass) -> Sign {
    match class {
        DeviceClass::Equipment => equipment,
        DeviceClass::Sensor => sensor,
        DeviceClass::Ground { .. } => ground,
        DeviceClass::Supply { .. } => supply,
        DeviceClass::InLine { .. } => in_line,
        DeviceClass::Splice { .. } => splice,
        DeviceClass::Stud { .. } => stud,
    }
}

/// Equipment: a box.
pub(super) fn equipment(scene: &mut Scene, mark: &Mark, at: Point) {
    scene.rect(mark, boxed(at, 1.4, 1.1), Stroke::MEDIUM.filled(Ink::BONE));
}

/// A probe, sender or pick-up: a tip on a shank.
pub(super) fn sensor(scene: &mut Scene, mark: &Mark, at: Point) {
    scene.circle(mark, at.by(mm(0.6), mm(0.0)), mm(0.9), Ink::BLACK);
    scene.line(mark, at.by(mm(-1.6), mm(0.0)), at, Stroke::WIDE);
}

/// A ground stud: the bars of earth.
pub(super) fn ground(scene: &mut Scene, mark: &Mark, at: Point) {
    for (down, half) in [(-0.6, 1.5), (0.3, 0.9), (1.2, 0.4)] {
        scene.line(mark, at.by(mm(-half), mm(down)), at.by(mm(half), mm(down)), Stroke::MEDIUM);
    }
    scene.line(mark, at.by(mm(0.0), mm(-1.4)), at.by(mm(0.0), mm(-0.6)), Stroke::MEDIUM);
}

/// A breaker or fuse: a link in a line.
pub(super) fn supply(scene: &mut Scene, mark: &Mark, at: Point) {
    scene.rect(mark, boxed(at, 1.0, 0.7), Stroke::MEDIUM.filled(Ink::WHITE));
    scene.line(mark, at.by(mm(-1.6), mm(0.0)), at.by(mm(1.6), mm(0.0)), Stroke::MEDIUM);
}

/// An in-line connector: two halves that meet.
pub(super) fn in_line(scene: &mut Scene, mark: &Mark, at: Point) {
    scene.rect(mark, boxed(at.by(mm(-0.8), mm(0.0)), 0.8, 0.5), Ink::BLACK);
    scene.polyline(
        mark,
        vec![
            at.by(mm(1.5), mm(-1.0)),
            at.by(mm(0.4), mm(-1.0)),
            at.by(mm(0.4), mm(1.0)),
            at.by(mm(1.5), mm(1.0)),
        ],
        Stroke::MEDIUM,
    );
}

/// A splice: a dot in a sleeve.
pub(super) fn splice(scene: &mut Scene, mark: &Mark, at: Point) {
    scene.rounded_rect(mark, boxed(at, 1.5, 0.9), mm(0.9), Stroke::MEDIUM.filled(Ink::WHITE));
    scene.dot(mark, at, mm(0.45), Ink::BLACK);
}

/// A stud or post: a dot in a ring.
pub(super) fn stud(scene: &mut Scene, mark: &Mark, at: Point) {
    scene.circle(mark, at, mm(1.2), Stroke::MEDIUM.filled(Ink::WHITE));
    scene.dot(mark, at, mm(0.5), Ink::BLACK);
}

/// The end of a device's own leads: a line with a bar across its end.
pub(super) fn lead_end(scene: &mut Scene, mark: &Mark, at: Point) {
    scene.line(mark, at.by(mm(-1.6), mm(0.0)), at.by(mm(1.0), mm(0.0)), Stroke::MEDIUM);
    scene.line(mark, at.by(mm(1.0), mm(-1.0)), at.by(mm(1.0), mm(1.0)), Stroke::WIDE);
}

/// A clamp on a run that is drawn so thick: its band across, level or upright.
pub(super) fn band(scene: &mut Scene, mark: &Mark, at: Point, thickness: Mm, level: bool) {
    let (along, across) = (mm(0.8), thickness / 2 + mm(0.6));
    let (dx, dy) = if level { (along, across) } else { (across, along) };
    scene.rect(mark, Area::between(at.by(-dx, -dy), at.by(dx, dy)), Stroke::MEDIUM.filled(Ink::WHITE));
}
