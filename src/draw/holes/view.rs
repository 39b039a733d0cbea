//! A hole with everything in it and a scale in; its picture out: lining, bore, each conductor in the colours of its
//! insulation, and dashed what may still be added, all to scale. Where one scale does not serve both, what is in the hole
//! is drawn larger beside it.

use super::opening::{Laid, Numbered, Opening};
use crate::draw::block::{Block, words};
use crate::draw::geometry::{Area, Mm, Point, mm};
use crate::draw::insulation::Insulation;
use crate::draw::lettering::Lettering;
use crate::draw::mark::{Layer, Mark, TagKind};
use crate::draw::palette::Ink;
use crate::draw::scale::Scale;
use crate::draw::scene::{Anchor, Scene, Turn};
use crate::draw::stroke::{Dash, Stroke};
use crate::draw::wire_end;
use crate::harness::Harness;
use crate::parts::library::Library;
use crate::quantity::Length;
use crate::trade::packing::Circle;

/// Between dimension lines.
const STEP: Mm = mm(7.0);
const FIGURE: Lettering = Lettering::SMALL;

/// How much is lettered on every conductor.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Words {
    Number,
    NumberAndLetters,
}

/// A core in its place, from the middle of its cable; its radius on paper.
struct Core<'a> {
    conductor: &'a Numbered,
    dx: Mm,
    dy: Mm,
    radius: Mm,
}

/// True where every conductor can be lettered so.
pub(super) fn lettered(
    h: &Harness,
    library: &Library,
    opening: &Opening,
    scale: Scale,
    words: Words,
) -> bool {
    opening.laid.iter().all(|laid| {
        cores(h, library, laid, scale).iter().all(|core| {
            let (insulation, lines) = told(h, core.conductor);
            let lines: Vec<&str> = lines.iter().map(String::as_str).collect();
            let wanted = if words == Words::Number { lines.get(..1).unwrap_or_default() } else { &lines };
            wire_end::holds(core.radius, insulation, wanted)
        })
    })
}

/// Insulation, and number and letters of a conductor.
fn told(h: &Harness, conductor: &Numbered) -> (Insulation, [String; 2]) {
    let colour = h.conductor(conductor.id).colour.value;
    (Insulation::of(Some(colour)), [conductor.number.to_string(), colour.code()])
}

/// How the picture of a hole is made.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum View {
    /// One picture at this scale.
    Whole(Scale),
    /// The hole at a smaller scale, and what is in it at a larger one beside it (ISO 128, details; from memory).
    Detailed {
        /// Of the hole.
        hole: Scale,
        /// Of what is in it.
        bundle: Scale,
    },
}

impl View {
    /// Scale of the hole: the principal one, which the caption names. A detail says its own.
    pub fn hole_scale(self) -> Scale {
        match self {
            View::Whole(scale) | View::Detailed { hole: scale, .. } => scale,
        }
    }
}

/// Draws it around the origin; returns it with the rectangle that it takes.
pub(super) fn draw(h: &Harness, library: &Library, opening: &Opening, view: View) -> (Scene, Area) {
    let mut scene = Scene::default();
    match view {
        View::Whole(scale) => {
            surround(&mut scene, h, opening, scale);
            for laid in &opening.laid {
                strand(&mut scene, h, library, opening, laid, scale, on_paper(&laid.circle, scale));
            }
            others(&mut scene, h, opening, &opening.others, scale);
            added(&mut scene, h, opening, opening.spare(view), scale);
            dimensions(&mut scene, h, opening, scale);
        }
        View::Detailed { hole, bundle } => detailed(&mut scene, h, library, opening, hole, bundle),
    }
    let area = scene.bounds().unwrap_or_default();
    (scene, area)
}

