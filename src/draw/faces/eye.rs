//! The sign of a view: a connector half from the side with its wires, and an eye on the side that is looked from. This
//! drawing's own; it stands in its legend.

use super::plate::Side;
use crate::draw::geometry::{Area, Extent, Mm, Point, mm};
use crate::draw::mark::Mark;
use crate::draw::palette::Ink;
use crate::draw::scene::{Scene, Step};
use crate::draw::stroke::Stroke;

/// Room that the sign takes.
pub(super) const SIZE: Extent = Extent::new(mm(18.0), mm(6.0));

/// Draws it with its upper left corner at `corner`: wires to the left, the mating side to the right.
pub(super) fn draw(scene: &mut Scene, mark: &Mark, corner: Point, side: Side) {
    let middle = corner.by(Mm::ZERO, SIZE.height / 2);
    let (eye, shell) = match side {
        Side::WireEntry => (mm(2.2), mm(11.0)),
        Side::Mating => (mm(15.8), mm(5.2)),
    };
    let body = Area::between(middle.by(shell, mm(-2.6)), middle.by(shell + mm(3.6), mm(2.6)));
    let tongue = Area::between(middle.by(shell + mm(3.6), mm(-1.6)), middle.by(shell + mm(5.4), mm(1.6)));
    scene.rect(mark, tongue, Stroke::THIN.filled(Ink::WHITE));
    scene.rect(mark, body, Stroke::MEDIUM.filled(Ink::MIST));
    for y in [-1.5, 0.0, 1.5] {
        scene.line(mark, middle.by(shell - mm(4.4), mm(y)), middle.by(shell, mm(y)), Stroke::WIDE);
    }
    lid(scene, mark, middle.by(eye, Mm::ZERO));
}

/// An eye, seen from the front.
fn lid(scene: &mut Scene, mark: &Mark, at: Point) {
    let (left, right) = (at.by(mm(-2.2), Mm::ZERO), at.by(mm(2.2), Mm::ZERO));
    let up = [at.by(mm(-1.0), mm(-1.9)), at.by(mm(1.0), mm(-1.9))];
    let down = [at.by(mm(1.0), mm(1.9)), at.by(mm(-1.0), mm(1.9))];
    let steps = vec![
        Step::Move(left),
        Step::Curve(up[0], up[1], right),
        Step::Curve(down[0], down[1], left),
        Step::Close,
    ];
    scene.path(mark, steps, Stroke::MEDIUM.filled(Ink::WHITE));
    scene.dot(mark, at, mm(0.75), Ink::BLACK);
}
