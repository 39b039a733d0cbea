//! A loom in; where each knot of it lies seen from the knot before, out.
//!
//! From the ends of the loom inwards: each knot with all that hangs on it becomes one stiff shape, made of rectangles
//! that are taken, and is arranged (`arrange`) from the shapes of its children. What finds no place is laid apart, under a
//! letter, so there is always an answer and nothing ever overlaps. A loom is laid out again and again, folded otherwise:
//! what hangs on a knot is arranged only where something of it changed (`known`).

use std::collections::BTreeSet;

use super::branch::{ASLANT, Search};
use super::card;
use super::crowd::{self, Crowd};
use super::fold::{Course, Sides, courses};
use super::job::Job;
use super::known::{Cause, Coming, Known};
use super::laid::{Laid, Layout, Shape};
use super::loom::{Leg, Loom};
use super::price::Limit;
use super::words::Texts;
use crate::draw::geometry::{Area, Extent, Mm, mm};
use crate::harness::PlaceId;

/// How far what hangs on a knot is kept from the line of its leg, one after the other, where it is in the way.
const ROOMS: [Mm; 5] = [mm(30.0), mm(60.0), mm(110.0), mm(180.0), mm(280.0)];

/// Lays one loom out, as often as it is asked to.
pub(super) struct Layer<'a> {
    pub job: &'a Job<'a>,
    pub loom: &'a Loom,
    pub texts: &'a Texts,
    /// Half of the thickest bundle at each knot.
    pub halves: Vec<Mm>,
    known: Known,
    /// From here on: of the layout that is being made.
    pub courses: Vec<Course>,
    shapes: Vec<[Shape; 2]>,
    /// How far what hangs on each knot keeps from the line of its leg behind its start.
    pub rooms: Vec<Mm>,
    /// Knots whose legs are laid apart, whether or not they would find a place.
    pub cuts: BTreeSet<usize>,
}

/// Rooms for the words at the start of what is laid apart, seen from there, for a bundle of this half thickness.
pub(super) fn start_words(size: Extent, half: Mm) -> [Area; 3] {
    let left = -(half + mm(6.0)) - size.width;
    let beside = half + mm(5.0);
    [(left, -size.height / 2), (Mm::ZERO, -beside - size.height), (Mm::ZERO, beside)]
        .map(|(x, y)| crowd::boxed(x, y, size))
}

