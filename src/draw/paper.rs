//! The papers that a shop's printer takes: their sizes, upright and lying.

use super::geometry::{Extent, mm};
use super::sheet::Format;

/// A paper size of office printers.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Paper {
    /// 210 mm by 297 mm. Source: ISO 216.
    A4,
    /// 8.5 in by 11 in, 215.9 mm by 279.4 mm. Source: ANSI/ASME Y14.1, size A.
    Letter,
}

impl Paper {
    /// Both.
    pub const ALL: [Paper; 2] = [Paper::A4, Paper::Letter];

    /// Its name.
    pub fn word(self) -> &'static str {
        match self {
            Paper::A4 => "A4",
            Paper::Letter => "Letter",
        }
    }

    /// Upright.
    pub fn upright(self) -> Format {
        let (width, height) = match self {
            Paper::A4 => (210.0, 297.0),
            Paper::Letter => (215.9, 279.4),
        };
        Format { name: self.word().to_owned(), size: Extent::new(mm(width), mm(height)) }
    }

    /// On its long side.
    pub fn lying(self) -> Format {
        let Format { name, size } = self.upright();
        Format { name, size: Extent::new(size.height, size.width) }
    }
}
