//! A value and the limit that it is compared with in; both as text between which a reader sees the difference, out.

use std::fmt::Display;

use super::{Length, Units};

/// Both as `show` rounds them; in full where they differ and rounding would hide it.
pub fn beside<Q: Copy + PartialEq + Display>(value: Q, limit: Q, show: impl Fn(Q) -> String) -> [String; 2] {
    let rounded = [value, limit].map(show);
    if value != limit && rounded[0] == rounded[1] { [value, limit].map(|q| q.to_string()) } else { rounded }
}

/// The same for lengths, in the designer's own unit: inches with as many digits as it takes.
pub fn lengths_beside(value: Length, limit: Length, units: Units) -> [String; 2] {
    let told = beside(value, limit, |length| length.show(units));
    match units {
        Units::Inch if value != limit && value.show(units) == limit.show(units) => {
            finer_inches([value, limit], |[value, limit]| value != limit).unwrap_or(told)
        }
        _ => told,
    }
}

/// Lengths in inches with the fewest digits with which the text tells what it shall, more than `show` gives; None where nine
/// do not do.
pub fn finer_inches<const N: usize>(
    lengths: [Length; N],
    tells: impl Fn(&[String; N]) -> bool,
) -> Option<[String; N]> {
    (3..=9).map(|digits| lengths.map(|length| format!("{:.digits$} in", length.inches()))).find(tells)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_differs_looks_different() {
        let show = |length: Length| length.show(Units::Inch);
        let shown = |a: f64, b: f64| beside(Length::from_mm(a), Length::from_mm(b), show);
        assert_eq!(shown(177.801, 177.8), ["177.801 mm", "177.8 mm"]);
        assert_eq!(shown(203.2, 177.8), ["8 in", "7 in"]);
        assert_eq!(shown(177.8, 177.8), ["7 in", "7 in"]);
    }

    #[test]
    fn lengths_stay_in_their_unit() {
        let shown = |a: f64, b: f64, units| lengths_beside(Length::from_mm(a), Length::from_mm(b), units);
        assert_eq!(shown(177.801, 177.8, Units::Inch), ["7.00004 in", "7.00000 in"]);
        assert_eq!(shown(10.9, 10.8, Units::Inch), ["0.429 in", "0.425 in"]);
        assert_eq!(shown(10.9, 10.9, Units::Inch), ["0.43 in", "0.43 in"]);
        assert_eq!(shown(177.801, 177.8, Units::Metric), ["177.801 mm", "177.8 mm"]);
    }
}
