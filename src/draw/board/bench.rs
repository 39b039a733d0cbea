//! A loom and the bench in; everything of it at its place on the bench, out.
//!
//! Where the loom does not keep to the bench, it is folded anew, a few times; where it does not go there whole, legs are
//! laid apart; what then still does not fit is left as large as it is, and says so. Nothing is made smaller.

use std::collections::BTreeSet;

use super::card;
use super::crowd;
use super::fan::{self, Prong};
use super::fold::Sides;
use super::frame::Frame;
use super::job::Job;
use super::laid::{FoldMark, Kid, Laid, Layout};
use super::lay::{Layer, start_words};
use super::loom::Loom;
use super::way::Way;
use super::words::Texts;
use crate::draw::geometry::{Area, Extent, Mm, Point, mm};

const ROUNDS: usize = 6;
/// How often a loom is folded anew in the hope that nothing need be laid apart, and by how much earlier at least.
const WHOLE: usize = 8;
const EARLIER: Mm = mm(60.0);
/// Between the sides of a bench, at least.
const NARROWEST: Mm = mm(200.0);
/// What a leg that is laid apart costs: as much as so much beyond the edge of the bench.
const BROKEN: Mm = mm(120.0);
/// Between the loom and what is laid apart.
const APART: Mm = mm(30.0);

/// A leg on the bench.
#[derive(Clone, Debug)]
pub(super) struct LaidLeg {
    /// The knot it leads to.
    pub knot: usize,
    /// From the knot nearer to the root.
    pub way: Way,
    pub label: Area,
    pub folds: Vec<FoldMark>,
}

/// A knot on the bench.
#[derive(Clone, Debug)]
pub(super) struct LaidKnot {
    pub knot: usize,
    pub at: Point,
    pub card: Area,
    /// Children and tails that are laid apart, and the number of the first of their letters.
    pub apart: Vec<usize>,
    pub loose: usize,
    pub letter: usize,
}

/// A tail on the bench.
#[derive(Clone, Debug)]
pub(super) struct LaidTail {
    pub knot: usize,
    /// Where it leaves.
    pub at: Point,
    pub prong: Prong,
}

/// Where something that is laid apart starts.
#[derive(Clone, Debug)]
pub(super) struct Start {
    pub at: Point,
    pub letter: usize,
    /// The knot that it belongs to.
    pub knot: usize,
    pub words: Area,
}

/// Everything of a loom.
#[derive(Clone, Debug, Default)]
pub(super) struct Placed {
    pub legs: Vec<LaidLeg>,
    pub knots: Vec<LaidKnot>,
    pub tails: Vec<LaidTail>,
    pub starts: Vec<Start>,
    /// What all of it takes.
    pub area: Area,
}

impl Placed {
    pub fn fits(&self, bench: Extent) -> bool {
        bench.holds(self.area.extent())
    }
}

/// Lays a loom on a bench: whole, and where it does not go there whole, with legs laid apart.
pub(super) fn on_bench(job: &Job, loom: &Loom, texts: &Texts, bench: Extent) -> Placed {
    let mut search = Search { layer: Layer::new(job, loom, texts), bench, best: None };
    if !search.whole() {
        search.broken();
    }
    search.best.map(|(_, placed)| placed).unwrap_or_default()
}

struct Search<'a> {
    layer: Layer<'a>,
    bench: Extent,
    /// What was best so far: whether it is larger than the bench, and what it costs.
    best: Option<((bool, Mm), Placed)>,
}

/// What came of a layout.
struct Tried {
    /// Legs that are laid apart.
    apart: BTreeSet<usize>,
    /// By how much it is too wide, and too high.
    over: [Mm; 2],
    /// The sides for which it would have to be folded, for what it overshot.
    next: Sides,
}

