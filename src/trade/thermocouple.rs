//! Thermocouple emf and temperature, both ways.
//!
//! Reference functions of ITS-90 (NIST SRD 60 / Monograph 175), reference junction at 0 °C. The inverse is found from
//! the reference function itself by bisection, not from NIST's approximate inverse polynomials.

use super::thermocouple_colour::ThermocoupleType;
use super::thermocouple_reference::{self, Reference};
use crate::quantity::{Bounds, Temperature, TemperatureDifference, Voltage};

fn reference(kind: ThermocoupleType) -> &'static Reference {
    match kind {
        ThermocoupleType::K => &thermocouple_reference::K,
        ThermocoupleType::J => &thermocouple_reference::J,
    }
}

/// Temperatures the reference function covers: K −270 to 1372 °C, J −210 to 1200 °C.
pub fn range(kind: ThermocoupleType) -> Bounds<Temperature> {
    let reference = reference(kind);
    Bounds::new(Temperature::from_celsius(reference.from), Temperature::from_celsius(reference.to()))
}

/// Emf of a thermocouple at `t` with its reference junction at 0 °C; None outside [`range`].
pub fn emf(kind: ThermocoupleType, t: Temperature) -> Option<Voltage> {
    reference(kind).millivolts(t.celsius()).map(Voltage::from_millivolts)
}

/// Temperature at which a thermocouple with its reference junction at 0 °C gives `emf`, within [`inverse_error`]; None
/// outside the range.
///
/// For comparison: NIST's approximate inverse polynomials are good to 0.05 °C for J and 0.06 °C for K, which they do not
/// give below −200 °C.
pub fn temperature(kind: ThermocoupleType, emf: Voltage) -> Option<Temperature> {
    match shown(kind, emf) {
        Shown::At(t) => Some(t),
        Shown::BelowRange | Shown::AboveRange => None,
    }
}

/// How far [`temperature`] may lie from the temperature that gave the emf: a millionth of a degree; a hundred-thousandth
/// below −250 °C, where type K gives less than a microvolt a degree and the picovolt in which an emf is stored shows.
/// This is the error of the arithmetic: real wire strays by the tolerance of its class, which is far more.
pub fn inverse_error(at: Temperature) -> TemperatureDifference {
    let cold = at < Temperature::from_celsius(-250.0);
    TemperatureDifference::from_celsius(if cold { 1e-5 } else { 1e-6 })
}

/// What an ideal gauge shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Shown {
    /// The emf is below that of the type's lowest temperature.
    BelowRange,
    /// This temperature.
    At(Temperature),
    /// The emf is above that of the type's highest temperature.
    AboveRange,
}

/// What an ideal gauge for `kind` shows for an emf that is already referred to 0 °C.
pub fn shown(kind: ThermocoupleType, emf: Voltage) -> Shown {
    let reference = reference(kind);
    let (mut low, mut high) = (reference.from, reference.to());
    // Compared as stored voltages, so that the emf of an end of the range is inside it.
    if emf < Voltage::from_millivolts(reference.within(low)) {
        return Shown::BelowRange;
    }
    if emf > Voltage::from_millivolts(reference.within(high)) {
        return Shown::AboveRange;
    }
    // The reference functions rise everywhere: halve the interval until it is far below a nanodegree.
    for _ in 0..56 {
        let middle = 0.5 * (low + high);
        if reference.within(middle) < emf.millivolts() {
            low = middle;
        } else {
            high = middle;
        }
    }
    Shown::At(Temperature::from_celsius(0.5 * (low + high)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use ThermocoupleType::{J, K};
    use proptest::prelude::*;

    fn c(celsius: f64) -> Temperature {
        Temperature::from_celsius(celsius)
    }

    #[test]
    fn outside_the_range_there_is_nothing() {
        assert_eq!((emf(K, c(-270.1)), emf(K, c(1372.1)), emf(J, c(1200.1))), (None, None, None));
        for kind in [K, J] {
            let (low, high) = (range(kind).low(), range(kind).high());
            for end in [low, high] {
                let back = temperature(kind, emf(kind, end).unwrap()).unwrap();
                assert!((back.celsius() - end.celsius()).abs() < inverse_error(end).celsius());
            }
            assert_eq!(temperature(kind, emf(kind, high).unwrap() + Voltage::from_volts(1e-9)), None);
            assert_eq!(temperature(kind, emf(kind, low).unwrap() - Voltage::from_volts(1e-9)), None);
        }
    }

    proptest! {
        #[test]
        fn inverse_returns(t in -250.0_f64..1200.0) {
            for kind in [K, J] {
                if let Some(e) = emf(kind, c(t)) {
                    let back = temperature(kind, e).map(Temperature::celsius).unwrap_or(f64::NAN);
                    prop_assert!((back - t).abs() < 1e-6, "{:?} {} {}", kind, t, back);
                }
            }
        }
    }
}
