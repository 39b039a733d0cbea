//! The ends at a knot in; tails that leave it like a fan, each as long as it is, with room for its words, out.
//!
//! The longest lies innermost, so that no tail passes the words of another one. Short tails are straight; a long one
//! beside a leg leaves at an angle and then lies along it. Where there are too many, all of one length share a tail and
//! stand in a list at its tip.

use super::crowd::{Crowd, GAP, boxed, clear};
use super::drawn::stop_reach;
use super::ends::End;
use super::frame::Frame;
use super::turn::Angle;
use super::way::{PEG, Piece, Rise, Way};
use super::words::Row;
use crate::draw::geometry::{Area, Extent, Mm, Point, mm};

/// From the tip to the words: room for the stop at the end.
const STOP: Mm = mm(4.0);
/// Clear space between the words of two ends.
const BETWEEN: Mm = mm(1.6);
/// A tail leaves no steeper than this share of its length.
const STEEPEST: f64 = 0.94;
/// Tails longer than this lie along the legs.
const LONG: Mm = mm(150.0);
/// Least radius of the bend of a tail, at the inner side of its bundle.
const BEND: Mm = mm(12.0);
/// So far from a knot tails may lie on one another.
const BUNCH: Mm = mm(24.0);
/// Space that a quarter of a fan is moved on by while it does not fit.
pub(super) const STEP: Mm = mm(5.0);
/// From the edge of a bundle to the first words beside it.
pub(super) const BESIDE: Mm = mm(8.0);

/// A tail as it is wanted.
#[derive(Clone, Debug)]
pub(super) struct Want {
    /// Ends of the knot that share it.
    pub ends: Vec<usize>,
    length: Mm,
    half: Mm,
    /// Least radius that its wires ask for, at the inner side of the bend.
    bend: Mm,
    size: Extent,
}

/// A tail as it lies, seen from its knot.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Prong {
    pub ends: Vec<usize>,
    pub way: Way,
    /// Where its words stand.
    pub words: Area,
    pub half: Mm,
}

/// One tail for each end, or with `lists` one for each length.
pub(super) fn wants(ends: &[End], rows: &[Row], lists: bool) -> Vec<Want> {
    let mut wants: Vec<Want> = Vec::new();
    for (i, end) in ends.iter().enumerate() {
        let (length, half, bend) = (end.length(), end.half, end.bend);
        match wants.iter_mut().find(|w| lists && w.length == length) {
            Some(shared) => {
                shared.ends.push(i);
                shared.half = shared.half.max(half);
                shared.bend = shared.bend.max(bend);
            }
            None => wants.push(Want { ends: vec![i], length, half, bend, size: Extent::default() }),
        }
    }
    for want in &mut wants {
        want.size = list(&want.ends, rows).size;
    }
    wants.sort_by_key(|w| (std::cmp::Reverse(w.length), w.ends.first().copied()));
    wants
}

/// True where one is so long that it lies along a leg.
pub(super) fn any_long(wants: &[Want]) -> bool {
    wants.iter().any(|want| want.length > LONG)
}

/// What stands at the tip of a tail: the name of each end, then how its length comes about; that only once where it is
/// the same for all.
pub(super) struct List<'r> {
    pub blocks: Vec<(&'r crate::draw::block::Block, Mm)>,
    pub size: Extent,
}

pub(super) fn list<'r>(ends: &[usize], rows: &'r [Row]) -> List<'r> {
    let own: Vec<&Row> = ends.iter().filter_map(|e| rows.get(*e)).collect();
    let same = own.iter().all(|row| own.first().is_some_and(|first| first.told_words == row.told_words));
    let mut out = List { blocks: Vec::new(), size: Extent::default() };
    let last = own.len().saturating_sub(1);
    for (i, row) in own.iter().enumerate() {
        let told = (!same || i == last).then_some(&row.told);
        for block in std::iter::once(&row.name).chain(told) {
            let size = block.size();
            out.blocks.push((block, out.size.height));
            out.size = Extent::new(out.size.width.max(size.width), out.size.height + size.height);
        }
        if !same && i < last {
            out.size.height += BETWEEN;
        }
    }
    out
}

impl Prong {
    fn is_bent(&self) -> bool {
        self.way.pieces.len() > 1
    }

