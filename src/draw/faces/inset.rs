//! A connector half in; a small picture of its mating side, numbers only, the mirror image of the other view, out.

use super::half::Half;
use super::plate::{self, Side};
use crate::draw::geometry::{Area, Mm, mm};
use crate::draw::lettering::{self, Lettering};
use crate::draw::mark::Layer;
use crate::draw::palette::Ink;
use crate::draw::scale::Scale;
use crate::draw::scene::{Anchor, Scene, Turn};
use crate::harness::Harness;

const WIRED: Lettering = Lettering::SMALL.bold();
const EMPTY: Lettering = Lettering::SMALL.inked(Ink::SLATE);

/// Draws it at the smallest preferred scale at which the numbers stand apart; returns it with the rectangle it takes.
pub(super) fn draw(h: &Harness, half: &Half) -> (Scene, Area, Scale) {
    let face = &half.part.face;
    let widest = half.cavities().map(|c| lettering::width(c.name, WIRED)).max().unwrap_or_default();
    let tall = WIRED.height.capital();
    let apart = |scale: &Scale| {
        let rows = scale.of(face.row_pitch.unwrap_or(face.pitch));
        scale.of(face.pitch) >= widest + mm(0.9) && rows >= tall + mm(1.2)
    };
    let scale = Scale::enlarging().find(apart).unwrap_or(Scale::ALL[Scale::ALL.len() - 1]);
    let centres = plate::centres(face, scale, Side::Mating);
    let around = Area::around(centres.iter().flatten().copied()).unwrap_or_default();
    let (beside, over) = (scale.of(face.pitch) / 2 + mm(2.5), tall / 2 + mm(2.4));
    let area = Area::between(around.min.by(-beside, -over), around.max.by(beside, over));
    let lean = plate::lean(face, area) / 2;
    let area = Area::between(area.min.by(-lean, Mm::ZERO), area.max.by(lean, Mm::ZERO));
    let key = plate::key(half.part, Side::Mating);
    let mut scene = Scene::default();
    plate::draw(&mut scene, &half.mark(Layer::Device), half.part, area, key.as_ref());
    for (row, places) in half.rows.iter().zip(&centres) {
        for (cavity, centre) in row.iter().zip(places) {
            let lettering = if cavity.wires.is_empty() { EMPTY } else { WIRED };
            let mark = half.cavity_mark(h, cavity, Layer::Label);
            let at = centre.by(Mm::ZERO, tall / 2);
            scene.text_at(&mark, at, cavity.name, lettering, Anchor::Middle, Turn::Level);
        }
    }
    let area = scene.bounds().unwrap_or(area);
    (scene, area, scale)
}
