//! Aircraft wire identification: the parts of a mark in, the printed mark (`E12A22N`) out, and back.
//!
//! Scheme of CASA AC 21-99 section 2 chapter 2 (the same as MIL-W-5088 appendix B): unit number, circuit function
//! letter, wire number, segment letter, gauge, and `N` on a wire that completes the circuit to ground. The segment
//! letter changes each time the wire passes a terminal or connector.

use std::fmt;
use std::str::FromStr;

use super::thermocouple_colour::Alloy;
use crate::quantity::{Gauge, Quantity, QuantityError, text_form};

/// How sure the project is of a row of a table.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Standing {
    /// Read in a copy of the source.
    Read,
    /// Recalled; check before relying on it.
    FromMemory,
}

/// Circuit function letters: letter, function, standing. AC 21-99 Table 2-1.
const FUNCTIONS: [(char, &str, Standing); 16] = [
    ('B', "photographic", Standing::Read),
    ('C', "control surface", Standing::Read),
    ('D', "instrument other than flight or engine", Standing::Read),
    ('E', "engine instrument", Standing::Read),
    ('F', "flight instrument", Standing::Read),
    ('G', "landing gear", Standing::Read),
    ('H', "heating, ventilating, de-icing", Standing::Read),
    ('J', "ignition", Standing::Read),
    ('K', "engine control", Standing::Read),
    ('L', "lighting", Standing::FromMemory),
    ('M', "miscellaneous electrical", Standing::FromMemory),
    ('P', "DC power", Standing::FromMemory),
    ('Q', "fuel and oil", Standing::FromMemory),
    ('V', "DC power for AC systems", Standing::FromMemory),
    ('W', "warning and emergency", Standing::FromMemory),
    ('X', "AC power", Standing::FromMemory),
];

/// What the wire's circuit does. A and I are unassigned in the table and cannot be had; letters of radio, radar and
/// special equipment are left to those who know that equipment.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct FunctionLetter(u8);

impl FunctionLetter {
    /// Instruments other than flight and engine: ammeter, voltmeter, outside-air temperature.
    pub const INSTRUMENT: FunctionLetter = FunctionLetter(2);
    /// Instruments of the engine: most of what this tool wires.
    pub const ENGINE_INSTRUMENT: FunctionLetter = FunctionLetter(3);
    /// Engine control.
    pub const ENGINE_CONTROL: FunctionLetter = FunctionLetter(8);
    /// Ignition.
    pub const IGNITION: FunctionLetter = FunctionLetter(7);
    /// Direct current supply.
    pub const DC_POWER: FunctionLetter = FunctionLetter(11);
    /// Fuel and oil.
    pub const FUEL_AND_OIL: FunctionLetter = FunctionLetter(12);
    /// Warning and emergency.
    pub const WARNING: FunctionLetter = FunctionLetter(14);
    /// Lighting.
    pub const LIGHTING: FunctionLetter = FunctionLetter(9);
    /// Miscellaneous electrical.
    pub const MISCELLANEOUS: FunctionLetter = FunctionLetter(10);

    /// The function that has this letter; None for a letter without a function in the table.
    pub fn of(letter: char) -> Option<FunctionLetter> {
        let place = FUNCTIONS.iter().position(|(l, _, _)| *l == letter)?;
        u8::try_from(place).ok().map(FunctionLetter)
    }

    /// Every letter of the table, in order.
    pub fn all() -> impl Iterator<Item = FunctionLetter> {
        FUNCTIONS.iter().filter_map(|(l, _, _)| FunctionLetter::of(*l))
    }

    fn row(self) -> (char, &'static str, Standing) {
        FUNCTIONS.get(usize::from(self.0)).copied().unwrap_or(('M', "", Standing::FromMemory))
    }

    /// The letter.
    pub fn letter(self) -> char {
        self.row().0
    }

    /// The function in words.
    pub fn function(self) -> &'static str {
        self.row().1
    }

    /// Whether the row was read in the source.
    pub fn standing(self) -> Standing {
        self.row().2
    }
}

/// Segment letters: no I and no O, which are read as figures; after Z come AA, AB, … (MIL-W-5088 appendix B, from
/// memory).
const SEGMENT_LETTERS: &[u8; 24] = b"ABCDEFGHJKLMNPQRSTUVWXYZ";

/// The place of a wire's piece along its circuit: A from the supply or source on, then B past the first terminal
/// or connector.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Segment(u16);

impl Segment {
    /// The first piece.
    pub const A: Segment = Segment(0);
    /// With one or two letters, 24 and 24 × 24 segments can be told apart.
    const COUNT: u16 = 24 + 24 * 24;