impl Search<'_> {
    /// Before a loom is laid out, what its root takes to its left is not known.
    fn first(&self) -> Sides {
        Sides { left: mm(-300.0), right: self.bench.width - mm(300.0) }
    }

    /// Looks for folds with which nothing is laid apart: first for what the loom overshot, then earlier and earlier.
    /// True where that is found.
    fn whole(&mut self) -> bool {
        let mut sides = self.first();
        // How far right the last one was folded, and what it overshot.
        let mut last: Option<(Mm, Mm)> = None;
        for round in 0..WHOLE {
            let mut step = EARLIER;
            let mut left = sides.left;
            if let Some(layout) = self.layer.whole(sides) {
                let Tried { over, next, .. } = self.tried(&layout, sides);
                if over == [Mm::ZERO; 2] {
                    return true;
                }
                // What overshoots by far runs the wrong way, and says nothing of where to fold.
                if round == 0 && over[0] <= EARLIER * 4 {
                    step = step.max(sides.right - next.right);
                    left = next.left;
                } else if let Some((right, by)) = last
                    && over[0] > Mm::ZERO
                    && by > over[0]
                    && by <= EARLIER * 8
                {
                    let share = (over[0] + mm(5.0)).as_f64() / (by - over[0]).as_f64();
                    step = step.min((right - sides.right).scaled(share));
                }
                last = Some((sides.right, over[0]));
            }
            sides = Sides { left, right: sides.right - step };
            if sides.right - sides.left < NARROWEST {
                break;
            }
        }
        false
    }

    /// Lays what finds no place apart, and folds the rest for what it overshot.
    fn broken(&mut self) {
        let mut sides = self.first();
        let mut cuts = BTreeSet::new();
        for _ in 0..ROUNDS {
            let layout = self.layer.broken(sides, &cuts);
            let Tried { apart, over, next } = self.tried(&layout, sides);
            let same = next.left == sides.left && next.right == sides.right && apart.is_subset(&cuts);
            let done = over[0] == Mm::ZERO && apart.is_subset(&cuts);
            if done || same || next.right - next.left < NARROWEST {
                break;
            }
            sides = next;
            cuts.extend(apart);
        }
    }

    /// Keeps a layout where it is the best so far.
    fn tried(&mut self, layout: &Layout, sides: Sides) -> Tried {
        let placed = placed(self.layer.job, self.layer.loom, self.layer.texts, layout);
        let apart: BTreeSet<usize> = placed.knots.iter().flat_map(|k| k.apart.iter().copied()).collect();
        let over = (placed.area.width() - self.bench.width).max(Mm::ZERO);
        let tall = (placed.area.height() - self.bench.height).max(Mm::ZERO);
        let own = layout.of(0, false);
        let tails = own.prongs.iter().map(|p| p.words).chain([own.card]);
        let root_left = tails.reduce(Area::union).map_or(Mm::ZERO, |a| a.min.x).min(mm(-10.0));
        let ends = (placed.area.min.x, placed.area.max.x);
        let larger = over > Mm::ZERO || tall > Mm::ZERO;
        let cost = (larger, over + tall + BROKEN.times(apart.len()));
        if self.best.as_ref().is_none_or(|(known, _)| cost < *known) {
            self.best = Some((cost, placed));
        }
        // The bench as it lies under the root now.
        let (left, right) = (root_left, root_left + self.bench.width);
        let next = Sides {
            left: if ends.0 < left {
                sides.left.max(left) + (left - ends.0) + mm(5.0)
            } else {
                sides.left.max(left)
            },
            right: if ends.1 > right {
                sides.right.min(right) - (ends.1 - right) - mm(5.0)
            } else {
                sides.right.min(right)
            },
        };
        Tried { apart, over: [over, tall], next }
    }
}

/// What is still to be put on the bench.
enum Next {
    Knot {
        knot: usize,
        aslant: bool,
        frame: Frame,
    },
    /// A leg with all behind it, laid apart.
    Leg {
        knot: usize,
        letter: usize,
    },
    /// Tails of a knot, laid apart.
    Loose {
        knot: usize,
        ends: Vec<usize>,
        letter: usize,
    },
}

struct Placer<'a> {
    job: &'a Job<'a>,
    loom: &'a Loom,
    texts: &'a Texts,
    layout: &'a Layout,
    out: Placed,
    letter: usize,
    apart: Vec<Next>,
}

fn placed(job: &Job, loom: &Loom, texts: &Texts, layout: &Layout) -> Placed {
    let mut placer =
        Placer { job, loom, texts, layout, out: Placed::default(), letter: loom.letters, apart: Vec::new() };
    let root = layout.of(0, false);
    placer.out.area = root.boxes.hull().unwrap_or_default();
    placer.all_from(Next::Knot { knot: 0, aslant: false, frame: Frame::default() });
    let mut done = 0;
    while done < placer.apart.len() {
        let next = std::mem::replace(
            &mut placer.apart[done],
            Next::Knot { knot: 0, aslant: false, frame: Frame::default() },
        );
        placer.beside(next);
        done += 1;
    }
    placer.out
}

