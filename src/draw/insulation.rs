//! A conductor's corners and the colour of its insulation in; its line out.
//!
//! The line is dark at its edges whatever the colour, so white, yellow and black are equally seen on paper;
//! the colour is a thin core in it, a tracer colour is dashes on that core. The letters of the colour belong
//! beside it: the core alone says nothing on a black-and-white print.

use super::geometry::{Point, mm};
use super::mark::Mark;
use super::palette::Ink;
use super::scene::Scene;
use super::stroke::{Dash, LineWidth, Stroke};
use crate::trade::colour::Colour;

/// What is known of the insulation's colours; [`Insulation::of`] takes them from the wire's colour.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Insulation {
    /// Ground colour; None where the spec names none.
    pub base: Option<Ink>,
    /// Tracer or second colour; a third one is told by its letters only.
    pub tracer: Option<Ink>,
}

impl Insulation {
    /// The inks of a wire's colour; None where the spec names none.
    pub fn of(colour: Option<Colour>) -> Insulation {
        Insulation {
            base: colour.map(|c| Ink::from(c.base())),
            tracer: colour.and_then(|c| c.stripes().next()).map(Ink::from),
        }
    }
}

const EDGE: LineWidth = LineWidth::Measured(mm(0.9));
const CORE: LineWidth = LineWidth::Measured(mm(0.5));

/// Draws a conductor through `points`: 0.5 mm where no colour is known, 0.9 mm with a coloured core where one
/// is.
pub fn conductor(scene: &mut Scene, mark: &Mark, points: &[Point], insulation: Insulation) {
    let Some(base) = insulation.base else {
        scene.polyline(mark, points.to_vec(), Stroke::WIDE);
        return;
    };
    let edge = Stroke { width: EDGE, dash: Dash::Solid, ink: Ink::BLACK };
    scene.polyline(mark, points.to_vec(), edge);
    if base != Ink::BLACK {
        let core = Stroke { width: CORE, dash: Dash::Solid, ink: base };
        scene.polyline(mark, points.to_vec(), core);
    }
    if let Some(tracer) = insulation.tracer {
        let dashes = Stroke { width: CORE, dash: Dash::Tracer, ink: tracer };
        scene.polyline(mark, points.to_vec(), dashes);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::draw::geometry::Mm;
    use crate::draw::mark::{Layer, TagKind};

    #[test]
    fn every_colour_keeps_a_dark_edge() {
        let mark = Mark::new(Layer::Conductor).with(TagKind::Conductor, "W1");
        let ends = [Point::default(), Point::new(mm(10.0), Mm::ZERO)];
        for base in [Ink::WHITE, Ink::BLACK, Ink::new(255, 220, 0)] {
            let mut scene = Scene::default();
            let insulation = Insulation { base: Some(base), tracer: Some(Ink::new(0, 120, 60)) };
            conductor(&mut scene, &mark, &ends, insulation);
            let strokes: Vec<Stroke> = scene.items().iter().filter_map(|i| i.paint.stroke).collect();
            assert_eq!(strokes[0].ink, Ink::BLACK);
            let edge = (strokes[0].width.width() - CORE.width()) / 2;
            assert!(edge >= mm(0.18), "an edge thinner than the thinnest line is not seen");
            assert!(scene.items().iter().all(|i| i.mark.id(TagKind::Conductor) == Some("W1")));
        }
    }
}
