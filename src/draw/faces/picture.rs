//! A connector half in; its face from the wire-entry side, every cavity with its number, its wire and the wire's mark
//! and colour letters, out: at the smallest preferred scale at which all of that can be lettered.

use super::half::{Cavity, Half, Wire};
use super::plate::{self, Side};
use crate::draw::geometry::{Area, Mm, Point, mm};
use crate::draw::insulation::Insulation;
use crate::draw::lettering::{self, Lettering};
use crate::draw::mark::Layer;
use crate::draw::palette::Ink;
use crate::draw::scale::Scale;
use crate::draw::scene::{Anchor, Scene, Turn};
use crate::draw::stroke::Stroke;
use crate::draw::wire_end;
use crate::harness::Harness;
use crate::parts::library::Library;

const NUMBER: Lettering = Lettering::SMALL.bold();
const MARK: Lettering = Lettering::SMALL.bold();
const CODE: Lettering = Lettering::SMALL;
const EMPTY: Lettering = Lettering::SMALL.inked(Ink::SLATE);
/// Between a ring and the number or label beside it.
const GAP: Mm = mm(1.3);
/// Between two labels side by side: about a letter.
const LETTER: Mm = mm(2.0);
/// Between the outline and a label outside of it.
const LABEL: Mm = mm(2.2);
/// Thinnest disc whose colour is seen at arm's length.
const LEAST_DISC: Mm = mm(2.2);
/// How far the square around a one-way contact lies beyond its ring.
const ONE_WAY: Mm = mm(0.9);

/// Where the labels stand.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Style {
    /// Each under its cavity.
    Inside,
    /// Above and below the outline: for one or two rows.
    Outside,
    /// The same, every second one further away on a leader.
    Staggered,
    /// Letters of the colour only, above and below the outline; the rest in the table.
    CodesOutside,
    /// Letters of the colour only, each under its cavity; the rest in the table.
    CodesInside,
    /// In the table only.
    Table,
}

/// What is measured before anything is drawn.
#[derive(Clone, Copy, Debug)]
struct Layout {
    scale: Scale,
    style: Style,
    pitch: Mm,
    row_pitch: Mm,
    ring: Mm,
    /// Whether the letters of the colour stand right of the ring.
    code_beside: bool,
    area: Area,
}

/// How much is said in the picture.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Labels {
    /// As much as there is room for.
    Full,
    /// The same at a smaller scale, on leaders.
    Close,
    /// Numbers and letters of the colours; the rest in the table.
    Codes,
    /// Numbers; the rest in the table.
    Numbers,
}

impl Labels {
    /// From all that may be said to the least.
    pub const ALL: [Labels; 4] = [Labels::Full, Labels::Close, Labels::Codes, Labels::Numbers];

    /// True where no more is said in this style.
    fn allows(self, style: Style) -> bool {
        match self {
            Labels::Full => true,
            Labels::Close => !matches!(style, Style::Inside | Style::Outside),
            Labels::Codes => style.is_coded() || style == Style::Table,
            Labels::Numbers => style == Style::Table,
        }
    }
}

impl Style {
    fn is_coded(self) -> bool {
        matches!(self, Style::CodesInside | Style::CodesOutside)
    }

    /// True where labels stand under their cavities.
    fn is_inside(self) -> bool {
        matches!(self, Style::Inside | Style::CodesInside)
    }
}

