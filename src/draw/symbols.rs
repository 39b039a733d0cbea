//! Graphic symbols, placed into a scene. Meanings and shapes follow the descriptions of IEC 60617 (numbers of
//! the 1996 edition, from memory where the reference list says so); what that standard does not have is
//! marked `own` and must stand in the drawing's legend.
//!
//! A symbol grows from its connecting point `at` in the direction it is `facing`; symbols with two ends
//! return the other one.

use super::geometry::{Area, Mm, Point, mm};
use super::mark::Mark;
use super::palette::Ink;
use super::scene::Scene;
use super::stroke::{Dash, Stroke};

/// The direction from a conductor's end into a symbol.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Facing {
    /// Towards growing x.
    Right,
    /// Towards growing y.
    Down,
    /// Towards falling x.
    Left,
    /// Towards falling y.
    Up,
}

impl Facing {
    /// The opposite direction.
    pub fn back(self) -> Facing {
        match self {
            Facing::Right => Facing::Left,
            Facing::Down => Facing::Up,
            Facing::Left => Facing::Right,
            Facing::Up => Facing::Down,
        }
    }

    /// The place `along` ahead of `at` and `across` to the right hand of one who looks that way.
    pub fn ahead(self, at: Point, along: Mm, across: Mm) -> Point {
        match self {
            Facing::Right => at.by(along, across),
            Facing::Down => at.by(-across, along),
            Facing::Left => at.by(-along, -across),
            Facing::Up => at.by(across, -along),
        }
    }
}

/// Length from end to end of the symbols that sit in a conductor.
pub const INLINE: Mm = mm(10.0);
/// Radius of the dot where conductors join.
pub const DOT: Mm = mm(0.9);

/// Places drawn relative to a symbol's connecting point, in millimetres.
struct Pose {
    at: Point,
    facing: Facing,
}

impl Pose {
    fn point(&self, along: f64, across: f64) -> Point {
        self.facing.ahead(self.at, mm(along), mm(across))
    }

    fn line(&self, scene: &mut Scene, mark: &Mark, from: (f64, f64), to: (f64, f64), stroke: Stroke) {
        scene.line(mark, self.point(from.0, from.1), self.point(to.0, to.1), stroke);
    }

    fn area(&self, from: (f64, f64), to: (f64, f64)) -> Area {
        Area::between(self.point(from.0, from.1), self.point(to.0, to.1))
    }
}

/// Junction of conductors: a filled dot (03-02-01).
pub fn junction(scene: &mut Scene, mark: &Mark, at: Point) {
    scene.dot(mark, at, DOT, Ink::BLACK);
}

/// Terminal: an open circle (03-02-02).
pub fn terminal(scene: &mut Scene, mark: &Mark, at: Point) {
    scene.circle(mark, at, mm(1.1), Stroke::MEDIUM.filled(Ink::WHITE));
}

/// Terminal strip: a row of boxes (03-02-03), `cells` of `pitch` by `depth`, downwards from `corner`.
/// Returns each box.
pub fn terminal_strip(
    scene: &mut Scene,
    mark: &Mark,
    corner: Point,
    cells: usize,
    pitch: Mm,
    depth: Mm,
) -> Vec<Area> {
    let boxes: Vec<Area> = (0..cells)
        .map(|i| {
            let top = corner.by(Mm::ZERO, pitch.times(i));
            Area::between(top, top.by(depth, pitch))
        })
        .collect();
    for area in &boxes {
        scene.rect(mark, *area, Stroke::MEDIUM.filled(Ink::WHITE));
    }
    boxes
}

/// Stud that takes several terminals: a terminal with a dot in it (own).
pub fn stud(scene: &mut Scene, mark: &Mark, at: Point) {
    scene.circle(mark, at, mm(1.75), Stroke::MEDIUM.filled(Ink::WHITE));
    scene.dot(mark, at, mm(0.75), Ink::BLACK);
}

/// Splice: a sleeve across the conductor with the junction in it (own).
pub fn splice(scene: &mut Scene, mark: &Mark, at: Point, facing: Facing) {
    let pose = Pose { at, facing };
    scene.rounded_rect(mark, pose.area((-2.5, -1.5), (2.5, 1.5)), mm(1.5), Stroke::MEDIUM.filled(Ink::WHITE));
    junction(scene, mark, at);
}

/// Earth, ground: three shortening bars (02-15-01).
pub fn earth(scene: &mut Scene, mark: &Mark, at: Point, facing: Facing) {
    let pose = Pose { at, facing };
    pose.line(scene, mark, (0.0, 0.0), (2.5, 0.0), Stroke::WIDE);
    for (along, half) in [(2.5, 3.0), (3.7, 1.9), (4.9, 0.8)] {
        pose.line(scene, mark, (along, -half), (along, half), Stroke::WIDE);
    }
}

