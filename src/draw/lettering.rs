//! Text in; its measured size, its lines at a given width, its printable form out.
//!
//! Heights are nominal heights (of capitals) of ISO 3098-1; none below 2.5 mm exists here, so none can be
//! drawn. Nothing is ever cut off silently: [`wrap`] keeps every character, [`abridge`] says what it did.

use std::borrow::Cow;

use super::geometry::{Mm, mm};
use super::palette::Ink;
use super::typeface::{self, Weight};

/// Nominal lettering height (height of capitals) on paper. Source: ISO 3098-1, nominal sizes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Height {
    /// 2.5 mm, the floor.
    H2_5,
    /// 3.5 mm.
    H3_5,
    /// 5 mm.
    H5,
    /// 7 mm.
    H7,
    /// 10 mm.
    H10,
}

impl Height {
    /// All, from the floor up.
    pub const ALL: [Height; 5] = [Height::H2_5, Height::H3_5, Height::H5, Height::H7, Height::H10];

    /// Height of the capitals.
    pub const fn capital(self) -> Mm {
        match self {
            Height::H2_5 => mm(2.5),
            Height::H3_5 => mm(3.5),
            Height::H5 => mm(5.0),
            Height::H7 => mm(7.0),
            Height::H10 => mm(10.0),
        }
    }

    /// From baseline to baseline, wide enough that a descender never meets an accent below it: the typeface
    /// needs 1.63 capitals (measured), ISO 3098-1 type B asks for 1.9 with accents and 1.5 without (from
    /// memory).
    pub fn pitch(self) -> Mm {
        self.capital().scaled(1.7)
    }

    /// The next smaller height, or None at the floor.
    pub fn smaller(self) -> Option<Height> {
        Height::ALL.iter().copied().rev().find(|h| *h < self)
    }
}

/// Height, weight and ink of lettering.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Lettering {
    /// Nominal height.
    pub height: Height,
    /// Regular or bold.
    pub weight: Weight,
    /// Ink.
    pub ink: Ink,
}

impl Lettering {
    /// 2.5 mm, regular, black.
    pub const SMALL: Lettering = Lettering::regular(Height::H2_5);
    /// 3.5 mm, regular, black.
    pub const PLAIN: Lettering = Lettering::regular(Height::H3_5);
    /// 5 mm, regular, black.
    pub const LARGE: Lettering = Lettering::regular(Height::H5);

    /// Regular black lettering of this height.
    pub const fn regular(height: Height) -> Lettering {
        Lettering { height, weight: Weight::Regular, ink: Ink::BLACK }
    }

    /// The same in bold.
    pub const fn bold(self) -> Lettering {
        Lettering { weight: Weight::Bold, ..self }
    }

    /// The same at another height.
    pub const fn sized(self, height: Height) -> Lettering {
        Lettering { height, ..self }
    }

    /// The same in another ink.
    pub const fn inked(self, ink: Ink) -> Lettering {
        Lettering { ink, ..self }
    }

    /// The typeface's em at this height, the number an SVG calls font-size.
    pub fn em(self) -> Mm {
        self.paper(typeface::UNITS_PER_EM)
    }

    /// Font units at this height, rounded up.
    fn paper(self, units: i64) -> Mm {
        let um = units.saturating_mul(self.height.capital().um());
        Mm::from_um(
            um.div_euclid(typeface::CAPITAL_UNITS) + i64::from(um.rem_euclid(typeface::CAPITAL_UNITS) != 0),
        )
    }
}

/// The text as it can be drawn: white space folded to single spaces, letters the typeface lacks replaced
/// by their nearest form (`⌀` by `Ø`, `ž` by `z`), all others, control and direction marks included, by
/// their number in brackets (`[U+0444]`), so that nothing is dropped and nothing hides.
pub fn printable(text: &str) -> String {
    shown(text).into_owned()
}

/// The same, as it was given where it can be drawn so: most texts can.
fn shown(text: &str) -> Cow<'_, str> {
    // Single spaces between, none at the ends.
    let mut before = ' ';
    let can = |letter: char| {
        let may_follow = letter != ' ' || before != ' ';
        before = letter;
        may_follow && (letter == ' ' || !letter.is_whitespace()) && typeface::has(letter)
    };
    if text.chars().all(can) && !text.ends_with(' ') {
        return Cow::Borrowed(text);
    }
    let mut out = String::with_capacity(text.len());
    for letter in text.chars() {
        if letter.is_whitespace() && !matches!(letter, '\u{a0}' | '\u{202f}' | '\u{2007}') {
            if !out.ends_with(' ') && !out.is_empty() {
                out.push(' ');
            }
        } else if typeface::has(letter) {
            out.push(letter);
        } else if let Some(nearest) = typeface::nearest(letter) {
            out.push_str(nearest);
        } else {
            out.push_str(&format!("[U+{:04X}]", u32::from(letter)));
        }
    }
    if out.ends_with(' ') {
        out.pop();
    }
    Cow::Owned(out)
}

