//! A share of a whole, written in percent.

use super::define::{plain_text, quantity};
use super::scale::{ANY, Print, Scale, print, unit};

const SCALE: Scale = Scale {
    noun: "a percentage",
    example: "60 %",
    least: 0,
    most: 1_000_000_000_000,
    units: &[unit(&["%", "percent"], 10_000_000)],
    metric: PRINTS,
    inch: PRINTS,
};
const PRINTS: &[Print] = &[print(ANY, "%", 10_000_000, 1)];

quantity! {
    /// A share of a whole, in whole billionths; may exceed one (an overfilled hole).
    Fraction, SCALE, 1e9, "a share in percent",
    /// From a ratio: 0.6 is `60 %`.
    from_ratio, try_from_ratio,
    /// As a ratio: `60 %` is 0.6.
    ratio
}
plain_text!(Fraction, SCALE);

impl Fraction {
    /// From percent: 60.0 is `60 %`.
    pub fn from_percent(value: f64) -> Fraction {
        Fraction::from_ratio(value / 100.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // Canonical text holds a hundred-millionth of a percent: seven places under `%`.
    super::super::define::round_trip!(Fraction, SCALE);

    #[test]
    fn reads_percent_only() {
        assert_eq!("60 %".parse(), Ok(Fraction::from_ratio(0.6)));
        assert_eq!("60%".parse(), Ok(Fraction::from_percent(60.0)));
        assert_eq!("0.6".parse::<Fraction>().unwrap_err().message, "`0.6` has no unit");
    }
}
