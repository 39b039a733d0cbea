//! A shell's face and a scale in; where its cavities lie on paper and what outline goes around them out.
//!
//! Rows and distances are those of the part: to scale. The part gives no diameters of cavities and no contour, so rings
//! and outline are signs; their size is chosen for lettering.

use crate::draw::geometry::{Area, Mm, Point, mm};
use crate::draw::lettering::Lettering;
use crate::draw::mark::{Layer, Mark};
use crate::draw::palette::Ink;
use crate::draw::scale::Scale;
use crate::draw::scene::{Anchor, Scene, Step, Turn};
use crate::draw::stroke::Stroke;
use crate::parts::model::{Face, FaceShape, ShellPart};

/// Which side is looked at.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Side {
    /// Where the wires go in: as the part is described.
    WireEntry,
    /// Where the other half goes on: left and right changed over.
    Mating,
}

/// A side of the outline.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Edge {
    Up,
    Down,
    Left,
    Right,
}

/// Something on the shell's edge that keeps the halves from mating wrong.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Key {
    pub word: &'static str,
    pub edge: Edge,
}

/// Depth of the tab that stands for latch or key.
pub(super) const TAB: Mm = mm(4.6);

/// Centres of the cavities, row by row, relative to the first of the first row as seen from the wire-entry side.
///
/// A row that is not staggered by the part stands in the middle under the others.
pub(super) fn centres(face: &Face, scale: Scale, side: Side) -> Vec<Vec<Point>> {
    let pitch = scale.of(face.pitch);
    let row_pitch = scale.of(face.row_pitch.unwrap_or(face.pitch));
    let widest = face.rows.iter().map(Vec::len).max().unwrap_or(0);
    let row = |(r, row): (usize, &Vec<crate::spec::words::Label>)| {
        let shift = match face.stagger {
            Some(stagger) if r % 2 == 1 => scale.of(stagger),
            Some(_) => Mm::ZERO,
            None => pitch.times(widest - row.len()) / 2,
        };
        let place = |c: usize| {
            let x = shift + pitch.times(c);
            Point::new(if side == Side::Mating { -x } else { x }, row_pitch.times(r))
        };
        (0..row.len()).map(place).collect()
    };
    face.rows.iter().enumerate().map(row).collect()
}

/// What the part's words about its key say of an edge; None where they tell of no edge.
pub(super) fn key(part: &ShellPart, side: Side) -> Option<Key> {
    const WORDS: [&str; 7] = ["latch", "key", "keyway", "slot", "notch", "rib", "lug"];
    let told = part.key.as_ref()?.to_lowercase();
    let mut words = told.split(|c: char| !c.is_alphanumeric()).filter(|w| !w.is_empty());
    let word =
        WORDS.into_iter().find(|known| told.split(|c: char| !c.is_alphanumeric()).any(|w| w == *known))?;
    let edge = words.find_map(|w| match w {
        "up" | "top" | "above" => Some(Edge::Up),
        "down" | "bottom" | "below" => Some(Edge::Down),
        "left" => Some(Edge::Left),
        "right" => Some(Edge::Right),
        _ => None,
    })?;
    let edge = match (edge, side) {
        (Edge::Left, Side::Mating) => Edge::Right,
        (Edge::Right, Side::Mating) => Edge::Left,
        (edge, _) => edge,
    };
    Some(Key { word, edge })
}

/// Room that the key takes beyond each edge of the outline: left, above, right, below.
pub(super) fn overhang(key: Option<&Key>) -> [Mm; 4] {
    let on = |edge: Edge| if key.is_some_and(|k| k.edge == edge) { TAB } else { Mm::ZERO };
    [on(Edge::Left), on(Edge::Up), on(Edge::Right), on(Edge::Down)]
}

/// Draws the outline over `area`, and the key on its edge.
pub(super) fn draw(scene: &mut Scene, mark: &Mark, part: &ShellPart, area: Area, key: Option<&Key>) {
    let mark = mark.on(Layer::Device);
    if let Some(key) = key {
        tab(scene, &mark, area, key);
    }
    let paint = Stroke::WIDE.filled(Ink::BONE);
    match part.face.shape {
        FaceShape::Block => scene.rounded_rect(&mark, area, mm(2.2), paint),
        FaceShape::Round => {
            let size = area.extent();
            let radius = mm((size.width.as_f64()).hypot(size.height.as_f64()) / 2.0);
            // A single row needs no circle around its corners.
            scene.circle(&mark, area.centre(), radius.min(size.width.max(size.height) / 2 + mm(2.0)), paint);
        }
        FaceShape::Trapezium => scene.path(&mark, trapezium(area, wide_side_up(&part.face)), paint),
    }
}

/// The longer row lies on the wide side.
fn wide_side_up(face: &Face) -> bool {
    match (face.rows.first(), face.rows.last()) {
        (Some(first), Some(last)) => first.len() >= last.len(),
        _ => true,
    }
}

/// Tangent of ten degrees: the lean of a D-shaped shell's sides (IEC 60807, from memory).
const LEAN: f64 = 0.176_326_981;

/// How far a side of the outline leans in over its height; nothing where it stands upright.
pub(super) fn lean(face: &Face, area: Area) -> Mm {
    if face.shape == FaceShape::Trapezium { area.height().scaled(LEAN) } else { Mm::ZERO }
}

