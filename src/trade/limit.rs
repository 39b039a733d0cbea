//! A figure of the trade together with the document it stands in and how it came here.

use crate::quantity::{Length, Units, finer_inches};

/// How a figure came here, from the surest to the least sure, so that the largest of several is the standing of what
/// was computed from them.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Reading {
    /// Read in the text of the document.
    Text,
    /// Read in somebody's copy or digitisation of the document.
    Secondary,
    /// Recalled, not read.
    Memory,
    /// Worked out from figures of the document by a law that is named where it is used.
    Extended,
    /// Common practice, no source.
    Practice,
}

impl Reading {
    /// Words for the papers; None where the figure needs no caution.
    pub fn caution(self) -> Option<&'static str> {
        match self {
            Reading::Text => None,
            Reading::Secondary => Some("from a copy of the document"),
            Reading::Memory => Some("from memory"),
            Reading::Extended => Some("extended from the document's figures"),
            Reading::Practice => Some("common practice, no source"),
        }
    }
}

/// A figure with its source.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Limit<T> {
    /// The figure.
    pub value: T,
    /// Document; empty for common practice.
    pub document: &'static str,
    /// Paragraph, table or page.
    pub place: &'static str,
    /// How it came here.
    pub reading: Reading,
}

impl<T> Limit<T> {
    /// A figure of common practice: nobody knows a document for it.
    pub const fn practice(value: T) -> Limit<T> {
        Limit { value, document: "", place: "", reading: Reading::Practice }
    }

    /// Source as printed: document, place, and a caution where the figure was not read in it.
    pub fn source(&self) -> String {
        let named: Vec<&str> = [self.document, self.place].into_iter().filter(|s| !s.is_empty()).collect();
        match (named.join(", "), self.reading.caution()) {
            (named, None) => named,
            (named, Some(caution)) if named.is_empty() => caution.to_owned(),
            (named, Some(caution)) => format!("{named} ({caution})"),
        }
    }
}

impl Limit<Length> {
    /// `609 mm (24 in)`: a largest length that its document gives in inches, as hands keep it: rounded down to whole
    /// millimetres, so that what is printed still keeps to the limit.
    pub fn at_most(&self, units: Units) -> String {
        let whole = self.value.um() - self.value.um().rem_euclid(1_000);
        self.rounded(Length::from_um(if whole > 0 { whole } else { self.value.um() }), units)
    }

    /// `153 mm (6 in)`: a least length that its document gives in inches, rounded up.
    pub fn at_least(&self, units: Units) -> String {
        self.rounded(self.value.round_up_to(Length::from_um(1_000)), units)
    }

    fn rounded(&self, metric: Length, units: Units) -> String {
        match units {
            Units::Metric => format!("{} ({})", metric.show(units), self.value.show(Units::Inch)),
            Units::Inch => self.value.show(units),
        }
    }

    /// A limit that its document gives in inches: exact, and in metric papers with the inches behind it, so that it can be
    /// found there.
    pub fn in_words(&self, units: Units) -> String {
        match units {
            Units::Metric => format!("{} ({})", self.value, self.value.show(Units::Inch)),
            Units::Inch => self.value.show(Units::Inch),
        }
    }

    /// A length that is past it, or short of it, and the limit in words: with as many digits as it takes to see on which side
    /// of the limit it lies.
    pub fn beside(&self, length: Length, units: Units) -> [String; 2] {
        let side = |told: &str| told.parse::<Length>().map(|told| told.cmp(&self.value));
        let tells = |told: &String| side(told) == Ok(length.cmp(&self.value));
        let rounded = Some(length.show(units)).filter(tells);
        let told = rounded.unwrap_or_else(|| match units {
            Units::Metric => length.to_string(),
            Units::Inch => {
                finer_inches([length], |[told]| tells(told)).map_or_else(|| length.to_string(), |[told]| told)
            }
        });
        [told, self.in_words(units)]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_source_says_how_it_was_read() {
        let limit = |document, place, reading| Limit { value: (), document, place, reading }.source();
        assert_eq!(limit("AC", "par. 1", Reading::Text), "AC, par. 1");
        assert_eq!(limit("AC", "", Reading::Memory), "AC (from memory)");
        assert_eq!(Limit::practice(()).source(), "common practice, no source");
        let two =
            Limit { value: Length::from_inches(2.0), document: "AC", place: "", reading: Reading::Text };
        assert_eq!(
            (two.in_words(Units::Metric), two.in_words(Units::Inch)),
            ("50.8 mm (2 in)".into(), "2 in".into())
        );
        assert!(Reading::Text < Reading::Memory && Reading::Memory < Reading::Practice);
    }

    #[test]
    fn a_length_lies_on_its_side_of_the_limit() {
        let seven =
            Limit { value: Length::from_inches(7.0), document: "AC", place: "", reading: Reading::Text };
        let told = |mm: f64, units| seven.beside(Length::from_mm(mm), units)[0].clone();
        assert_eq!(told(200.0, Units::Metric), "200 mm");
        // Rounded it would be 178 mm, beside a limit of 177.8 mm.
        assert_eq!(told(177.799, Units::Metric), "177.799 mm");
        assert_eq!(told(177.801, Units::Metric), "178 mm");
        assert_eq!([told(177.801, Units::Inch), told(177.799, Units::Inch)], ["7.00004 in", "6.99996 in"]);
        assert_eq!([told(177.8, Units::Inch), told(200.0, Units::Inch)], ["7 in", "7.87 in"]);
    }
}
