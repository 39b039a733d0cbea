//! How much less current a wire may carry in a bundle, in thin air and in a hot place. Conditions in, factors out.
//!
//! Two bases, not to be mixed. Free-air ampacity (AC 43.13-1B figure 11-4) times [`bundle_factor`] times
//! [`altitude_factor`], put together in [`super::bundled`]. Or the ampacity of Table 11-9, which is already for a full
//! bundle, 60,000 ft and 70 °C ambient, times [`ambient_factor`].

use super::limit::Reading;
use super::wire_table::{InsulationClass, TABLE_AMBIENT};
use crate::quantity::{Fraction, Length, Temperature};

/// A factor on an ampacity, and how it came here.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Factor {
    /// Share that may be carried.
    pub share: Fraction,
    /// How it came here.
    pub reading: Reading,
    /// How far off the share may be, to either side: none where it is so by what the words mean. `None` where it was
    /// held against nothing.
    pub within: Option<Fraction>,
}

/// How well the bundle curves were digitised, and how far the straight lines of the altitude curve may lie from it.
const CURVE: f64 = 0.01;
/// The most wires for which the extended bundle curves were held against a figure of the document.
const MOST_HELD: usize = 35;

/// Loads in percent of what the bundle could carry, the columns of the table.
const LOADS: [f64; 5] = [20.0, 40.0, 60.0, 80.0, 100.0];

/// Factors for 1, 2, 3 … wires in the bundle. MIL-W-5088L bundle derating curves, digitised by a third party, good to
/// 0.01 (secondary); the same family of curves as AC 43.13-1B figure 11-6.
const BUNDLE: [[f64; 5]; 19] = [
    [1.0, 1.0, 1.0, 1.0, 1.0],
    [0.9675, 0.92, 0.91, 0.87, 0.825],
    [0.935, 0.855, 0.815, 0.77, 0.725],
    [0.9075, 0.805, 0.75, 0.705, 0.66],
    [0.875, 0.76, 0.695, 0.65, 0.61],
    [0.85, 0.725, 0.655, 0.605, 0.5725],
    [0.82, 0.695, 0.625, 0.57, 0.54],
    [0.795, 0.6675, 0.595, 0.5425, 0.5125],
    [0.775, 0.645, 0.575, 0.52, 0.485],
    [0.755, 0.6225, 0.55, 0.5, 0.465],
    [0.735, 0.6, 0.53, 0.48, 0.445],
    [0.715, 0.585, 0.515, 0.465, 0.43],
    [0.6975, 0.5675, 0.495, 0.4475, 0.415],
    [0.685, 0.5525, 0.48, 0.435, 0.3975],
    [0.67, 0.54, 0.465, 0.42, 0.385],
    [0.6575, 0.5275, 0.455, 0.41, 0.37],
    [0.645, 0.515, 0.4425, 0.3975, 0.36],
    [0.635, 0.505, 0.4325, 0.3875, 0.35],
    [0.625, 0.495, 0.4225, 0.38, 0.3425],
];

/// Rows of the table between which a curve's steepness is taken for more wires than it has.
const TAIL: (usize, usize) = (10, 19);

/// Factors of `wires` wires at each of the loads, and how they came here.
fn bundle_row(wires: usize) -> Option<([f64; 5], Reading)> {
    match (wires, BUNDLE.get(wires.checked_sub(1)?)) {
        // A bundle of one is a wire in free air, by what the words mean.
        (1, Some(row)) => Some((*row, Reading::Text)),
        (_, Some(row)) => Some((*row, Reading::Secondary)),
        (_, None) => {
            let (from, last) = (BUNDLE.get(TAIL.0 - 1)?, BUNDLE.get(TAIL.1 - 1)?);
            let more = (wires as f64 / TAIL.1 as f64).ln() / (TAIL.1 as f64 / TAIL.0 as f64).ln();
            Some((std::array::from_fn(|i| last[i] * (last[i] / from[i]).powf(more)), Reading::Extended))
        }
    }
}

/// Share of the free-air ampacity that each of `wires` may carry when the bundle carries `load` of what it could. A
/// load between two curves is interpolated, one below 20 percent takes that curve. None for no wire, and for a load
/// above 100 percent.
///
/// Above 19 wires each curve goes on as the power of the number of wires that it follows from 10 to 19. So extended it
/// is 0.616 for 20 wires at 20 percent, where the digitised table has 0.615, and 0.522 for 35, where AC 43.13-1B par.
/// 11-69 has 0.52 (from memory); 33 wires bring Table 11-9 back. Not held against anything above 35 wires.
pub fn bundle_factor(wires: usize, load: Fraction) -> Option<Factor> {
    let (row, reading) = bundle_row(wires)?;
    let points: Vec<(f64, f64)> = LOADS.iter().copied().zip(row).collect();
    let percent = (load.ratio() * 100.0).max(20.0);
    let within = match wires {
        1 => Some(Fraction::ZERO),
        _ => (wires <= MOST_HELD).then_some(Fraction::from_ratio(CURVE)),
    };
    Some(Factor { share: between(&points, percent).map(Fraction::from_ratio)?, reading, within })
}

