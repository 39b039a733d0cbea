//! Glyphs of an OpenType file in; a font program in Compact Font Format that holds these and no others out.
//!
//! Format: Adobe Technical Notes 5176 (CFF, 16 March 2000) and 5177 (Type 2 charstrings), from memory. Every glyph is its
//! outline and its advance; hints are left out.

use ttf_parser::{Face, GlyphId, OutlineBuilder};

/// A glyph as it is taken over.
pub(super) struct Glyph {
    /// Its number in the file.
    pub id: u16,
    /// From its start to the next letter's, in font units.
    pub advance: i64,
    /// The letter it stands for; None for the box that stands for all missing ones.
    pub letter: Option<char>,
}

/// Strings that every reader knows by number; the font's own follow.
const STANDARD_STRINGS: usize = 391;

/// The program. Its glyphs are numbered in their order; the first is the one for missing letters.
pub(super) fn program(face: &Face<'_>, name: &str, glyphs: &[Glyph]) -> Vec<u8> {
    let names: Vec<Vec<u8>> =
        glyphs.iter().filter_map(|g| Some(glyph_name(g.letter?).into_bytes())).collect();
    let shapes: Vec<Vec<u8>> = glyphs.iter().map(|glyph| charstring(face, glyph)).collect();
    let header = [1, 0, 4, 4];
    let before = [header.to_vec(), index(&[name.as_bytes().to_vec()])].concat();
    let strings = [index(&names), index(&[])].concat();
    // Names of all but the first, which is never named: one range of strings.
    let range = u16::try_from(glyphs.len().saturating_sub(2)).unwrap_or(0);
    let charset: Vec<u8> =
        [vec![2], (STANDARD_STRINGS as u16).to_be_bytes().to_vec(), range.to_be_bytes().to_vec()].concat();
    let shapes = index(&shapes);
    let private = [number(0), vec![21]].concat();
    let top = |at: usize| {
        let charset_at = at;
        let shapes_at = charset_at + charset.len();
        let private_at = shapes_at + shapes.len();
        index(&[top_dictionary(face, charset_at, shapes_at, (private.len(), private_at))])
    };
    // Its length does not depend on the places in it.
    let length = top(0).len();
    let top = top(before.len() + length + strings.len());
    [before, top, strings, charset, shapes, private].concat()
}

/// By the Adobe Glyph List Specification, section 2: a name from which the letter is read back.
fn glyph_name(letter: char) -> String {
    let code = u32::from(letter);
    if code > 0xffff { format!("u{code:05X}") } else { format!("uni{code:04X}") }
}

fn top_dictionary(face: &Face<'_>, charset: usize, shapes: usize, private: (usize, usize)) -> Vec<u8> {
    let around = face.global_bounding_box();
    let mut out = Vec::new();
    // One unit is a 2,000th of an em: a matrix of 0.0005 (nibbles `.0005`, end).
    let scale = [0x1e, 0xa0, 0x00, 0x5f];
    for value in [&scale[..], &number(0), &number(0), &scale, &number(0), &number(0), &[12, 7]] {
        out.extend_from_slice(value);
    }
    for edge in [around.x_min, around.y_min, around.x_max, around.y_max] {
        out.extend(number(i32::from(edge)));
    }
    out.push(5);
    for (values, operator) in [(vec![charset], 15), (vec![shapes], 17), (vec![private.0, private.1], 18)] {
        for value in values {
            out.push(29);
            out.extend(u32::try_from(value).unwrap_or(0).to_be_bytes());
        }
        out.push(operator);
    }
    out
}