/// Protective earth: the same inside a circle (02-15-03).
pub fn protective_earth(scene: &mut Scene, mark: &Mark, at: Point, facing: Facing) {
    let pose = Pose { at, facing };
    scene.circle(mark, pose.point(4.0, 0.0), mm(4.0), Stroke::MEDIUM);
    pose.line(scene, mark, (0.0, 0.0), (3.2, 0.0), Stroke::WIDE);
    for (along, half) in [(3.2, 2.6), (4.4, 1.7), (5.6, 0.8)] {
        pose.line(scene, mark, (along, -half), (along, half), Stroke::WIDE);
    }
}

/// Frame, chassis: a bar with slanted strokes (02-15-04).
pub fn chassis(scene: &mut Scene, mark: &Mark, at: Point, facing: Facing) {
    let pose = Pose { at, facing };
    pose.line(scene, mark, (0.0, 0.0), (2.5, 0.0), Stroke::WIDE);
    pose.line(scene, mark, (2.5, -3.0), (2.5, 3.0), Stroke::WIDE);
    for across in [-3.0, 0.0, 3.0] {
        pose.line(scene, mark, (2.5, across), (4.7, across - 1.6), Stroke::MEDIUM);
    }
}

/// Fuse: a rectangle with the line through it (07-21-01).
pub fn fuse(scene: &mut Scene, mark: &Mark, at: Point, facing: Facing) -> Point {
    let pose = Pose { at, facing };
    scene.rect(mark, pose.area((1.75, -1.25), (8.25, 1.25)), Stroke::MEDIUM.filled(Ink::WHITE));
    pose.line(scene, mark, (0.0, 0.0), (10.0, 0.0), Stroke::WIDE);
    pose.point(10.0, 0.0)
}

/// Resistor: a rectangle (04-01-01).
pub fn resistor(scene: &mut Scene, mark: &Mark, at: Point, facing: Facing) -> Point {
    let pose = Pose { at, facing };
    pose.line(scene, mark, (0.0, 0.0), (1.75, 0.0), Stroke::WIDE);
    pose.line(scene, mark, (8.25, 0.0), (10.0, 0.0), Stroke::WIDE);
    scene.rect(mark, pose.area((1.75, -1.25), (8.25, 1.25)), Stroke::MEDIUM.filled(Ink::WHITE));
    pose.point(10.0, 0.0)
}

/// Circuit breaker: a switch blade, a cross on its fixed contact (07-13-05).
pub fn breaker(scene: &mut Scene, mark: &Mark, at: Point, facing: Facing) -> Point {
    let pose = Pose { at, facing };
    pose.line(scene, mark, (0.0, 0.0), (2.5, 0.0), Stroke::WIDE);
    pose.line(scene, mark, (2.5, 0.0), (7.0, -2.2), Stroke::WIDE);
    pose.line(scene, mark, (7.5, 0.0), (10.0, 0.0), Stroke::WIDE);
    pose.line(scene, mark, (6.6, -0.9), (8.4, 0.9), Stroke::MEDIUM);
    pose.line(scene, mark, (6.6, 0.9), (8.4, -0.9), Stroke::MEDIUM);
    pose.point(10.0, 0.0)
}

/// Lamp: a circle with a cross (08-10-01, from memory).
pub fn lamp(scene: &mut Scene, mark: &Mark, at: Point, facing: Facing) -> Point {
    let pose = Pose { at, facing };
    pose.line(scene, mark, (0.0, 0.0), (2.5, 0.0), Stroke::WIDE);
    pose.line(scene, mark, (7.5, 0.0), (10.0, 0.0), Stroke::WIDE);
    scene.circle(mark, pose.point(5.0, 0.0), mm(2.5), Stroke::MEDIUM.filled(Ink::WHITE));
    // The cross meets the circle: 2.5 mm over the root of two.
    let reach = 1.768;
    for side in [-reach, reach] {
        pose.line(scene, mark, (5.0 - reach, -side), (5.0 + reach, side), Stroke::MEDIUM);
    }
    pose.point(10.0, 0.0)
}

/// Thermocouple: two lines that meet in the measuring junction, the negative one thick (08-06-01). Returns
/// the junction, ahead of the middle between both leads.
pub fn thermocouple(scene: &mut Scene, mark: &Mark, plus: Point, minus: Point, facing: Facing) -> Point {
    let middle = Area::between(plus, minus).centre();
    let tip = facing.ahead(middle, mm(6.0), Mm::ZERO);
    scene.line(mark, plus, tip, Stroke::MEDIUM);
    scene.line(mark, minus, tip, Stroke::BAR);
    tip
}

