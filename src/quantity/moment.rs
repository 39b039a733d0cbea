//! Moment of a mass about the weighing datum: mass times arm.

use super::define::{plain_text, quantity};
use super::scale::{ANY, Print, Scale, ratio, unit};
use super::{Mass, Station};

const SCALE: Scale = Scale {
    noun: "a moment",
    example: "120 kg·mm",
    least: -1_000_000_000_000_000_000,
    most: 1_000_000_000_000_000_000,
    units: &[
        unit(&["kg·mm", "kg mm"], 1_000_000_000),
        unit(&["kg·m", "kg m"], 1_000_000_000_000),
        // International pound, 0.45359237 kg, times 25.4 mm.
        ratio(&["lb·in", "lb in"], 11_521_246_198_000, 1_000),
    ],
    metric: &[Print { below: ANY, unit: "kg·mm", steps: 1_000_000_000, per: 1, zero: 0, places: 1 }],
    inch: &[Print { below: ANY, unit: "lb·in", steps: 11_521_246_198_000, per: 1_000, zero: 0, places: 2 }],
};

quantity! {
    /// A moment, in whole micrograms times millimetres; negative forward of the datum.
    Moment, SCALE, 1e9, "a moment with its unit, negative forward of the datum: kg·mm, kg·m or lb·in",
    /// From kilograms times millimetres.
    from_kilogram_mm, try_from_kilogram_mm,
    /// In kilograms times millimetres.
    kilogram_mm
}
plain_text!(Moment, SCALE);

impl std::ops::Mul<Station> for Mass {
    type Output = Moment;
    fn mul(self, arm: Station) -> Moment {
        Moment::from_kilogram_mm(self.grams() / 1000.0 * arm.mm())
    }
}

impl Moment {
    /// In international pounds times inches.
    pub fn pound_inches(self) -> f64 {
        self.kilogram_mm() / (0.453_592_37 * 25.4)
    }

    /// The arm at which `mass` has this moment; None for no mass.
    pub fn arm_of(self, mass: Mass) -> Option<Station> {
        (mass > Mass::ZERO)
            .then(|| Station::try_from_mm(self.kilogram_mm() * 1000.0 / mass.grams()))
            .flatten()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Units;
    super::super::define::round_trip!(Moment, SCALE);

    #[test]
    fn a_moment_is_mass_by_arm() {
        let (mass, arm) = (Mass::from_grams(250.0), Station::from_mm(-480.0));
        assert_eq!(mass * arm, Moment::from_kilogram_mm(-120.0));
        assert_eq!((mass * arm).arm_of(mass), Some(arm));
        assert_eq!((mass * arm).arm_of(Mass::ZERO), None);
        // 1 lb at 1 in.
        let one = "1 lb".parse::<Mass>().unwrap() * "1 in".parse::<Station>().unwrap();
        assert_eq!(one, "1 lb·in".parse().unwrap());
        assert!((one.pound_inches() - 1.0).abs() < 1e-9);
        assert_eq!((one.show(Units::Inch), one.show(Units::Metric)), ("1 lb·in".into(), "11.5 kg·mm".into()));
    }
}
