//! Colour of insulation: letters of IEC 60757 or English names in, letters, names and a printable swatch out.
//!
//! IEC 60757 (list of the 1983 edition): two letters a colour. The standard joins several colours in the order of its
//! table; a wire with stripes is written here base first (`WHBU` is white with a blue stripe), because hands must
//! tell base from stripe. [`Colour::table_code`] gives the standard's order. Green-and-yellow is `GNYE` only.

use std::fmt;
use std::str::FromStr;

use crate::quantity::{Quantity, QuantityError, text_form};

/// One colour of the IEC 60757 table, in the order of the table.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Hue {
    /// BK
    Black,
    /// BN
    Brown,
    /// RD
    Red,
    /// OG
    Orange,
    /// YE
    Yellow,
    /// GN
    Green,
    /// BU, light blue included
    Blue,
    /// VT, purple
    Violet,
    /// GY, slate
    Grey,
    /// WH
    White,
    /// PK
    Pink,
    /// GD
    Gold,
    /// TQ
    Turquoise,
    /// SR
    Silver,
}

struct Entry {
    hue: Hue,
    code: &'static str,
    /// The first is printed.
    names: &'static [&'static str],
    /// Common practice, no source: near the look of wire under room light, apart from each other on a screen.
    srgb: [u8; 3],
    /// MIL-STD-681 digit of the colour, as in CASA AC 21-99 section 2 chapter 2.
    digit: Option<u8>,
}

const fn entry(
    hue: Hue,
    code: &'static str,
    names: &'static [&'static str],
    srgb: [u8; 3],
    digit: Option<u8>,
) -> Entry {
    Entry { hue, code, names, srgb, digit }
}

const TABLE: [Entry; 14] = [
    entry(Hue::Black, "BK", &["black"], [0x1f, 0x1f, 0x1f], Some(0)),
    entry(Hue::Brown, "BN", &["brown"], [0x76, 0x47, 0x2a], Some(1)),
    entry(Hue::Red, "RD", &["red"], [0xc6, 0x28, 0x2b], Some(2)),
    entry(Hue::Orange, "OG", &["orange"], [0xe8, 0x7b, 0x1c], Some(3)),
    entry(Hue::Yellow, "YE", &["yellow"], [0xf0, 0xd0, 0x2c], Some(4)),
    entry(Hue::Green, "GN", &["green"], [0x2e, 0x8b, 0x45], Some(5)),
    entry(Hue::Blue, "BU", &["blue", "light blue"], [0x2a, 0x62, 0xb8], Some(6)),
    entry(Hue::Violet, "VT", &["violet", "purple"], [0x7d, 0x4b, 0xa3], Some(7)),
    entry(Hue::Grey, "GY", &["grey", "gray", "slate"], [0x8f, 0x93, 0x96], Some(8)),
    entry(Hue::White, "WH", &["white"], [0xfa, 0xfa, 0xf7], Some(9)),
    entry(Hue::Pink, "PK", &["pink"], [0xec, 0x9a, 0xb6], None),
    entry(Hue::Gold, "GD", &["gold"], [0xb8, 0x95, 0x3d], None),
    entry(Hue::Turquoise, "TQ", &["turquoise"], [0x3d, 0xb6, 0xb0], None),
    entry(Hue::Silver, "SR", &["silver"], [0xc3, 0xc7, 0xcb], None),
];

impl Hue {
    /// Every colour, in the order of the table.
    pub fn all() -> impl Iterator<Item = Hue> {
        TABLE.iter().map(|e| e.hue)
    }

    fn entry(self) -> &'static Entry {
        // The table is in the order of the variants, which a test holds.
        TABLE.get(self as usize).unwrap_or(&TABLE[0])
    }

    /// The two letters of IEC 60757.
    pub fn code(self) -> &'static str {
        self.entry().code
    }

    /// The English name.
    pub fn name(self) -> &'static str {
        self.entry().names.first().copied().unwrap_or_default()
    }

    /// Red, green, blue for a swatch beside the letters; never the only sign.
    pub fn srgb(self) -> [u8; 3] {
        self.entry().srgb
    }

    /// Insulation digit of MIL-STD-681 (CASA AC 21-99 section 2 chapter 2); None where the digits have no such colour.
    pub fn digit(self) -> Option<u8> {
        self.entry().digit
    }
}