/// Altitude in feet, share of the sea-level ampacity. 20,000 ft: read in AC 43.13-1B page 11-27. 35,000 and 60,000 ft:
/// from memory, par. 11-69 (the former as FAA-H-8083-31 gives it); the last is held up by Table 11-9, which is for
/// 60,000 ft.
const ALTITUDES: [(f64, f64); 4] = [(0.0, 1.0), (READ_TO_FEET, 0.91), (35_000.0, 0.86), (60_000.0, 0.79)];
const READ_TO_FEET: f64 = 20_000.0;

/// Share of the sea-level ampacity that may be carried at `altitude`: straight lines between 1 at sea level, 0.91 at
/// 20,000 ft, 0.86 at 35,000 ft and 0.79 at 60,000 ft. None above 60,000 ft.
///
/// The points have two figures. Between them the curve is taken to hang below its chords, as these grow flatter with
/// height; the lines through neighbouring points leave it about 0.01 to hang by in the middle of a chord. So the share is
/// taken as good to 0.01 (an estimate, no source).
pub fn altitude_factor(altitude: Length) -> Option<Factor> {
    let feet = (altitude.inches() / 12.0).max(0.0);
    let share = between(&ALTITUDES, feet).map(Fraction::from_ratio)?;
    let reading = if feet <= READ_TO_FEET { Reading::Text } else { Reading::Memory };
    let within = Some(if feet > 0.0 { Fraction::from_ratio(CURVE) } else { Fraction::ZERO });
    Some(Factor { share, reading, within })
}

/// Share of a Table 11-9 ampacity that may be carried where the ambient is hotter than the table's 70 °C, or by a
/// conductor that may not get as hot as the column of its class has it: √((limit − ambient) / (class − 70 °C)). Physics:
/// the heat made goes with the square of the current, the heat lost with the temperature rise. Never above 1; zero from
/// the limit on.
pub fn ambient_factor(class: InsulationClass, limit: Temperature, ambient: Temperature) -> Fraction {
    let room = class.conductor_limit().celsius() - TABLE_AMBIENT;
    let left = limit.celsius() - ambient.celsius().max(TABLE_AMBIENT);
    Fraction::from_ratio((left / room).clamp(0.0, 1.0).sqrt())
}

/// The straight line through the two points on either side of `x`; None outside the points.
fn between(points: &[(f64, f64)], x: f64) -> Option<f64> {
    points.windows(2).find_map(|pair| {
        let &[(x0, y0), (x1, y1)] = pair else { return None };
        (x0 <= x && x <= x1).then(|| y0 + (y1 - y0) * (x - x0) / (x1 - x0))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(wires: usize, percent: f64) -> Option<f64> {
        bundle_factor(wires, Fraction::from_percent(percent)).map(|f| f.share.ratio())
    }

    #[test]
    fn bundles_at_their_borders() {
        assert_eq!((at(0, 50.0), at(8, 100.1), at(40, 100.1)), (None, None, None));
        assert_eq!((at(1, 100.0), at(8, 20.0)), (Some(1.0), Some(0.795)));
        assert_eq!(at(8, 5.0), at(8, 20.0));
        assert_eq!(at(8, 50.0), Some((0.6675 + 0.595) / 2.0));
        let reading = |wires| bundle_factor(wires, Fraction::from_percent(50.0)).unwrap().reading;
        assert_eq!(
            (reading(1), reading(19), reading(20)),
            (Reading::Text, Reading::Secondary, Reading::Extended)
        );
        let off = |wires| bundle_factor(wires, Fraction::from_percent(50.0)).unwrap().within;
        let held = Some(Fraction::from_ratio(0.01));
        assert_eq!((off(1), off(2), off(35), off(36)), (Some(Fraction::ZERO), held, held, None));
    }

    #[test]
    fn more_wires_and_more_load_never_carry_more() {
        let mut before = [1.0; 5];
        for wires in 1..200 {
            let (row, _) = bundle_row(wires).unwrap();
            assert!(row.is_sorted_by(|a, b| a >= b), "{wires}: {row:?}");
            assert!(row.iter().zip(before).all(|(now, before)| *now <= before && *now > 0.0), "{wires}");
            before = row;
        }
        assert!(at(usize::MAX, 100.0).is_some_and(|share| (0.0..0.01).contains(&share)));
    }

    #[test]
    fn altitude_and_ambient_at_their_borders() {
        let up = |feet: f64| {
            altitude_factor(Length::from_inches(12.0 * feet)).map(|f| (f.share.ratio(), f.reading))
        };
        assert_eq!((up(0.0), up(-200.0)), (Some((1.0, Reading::Text)), Some((1.0, Reading::Text))));
        assert_eq!((up(10_000.0), up(20_000.0)), (Some((0.955, Reading::Text)), Some((0.91, Reading::Text))));
        assert_eq!((up(60_000.0), up(60_001.0)), (Some((0.79, Reading::Memory)), None));
        let off = |feet: f64| altitude_factor(Length::from_inches(12.0 * feet)).unwrap().within;
        assert_eq!((off(0.0), off(1.0)), (Some(Fraction::ZERO), Some(Fraction::from_ratio(0.01))));
        let class = InsulationClass::C150;
        let hot =
            |c: f64| ambient_factor(class, class.conductor_limit(), Temperature::from_celsius(c)).ratio();
        assert_eq!((hot(20.0), hot(70.0), hot(130.0), hot(150.0), hot(180.0)), (1.0, 1.0, 0.5, 0.0, 0.0));
    }
}
