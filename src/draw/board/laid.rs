//! What a knot is when it is laid: the rectangles that it takes with all that hangs on it, and where its words, tails and
//! children lie, seen from it.

use std::collections::BTreeMap;
use std::rc::Rc;

use super::branch::Hung;
use super::crowd::Crowd;
use super::fan::Prong;
use super::frame::Frame;
use super::way::Way;
use crate::draw::geometry::{Area, Mm};

/// A fold as it lies, seen from the start of its leg.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct FoldMark {
    /// Distance of its middle from the start of the leg.
    pub station: Mm,
    pub words: Area,
}

/// A child as it hangs on its knot.
#[derive(Clone, Debug, PartialEq, Eq)]
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
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Laid {
    pub boxes: Crowd,
    pub prongs: Vec<Prong>,
    pub label: Option<Area>,
    pub card: Area,
    /// Where the leg to the knot lies, and what is kept free for what it comes from; no part of the shape.
    pub corridor: Option<Area>,
    pub room: Option<Area>,
    pub kids: Vec<Kid>,
    /// Children that are laid apart.
    pub apart: Vec<usize>,
    /// Tails that are laid apart, by their ends.
    pub loose: Vec<Vec<usize>>,
}

impl Laid {
    /// What is taken at the knot itself: all that lies there and the leg to it.
    pub fn taken(&self) -> Crowd {
        let mut taken = self.boxes.clone();
        // Long as they are, each is a group of its own.
        taken.add(self.corridor);
        taken.add(self.room);
        taken
    }

    /// Where words of the knot itself stand.
    pub fn words(&self) -> impl Iterator<Item = Area> {
        self.label.into_iter().chain([self.card])
    }

    /// Hangs a child on the knot, with its shape.
    pub fn hang(&mut self, Hung { kid, own, .. }: Hung, shape: &Laid) {
        self.boxes.add_all(&shape.boxes, &kid.frame);
        self.boxes.add(own);
        self.kids.push(kid);
    }
}

/// A knot that is laid, and the number by which it is known: what has the same number lies the same way.
#[derive(Clone, Debug, Default)]
pub(super) struct Shape {
    pub number: usize,
    pub laid: Rc<Laid>,
}

/// Each knot laid out for a leg that comes level and for one that comes aslant, and each leg that is laid apart.
#[derive(Debug)]
pub(super) struct Layout {
    pub shapes: Vec<[Shape; 2]>,
    pub apart: BTreeMap<usize, Laid>,
}

impl Layout {
    pub fn of(&self, knot: usize, aslant: bool) -> &Laid {
        &self.shapes[knot][usize::from(aslant)].laid
    }

    /// A leg that is laid apart, with all behind it, seen from its start.
    pub fn apart(&self, knot: usize) -> Option<&Laid> {
        self.apart.get(&knot)
    }
}
