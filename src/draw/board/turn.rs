//! The few angles at which legs leave and turn, with their sines and lengths of arc as constants: no platform's own
//! trigonometry decides where a line lies.

use std::f64::consts::{FRAC_1_SQRT_2, FRAC_PI_2, FRAC_PI_3, FRAC_PI_4, FRAC_PI_6, SQRT_2};

/// An angle between a leg and the one it leaves.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Angle {
    A30,
    A45,
    A60,
    A90,
}

const SIN_60: f64 = 0.866_025_403_784_438_6;

impl Angle {
    /// All, those that look and lie best first.
    pub const ALL: [Angle; 4] = [Angle::A45, Angle::A60, Angle::A30, Angle::A90];

    pub fn sin(self) -> f64 {
        match self {
            Angle::A30 => 0.5,
            Angle::A45 => FRAC_1_SQRT_2,
            Angle::A60 => SIN_60,
            Angle::A90 => 1.0,
        }
    }

    pub fn cos(self) -> f64 {
        match self {
            Angle::A30 => SIN_60,
            Angle::A45 => FRAC_1_SQRT_2,
            Angle::A60 => 0.5,
            Angle::A90 => 0.0,
        }
    }

    pub fn radians(self) -> f64 {
        match self {
            Angle::A30 => FRAC_PI_6,
            Angle::A45 => FRAC_PI_4,
            Angle::A60 => FRAC_PI_3,
            Angle::A90 => FRAC_PI_2,
        }
    }

    /// Tangent of half of it: what a leg that leaves at it falls short for each millimetre that it rises.
    pub fn half_tan(self) -> f64 {
        match self {
            Angle::A30 => 2.0 - 2.0 * SIN_60,
            Angle::A45 => SQRT_2 - 1.0,
            Angle::A60 => SIN_60 / 1.5,
            Angle::A90 => 1.0,
        }
    }

    /// Distance of the control points of a cubic curve that stands for an arc of it, in radii: 4/3 tan(angle/4).
    pub fn handle(self) -> f64 {
        match self {
            Angle::A30 => 0.175_536_7,
            Angle::A45 => 0.265_216_5,
            Angle::A60 => 0.357_265_6,
            Angle::A90 => 0.552_284_7,
        }
    }
}

/// Sine and cosine of an angle of at most a quarter turn either way, by their series: the same on every platform.
pub(super) fn sin_cos(radians: f64) -> (f64, f64) {
    let square = radians * radians;
    let (mut sin, mut cos) = (0.0, 0.0);
    // 1/(2n)! and 1/(2n + 1)!, highest first (Horner).
    for n in (0..10).rev() {
        let n = f64::from(n);
        sin = 1.0 - sin * square / ((2.0 * n + 2.0) * (2.0 * n + 3.0));
        cos = 1.0 - cos * square / ((2.0 * n + 1.0) * (2.0 * n + 2.0));
    }
    (sin * radians, cos)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn constants_agree_with_trigonometry() {
        for angle in Angle::ALL {
            let a = angle.radians();
            assert!((angle.sin() - a.sin()).abs() < 1e-15 && (angle.cos() - a.cos()).abs() < 1e-15);
            assert!((angle.half_tan() - (a / 2.0).tan()).abs() < 1e-12, "{angle:?}");
            assert!((angle.handle() - 4.0 / 3.0 * (a / 4.0).tan()).abs() < 1e-6, "{angle:?}");
        }
        for i in -20..=20 {
            let a = f64::from(i) / 20.0 * FRAC_PI_2;
            let (sin, cos) = sin_cos(a);
            assert!((sin - a.sin()).abs() < 1e-12 && (cos - a.cos()).abs() < 1e-12, "{a}: {sin} {cos}");
        }
    }
}
