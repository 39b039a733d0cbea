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
    /// Values of single pairs.
    List(BTreeMap<(u16, u16), i16>),
    /// Class of each left glyph (None where not covered), class of each right glyph, values by both.
    Classes { left: Vec<Option<u16>>, right: Vec<u16>, values: BTreeMap<(u16, u16), i16> },
}

/// Everything measured of one weight.
pub struct Measures {
    letters: BTreeMap<char, Glyph>,
    kerning: Vec<Pairs>,
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
        Some(Measures { letters, kerning: kerning(&face) })
    }

    /// The letter's glyph, if the typeface has it.
    pub fn glyph(&self, letter: char) -> Option<Glyph> {
        self.letters.get(&letter).copied()
    }

    /// What the pair's distance differs from the left letter's advance, as OpenType rules it: subtables in
    /// order; a list decides where it holds the pair, a class table wherever it covers the left glyph.
    pub fn kerning(&self, left: Glyph, right: Glyph) -> i64 {
        for pairs in &self.kerning {
            let value = match pairs {
                Pairs::List(list) => list.get(&(left.id, right.id)),
                Pairs::Classes { left: lefts, right: rights, values } => {
                    let Some(Some(class)) = lefts.get(usize::from(left.id)) else { continue };
                    let other = rights.get(usize::from(right.id)).copied().unwrap_or(0);
                    Some(values.get(&(*class, other)).unwrap_or(&0))
                }
            };
            if let Some(value) = value {
                return i64::from(*value);
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
            let mut list = BTreeMap::new();
            for left in glyphs() {
                let Some(set) = coverage.get(left).and_then(|i| sets.get(i)) else { continue };
                for right in glyphs() {
                    if let Some((first, _)) = set.get(right) {
                        list.insert((left.0, right.0), first.x_advance);
                    }
                }
            }
            Some(Pairs::List(list))
        }
        PositioningSubtable::Pair(PairAdjustment::Format2 { coverage, classes, matrix }) => {
            let left: Vec<Option<u16>> =
                glyphs().map(|g| coverage.contains(g).then(|| classes.0.get(g))).collect();
            let right: Vec<u16> = glyphs().map(|g| classes.1.get(g)).collect();
            let most = |all: &mut dyn Iterator<Item = u16>| all.max().unwrap_or(0);
            let lefts = most(&mut left.iter().flatten().copied());
            let rights = most(&mut right.iter().copied());
            let mut values = BTreeMap::new();
            for a in 0..=lefts {
                for b in 0..=rights {
                    if let Some((first, _)) = matrix.get((a, b)).filter(|(v, _)| v.x_advance != 0) {
                        values.insert((a, b), first.x_advance);
                    }
                }
            }
            Some(Pairs::Classes { left, right, values })
        }
        _ => None,
    };
    subtables.filter_map(read).collect()
}
