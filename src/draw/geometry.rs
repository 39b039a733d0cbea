//! Distances and places on paper: whole micrometres, x to the right, y down.
//!
//! Whole numbers keep coordinates exact: two lines either share a lane or they do not, and a printed
//! coordinate never depends on how a platform rounds.

use std::fmt;
use std::iter::Sum;
use std::ops::{Add, AddAssign, Div, Mul, Neg, Sub, SubAssign};

use crate::quantity::Length;

/// A distance or coordinate on paper, in whole micrometres. Arithmetic saturates.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Mm(i64);

/// `millimetres` rounded to the nearest micrometre; not-a-number becomes zero.
pub const fn mm(millimetres: f64) -> Mm {
    let half = if millimetres < 0.0 { -0.5 } else { 0.5 };
    Mm((millimetres * 1000.0 + half) as i64)
}

impl Mm {
    /// No distance.
    pub const ZERO: Mm = Mm(0);

    /// From whole micrometres.
    pub const fn from_um(um: i64) -> Mm {
        Mm(um)
    }

    /// Whole micrometres.
    pub const fn um(self) -> i64 {
        self.0
    }

    /// Millimetres, for arithmetic that needs fractions.
    pub fn as_f64(self) -> f64 {
        self.0 as f64 / 1000.0
    }

    /// The distance without its sign.
    pub fn abs(self) -> Mm {
        Mm(self.0.saturating_abs())
    }

    /// This many of it, one after another.
    pub fn times(self, count: usize) -> Mm {
        Mm(self.0.saturating_mul(i64::try_from(count).unwrap_or(i64::MAX)))
    }

    /// A fraction or multiple of it, rounded to the nearest micrometre.
    pub fn scaled(self, factor: f64) -> Mm {
        mm(self.as_f64() * factor)
    }
}

/// At scale 1:1.
impl From<Length> for Mm {
    fn from(length: Length) -> Mm {
        Mm(length.um())
    }
}

impl Add for Mm {
    type Output = Mm;
    fn add(self, other: Mm) -> Mm {
        Mm(self.0.saturating_add(other.0))
    }
}
impl Sub for Mm {
    type Output = Mm;
    fn sub(self, other: Mm) -> Mm {
        Mm(self.0.saturating_sub(other.0))
    }
}
impl Neg for Mm {
    type Output = Mm;
    fn neg(self) -> Mm {
        Mm(self.0.saturating_neg())
    }
}
impl Mul<i64> for Mm {
    type Output = Mm;
    fn mul(self, factor: i64) -> Mm {
        Mm(self.0.saturating_mul(factor))
    }
}
/// Division towards zero; by zero gives zero.
impl Div<i64> for Mm {
    type Output = Mm;
    fn div(self, divisor: i64) -> Mm {
        Mm(self.0.checked_div(divisor).unwrap_or(0))
    }
}
impl AddAssign for Mm {
    fn add_assign(&mut self, other: Mm) {
        *self = *self + other;
    }
}
impl SubAssign for Mm {
    fn sub_assign(&mut self, other: Mm) {
        *self = *self - other;
    }
}
impl Sum for Mm {
    fn sum<I: Iterator<Item = Mm>>(parts: I) -> Mm {
        parts.fold(Mm::ZERO, Add::add)
    }
}

/// Millimetres with at most three decimals, no trailing zeros, no minus before zero.
impl fmt::Display for Mm {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (whole, rest) = (self.0.unsigned_abs() / 1000, self.0.unsigned_abs() % 1000);
        let sign = if self.0 < 0 { "-" } else { "" };
        match rest {
            0 => write!(f, "{sign}{whole}"),
            tenths if rest % 100 == 0 => write!(f, "{sign}{whole}.{}", tenths / 100),
            hundredths if rest % 10 == 0 => write!(f, "{sign}{whole}.{:02}", hundredths / 10),
            thousandths => write!(f, "{sign}{whole}.{thousandths:03}"),
        }
    }
}

/// A place on the sheet, from its upper left corner.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Point {
    /// To the right.
    pub x: Mm,
    /// Down.
    pub y: Mm,
}

impl Point {
    /// The place `x` right of and `y` below the sheet's corner.
    pub const fn new(x: Mm, y: Mm) -> Point {
        Point { x, y }
    }

    /// The place `dx` to the right of and `dy` below this one.
    pub fn by(self, dx: Mm, dy: Mm) -> Point {
        Point { x: self.x + dx, y: self.y + dy }
    }

    /// Straight distance to `other`.
    pub fn distance(self, other: Point) -> Mm {
        let (dx, dy) = ((self.x - other.x).as_f64(), (self.y - other.y).as_f64());
        mm((dx * dx + dy * dy).sqrt())
    }
}

/// Width and height.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub struct Extent {
    /// Along x.
    pub width: Mm,
    /// Along y.
    pub height: Mm,
}

