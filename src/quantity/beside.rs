//! A value and the limit that it is compared with in; both as text between which a reader sees the difference, out.

use std::fmt::Display;

/// Both as `show` rounds them; in full where they differ and rounding would hide it.
pub fn beside<Q: Copy + PartialEq + Display>(value: Q, limit: Q, show: impl Fn(Q) -> String) -> [String; 2] {
    let rounded = [value, limit].map(show);
    if value != limit && rounded[0] == rounded[1] { [value, limit].map(|q| q.to_string()) } else { rounded }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::{Length, Units};

    #[test]
    fn what_differs_looks_different() {
        let show = |length: Length| length.show(Units::Inch);
        let shown = |a: f64, b: f64| beside(Length::from_mm(a), Length::from_mm(b), show);
        assert_eq!(shown(177.801, 177.8), ["177.801 mm", "177.8 mm"]);
        assert_eq!(shown(203.2, 177.8), ["8 in", "7 in"]);
        assert_eq!(shown(177.8, 177.8), ["7 in", "7 in"]);
    }
}
