//! Where probes and indicators are mounted: nothing in, limits with their standing out.

use super::limit::Limit;
use crate::quantity::Length;

/// Least and most distance of an exhaust probe from the flange, along the pipe.
pub fn from_flange() -> [Limit<Length>; 2] {
    [2.0, 4.0].map(|inches| Limit::practice(Length::from_inches(inches)))
}

/// Farthest that an indicator or its lamp is from the centre of the primary instruments.
pub fn in_sight() -> Limit<Length> {
    Limit::practice(Length::from_inches(8.0))
}
