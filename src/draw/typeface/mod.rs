//! The one typeface of all drawings, B612 (SIL Open Font License 1.1, see OFL.txt beside this file). Papers carry the letters
//! that they use ([`cut`]), with the names of the file, copyright and licence among them.
//!
//! Measures are in font units. They equal what a shaping renderer draws: the typeface has a kerning table and
//! no ligatures, so a line is its advances plus its kerning pairs.

mod cut;
mod measure;
mod outlines;

use std::sync::OnceLock;

use super::base64;

pub use cut::cut;
use measure::Measures;

/// The family's name in SVG and PDF.
pub const FAMILY: &str = "B612";
/// Font units in one em; both weights (checked by a test).
pub const UNITS_PER_EM: i64 = 2000;
/// Height of capitals in font units; both weights (checked by a test).
pub const CAPITAL_UNITS: i64 = 1500;

const REGULAR: &[u8] = include_bytes!("B612-Regular.otf");
const BOLD: &[u8] = include_bytes!("B612-Bold.otf");

/// Thickness of the letters.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Weight {
    /// For nearly everything.
    Regular,
    /// For headings and identifiers.
    Bold,
}

impl Weight {
    /// Both.
    pub const ALL: [Weight; 2] = [Weight::Regular, Weight::Bold];
}

/// The OpenType file of a weight, with all its letters.
pub fn file(weight: Weight) -> &'static [u8] {
    match weight {
        Weight::Regular => REGULAR,
        Weight::Bold => BOLD,
    }
}

/// A style rule that carries a file of a weight (CSS Fonts Module Level 4, `@font-face`).
pub fn face_rule(weight: Weight, file: &[u8]) -> String {
    let name = match weight {
        Weight::Regular => "normal",
        Weight::Bold => "bold",
    };
    let data = base64::encode(file);
    format!("@font-face{{font-family:{FAMILY};font-weight:{name};src:url(data:font/otf;base64,{data})}}")
}

/// None only if the embedded file were broken, which a test rules out; callers then measure by a safe guess.
fn measures(weight: Weight) -> Option<&'static Measures> {
    static REGULAR_MEASURES: OnceLock<Option<Measures>> = OnceLock::new();
    static BOLD_MEASURES: OnceLock<Option<Measures>> = OnceLock::new();
    let cell = match weight {
        Weight::Regular => &REGULAR_MEASURES,
        Weight::Bold => &BOLD_MEASURES,
    };
    cell.get_or_init(|| Measures::read(file(weight))).as_ref()
}

/// True when both weights can draw the letter. The typeface's own private-use pictures do not count: what
/// they show is not what the writer of a text meant.
pub fn has(letter: char) -> bool {
    // Asked of every letter of every text; that it is so a test says.
    if matches!(letter, ' '..='~') {
        return true;
    }
    let private = matches!(letter, '\u{e000}'..='\u{f8ff}') || letter.is_control();
    let drawn = |weight| measures(weight).is_some_and(|m| m.glyph(letter).is_some());
    !private && letter != '\u{ffff}' && drawn(Weight::Regular) && drawn(Weight::Bold)
}

/// Another way to write a letter that the typeface lacks; None where there is none.
pub fn nearest(letter: char) -> Option<&'static str> {
    const FORMS: &[(&str, &str)] = &[
        ("⌀∅", "Ø"),
        ("\u{202f}\u{2007}", "\u{a0}"),
        ("\u{2011}\u{2012}\u{2043}", "-"),
        ("\u{2044}\u{2215}", "/"),
        ("№", "No."),
        ("ĀĂĄ", "A"),
        ("āăą", "a"),
        ("ĆĈĊČ", "C"),
        ("ćĉċč", "c"),
        ("ĎĐ", "D"),
        ("ďđ", "d"),
        ("ĒĔĖĘĚ", "E"),
        ("ēĕėęě", "e"),
        ("ĜĞĠĢ", "G"),
        ("ĝğġģ", "g"),
        ("ĤĦ", "H"),
        ("ĥħ", "h"),
        ("ĨĪĬĮİ", "I"),
        ("ĩīĭįı", "i"),
        ("Ĵ", "J"),
        ("ĵ", "j"),
        ("Ķ", "K"),
        ("ķ", "k"),
        ("ĹĻĽĿŁ", "L"),
        ("ĺļľŀł", "l"),
        ("ŃŅŇ", "N"),
        ("ńņň", "n"),
        ("ŌŎŐ", "O"),
        ("ōŏő", "o"),
        ("ŔŖŘ", "R"),
        ("ŕŗř", "r"),
        ("ŚŜŞȘ", "S"),
        ("śŝşș", "s"),
        ("ŢŤŦȚ", "T"),
        ("ţťŧț", "t"),
        ("ŨŪŬŮŰŲ", "U"),
        ("ũūŭůűų", "u"),
        ("Ŵ", "W"),
        ("ŵ", "w"),
        ("Ŷ", "Y"),
        ("ŷ", "y"),
        ("ŹŻŽ", "Z"),
        ("źżž", "z"),
        ("ẞ", "SS"),
        ("■", "▪"),
        ("□", "▫"),
    ];
    FORMS.iter().find(|(from, to)| from.contains(letter) && to.chars().all(has)).map(|(_, to)| *to)
}