/// Stripes a wire can carry and a person still tell.
const STRIPES: usize = 2;

/// The colour of a wire: a base, and up to two stripes that differ from it and from each other.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Colour {
    base: Hue,
    stripes: [Option<Hue>; STRIPES],
}

impl From<Hue> for Colour {
    fn from(base: Hue) -> Colour {
        Colour { base, stripes: [None; STRIPES] }
    }
}

impl Colour {
    /// One colour all over.
    pub const fn plain(base: Hue) -> Colour {
        Colour { base, stripes: [None; STRIPES] }
    }

    /// With stripes; None for more than two, for a colour named twice, and for yellow with green, which is
    /// `GNYE` only.
    pub fn striped(base: Hue, stripes: &[Hue]) -> Option<Colour> {
        let mut colour = Colour::plain(base);
        if stripes.len() > STRIPES || (base == Hue::Yellow && stripes == [Hue::Green]) {
            return None;
        }
        for (place, stripe) in colour.stripes.iter_mut().zip(stripes) {
            *place = Some(*stripe);
        }
        let hues: Vec<Hue> = colour.hues().collect();
        let repeated = hues.iter().enumerate().any(|(i, h)| hues.iter().skip(i + 1).any(|other| other == h));
        (!repeated).then_some(colour)
    }

    /// The colour of most of the surface.
    pub fn base(self) -> Hue {
        self.base
    }

    /// The stripes, broadest first.
    pub fn stripes(self) -> impl Iterator<Item = Hue> {
        self.stripes.into_iter().flatten()
    }

    fn hues(self) -> impl Iterator<Item = Hue> {
        std::iter::once(self.base).chain(self.stripes())
    }

    /// Letters, base first: `WHBU`.
    pub fn code(self) -> String {
        self.hues().map(Hue::code).collect()
    }

    /// Letters in the order of the IEC 60757 table, which does not tell base from stripe: `BUWH`.
    pub fn table_code(self) -> String {
        let mut hues: Vec<Hue> = self.hues().collect();
        if hues == [Hue::Green, Hue::Yellow] {
            return "GNYE".into();
        }
        hues.sort();
        hues.into_iter().map(Hue::code).collect()
    }

    /// Words: `white`, `white with blue stripe`, `green-and-yellow`.
    pub fn name(self) -> String {
        if self == GREEN_AND_YELLOW {
            return "green-and-yellow".into();
        }
        let stripes: Vec<&str> = self.stripes().map(Hue::name).collect();
        match stripes.as_slice() {
            [] => self.base.name().into(),
            [one] => format!("{} with {one} stripe", self.base.name()),
            many => format!("{} with {} stripes", self.base.name(), many.join(" and ")),
        }
    }

    /// Digits of MIL-STD-681, base first: `96` is white with a blue stripe. None where a colour has no digit.
    pub fn digits(self) -> Option<String> {
        self.hues().map(|h| h.digit().map(|d| char::from(b'0' + d))).collect()
    }
}

/// The colour of protective earth, `GNYE`.
pub const GREEN_AND_YELLOW: Colour = Colour { base: Hue::Green, stripes: [Some(Hue::Yellow), None] };

impl fmt::Display for Colour {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&self.code())
    }
}

impl FromStr for Colour {
    type Err = QuantityError;

    fn from_str(text: &str) -> Result<Colour, QuantityError> {
        let clean = text.trim();
        if clean.eq_ignore_ascii_case("green-and-yellow") {
            return Ok(GREEN_AND_YELLOW);
        }
        let hues = split(clean).ok_or_else(|| unknown(text, clean))?;
        let (base, stripes) = hues.split_first().ok_or_else(|| unknown(text, clean))?;
        Colour::striped(*base, stripes).ok_or_else(|| {
            if hues == [Hue::Yellow, Hue::Green] {
                QuantityError::new(format!("`{text}` is not written so"), "write green-and-yellow as `GNYE`")
            } else {
                QuantityError::new(
                    format!("`{text}` is not a colour a wire can have"),
                    "write a base and up to two stripes, all different, as in `WHBU`",
                )
            }
        })
    }
}

