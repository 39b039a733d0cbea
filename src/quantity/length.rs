//! Length: decimal and fractional, metric and inch, also `4 ft 6 in`.

use std::str::FromStr;

use super::Units;
use super::define::quantity;
use super::error::QuantityError;
use super::number::{Number, normalise, take_decimal, take_digits};
use super::scale::{ANY, Print, Scale, print, refuse_comma, steps_of, unit};

const SCALE: Scale = Scale {
    noun: "a length",
    example: "420 mm",
    least: 0,
    // 20 km: no harness is longer and none flies higher, and sums of any number of pieces stay exact.
    most: 20_000_000_000,
    units: &[
        unit(&["mm"], 1_000),
        unit(&["cm"], 10_000),
        unit(&["m"], 1_000_000),
        unit(&["in", "inch", "inches", "\""], INCH),
        unit(&["ft", "foot", "feet", "'"], FOOT),
        unit(&["µm", "um"], 1),
        unit(&["km"], 1_000_000_000),
    ],
    metric: &[print(10_000, "mm", 1_000, 2), print(100_000, "mm", 1_000, 1), print(ANY, "mm", 1_000, 0)],
    inch: &[
        print(20 * FOOT, "in", INCH, 2),
        Print { below: ANY, unit: "ft", steps: FOOT, per: 1, zero: 0, places: 1 },
    ],
};
const INCH: i128 = 25_400;
const FOOT: i128 = 304_800;

quantity! {
    /// A length, in whole micrometres: sums are exact, 0.0001 in is the finest step kept.
    Length, SCALE, 1e3,
    "a length with its unit: mm, cm, m, in, ft; also `4 ft 6 in`, `3/8 in`, `1 1/2 in`",
    /// From millimetres.
    from_mm, try_from_mm,
    /// In millimetres.
    mm
}

impl Length {
    /// In the units of the papers, and in millimetres beside them where those are inches: for what a shop buys or sets in
    /// either, `0.98 in (25 mm)`.
    pub fn show_both(self, units: Units) -> String {
        match units {
            Units::Metric => self.show(units),
            Units::Inch => format!("{} ({})", self.show(units), self.show(Units::Metric)),
        }
    }

    /// As a greatest length is printed that must not be passed: rounded down to the last figure shown, `609 mm` of 609.6 mm.
    pub fn show_at_most(self, units: Units) -> String {
        let step = match units {
            Units::Metric if self.0 < 10_000 => 10,
            Units::Metric if self.0 < 100_000 => 100,
            Units::Metric => 1_000,
            // Hundredths of an inch, or tenths of a foot from where feet are printed.
            Units::Inch if i128::from(self.0) < 20 * FOOT => 254,
            Units::Inch => 30_480,
        };
        let down = Length(self.0 - self.0.rem_euclid(step));
        if down > Length::ZERO { down.show(units) } else { self.show(units) }
    }

    /// From whole micrometres.
    pub const fn from_um(value: i64) -> Length {
        Length(value)
    }

    /// In whole micrometres, exactly.
    pub const fn um(self) -> i64 {
        self.0
    }

    /// From inches.
    pub fn from_inches(value: f64) -> Length {
        Length::from_mm(value * 25.4)
    }

    /// In inches.
    pub fn inches(self) -> f64 {
        self.0 as f64 / 25_400.0
    }

    /// In metres.
    pub fn metres(self) -> f64 {
        self.0 as f64 / 1e6
    }

    /// The next whole multiple of `step` that is not shorter; the length itself where `step` is not positive.
    pub fn round_up_to(self, step: Length) -> Length {
        if step.0 <= 0 {
            return self;
        }
        let over = self.0.rem_euclid(step.0);
        if over == 0 { self } else { Length(self.0.saturating_add(step.0 - over)) }
    }

    /// So many of it, exactly.
    pub fn times(self, count: usize) -> Length {
        Length(self.0.saturating_mul(i64::try_from(count).unwrap_or(i64::MAX)))
    }
}

impl FromStr for Length {
    type Err = QuantityError;

    fn from_str(text: &str) -> Result<Length, QuantityError> {
        refuse_comma(text, SCALE.example)?;
        let clean = normalise(text);
        let (first, first_unit, rest) = part(text, &clean, &clean)?;
        if rest.is_empty() {
            return SCALE.within(text, Some(first)).map(Length);
        }
        let (second, second_unit, end) = part(text, &clean, rest)?;
        let feet_and_inches = first_unit == FOOT && second_unit == INCH && end.is_empty();
        if !feet_and_inches || !(0..FOOT).contains(&second) || clean.starts_with('-') {
            return Err(QuantityError::new(
                format!("`{text}` is not one length"),
                "write one unit, or feet and then inches below 12, as in `4 ft 6 in`",
            ));
        }
        SCALE.within(text, first.checked_add(second)).map(Length)
    }
}

/// One number with its unit off the front of `rest`: steps, steps of the unit, what follows.
fn part<'a>(text: &str, clean: &str, rest: &'a str) -> Result<(i128, i128, &'a str), QuantityError> {
    let (number, rest) = take_mixed(rest).ok_or_else(|| SCALE.no_number(text))?;
    let rest = rest.trim_start();
    let end = rest
        .find(|c: char| c == ' ' || c.is_ascii_digit())
        // A mark of feet or inches ends itself.
        .or_else(|| rest.strip_prefix(['\'', '"']).map(|_| 1))
        .unwrap_or(rest.len());
    let (name, rest) = rest.split_at(end);
    let unit = SCALE.unit(name).ok_or_else(|| SCALE.wrong_unit(text, clean, name))?;
    let steps = steps_of(number, unit);
    Ok((i128::from(SCALE.within(text, steps)?), unit.steps, rest.trim_start()))
}

