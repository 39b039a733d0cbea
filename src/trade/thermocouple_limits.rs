//! How far new thermocouple wire may be off: type and temperature in, the standard limits of error out.
//!
//! ASTM E230 / ANSI MC96.1, standard grade, as printed alike in three public copies of its table. It says nothing of wire
//! that has been in service.

use super::thermocouple_colour::ThermocoupleType;
use crate::quantity::{Bounds, Temperature, TemperatureDifference};

/// The standard these limits are of.
pub const DOCUMENT: &str =
    "ASTM E230 / ANSI MC96.1 standard limits of error, new wire, as printed in copies of its table";

/// Temperatures for which the limits are given: K 0 to 1260 °C, J 0 to 760 °C.
pub fn range(kind: ThermocoupleType) -> Bounds<Temperature> {
    let high = match kind {
        ThermocoupleType::K => 1260.0,
        ThermocoupleType::J => 760.0,
    };
    Bounds::new(Temperature::ZERO, Temperature::from_celsius(high))
}

/// How far a thermocouple may read off, up or down: 2.2 °C, or 0.75 % of the Celsius temperature where that is more.
/// None outside [`range`].
pub fn limit_of_error(kind: ThermocoupleType, at: Temperature) -> Option<TemperatureDifference> {
    let range = range(kind);
    (range.low() <= at && at <= range.high())
        .then(|| TemperatureDifference::from_celsius((0.0075 * at.celsius()).max(2.2)))
}

/// Of extension wire (KX, JX), wherever its ends lie between 0 and 200 °C: 2.2 °C.
pub fn extension_limit() -> TemperatureDifference {
    TemperatureDifference::from_celsius(2.2)
}
