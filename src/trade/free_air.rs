//! The current that brings a single copper wire in free air to a given temperature rise: gauge and rise in, amperes
//! out.
//!
//! The curves are figure 3 of MIL-W-5088L, which AC 43.13-1B CHG 1 prints as figures 11-4a and 11-4b: straight lines on
//! double-logarithmic paper, one a gauge. Each is kept as its two ends.
//!
//! Sizes 26 to 10: read off the printed graph of MIL-W-5088L by a third party (secondary), at rises of 30 and 250 °C.
//! Against the points of AC 43.13-1B: No. 14 at 150 °C within 0.2 percent of the 47 A read in its text, four points
//! known from memory within 2 percent. Taken as good to 3 percent.
//!
//! Sizes 8 to 4/0 were not found digitised. They are worked back from Table 11-9 by its own note 1 (70 °C ambient, 9
//! wires, 20 percent, 60,000 ft): table ampacity over bundle and altitude factor, at rises of 35 and 130 °C. For sizes
//! 24 to 10, where both are known, that way back meets the curves within 5 percent (20 percent for 24 to 20 at 105 °C,
//! where the table is cut lower); it rests on an altitude factor from memory.

use super::derating::{altitude_factor, bundle_factor};
use super::limit::Reading;
use super::wire_table::{InsulationClass, TABLE_AMBIENT, ampacity, conductor_area, table_gauges};
use crate::quantity::{Area, Current, Fraction, Gauge, Length, Temperature, TemperatureDifference};

/// A free-air current and how it came here.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct FreeAir {
    /// Current at which the conductor is warmer than its surroundings by the rise asked for.
    pub current: Current,
    /// `Secondary` on the digitised curves, `Extended` off their ends, for sizes 8 and larger and between two sizes.
    pub reading: Reading,
}

impl FreeAir {
    /// Source as printed.
    pub fn source(self) -> &'static str {
        match self.reading {
            Reading::Secondary => {
                "AC 43.13-1B CHG 1 figure 11-4a, from a digitisation of MIL-W-5088L figure 3"
            }
            _ => "AC 43.13-1B CHG 1 figure 11-4, extended from a digitisation of MIL-W-5088L and Table 11-9",
        }
    }

    /// How far off it may be, to either side: 3 percent on the digitised curves; off them 5, which is how well the way
    /// back from Table 11-9 meets the curves where both are known (see the head of this file).
    pub fn within(self) -> Fraction {
        Fraction::from_percent(if self.reading == Reading::Secondary { 3.0 } else { 5.0 })
    }
}

/// Gauge, amperes at a rise of 30 °C and of 250 °C.
const FIGURE_3: [(i8, f64, f64); 9] = [
    (26, 4.58, 12.1),
    (24, 6.2, 16.0),
    (22, 8.22, 21.0),
    (20, 10.6, 28.2),
    (18, 13.9, 38.0),
    (16, 16.15, 45.0),
    (14, 21.6, 60.0),
    (12, 29.0, 79.0),
    (10, 38.0, 104.0),
];

/// A straight line on double-logarithmic paper: rise in °C, amperes.
#[derive(Clone, Copy)]
struct Line {
    low: (f64, f64),
    high: (f64, f64),
    digitised: bool,
}

impl Line {
    /// Amperes at a rise above zero.
    fn amps(&self, rise: f64) -> f64 {
        let slope = (self.high.1 / self.low.1).ln() / (self.high.0 / self.low.0).ln();
        self.low.1 * (rise / self.low.0).powf(slope)
    }

    fn holds(&self, rise: f64) -> bool {
        self.digitised && self.low.0 <= rise && rise <= self.high.0
    }
}

/// The line of an AWG size of the curves; None for sizes they do not have.
fn line(gauge: Gauge) -> Option<Line> {
    let Gauge::Awg(n) = gauge else { return None };
    if let Some((_, low, high)) = FIGURE_3.iter().find(|row| row.0 == n) {
        return Some(Line { low: (30.0, *low), high: (250.0, *high), digitised: true });
    }
    // Note 1 of Table 11-9, for sizes 8 and larger.
    let bundle = bundle_factor(9, Fraction::from_percent(20.0))?.share;
    let altitude = altitude_factor(Length::from_inches(12.0 * 60_000.0))?.share;
    let point = |class: InsulationClass| {
        let rise = class.conductor_limit().above(Temperature::from_celsius(TABLE_AMBIENT)).celsius();
        Some((rise, ampacity(gauge, class)?.amps() / (bundle.ratio() * altitude.ratio())))
    };
    table_gauges().any(|g| g == gauge).then_some(())?;
    Some(Line { low: point(InsulationClass::C105)?, high: point(InsulationClass::C200)?, digitised: false })
}

