//! The text of a decimal number in, an exact ratio of integers out.

/// A rational number; `den` is positive.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Number {
    pub num: i128,
    pub den: i128,
}

/// More digits than any instrument gives; keeps all later products inside `i128`.
const MOST_DIGITS: usize = 18;

/// One spelling for characters that look alike: ohm and micro signs, minus, degree, prime marks, spaces.
pub(super) fn normalise(text: &str) -> String {
    text.trim()
        .chars()
        .flat_map(|c| match c {
            '\u{2126}' => ['Ω', '\0'],
            'μ' => ['µ', '\0'],
            '\u{2212}' => ['-', '\0'],
            'º' | '˚' => ['°', '\0'],
            '′' | '’' => ['\'', '\0'],
            '″' | '”' => ['"', '\0'],
            '℃' => ['°', 'C'],
            '℉' => ['°', 'F'],
            c if c.is_whitespace() => [' ', '\0'],
            c => [c, '\0'],
        })
        .filter(|c| *c != '\0')
        .collect()
}

/// Takes a decimal number with optional sign off the front; the rest keeps its leading space.
/// None where there is no digit, or where there are more digits than can be held exactly.
pub(super) fn take_decimal(text: &str) -> Option<(Number, &str)> {
    let (negative, unsigned) = match text.strip_prefix('-') {
        Some(rest) => (true, rest),
        None => (false, text.strip_prefix('+').unwrap_or(text)),
    };
    let (whole, mut rest) = take_digits(unsigned);
    let mut part = "";
    if let Some(after) = rest.strip_prefix('.').filter(|a| !a.starts_with('.')) {
        (part, rest) = take_digits(after);
        if part.is_empty() {
            return None;
        }
    }
    let digits = whole.len() + part.len();
    if digits == 0 || digits > MOST_DIGITS {
        return None;
    }
    let num: i128 = format!("{whole}{part}").parse().ok()?;
    let den = 10_i128.pow(u32::try_from(part.len()).ok()?);
    Some((Number { num: if negative { -num } else { num }, den }, rest))
}

/// Splits the leading ASCII digits off.
pub(super) fn take_digits(text: &str) -> (&str, &str) {
    text.split_at(text.find(|c: char| !c.is_ascii_digit()).unwrap_or(text.len()))
}

/// `a / b` rounded to the nearest integer, halves away from zero; `b` is positive. None on overflow.
pub(super) fn divide(a: i128, b: i128) -> Option<i128> {
    let half = b / 2;
    let shifted = if a < 0 { a.checked_sub(half)? } else { a.checked_add(half)? };
    shifted.checked_div(b)
}

/// `value / 10^places` as plain decimals, trailing zeros and a minus before zero left out.
pub(super) fn decimals(value: i128, places: u32) -> String {
    let one = 10_i128.pow(places);
    let (whole, part) = (value.abs() / one, value.abs() % one);
    let sign = if value < 0 { "-" } else { "" };
    if part == 0 {
        return format!("{sign}{whole}");
    }
    let part = format!("{part:0width$}", width = places as usize);
    format!("{sign}{whole}.{}", part.trim_end_matches('0'))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn takes_signed_decimals_and_leaves_the_unit() {
        assert_eq!(take_decimal("-0.5 mm"), Some((Number { num: -5, den: 10 }, " mm")));
        assert_eq!(take_decimal(".5V"), Some((Number { num: 5, den: 10 }, "V")));
        assert_eq!(take_decimal("24..20"), Some((Number { num: 24, den: 1 }, "..20")));
        for bad in ["", "-", ".", "5.", "x", "nan", "1234567890123456789"] {
            assert_eq!(take_decimal(bad), None, "{bad}");
        }
    }

    #[test]
    fn rounds_halves_away_from_zero_and_prints_without_noise() {
        assert_eq!((divide(5, 10), divide(-5, 10), divide(4, 10)), (Some(1), Some(-1), Some(0)));
        assert_eq!(decimals(-1500, 3), "-1.5");
        assert_eq!(decimals(0, 3), "0");
        assert_eq!(decimals(1, 3), "0.001");
    }
}
