//! Conductor size: American Wire Gauge or metric cross-section.

use std::cmp::Ordering;
use std::fmt;
use std::str::FromStr;

use super::error::QuantityError;
use super::number::normalise;
use super::scale::refuse_comma;
use super::text_form::{Quantity, text_form};
use super::{Area, Length, Units};

/// The size of a conductor. Ordered by conductor area, so `24 AWG < 20 AWG`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Gauge {
    /// AWG number; 0 is `1/0`, -1 is `2/0`, -2 is `3/0`, -3 is `4/0`. Read values lie in -3..=40.
    Awg(i8),
    /// Cross-section of the conductor, as in metric wire.
    Metric(Area),
}

const THICKEST: i8 = -3;
const THINNEST: i8 = 40;
/// Larger than any cable that has a metric size.
const LARGEST_MM2: f64 = 2_000.0;

impl Gauge {
    /// An AWG size by its number; None outside -3 (`4/0`) to 40.
    pub fn awg(number: i8) -> Option<Gauge> {
        (THICKEST..=THINNEST).contains(&number).then_some(Gauge::Awg(number))
    }

    /// Area of the solid conductor of this gauge. Stranded wire of the same gauge is near it, not equal.
    pub fn area(self) -> Area {
        match self {
            Gauge::Awg(n) => {
                let d = awg_mm(n);
                Area::from_mm2(std::f64::consts::FRAC_PI_4 * d * d)
            }
            Gauge::Metric(area) => area,
        }
    }

    /// Diameter of a solid round conductor of this gauge.
    pub fn solid_diameter(self) -> Length {
        match self {
            Gauge::Awg(n) => Length::from_mm(awg_mm(n)),
            Gauge::Metric(area) => Length::from_mm((4.0 * area.mm2() / std::f64::consts::PI).sqrt()),
        }
    }

    /// The same text in either units: a gauge is a name.
    pub fn show(self, _: Units) -> String {
        self.to_string()
    }
}

/// ASTM B258: d = 0.005 in × 92^((36 − n)/39), in millimetres; defined for n = −3 (4/0) and thinner.
fn awg_mm(n: i8) -> f64 {
    0.127 * 92_f64.powf((36.0 - f64::from(n)) / 39.0)
}

impl Ord for Gauge {
    fn cmp(&self, other: &Gauge) -> Ordering {
        // Equal areas of two kinds are told apart by the kind, so that order agrees with equality.
        let kind = |g: &Gauge| matches!(g, Gauge::Metric(_));
        self.area().cmp(&other.area()).then(kind(self).cmp(&kind(other)))
    }
}

impl PartialOrd for Gauge {
    fn partial_cmp(&self, other: &Gauge) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl fmt::Display for Gauge {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&match self {
            Gauge::Awg(n @ THICKEST..=-1) => format!("{}/0 AWG", 1 - i16::from(*n)),
            Gauge::Awg(n) => format!("{n} AWG"),
            Gauge::Metric(area) => area.to_string(),
        })
    }
}

impl FromStr for Gauge {
    type Err = QuantityError;

    fn from_str(text: &str) -> Result<Gauge, QuantityError> {
        refuse_comma(text, Gauge::EXAMPLE)?;
        let clean = normalise(text);
        if let Some(size) = clean.strip_prefix("AWG").or_else(|| clean.strip_suffix("AWG")) {
            return awg_number(size.trim()).and_then(Gauge::awg).ok_or_else(|| {
                QuantityError::new(
                    format!("`{text}` is not an AWG size"),
                    "write a whole number from 40 to 0, or 2/0, 3/0, 4/0, as in `22 AWG`",
                )
            });
        }
        let bare = !clean.is_empty() && clean.chars().all(|c| c.is_ascii_digit() || "./ ".contains(c));
        if bare {
            return Err(QuantityError::new(
                format!("`{text}` has no unit"),
                format!("write it as `{clean} AWG` or `{clean} mm²`, whichever is meant"),
            ));
        }
        let area: Area = clean.parse().map_err(|_| {
            QuantityError::new(
                format!("`{text}` is not a wire size"),
                "write an AWG size as in `22 AWG`, or a cross-section as in `0.5 mm²`",
            )
        })?;
        if area == Area::ZERO || area.mm2() > LARGEST_MM2 {
            return Err(QuantityError::new(
                format!("`{text}` is no wire"),
                format!("write a cross-section above 0 and up to {LARGEST_MM2} mm², as in `0.5 mm²`"),
            ));
        }
        Ok(Gauge::Metric(area))
    }
}

/// `22`, `0`, `00`, `2/0`.
fn awg_number(size: &str) -> Option<i8> {
    match size {
        "1/0" => Some(0),
        "00" | "2/0" => Some(-1),
        "000" | "3/0" => Some(-2),
        "0000" | "4/0" => Some(-3),
        _ if size.chars().all(|c| c.is_ascii_digit()) => size.parse().ok(),
        _ => None,
    }
}

impl Quantity for Gauge {
    const NOUN: &'static str = "a wire size";
    const EXAMPLE: &'static str = "22 AWG";
    const DESCRIPTION: &'static str =
        "a conductor size: `22 AWG`, `2/0 AWG` or a cross-section as in `0.5 mm²`";
}
text_form!(Gauge);

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn reads_both_systems() {
        for (text, gauge) in [
            ("22 AWG", Gauge::Awg(22)),
            ("AWG 22", Gauge::Awg(22)),
            ("AWG22", Gauge::Awg(22)),
            ("0 AWG", Gauge::Awg(0)),
            ("1/0 AWG", Gauge::Awg(0)),
            ("2/0 AWG", Gauge::Awg(-1)),
            ("0000 AWG", Gauge::Awg(-3)),
            ("0.5 mm²", Gauge::Metric(Area::from_mm2(0.5))),
            ("0.5 mm2", Gauge::Metric(Area::from_mm2(0.5))),
        ] {
            assert_eq!(text.parse(), Ok(gauge), "{text}");
            assert_eq!(gauge.to_string().parse(), Ok(gauge));
        }
        for bad in
            ["22", "41 AWG", "-1 AWG", "22.5 AWG", "5/0 AWG", "AWG", "0 mm²", "-1 mm²", "1e9 mm²", "22 V", ""]
        {
            assert!(bad.parse::<Gauge>().is_err(), "{bad}");
        }
        assert!("22".parse::<Gauge>().unwrap_err().remedy.contains("`22 AWG`"));
    }

    #[test]
    fn orders_by_copper() {
        assert!(Gauge::Awg(24) < Gauge::Awg(20) && Gauge::Awg(0) < Gauge::Awg(-1));
        assert!(Gauge::Awg(22) < "0.5 mm²".parse().unwrap() && Gauge::Awg(20) > "0.5 mm²".parse().unwrap());
    }

    proptest! {
        #[test]
        fn any_gauge_reads_back(n in THICKEST..=THINNEST, nano in 1_i64..2_000_000_000_000) {
            let metric = Gauge::Metric(Area::from_mm2(nano as f64 / 1e9));
            for gauge in [Gauge::Awg(n), metric] {
                prop_assert_eq!(gauge.to_string().parse(), Ok(gauge));
            }
        }

        #[test]
        fn no_text_panics(text in ".{0,12}(AWG|mm²)?") {
            let _ = text.parse::<Gauge>();
        }
    }
}
