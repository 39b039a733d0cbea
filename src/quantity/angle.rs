//! A plane angle.

use super::define::{plain_text, quantity};
use super::scale::{ANY, Print, Scale, print, unit};

const SCALE: Scale = Scale {
    noun: "an angle",
    example: "90 °",
    least: -36_000_000_000_000,
    most: 36_000_000_000_000,
    units: &[unit(&["°", "deg", "degrees"], 1_000_000_000)],
    metric: PRINTS,
    inch: PRINTS,
};
const PRINTS: &[Print] = &[print(ANY, "°", 1_000_000_000, 1)];

quantity! {
    /// A plane angle, in whole nanodegrees.
    Angle, SCALE, 1e9, "an angle with its unit: ° or deg",
    /// From degrees.
    from_degrees, try_from_degrees,
    /// In degrees.
    degrees
}
plain_text!(Angle, SCALE);

#[cfg(test)]
mod tests {
    use super::*;
    super::super::define::round_trip!(Angle, SCALE);

    #[test]
    fn reads_degrees() {
        assert_eq!("90°".parse(), Ok(Angle::from_degrees(90.0)));
        assert_eq!("-45 deg".parse(), Ok(Angle::from_degrees(-45.0)));
    }
}
