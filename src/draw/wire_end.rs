//! A conductor seen end-on: its insulation in; a disc in the colours of the insulation, with what is lettered on it, out.
//!
//! Ground colour over all of it, a second colour as two pieces of the rim, a dark edge around it. The disc is as wide as
//! it is given, edge included, so that discs of conductors that touch do not overlap.

use super::geometry::{Mm, Point, mm};
use super::insulation::Insulation;
use super::lettering::{self, Lettering};
use super::mark::Mark;
use super::palette::Ink;
use super::scene::{Anchor, Scene, Turn};
use super::stroke::{LineWidth, Stroke};

/// Lettering on a disc.
pub const WORDS: Lettering = Lettering::SMALL.bold();

const EDGE: LineWidth = LineWidth::Thin;
/// Free space between lettering and the nearest line, beside it and above it, where round letters stand out.
const CLEAR: (f64, f64) = (0.16, 0.22);
/// Free space between two lines of lettering.
const BETWEEN: Mm = mm(0.7);

/// Draws the disc, and on it the lines of lettering, which must have room there (see [`holds`]).
pub fn draw(
    scene: &mut Scene,
    mark: &Mark,
    centre: Point,
    radius: Mm,
    insulation: Insulation,
    lines: &[&str],
) {
    let base = insulation.base.unwrap_or(Ink::WHITE);
    let edge = EDGE.width();
    scene.circle(mark, centre, radius - edge / 2, base);
    if let Some(tracer) = insulation.tracer {
        let band = band(radius);
        let at = radius - edge - band / 2;
        // An eighth of the way round to each side of the upright.
        let (side, rise) = (at.scaled(0.573_576_436), at.scaled(0.819_152_044));
        let stroke = Stroke::THIN.measured(band).inked(tracer);
        scene.arc(mark, centre.by(-side, -rise), centre.by(side, -rise), at, stroke);
        scene.arc(mark, centre.by(side, rise), centre.by(-side, rise), at, stroke);
    }
    scene.circle(mark, centre, radius - edge / 2, Stroke { width: EDGE, ..Stroke::THIN });
    let ink = if base.contrast(Ink::BLACK) >= base.contrast(Ink::WHITE) { Ink::BLACK } else { Ink::WHITE };
    let mut baseline = centre.y - height(lines.len()) / 2;
    for line in lines {
        baseline += WORDS.height.capital();
        let at = Point::new(centre.x, baseline);
        scene.text_at(mark, at, line, WORDS.inked(ink), Anchor::Middle, Turn::Level);
        baseline += BETWEEN;
    }
}

/// True where these lines have room on a disc of this radius.
pub fn holds(radius: Mm, insulation: Insulation, lines: &[&str]) -> bool {
    // A little less than to the edge: a circle is judged by the pieces that it is traced in.
    let free = (radius - EDGE.width()).as_f64() - 0.02;
    let tall = height(lines.len()).as_f64() / 2.0;
    let mut top = -tall;
    let capital = WORDS.height.capital().as_f64();
    let within = lines.iter().all(|line| {
        let half = lettering::width(line, WORDS).as_f64() / 2.0;
        let far = top.abs().max((top + capital).abs());
        top += capital + BETWEEN.as_f64();
        (half + CLEAR.0).hypot(far + CLEAR.1) <= free
    });
    // The pieces of the rim reach down to the sine of 55 degrees; lettering that is lower is clear of them.
    let under_rim = insulation.tracer.is_none()
        || tall + CLEAR.1 <= (radius - EDGE.width() - band(radius)).as_f64() * 0.819 - 0.02;
    within && under_rim
}

/// Width of the second colour's pieces.
fn band(radius: Mm) -> Mm {
    (radius / 5).max(mm(0.4))
}

fn height(lines: usize) -> Mm {
    let gaps = BETWEEN.times(lines.saturating_sub(1));
    WORDS.height.capital().times(lines) + gaps
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::draw::audit::audit;
    use crate::draw::mark::{Layer, TagKind};
    use crate::trade::colour::{Colour, Hue};

    fn all() -> Vec<Insulation> {
        let plain = Hue::all().map(|h| Insulation::of(Some(Colour::plain(h))));
        let striped = Colour::striped(Hue::White, &[Hue::Blue]);
        plain.chain([Insulation::of(striped), Insulation::of(None)]).collect()
    }

    #[test]
    fn what_holds_is_drawn_clean_and_within_the_radius() {
        let mark = Mark::new(Layer::Symbol).with(TagKind::Conductor, "W1");
        let mut held = 0;
        for insulation in all() {
            for lines in [&["7"][..], &["16"], &["128"], &["7", "WHBU"], &["128", "YE"]] {
                for tenth in 20..120 {
                    let radius = mm(f64::from(tenth) / 10.0);
                    if !holds(radius, insulation, lines) {
                        continue;
                    }
                    held += 1;
                    let mut scene = Scene::default();
                    scene.size = super::super::geometry::Extent::new(mm(40.0), mm(40.0));
                    let centre = Point::new(mm(20.0), mm(20.0));
                    draw(&mut scene, &mark, centre, radius, insulation, lines);
                    let report = audit(&scene);
                    assert_eq!(report.defects, [], "{lines:?} in {radius}: {report}");
                    let bounds = scene.bounds().unwrap();
                    assert!(bounds.width() <= radius * 2 + Mm::from_um(2), "{radius}: {}", bounds.width());
                }
            }
        }
        assert!(held > 4000);
    }

    #[test]
    fn lettering_on_every_colour_can_be_read() {
        for hue in Hue::all() {
            let base = Ink::from(hue);
            // WCAG 2.1, 1.4.3, large or bold lettering: 3 to 1; these reach the 4.5 to 1 of small lettering.
            assert!(base.contrast(Ink::BLACK).max(base.contrast(Ink::WHITE)) >= 4.5, "{hue:?}");
        }
    }
}
