//! What a resistance that nobody knows leaves open: the ends between which something lies.

use super::electrical::Through;

/// Ends no further apart than this, in volts, amperes or ohms, are one: what is left of the arithmetic.
pub(super) const SAME: f64 = 1e-9;

/// The ends between which something lies.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Range<T> {
    /// The least it can be.
    pub low: T,
    /// The most it can be.
    pub high: T,
    /// The unknown resistance that decides where between them it lies; of several the first. None where nothing is open:
    /// then both ends are the same.
    pub open: Option<Through>,
}

impl<T> Range<T> {
    /// The value itself, where nothing is left open.
    pub fn exact(&self) -> Option<&T> {
        self.open.is_none().then_some(&self.low)
    }

    /// Both ends, in order.
    pub fn ends(&self) -> [&T; 2] {
        [&self.low, &self.high]
    }

    /// What becomes of both ends.
    pub fn map<U>(self, mut each: impl FnMut(T) -> U) -> Range<U> {
        Range { low: each(self.low), high: each(self.high), open: self.open }
    }
}

impl<T: Clone> Range<T> {
    /// Of what is known.
    pub fn of(value: T) -> Range<T> {
        Range { low: value.clone(), high: value, open: None }
    }
}
