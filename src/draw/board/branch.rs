//! A knot with what already lies on it, and a child in; how the child may hang there, out: straight on, risen to a
//! lane, aslant, folded. Each place is checked by the rectangles themselves before it is given.

use super::card;
use super::crowd::{GAP, Slide, clear, free_from};
use super::frame::{Frame, moved};
use super::lay::{FoldMark, Kid, Laid, Layer};
use super::loom::Leg;
use super::turn::Angle;
use super::way::{Fold, PEG, Rise, Way};
use crate::draw::geometry::{Area, Mm, mm};
use crate::quantity::Length;

/// Longest leg that lies aslant all over.
pub(super) const ASLANT: Mm = mm(400.0);
/// Space by which a leg is moved on where its own bends are in the way.
const STEP: Mm = mm(4.0);
const TRIES: usize = 30;

/// A child and all that hangs on it, with the rectangles that they take.
pub(super) type Hung = (Kid, Vec<Area>);

/// A child that looks for a place on a knot.
pub(super) struct Search<'a> {
    pub layer: &'a Layer<'a>,
    pub knot: usize,
    pub child: usize,
    pub leg: Leg,
    /// What lies there.
    pub on: &'a Laid,
    pub taken: &'a [Area],
}

impl Search<'_> {
    /// The child with this way, where that is clear of what is taken.
    fn hung(&self, way: Way, frame: Frame, aslant: bool, folds: Vec<FoldMark>) -> Option<Hung> {
        let hubs = [self.layer.hub(self.knot), self.layer.hub(self.child)];
        let half = self.leg.half + mm(2.0);
        let mut own = way.boxes(half, hubs);
        let pegs = way.pegs(self.leg.half).into_iter();
        own.extend(pegs.map(|peg| Area::between(peg, peg).grown(PEG + mm(0.6))));
        own.extend(folds.iter().map(|mark| mark.words));
        if !clear(&own, self.taken, GAP) {
            return None;
        }
        let shape = self.layer.shape(self.child, aslant);
        let mut boxes: Vec<Area> = shape.boxes.iter().map(|a| frame.area(*a)).collect();
        if !clear(&own, &boxes, mm(0.5)) || !clear(&boxes, self.taken, GAP) {
            return None;
        }
        // Near the knots all legs lie together, but none on words.
        let bare = way.boxes(half, [Mm::ZERO; 2]);
        let words: Vec<Area> = self.on.words().chain(shape.words().map(|a| frame.area(a))).collect();
        if !clear(&bare, &words, mm(0.5)) {
            return None;
        }
        boxes.extend(own);
        Some((Kid { knot: self.child, aslant, way, frame, folds, astray: false }, boxes))
    }

    /// Straight on.
    pub fn straight(&self) -> Option<Hung> {
        let way = Way::new(self.leg.length, self.leg.radius, None, &[])?;
        let frame = moved(self.leg.length, Mm::ZERO);
        let turned = Frame { down: true, ..frame };
        [frame, turned].into_iter().find_map(|frame| self.hung(way.clone(), frame, false, Vec::new()))
    }

    /// At an angle, then level, as high as it must be; with `back`, against the direction of the knot.
    pub fn risen(&self, angle: Angle, down: bool, back: bool) -> Option<Hung> {
        let (least, most) = Way::rises(self.leg.length, self.leg.radius, angle);
        let least = least + mm(8.0);
        let side = Frame { down, left: back, ..Frame::default() };
        let at = |height: Mm| {
            let way = Way::new(self.leg.length, self.leg.radius, Some(Rise { angle, height }), &[])?;
            let way = way.within(&side);
            let frame = Frame { at: way.end(), ..side };
            Some((way, frame))
        };
        let (_, frame) = at(least)?;
        let towards = if back { angle.half_tan() } else { -angle.half_tan() };
        let blocked = self.blocked(frame, Slide { dx: towards, dy: if down { 1.0 } else { -1.0 } });
        let mut height = least;
        for _ in 0..TRIES {
            height = least + free_from(&blocked, height - least);
            if height > most {
                return None;
            }
            let (way, frame) = at(height)?;
            if let Some(hung) = self.hung(way, frame, false, Vec::new()) {
                return Some(hung);
            }
            height += STEP;
        }
        None
    }

    fn blocked(&self, frame: Frame, slide: Slide) -> Vec<[f64; 2]> {
        let shape = self.layer.shape(self.child, false);
        let shape: Vec<Area> = shape.boxes.iter().map(|a| frame.area(*a)).collect();
        slide.blocked(self.taken, &shape, Mm::ZERO)
    }

    /// Aslant all over; with `back`, what hangs on the child runs against the direction of the knot.
    pub fn slanted(&self, angle: Angle, down: bool, back: bool) -> Option<Hung> {
        if self.leg.length > ASLANT {
            return None;
        }
        let way = Way::slanted(self.leg.length, angle).within(&Frame { down, ..Frame::default() });
        let frame = Frame { at: way.end(), left: back, down };
        self.hung(way, frame, true, Vec::new())
    }

    /// The lowest lane in which a leg that is folded has room up to its first fold.
    pub fn lane(&self, angle: Angle, down: bool, folds: &[Mm]) -> Option<Rise> {
        let leg = &self.leg;
        let (least, most) = Way::rises(leg.length, leg.radius, angle);
        let far = *folds.first()?;
        let mut height = least + mm(8.0);
        while height <= most {
            let rise = Rise { angle, height };
            // As long as the way to the first fold.
            let slant = (height - leg.radius.scaled(1.0 - angle.cos())).scaled(1.0 / angle.sin());
            let level = far - slant.scaled(angle.cos()) - leg.radius.scaled(angle.sin());
            let length = slant + leg.radius.scaled(angle.radians()) + level;
            if level < Mm::ZERO {
                return None;
            }
            let way =
                Way::new(length, leg.radius, Some(rise), &[])?.within(&Frame { down, ..Frame::default() });
            let room = leg.half.max(mm(2.0)) + mm(6.0);
            let clear_of =
                |less: Mm, taken: &[Area]| clear(&way.boxes(room, [less, Mm::ZERO]), taken, Mm::ZERO);
            if clear_of(self.layer.hub(self.knot), self.taken) {
                return Some(rise);
            }
            height += STEP * 2;
        }
        None
    }

    /// Folded; the last part as far from the one before as it must be. With a rise, `true` for downwards, else on the
    /// side that is lower.
    pub fn folded(&self, rise: Option<(Rise, bool)>, folds: &[Mm]) -> Option<Hung> {
        let sides: &[bool] = match rise {
            Some((_, true)) => &[true],
            Some((_, false)) => &[false],
            None => &[false, true],
        };
        let found = sides.iter().filter_map(|down| self.folded_to(rise.map(|(rise, _)| rise), *down, folds));
        found.min_by_key(|(drop, _)| *drop).map(|(_, hung)| hung)
    }

    fn folded_to(&self, rise: Option<Rise>, down: bool, folds: &[Mm]) -> Option<(Mm, Hung)> {
        let leg = &self.leg;
        let least = (leg.radius * 2).max(leg.half * 2 + card::fold_room());
        let last = folds.len().saturating_sub(1);
        let side = Frame { down, ..Frame::default() };
        let at = |drop: Mm| {
            let fold = |(n, at): (usize, &Mm)| Fold { at: *at, drop: if n == last { drop } else { least } };
            let all: Vec<Fold> = folds.iter().enumerate().map(fold).collect();
            let way = Way::new(leg.length, leg.radius, rise, &all)?;
            let marks = self.marks(&all, rise).into_iter();
            let marks = marks.map(|m| FoldMark { words: side.area(m.words), ..m }).collect();
            let way = way.within(&side);
            let frame = Frame { at: way.end(), left: folds.len() % 2 == 1, down };
            Some((way, frame, marks))
        };
        let (_, frame, _): (Way, Frame, Vec<FoldMark>) = at(least)?;
        let dx = if frame.left { 1.0 } else { -1.0 };
        let blocked = self.blocked(frame, Slide { dx, dy: if down { 1.0 } else { -1.0 } });
        let mut drop = least;
        for _ in 0..TRIES {
            drop = least + free_from(&blocked, drop - least);
            let (way, frame, marks) = at(drop)?;
            if let Some(hung) = self.hung(way, frame, false, marks) {
                return Some((drop, hung));
            }
            drop += STEP;
        }
        None
    }

    /// Where the folds of a way that rises and folds upwards are told.
    fn marks(&self, folds: &[Fold], rise: Option<Rise>) -> Vec<FoldMark> {
        let leg = &self.leg;
        let from = self.layer.place_before(self.child);
        let quarter = leg.radius.scaled(Angle::A90.radians());
        let (mut station, mut x, mut y) = (Mm::ZERO, Mm::ZERO, Mm::ZERO);
        if let Some(Rise { angle, height }) = rise {
            let slant = (height - leg.radius.scaled(1.0 - angle.cos())).scaled(1.0 / angle.sin());
            station = slant + leg.radius.scaled(angle.radians());
            x = slant.scaled(angle.cos()) + leg.radius.scaled(angle.sin());
            y = -height;
        }
        let mut marks = Vec::new();
        for (n, fold) in folds.iter().enumerate() {
            let half_turn = quarter + (fold.drop - leg.radius * 2) / 2;
            station += (fold.at - x).abs() + half_turn;
            let block = card::of_fold(self.layer.job, leg.run, 88, Length::from_um(station.um()), from);
            let size = block.size();
            let edge = leg.radius + leg.half + mm(4.0);
            let left = if n % 2 == 0 { fold.at + edge } else { fold.at - edge - size.width };
            let middle = y - fold.drop / 2;
            let words = super::crowd::boxed(left, middle - size.height / 2, size);
            marks.push(FoldMark { station, words });
            station += half_turn;
            (x, y) = (fold.at, y - fold.drop);
        }
        marks
    }
}