impl Placer<'_> {
    /// A knot and all that hangs on it.
    fn all_from(&mut self, first: Next) {
        let mut stack = vec![first];
        while let Some(Next::Knot { knot, aslant, frame }) = stack.pop() {
            let laid = self.layout.of(knot, aslant);
            self.knot(knot, laid, &frame);
            for kid in laid.kids.iter().rev() {
                self.leg(kid, &frame);
                let frame = frame.within(kid.frame);
                stack.push(Next::Knot { knot: kid.knot, aslant: kid.aslant, frame });
            }
        }
    }

    fn knot(&mut self, knot: usize, laid: &Laid, frame: &Frame) {
        self.out.knots.push(LaidKnot {
            knot,
            at: frame.at,
            card: frame.area(laid.card),
            apart: laid.apart.clone(),
            loose: laid.loose.len(),
            letter: self.letter,
        });
        for child in &laid.apart {
            self.apart.push(Next::Leg { knot: *child, letter: self.letter });
            self.letter += 1;
        }
        for ends in &laid.loose {
            self.apart.push(Next::Loose { knot, ends: ends.clone(), letter: self.letter });
            self.letter += 1;
        }
        for prong in &laid.prongs {
            self.tail(knot, prong, frame);
        }
    }

    fn tail(&mut self, knot: usize, prong: &Prong, frame: &Frame) {
        let (way, words) = (prong.way.within(frame), frame.area(prong.words));
        self.out.tails.push(LaidTail { knot, at: frame.at, prong: Prong { way, words, ..prong.clone() } });
    }

    fn leg(&mut self, kid: &Kid, frame: &Frame) {
        let inner = frame.within(kid.frame);
        let label = self.layout.of(kid.knot, kid.aslant).label.unwrap_or_default();
        let folds = kid.folds.iter().map(|f| FoldMark { words: frame.area(f.words), ..f.clone() }).collect();
        self.out.legs.push(LaidLeg {
            knot: kid.knot,
            way: kid.way.within(frame),
            label: inner.area(label),
            folds,
        });
    }

    /// Puts something that is laid apart below all the rest.
    fn beside(&mut self, next: Next) {
        let (knot, letter) = match &next {
            Next::Leg { knot, letter } | Next::Loose { knot, letter, .. } => (*knot, *letter),
            Next::Knot { .. } => return,
        };
        // Told from where it starts: its shape, and the words at the start.
        let piece = matches!(next, Next::Leg { .. }).then(|| self.layout.apart(knot)).flatten();
        let size = card::of_start(self.job, self.loom.knots[knot].place).size();
        let [beside, ..] = start_words(size, Mm::ZERO);
        let words = piece.map_or(beside, |laid| laid.card);
        let mut boxes = vec![words];
        let mut prongs = Vec::new();
        match &next {
            Next::Leg { knot, .. } => {
                boxes.extend(self.layout.apart(*knot).iter().flat_map(|laid| laid.boxes.areas()))
            }
            Next::Loose { knot, ends, .. } => {
                let (of, rows) = (&self.loom.knots[*knot].ends, self.texts.rows(*knot));
                let all = fan::wants(of, rows, true);
                let own: Vec<fan::Want> = all.into_iter().filter(|w| w.ends == *ends).collect();
                prongs = fan::front(&own, mm(9.0), false).unwrap_or_default();
                boxes.extend(prongs.iter().flat_map(|p| p.boxes(mm(9.0))));
            }
            Next::Knot { .. } => {}
        }
        let Some(hull) = crowd::hull(&boxes) else { return };
        let at = Point::new(self.out.area.min.x - hull.min.x, self.out.area.max.y + APART - hull.min.y);
        let frame = Frame { at, ..Frame::default() };
        self.out.area = self.out.area.union(frame.area(hull));
        let of = match next {
            Next::Leg { knot, .. } => self.loom.knots[knot].up.map_or(knot, |(parent, _)| parent),
            _ => knot,
        };
        self.out.starts.push(Start { at, letter, knot: of, words: frame.area(words) });
        for prong in &prongs {
            self.tail(knot, prong, &frame);
        }
        for kid in piece.iter().flat_map(|laid| &laid.kids) {
            self.leg(kid, &frame);
            self.all_from(Next::Knot { knot, aslant: false, frame: frame.within(kid.frame) });
        }
    }
}
