//! What a knot is laid out for in; the shape it had when it was laid out for the same before, out.
//!
//! A loom is laid out several times, folded a little differently each time, and most of it lies as before. What a knot
//! looks like hangs on a few things only: how the leg to it comes, the room it keeps, and for each child its course and
//! the shapes it has. Shapes are told apart by number, so no two layouts are ever compared. What has not been asked for
//! of late is forgotten, so memory does not grow with the number of layouts.

use std::collections::BTreeMap;
use std::rc::Rc;

use super::fold::Course;
use super::laid::{Laid, Shape};
use crate::draw::geometry::Mm;

/// How the leg to a knot comes.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Coming {
    Aslant,
    /// Folded before or not, and how far what hangs on the knot keeps from the leg's line.
    Level {
        folded: bool,
        room: Mm,
    },
}

/// A child as a knot finds it: its course and the numbers of its shapes. None for one whose leg is cut off.
pub(super) type Found = Option<(Course, [usize; 2])>;

/// Layouts for which a shape is kept that none of them asks for: one may be given up before it comes to a knot.
const KEPT: usize = 2;

/// All that a layout of a knot of one loom hangs on.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Cause {
    pub coming: Coming,
    /// In the order of the children.
    pub children: Vec<Found>,
}

/// A shape that is known, and the layout in which it was last asked for.
struct Kept {
    shape: Shape,
    asked: usize,
}

/// The shapes of a loom's knots, by what they hang on.
pub(super) struct Known {
    shapes: Vec<BTreeMap<Cause, Kept>>,
    /// The layout that is being made.
    layout: usize,
    /// Number of the last shape. The first is that of nothing laid.
    last: usize,
}

impl Known {
    pub fn new(knots: usize) -> Known {
        Known { shapes: (0..knots).map(|_| BTreeMap::new()).collect(), layout: 0, last: 0 }
    }

    /// Begins another layout: what none of the last ones asked for is forgotten.
    pub fn begin(&mut self) {
        self.layout += 1;
        for shapes in &mut self.shapes {
            shapes.retain(|_, kept| kept.asked + KEPT >= self.layout);
        }
    }

    /// The shape of a knot that is known to come from this.
    pub fn find(&mut self, knot: usize, cause: &Cause) -> Option<Shape> {
        let kept = self.shapes[knot].get_mut(cause)?;
        kept.asked = self.layout;
        Some(kept.shape.clone())
    }

    /// Keeps the shape of a knot that comes from this.
    pub fn keep(&mut self, knot: usize, cause: Cause, laid: Laid) -> Shape {
        self.last += 1;
        let shape = Shape { number: self.last, laid: Rc::new(laid) };
        self.shapes[knot].insert(cause, Kept { shape: shape.clone(), asked: self.layout });
        shape
    }
}
