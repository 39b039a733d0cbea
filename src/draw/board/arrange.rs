//! A knot and the shapes of what hangs on it in; the shape of the knot with all of it out.
//!
//! One child goes straight on, the others leave at an angle, up or down, and rise until they lie clear (solved, not
//! tried: a shape that slides along a line is blocked over known stretches). Several arrangements are weighed and the
//! lowest is kept; one that is dearer than the best before it is whole is given up. What finds no place is laid apart.
//! Cost: for each knot the groups of rectangles of its children, pair by pair.

use super::branch::{Hung, Search};
use super::crowd::{self, Crowd};
use super::fan::{self, Prong};
use super::fold::Course;
use super::laid::Laid;
use super::lay::Layer;
use super::price::{ASTRAY, Best, Limit};
use super::turn::Angle;
use super::words;
use crate::draw::geometry::{Area, Extent, Mm, Point, mm};

/// Ways to choose which child goes straight on.
const CHOICES: usize = 2;
/// A fold no further from the start of its leg may be left out.
const AT_ONCE: Mm = mm(200.0);
/// Further than any bench is wide.
const FAR: Mm = mm(50_000.0);
/// What a leg costs that turns back sharply at its peg.
const SHARP: f64 = 60.0;
/// What it costs that another child than the trunk goes straight on; at the root, where it takes the bench from the trunk,
/// more.
const NOT_TRUNK: f64 = 40.0;
const NOT_TRUNK_AT_ROOT: f64 = 300.0;
/// What an arrangement costs for each millimetre of its length.
const LENGTH: f64 = 0.05;

/// What finds no place.
enum Stuck {
    Child(usize),
    Ends,
}

/// How a knot is arranged.
#[derive(Clone, Copy)]
struct Arrangement {
    /// The child that goes straight on.
    first: Option<usize>,
    /// True where the ends choose their places before the children that leave at an angle.
    fans_first: bool,
    /// What it costs beside the bench that it takes.
    bias: f64,
}

impl Arrangement {
    /// What it costs with what is laid so far: no less when more is laid.
    fn cost(&self, laid: &Laid) -> f64 {
        let size = laid.boxes.hull().unwrap_or_default();
        size.height().as_f64()
            + size.width().as_f64() * LENGTH
            + self.bias
            + laid.kids.iter().filter(|k| k.astray).count() as f64 * ASTRAY
    }
}