impl<'a> Layer<'a> {
    pub fn new(job: &'a Job<'a>, loom: &'a Loom, texts: &'a Texts) -> Layer<'a> {
        let count = loom.knots.len();
        Layer {
            job,
            loom,
            texts,
            halves: (0..count).map(|knot| half(loom, knot)).collect(),
            known: Known::new(count),
            courses: Vec::new(),
            shapes: Vec::new(),
            rooms: Vec::new(),
            cuts: BTreeSet::new(),
        }
    }

    /// Lays the loom out between the sides of a bench with nothing apart: where something is in the way of what it hangs
    /// on, it makes room. None where that does not help.
    pub fn whole(&mut self, sides: Sides) -> Option<Layout> {
        self.begin(sides, &BTreeSet::new());
        for knot in (0..self.loom.knots.len()).rev() {
            self.lay(knot);
            if self.stuck(knot) > 0 && !self.make_room(knot) {
                return None;
            }
        }
        Some(self.done())
    }

    /// Lays the loom out between the sides of a bench; the legs to the knots in `cuts`, and what finds no place, apart
    /// from the rest.
    pub fn broken(&mut self, sides: Sides, cuts: &BTreeSet<usize>) -> Layout {
        self.begin(sides, cuts);
        (0..self.loom.knots.len()).rev().for_each(|knot| self.lay(knot));
        self.done()
    }

    fn begin(&mut self, sides: Sides, cuts: &BTreeSet<usize>) {
        let count = self.loom.knots.len();
        self.known.begin();
        self.courses = courses(self.loom, self.texts, sides, cuts);
        self.shapes = vec![<[Shape; 2]>::default(); count];
        self.rooms = vec![Mm::ZERO; count];
        self.cuts.clone_from(cuts);
    }

    /// With the pieces that are laid apart.
    fn done(&mut self) -> Layout {
        let broken: BTreeSet<usize> =
            self.shapes.iter().flatten().flat_map(|shape| &shape.laid.apart).copied().collect();
        let piece = |knot: &usize| Some((*knot, self.piece(*knot, self.leg(*knot)?)?));
        let apart = broken.iter().filter_map(piece).collect();
        Layout { shapes: std::mem::take(&mut self.shapes), apart }
    }

    pub fn leg(&self, knot: usize) -> Option<Leg> {
        self.loom.knots[knot].up.map(|(_, leg)| leg)
    }

    pub fn shape(&self, knot: usize, aslant: bool) -> &Laid {
        &self.shapes[knot][usize::from(aslant)].laid
    }

    /// The place from which the leg to a knot comes.
    pub fn place_before(&self, knot: usize) -> PlaceId {
        let parent = self.loom.knots[knot].up.map_or(knot, |(parent, _)| parent);
        self.loom.knots[parent].place
    }

    /// Around the middle of a knot everything that hangs on it lies together.
    pub fn hub(&self, knot: usize) -> Mm {
        mm(14.0) + self.halves[knot] * 2
    }

    /// Lays a knot out for a leg that comes level and, where it may, for one that comes aslant.
    fn lay(&mut self, knot: usize) {
        self.shapes[knot][0] = self.shaped(knot, false);
        if self.leg(knot).is_some_and(|leg| leg.length <= ASLANT) {
            self.shapes[knot][1] = self.shaped(knot, true);
        }
    }

    fn shaped(&mut self, knot: usize, aslant: bool) -> Shape {
        let cause = self.cause(knot, aslant);
        if let Some(shape) = self.known.find(knot, &cause) {
            return shape;
        }
        let laid = self.arranged(knot, aslant);
        self.known.keep(knot, cause, laid)
    }

    /// All that the shape of a knot hangs on, as it is now.
    fn cause(&self, knot: usize, aslant: bool) -> Cause {
        let coming = match aslant {
            true => Coming::Aslant,
            false => Coming::Level {
                folded: matches!(self.courses[knot], Course::Folded(_)),
                room: self.rooms[knot],
            },
        };
        let child = |child: &usize| {
            let hangs = !self.cuts.contains(child);
            hangs.then(|| (self.courses[*child].clone(), self.shapes[*child].each_ref().map(|s| s.number)))
        };
        Cause { coming, children: self.loom.knots[knot].children.iter().map(child).collect() }
    }

    /// What finds no place on a knot.
    fn stuck(&self, knot: usize) -> usize {
        let laid = self.shape(knot, false);
        laid.apart.iter().filter(|c| !self.cuts.contains(c)).count() + laid.loose.len()
    }

    /// Where something finds no place on a knot, what hangs on it may lie too close to it: that is laid out anew, further
    /// and further from the line. True where all has a place then.
    fn make_room(&mut self, knot: usize) -> bool {
        let below = self.below(knot);
        ROOMS.into_iter().any(|room| {
            // The knot itself comes last and keeps its own room.
            for k in below.iter().rev() {
                if *k != knot {
                    self.rooms[*k] = self.rooms[*k].max(room);
                }
                self.lay(*k);
            }
            below.iter().all(|k| self.stuck(*k) == 0)
        })
    }

    /// A knot and all that hangs on it, parents first.
    fn below(&self, knot: usize) -> Vec<usize> {
        let mut out = vec![knot];
        let mut done = 0;
        while let Some(k) = out.get(done) {
            out.extend(&self.loom.knots[*k].children);
            done += 1;
        }
        out
    }

    /// The leg to a knot with all behind it, as it lies apart.
    fn piece(&self, child: usize, leg: Leg) -> Option<Laid> {
        let knot = self.loom.knots[child].up.map_or(child, |(parent, _)| parent);
        let words = card::of_start(self.job, self.place_before(child)).size();
        // Where the words find no place the letter alone says what it is.
        let rooms = start_words(words, leg.half).map(Some).into_iter().chain([None]);
        rooms.into_iter().find_map(|room| {
            let mut laid = Laid { card: room.unwrap_or_default(), ..Laid::default() };
            laid.boxes.add(room);
            let taken: Crowd = laid.boxes.clone();
            let search = Search { layer: self, knot, child, leg, on: &laid, taken: &taken };
            let hung = match &self.courses[child] {
                Course::Folded(folds) => {
                    search.folded(None, folds, &Limit::None).or_else(|| search.straight())
                }
                Course::On | Course::Back => search.straight(),
            };
            self.hang(&mut laid, hung?);
            Some(laid)
        })
    }
}

/// Half of the thickest bundle at a knot.
fn half(loom: &Loom, knot: usize) -> Mm {
    let leg = |knot: usize| loom.knots[knot].up.map(|(_, leg)| leg.half);
    let children = loom.knots[knot].children.iter().filter_map(|child| leg(*child));
    let ends = loom.knots[knot].ends.iter().map(|end| end.half);
    leg(knot).into_iter().chain(children).chain(ends).max().unwrap_or(Mm::ZERO)
}