/// A letter of a line as it is set.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SetLetter {
    /// Number of its glyph in the file of the weight; 0, the empty box, where the typeface lacks the letter.
    pub glyph: u16,
    /// From its start to the next letter's, kerning included, in font units.
    pub advance: i64,
}

/// The letters of a line, one for each of its characters, from its start on.
pub fn set(text: &str, weight: Weight) -> Vec<SetLetter> {
    let measures = measures(weight);
    let mut line: Vec<SetLetter> = Vec::with_capacity(text.len());
    let mut before = None;
    for letter in text.chars() {
        let glyph = measures.and_then(|m| m.glyph(letter));
        if let (Some(measures), Some(left), Some(right), Some(last)) =
            (measures, before, glyph, line.last_mut())
        {
            last.advance += measures.kerning(left, right);
        }
        let advance = glyph.map_or(UNITS_PER_EM, |g| g.advance);
        line.push(SetLetter { glyph: glyph.map_or(0, |g| g.id), advance });
        before = glyph;
    }
    line
}

/// Length of a line in font units: advances plus kerning. Letters the typeface lacks count one em.
pub fn advance(text: &str, weight: Weight) -> i64 {
    advance_after(None, text, weight).max(0)
}

/// What a line grows by when `text` is added behind the letter `before`, in font units: so that a line can be filled word by
/// word without being measured anew.
pub fn advance_after(before: Option<char>, text: &str, weight: Weight) -> i64 {
    let measures = measures(weight);
    let mut total = 0_i64;
    let mut before = before;
    for letter in text.chars() {
        total += measures.and_then(|m| m.glyph(letter)).map_or(UNITS_PER_EM, |g| g.advance);
        if let (Some(measures), Some(left)) = (measures, before) {
            total += measures.between(left, letter);
        }
        before = Some(letter);
    }
    total
}

/// How far the ink of a line reaches above and below its baseline, in font units.
pub fn reach(text: &str, weight: Weight) -> (i64, i64) {
    let Some(measures) = measures(weight) else { return (CAPITAL_UNITS * 4 / 3, CAPITAL_UNITS / 2) };
    let glyphs = text.chars().filter_map(|c| measures.glyph(c));
    glyphs.fold((0, 0), |(above, below), g| (above.max(g.above), below.max(g.below)))
}

#[cfg(test)]
mod tests {
    use ttf_parser::Face;

    use super::*;

    #[test]
    fn both_files_are_what_the_constants_say() {
        for weight in [Weight::Regular, Weight::Bold] {
            let face = Face::parse(file(weight), 0).unwrap();
            assert_eq!(i64::from(face.units_per_em()), UNITS_PER_EM);
            assert_eq!(face.capital_height().map(i64::from), Some(CAPITAL_UNITS));
            assert!(face.tables().gsub.is_none(), "ligatures would spoil the measure");
            let lookups = face.tables().gpos.unwrap().lookups;
            assert_eq!(lookups.len(), 1, "only kerning");
        }
    }

    #[test]
    fn has_what_a_harness_drawing_writes() {
        for letter in "ΩµμØ°±²→×≤≥–—…√ÄÖÜäöüßéèñçÅæ+−⚠✓".chars() {
            assert!(has(letter), "{letter}");
        }
        let drawn = |letter| Weight::ALL.iter().all(|w| measures(*w).unwrap().glyph(letter).is_some());
        assert!((' '..='~').all(drawn));
        assert!(!has('⌀') && !has('\u{0}') && !has('\u{e001}') && !has('ф'));
        assert_eq!(nearest('⌀'), Some("Ø"));
        assert_eq!(nearest('ф'), None);
    }

    #[test]
    fn letters_of_a_line_are_set_as_far_as_the_line_measures() {
        for line in ["AVATAR To LT Ty W.A. P.", "CHT1 / GAUGE.A.7", "", "Ω ф x"] {
            for weight in [Weight::Regular, Weight::Bold] {
                let letters = set(line, weight);
                assert_eq!(letters.len(), line.chars().count());
                assert_eq!(letters.iter().map(|l| l.advance).sum::<i64>(), advance(line, weight), "{line}");
            }
        }
        assert_eq!(set("ф", Weight::Regular), [SetLetter { glyph: 0, advance: UNITS_PER_EM }]);
    }

    #[test]
    fn lines_measure_what_a_browser_draws() {
        // getComputedTextLength of a web browser (Chromium, SVG text, this typeface at 2000 units an em), read
        // in November 2026; it reports a few hundredths more than the sum of whole units.
        let drawn = [
            ("AVATAR To LT Ty W.A. P.", 24000, 24000),
            ("engine gauge loom", 18450, 18450),
            ("CHT1 / GAUGE.A.7", 17900, 17900),
            ("Oil-pressure sender, 14 V × 2 Ω", 31100, 31100),
            ("T.Y.L' r. 7/8", 11600, 11600),
            ("Waiver: Ko Re “Te”", 18250, 18150),
        ];
        for (line, regular, bold) in drawn {
            assert_eq!(advance(line, Weight::Regular), regular, "{line}");
            assert_eq!(advance(line, Weight::Bold), bold, "{line}");
        }
        let apart = advance("F", Weight::Regular) + advance("o", Weight::Regular);
        assert!(advance("Fo", Weight::Regular) < apart, "kerning counts");
    }
}