/// `0.5`, `3/8`, `1 1/2` or `1-1/2` off the front; None where there is no number or a denominator is zero.
fn take_mixed(text: &str) -> Option<(Number, &str)> {
    let (whole, rest) = take_decimal(text)?;
    if whole.den != 1 {
        return Some((whole, rest));
    }
    if let Some((den, after)) = denominator(rest) {
        return (den != 0).then_some((Number { num: whole.num, den }, after));
    }
    let Some(next) = rest.strip_prefix([' ', '-']) else { return Some((whole, rest)) };
    let (digits, after_digits) = take_digits(next.trim_start());
    match (digits.parse::<i128>(), denominator(after_digits)) {
        (Ok(_), Some((0, _))) => None,
        (Ok(top), Some((den, after))) if digits.len() <= 6 => {
            let top = if text.starts_with('-') { -top } else { top };
            Some((Number { num: whole.num.checked_mul(den)?.checked_add(top)?, den }, after))
        }
        _ => Some((whole, rest)),
    }
}

fn denominator(text: &str) -> Option<(i128, &str)> {
    let (digits, rest) = take_digits(text.strip_prefix('/')?);
    if digits.len() > 6 { None } else { Some((digits.parse().ok()?, rest)) }
}

#[cfg(test)]
mod tests {
    use super::*;
    super::super::define::round_trip!(Length, SCALE);

    #[test]
    fn reads_shop_lengths() {
        for (text, micrometres) in [
            ("420 mm", 420_000),
            ("42cm", 420_000),
            ("0.42 m", 420_000),
            ("0.001 in", 25),
            ("1 in", 25_400),
            ("3/8 in", 9_525),
            ("3/8\"", 9_525),
            ("1 1/2 in", 38_100),
            ("1-1/2 in", 38_100),
            ("4 ft 6 in", 1_371_600),
            ("4' 6\"", 1_371_600),
            ("4'6\"", 1_371_600),
            ("4′ 6 1/2″", 1_384_300),
            ("4ft6in", 1_371_600),
            ("10 km", 10_000_000_000),
            ("0 mm", 0),
        ] {
            assert_eq!(text.parse(), Ok(Length(micrometres)), "{text}");
        }
    }

    #[test]
    fn refuses_what_no_tape_shows() {
        for text in [
            "-5 mm",
            "0,9 mm",
            "5",
            "mm",
            "3/0 in",
            "1 1/0 in",
            "20.1 km",
            "99999999999999999 km",
            "4 ft 13 in",
            "4 in 6 ft",
            "4 mm 6 in",
            "4 ft 6 in 2 in",
            "1e3 mm",
            "5 kg",
            "4 ft -6 in",
            "NaN mm",
            "1/2/3 in",
        ] {
            assert!(text.parse::<Length>().is_err(), "{text}");
        }
        assert_eq!("5".parse::<Length>().unwrap_err().remedy, "write it as `5 mm` if that is what is meant");
        assert_eq!("-5 mm".parse::<Length>().unwrap_err().message, "`-5 mm` is negative");
    }

    #[test]
    fn shows_for_people() {
        let l = |text: &str| text.parse::<Length>().unwrap();
        assert_eq!(l("1250.4 mm").show(Units::Metric), "1250 mm");
        assert_eq!(l("22 mm").show(Units::Metric), "22 mm");
        assert_eq!(l("0.9 mm").show(Units::Metric), "0.9 mm");
        assert_eq!(l("1250 mm").show(Units::Inch), "49.21 in");
        assert_eq!(l("30 ft").show(Units::Inch), "30 ft");
        assert_eq!(l("3/8 in").to_string(), "9.525 mm");
    }

    #[test]
    fn a_greatest_length_is_never_printed_larger() {
        let l = |text: &str| text.parse::<Length>().unwrap();
        for (length, metric, inch) in [
            ("24 in", "609 mm", "24 in"),
            ("600 mm", "600 mm", "23.62 in"),
            ("25.4 mm", "25.4 mm", "1 in"),
            ("99.99 mm", "99.9 mm", "3.93 in"),
            ("9.999 mm", "9.99 mm", "0.39 in"),
        ] {
            assert_eq!(l(length).show_at_most(Units::Metric), metric);
            assert_eq!(l(length).show_at_most(Units::Inch), inch);
            assert!(l(metric) <= l(length) && l(inch) <= l(length));
        }
        assert!(l(&l("31.2345 ft").show_at_most(Units::Inch)) <= l("31.2345 ft"));
    }

    #[test]
    fn rounds_up_to_the_shop_step() {
        let step = Length::from_mm(10.0);
        assert_eq!(Length::from_mm(901.0).round_up_to(step), Length::from_mm(910.0));
        assert_eq!(Length::from_mm(910.0).round_up_to(step), Length::from_mm(910.0));
        assert_eq!(Length::from_mm(901.0).round_up_to(Length::ZERO), Length::from_mm(901.0));
    }
}