/// Hole and bundle on the left, the bundle in larger scale on the right.
fn detailed(
    scene: &mut Scene,
    h: &Harness,
    library: &Library,
    opening: &Opening,
    hole: Scale,
    bundle: Scale,
) {
    surround(scene, h, opening, hole);
    others(scene, h, opening, &opening.packed.0, hole);
    added(scene, h, opening, opening.packed.1, hole);
    dimensions(scene, h, opening, hole);
    // What is drawn larger: a ring around it, and its letter outside the hole.
    let note = opening.mark(h, Layer::Note);
    let middle = on_paper(&Circle { diameter: Length::ZERO, ..opening.bundle_middle() }, hole);
    let ring = hole.of(opening.bundle.diameter()) / 2 + mm(0.8);
    scene.circle(&note, middle, ring, Stroke::HAIR);
    let outside = (middle.x + ring).max(hole.of(opening.widest()) / 2) + mm(3.0);
    scene.line(&note, middle.by(ring, Mm::ZERO), Point::new(outside, middle.y), Stroke::HAIR);
    let letter = Lettering::PLAIN.bold();
    let at = Point::new(outside + mm(1.0), middle.y + letter.height.capital() / 2);
    scene.text(&note, at, "A", letter);
    let taken = scene.bounds().unwrap_or_default();
    let left = taken.max.x + mm(8.0);
    let mut caption = Block::default();
    let says = format!("A, {bundle}, as packed");
    caption.add(&[words(&says, FIGURE.bold(), &note)], mm(60.0));
    let corner = Point::new(left, taken.min.y);
    caption.draw(scene, corner);
    let radius = bundle.of(opening.bundle.diameter()) / 2 + mm(1.2);
    let half = radius.max(caption.size().width / 2);
    let centre = Point::new(left + half, corner.y + caption.size().height + mm(2.0) + radius);
    scene.circle(&note, centre, radius, Stroke::HAIR);
    let zero = on_paper(&opening.bundle_middle(), bundle);
    for (laid, circle) in opening.laid.iter().zip(&opening.packed.0) {
        let from_middle = on_paper(circle, bundle);
        let at = centre.by(from_middle.x - zero.x, from_middle.y - zero.y);
        strand(scene, h, library, opening, laid, bundle, at);
    }
    for circle in opening.packed.0.iter().skip(opening.laid.len()) {
        let from_middle = on_paper(circle, bundle);
        let at = centre.by(from_middle.x - zero.x, from_middle.y - zero.y);
        other(scene, h, opening, at, bundle.of(circle.diameter));
    }
}

/// Round things that are not told apart.
fn others(scene: &mut Scene, h: &Harness, opening: &Opening, circles: &[Circle], scale: Scale) {
    for circle in circles {
        other(scene, h, opening, on_paper(circle, scale), scale.of(circle.diameter));
    }
}

fn other(scene: &mut Scene, h: &Harness, opening: &Opening, at: Point, diameter: Mm) {
    let symbol = opening.mark(h, Layer::Symbol);
    scene.circle(&symbol, at, (diameter / 2 - mm(0.09)).max(mm(0.1)), Stroke::HAIR.filled(GREY));
}

/// Wires where they are not told apart.
pub(super) const GREY: Ink = Ink::new(196, 202, 208);

/// Lining and bore.
fn surround(scene: &mut Scene, h: &Harness, opening: &Opening, scale: Scale) {
    let mark = opening.mark(h, Layer::Structure);
    let radius = |length: Length| scale.of(length) / 2;
    let middle = Point::default();
    if let Some((_, lining)) = opening.lining {
        scene.circle(&mark, middle, radius(lining.hole), Stroke::FRAME.filled(LINING));
    }
    if let Some(bore) = opening.clear() {
        let stroke = if opening.lining.is_some() { Stroke::WIDE } else { Stroke::FRAME };
        scene.circle(&mark, middle, radius(bore), stroke.filled(Ink::WHITE));
    }
}

/// What may still be added.
fn added(scene: &mut Scene, h: &Harness, opening: &Opening, spare: Option<Circle>, scale: Scale) {
    let Some(spare) = spare else { return };
    let mark = opening.mark(h, Layer::Note);
    let at = on_paper(&spare, scale);
    let radius = scale.of(spare.diameter) / 2 - mm(0.3);
    scene.circle(&mark, at, radius, Stroke::THIN.inked(Ink::SLATE).dashed(Dash::Dashed));
    figure_in(scene, &mark, at, radius, &format!("Ø {}", spare.diameter.show(h.header.units)));
}

/// Bore, and hole in the wall.
fn dimensions(scene: &mut Scene, h: &Harness, opening: &Opening, scale: Scale) {
    let mark = opening.mark(h, Layer::Structure);
    let radius = |length: Length| scale.of(length) / 2;
    let widest = radius(opening.widest());
    let mut down = widest + STEP;
    let units = h.header.units;
    // In both units what is bored: drills are bought in one of them.
    if let Some(bore) = opening.clear() {
        let shown = if opening.lining.is_some() { bore.show(units) } else { bore.show_both(units) };
        let words = [format!("bore Ø {shown}"), format!("Ø {shown}")];
        dimension(scene, &mark, (radius(bore), widest), down, &words);
        down += STEP;
    }
    if let Some((_, lining)) = opening.lining {
        let shown = lining.hole.show_both(units);
        let words = [format!("hole in the wall Ø {shown}"), format!("wall Ø {shown}")];
        dimension(scene, &mark, (radius(lining.hole), widest), down, &words);
    }
}

/// Between the wall's edge and the bore.
const LINING: Ink = Ink::new(229, 233, 237);

fn on_paper(circle: &Circle, scale: Scale) -> Point {
    Point::new(scale.of(circle.x), -scale.of(circle.y))
}

