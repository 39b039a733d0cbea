//! Quantities in; bare figures out, for columns whose head names the unit.

use crate::quantity::{Length, Units};

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
        assert_eq!(maybe_length(None, Units::Inch), "");
    }
}
