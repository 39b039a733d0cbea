//! Products and quotients of quantities that give another quantity.

use std::ops::Mul;

use super::{Current, Force, Fraction, Length, LinearMass, LinearResistance, Mass, Resistance, Voltage};

impl Mul<Resistance> for Current {
    type Output = Voltage;
    /// Ohm's law.
    fn mul(self, r: Resistance) -> Voltage {
        Voltage::from_volts(self.amps() * r.ohms())
    }
}

impl Mul<Length> for LinearResistance {
    type Output = Resistance;
    fn mul(self, l: Length) -> Resistance {
        Resistance::from_ohms(self.ohms_per_metre() * l.metres())
    }
}

impl Mul<Length> for LinearMass {
    type Output = Mass;
    fn mul(self, l: Length) -> Mass {
        Mass::from_grams(self.grams_per_metre() * l.metres())
    }
}

impl Mul<Fraction> for Current {
    type Output = Current;
    fn mul(self, share: Fraction) -> Current {
        self * share.ratio()
    }
}

impl Mul<Fraction> for Force {
    type Output = Force;
    fn mul(self, share: Fraction) -> Force {
        self * share.ratio()
    }
}

impl Voltage {
    /// The current through `r`; None where `r` is zero.
    pub fn across(self, r: Resistance) -> Option<Current> {
        Current::try_from_amps(self.volts() / r.ohms())
    }

    /// What share of `whole` this is; None where `whole` is zero.
    pub fn share_of(self, whole: Voltage) -> Option<Fraction> {
        Fraction::try_from_ratio(self.volts() / whole.volts())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ohms_law_both_ways() {
        let (amps, strap) = (Current::from_amps(45.0), Resistance::from_ohms(0.0015));
        assert_eq!(amps * strap, Voltage::from_volts(0.0675));
        assert_eq!((amps * strap).across(strap), Some(amps));
        assert_eq!(Voltage::from_volts(1.0).across(Resistance::ZERO), None);
        assert_eq!(
            Voltage::from_volts(0.5).share_of(Voltage::from_volts(14.0)).unwrap().show(Default::default()),
            "3.6 %"
        );
    }
}