/// A wire, or a cable with its cores.
fn strand(
    scene: &mut Scene,
    h: &Harness,
    library: &Library,
    opening: &Opening,
    laid: &Laid,
    scale: Scale,
    at: Point,
) {
    if let Some(cable) = laid.cable {
        let names = laid.conductors.iter().map(|c| h.conductor(c.id).mark.as_str());
        let mark = Mark::new(Layer::Symbol).with(TagKind::Cable, &h.cable(cable).name);
        let mark = mark.with_all(TagKind::Conductor, names).with(TagKind::Hole, &opening.hole.name);
        let radius = scale.of(laid.circle.diameter) / 2;
        scene.circle(&mark, at, radius - mm(0.125), Stroke::THIN.filled(Ink::BONE));
        if library.wires.get(h.cable(cable).wire).screen.is_some() {
            scene.circle(&mark, at, radius - mm(0.7), Stroke::HAIR.dashed(Dash::Dashed));
        }
    }
    for core in cores(h, library, laid, scale) {
        let (insulation, lines) = told(h, core.conductor);
        let lines: Vec<&str> = lines.iter().map(String::as_str).collect();
        let fits = (1..=lines.len()).rev().filter_map(|n| lines.get(..n));
        let lines = fits.into_iter().find(|lines| wire_end::holds(core.radius, insulation, lines));
        let mark = opening.conductor_mark(h, core.conductor.id, Layer::Symbol);
        let centre = at.by(core.dx, core.dy);
        wire_end::draw(scene, &mark, centre, core.radius, insulation, lines.unwrap_or_default());
    }
}

/// The conductors of a strand. Cores lie as tight as they can; where a part's figures leave no room for them in its
/// jacket, they are drawn as large as there is room.
fn cores<'a>(h: &Harness, library: &Library, laid: &'a Laid, scale: Scale) -> Vec<Core<'a>> {
    let outer = scale.of(laid.circle.diameter) / 2;
    let Some(cable) = laid.cable else {
        let all = laid.conductors.iter();
        return all.map(|conductor| Core { conductor, dx: Mm::ZERO, dy: Mm::ZERO, radius: outer }).collect();
    };
    let screened = library.wires.get(h.cable(cable).wire).screen.is_some();
    let inner = outer - if screened { mm(0.95) } else { mm(0.4) };
    let natural = scale.of(laid.cores.diameter) / 2;
    let shrink = if natural > inner { inner.as_f64() / natural.as_f64().max(0.001) } else { 1.0 };
    let place = |(conductor, circle): (&'a Numbered, &Circle)| Core {
        conductor,
        dx: scale.of(circle.x).scaled(shrink),
        dy: -scale.of(circle.y).scaled(shrink),
        radius: (scale.of(circle.diameter) / 2).scaled(shrink),
    };
    laid.conductors.iter().zip(&laid.cores.circles).map(place).collect()
}

/// Words in the middle of a circle, where there is room for them.
fn figure_in(scene: &mut Scene, mark: &Mark, at: Point, radius: Mm, words: &str) {
    let half = crate::draw::lettering::width(words, FIGURE) / 2;
    if half + mm(1.0) < radius {
        let base = at.by(Mm::ZERO, FIGURE.height.capital() / 2);
        let mark = mark.on(Layer::Note);
        scene.text_at(&mark, base, words, FIGURE.inked(Ink::SLATE), Anchor::Middle, Turn::Level);
    }
}

/// A dimension of a circle of the first radius, `down` below the middle; its extension lines start outside the circle of
/// the second. Of its words the first stand on the line that have room there. Arrows and places by ISO 129 (from memory).
fn dimension(scene: &mut Scene, mark: &Mark, (radius, outer): (Mm, Mm), down: Mm, words: &[String; 2]) {
    let mark = mark.on(Layer::Note);
    let start = mm((outer.as_f64().powi(2) - radius.as_f64().powi(2)).max(0.0).sqrt()) + mm(1.2);
    let start = start.min(down);
    for x in [-radius, radius] {
        scene.line(&mark, Point::new(x, start), Point::new(x, down + mm(1.2)), Stroke::HAIR);
        let inwards = if x < Mm::ZERO { mm(2.6) } else { mm(-2.6) };
        let tip = Point::new(x, down);
        let head = vec![tip, tip.by(inwards, mm(-0.45)), tip.by(inwards, mm(0.45))];
        scene.polygon(&mark, head, Ink::BLACK);
    }
    scene.line(&mark, Point::new(-radius, down), Point::new(radius, down), Stroke::HAIR);
    let room = radius * 2 - mm(2.0);
    let fitting = words.iter().find(|words| crate::draw::lettering::width(words, FIGURE) <= room);
    if let Some(words) = fitting {
        let at = Point::new(Mm::ZERO, down - mm(1.2));
        scene.text_at(&mark, at, words, FIGURE, Anchor::Middle, Turn::Level);
        return;
    }
    // Beside it, clear of the other extension lines.
    let at = Point::new(outer + mm(2.0), down + FIGURE.height.capital() / 2);
    let [words, _] = words;
    scene.text(&mark, at, words, FIGURE);
}
