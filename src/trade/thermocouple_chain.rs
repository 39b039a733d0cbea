//! What a gauge shows over a chain of right and wrong thermocouple pieces: materials and temperatures in, reading out.

use super::thermocouple::{Shown, emf, shown};
use super::thermocouple_colour::{Alloy, ThermocoupleType};
use crate::quantity::{Temperature, Voltage};

/// A piece of a thermocouple circuit from the one before it (the first one from the probe) to `to`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Section {
    /// Material of the leg that leads to the gauge's positive terminal.
    pub plus: Alloy,
    /// Material of the leg that leads to the gauge's negative terminal.
    pub minus: Alloy,
    /// Temperature of its end on the gauge's side: the next junction, at last the gauge's terminals.
    pub to: Temperature,
}

/// Emf at the gauge's terminals, and what the gauge makes of it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Reading {
    /// Net emf; negative where the minus leg lies higher.
    pub emf: Voltage,
    /// What the gauge shows, once it has added the emf of its own terminal temperature.
    pub shown: Shown,
}

/// What an ideal gauge for `kind` shows when the probe is at `probe` and the legs run through `sections`. Its cold
/// junction compensation measures its terminals, where the last section ends.
///
/// The law of intermediate temperatures: each section gives E(start) − E(end) of the pair its two legs form. Two legs
/// of one material give nothing, whatever it is; swapped legs give the pair's emf with the other sign; the other
/// type's pair gives the other type's emf. Both legs of a junction are taken to be at one temperature.
///
/// None where the two legs of a section form no pair of K or J (copper in one leg only, chromel against constantan):
/// their emf does not follow from the two reference functions. None also where a temperature is outside the
/// section's range or the gauge's.
pub fn indicated(kind: ThermocoupleType, probe: Temperature, sections: &[Section]) -> Option<Reading> {
    let mut total = Voltage::ZERO;
    let mut from = probe;
    for section in sections {
        total += section_emf(section.plus, section.minus, from, section.to)?;
        from = section.to;
    }
    Some(Reading { emf: total, shown: shown(kind, total + emf(kind, from)?) })
}

fn section_emf(plus: Alloy, minus: Alloy, from: Temperature, to: Temperature) -> Option<Voltage> {
    if plus == minus {
        return Some(Voltage::ZERO);
    }
    let kind = plus.leg_of()?;
    let difference = emf(kind, from)? - emf(kind, to)?;
    match (plus, minus) {
        (p, m) if p == kind.positive() && m == kind.negative() => Some(difference),
        (p, m) if p == kind.negative() && m == kind.positive() => Some(-difference),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use ThermocoupleType::{J, K};

    fn c(celsius: f64) -> Temperature {
        Temperature::from_celsius(celsius)
    }

    fn right(kind: ThermocoupleType, to: f64) -> Section {
        Section { plus: kind.positive(), minus: kind.negative(), to: c(to) }
    }

    fn swapped(kind: ThermocoupleType, to: f64) -> Section {
        Section { plus: kind.negative(), minus: kind.positive(), to: c(to) }
    }

    fn copper(to: f64) -> Section {
        Section { plus: Alloy::Copper, minus: Alloy::Copper, to: c(to) }
    }

    fn reads(kind: ThermocoupleType, probe: f64, sections: &[Section]) -> f64 {
        match indicated(kind, c(probe), sections).unwrap().shown {
            Shown::At(t) => t.celsius(),
            off => panic!("{off:?}"),
        }
    }

    #[test]
    fn a_right_chain_reads_right_whatever_lies_between() {
        assert!((reads(K, 400.0, &[right(K, 150.0), right(K, 60.0), right(K, 25.0)]) - 400.0).abs() < 1e-6);
        assert!((reads(J, 180.0, &[right(J, 45.0)]) - 180.0).abs() < 1e-6);
        assert!((reads(K, 25.0, &[]) - 25.0).abs() < 1e-6);
    }

    #[test]
    fn swapped_all_the_way_it_reads_below_the_terminals() {
        // -(4.096 - 1.000) + 1.000 = -2.096 mV, between NIST's -1.889 mV at -50 °C and -2.243 mV at -60 °C (memory).
        let shown = reads(K, 100.0, &[swapped(K, 25.0)]);
        assert!((-60.0..-50.0).contains(&shown), "{shown}");
        let hot = indicated(K, c(800.0), &[swapped(K, 25.0)]).unwrap();
        assert_eq!((hot.shown, hot.emf < Voltage::ZERO), (Shown::BelowRange, true));
    }

    #[test]
    fn swapped_twice_it_errs_by_twice_the_piece_between() {
        // Probe at 400, first joint at 150, swapped as far as 60, then right to 25 °C.
        let reading = indicated(K, c(400.0), &[right(K, 150.0), swapped(K, 60.0), right(K, 25.0)]).unwrap();
        let e = |t| emf(K, c(t)).unwrap();
        assert_eq!(reading.emf, e(400.0) - e(25.0) - (e(150.0) - e(60.0)) * 2.0);
    }

    #[test]
    fn copper_takes_out_what_lies_between_its_ends() {
        let sections = [right(J, 90.0), copper(25.0)];
        let e = |t| emf(J, c(t)).unwrap();
        assert_eq!(indicated(J, c(200.0), &sections).unwrap().emf, e(200.0) - e(90.0));
        assert!(reads(J, 200.0, &sections) < 140.0);
        // Copper at one temperature does nothing.
        assert!((reads(J, 200.0, &[right(J, 25.0), copper(25.0)]) - 200.0).abs() < 1e-6);
    }

    #[test]
    fn the_other_types_wire_gives_the_other_types_emf() {
        let e = |kind, t| emf(kind, c(t)).unwrap();
        let reading = indicated(K, c(300.0), &[right(K, 120.0), right(J, 25.0)]).unwrap();
        assert_eq!(reading.emf, e(K, 300.0) - e(K, 120.0) + e(J, 120.0) - e(J, 25.0));
    }

    #[test]
    fn what_does_not_follow_is_not_guessed() {
        let mixed = |plus, minus| indicated(K, c(300.0), &[Section { plus, minus, to: c(25.0) }]);
        assert_eq!(mixed(Alloy::Chromel, Alloy::Copper), None);
        assert_eq!(mixed(Alloy::Copper, Alloy::Alumel), None);
        assert_eq!(mixed(Alloy::Chromel, Alloy::Constantan), None);
        assert_eq!(indicated(J, c(1300.0), &[right(J, 25.0)]), None);
    }
}