    /// The rectangles that it takes, the first millimetres at the knot left out.
    pub fn boxes(&self, hub: Mm) -> Vec<Area> {
        let mut out = self.way.boxes(self.half.max(mm(2.5)) + mm(0.8), [hub, Mm::ZERO]);
        out.extend(
            self.way.pegs(self.half).into_iter().map(|peg| Area::between(peg, peg).grown(PEG + mm(0.6))),
        );
        // The stop across its end reaches further than the bundle.
        let end = self.way.end();
        out.push(Area::between(end, end).grown(stop_reach(self.half) + mm(0.2)));
        out.push(self.words);
        out
    }
}

/// A fan around the level line ahead; `left` for one that runs back. None where the tails are too short for it.
pub(super) fn front(wants: &[Want], hub: Mm, left: bool) -> Option<Vec<Prong>> {
    // What is taken above and below the level line.
    let (mut up, mut down) = (Mm::ZERO, Mm::ZERO);
    let even = wants.len().is_multiple_of(2);
    let mut out = Vec::new();
    for (i, want) in wants.iter().enumerate() {
        let tall = want.size.height + BETWEEN;
        let y = if i == 0 && !even {
            (up, down) = (tall / 2, tall / 2);
            Mm::ZERO
        } else if up <= down {
            up += tall;
            -(up - tall / 2)
        } else {
            down += tall;
            down - tall / 2
        };
        out.push(straight(want, y, hub, left)?);
    }
    Some(out)
}

/// Part of a fan that lies in one quarter, from a height on.
pub(super) fn quarter(wants: &[Want], hub: Mm, left: bool, up: bool, from: Mm) -> Option<Vec<Prong>> {
    let mut y = from;
    let one = |want: &Want| {
        let tall = want.size.height + BETWEEN;
        let middle = y + tall / 2;
        y += tall;
        let long = if want.length > LONG { bent(want, middle, hub, left, up) } else { None };
        long.or_else(|| straight(want, if up { -middle } else { middle }, hub, left))
    };
    wants.iter().map(one).collect()
}

/// A tail that goes straight to a height; it must reach it.
fn straight(want: &Want, y: Mm, hub: Mm, left: bool) -> Option<Prong> {
    let (length, high) = (want.length.as_f64(), y.as_f64());
    if high.abs() > length * STEEPEST {
        return None;
    }
    let across = mm((length * length - high * high).max(0.0).sqrt());
    let to = Point::new(across, y);
    let pieces =
        if want.length > Mm::ZERO { vec![Piece::Line { from: Point::default(), to }] } else { Vec::new() };
    let words = boxed(
        across.max(hub) + STOP.max(stop_reach(want.half) + mm(0.4)),
        y - want.size.height / 2,
        want.size,
    );
    Some(turned(want, Way { pieces }, words, Frame { left, ..Frame::default() }))
}

/// A tail that rises to a lane and lies along it.
fn bent(want: &Want, height: Mm, hub: Mm, left: bool, up: bool) -> Option<Prong> {
    let rise = Some(Rise { angle: Angle::A45, height });
    let way = Way::new(want.length, BEND.max(want.bend) + want.half, rise, &[])?;
    let words = boxed(
        way.end().x.max(hub) + STOP.max(stop_reach(want.half) + mm(0.4)),
        -height - want.size.height / 2,
        want.size,
    );
    Some(turned(want, way, words, Frame { left, down: !up, ..Frame::default() }))
}

fn turned(want: &Want, way: Way, words: Area, frame: Frame) -> Prong {
    Prong { ends: want.ends.clone(), way: way.within(&frame), words: frame.area(words), half: want.half }
}

/// True where these lie clear of what is taken, of each other's words, and of the words at the knot from its middle on.
pub(super) fn is_clear(prongs: &[Prong], hub: Mm, taken: &Crowd, words: &[Area]) -> bool {
    let all: Vec<(&Prong, Vec<Area>)> = prongs.iter().map(|p| (p, p.boxes(Mm::ZERO))).collect();
    let apart = all.iter().enumerate().all(|(i, (prong, _))| {
        let others = all.iter().enumerate().filter(|(j, _)| *j != i);
        let passes = |other: &Prong| {
            // Bent tails leave as one bundle; a straight one must not run across it.
            let mixed = prong.is_bent() && !other.is_bent();
            mixed && !clear(&prong.boxes(BUNCH), &other.boxes(BUNCH), Mm::ZERO)
        };
        others.into_iter().all(|(_, (other, boxes))| clear(&[prong.words], boxes, mm(0.4)) && !passes(other))
    });
    apart && all.iter().all(|(p, bare)| taken.is_clear_of(&p.boxes(hub), GAP) && clear(bare, words, mm(0.5)))
}
