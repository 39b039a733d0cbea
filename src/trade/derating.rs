//! How much less current a wire may carry in a bundle, in thin air and in a hot place. Conditions in, factors out.
//!
//! Two bases, not to be mixed. Free-air ampacity (AC 43.13-1B figure 11-4a) times [`bundle_factor`] times
//! [`altitude_factor`], as in the worked example on page 11-27. Or the ampacity of Table 11-9, which is already for a
//! full bundle, 60,000 ft and 70 °C ambient, times [`ambient_factor`].

use super::wire_table::InsulationClass;
use crate::quantity::{Fraction, Length, Temperature};

/// Loads in percent of what the bundle could carry, the columns of the table.
const LOADS: [f64; 5] = [20.0, 40.0, 60.0, 80.0, 100.0];

/// Factors for 1, 2, 3 … wires in the bundle. MIL-W-5088L bundle derating curves, digitised by a third party, good to
/// about 0.01 (secondary); the same family of curves as AC 43.13-1B figure 11-6.
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

/// Share of the free-air ampacity that each of `wires` may carry when the bundle carries `load` of what it could. A
/// load between two curves is interpolated, one below 20 percent takes that curve. None for more than 19 wires, for no
/// wire, and for a load above 100 percent.
pub fn bundle_factor(wires: usize, load: Fraction) -> Option<Fraction> {
    let row = BUNDLE.get(wires.checked_sub(1)?)?;
    let points: Vec<(f64, f64)> = LOADS.iter().copied().zip(row.iter().copied()).collect();
    let percent = (load.ratio() * 100.0).max(20.0);
    between(&points, percent).map(Fraction::from_ratio)
}

/// Share of the sea-level ampacity that may be carried at `altitude`: 0.91 at 20,000 ft (AC 43.13-1B page 11-27), 1 at
/// sea level, a straight line between. None above 20,000 ft.
pub fn altitude_factor(altitude: Length) -> Option<Fraction> {
    let feet = (altitude.inches() / 12.0).max(0.0);
    between(&[(0.0, 1.0), (20_000.0, 0.91)], feet).map(Fraction::from_ratio)
}

/// Ambient temperature for which Table 11-9 holds (its note 1).
const TABLE_AMBIENT: f64 = 70.0;

/// Share of a Table 11-9 ampacity that may be carried where the ambient is hotter than the table's 70 °C:
/// √((limit − ambient) / (limit − 70 °C)), with the conductor limit of the class. Physics: the heat made goes with the
/// square of the current, the heat lost with the temperature rise. Never above 1; zero from the limit on.
pub fn ambient_factor(class: InsulationClass, ambient: Temperature) -> Fraction {
    let limit = class.conductor_limit().celsius();
    let share = (limit - ambient.celsius()) / (limit - TABLE_AMBIENT);
    Fraction::from_ratio(share.clamp(0.0, 1.0).sqrt())
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

    #[test]
    fn bundles_at_their_borders() {
        let at = |wires, percent| bundle_factor(wires, Fraction::from_percent(percent));
        assert_eq!((at(0, 50.0), at(20, 50.0), at(8, 100.1)), (None, None, None));
        assert_eq!(at(1, 100.0), Some(Fraction::from_ratio(1.0)));
        assert_eq!((at(8, 5.0), at(8, 20.0)), (at(8, 20.0), Some(Fraction::from_ratio(0.795))));
        assert_eq!(at(8, 50.0), Some(Fraction::from_ratio((0.6675 + 0.595) / 2.0)));
    }

    #[test]
    fn more_wires_and_more_load_never_carry_more() {
        assert!(BUNDLE.iter().all(|row| row.is_sorted_by(|a, b| a >= b)));
        assert!((0..5).all(|c| BUNDLE.iter().map(|row| row[c]).is_sorted_by(|a, b| a >= b)));
    }

    #[test]
    fn altitude_and_ambient_at_their_borders() {
        assert_eq!(altitude_factor(Length::ZERO), Some(Fraction::from_ratio(1.0)));
        assert_eq!(altitude_factor(Length::from_inches(12.0 * 20_001.0)), None);
        let hot = |c: f64| ambient_factor(InsulationClass::C150, Temperature::from_celsius(c)).ratio();
        assert_eq!((hot(20.0), hot(70.0), hot(130.0), hot(150.0), hot(180.0)), (1.0, 1.0, 0.5, 0.0, 0.0));
    }
}
