//! Where something lies along the machine, from the weighing datum.

use super::Length;
use super::define::{plain_text, quantity};
use super::scale::{ANY, Print, Scale, print, unit};

const SCALE: Scale = Scale {
    noun: "a station",
    example: "1240 mm",
    least: -1_000_000_000,
    most: 1_000_000_000,
    units: &[
        unit(&["mm"], 1_000),
        unit(&["cm"], 10_000),
        unit(&["m"], 1_000_000),
        unit(&["in", "inch", "inches", "\""], 25_400),
        unit(&["ft", "foot", "feet", "'"], 304_800),
    ],
    metric: &[print(ANY, "mm", 1_000, 0)],
    inch: &[Print { below: ANY, unit: "in", steps: 25_400, per: 1, zero: 0, places: 1 }],
};

quantity! {
    /// A station, in whole micrometres aft of the datum; negative forward of it.
    Station, SCALE, 1e3, "a distance from the datum with its unit, negative forward of it: mm, cm, m, in, ft",
    /// From millimetres aft of the datum.
    from_mm, try_from_mm,
    /// In millimetres aft of the datum.
    mm
}
plain_text!(Station, SCALE);

impl Station {
    /// In inches aft of the datum.
    pub fn inches(self) -> f64 {
        self.mm() / 25.4
    }

    /// Half way to another one.
    pub fn half_way_to(self, other: Station) -> Station {
        Station(self.0 + (other.0 - self.0) / 2)
    }

    /// How far apart the two are.
    pub fn apart(self, other: Station) -> Length {
        Length::from_um((self.0 - other.0).abs())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    super::super::define::round_trip!(Station, SCALE);

    #[test]
    fn reads_both_sides_of_the_datum() {
        assert_eq!("-12 in".parse(), Ok(Station::from_mm(-304.8)));
        assert!((Station::from_mm(-304.8).inches() + 12.0).abs() < 1e-9);
        assert_eq!(Station::from_mm(-100.0).half_way_to(Station::from_mm(300.0)), Station::from_mm(100.0));
        assert_eq!(Station::from_mm(-100.0).apart(Station::from_mm(300.0)), Length::from_mm(400.0));
    }
}
