//! Thermocouple materials and the colours they are marked with, by standard.
//!
//! ASTM E230 / ANSI MC96.1 marks the negative leg red; IEC 60584-3 marks it white. Red is therefore minus under one
//! standard and no leg of K or J under the other: colours say nothing until the standard is known.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::colour::{Colour, Hue};

/// What a conductor or contact is made of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Alloy {
    /// Nickel-chromium, positive leg of type K.
    Chromel,
    /// Nickel-aluminium, negative leg of type K; a magnet pulls it.
    Alumel,
    /// Iron, positive leg of type J; a magnet pulls it.
    Iron,
    /// Copper-nickel, negative leg of type J.
    Constantan,
    /// Copper: ordinary wire and contacts.
    Copper,
}

impl Alloy {
    /// Trade name.
    pub fn name(self) -> &'static str {
        match self {
            Alloy::Chromel => "chromel",
            Alloy::Alumel => "alumel",
            Alloy::Iron => "iron",
            Alloy::Constantan => "constantan",
            Alloy::Copper => "copper",
        }
    }

    /// The thermocouple type this is a leg of; None for copper.
    pub fn leg_of(self) -> Option<ThermocoupleType> {
        match self {
            Alloy::Chromel | Alloy::Alumel => Some(ThermocoupleType::K),
            Alloy::Iron | Alloy::Constantan => Some(ThermocoupleType::J),
            Alloy::Copper => None,
        }
    }
}

/// Letter designation of a thermocouple pair.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
pub enum ThermocoupleType {
    /// Chromel and alumel.
    K,
    /// Iron and constantan.
    J,
}

impl ThermocoupleType {
    /// Material of the positive leg.
    pub fn positive(self) -> Alloy {
        match self {
            ThermocoupleType::K => Alloy::Chromel,
            ThermocoupleType::J => Alloy::Iron,
        }
    }

    /// Material of the negative leg.
    pub fn negative(self) -> Alloy {
        match self {
            ThermocoupleType::K => Alloy::Alumel,
            ThermocoupleType::J => Alloy::Constantan,
        }
    }

    /// The letter.
    pub fn letter(self) -> &'static str {
        match self {
            ThermocoupleType::K => "K",
            ThermocoupleType::J => "J",
        }
    }
}

/// Which standard the thermocouple wire is coloured by.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum ColourStandard {
    /// ASTM E230 / ANSI MC96.1: the negative leg is red.
    Ansi,
    /// IEC 60584-3: the negative leg is white.
    Iec,
}

impl ColourStandard {
    /// The standard's number, for papers.
    pub fn document(self) -> &'static str {
        match self {
            ColourStandard::Ansi => "ASTM E230 / ANSI MC96.1",
            ColourStandard::Iec => "IEC 60584-3",
        }
    }

    /// Colours of a pair of type `kind`, as printed in makers' copies of the standard.
    pub fn pair(self, kind: ThermocoupleType) -> PairColours {
        use Hue::{Black, Brown, Green, Red, White, Yellow};
        let (plus, minus, extension, probe) = match (self, kind) {
            (ColourStandard::Ansi, ThermocoupleType::K) => (Yellow, Red, Yellow, Brown),
            (ColourStandard::Ansi, ThermocoupleType::J) => (White, Red, Black, Brown),
            (ColourStandard::Iec, ThermocoupleType::K) => (Green, White, Green, Green),
            (ColourStandard::Iec, ThermocoupleType::J) => (Black, White, Black, Black),
        };
        PairColours {
            plus: Colour::plain(plus),
            minus: Colour::plain(minus),
            extension_jacket: Colour::plain(extension),
            thermocouple_jacket: Colour::plain(probe),
        }
    }

    /// The material a leg of a `kind` pair is made of, told by its colour; None where the standard has no such leg.
    pub fn alloy_of(self, kind: ThermocoupleType, colour: Colour) -> Option<Alloy> {
        let pair = self.pair(kind);
        match colour {
            c if c == pair.plus => Some(kind.positive()),
            c if c == pair.minus => Some(kind.negative()),
            _ => None,
        }
    }
}

/// What a thermocouple pair looks like.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PairColours {
    /// Insulation of the positive leg.
    pub plus: Colour,
    /// Insulation of the negative leg.
    pub minus: Colour,
    /// Jacket over extension-grade wire.
    pub extension_jacket: Colour,
    /// Jacket over thermocouple-grade wire.
    pub thermocouple_jacket: Colour,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn red_is_minus_under_one_standard_only() {
        let red = Colour::plain(Hue::Red);
        assert_eq!(ColourStandard::Ansi.alloy_of(ThermocoupleType::K, red), Some(Alloy::Alumel));
        assert_eq!(ColourStandard::Iec.alloy_of(ThermocoupleType::K, red), None);
    }

    #[test]
    fn white_is_plus_or_minus_of_type_j() {
        let white = Colour::plain(Hue::White);
        assert_eq!(ColourStandard::Ansi.alloy_of(ThermocoupleType::J, white), Some(Alloy::Iron));
        assert_eq!(ColourStandard::Iec.alloy_of(ThermocoupleType::J, white), Some(Alloy::Constantan));
    }

    #[test]
    fn words_of_the_spec() {
        assert_eq!(serde_yaml::from_str::<Alloy>("chromel").unwrap(), Alloy::Chromel);
        assert_eq!(serde_yaml::from_str::<ColourStandard>("iec").unwrap(), ColourStandard::Iec);
        assert_eq!(serde_json::to_string(&ThermocoupleType::K).unwrap(), "\"K\"");
    }
}
