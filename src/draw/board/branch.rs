//! A knot with what already lies on it, and a child in; how the child may hang there, out: straight on, risen to a
//! lane, aslant, folded. Each place is checked by the rectangles themselves before it is given. Most places cost more
//! than the best one known so far: that is seen from the rectangle around what hangs on the child, before any is looked
//! for.

use super::card;
use super::crowd::{Blocked, Crowd, GAP, Slide, clear, hull};
use super::frame::{Frame, moved};
use super::laid::{FoldMark, Kid, Laid};
use super::lay::Layer;
use super::loom::Leg;
use super::price::Limit;
use super::turn::Angle;
use super::way::{Fold, PEG, Rise, Way};
use crate::draw::geometry::{Area, Mm, mm};
use crate::quantity::Length;

/// Longest leg that lies aslant all over.
pub(super) const ASLANT: Mm = mm(400.0);
/// Space by which a leg is moved on where its own bends are in the way.
const STEP: Mm = mm(4.0);
const TRIES: usize = 30;

/// A child and all that hangs on it.
#[derive(Clone, Debug)]
pub(super) struct Hung {
    pub kid: Kid,
    /// What its leg takes, and the words on it.
    pub own: Vec<Area>,
    /// Around all that is taken, the shape of what hangs on the child with it.
    pub hull: Area,
}

/// A child that looks for a place on a knot.
pub(super) struct Search<'a> {
    pub layer: &'a Layer<'a>,
    pub knot: usize,
    pub child: usize,
    pub leg: Leg,
    /// What lies there.
    pub on: &'a Laid,
    pub taken: &'a Crowd,
}