/// Draws the picture; returns it with its scale and the rectangle that it takes. No wider than `most`, where that is
/// possible.
pub(super) fn draw(
    h: &Harness,
    library: &Library,
    half: &Half,
    most: Mm,
    labels: Labels,
) -> (Scene, Area, Scale) {
    let layout = choose(h, half, most, labels);
    let mut scene = Scene::default();
    let key = plate::key(half.part, Side::WireEntry);
    plate::draw(&mut scene, &half.mark(Layer::Device), half.part, layout.area, key.as_ref());
    let centres = plate::centres(&half.part.face, layout.scale, Side::WireEntry);
    let [_, above, _, below] = plate::overhang(key.as_ref());
    for (r, (row, places)) in half.rows.iter().zip(&centres).enumerate() {
        let downwards = layout.numbers_out(half.rows.len()) && r > 0;
        // Labels of every second cavity stand beyond those of the others.
        let near = row.iter().step_by(2).map(|c| label_height(label(h, half, c, &layout).len())).max();
        let step = near.unwrap_or_default() + mm(2.4);
        for (c, (cavity, centre)) in row.iter().zip(places).enumerate() {
            seat(&mut scene, h, library, half, cavity, *centre, layout);
            let one_way = if is_one_way(library, cavity) { ONE_WAY } else { Mm::ZERO };
            let reach = layout.ring + one_way + GAP;
            let number = match downwards {
                true => centre.by(Mm::ZERO, reach + NUMBER.height.capital()),
                false => centre.by(Mm::ZERO, -reach),
            };
            let own = half.cavity_mark(h, cavity, Layer::Label);
            scene.text_at(&own, number, cavity.name, NUMBER, Anchor::Middle, Turn::Level);
            let lines = label(h, half, cavity, &layout);
            let height = label_height(lines.len());
            let upwards = r == 0 && half.rows.len() > 1;
            let beyond = if layout.style == Style::Staggered && c % 2 == 1 { step } else { Mm::ZERO };
            let edge = if upwards { layout.area.min.y - above } else { layout.area.max.y + below };
            let top = match layout.style {
                Style::Table => continue,
                Style::Inside | Style::CodesInside => centre.y + layout.ring + one_way + GAP,
                _ if upwards => edge - LABEL - beyond - height,
                _ => edge + LABEL + beyond,
            };
            if beyond > Mm::ZERO {
                // Letters reach below their line by a third of a capital.
                let (from, to) = if upwards {
                    (edge - mm(0.6), top + height + mm(1.3))
                } else {
                    (edge + mm(0.6), top - mm(0.7))
                };
                let (from, to) = (Point::new(centre.x, from), Point::new(centre.x, to));
                scene.line(&own.on(Layer::Symbol), from, to, Stroke::HAIR.inked(Ink::SLATE));
            }
            let mut baseline = top + MARK.height.capital();
            for (words, lettering, wire) in lines {
                let mark = wire.map_or_else(|| own.clone(), |w| half.wire_mark(h, cavity, w, Layer::Label));
                let at = Point::new(centre.x, baseline);
                scene.text_at(&mark, at, &words, lettering, Anchor::Middle, Turn::Level);
                baseline += lettering.height.pitch();
            }
            for wire in cavity.wires.iter().filter(|_| layout.code_beside) {
                let at = centre.by(layout.ring + ONE_WAY + GAP, CODE.height.capital() / 2);
                let mark = half.wire_mark(h, cavity, wire, Layer::Label);
                scene.text(&mark, at, &h.conductor(wire.id).colour.value.code(), CODE);
            }
        }
    }
    let area = scene.bounds().unwrap_or(layout.area);
    (scene, area, layout.scale)
}

/// Ring, square, wires or plug.
fn seat(
    scene: &mut Scene,
    h: &Harness,
    library: &Library,
    half: &Half,
    cavity: &Cavity,
    at: Point,
    layout: Layout,
) {
    // Under the wires, which lie on a later layer.
    let own = half.cavity_mark(h, cavity, Layer::Device);
    if is_one_way(library, cavity) {
        one_way(scene, &own, at, layout.ring);
    }
    let stroke = if cavity.wires.is_empty() { Stroke::THIN } else { Stroke::MEDIUM };
    scene.circle(&own, at, layout.ring, stroke.filled(Ink::WHITE));
    if cavity.wires.is_empty() && half.part.cavity_plug.is_some() {
        plug(scene, &own, at, layout.ring);
    }
    let count = i64::try_from(cavity.wires.len()).unwrap_or(1).max(1);
    let room = (layout.ring - mm(0.6)) / count;
    for (i, wire) in cavity.wires.iter().enumerate() {
        let radius = (layout.scale.of(wire.outside) / 2).min(room);
        let x = at.x - room * (count - 1) + (room * 2).times(i);
        let insulation = Insulation::of(Some(h.conductor(wire.id).colour.value));
        let mark = half.wire_mark(h, cavity, wire, Layer::Conductor);
        wire_end::draw(scene, &mark, Point::new(x, at.y), radius, insulation, &[]);
    }
}

/// The sign of a one-way contact: a square around the ring, which no other cavity has.
pub(super) fn one_way(scene: &mut Scene, mark: &crate::draw::mark::Mark, at: Point, ring: Mm) {
    let half = ring + ONE_WAY;
    let square = Area::between(at.by(-half, -half), at.by(half, half));
    scene.rect(mark, square, Stroke::WIDE.inked(Ink::ALARM).filled(Ink::WHITE));
}

/// The sign of a cavity plug.
pub(super) fn plug(scene: &mut Scene, mark: &crate::draw::mark::Mark, at: Point, ring: Mm) {
    scene.circle(mark, at, ring.scaled(0.62), Ink::SLATE);
}