/// `WHBU`, `WH/BU`, `white/blue`, `light blue`; None where a piece is no colour.
fn split(text: &str) -> Option<Vec<Hue>> {
    if let Some(hue) = named(text) {
        return Some(vec![hue]);
    }
    if text.contains(['/', '-']) {
        return text.split(['/', '-']).map(|piece| named(piece.trim())).collect();
    }
    if text.len() < 2 || !text.len().is_multiple_of(2) || !text.is_ascii() {
        return None;
    }
    (0..text.len()).step_by(2).map(|i| text.get(i..i + 2).and_then(coded)).collect()
}

fn named(text: &str) -> Option<Hue> {
    let by_name =
        || TABLE.iter().find(|e| e.names.iter().any(|n| n.eq_ignore_ascii_case(text))).map(|e| e.hue);
    coded(text).or_else(by_name)
}

fn coded(text: &str) -> Option<Hue> {
    TABLE.iter().find(|e| e.code == text).map(|e| e.hue)
}

fn unknown(text: &str, clean: &str) -> QuantityError {
    let codes: Vec<&str> = TABLE.iter().map(|e| e.code).collect();
    let list =
        format!("write letters of {} or an English name, as in `WHBU` or `white/blue`", codes.join(" "));
    if clean.is_ascii() && split(&clean.to_ascii_uppercase()).is_some() {
        let upper = clean.to_ascii_uppercase();
        return QuantityError::new(
            format!("`{text}` is not a colour code"),
            format!("write it as `{upper}`"),
        );
    }
    QuantityError::new(format!("`{text}` is not a colour"), list)
}

impl Quantity for Colour {
    const NOUN: &'static str = "a colour";
    const EXAMPLE: &'static str = "WHBU";
    const DESCRIPTION: &'static str = "insulation colour: letters of IEC 60757 or English names, base first and then stripes: `RD`, `WHBU`, `white/blue`";
}
text_form!(Colour);

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn table_order_is_variant_order() {
        for (i, e) in TABLE.iter().enumerate() {
            assert_eq!((e.hue as usize, e.hue.code()), (i, e.code));
        }
    }

    #[test]
    fn reads_letters_and_names() {
        let white_blue = Colour::striped(Hue::White, &[Hue::Blue]).unwrap();
        for text in ["WHBU", "WH/BU", "WH-BU", "white/blue", "White / Light blue"] {
            assert_eq!(text.parse(), Ok(white_blue), "{text}");
        }
        assert_eq!((white_blue.code(), white_blue.table_code()), ("WHBU".into(), "BUWH".into()));
        assert_eq!(white_blue.name(), "white with blue stripe");
        assert_eq!("purple".parse(), Ok(Colour::plain(Hue::Violet)));
        assert_eq!("GNYE".parse(), Ok(GREEN_AND_YELLOW));
        assert_eq!("green-and-yellow".parse(), Ok(GREEN_AND_YELLOW));
        assert_eq!("WHBURD".parse::<Colour>().unwrap().name(), "white with blue and red stripes");
    }

    #[test]
    fn refuses_what_is_no_colour() {
        for bad in ["", "XX", "WHWH", "YEGN", "WHBURDGN", "wh", "W", "white/", "räd", "5", "natural"] {
            assert!(bad.parse::<Colour>().is_err(), "{bad}");
        }
        assert_eq!("whbu".parse::<Colour>().unwrap_err().remedy, "write it as `WHBU`");
        assert_eq!("YEGN".parse::<Colour>().unwrap_err().remedy, "write green-and-yellow as `GNYE`");
    }

    #[test]
    fn every_base_and_stripe_reads_back() {
        for base in Hue::all() {
            for stripe in Hue::all() {
                for colour in
                    [Some(Colour::plain(base)), Colour::striped(base, &[stripe])].into_iter().flatten()
                {
                    assert_eq!(colour.to_string().parse(), Ok(colour));
                }
            }
        }
    }

    // CASA AC 21-99 section 2 chapter 2: wire M22759/34-22-948 is white, first stripe yellow, second stripe grey.
    #[test]
    fn digits_follow_the_worked_example() {
        let colour = Colour::striped(Hue::White, &[Hue::Yellow, Hue::Grey]).unwrap();
        assert_eq!(colour.digits().as_deref(), Some("948"));
        assert_eq!(Colour::plain(Hue::Pink).digits(), None);
    }
}