/// Copper of a size of the curves. 26 AWG is not in Table 11-9; it is taken as larger than the solid wire in the same
/// ratio as 24 AWG.
fn copper(gauge: Gauge) -> Area {
    let (thinnest, next) = (Gauge::Awg(26), Gauge::Awg(24));
    if gauge == thinnest {
        return thinnest.area() * (conductor_area(next).mm2() / next.area().mm2());
    }
    conductor_area(gauge)
}

/// Current that warms a single wire in free air at sea level by `rise`; zero for a rise of zero or less.
///
/// A size between two of the curves (odd AWG numbers, metric sizes) lies between them by its copper area, on
/// double-logarithmic paper too: an odd AWG number with the area of the solid wire, which is the smaller. None for wire
/// with less copper than 26 AWG or more than 4/0.
pub fn free_air(gauge: Gauge, rise: TemperatureDifference) -> Option<FreeAir> {
    let rise = rise.celsius();
    let amps = |line: Line| if rise > 0.0 { line.amps(rise) } else { 0.0 };
    if let Some(line) = line(gauge) {
        let reading = if line.holds(rise) { Reading::Secondary } else { Reading::Extended };
        return Some(FreeAir { current: Current::from_amps(amps(line)), reading });
    }
    let area = gauge.area();
    let sizes: Vec<Gauge> = std::iter::once(Gauge::Awg(26)).chain(table_gauges()).collect();
    let (thinner, thicker) = sizes.iter().zip(sizes.iter().skip(1)).find_map(|(thin, thick)| {
        (copper(*thin) <= area && area <= copper(*thick)).then_some((*thin, *thick))
    })?;
    let (from, to) = (amps(line(thinner)?), amps(line(thicker)?));
    let share =
        (area.mm2() / copper(thinner).mm2()).ln() / (copper(thicker).mm2() / copper(thinner).mm2()).ln();
    let between = if from > 0.0 { from * (to / from).powf(share) } else { 0.0 };
    Some(FreeAir { current: Current::try_from_amps(between)?, reading: Reading::Extended })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(gauge: &str, rise: f64) -> Option<f64> {
        let found = free_air(gauge.parse().unwrap(), TemperatureDifference::from_celsius(rise))?;
        Some(found.current.amps())
    }

    #[test]
    fn the_ends_of_a_curve_are_its_data() {
        for (n, low, high) in FIGURE_3 {
            for (rise, amps) in [(30.0, low), (250.0, high)] {
                let found = free_air(Gauge::Awg(n), TemperatureDifference::from_celsius(rise)).unwrap();
                assert!((found.current.amps() - amps).abs() < 1e-6);
                assert_eq!(found.reading, Reading::Secondary);
            }
        }
    }

    #[test]
    fn thicker_and_hotter_wire_carries_more() {
        for rise in [1.0, 10.0, 30.0, 80.0, 130.0, 250.0, 300.0] {
            let sizes: Vec<f64> = (-3..=26).rev().filter_map(|n| at(&awg(n), rise)).collect();
            assert_eq!(sizes.len(), 30, "{rise}");
            assert!(sizes.is_sorted_by(|a, b| a < b), "{rise}");
        }
        for n in -3..=26 {
            let rises: Vec<f64> = (1..300).filter_map(|rise| at(&awg(n), f64::from(rise))).collect();
            assert!(rises.is_sorted_by(|a, b| a < b), "{n}");
        }
    }

    fn awg(n: i8) -> String {
        Gauge::Awg(n).to_string()
    }

    #[test]
    fn metric_sizes_lie_between_their_neighbours() {
        // 0.5 mm² has more copper than a stranded 22 AWG (0.383 mm²) and less than a 20 AWG (0.616 mm²).
        let half = at("0.5 mm²", 80.0).unwrap();
        assert!(at("22 AWG", 80.0).unwrap() < half && half < at("20 AWG", 80.0).unwrap());
        assert_eq!((at("0.1 mm²", 80.0), at("120 mm²", 80.0), at("28 AWG", 80.0)), (None, None, None));
        // 4/0: 210,900 circular mils.
        assert_eq!(at("106.8 mm²", 80.0).map(f64::round), at("4/0 AWG", 80.0).map(f64::round));
    }

    #[test]
    fn no_rise_no_current() {
        for size in ["22 AWG", "0.5 mm²", "2 AWG"] {
            assert_eq!((at(size, 0.0), at(size, -20.0)), (Some(0.0), Some(0.0)));
        }
        let off = |rise| free_air(Gauge::Awg(22), TemperatureDifference::from_celsius(rise)).unwrap().reading;
        assert_eq!(
            (off(29.9), off(100.0), off(251.0)),
            (Reading::Extended, Reading::Secondary, Reading::Extended)
        );
    }
}
