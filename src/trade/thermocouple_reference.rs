//! The ITS-90 reference functions: type and temperature in, emf in mV out.
//!
//! NIST SRD 60 / Monograph 175, reference junction at 0 °C: E = Σ cᵢ tⁱ, with t in °C, for type K above 0 °C also
//! a₀ exp(a₁ (t − a₂)²). Types E and T are here for the materials they share with K: chromel and copper, both against
//! constantan.

/// One range of a reference function.
struct Piece {
    /// Highest temperature, °C.
    to: f64,
    /// Coefficients of t⁰, t¹, … in mV.
    coefficients: &'static [f64],
}

/// A reference function.
pub(super) struct Reference {
    /// Lowest temperature, °C.
    pub from: f64,
    pieces: [Piece; 2],
    /// a₀, a₁, a₂ of the exponential of the upper range; a₀ is zero where there is none.
    bump: [f64; 3],
}

impl Reference {
    /// Highest temperature, °C.
    pub fn to(&self) -> f64 {
        let [_, upper] = &self.pieces;
        upper.to
    }

    /// Emf in mV at `t` °C; None outside the range.
    pub fn millivolts(&self, t: f64) -> Option<f64> {
        (self.from <= t && t <= self.to()).then(|| self.within(t))
    }

    /// Emf in mV at a `t` that is known to be within the range.
    pub fn within(&self, t: f64) -> f64 {
        let [lower, upper] = &self.pieces;
        // At the joint the lower range holds, as NIST prints it.
        let above = t > lower.to;
        let coefficients = if above { upper.coefficients } else { lower.coefficients };
        let sum = coefficients.iter().rev().fold(0.0, |sum, c| sum * t + c);
        let [a0, a1, a2] = self.bump;
        if above && a0 != 0.0 { sum + a0 * (a1 * (t - a2) * (t - a2)).exp() } else { sum }
    }
}

/// Chromel against alumel, −270 to 1372 °C.
pub(super) static K: Reference = Reference {
    from: -270.0,
    pieces: [
        Piece {
            to: 0.0,
            coefficients: &[
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
        },
        Piece {
            to: 1372.0,
            coefficients: &[
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
        },
    ],
    bump: [0.118_597_600_000, -0.118_343_200_000e-3, 0.126_968_600_000e3],
};

/// Iron against constantan, −210 to 1200 °C.
pub(super) static J: Reference = Reference {
    from: -210.0,
    pieces: [
        Piece {
            to: 760.0,
            coefficients: &[
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
        },
        Piece {
            to: 1200.0,
            coefficients: &[
                0.296_456_256_810e3,
                -0.149_761_277_860e1,
                0.317_871_039_240e-2,
                -0.318_476_867_010e-5,
                0.157_208_190_040e-8,
                -0.306_913_690_560e-12,
            ],
        },
    ],
    bump: [0.0; 3],
};

/// Chromel against constantan, −270 to 1000 °C.
pub(super) static E: Reference = Reference {
    from: -270.0,
    pieces: [
        Piece {
            to: 0.0,
            coefficients: &[
                0.0,
                0.586_655_087_080e-1,
                0.454_109_771_240e-4,
                -0.779_980_486_860e-6,
                -0.258_001_608_430e-7,
                -0.594_525_830_570e-9,
                -0.932_140_586_670e-11,
                -0.102_876_055_340e-12,
                -0.803_701_236_210e-15,
                -0.439_794_973_910e-17,
                -0.164_147_763_550e-19,
                -0.396_736_195_160e-22,
                -0.558_273_287_210e-25,
                -0.346_578_420_130e-28,
            ],
        },
        Piece {
            to: 1000.0,
            coefficients: &[
                0.0,
                0.586_655_087_100e-1,
                0.450_322_755_820e-4,
                0.289_084_072_120e-7,
                -0.330_568_966_520e-9,
                0.650_244_032_700e-12,
                -0.191_974_955_040e-15,
                -0.125_366_004_970e-17,
                0.214_892_175_690e-20,
                -0.143_880_417_820e-23,
                0.359_608_994_810e-27,
            ],
        },
    ],
    bump: [0.0; 3],
};

/// Copper against constantan, −270 to 400 °C.
pub(super) static T: Reference = Reference {
    from: -270.0,
    pieces: [
        Piece {
            to: 0.0,
            coefficients: &[
                0.0,
                0.387_481_063_640e-1,
                0.441_944_343_470e-4,
                0.118_443_231_050e-6,
                0.200_329_735_540e-7,
                0.901_380_195_590e-9,
                0.226_511_565_930e-10,
                0.360_711_542_050e-12,
                0.384_939_398_830e-14,
                0.282_135_219_250e-16,
                0.142_515_947_790e-18,
                0.487_686_622_860e-21,
                0.107_955_392_700e-23,
                0.139_450_270_620e-26,
                0.797_951_539_270e-30,
            ],
        },
        Piece {
            to: 400.0,
            coefficients: &[
                0.0,
                0.387_481_063_640e-1,
                0.332_922_278_800e-4,
                0.206_182_434_040e-6,
                -0.218_822_568_460e-8,
                0.109_968_809_280e-10,
                -0.308_157_587_720e-13,
                0.454_791_352_900e-16,
                -0.275_129_016_730e-19,
            ],
        },
    ],
    bump: [0.0; 3],
};

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_functions_rise_and_their_ranges_meet() {
        for (name, reference) in [("K", &K), ("J", &J), ("E", &E), ("T", &T)] {
            let steps = ((reference.to() - reference.from) * 10.0) as usize;
            let curve: Vec<f64> =
                (0..=steps).map(|i| reference.within(reference.from + i as f64 / 10.0)).collect();
            assert!(curve.is_sorted_by(|a, b| a < b), "{name}");
            let joint = reference.pieces[0].to;
            assert!((reference.within(joint) - reference.within(joint + 1e-9)).abs() < 1e-6, "{name}");
            assert_eq!(
                (reference.millivolts(reference.from - 0.1), reference.millivolts(reference.to() + 0.1)),
                (None, None)
            );
        }
    }
}