impl Extent {
    /// `width` by `height`.
    pub const fn new(width: Mm, height: Mm) -> Extent {
        Extent { width, height }
    }

    /// True when `other` fits inside without turning it.
    pub fn holds(self, other: Extent) -> bool {
        other.width <= self.width && other.height <= self.height
    }
}

/// An upright rectangle from `min` (upper left) to `max` (lower right).
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub struct Area {
    /// Upper left corner.
    pub min: Point,
    /// Lower right corner.
    pub max: Point,
}

impl Area {
    /// The rectangle between two opposite corners, in any order.
    pub fn between(a: Point, b: Point) -> Area {
        Area { min: Point::new(a.x.min(b.x), a.y.min(b.y)), max: Point::new(a.x.max(b.x), a.y.max(b.y)) }
    }

    /// The rectangle of size `extent` with its upper left corner at `corner`.
    pub fn at(corner: Point, extent: Extent) -> Area {
        Area::between(corner, corner.by(extent.width, extent.height))
    }

    /// Width and height.
    pub fn extent(self) -> Extent {
        Extent::new(self.max.x - self.min.x, self.max.y - self.min.y)
    }

    /// Along x.
    pub fn width(self) -> Mm {
        self.max.x - self.min.x
    }

    /// Along y.
    pub fn height(self) -> Mm {
        self.max.y - self.min.y
    }

    /// The middle.
    pub fn centre(self) -> Point {
        Point::new((self.min.x + self.max.x) / 2, (self.min.y + self.max.y) / 2)
    }

    /// The four corners, clockwise from the upper left.
    pub fn corners(self) -> [Point; 4] {
        [self.min, Point::new(self.max.x, self.min.y), self.max, Point::new(self.min.x, self.max.y)]
    }

    /// Larger by `margin` on every side; a negative margin shrinks, to nothing at the least.
    pub fn grown(self, margin: Mm) -> Area {
        let shrink = |low: Mm, high: Mm| {
            let (low, high) = (low - margin, high + margin);
            if low <= high { (low, high) } else { ((low + high) / 2, (low + high) / 2) }
        };
        let (left, right) = shrink(self.min.x, self.max.x);
        let (top, bottom) = shrink(self.min.y, self.max.y);
        Area { min: Point::new(left, top), max: Point::new(right, bottom) }
    }

    /// The smallest rectangle around both.
    pub fn union(self, other: Area) -> Area {
        Area {
            min: Point::new(self.min.x.min(other.min.x), self.min.y.min(other.min.y)),
            max: Point::new(self.max.x.max(other.max.x), self.max.y.max(other.max.y)),
        }
    }

    /// The smallest rectangle around all `points`; None without a point.
    pub fn around(points: impl IntoIterator<Item = Point>) -> Option<Area> {
        points.into_iter().map(|p| Area { min: p, max: p }).reduce(Area::union)
    }

    /// True when `other` lies inside or touches the edge from inside.
    pub fn contains(self, other: Area) -> bool {
        self.min.x <= other.min.x
            && self.min.y <= other.min.y
            && self.max.x >= other.max.x
            && self.max.y >= other.max.y
    }

    /// True when the point lies inside or on the edge.
    pub fn holds(self, point: Point) -> bool {
        self.contains(Area { min: point, max: point })
    }

    /// True when the two share more than an edge.
    pub fn overlaps(self, other: Area) -> bool {
        self.min.x < other.max.x
            && other.min.x < self.max.x
            && self.min.y < other.max.y
            && other.min.y < self.max.y
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn prints_short_fixed_decimals() {
        let shown: Vec<String> =
            [0.0, -0.0001, 12.0, -0.5, 0.25, 7.0004, 1189.123, 0.01].map(|v| mm(v).to_string()).into();
        assert_eq!(shown, ["0", "0", "12", "-0.5", "0.25", "7", "1189.123", "0.01"]);
    }

    #[test]
    fn odd_numbers_do_no_harm() {
        assert_eq!(mm(f64::NAN), Mm::ZERO);
        assert_eq!(mm(f64::INFINITY) + mm(1.0), Mm::from_um(i64::MAX));
        assert_eq!(mm(5.0) / 0, Mm::ZERO);
    }

    #[test]
    fn rectangles_grow_shrink_and_meet() {
        let a = Area::at(Point::new(mm(10.0), mm(10.0)), Extent::new(mm(20.0), mm(5.0)));
        assert_eq!(a.grown(mm(1.0)).extent(), Extent::new(mm(22.0), mm(7.0)));
        assert_eq!(a.grown(mm(-4.0)).extent(), Extent::new(mm(12.0), mm(0.0)));
        let beside = Area::at(Point::new(mm(30.0), mm(10.0)), Extent::new(mm(1.0), mm(1.0)));
        assert!(!a.overlaps(beside), "sharing an edge is not overlapping");
        assert!(a.overlaps(beside.grown(mm(0.001))));
    }
}
