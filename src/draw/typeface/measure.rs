//! An OpenType file in; a table of its letters' advances, ink and kerning out, read once.

use std::collections::BTreeMap;

use ttf_parser::gpos::{PairAdjustment, PositioningSubtable};
use ttf_parser::{Face, GlyphId};

/// One letter's glyph, in font units.
#[derive(Clone, Copy, Debug)]
pub struct Glyph {
    /// Its number in the file.
    pub id: u16,
    /// From this letter's start to the next one's.
    pub advance: i64,
    /// Top of its ink above the baseline; zero or less for none.
    pub above: i64,
    /// Bottom of its ink below the baseline; zero or less for none.
    pub below: i64,
}

/// One subtable of the kerning lookup.
enum Pairs {
    /// By left glyph: values of single pairs, in order of their right glyphs.
    List(Vec<Vec<(u16, i16)>>),
    /// Class of each left glyph (None where not covered), class of each right glyph, values by left class and right class.
    Classes { left: Vec<Option<u16>>, right: Vec<u16>, values: Vec<Vec<i16>> },
}

/// Letters below this are found by their number: nearly every letter of a drawing is one of them.
const COMMON: usize = 0x250;
/// Letters below this are kerned by a table of all their pairs.
const PLAIN: usize = 0x80;

/// Everything measured of one weight.
pub struct Measures {
    common: Vec<Option<Glyph>>,
    letters: BTreeMap<char, Glyph>,
    kerning: Vec<Pairs>,
    /// What plain letters are kerned by: rows of right letters, by left letter.
    plain: Vec<i64>,
}

impl Measures {
    /// Reads the file; None if it is no OpenType file.
    pub fn read(file: &[u8]) -> Option<Measures> {
        let face = Face::parse(file, 0).ok()?;
        let mut letters = BTreeMap::new();
        for subtable in face.tables().cmap.iter().flat_map(|cmap| cmap.subtables) {
            if !subtable.is_unicode() {
                continue;
            }
            subtable.codepoints(|code| {
                let found = char::from_u32(code).and_then(|c| Some((c, subtable.glyph_index(code)?)));
                if let Some((letter, glyph)) = found {
                    letters.insert(letter, measured(&face, glyph));
                }
            });
        }
        let common = (0..COMMON as u32).map(|code| letters.get(&char::from_u32(code)?).copied()).collect();
        let mut made = Measures { common, letters, kerning: kerning(&face), plain: Vec::new() };
        let letters = || (0..PLAIN as u32).filter_map(char::from_u32);
        made.plain =
            letters().flat_map(|l| letters().map(move |r| (l, r))).map(|(l, r)| made.between(l, r)).collect();
        Some(made)
    }

    /// What the distance of two letters differs from the left one's advance; nothing where the typeface lacks one.
    pub fn between(&self, left: char, right: char) -> i64 {
        let row = |letter: char| Some(letter as usize).filter(|code| *code < PLAIN);
        let known = row(left).zip(row(right)).and_then(|(l, r)| self.plain.get(l * PLAIN + r));
        known.copied().unwrap_or_else(|| match (self.glyph(left), self.glyph(right)) {
            (Some(left), Some(right)) => self.kerning(left, right),
            _ => 0,
        })
    }

    /// The letter's glyph, if the typeface has it.
    pub fn glyph(&self, letter: char) -> Option<Glyph> {
        match self.common.get(letter as usize) {
            Some(glyph) => *glyph,
            None => self.letters.get(&letter).copied(),
        }
    }

    /// What the pair's distance differs from the left letter's advance, as OpenType rules it: subtables in
    /// order; a list decides where it holds the pair, a class table wherever it covers the left glyph.
    pub fn kerning(&self, left: Glyph, right: Glyph) -> i64 {
        for pairs in &self.kerning {
            let value = match pairs {
                Pairs::List(list) => list.get(usize::from(left.id)).and_then(|of_left| {
                    let at = of_left.binary_search_by_key(&right.id, |(id, _)| *id).ok()?;
                    of_left.get(at).map(|(_, value)| *value)
                }),
                Pairs::Classes { left: lefts, right: rights, values } => {
                    let Some(Some(class)) = lefts.get(usize::from(left.id)) else { continue };
                    let other = rights.get(usize::from(right.id)).copied().unwrap_or(0);
                    let of_class = values.get(usize::from(*class));
                    Some(of_class.and_then(|of| of.get(usize::from(other))).copied().unwrap_or(0))
                }
            };
            if let Some(value) = value {
                return i64::from(value);
            }
        }
        0
    }
}

fn measured(face: &Face<'_>, glyph: GlyphId) -> Glyph {
    let ink = face.glyph_bounding_box(glyph);
    Glyph {
        id: glyph.0,
        advance: face.glyph_hor_advance(glyph).map_or(0, i64::from),
        above: ink.map_or(0, |b| i64::from(b.y_max)),
        below: ink.map_or(0, |b| -i64::from(b.y_min)),
    }
}

fn kerning(face: &Face<'_>) -> Vec<Pairs> {
    let Some(gpos) = face.tables().gpos else { return Vec::new() };
    let lookups = gpos.lookups.into_iter();
    let subtables = lookups.flat_map(|l| l.subtables.into_iter::<PositioningSubtable<'_>>());
    let glyphs = || (0..face.number_of_glyphs()).map(GlyphId);
    let read = |subtable| match subtable {
        PositioningSubtable::Pair(PairAdjustment::Format1 { coverage, sets }) => {
            let of_left = |left| {
                let Some(set) = coverage.get(left).and_then(|i| sets.get(i)) else { return Vec::new() };
                glyphs().filter_map(|right| Some((right.0, set.get(right)?.0.x_advance))).collect()
            };
            Some(Pairs::List(glyphs().map(of_left).collect()))
        }
        PositioningSubtable::Pair(PairAdjustment::Format2 { coverage, classes, matrix }) => {
            let left: Vec<Option<u16>> =
                glyphs().map(|g| coverage.contains(g).then(|| classes.0.get(g))).collect();
            let right: Vec<u16> = glyphs().map(|g| classes.1.get(g)).collect();
            let most = |all: &mut dyn Iterator<Item = u16>| all.max().unwrap_or(0);
            let lefts = most(&mut left.iter().flatten().copied());
            let rights = most(&mut right.iter().copied());
            let value = |a, b| matrix.get((a, b)).map_or(0, |(first, _)| first.x_advance);
            let values = (0..=lefts).map(|a| (0..=rights).map(|b| value(a, b)).collect()).collect();
            Some(Pairs::Classes { left, right, values })
        }
        _ => None,
    };
    subtables.filter_map(read).collect()
}