impl Search<'_> {
    /// What hangs on the child.
    fn shape(&self, aslant: bool) -> &Laid {
        self.layer.shape(self.child, aslant)
    }

    /// False where what hangs on the child, as it would lie in this frame or further out, costs too much.
    fn may_lie(&self, frame: Frame, aslant: bool, limit: &Limit) -> bool {
        let hull = self.shape(aslant).boxes.hull().map(|hull| frame.area(hull));
        hull.is_none_or(|hull| limit.allows(hull, frame.at.y, frame.down))
    }

    /// The child with this way, where that is clear of what is taken. What is told at folds is measured only where the way
    /// itself is clear.
    fn hung(
        &self,
        way: Way,
        frame: Frame,
        aslant: bool,
        folds: impl FnOnce() -> Vec<FoldMark>,
    ) -> Option<Hung> {
        let hubs = [self.layer.hub(self.knot), self.layer.hub(self.child)];
        let half = self.leg.half + mm(2.0);
        let mut own = way.boxes(half, hubs);
        let pegs = way.pegs(self.leg.half).into_iter();
        own.extend(pegs.map(|peg| Area::between(peg, peg).grown(PEG + mm(0.6))));
        if !self.taken.is_clear_of(&own, GAP) {
            return None;
        }
        let folds = folds();
        let words: Vec<Area> = folds.iter().map(|mark| mark.words).collect();
        if !self.taken.is_clear_of(&words, GAP) {
            return None;
        }
        own.extend(words);
        let shape = self.shape(aslant);
        let mut lying = Crowd::default();
        lying.add_all(&shape.boxes, &frame);
        if !lying.is_clear_of(&own, mm(0.5)) || !self.taken.is_clear_of_all(&lying, GAP) {
            return None;
        }
        // Near the knots all legs lie together, but none on words.
        let bare = way.boxes(half, [Mm::ZERO; 2]);
        let words: Vec<Area> = self.on.words().chain(shape.words().map(|a| frame.area(a))).collect();
        if !clear(&bare, &words, mm(0.5)) {
            return None;
        }
        let hull = [hull(&own), lying.hull()].into_iter().flatten().reduce(Area::union).unwrap_or_default();
        let kid = Kid { knot: self.child, aslant, way, frame, folds, astray: false };
        Some(Hung { kid, own, hull })
    }

    /// Straight on.
    pub fn straight(&self) -> Option<Hung> {
        let way = Way::new(self.leg.length, self.leg.radius, None, &[])?;
        let frame = moved(self.leg.length, Mm::ZERO);
        let turned = Frame { down: true, ..frame };
        [frame, turned].into_iter().find_map(|frame| self.hung(way.clone(), frame, false, Vec::new))
    }

    /// At an angle, then level, as high as it must be; with `back`, against the direction of the knot. None also where
    /// that would cost too much.
    pub fn risen(&self, angle: Angle, down: bool, back: bool, limit: &Limit) -> Option<Hung> {
        let (least, most) = Way::rises(self.leg.length, self.leg.radius, angle);
        let least = least + mm(8.0);
        let side = Frame { down, left: back, ..Frame::default() };
        let at = |height: Mm| {
            let way = Way::new(self.leg.length, self.leg.radius, Some(Rise { angle, height }), &[])?;
            let way = way.within(&side);
            let frame = Frame { at: way.end(), ..side };
            self.may_lie(frame, false, limit).then_some((way, frame))
        };
        let (_, frame) = at(least)?;
        let towards = if back { angle.half_tan() } else { -angle.half_tan() };
        let slide = Slide { dx: towards, dy: if down { 1.0 } else { -1.0 } };
        let blocked = self.blocked(frame, slide, most - least);
        let mut height = least;
        for _ in 0..TRIES {
            height = least + blocked.free_from(height - least);
            if height > most {
                return None;
            }
            let (way, frame) = at(height)?;
            if let Some(hung) = self.hung(way, frame, false, Vec::new) {
                return Some(hung);
            }
            height += STEP;
        }
        None
    }

    /// Where the shape of what hangs on the child cannot lie when it slides from a frame on, up to `most`.
    fn blocked(&self, frame: Frame, slide: Slide, most: Mm) -> Blocked {
        // What is blocked just beyond it still decides where the way is free at its end.
        slide.blocked(self.taken, &self.shape(false).boxes, &frame, most + mm(1.0))
    }

    /// Aslant all over; with `back`, what hangs on the child runs against the direction of the knot. None also where
    /// that would cost too much.
    pub fn slanted(&self, angle: Angle, down: bool, back: bool, limit: &Limit) -> Option<Hung> {
        let (way, frame) = self.aslant(angle, down, back)?;
        self.may_lie(frame, true, limit).then(|| self.hung(way, frame, true, Vec::new))?
    }

    /// False where the child cannot lie aslant all over, or only for too much.
    pub fn may_slant(&self, angle: Angle, down: bool, back: bool, limit: &Limit) -> bool {
        self.aslant(angle, down, back).is_some_and(|(_, frame)| self.may_lie(frame, true, limit))
    }

    fn aslant(&self, angle: Angle, down: bool, back: bool) -> Option<(Way, Frame)> {
        if self.leg.length > ASLANT {
            return None;
        }
        let way = Way::slanted(self.leg.length, angle).within(&Frame { down, ..Frame::default() });
        let frame = Frame { at: way.end(), left: back, down };
        Some((way, frame))
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
            let own = way.boxes(room, [self.layer.hub(self.knot), Mm::ZERO]);
            if self.taken.is_clear_of(&own, Mm::ZERO) {
                return Some(rise);
            }
            height += STEP * 2;
        }
        None
    }

    /// Folded; the last part as far from the one before as it must be. With a rise, `true` for downwards, else on the
    /// side that is lower.
    pub fn folded(&self, rise: Option<(Rise, bool)>, folds: &[Mm], limit: &Limit) -> Option<Hung> {
        let sides: &[bool] = match rise {
            Some((_, true)) => &[true],
            Some((_, false)) => &[false],
            None => &[false, true],
        };
        let rise = rise.map(|(rise, _)| rise);
        let found = sides.iter().filter_map(|down| self.folded_to(rise, *down, folds, limit));
        found.min_by_key(|(drop, _)| *drop).map(|(_, hung)| hung)
    }

    fn folded_to(&self, rise: Option<Rise>, down: bool, folds: &[Mm], limit: &Limit) -> Option<(Mm, Hung)> {
        let leg = &self.leg;
        let least = (leg.radius * 2).max(leg.half * 2 + card::fold_room());
        let last = folds.len().saturating_sub(1);
        let side = Frame { down, ..Frame::default() };
        let at = |drop: Mm| {
            let fold = |(n, at): (usize, &Mm)| Fold { at: *at, drop: if n == last { drop } else { least } };
            let all: Vec<Fold> = folds.iter().enumerate().map(fold).collect();
            let way = Way::new(leg.length, leg.radius, rise, &all)?;
            let way = way.within(&side);
            let frame = Frame { at: way.end(), left: folds.len() % 2 == 1, down };
            self.may_lie(frame, false, limit).then_some((all, way, frame))
        };
        let (_, _, frame): (Vec<Fold>, Way, Frame) = at(least)?;
        let dx = if frame.left { 1.0 } else { -1.0 };
        // No leg drops further than it is long.
        let slide = Slide { dx, dy: if down { 1.0 } else { -1.0 } };
        let blocked = self.blocked(frame, slide, leg.length);
        let mut drop = least;
        for _ in 0..TRIES {
            drop = least + blocked.free_from(drop - least);
            let (all, way, frame) = at(drop)?;
            let marks = || {
                let marks = self.marks(&all, rise).into_iter();
                marks.map(|m| FoldMark { words: side.area(m.words), ..m }).collect()
            };
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