    /// By place along the circuit, from 0; None past the last two-letter segment.
    pub fn nth(place: usize) -> Option<Segment> {
        u16::try_from(place).ok().filter(|n| *n < Segment::COUNT).map(Segment)
    }

    /// The piece past the next terminal or connector; None past the last.
    pub fn next(self) -> Option<Segment> {
        Segment::nth(usize::from(self.0) + 1)
    }

    fn read(letters: &str) -> Option<Segment> {
        let place = |b: u8| SEGMENT_LETTERS.iter().position(|l| *l == b);
        match letters.as_bytes() {
            [one] => Segment::nth(place(*one)?),
            [first, second] => Segment::nth(24 * (place(*first)? + 1) + place(*second)?),
            _ => None,
        }
    }
}

impl fmt::Display for Segment {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let letter = |n: u16| SEGMENT_LETTERS.get(usize::from(n)).map_or('A', |b| char::from(*b));
        match self.0.checked_sub(24) {
            None => write!(f, "{}", letter(self.0)),
            Some(n) => write!(f, "{}{}", letter(n / 24), letter(n % 24)),
        }
    }
}

/// A wire's identification, as it is printed on the wire.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct WireMark {
    /// Tells identical installations apart (`1`, `2`: engines); None where there is one. 1 to 99.
    pub unit: Option<u8>,
    /// What the circuit does.
    pub function: FunctionLetter,
    /// The wire's number in its function, 1 to 9999.
    pub number: u16,
    /// The piece of the wire.
    pub segment: Segment,
    /// Conductor size. The scheme knows AWG only; metric sizes are printed as `0.5SQ` (common practice, no source).
    pub gauge: Gauge,
    /// True for a wire that completes the circuit to ground: suffix `N`.
    pub ground: bool,
    /// Thermocouple material, printed as a suffix (MIL-W-5088 appendix B, from memory); None for copper.
    pub material: Option<Alloy>,
}

impl WireMark {
    const LAST: u16 = 9_999;
    const LAST_UNIT: u8 = 99;
}

/// Suffixes of thermocouple conductors, from memory of MIL-W-5088 appendix B.
const MATERIALS: [(Alloy, &str); 4] =
    [(Alloy::Chromel, "CHROM"), (Alloy::Alumel, "ALML"), (Alloy::Iron, "IRON"), (Alloy::Constantan, "CONS")];

impl fmt::Display for WireMark {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let unit = self.unit.map(|u| u.to_string()).unwrap_or_default();
        let gauge = match self.gauge {
            Gauge::Awg(n @ -3..=-1) => "0".repeat(usize::from(n.unsigned_abs()) + 1),
            Gauge::Awg(n) => n.to_string(),
            Gauge::Metric(area) => format!("{}SQ", area.to_string().trim_end_matches(" mm²")),
        };
        let ground = if self.ground { "N" } else { "" };
        let material = MATERIALS
            .iter()
            .find(|(a, _)| Some(*a) == self.material)
            .map(|(_, s)| format!("-{s}"))
            .unwrap_or_default();
        let text = format!(
            "{unit}{}{}{}{gauge}{ground}{material}",
            self.function.letter(),
            self.number,
            self.segment
        );
        f.pad(&text)
    }
}

impl FromStr for WireMark {
    type Err = QuantityError;

    fn from_str(text: &str) -> Result<WireMark, QuantityError> {
        let wrong = |part: &str| {
            QuantityError::new(
                format!("`{text}` is not a wire mark: {part}"),
                "write function letter, number, segment letter and gauge, as in `E12A22` or `1E12A22N`",
            )
        };
        let clean = text.trim();
        let digits = |s: &str| s.find(|c: char| !c.is_ascii_digit()).unwrap_or(s.len());
        let (unit, rest) = clean.split_at(digits(clean));
        let unit = match unit {
            "" => None,
            _ => Some(
                unit.parse()
                    .ok()
                    .filter(|u| (1..=WireMark::LAST_UNIT).contains(u))
                    .ok_or_else(|| wrong("unit number"))?,
            ),
        };
        let mut letters = rest.chars();
        let function = letters
            .next()
            .and_then(FunctionLetter::of)
            .ok_or_else(|| wrong("the circuit function letter is not in the table"))?;
        let rest = letters.as_str();
        let (number, rest) = rest.split_at(digits(rest));
        let number = number
            .parse()
            .ok()
            .filter(|n| (1..=WireMark::LAST).contains(n) && !number.starts_with('0'))
            .ok_or_else(|| wrong("the wire number is not 1 to 9999"))?;
        let end = rest.find(|c: char| !c.is_ascii_uppercase()).unwrap_or(rest.len());
        let (segment, rest) = rest.split_at(end);
        let segment = Segment::read(segment)
            .ok_or_else(|| wrong("the segment is not one or two letters without I and O"))?;
        let (rest, material) = match rest.split_once('-') {
            None => (rest, None),
            Some((rest, suffix)) => {
                let known = MATERIALS.iter().find(|(_, s)| *s == suffix).map(|(a, _)| *a);
                (rest, Some(known.ok_or_else(|| wrong("the material suffix is not known"))?))
            }
        };
        let (gauge, ground) = match rest.strip_suffix('N') {
            Some(rest) => (rest, true),
            None => (rest, false),
        };
        let gauge = match gauge.strip_suffix("SQ") {
            Some(area) => format!("{area} mm²"),
            None => format!("{gauge} AWG"),
        };
        let gauge = gauge.parse().map_err(|_| wrong("the gauge"))?;
        Ok(WireMark { unit, function, number, segment, gauge, ground, material })
    }
}