/// Width of one line as drawn, kerning included, rounded up to the micrometre.
pub fn width(text: &str, lettering: Lettering) -> Mm {
    lettering.paper(typeface::advance(&shown(text), lettering.weight))
}

/// How far the line's ink reaches above and below its baseline; both zero for an empty line.
pub fn reach(text: &str, lettering: Lettering) -> (Mm, Mm) {
    let (above, below) = typeface::reach(&shown(text), lettering.weight);
    (lettering.paper(above), lettering.paper(below))
}

/// Breaks a text into lines no wider than `limit`: at spaces, then after `-`, `/`, `_`, `,` and `.`, at
/// last between any two letters. Keeps every letter; a single letter wider than `limit` stands alone.
/// A newline in the text begins a new line. An empty text has no lines. Costs the length of the text.
pub fn wrap(text: &str, lettering: Lettering, limit: Mm) -> Vec<String> {
    let mut lines = Vec::new();
    for paragraph in text.lines() {
        let mut line = String::new();
        // Its length in font units.
        let mut length = 0;
        for word in shown(paragraph).split(' ').filter(|w| !w.is_empty()) {
            let before = line.len();
            let last = line.chars().next_back();
            if last.is_some() {
                line.push(' ');
            }
            line.push_str(word);
            let grown = length + typeface::advance_after(last, &line[before..], lettering.weight);
            if lettering.paper(grown.max(0)) <= limit {
                length = grown;
                continue;
            }
            line.truncate(before);
            if !line.is_empty() {
                lines.push(std::mem::take(&mut line));
            }
            line = break_word(word, lettering, limit, &mut lines);
            length = typeface::advance_after(None, &line, lettering.weight);
        }
        if !line.is_empty() {
            lines.push(line);
        }
    }
    lines
}

/// Puts all full lines of a long word into `lines` and returns its rest.
fn break_word(word: &str, lettering: Lettering, limit: Mm, lines: &mut Vec<String>) -> String {
    let letters: Vec<char> = word.chars().collect();
    let mut rest: &[char] = &letters;
    loop {
        let fits = longest_fit(rest, lettering, limit);
        if fits >= rest.len() {
            return rest.iter().collect();
        }
        let soft = rest.iter().take(fits).rposition(|c| matches!(c, '-' | '/' | '_' | ',' | '.' | ':'));
        let cut = match soft {
            // A break that would leave a stump on its own line is worse than one inside the word.
            Some(at) if at + 1 >= fits / 3 => at + 1,
            _ => fits.max(1),
        };
        let (head, tail) = rest.split_at(cut.min(rest.len()));
        lines.push(head.iter().collect());
        rest = tail;
    }
}

/// How many letters from the start fit into `limit`; by doubling and halving, so that a long name costs no more than a
/// line of it for each line.
fn longest_fit(letters: &[char], lettering: Lettering, limit: Mm) -> usize {
    let fits = |count: usize| {
        let head: String = letters.iter().take(count).collect();
        width(&head, lettering) <= limit
    };
    let (mut low, mut high) = (0, letters.len().min(32));
    while high < letters.len() && fits(high) {
        (low, high) = (high, letters.len().min(2 * high));
    }
    while low < high {
        let middle = (low + high).div_ceil(2);
        if fits(middle) { low = middle } else { high = middle - 1 }
    }
    low
}

/// Lines and the lettering they were measured for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fitted {
    /// The lines, in order.
    pub lines: Vec<String>,
    /// The lettering, perhaps of a smaller height than was asked for.
    pub lettering: Lettering,
}

impl Fitted {
    /// Height of the block from the top of the first line's capitals to the last baseline.
    pub fn height(&self) -> Mm {
        match self.lines.len() {
            0 => Mm::ZERO,
            n => self.lettering.height.capital() + self.lettering.height.pitch().times(n - 1),
        }
    }

    /// Width of the widest line.
    pub fn width(&self) -> Mm {
        self.lines.iter().map(|l| width(l, self.lettering)).max().unwrap_or_default()
    }
}

/// Wraps a text into at most `most` lines of `limit`, going down through the nominal heights, but not below
/// `floor`, where that is needed. At the floor it keeps as many lines as the text takes: the caller's box must
/// grow to [`Fitted::height`].
pub fn fit(text: &str, lettering: Lettering, limit: Mm, most: usize, floor: Height) -> Fitted {
    let mut lettering = lettering;
    loop {
        let lines = wrap(text, lettering, limit);
        let words_whole = lines.len() <= most && !splits_word(text, &lines);
        match lettering.height.smaller() {
            Some(smaller) if !words_whole && smaller >= floor => lettering.height = smaller,
            _ => return Fitted { lines, lettering },
        }
    }
}

/// True when a line ends inside a word of the text.
fn splits_word(text: &str, lines: &[String]) -> bool {
    let words: usize = text.lines().map(|l| shown(l).split(' ').filter(|w| !w.is_empty()).count()).sum();
    lines.iter().map(|l| l.split(' ').count()).sum::<usize>() > words
}

