//! Thermocouple emf and temperature, both ways.
//!
//! Reference functions of ITS-90 (NIST SRD 60 / Monograph 175), reference junction at 0 °C. The inverse is found from
//! the reference function itself by bisection, not from NIST's approximate inverse polynomials.

use super::thermocouple_colour::ThermocoupleType;
use crate::quantity::{Bounds, Temperature, Voltage};

/// One range of a reference function: highest temperature, then coefficients of t⁰, t¹, … in mV.
type Piece = (f64, &'static [f64]);

const K_LOWEST: f64 = -270.0;
const K_PIECES: [Piece; 2] = [
    (
        0.0,
        &[
            0.0,
            0.394_501_280_250e-1,
            0.236_223_735_980e-4,
            -0.328_589_067_840e-6,
            -0.499_048_287_770e-8,
            -0.675_090_591_730e-10,
            -0.574_103_274_280e-12,
            -0.310_888_728_940e-14,
            -0.104_516_093_650e-16,
            -0.198_892_668_780e-19,
            -0.163_226_974_860e-22,
        ],
    ),
    (
        1372.0,
        &[
            -0.176_004_136_860e-1,
            0.389_212_049_750e-1,
            0.185_587_700_320e-4,
            -0.994_575_928_740e-7,
            0.318_409_457_190e-9,
            -0.560_728_448_890e-12,
            0.560_750_590_590e-15,
            -0.320_207_200_030e-18,
            0.971_511_471_520e-22,
            -0.121_047_212_750e-25,
        ],
    ),
];
/// Type K above 0 °C carries also a₀ exp(a₁ (t − a₂)²).
const K_BUMP: [f64; 3] = [0.118_597_600_000, -0.118_343_200_000e-3, 0.126_968_600_000e3];

const J_LOWEST: f64 = -210.0;
const J_PIECES: [Piece; 2] = [
    (
        760.0,
        &[
            0.0,
            0.503_811_878_150e-1,
            0.304_758_369_300e-4,
            -0.856_810_657_200e-7,
            0.132_281_952_950e-9,
            -0.170_529_583_370e-12,
            0.209_480_906_970e-15,
            -0.125_383_953_360e-18,
            0.156_317_256_970e-22,
        ],
    ),
    (
        1200.0,
        &[
            0.296_456_256_810e3,
            -0.149_761_277_860e1,
            0.317_871_039_240e-2,
            -0.318_476_867_010e-5,
            0.157_208_190_040e-8,
            -0.306_913_690_560e-12,
        ],
    ),
];

fn ends(kind: ThermocoupleType) -> (f64, f64) {
    match kind {
        ThermocoupleType::K => (K_LOWEST, K_PIECES[1].0),
        ThermocoupleType::J => (J_LOWEST, J_PIECES[1].0),
    }
}

/// The reference function in mV; `t` in °C within the range.
fn millivolts(kind: ThermocoupleType, t: f64) -> f64 {
    let pieces = match kind {
        ThermocoupleType::K => &K_PIECES,
        ThermocoupleType::J => &J_PIECES,
    };
    let [low, high] = pieces;
    let upper = t > low.0;
    let coefficients = if upper { high.1 } else { low.1 };
    let sum = coefficients.iter().rev().fold(0.0, |sum, c| sum * t + c);
    if upper && kind == ThermocoupleType::K {
        let [a0, a1, a2] = K_BUMP;
        return sum + a0 * (a1 * (t - a2) * (t - a2)).exp();
    }
    sum
}

/// Temperatures the reference function covers: K −270 to 1372 °C, J −210 to 1200 °C.
pub fn range(kind: ThermocoupleType) -> Bounds<Temperature> {
    let (low, high) = ends(kind);
    Bounds::new(Temperature::from_celsius(low), Temperature::from_celsius(high))
}

/// Emf of a thermocouple at `t` with its reference junction at 0 °C; None outside [`range`].
pub fn emf(kind: ThermocoupleType, t: Temperature) -> Option<Voltage> {
    range(kind).contains(t).then(|| Voltage::from_millivolts(millivolts(kind, t.celsius())))
}

/// Temperature at which a thermocouple with its reference junction at 0 °C gives `emf`, to better than a millionth of
/// a degree from −250 °C up; None outside the range.
pub fn temperature(kind: ThermocoupleType, emf: Voltage) -> Option<Temperature> {
    match shown(kind, emf) {
        Shown::At(t) => Some(t),
        Shown::BelowRange | Shown::AboveRange => None,
    }
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
    let (mut low, mut high) = ends(kind);
    // Compared as stored voltages, so that the emf of an end of the range is inside it.
    if emf < Voltage::from_millivolts(millivolts(kind, low)) {
        return Shown::BelowRange;
    }
    if emf > Voltage::from_millivolts(millivolts(kind, high)) {
        return Shown::AboveRange;
    }
    // The reference functions rise everywhere: halve the interval until it is far below a nanodegree.
    for _ in 0..56 {
        let middle = 0.5 * (low + high);
        if millivolts(kind, middle) < emf.millivolts() {
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
    fn the_functions_rise_and_their_pieces_meet() {
        for (kind, joint) in [(K, 0.0), (J, 760.0)] {
            let (low, high) = ends(kind);
            let steps = ((high - low) * 10.0) as usize;
            let curve: Vec<f64> = (0..=steps).map(|i| millivolts(kind, low + i as f64 / 10.0)).collect();
            assert!(curve.is_sorted_by(|a, b| a < b), "{kind:?}");
            assert!((millivolts(kind, joint) - millivolts(kind, joint + 1e-9)).abs() < 1e-6, "{kind:?}");
        }
    }

    #[test]
    fn outside_the_range_there_is_nothing() {
        assert_eq!((emf(K, c(-270.1)), emf(K, c(1372.1)), emf(J, c(1200.1))), (None, None, None));
        for kind in [K, J] {
            let (low, high) = (range(kind).low(), range(kind).high());
            for end in [low, high] {
                let back = temperature(kind, emf(kind, end).unwrap()).unwrap();
                assert!((back.celsius() - end.celsius()).abs() < 1e-5);
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