/// With rounded corners.
fn trapezium(area: Area, wide_up: bool) -> Vec<Step> {
    let lean = area.height().scaled(LEAN);
    let [a, b, c, d] = area.corners();
    let corners = match wide_up {
        true => [a, b, c.by(-lean, Mm::ZERO), d.by(lean, Mm::ZERO)],
        false => [a.by(lean, Mm::ZERO), b.by(-lean, Mm::ZERO), c, d],
    };
    rounded(&corners, mm(3.0))
}

/// A closed outline with each corner replaced by a curve that starts and ends `radius` away from it.
fn rounded(corners: &[Point], radius: Mm) -> Vec<Step> {
    let towards = |from: Point, to: Point, by: f64| {
        let length = from.distance(to).as_f64().max(0.001);
        let share = (by / length).min(0.5);
        from.by((to.x - from.x).scaled(share), (to.y - from.y).scaled(share))
    };
    let n = corners.len();
    let mut steps = Vec::new();
    for (i, corner) in corners.iter().enumerate() {
        let (Some(before), Some(after)) = (corners.get((i + n - 1) % n), corners.get((i + 1) % n)) else {
            continue;
        };
        let r = radius.as_f64();
        let (enter, leave) = (towards(*corner, *before, r), towards(*corner, *after, r));
        steps.push(if i == 0 { Step::Move(enter) } else { Step::Line(enter) });
        steps.push(Step::Curve(
            towards(*corner, *before, r * 0.45),
            towards(*corner, *after, r * 0.45),
            leave,
        ));
    }
    steps.push(Step::Close);
    steps
}

/// A tab on the edge with the key's name in it.
fn tab(scene: &mut Scene, mark: &Mark, area: Area, key: &Key) {
    let middle = area.centre();
    let half = crate::draw::lettering::width(key.word, Lettering::SMALL) / 2 + mm(2.4);
    let (level, at) = match key.edge {
        Edge::Up => (true, Point::new(middle.x, area.min.y - TAB / 2)),
        Edge::Down => (true, Point::new(middle.x, area.max.y + TAB / 2)),
        Edge::Left => (false, Point::new(area.min.x - TAB / 2, middle.y)),
        Edge::Right => (false, Point::new(area.max.x + TAB / 2, middle.y)),
    };
    let reach = if level { (half, TAB / 2) } else { (TAB / 2, half) };
    let plate = Area::between(at.by(-reach.0, -reach.1), at.by(reach.0, reach.1));
    scene.rounded_rect(mark, plate, mm(0.8), Stroke::WIDE.filled(Ink::MIST));
    let drop = Lettering::SMALL.height.capital() / 2;
    let (base, turn) =
        if level { (at.by(Mm::ZERO, drop), Turn::Level) } else { (at.by(drop, Mm::ZERO), Turn::Up) };
    scene.text_at(&mark.on(Layer::Label), base, key.word, Lettering::SMALL, Anchor::Middle, turn);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parts::library::Library;

    #[test]
    fn the_mating_side_is_the_mirror_image() {
        for (_, name, part) in Library::supplied().shells.iter() {
            for scale in Scale::enlarging() {
                let (wire, mate) =
                    (centres(&part.face, scale, Side::WireEntry), centres(&part.face, scale, Side::Mating));
                let mirrored: Vec<Vec<Point>> =
                    wire.iter().map(|r| r.iter().map(|p| Point::new(-p.x, p.y)).collect()).collect();
                assert_eq!(mate, mirrored, "{name}");
            }
        }
    }

    #[test]
    fn mates_seen_from_their_mating_sides_lie_on_one_another_mirrored() {
        // What faces a cavity when the halves meet has the same mark: the mating view of one half is the wire-entry
        // view of its mate.
        let library = Library::supplied();
        for (_, name, part) in library.shells.iter() {
            let (_, mate) = library.shells.look_up(&part.mate).unwrap();
            let at = |part: &ShellPart, side| {
                let rows = centres(&part.face, Scale::FULL, side);
                let labels = part.face.rows.iter().flatten().map(|l| l.0.clone());
                let mut all: Vec<(String, Point)> = labels.zip(rows.into_iter().flatten()).collect();
                let left = all.iter().map(|(_, p)| p.x).min().unwrap();
                all.iter_mut().for_each(|(_, p)| p.x -= left);
                all.sort();
                all
            };
            assert_eq!(at(part, Side::Mating), at(mate, Side::WireEntry), "{name}");
        }
    }

    #[test]
    fn keys_are_read_from_the_words_of_the_part() {
        let with = |words: &str| {
            let mut part = Library::supplied().shells.look_up("sealed-2-plug").unwrap().1.clone();
            part.key = Some(words.to_owned());
            part
        };
        let up = Key { word: "latch", edge: Edge::Up };
        assert_eq!(key(&with("latch up"), Side::Mating), Some(up));
        let left = key(&with("Keyway on the left"), Side::WireEntry).unwrap();
        assert_eq!((left.word, left.edge), ("keyway", Edge::Left));
        assert_eq!(key(&with("keyway on the left"), Side::Mating).unwrap().edge, Edge::Right);
        assert_eq!(key(&with("wide row up"), Side::Mating), None);
        assert_eq!(key(&with("minus is the wider blade"), Side::Mating), None);
    }
}