pub(super) fn is_one_way(library: &Library, cavity: &Cavity) -> bool {
    cavity.wires.iter().filter_map(|w| w.contact).any(|c| library.contacts.get(c).one_way)
}

/// A line of a label.
type Line<'w> = (String, Lettering, Option<&'w Wire>);

/// The lines of a cavity's label: mark of each wire, and letters of its colour where they do not stand beside the ring.
fn label<'w>(h: &Harness, half: &Half, cavity: &'w Cavity, layout: &Layout) -> Vec<Line<'w>> {
    if cavity.wires.is_empty() {
        let words = if half.part.cavity_plug.is_some() { "plug" } else { "empty" };
        // Beside letters only, the ring says it.
        return if layout.style.is_coded() { Vec::new() } else { vec![(words.to_owned(), EMPTY, None)] };
    }
    let mut lines = Vec::new();
    for wire in &cavity.wires {
        let c = h.conductor(wire.id);
        if !layout.style.is_coded() {
            lines
                .extend(mark_lines(&c.mark, layout.label_width()).into_iter().map(|l| (l, MARK, Some(wire))));
        }
        if !layout.code_beside {
            lines.push((c.colour.value.code(), CODE, Some(wire)));
        }
    }
    lines
}

/// A wire mark broken before its hyphens; a piece that is too long by itself is broken anywhere.
fn mark_lines(mark: &str, width: Mm) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for piece in pieces(mark) {
        match lines.last_mut() {
            Some(last) if lettering::width(&format!("{last}{piece}"), MARK) <= width => last.push_str(&piece),
            _ => lines.extend(lettering::wrap(&piece, MARK, width)),
        }
    }
    lines
}

/// `E15A20-CHROM` is `E15A20` and `-CHROM`.
fn pieces(mark: &str) -> Vec<String> {
    let mut pieces: Vec<String> = Vec::new();
    for letter in mark.chars() {
        match pieces.last_mut() {
            Some(last) if letter != '-' => last.push(letter),
            _ => pieces.push(letter.to_string()),
        }
    }
    pieces
}

fn label_height(lines: usize) -> Mm {
    MARK.height.capital() + MARK.height.pitch().times(lines.saturating_sub(1))
}

impl Layout {
    fn label_width(&self) -> Mm {
        match self.style {
            // Between the leaders of both neighbours.
            Style::Staggered => self.pitch * 2 - mm(2.4),
            _ => self.pitch - LETTER,
        }
    }

    /// Whether the numbers of the second of two rows stand under it.
    fn numbers_out(&self, rows: usize) -> bool {
        !self.style.is_inside() && rows == 2
    }

    fn outside(&self) -> bool {
        matches!(self.style, Style::Outside | Style::Staggered | Style::CodesOutside)
    }
}

/// The first of these that can be lettered within `most`, else the first that can be lettered at all, else by its width.
fn choose(h: &Harness, half: &Half, most: Mm, labels: Labels) -> Layout {
    let at = |style: Style| Scale::enlarging().map(move |s| (s, style));
    let labelled = || Scale::enlarging().flat_map(|s| [(s, Style::Inside), (s, Style::Outside)]);
    let lay = |(scale, style): (Scale, Style)| lay_out(h, half, scale, style);
    let codes = || Scale::enlarging().flat_map(|s| [(s, Style::CodesOutside), (s, Style::CodesInside)]);
    let ways = labelled().chain(at(Style::Staggered)).chain(codes()).chain(at(Style::Table));
    let wanted = |(_, style): &(Scale, Style)| labels.allows(*style);
    let found = ways.filter(wanted).filter_map(lay).find(|layout| layout.area.width() <= most);
    let found = found.or_else(|| labelled().filter(wanted).chain(at(Style::Table)).find_map(lay));
    found.unwrap_or_else(|| measured(h, half, Scale::FULL, Style::Table))
}

