//! What a wire may carry by Table 11-9, in a place of any temperature: gauge, insulation and ambient in, amperes and
//! their terms out.
//!
//! FAA AC 43.13-1B CHG 1 Table 11-9: full bundle, 60,000 ft, 70 °C ambient. A hotter place takes the square root of what
//! is left of the rise (physics: the heat made goes with the square of the current, the heat lost with the rise).
//! Insulation rated between two columns takes the cooler column. Insulation rated below 105 °C, for which the table has
//! no column, takes that of 105 °C lessened by the same law.

use super::derating::ambient_factor;
use super::limit::Reading;
use super::wire_table::{InsulationClass, ampacity, in_table};
use crate::quantity::{Current, Fraction, Gauge, Temperature};

/// What a wire may carry by the table, and the terms of it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct TableRating {
    /// The column that was used.
    pub class: InsulationClass,
    /// What stands there, or lies between two rows for a size that the table does not have.
    pub tabled: Current,
    /// Share of it that may be carried in this place; 1 up to 70 °C ambient.
    pub factor: Fraction,
    /// Temperature that the conductor has when it carries `ampacity`.
    pub limit: Temperature,
    /// The product.
    pub ampacity: Current,
    /// `Text` for a row and column of the table as they are, `Extended` for anything between or beside them.
    pub reading: Reading,
}

/// Largest continuous current of copper wire with insulation rated `rated` where the ambient is `ambient`. Zero where
/// the place is as hot as the insulation may get. None for sizes with less copper than 24 AWG or more than 4/0.
pub fn table_rating(gauge: Gauge, rated: Temperature, ambient: Temperature) -> Option<TableRating> {
    let class = InsulationClass::of_rating(rated).unwrap_or(InsulationClass::C105);
    let limit = class.conductor_limit().min(rated);
    let tabled = ampacity(gauge, class)?;
    let factor = ambient_factor(class, limit, ambient);
    let as_it_is = in_table(gauge) && factor == Fraction::from_ratio(1.0);
    let reading = if as_it_is { Reading::Text } else { Reading::Extended };
    Some(TableRating { class, tabled, factor, limit, ampacity: tabled * factor, reading })
}

#[cfg(test)]
mod tests {
    use super::*;
    fn at(gauge: &str, rated: f64, ambient: f64) -> Option<(f64, Reading)> {
        let found = table_rating(
            gauge.parse().unwrap(),
            Temperature::from_celsius(rated),
            Temperature::from_celsius(ambient),
        )?;
        Some(((found.ampacity.amps() * 1000.0).round() / 1000.0, found.reading))
    }

    /// AC 43.13-1B CHG 1 Table 11-9: 22 AWG carries 3, 5 and 6 A in its three columns.
    #[test]
    fn up_to_seventy_degrees_it_is_the_table() {
        assert_eq!(at("22 AWG", 105.0, 70.0), Some((3.0, Reading::Text)));
        assert_eq!(at("22 AWG", 150.0, 40.0), Some((5.0, Reading::Text)));
        assert_eq!(at("22 AWG", 260.0, 70.0), Some((6.0, Reading::Text)));
        // Rated between two columns: the cooler one.
        assert_eq!(at("22 AWG", 149.0, 70.0), Some((3.0, Reading::Text)));
        assert_eq!(at("26 AWG", 150.0, 70.0), None);
    }

    #[test]
    fn a_hotter_place_and_a_lower_class_carry_less() {
        let class = InsulationClass::C150;
        let hot = ambient_factor(class, class.conductor_limit(), Temperature::from_celsius(130.0)).ratio();
        assert_eq!(at("22 AWG", 150.0, 130.0), Some((5.0 * hot, Reading::Extended)));
        assert_eq!(at("22 AWG", 150.0, 150.0), Some((0.0, Reading::Extended)));
        // 90 °C insulation: √((90 − 70) / (105 − 70)) of the 105 °C column.
        assert_eq!(at("22 AWG", 90.0, 50.0), Some((2.268, Reading::Extended)));
        assert_eq!(at("22 AWG", 60.0, 50.0), Some((0.0, Reading::Extended)));
        assert_eq!(at("0.75 mm²", 105.0, 60.0).map(|(_, r)| r), Some(Reading::Extended));
    }
}