/// Pieces of data behind a table of where each begins.
fn index(pieces: &[Vec<u8>]) -> Vec<u8> {
    let mut out = u16::try_from(pieces.len()).unwrap_or(0).to_be_bytes().to_vec();
    if pieces.is_empty() {
        return out;
    }
    let all: usize = 1 + pieces.iter().map(Vec::len).sum::<usize>();
    let size: u8 = match all {
        0..=0xff => 1,
        0x100..=0xffff => 2,
        _ => 4,
    };
    out.push(size);
    let mut at = 1_u32;
    let put = |out: &mut Vec<u8>, at: u32| {
        out.extend_from_slice(at.to_be_bytes().get(4 - usize::from(size)..).unwrap_or_default());
    };
    put(&mut out, at);
    for piece in pieces {
        at += u32::try_from(piece.len()).unwrap_or(0);
        put(&mut out, at);
    }
    out.extend(pieces.iter().flatten());
    out
}

/// A whole number, as charstrings and small values of dictionaries write it.
fn number(value: i32) -> Vec<u8> {
    let mut out = Vec::new();
    put_number(&mut out, value);
    out
}

fn put_number(out: &mut Vec<u8>, value: i32) {
    match value {
        -107..=107 => out.push((value + 139) as u8),
        108..=1131 => out.extend([((value - 108) / 256 + 247) as u8, ((value - 108) % 256) as u8]),
        -1131..=-108 => out.extend([((-value - 108) / 256 + 251) as u8, ((-value - 108) % 256) as u8]),
        _ => {
            out.push(28);
            out.extend((value as i16).to_be_bytes());
        }
    }
}

fn charstring(face: &Face<'_>, glyph: &Glyph) -> Vec<u8> {
    let mut pen = Pen { out: number(i32::try_from(glyph.advance).unwrap_or(0)), at: (0, 0) };
    face.outline_glyph(GlyphId(glyph.id), &mut pen);
    pen.out.push(14);
    pen.out
}

/// Writes an outline by the steps from point to point.
struct Pen {
    out: Vec<u8>,
    at: (i32, i32),
}

impl Pen {
    /// The step to a point.
    fn step(&mut self, x: f32, y: f32) -> (i32, i32) {
        let to = (x.round() as i32, y.round() as i32);
        let step = (to.0 - self.at.0, to.1 - self.at.1);
        self.at = to;
        step
    }

    fn say(&mut self, values: &[i32], operator: u8) {
        values.iter().for_each(|value| put_number(&mut self.out, *value));
        self.out.push(operator);
    }
}

impl OutlineBuilder for Pen {
    fn move_to(&mut self, x: f32, y: f32) {
        match self.step(x, y) {
            (dx, 0) => self.say(&[dx], 22),
            (0, dy) => self.say(&[dy], 4),
            (dx, dy) => self.say(&[dx, dy], 21),
        }
    }

    fn line_to(&mut self, x: f32, y: f32) {
        match self.step(x, y) {
            (dx, 0) => self.say(&[dx], 6),
            (0, dy) => self.say(&[dy], 7),
            (dx, dy) => self.say(&[dx, dy], 5),
        }
    }

    /// Outlines of this format have no such curves; one is raised to a cubic curve.
    fn quad_to(&mut self, x1: f32, y1: f32, x: f32, y: f32) {
        let (x0, y0) = (self.at.0 as f32, self.at.1 as f32);
        let third = |end: f32, middle: f32| end + (middle - end) * 2.0 / 3.0;
        self.curve_to(third(x0, x1), third(y0, y1), third(x, x1), third(y, y1), x, y);
    }

    fn curve_to(&mut self, x1: f32, y1: f32, x2: f32, y2: f32, x: f32, y: f32) {
        let (a, b, c) = (self.step(x1, y1), self.step(x2, y2), self.step(x, y));
        match (a, c) {
            ((dx, 0), (0, dy)) => self.say(&[dx, b.0, b.1, dy], 31),
            ((0, dy), (dx, 0)) => self.say(&[dy, b.0, b.1, dx], 30),
            _ => self.say(&[a.0, a.1, b.0, b.1, c.0, c.1], 8),
        }
    }

    /// The next step, or the end, closes it.
    fn close(&mut self) {}
}
