//! A loom in; where each knot of it lies seen from the knot before, out.
//!
//! From the ends of the loom inwards: each knot with all that hangs on it becomes one stiff shape, made of rectangles
//! that are taken. At its parent the shape of one child goes straight on, the others leave at an angle, up or down, and
//! rise until they lie clear (solved, not tried: a shape that slides along a line is blocked over known stretches).
//! Several arrangements are weighed and the lowest is kept. What finds no place is laid apart, under a letter, so there
//! is always an answer and nothing ever overlaps. Cost: for each knot the pairs of rectangles of its children.

use std::collections::{BTreeMap, BTreeSet};

use super::branch::{ASLANT, Hung, Search};
use super::card;
use super::crowd;
use super::fan::{self, Prong};
use super::fold::{Course, Sides, courses};
use super::frame::Frame;
use super::job::Job;
use super::loom::{Leg, Loom};
use super::turn::Angle;
use super::way::Way;
use super::words::{self, Texts};
use crate::draw::geometry::{Area, Extent, Mm, Point, mm};
use crate::harness::PlaceId;

/// Ways to choose which child goes straight on.
const CHOICES: usize = 2;
/// What a leg costs that runs another way than was reckoned with, in millimetres of bench.
const ASTRAY: f64 = 3000.0;
/// A fold no further from the start of its leg may be left out.
const AT_ONCE: Mm = mm(200.0);
/// How far what hangs on a knot is kept from the line of its leg, one after the other, where it is in the way.
const ROOMS: [Mm; 5] = [mm(30.0), mm(60.0), mm(110.0), mm(180.0), mm(280.0)];
/// Further than any bench is wide.
const FAR: Mm = mm(50_000.0);
/// What a leg costs that turns back sharply at its peg.
const SHARP: f64 = 60.0;

/// A fold as it lies, seen from the start of its leg.
#[derive(Clone, Debug)]
pub(super) struct FoldMark {
    /// Distance of its middle from the start of the leg.
    pub station: Mm,
    pub words: Area,
}

/// A child as it hangs on its knot.
#[derive(Clone, Debug)]
pub(super) struct Kid {
    pub knot: usize,
    /// True where its leg lies aslant, so that its words stand elsewhere.
    pub aslant: bool,
    pub way: Way,
    pub frame: Frame,
    pub folds: Vec<FoldMark>,
    /// True where it runs another way than was reckoned with.
    pub astray: bool,
}

/// A knot with all that hangs on it.
#[derive(Clone, Debug, Default)]
pub(super) struct Laid {
    pub boxes: Vec<Area>,
    pub prongs: Vec<Prong>,
    pub label: Option<Area>,
    pub card: Area,
    /// Where the leg to the knot lies, and what is kept free for what it comes from; no part of the shape.
    corridor: Option<Area>,
    room: Option<Area>,
    pub kids: Vec<Kid>,
    /// Children that are laid apart.
    pub apart: Vec<usize>,
    /// Tails that are laid apart, by their ends.
    pub loose: Vec<Vec<usize>>,
}

impl Laid {
    /// What is taken at the knot itself: all that lies there and the leg to it.
    pub fn taken(&self) -> Vec<Area> {
        self.boxes.iter().copied().chain(self.corridor).chain(self.room).collect()
    }

    /// Where words of the knot itself stand.
    pub fn words(&self) -> impl Iterator<Item = Area> {
        self.label.into_iter().chain([self.card])
    }

    fn hang(&mut self, (kid, boxes): Hung) {
        self.boxes.extend(boxes);
        self.kids.push(kid);
    }
}

/// Each knot laid out for a leg that comes level and for one that comes aslant, and each leg that is laid apart.
pub(super) struct Layout {
    laid: Vec<[Laid; 2]>,
    apart: BTreeMap<usize, Laid>,
}

impl Layout {
    pub fn of(&self, knot: usize, aslant: bool) -> &Laid {
        &self.laid[knot][usize::from(aslant)]
    }

    /// A leg that is laid apart, with all behind it, seen from its start.
    pub fn apart(&self, knot: usize) -> Option<&Laid> {
        self.apart.get(&knot)
    }
}

/// What finds no place.
enum Stuck {
    Child(usize),
    Ends,
}