impl Quantity for WireMark {
    const NOUN: &'static str = "a wire mark";
    const EXAMPLE: &'static str = "E12A22";
    const DESCRIPTION: &'static str = "wire identification by the aircraft scheme: unit, function letter, number, segment, gauge, N for ground";
}
text_form!(WireMark);

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn mark() -> WireMark {
        WireMark {
            unit: None,
            function: FunctionLetter::ENGINE_INSTRUMENT,
            number: 12,
            segment: Segment::A,
            gauge: Gauge::Awg(22),
            ground: false,
            material: None,
        }
    }

    #[test]
    fn prints_and_reads_every_part() {
        let ground = WireMark { unit: Some(2), ground: true, ..mark() };
        let leg = WireMark { material: Some(Alloy::Alumel), gauge: Gauge::Awg(20), ..mark() };
        let strap = WireMark { gauge: Gauge::Awg(-1), ..mark() };
        for (mark, text) in
            [(mark(), "E12A22"), (ground, "2E12A22N"), (leg, "E12A20-ALML"), (strap, "E12A00")]
        {
            assert_eq!(mark.to_string(), text);
            assert_eq!(text.parse(), Ok(mark));
        }
        for bad in [
            "",
            "E12",
            "E12A",
            "E0A22",
            "E12I22",
            "A12A22",
            "E12A99",
            "E12A22Z",
            "E99999A22",
            "E12A22-GOLD",
            "0E1A22",
        ] {
            assert!(bad.parse::<WireMark>().is_err(), "{bad}");
        }
    }

    #[test]
    fn named_letters_are_the_letters() {
        for (function, letter) in [
            (FunctionLetter::INSTRUMENT, 'D'),
            (FunctionLetter::ENGINE_INSTRUMENT, 'E'),
            (FunctionLetter::ENGINE_CONTROL, 'K'),
            (FunctionLetter::IGNITION, 'J'),
            (FunctionLetter::DC_POWER, 'P'),
            (FunctionLetter::FUEL_AND_OIL, 'Q'),
            (FunctionLetter::WARNING, 'W'),
            (FunctionLetter::LIGHTING, 'L'),
            (FunctionLetter::MISCELLANEOUS, 'M'),
        ] {
            assert_eq!(function.letter(), letter);
        }
    }

    #[test]
    fn segments_skip_i_and_o() {
        let names: Vec<String> = (0..27).filter_map(Segment::nth).map(|s| s.to_string()).collect();
        assert_eq!(names.join(" "), "A B C D E F G H J K L M N P Q R S T U V W X Y Z AA AB AC");
        assert_eq!(Segment::nth(599).unwrap().to_string(), "ZZ");
        assert_eq!((Segment::nth(600), Segment(599).next()), (None, None));
    }

    proptest! {
        #[test]
        fn any_mark_reads_back(
            unit in proptest::option::of(1_u8..=99), letter in 0_u8..16, number in 1_u16..=9999, segment in 0_u16..600,
            awg in -3_i8..=40, metric in proptest::option::of(1_u32..5000), ground: bool, material in 0_usize..5,
        ) {
            let gauge = metric.map_or(Gauge::Awg(awg), |m| {
                Gauge::Metric(crate::quantity::Area::from_mm2(f64::from(m) / 100.0))
            });
            let material = MATERIALS.get(material).map(|m| m.0);
            let segment = Segment(segment);
            let mark = WireMark { unit, function: FunctionLetter(letter), number, segment, gauge, ground, material };
            prop_assert_eq!(mark.to_string().parse(), Ok(mark));
        }

        #[test]
        fn no_text_panics(text in ".{0,16}|[0-9]{0,2}[A-Z][0-9]{0,5}[A-Z]{0,3}[0-9]{0,3}[A-Z-]{0,7}") {
            let _ = text.parse::<WireMark>();
        }
    }
}
