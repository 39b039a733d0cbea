//! Quantities in; bare figures out, for columns whose head names the unit.

use crate::quantity::{Current, Length, Mass, Moment, Station, Units, Voltage};

/// The unit of every length of a list.
pub(super) fn length_unit(units: Units) -> &'static str {
    match units {
        Units::Metric => "mm",
        Units::Inch => "in",
    }
}

/// A length in [`length_unit`]: millimetres as they are, inches to the nearest hundredth, without idle zeros.
pub(super) fn length(length: Length, units: Units) -> String {
    let (hundredths, per) = match units {
        Units::Metric => (length.um() / 10, 100),
        Units::Inch => ((length.um() * 100 + 12_700).div_euclid(25_400), 100),
    };
    let (whole, rest) = (hundredths / per, (hundredths % per).abs());
    match rest {
        0 => whole.to_string(),
        rest if rest % 10 == 0 => format!("{whole}.{}", rest / 10),
        rest => format!("{whole}.{rest:02}"),
    }
}

/// The same; the empty text where it is not known.
pub(super) fn maybe_length(known: Option<Length>, units: Units) -> String {
    known.map_or_else(String::new, |known| length(known, units))
}

/// The unit of every mass of a list.
pub(super) fn mass_unit(units: Units) -> &'static str {
    match units {
        Units::Metric => "g",
        Units::Inch => "lb",
    }
}

/// A mass in [`mass_unit`]: to a hundredth of a gram or a ten-thousandth of a pound.
pub(super) fn mass(mass: Mass, units: Units) -> String {
    match units {
        Units::Metric => decimals(mass.grams(), 2),
        Units::Inch => decimals(mass.pounds(), 4),
    }
}

/// Figures that a mass carries on paper: three, so that mass times arm still comes to the moment beside it.
pub(super) const FIGURES: usize = 3;

/// What is said of such masses.
pub(super) fn rounded_words(typical: bool) -> &'static str {
    if typical {
        "Masses are told to three figures, so that they can be multiplied and added; those of the parts that come with the \
         tool are typical, from memory, and not as sure as that. Sums are made first and rounded then; the file for \
         machines has them unrounded."
    } else {
        "Masses are told to three figures. Sums are made first and rounded then; the file for machines has them \
         unrounded."
    }
}

/// A mass in [`mass_unit`] for reading, to so many figures.
pub(super) fn mass_to(mass: Mass, units: Units, figures: usize) -> String {
    match units {
        Units::Metric => significant(mass.grams(), figures),
        Units::Inch => significant(mass.pounds(), figures),
    }
}

/// A moment in [`moment_unit`] for reading, to so many figures.
pub(super) fn moment_to(moment: Moment, units: Units, figures: usize) -> String {
    match units {
        Units::Metric => significant(moment.kilogram_mm(), figures),
        Units::Inch => significant(moment.pound_inches(), figures),
    }
}

/// So many significant figures, in plain notation.
fn significant(value: f64, figures: usize) -> String {
    let rounded = format!("{value:.*e}", figures.saturating_sub(1));
    // A number in this notation reads back.
    let text = rounded.parse::<f64>().unwrap_or(value).to_string();
    if text == "-0" { "0".to_owned() } else { text }
}

/// The unit of every moment of a list.
pub(super) fn moment_unit(units: Units) -> &'static str {
    match units {
        Units::Metric => "kg·mm",
        Units::Inch => "lb·in",
    }
}

/// A moment in [`moment_unit`], to a hundredth.
pub(super) fn moment(moment: Moment, units: Units) -> String {
    match units {
        Units::Metric => decimals(moment.kilogram_mm(), 2),
        Units::Inch => decimals(moment.pound_inches(), 2),
    }
}

/// A station in [`length_unit`] for reading: to a millimetre or a tenth of an inch.
pub(super) fn station_to(at: Station, units: Units) -> String {
    match units {
        Units::Metric => decimals(at.mm(), 0),
        Units::Inch => decimals(at.inches(), 1),
    }
}

/// A station in [`length_unit`]: to a tenth of a millimetre or a hundredth of an inch.
pub(super) fn station(at: Station, units: Units) -> String {
    match units {
        Units::Metric => decimals(at.mm(), 1),
        Units::Inch => decimals(at.inches(), 2),
    }
}

/// So many decimals, without idle zeros.
fn decimals(value: f64, places: usize) -> String {
    let text = format!("{value:.places$}");
    let text = if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { &text };
    // What is rounded to nothing has no sign.
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

/// A current in amperes, to the nearest milliampere, without idle zeros.
pub(super) fn amps(current: Current) -> String {
    decimals(current.amps(), 3)
}

/// A voltage in volts, to the nearest millivolt, without idle zeros.
pub(super) fn volts(voltage: Voltage) -> String {
    decimals(voltage.volts(), 3)
}

/// A voltage in millivolts, to the nearest microvolt, without idle zeros.
pub(super) fn millivolts(voltage: Voltage) -> String {
    decimals(voltage.millivolts(), 3)
}

/// A voltage in millivolts for reading, to so many figures.
pub(super) fn millivolts_to(voltage: Voltage, figures: usize) -> String {
    significant(voltage.millivolts(), figures)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_have_no_unit_and_no_idle_zeros() {
        let shown = |mm, units| length(Length::from_mm(mm), units);
        assert_eq!(shown(1035.0, Units::Metric), "1035");
        assert_eq!(shown(4.5, Units::Metric), "4.5");
        assert_eq!(shown(4.25, Units::Metric), "4.25");
        // 1 in = 25.4 mm exactly (NIST SP 811, appendix B.8).
        assert_eq!(shown(25.4, Units::Inch), "1");
        assert_eq!(shown(4.0, Units::Inch), "0.16");
        assert_eq!(shown(1035.0, Units::Inch), "40.75");
        assert_eq!(mass(Mass::from_grams(12.3456), Units::Metric), "12.35");
        assert_eq!(mass(Mass::from_grams(45.359_237), Units::Inch), "0.1");
        assert_eq!(station(Station::from_mm(-0.01), Units::Metric), "0");
        assert_eq!(moment(Moment::from_kilogram_mm(11.521_246_198), Units::Inch), "1");
        assert_eq!(maybe_length(None, Units::Inch), "");
    }

    #[test]
    fn masses_carry_no_more_figures_than_their_inputs() {
        let shown = |grams, figures| mass_to(Mass::from_grams(grams), Units::Metric, figures);
        assert_eq!(
            [shown(421.6, 2), shown(421.6, 3), shown(0.3456, 2), shown(9.96, 2)].join(" "),
            "420 422 0.35 10"
        );
        assert_eq!((shown(1_254.0, 2), shown(0.0, 2)), ("1300".to_owned(), "0".to_owned()));
        assert_eq!(mass_to(Mass::from_grams(121.6), Units::Inch, 2), "0.27");
        assert_eq!(moment_to(Moment::from_kilogram_mm(-1_234.0), Units::Metric, 2), "-1200");
    }

    #[test]
    fn currents_are_amperes_to_the_milliampere() {
        let shown = |a| amps(Current::from_amps(a));
        assert_eq!(
            [0.58, 40.0, 0.0004, -0.0001, -1.25].map(shown),
            ["0.58", "40", "0", "0", "-1.25"].map(str::to_owned)
        );
    }
}