pub(super) struct Layer<'a> {
    pub job: &'a Job<'a>,
    loom: &'a Loom,
    texts: &'a Texts,
    courses: Vec<Course>,
    laid: Vec<[Laid; 2]>,
    /// How far what hangs on each knot keeps from the line of its leg behind its start.
    rooms: Vec<Mm>,
    cuts: &'a BTreeSet<usize>,
}

/// Rooms for the words at the start of what is laid apart, seen from there, for a bundle of this half thickness.
pub(super) fn start_words(size: Extent, half: Mm) -> [Area; 3] {
    let left = -(half + mm(6.0)) - size.width;
    let beside = half + mm(5.0);
    [(left, -size.height / 2), (Mm::ZERO, -beside - size.height), (Mm::ZERO, beside)]
        .map(|(x, y)| crowd::boxed(x, y, size))
}

/// Lays a loom out between the sides of a bench with nothing apart: where something is in the way of what it hangs on, it
/// makes room. None where that does not help.
pub(super) fn lay_whole(job: &Job, loom: &Loom, texts: &Texts, sides: Sides) -> Option<Layout> {
    let none = BTreeSet::new();
    let mut layer = Layer::new(job, loom, texts, sides, &none);
    for knot in (0..loom.knots.len()).rev() {
        layer.lay(knot);
        if layer.stuck(knot) > 0 && !layer.make_room(knot) {
            return None;
        }
    }
    Some(layer.done())
}

/// Lays a loom out between the sides of a bench; the legs to the knots in `cuts`, and what finds no place, apart from the
/// rest.
pub(super) fn lay_out(job: &Job, loom: &Loom, texts: &Texts, sides: Sides, cuts: &BTreeSet<usize>) -> Layout {
    let mut layer = Layer::new(job, loom, texts, sides, cuts);
    (0..loom.knots.len()).rev().for_each(|knot| layer.lay(knot));
    layer.done()
}

impl<'a> Layer<'a> {
    fn new(
        job: &'a Job<'a>,
        loom: &'a Loom,
        texts: &'a Texts,
        sides: Sides,
        cuts: &'a BTreeSet<usize>,
    ) -> Layer<'a> {
        let courses = courses(loom, texts, sides, cuts);
        let laid = vec![<[Laid; 2]>::default(); loom.knots.len()];
        let rooms = vec![Mm::ZERO; loom.knots.len()];
        Layer { job, loom, texts, courses, laid, rooms, cuts }
    }

    /// With the pieces that are laid apart.
    fn done(self) -> Layout {
        let broken: BTreeSet<usize> =
            self.laid.iter().flatten().flat_map(|laid| &laid.apart).copied().collect();
        let piece = |knot: &usize| Some((*knot, self.piece(*knot, self.leg(*knot)?)?));
        let apart = broken.iter().filter_map(piece).collect();
        Layout { laid: self.laid, apart }
    }
}

