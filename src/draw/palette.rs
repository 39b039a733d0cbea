//! The inks of a drawing: few, and each readable as a grey on a black-and-white printer.
//!
//! Colour is never the only sign: whatever an ink tells stands beside it as letters, a dash or a shape.

use std::fmt;

use crate::trade::colour::Hue;

/// An sRGB ink.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Ink {
    /// Red, 0 to 255.
    pub red: u8,
    /// Green, 0 to 255.
    pub green: u8,
    /// Blue, 0 to 255.
    pub blue: u8,
}

impl Ink {
    /// Lines and lettering.
    pub const BLACK: Ink = Ink::new(0, 0, 0);
    /// Paper.
    pub const WHITE: Ink = Ink::new(255, 255, 255);
    /// Structure behind the harness: darker than any underlay, lighter than a conductor.
    pub const SLATE: Ink = Ink::new(96, 104, 112);
    /// The cool zones' underlay.
    pub const MIST: Ink = Ink::new(241, 245, 248);
    /// The hot zones' underlay.
    pub const SAND: Ink = Ink::new(250, 243, 230);
    /// Inside of a device box.
    pub const BONE: Ink = Ink::new(252, 252, 249);
    /// What stops the work: banners, stop lines. Prints as a dark grey.
    pub const ALARM: Ink = Ink::new(168, 16, 16);

    /// From its sRGB components.
    pub const fn new(red: u8, green: u8, blue: u8) -> Ink {
        Ink { red, green, blue }
    }

    /// Relative luminance, 0 (black) to 1 (white). Source: IEC 61966-2-1 with the weights of ITU-R BT.709,
    /// its transfer curve taken as a square (within 0.03 of the true curve).
    pub fn luminance(self) -> f64 {
        let linear = |component: u8| {
            let level = f64::from(component) / 255.0;
            level * level
        };
        0.2126 * linear(self.red) + 0.7152 * linear(self.green) + 0.0722 * linear(self.blue)
    }

    /// Contrast ratio against `other`, 1 to 21. Source: WCAG 2.1, definition of contrast ratio.
    pub fn contrast(self, other: Ink) -> f64 {
        let (a, b) = (self.luminance(), other.luminance());
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    }

    /// True when lines of this ink would be lost on white paper (white, yellow, pale insulation), so that
    /// they need a dark edge.
    pub fn is_pale(self) -> bool {
        self.contrast(Ink::WHITE) < 3.0
    }
}

impl From<Hue> for Ink {
    fn from(hue: Hue) -> Ink {
        let [red, green, blue] = hue.srgb();
        Ink::new(red, green, blue)
    }
}

/// `#rrggbb`.
impl fmt::Display for Ink {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "#{:02x}{:02x}{:02x}", self.red, self.green, self.blue)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn underlays_stay_lighter_than_print_needs() {
        // WCAG 2.1, 1.4.3: lettering needs 4.5 to 1 against what lies under it.
        for underlay in [Ink::MIST, Ink::SAND, Ink::BONE, Ink::WHITE] {
            assert!(Ink::BLACK.contrast(underlay) > 4.5);
            assert!(Ink::SLATE.contrast(underlay) > 4.5, "{underlay}");
            assert!(Ink::ALARM.contrast(underlay) > 4.5, "{underlay}");
        }
    }

    #[test]
    fn pale_insulation_asks_for_a_dark_edge() {
        assert!(Ink::WHITE.is_pale());
        assert!(Ink::new(255, 220, 0).is_pale());
        assert!(!Ink::new(0, 70, 160).is_pale());
        assert_eq!(Ink::new(255, 8, 0).to_string(), "#ff0800");
    }
}