/// A text that was made to fit one line.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Abridged {
    /// All of it fits.
    Whole(String),
    /// The end was left out and an ellipsis stands for it; the caller must show the whole text elsewhere.
    Cut(String),
}

/// Fits a text into one line of `limit`, leaving out its end where it must.
pub fn abridge(text: &str, lettering: Lettering, limit: Mm) -> Abridged {
    let whole = printable(text);
    if width(&whole, lettering) <= limit {
        return Abridged::Whole(whole);
    }
    let letters: Vec<char> = whole.chars().collect();
    let room = limit - width("…", lettering);
    let head: String = letters.iter().take(longest_fit(&letters, lettering, room)).collect();
    Abridged::Cut(format!("{}…", head.trim_end()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn capitals_are_as_high_as_the_class_says() {
        for height in Height::ALL {
            let (above, below) = reach("E", Lettering::regular(height));
            // B612 capitals measure 1500 to 1527 units (round letters overshoot); never below nominal.
            assert!(above >= height.capital(), "{height:?} {above}");
            assert!(above <= height.capital().scaled(1.02), "{height:?} {above}");
            assert_eq!(below, Mm::ZERO);
        }
        assert_eq!(Lettering::PLAIN.em(), mm(3.5 / 0.75));
    }

    #[test]
    fn lines_of_a_block_never_meet() {
        for weight in [Lettering::SMALL, Lettering::SMALL.bold()] {
            let (above, _) = reach("ÅÄÉ", weight);
            let (_, below) = reach("gjpqy(|", weight);
            assert!(above + below < weight.height.pitch());
        }
    }

    #[test]
    fn wrapping_keeps_every_letter_and_the_width() {
        let text =
            "OIL-PRESSURE-SENDER/AFT of the firewall, supplied_with_a_very_long_unbroken_name0123456789";
        for limit in [4.0, 12.0, 25.0, 60.0, 500.0].map(mm) {
            let lines = wrap(text, Lettering::SMALL, limit);
            let kept: String = lines.concat().replace(' ', "");
            assert_eq!(kept, text.replace(' ', ""), "{limit}");
            for line in &lines {
                assert!(width(line, Lettering::SMALL) <= limit, "{line}");
            }
        }
        assert_eq!(wrap("W", Lettering::SMALL, mm(0.1)), ["W"]);
        assert!(wrap("  ", Lettering::SMALL, mm(10.0)).is_empty());
        assert_eq!(wrap("a\nb", Lettering::SMALL, mm(10.0)), ["a", "b"]);
    }

    #[test]
    fn a_line_takes_every_word_that_fits() {
        let text = "AV To. Ty W. Ⅷ LT Ýo To-Va ".repeat(12);
        for (lettering, limit) in [(Lettering::PLAIN, mm(30.0)), (Lettering::SMALL.bold(), mm(55.5))] {
            let lines = wrap(&text, lettering, limit);
            for (line, next) in lines.iter().zip(&lines[1..]) {
                let more = format!("{line} {}", next.split(' ').next().unwrap());
                assert!(width(line, lettering) <= limit && width(&more, lettering) > limit, "{line}");
            }
        }
    }

    #[test]
    fn shrinks_to_the_floor_then_grows_lines() {
        let short = fit("Engine gauge loom", Lettering::LARGE, mm(100.0), 1, Height::H2_5);
        assert_eq!((short.lines.len(), short.lettering.height), (1, Height::H5));
        let shrunk = fit("Engine gauge loom, left side", Lettering::LARGE, mm(50.0), 1, Height::H2_5);
        assert_eq!((shrunk.lines.len(), shrunk.lettering.height), (1, Height::H2_5));
        let long = fit(&"engine gauge ".repeat(20), Lettering::LARGE, mm(60.0), 1, Height::H2_5);
        assert_eq!(long.lettering.height, Height::H2_5);
        assert!(long.lines.len() > 5 && long.height() > mm(20.0));
        let held = fit(&"engine gauge ".repeat(20), Lettering::LARGE, mm(60.0), 1, Height::H3_5);
        assert_eq!(held.lettering.height, Height::H3_5);
    }

    #[test]
    fn leaving_out_is_never_silent() {
        assert_eq!(abridge("CHT1", Lettering::SMALL, mm(40.0)), Abridged::Whole("CHT1".into()));
        let Abridged::Cut(cut) = abridge("cylinder head temperature", Lettering::SMALL, mm(20.0)) else {
            panic!("does not fit");
        };
        assert!(cut.ends_with('…') && width(&cut, Lettering::SMALL) <= mm(20.0));
    }

    #[test]
    fn what_the_typeface_lacks_is_shown_another_way() {
        assert_eq!(printable("⌀8 Łódź ≤ 2 Ω"), "Ø8 Lódz ≤ 2 Ω");
        assert_eq!(printable("a\u{202e}b\u{7}c"), "a[U+202E]b[U+0007]c");
        assert_eq!(printable("  a \t\r\n b  "), "a b");
        assert_eq!(printable("10\u{202f}000"), "10\u{a0}000");
    }
}
