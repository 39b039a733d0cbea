//! A true length in; its length on paper at a preferred scale out.
//!
//! Source of the scales: ISO 5455:1979, clause 4, recommended scales (from memory).

use std::fmt;

use super::geometry::{Mm, mm};
use crate::quantity::Length;

/// A scale of the recommended series.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Scale {
    paper: i64,
    thing: i64,
}

impl Scale {
    /// Full size.
    pub const FULL: Scale = Scale { paper: 1, thing: 1 };

    /// All that are used here, from the greatest reduction to the greatest enlargement.
    pub const ALL: [Scale; 12] = [
        Scale { paper: 1, thing: 50 },
        Scale { paper: 1, thing: 20 },
        Scale { paper: 1, thing: 10 },
        Scale { paper: 1, thing: 5 },
        Scale { paper: 1, thing: 2 },
        Scale::FULL,
        Scale { paper: 2, thing: 1 },
        Scale { paper: 5, thing: 1 },
        Scale { paper: 10, thing: 1 },
        Scale { paper: 20, thing: 1 },
        Scale { paper: 50, thing: 1 },
        Scale { paper: 100, thing: 1 },
    ];

    /// Those from full size down: for machines rather than for parts.
    pub const REDUCING: [Scale; 9] = [
        Scale::FULL,
        Scale { paper: 1, thing: 2 },
        Scale { paper: 1, thing: 5 },
        Scale { paper: 1, thing: 10 },
        Scale { paper: 1, thing: 20 },
        Scale { paper: 1, thing: 50 },
        Scale { paper: 1, thing: 100 },
        Scale { paper: 1, thing: 200 },
        Scale { paper: 1, thing: 500 },
    ];

    /// Those from full size on, smallest first.
    pub fn enlarging() -> impl DoubleEndedIterator<Item = Scale> {
        Scale::ALL.into_iter().filter(|s| s.paper >= s.thing)
    }

    /// Length on paper, rounded to the micrometre.
    pub fn of(self, length: Length) -> Mm {
        mm(length.mm() * self.factor())
    }

    /// Times larger than life.
    pub fn factor(self) -> f64 {
        self.paper as f64 / self.thing as f64
    }
}

/// As the title block says it: `5:1`.
impl fmt::Display for Scale {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}:{}", self.paper, self.thing)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_series_rises_by_one_two_and_five() {
        for pair in Scale::ALL.windows(2) {
            let step = pair[1].factor() / pair[0].factor();
            assert!((1.99..2.51).contains(&step), "{} {}", pair[0], pair[1]);
        }
        let said: Vec<String> = Scale::enlarging().map(|s| s.to_string()).collect();
        assert_eq!(said, ["1:1", "2:1", "5:1", "10:1", "20:1", "50:1", "100:1"]);
    }

    #[test]
    fn lengths_come_out_true() {
        assert_eq!(Scale::ALL[7].of(Length::from_mm(2.77)), mm(13.85));
        assert_eq!(Scale::ALL[3].of(Length::from_mm(1000.0)), mm(200.0));
    }
}