impl Layer<'_> {
    /// A knot as it is laid for a leg that comes level, or aslant.
    pub fn arranged(&self, knot: usize, aslant: bool) -> Laid {
        let cut = |c: &usize| self.cuts.contains(c);
        let mut apart: Vec<usize> = self.loom.knots[knot].children.iter().copied().filter(cut).collect();
        let mut loose: Vec<Vec<usize>> = Vec::new();
        loop {
            match self.best_of(knot, aslant, &apart, &loose) {
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

    /// The best of several arrangements.
    fn best_of(&self, i: usize, aslant: bool, apart: &[usize], loose: &[Vec<usize>]) -> Result<Laid, Stuck> {
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
            // The trunk goes straight on unless that takes much more of the bench.
            let trunk = first.is_some() && first == children.first().copied();
            let bias = match knot.up {
                _ if trunk || children.is_empty() => 0.0,
                None => NOT_TRUNK_AT_ROOT,
                Some(_) => NOT_TRUNK,
            };
            // With another child straight on, only one order is weighed.
            let orders =
                if first == children.first().copied() { fans } else { fans.get(..1).unwrap_or(fans) };
            for fans_first in orders {
                let arrangement = Arrangement { first, fans_first: *fans_first, bias };
                let most = best.as_ref().map_or(f64::INFINITY, |(known, _)| *known);
                match self.arrange(i, &base, &children, arrangement, loose.is_empty(), most) {
                    Ok(Some(laid)) => best = Some((arrangement.cost(&laid), laid)),
                    Ok(None) => {}
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
        let half = self.halves[i];
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
        let middle = Area::default().grown(half.max(mm(4.5)) + mm(1.0));
        laid.boxes.add([middle, laid.card].into_iter().chain(laid.label));
        laid
    }

    /// None where it does not cost less than `most`.
    fn arrange(
        &self,
        i: usize,
        base: &Laid,
        children: &[usize],
        arrangement: Arrangement,
        with_ends: bool,
        most: f64,
    ) -> Result<Option<Laid>, Stuck> {
        let Arrangement { first, fans_first, .. } = arrangement;
        let mut laid = base.clone();
        if let Some(child) = first {
            let hung = self.straight(i, child, &laid).ok_or(Stuck::Child(child))?;
            self.hang(&mut laid, hung);
        }
        if fans_first && with_ends {
            self.fans(i, children.len(), &mut laid).ok_or(Stuck::Ends)?;
        }
        let mut others: Vec<usize> = children.iter().copied().filter(|c| Some(*c) != first).collect();
        // Short legs reach few places, so they choose first.
        others.sort_by_key(|c| (self.leg(*c).map(|leg| leg.length), *c));
        for child in others {
            if arrangement.cost(&laid) >= most {
                return Ok(None);
            }
            let hung = self.branch(i, child, &laid).ok_or(Stuck::Child(child))?;
            self.hang(&mut laid, hung);
        }
        if !fans_first && with_ends {
            self.fans(i, children.len(), &mut laid).ok_or(Stuck::Ends)?;
        }
        laid.boxes.thin_out();
        Ok(Some(laid).filter(|laid| arrangement.cost(laid) < most))
    }

    /// All ends of a knot.
    fn fans(&self, i: usize, children: usize, laid: &mut Laid) -> Option<()> {
        let knot = &self.loom.knots[i];
        if knot.ends.is_empty() {
            return Some(());
        }
        let hub = self.hub(i);
        let root = knot.up.is_none();
        let (words, taken): (Vec<Area>, Crowd) = (laid.words().collect(), laid.taken());
        let lists = [false, true].into_iter().map(|lists| fan::wants(&knot.ends, self.texts.rows(i), lists));
        let found = lists.into_iter().find_map(|wants| {
            // Long tails of the root lie along its legs: ahead of it they would take the bench that the legs need.
            let ahead = children == 0 || (root && !fan::any_long(&wants));
            let front = ahead.then(|| fan::front(&wants, hub, root)).flatten();
            let front = front.filter(|prongs| fan::is_clear(prongs, hub, &taken, &words));
            front.or_else(|| self.quarters(i, &wants, children, &taken, &words))
        })?;
        laid.boxes.add(found.iter().flat_map(|p| p.boxes(hub)));
        laid.prongs.extend(found);
        Some(())
    }

    /// Ends shared out over the quarters around a knot.
    fn quarters(
        &self,
        i: usize,
        wants: &[fan::Want],
        children: usize,
        taken: &Crowd,
        words: &[Area],
    ) -> Option<Vec<Prong>> {
        let hub = self.hub(i);
        let mut taken = taken.clone();
        let mut out = Vec::new();
        let mut rest = wants;
        let lefts = if children > 1 { [true, false] } else { [false, true] };
        for (left, up) in lefts.into_iter().flat_map(|left| [(left, true), (left, false)]) {
            // As many as fit into this quarter.
            let fitting = (1..=rest.len()).rev().find_map(|count| {
                let part = rest.get(..count)?;
                let mut from = self.halves[i] + fan::BESIDE;
                while let Some(prongs) = fan::quarter(part, hub, left, up, from) {
                    if fan::is_clear(&prongs, hub, &taken, words) {
                        return Some((count, prongs));
                    }
                    from += fan::STEP;
                }
                None
            });
            if let Some((count, prongs)) = fitting {
                taken.add(prongs.iter().flat_map(|p| p.boxes(hub)));
                out.extend(prongs);
                rest = rest.get(count..)?;
            }
            if rest.is_empty() {
                return Some(out);
            }
        }
        None
    }

    /// Hangs a child with its shape on what is laid.
    pub fn hang(&self, laid: &mut Laid, hung: Hung) {
        let shape = self.shape(hung.kid.knot, hung.kid.aslant);
        laid.hang(hung, shape);
    }

    /// The child goes on in the direction of its knot, folded where it must be.
    fn straight(&self, knot: usize, child: usize, on: &Laid) -> Option<Hung> {
        let search = Search { layer: self, knot, child, leg: self.leg(child)?, on, taken: &on.taken() };
        match &self.courses[child] {
            Course::Folded(folds) => search.folded(None, folds, &Limit::None),
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
        let mut best = Best::on(on.boxes.hull()?);
        let ways = [false, true].into_iter().flat_map(|down| {
            Angle::ALL.into_iter().zip([0.0, 6.0, 10.0, 24.0]).map(move |(angle, bias)| (down, angle, bias))
        });
        for (down, angle, bias) in ways.clone() {
            match &self.courses[child] {
                Course::On => {
                    let limit = best.limit(bias);
                    // Aslant only where it cannot rise: then it counts whether it can, not at what cost.
                    let slants = search.may_slant(angle, down, false, &limit);
                    let risen = search.risen(angle, down, false, if slants { &Limit::None } else { &limit });
                    let found = risen.or_else(|| search.slanted(angle, down, false, &limit));
                    best.offer(bias, found);
                }
                Course::Folded(folds) => {
                    let rise = search.lane(angle, down, folds);
                    let folded = |rise| search.folded(Some((rise, down)), folds, &best.limit(bias));
                    let found = rise.and_then(folded);
                    best.offer(bias, found);
                    // As good as folded where the fold comes at once.
                    let at_once = folds.first().is_some_and(|at| *at <= AT_ONCE);
                    if at_once && self.runs_back(child) {
                        offer_both(&search, &mut best, (down, angle), true, SHARP - bias);
                    }
                }
                Course::Back => offer_both(&search, &mut best, (down, angle), true, 24.0 - bias),
            }
        }
        // Against the direction that was reckoned with: it may run over the edge of the bench.
        if best.is_none() {
            let back = !self.runs_back(child);
            for (down, angle, bias) in ways {
                let bias = ASTRAY + bias;
                best.offer(bias, search.risen(angle, down, back, &best.limit(bias)));
                best.offer(bias, search.slanted(angle, down, back, &best.limit(bias)));
            }
        }
        best.into_found()
    }
}

/// Offers a leg aslant all over, and one that rises.
fn offer_both(search: &Search, best: &mut Best, (down, angle): (bool, Angle), back: bool, bias: f64) {
    best.offer(bias, search.slanted(angle, down, back, &best.limit(bias)));
    best.offer(bias, search.risen(angle, down, back, &best.limit(bias)));
}