/// Twisted conductors: a slanted stroke across them (03-01-08). `spread` is the distance between the outer
/// conductors, `at` the middle between them.
pub fn twist(scene: &mut Scene, mark: &Mark, at: Point, facing: Facing, spread: Mm) {
    let reach = spread / 2 + mm(1.2);
    let slant = mm(1.0);
    scene.line(mark, facing.ahead(at, -slant, -reach), facing.ahead(at, slant, reach), Stroke::MEDIUM);
}

/// Screen: a dashed oval around the conductors (03-01-07). Returns the point of the oval where a drain
/// conductor is joined, on the right hand.
pub fn screen(scene: &mut Scene, mark: &Mark, at: Point, facing: Facing, spread: Mm) -> Point {
    oval(scene, mark, at, facing, spread, Stroke::THIN.dashed(Dash::Dashed))
}

/// Conductors in a cable: an oval around them (part 3). Returns as [`screen`] does.
pub fn cable(scene: &mut Scene, mark: &Mark, at: Point, facing: Facing, spread: Mm) -> Point {
    oval(scene, mark, at, facing, spread, Stroke::THIN)
}

fn oval(scene: &mut Scene, mark: &Mark, at: Point, facing: Facing, spread: Mm, stroke: Stroke) -> Point {
    let (half, reach) = (mm(1.5), spread / 2 + mm(1.75));
    let area = Area::between(facing.ahead(at, -half, -reach), facing.ahead(at, half, reach));
    scene.rounded_rect(mark, area, half, stroke);
    facing.ahead(at, Mm::ZERO, reach)
}

/// Coaxial pair: a circle around the conductor, a tangent along it (part 3).
pub fn coaxial(scene: &mut Scene, mark: &Mark, at: Point, facing: Facing) {
    let pose = Pose { at, facing };
    scene.circle(mark, at, mm(1.75), Stroke::THIN);
    pose.line(scene, mark, (-3.0, 1.75), (3.0, 1.75), Stroke::THIN);
}

/// Male contact: a filled bar (03-03-03). Returns its tip.
pub fn male(scene: &mut Scene, mark: &Mark, at: Point, facing: Facing) -> Point {
    let pose = Pose { at, facing };
    scene.rect(mark, pose.area((0.0, -0.5), (3.0, 0.5)), Ink::BLACK);
    pose.point(3.0, 0.0)
}

/// Female contact: an arc, open ahead (03-03-01).
pub fn female(scene: &mut Scene, mark: &Mark, at: Point, facing: Facing) {
    let pose = Pose { at, facing };
    scene.arc(mark, pose.point(1.5, 1.5), pose.point(1.5, -1.5), mm(1.5), Stroke::MEDIUM);
}

/// Plug and socket mated: a bar in an arc (03-03-05), the male side at `at`. Returns the female side's end.
pub fn mated(scene: &mut Scene, mark: &Mark, at: Point, facing: Facing) -> Point {
    let pose = Pose { at, facing };
    male(scene, mark, at, facing);
    let end = pose.point(4.2, 0.0);
    female(scene, mark, end, facing.back());
    end
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::draw::mark::Layer;

    fn drawn(draw: impl Fn(&mut Scene, &Mark, Point, Facing), facing: Facing) -> Area {
        let mut scene = Scene::default();
        draw(&mut scene, &Mark::new(Layer::Symbol), Point::default(), facing);
        scene.bounds().unwrap()
    }

    #[test]
    fn symbols_grow_the_way_they_face() {
        for draw in [earth, chassis, protective_earth] {
            assert!(drawn(draw, Facing::Down).max.y > mm(4.0));
            assert!(drawn(draw, Facing::Up).min.y < mm(-4.0));
            assert!(drawn(draw, Facing::Right).max.x > mm(4.0));
            assert!(drawn(draw, Facing::Left).min.x < mm(-4.0));
        }
    }

    #[test]
    fn a_symbol_turned_is_the_same_size() {
        for draw in [earth, chassis, female, splice, coaxial] {
            let (down, left) = (drawn(draw, Facing::Down), drawn(draw, Facing::Left));
            assert!((down.width() - left.height()).abs() <= mm(0.02));
            assert!((down.height() - left.width()).abs() <= mm(0.02));
        }
    }

    #[test]
    fn two_ended_symbols_end_where_they_say() {
        let mut scene = Scene::default();
        let mark = Mark::new(Layer::Symbol);
        for draw in [fuse, resistor, breaker, lamp] {
            let far = draw(&mut scene, &mark, Point::default(), Facing::Right);
            assert_eq!(far, Point::new(INLINE, Mm::ZERO));
        }
        let end = mated(&mut scene, &mark, Point::default(), Facing::Right);
        assert!(end.x > mm(3.0) && end.y == Mm::ZERO);
    }

    #[test]
    fn the_socket_opens_ahead() {
        let area = drawn(female, Facing::Right);
        // The arc's back touches the conductor's end; its mouth lies ahead.
        assert!(area.min.x > mm(-0.3) && area.max.x < mm(1.8), "{area:?}");
    }
}
