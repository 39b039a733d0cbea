//! A calendar day, written `2027-01-31`.

use std::fmt;
use std::str::FromStr;

use super::error::QuantityError;
use super::text_form::{Quantity, text_form};

/// A day of the civil calendar; no time, no zone.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Date(jiff::civil::Date);

impl Date {
    /// A day by year, month and day; None where the calendar has no such day or the year is outside 1..=9999.
    pub fn new(year: i16, month: i8, day: i8) -> Option<Date> {
        let date = jiff::civil::Date::new(year, month, day).ok()?;
        (1..=9999).contains(&year).then_some(Date(date))
    }

    /// The underlying civil date.
    pub fn civil(self) -> jiff::civil::Date {
        self.0
    }
}

impl fmt::Display for Date {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&format!("{:04}-{:02}-{:02}", self.0.year(), self.0.month(), self.0.day()))
    }
}

impl FromStr for Date {
    type Err = QuantityError;

    fn from_str(text: &str) -> Result<Date, QuantityError> {
        let error = |message: String| {
            QuantityError::new(message, format!("write year-month-day, as in `{}`", Date::EXAMPLE))
        };
        let clean = text.trim();
        let shape = clean.len() == 10
            && clean
                .bytes()
                .enumerate()
                .all(|(i, b)| if i == 4 || i == 7 { b == b'-' } else { b.is_ascii_digit() });
        if !shape {
            return Err(error(format!("`{text}` is not a date")));
        }
        let day = || -> Option<Date> {
            let mut parts = clean.split('-');
            Date::new(parts.next()?.parse().ok()?, parts.next()?.parse().ok()?, parts.next()?.parse().ok()?)
        };
        day().ok_or_else(|| error(format!("`{text}` is not a day of the calendar")))
    }
}

impl Quantity for Date {
    const NOUN: &'static str = "a date";
    const EXAMPLE: &'static str = "2027-01-31";
    const DESCRIPTION: &'static str = "a date as year-month-day";
}
text_form!(Date);

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn reads_iso_days_only() {
        assert_eq!("2028-02-29".parse(), Ok(Date::new(2028, 2, 29).unwrap()));
        for bad in [
            "2027-02-29",
            "2027-1-31",
            "31.01.2027",
            "20270131",
            "2027-13-01",
            "0000-01-01",
            "",
            "2027-01-31T00",
        ] {
            assert!(bad.parse::<Date>().is_err(), "{bad}");
        }
        assert_eq!(serde_yaml::from_str::<Date>("2027-01-31").unwrap().to_string(), "2027-01-31");
        assert!(serde_yaml::from_str::<Date>("2027").is_err());
    }

    proptest! {
        #[test]
        fn any_day_reads_back(y in 1_i16..=9999, m in 1_i8..=12, d in 1_i8..=28) {
            let date = Date::new(y, m, d).unwrap();
            prop_assert_eq!(date.to_string().parse(), Ok(date));
        }
    }
}