impl Layer<'_> {
    pub fn leg(&self, knot: usize) -> Option<Leg> {
        self.loom.knots[knot].up.map(|(_, leg)| leg)
    }

    pub fn shape(&self, knot: usize, aslant: bool) -> &Laid {
        &self.laid[knot][usize::from(aslant)]
    }

    /// The place from which the leg to a knot comes.
    pub fn place_before(&self, knot: usize) -> PlaceId {
        let parent = self.loom.knots[knot].up.map_or(knot, |(parent, _)| parent);
        self.loom.knots[parent].place
    }

    /// Half of the thickest bundle at a knot.
    fn half(&self, knot: usize) -> Mm {
        let children = self.loom.knots[knot].children.iter().filter_map(|c| self.leg(*c));
        let legs = self.leg(knot).into_iter().chain(children).map(|leg| leg.half);
        legs.chain(self.loom.knots[knot].ends.iter().map(|end| end.half)).max().unwrap_or(Mm::ZERO)
    }

    /// Around the middle of a knot everything that hangs on it lies together.
    pub fn hub(&self, knot: usize) -> Mm {
        mm(14.0) + self.half(knot) * 2
    }

    /// Lays a knot out for a leg that comes level and, where it may, for one that comes aslant.
    fn lay(&mut self, knot: usize) {
        self.laid[knot][0] = self.knot(knot, false);
        if self.leg(knot).is_some_and(|leg| leg.length <= ASLANT) {
            self.laid[knot][1] = self.knot(knot, true);
        }
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

    fn knot(&self, knot: usize, aslant: bool) -> Laid {
        let cut = |c: &usize| self.cuts.contains(c);
        let mut apart: Vec<usize> = self.loom.knots[knot].children.iter().copied().filter(cut).collect();
        let mut loose: Vec<Vec<usize>> = Vec::new();
        loop {
            match self.arranged(knot, aslant, &apart, &loose) {
                Ok(laid) => return Laid { apart, loose, ..laid },
                Err(Stuck::Child(child)) => apart.push(child),
                Err(Stuck::Ends) => {
                    let of = &self.loom.knots[knot];
                    let lists = fan::wants(&of.ends, self.texts.rows(knot), true);
                    loose = lists.into_iter().map(|want| want.ends).collect();
                }
            }
        }
    }

    /// The leg to a knot with all behind it, as it lies apart.
    fn piece(&self, child: usize, leg: Leg) -> Option<Laid> {
        let knot = self.loom.knots[child].up.map_or(child, |(parent, _)| parent);
        let words = card::of_start(self.job, self.place_before(child)).size();
        // Where the words find no place the letter alone says what it is.
        let rooms = start_words(words, leg.half).map(Some).into_iter().chain([None]);
        rooms.into_iter().find_map(|room| {
            let boxes: Vec<Area> = room.into_iter().collect();
            let mut laid = Laid { card: room.unwrap_or_default(), boxes, ..Laid::default() };
            let search = Search { layer: self, knot, child, leg, on: &laid, taken: &laid.boxes };
            let hung = match &self.courses[child] {
                Course::Folded(folds) => search.folded(None, folds).or_else(|| search.straight()),
                Course::On | Course::Back => search.straight(),
            };
            laid.hang(hung?);
            Some(laid)
        })
    }

    /// The best of several arrangements.
    fn arranged(&self, i: usize, aslant: bool, apart: &[usize], loose: &[Vec<usize>]) -> Result<Laid, Stuck> {
        let knot = &self.loom.knots[i];
        let children: Vec<usize> = knot.children.iter().copied().filter(|c| !apart.contains(c)).collect();
        let on = children.iter().copied().filter(|c| self.courses[*c] != Course::Back);
        let straight: Vec<Option<usize>> = on.map(Some).take(CHOICES).chain([None]).collect();
        let both = loose.is_empty() && !knot.ends.is_empty() && !children.is_empty();
        let fans: &[bool] = if both { &[true, false] } else { &[true] };
        let base = self.base(i, aslant, apart, loose);
        let mut best: Option<(f64, Laid)> = None;
        let mut stuck = None;
        for first in straight {
            // With another child straight on, only one order is weighed.
            let orders =
                if first == children.first().copied() { fans } else { fans.get(..1).unwrap_or(fans) };
            for fans_first in orders {
                match self.arrange(i, &base, &children, first, *fans_first, loose.is_empty()) {
                    Ok(laid) => {
                        let size = crowd::hull(&laid.boxes).unwrap_or_default();
                        // The trunk goes straight on unless that takes much more of the bench.
                        let trunk = first.is_some() && first == children.first().copied();
                        let bias = if trunk || children.is_empty() {
                            0.0
                        } else if knot.up.is_none() {
                            300.0
                        } else {
                            40.0
                        };
                        let cost = size.height().as_f64()
                            + size.width().as_f64() * 0.05
                            + bias
                            + laid.kids.iter().filter(|k| k.astray).count() as f64 * ASTRAY;
                        if best.as_ref().is_none_or(|(known, _)| cost < *known) {
                            best = Some((cost, laid));
                        }
                    }
                    Err(why) => stuck = Some(stuck.unwrap_or(why)),
                }
            }
            // A single way on that goes straight cannot be beaten.
            if best.is_some() && children.len() < 2 {
                break;
            }
        }
        match (best, stuck) {
            (Some((_, laid)), _) => Ok(laid),
            (None, Some(why)) => Err(why),
            (None, None) => Err(Stuck::Ends),
        }
    }

    /// A knot with its words and nothing on it.
    fn base(&self, i: usize, aslant: bool, apart: &[usize], loose: &[Vec<usize>]) -> Laid {
        let half = self.half(i);
        let mut laid = Laid::default();
        let size = words::card(self.job, self.loom, i, apart, loose.len(), 0).size();
        let foot =
            |right: Mm, foot: Mm, size: Extent| crowd::boxed(right - size.width, foot - size.height, size);
        // So far left that another leg may leave upright.
        let right = -(half + mm(6.0));
        match self.leg(i) {
            None => laid.card = foot(right, -(half + mm(7.0)), size),
            Some(leg) => {
                let label = self.texts.label(i).map(|block| block.size()).unwrap_or_default();
                if aslant {
                    let at = -(half + mm(5.0));
                    laid.card = foot(right, at, size);
                    laid.label = Some(foot(right, at - size.height - mm(2.0), label));
                } else {
                    laid.card = crowd::boxed(right - size.width, half.max(leg.half) + mm(4.0), size);
                    // Near the knot: a leg that comes from elsewhere may be level only there.
                    let folded = matches!(self.courses[i], Course::Folded(_));
                    let middle = if folded { Mm::ZERO } else { leg.length.scaled(0.4).min(mm(120.0)) };
                    let middle = middle.max(label.width / 2 - right);
                    laid.label = Some(foot(label.width / 2 - middle, -(leg.half + mm(4.0)), label));
                    let (start, near) =
                        (Point::new(-leg.length, Mm::ZERO), Point::new(-self.hub(i), Mm::ZERO));
                    laid.corridor = Some(Area::between(start, near).grown(leg.half + mm(2.0)));
                    let room = self.rooms[i];
                    if room > Mm::ZERO {
                        // A leg that turns back steeply gets out of the way in time.
                        let end = -self.hub(i) - room.scaled(1.2);
                        let (top, foot) = (Point::new(end - FAR, -room), Point::new(end, room));
                        laid.room = Some(Area::between(top, foot));
                    }
                }
            }
        }
        laid.boxes.push(Area::default().grown(half.max(mm(4.5)) + mm(1.0)));
        laid.boxes.push(laid.card);
        laid.boxes.extend(laid.label);
        laid
    }

    fn arrange(
        &self,
        i: usize,
        base: &Laid,
        children: &[usize],
        first: Option<usize>,
        fans_first: bool,
        with_ends: bool,
    ) -> Result<Laid, Stuck> {
        let mut laid = base.clone();
        if let Some(child) = first {
            let hung = self.straight(i, child, &laid).ok_or(Stuck::Child(child))?;
            laid.hang(hung);
        }
        if fans_first && with_ends {
            self.fans(i, children.len(), &mut laid).ok_or(Stuck::Ends)?;
        }
        let mut others: Vec<usize> = children.iter().copied().filter(|c| Some(*c) != first).collect();
        // Short legs reach few places, so they choose first.
        others.sort_by_key(|c| (self.leg(*c).map(|leg| leg.length), *c));
        for child in others {
            let hung = self.branch(i, child, &laid).ok_or(Stuck::Child(child))?;
            laid.hang(hung);
        }
        if !fans_first && with_ends {
            self.fans(i, children.len(), &mut laid).ok_or(Stuck::Ends)?;
        }
        crowd::thin_out(&mut laid.boxes);
        Ok(laid)
    }

    /// All ends of a knot.
    fn fans(&self, i: usize, children: usize, laid: &mut Laid) -> Option<()> {
        let knot = &self.loom.knots[i];
        if knot.ends.is_empty() {
            return Some(());
        }
        let hub = self.hub(i);
        let root = knot.up.is_none();
        let (words, taken): (Vec<Area>, Vec<Area>) = (laid.words().collect(), laid.taken());
        let lists = [false, true].into_iter().map(|lists| fan::wants(&knot.ends, self.texts.rows(i), lists));
        let found = lists.into_iter().find_map(|wants| {
            // Long tails of the root lie along its legs: ahead of it they would take the bench that the legs need.
            let ahead = children == 0 || (root && !fan::any_long(&wants));
            let front = ahead.then(|| fan::front(&wants, hub, root)).flatten();
            let front = front.filter(|prongs| fan::is_clear(prongs, hub, &taken, &words));
            front.or_else(|| self.quarters(i, &wants, children, &taken, &words))
        })?;
        laid.boxes.extend(found.iter().flat_map(|p| p.boxes(hub)));
        laid.prongs.extend(found);
        Some(())
    }

    /// Ends shared out over the quarters around a knot.
    fn quarters(
        &self,
        i: usize,
        wants: &[fan::Want],
        children: usize,
        taken: &[Area],
        words: &[Area],
    ) -> Option<Vec<Prong>> {
        let hub = self.hub(i);
        let mut taken = taken.to_vec();
        let mut out = Vec::new();
        let mut rest = wants;
        let lefts = if children > 1 { [true, false] } else { [false, true] };
        for (left, up) in lefts.into_iter().flat_map(|left| [(left, true), (left, false)]) {
            // As many as fit into this quarter.
            let fitting = (1..=rest.len()).rev().find_map(|count| {
                let part = rest.get(..count)?;
                let mut from = self.half(i) + fan::BESIDE;
                while let Some(prongs) = fan::quarter(part, hub, left, up, from) {
                    if fan::is_clear(&prongs, hub, &taken, words) {
                        return Some((count, prongs));
                    }
                    from += fan::STEP;
                }
                None
            });
            if let Some((count, prongs)) = fitting {
                taken.extend(prongs.iter().flat_map(|p| p.boxes(hub)));
                out.extend(prongs);
                rest = rest.get(count..)?;
            }
            if rest.is_empty() {
                return Some(out);
            }
        }
        None
    }

    /// The child goes on in the direction of its knot, folded where it must be.
    fn straight(&self, knot: usize, child: usize, on: &Laid) -> Option<Hung> {
        let search = Search { layer: self, knot, child, leg: self.leg(child)?, on, taken: &on.taken() };
        match &self.courses[child] {
            Course::Folded(folds) => search.folded(None, folds),
            Course::On | Course::Back => search.straight(),
        }
    }

    /// True where what hangs on a child is reckoned to run against the direction of its parent.
    fn runs_back(&self, child: usize) -> bool {
        match &self.courses[child] {
            Course::On => false,
            Course::Back => true,
            Course::Folded(folds) => folds.len() % 2 == 1,
        }
    }

    /// The child leaves at an angle, where that makes the whole lowest.
    fn branch(&self, knot: usize, child: usize, on: &Laid) -> Option<Hung> {
        let search = Search { layer: self, knot, child, leg: self.leg(child)?, on, taken: &on.taken() };
        let mut best = Best { hull: crowd::hull(&on.boxes)?, found: None };
        let ways = [false, true].into_iter().flat_map(|down| {
            Angle::ALL.into_iter().zip([0.0, 6.0, 10.0, 24.0]).map(move |(angle, bias)| (down, angle, bias))
        });
        for (down, angle, bias) in ways.clone() {
            match &self.courses[child] {
                Course::On => {
                    let risen = search.risen(angle, down, false);
                    let found = risen.or_else(|| search.slanted(angle, down, false));
                    best.offer(bias, found);
                }
                Course::Folded(folds) => {
                    let rise = search.lane(angle, down, folds);
                    best.offer(bias, rise.and_then(|rise| search.folded(Some((rise, down)), folds)));
                    // As good as folded where the fold comes at once.
                    let at_once = folds.first().is_some_and(|at| *at <= AT_ONCE);
                    if at_once && self.runs_back(child) {
                        best.offer(SHARP - bias, search.slanted(angle, down, true));
                        best.offer(SHARP - bias, search.risen(angle, down, true));
                    }
                }
                Course::Back => {
                    best.offer(24.0 - bias, search.slanted(angle, down, true));
                    best.offer(24.0 - bias, search.risen(angle, down, true));
                }
            }
        }
        // Against the direction that was reckoned with: it may run over the edge of the bench.
        if best.found.is_none() {
            let back = !self.runs_back(child);
            for (down, angle, bias) in ways {
                best.offer(ASTRAY + bias, search.risen(angle, down, back));
                best.offer(ASTRAY + bias, search.slanted(angle, down, back));
            }
        }
        best.found.map(|(_, hung)| hung)
    }
}

/// The cheapest place found so far.
struct Best {
    hull: Area,
    found: Option<(f64, Hung)>,
}

impl Best {
    fn offer(&mut self, bias: f64, found: Option<Hung>) {
        let Some((kid, boxes)) = found else { return };
        let own = crowd::hull(&boxes).unwrap_or(self.hull);
        let grown = own.union(self.hull).height() - self.hull.height();
        let cost = grown.as_f64() + kid.frame.at.y.abs().as_f64() * 0.2 + bias;
        if self.found.as_ref().is_none_or(|(known, _)| cost < *known) {
            let kid = Kid { astray: bias >= ASTRAY, ..kid };
            self.found = Some((cost, (kid, boxes)));
        }
    }
}
