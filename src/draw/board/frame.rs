//! Places told from a knot in; the same told from where the knot lies, out: shifted, and turned over where its branch
//! runs the other way or hangs down.

use crate::draw::geometry::{Area, Mm, Point};

/// Where a knot lies and which way its own x and y point.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Frame {
    pub at: Point,
    /// Its legs run to the left.
    pub left: bool,
    /// Its outer side is below.
    pub down: bool,
}

impl Frame {
    pub fn point(&self, p: Point) -> Point {
        let x = if self.left { -p.x } else { p.x };
        let y = if self.down { -p.y } else { p.y };
        self.at.by(x, y)
    }

    pub fn area(&self, area: Area) -> Area {
        Area::between(self.point(area.min), self.point(area.max))
    }

    /// The frame that `inner`, told from here, is on the bench.
    pub fn within(&self, inner: Frame) -> Frame {
        Frame { at: self.point(inner.at), left: self.left != inner.left, down: self.down != inner.down }
    }

    /// True where left and right are exchanged but not up and down, or the other way round: curves turn the other way.
    pub fn mirrors(&self) -> bool {
        self.left != self.down
    }
}

/// The frame of something that is only moved.
pub(super) fn moved(x: Mm, y: Mm) -> Frame {
    Frame { at: Point::new(x, y), ..Frame::default() }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::draw::geometry::mm;

    #[test]
    fn frames_in_frames_agree() {
        let p = Point::new(mm(3.0), mm(5.0));
        let outer = Frame { at: Point::new(mm(100.0), mm(50.0)), left: true, down: false };
        let inner = Frame { at: Point::new(mm(20.0), mm(-7.0)), left: false, down: true };
        assert_eq!(outer.within(inner).point(p), outer.point(inner.point(p)));
        assert_eq!(outer.within(inner).point(p), Point::new(mm(77.0), mm(38.0)));
    }
}