/// The layout at this scale; None where something has no room.
fn lay_out(h: &Harness, half: &Half, scale: Scale, style: Style) -> Option<Layout> {
    let layout = measured(h, half, scale, style);
    let thinnest = half.wires().map(|w| scale.of(w.outside)).min()?;
    let number = half.cavities().map(|c| lettering::width(c.name, NUMBER)).max()?;
    let rows = half.rows.len();
    let side_by_side =
        layout.pitch >= number + LETTER && layout.pitch >= (layout.ring + ONE_WAY) * 2 + mm(1.2);
    let one_over_other = match style {
        _ if rows < 2 => true,
        _ if layout.numbers_out(rows) => layout.row_pitch >= (layout.ring + ONE_WAY) * 2 + mm(1.2),
        _ => layout.row_pitch >= cell_height(h, half, &layout),
    };
    let codes = half.wires().map(|w| lettering::width(&h.conductor(w.id).colour.value.code(), CODE));
    let fits_label = style == Style::Table
        || style.is_coded() && codes.max().unwrap_or_default() <= layout.label_width()
        || !style.is_coded() && layout.label_width() >= mm(11.0) && {
            let most = if style == Style::Inside { 2 } else { 3 };
            let width = layout.label_width();
            half.wires().map(|w| &h.conductor(w.id).mark).all(|mark| {
                mark_lines(mark, width).len() <= most
                    && pieces(mark).iter().all(|p| lettering::width(p, MARK) <= width)
            })
        };
    let outside = !layout.outside() || rows <= 2;
    (thinnest >= LEAST_DISC * 2 && side_by_side && one_over_other && fits_label && outside).then_some(layout)
}

/// From above the number to below the label.
fn cell_height(h: &Harness, half: &Half, layout: &Layout) -> Mm {
    let seat = NUMBER.height.capital() + GAP + (layout.ring + ONE_WAY) * 2 + mm(1.8);
    seat + if layout.style.is_inside() { GAP + tallest(h, half, layout) } else { Mm::ZERO }
}

fn tallest(h: &Harness, half: &Half, layout: &Layout) -> Mm {
    half.cavities().map(|c| label_height(label(h, half, c, layout).len())).max().unwrap_or_default()
}

fn measured(h: &Harness, half: &Half, scale: Scale, style: Style) -> Layout {
    let face = &half.part.face;
    let pitch = scale.of(face.pitch);
    let row_pitch = scale.of(face.row_pitch.unwrap_or(face.pitch));
    let thickest = half.wires().map(|w| scale.of(w.outside) / 2).max().unwrap_or_default();
    let room = if half.rows.len() > 1 { pitch.min(row_pitch) } else { pitch };
    let ring = (thickest + mm(1.0)).max(mm(2.8)).min(room.scaled(0.42) - mm(0.4));
    let code = half.wires().map(|w| lettering::width(&h.conductor(w.id).colour.value.code(), CODE)).max();
    let beside_ring = ring + ONE_WAY + GAP + code.unwrap_or_default();
    let code_beside = style == Style::Inside
        && half.cavities().all(|c| c.wires.len() <= 1)
        && beside_ring + GAP + ring + ONE_WAY <= pitch;
    let mut layout = Layout { scale, style, pitch, row_pitch, ring, code_beside, area: Area::default() };
    let places = plate::centres(face, scale, Side::WireEntry);
    let around = Area::around(places.into_iter().flatten()).unwrap_or_default();
    let seat = ring + ONE_WAY + mm(2.4);
    let numbered = seat + GAP + NUMBER.height.capital();
    let under = match style {
        Style::Inside | Style::CodesInside => seat + GAP + tallest(h, half, &layout),
        _ if layout.numbers_out(half.rows.len()) => numbered,
        _ => seat,
    };
    // The outline is a sign: it goes no further than what is lettered in it.
    let widest =
        half.cavities().flat_map(|c| label(h, half, c, &layout)).map(|(l, of, _)| lettering::width(&l, of));
    let widest = widest.max().unwrap_or_default() / 2;
    let beside = match style {
        Style::Inside if code_beside => widest.max(beside_ring) + mm(1.0),
        Style::Inside | Style::CodesInside => widest + mm(1.0),
        _ => pitch / 2 + mm(1.5),
    };
    let beside = beside.max(seat);
    let area = Area::between(around.min.by(-beside, -numbered), around.max.by(beside, under));
    // Where the sides lean in, the rings keep clear of them.
    let lean = plate::lean(face, area) * 2 / 3;
    layout.area = Area::between(area.min.by(-lean, Mm::ZERO), area.max.by(lean, Mm::ZERO));
    layout
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn marks_break_before_their_hyphens() {
        assert_eq!(mark_lines("E15A20-CHROM", mm(14.0)), ["E15A20", "-CHROM"]);
        assert_eq!(mark_lines("E15A20-CHROM", mm(40.0)), ["E15A20-CHROM"]);
        assert_eq!(mark_lines("W1A22", mm(13.0)), ["W1A22"]);
        let long = mark_lines("OILPRESSURESENDER-RETURN-1", mm(13.0));
        assert_eq!(long.concat(), "OILPRESSURESENDER-RETURN-1");
        assert!(long.iter().all(|l| lettering::width(l, MARK) <= mm(13.0)));
    }
}
