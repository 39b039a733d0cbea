//! A sheet's frame in; a graduation of 100 mm along its lower and its left edge out, by which a reader sees whether a print
//! is true to scale in both directions.
//!
//! Source: ISO 5457:1980, clause on the metric reference graduation (100 mm at least, parted every 10 mm, symmetric about a
//! centring mark, in the border beside the frame; from memory).

use super::geometry::{Area, Extent, Mm, Point, mm};
use super::lettering::Lettering;
use super::mark::Mark;
use super::scene::{Anchor, Scene, Turn};
use super::stroke::Stroke;

/// What the graduation measures.
pub const LENGTH: Mm = mm(100.0);
/// From one line to the next.
const STEP: Mm = mm(10.0);
/// How far a line reaches from the frame into the border.
const REACH: Mm = mm(1.2);
/// From the centring mark to where its words end: clear of the zone's own letter, which stands at 25 mm.
const WORDS: Mm = mm(48.5);
/// From the frame to the foot of the words.
const FOOT: Mm = mm(4.3);
const LETTERING: Lettering = Lettering::SMALL;

/// Draws both into the border of width `border` around `frame`, on a sheet of this size.
pub(super) fn draw(scene: &mut Scene, mark: &Mark, size: Extent, frame: Area, border: Mm) {
    let middle = Area::at(Point::default(), size).centre();
    let steps = LENGTH.um() / STEP.um() / 2;
    for i in -steps..=steps {
        // The ends reach across the border as the zones' own lines do, and the middle is the centring mark.
        let reach = if i.abs() == steps { border } else { REACH };
        let along = STEP * i;
        let below = Point::new(middle.x + along, frame.max.y);
        let beside = Point::new(frame.min.x, middle.y + along);
        scene.line(mark, below, below.by(Mm::ZERO, reach), Stroke::WIDE);
        scene.line(mark, beside, beside.by(-reach, Mm::ZERO), Stroke::WIDE);
    }
    let words = format!("{LENGTH} mm");
    let below = Point::new(middle.x + WORDS, frame.max.y + FOOT);
    scene.text_at(mark, below, &words, LETTERING, Anchor::End, Turn::Level);
    // Words that run up stand with their feet to the right.
    let beside = Point::new(frame.min.x - REACH - mm(0.55), middle.y - WORDS);
    scene.text_at(mark, beside, &words, LETTERING, Anchor::End, Turn::Up);
}
