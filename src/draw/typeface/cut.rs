//! The letters that a file uses in; the typeface with these and no others out, as an OpenType file that browsers take.
//!
//! Advances, outlines and kerning are the ones that lines were measured with. The names in the file, copyright and licence
//! among them, are taken over as they are.

use std::collections::{BTreeMap, BTreeSet};

use ttf_parser::Face;
use write_fonts::FontBuilder;
use write_fonts::tables::cmap::Cmap;
use write_fonts::tables::gpos::{
    Gpos, PairPos, PairSet, PairValueRecord, PositionLookup, PositionLookupList, ValueRecord,
};
use write_fonts::tables::layout::{
    CoverageTable, Feature, FeatureList, FeatureRecord, LangSys, Lookup, LookupFlag, Script, ScriptList,
    ScriptRecord,
};
use write_fonts::types::{GlyphId, GlyphId16, Tag};

use super::measure::{self, Measures};
use super::outlines::{self, Glyph};
use super::{FAMILY, Weight, file, measures};

/// A weight of the typeface with these letters only, as far as it has them.
///
/// The whole file, should anything stand against it: more than is asked for, never less.
pub fn cut(weight: Weight, letters: &BTreeSet<char>) -> Vec<u8> {
    measures(weight)
        .and_then(|measures| cut_down(weight, measures, letters))
        .unwrap_or_else(|| file(weight).to_vec())
}

fn cut_down(weight: Weight, measures: &Measures, letters: &BTreeSet<char>) -> Option<Vec<u8>> {
    let whole = file(weight);
    let face = Face::parse(whole, 0).ok()?;
    let missing = face.glyph_hor_advance(ttf_parser::GlyphId(0)).map_or(0, i64::from);
    let mut glyphs = vec![Glyph { id: 0, advance: missing, letter: None }];
    let mut kept: Vec<measure::Glyph> = Vec::new();
    let mut numbers: BTreeMap<u16, u16> = BTreeMap::new();
    let mut mappings = Vec::new();
    for letter in letters {
        let Some(glyph) = measures.glyph(*letter) else { continue };
        let number = match numbers.get(&glyph.id) {
            Some(number) => *number,
            None => {
                let number = u16::try_from(glyphs.len()).ok()?;
                numbers.insert(glyph.id, number);
                glyphs.push(Glyph { id: glyph.id, advance: glyph.advance, letter: Some(*letter) });
                kept.push(glyph);
                number
            }
        };
        mappings.push((*letter, GlyphId::from(number)));
    }
    let raw = face.raw_face();
    let table = |name: &[u8; 4]| raw.table(ttf_parser::Tag::from_bytes(name));
    let count = u16::try_from(glyphs.len()).ok()?;
    let mut font = FontBuilder::new();
    for name in [b"OS/2", b"head", b"name", b"post"] {
        font.add_raw(Tag::new(name), table(name)?);
    }
    // Every glyph has its own advance: as many as there are glyphs is what the table says last.
    let mut heights = table(b"hhea")?.to_vec();
    let last = heights.len().checked_sub(2)?;
    heights.get_mut(last..)?.copy_from_slice(&count.to_be_bytes());
    font.add_raw(Tag::new(b"hhea"), heights);
    font.add_raw(Tag::new(b"maxp"), [&[0, 0, 0x50, 0][..], &count.to_be_bytes()].concat());
    font.add_raw(Tag::new(b"hmtx"), advances(&face, &glyphs)?);
    let postscript = match weight {
        Weight::Regular => format!("{FAMILY}-Regular"),
        Weight::Bold => format!("{FAMILY}-Bold"),
    };
    font.add_raw(Tag::new(b"CFF "), outlines::program(&face, &postscript, &glyphs));
    font.add_table(&Cmap::from_mappings(mappings).ok()?).ok()?;
    if let Some(kerning) = kerning(measures, &kept) {
        font.add_table(&kerning).ok()?;
    }
    Some(font.build())
}

/// Advance and left edge of each glyph.
fn advances(face: &Face<'_>, glyphs: &[Glyph]) -> Option<Vec<u8>> {
    let mut out = Vec::new();
    for glyph in glyphs {
        let left = face.glyph_hor_side_bearing(ttf_parser::GlyphId(glyph.id)).unwrap_or(0);
        out.extend(u16::try_from(glyph.advance).ok()?.to_be_bytes());
        out.extend(left.to_be_bytes());
    }
    Some(out)
}

/// Every pair of these glyphs that stands nearer or farther than their advances say; their numbers begin with 1. None where
/// there is no such pair.
fn kerning(measures: &Measures, glyphs: &[measure::Glyph]) -> Option<Gpos> {
    let numbered = || (1_u16..).map(GlyphId16::new).zip(glyphs);
    let mut lefts: Vec<GlyphId16> = Vec::new();
    let mut sets: Vec<PairSet> = Vec::new();
    for (number, left) in numbered() {
        let pair = |(other, right): (GlyphId16, &measure::Glyph)| {
            let value = i16::try_from(measures.kerning(*left, *right)).ok().filter(|value| *value != 0)?;
            let nearer = ValueRecord::new().with_x_advance(value);
            Some(PairValueRecord::new(other, nearer, ValueRecord::new()))
        };
        let pairs: Vec<PairValueRecord> = numbered().filter_map(pair).collect();
        if !pairs.is_empty() {
            lefts.push(number);
            sets.push(PairSet::new(pairs));
        }
    }
    if sets.is_empty() {
        return None;
    }
    let pairs = PairPos::format_1(CoverageTable::from(lefts), sets);
    let lookup = PositionLookup::Pair(Lookup::new(LookupFlag::empty(), vec![pairs]));
    let feature = FeatureRecord::new(Tag::new(b"kern"), Feature::new(None, vec![0]));
    let script = Script::new(Some(LangSys::new(vec![0])), vec![]);
    Some(Gpos::new(
        ScriptList::new(vec![ScriptRecord::new(Tag::new(b"DFLT"), script)]),
        FeatureList::new(vec![feature]),
        PositionLookupList::new(vec![lookup]),
    ))
}

#[cfg(test)]
mod tests {
    use ttf_parser::OutlineBuilder;

    use super::*;

    fn letters(words: &str) -> BTreeSet<char> {
        words.chars().collect()
    }

    /// The points of an outline, in words.
    #[derive(Default)]
    struct Told(String);

    impl OutlineBuilder for Told {
        fn move_to(&mut self, x: f32, y: f32) {
            self.0 += &format!("M{x} {y} ");
        }

        fn line_to(&mut self, x: f32, y: f32) {
            self.0 += &format!("L{x} {y} ");
        }

        fn quad_to(&mut self, x1: f32, y1: f32, x: f32, y: f32) {
            self.0 += &format!("Q{x1} {y1} {x} {y} ");
        }

        fn curve_to(&mut self, x1: f32, y1: f32, x2: f32, y2: f32, x: f32, y: f32) {
            self.0 += &format!("C{x1} {y1} {x2} {y2} {x} {y} ");
        }

        fn close(&mut self) {
            self.0 += "Z ";
        }
    }

    fn outline(face: &Face<'_>, letter: char) -> String {
        let mut told = Told::default();
        if let Some(glyph) = face.glyph_index(letter) {
            face.outline_glyph(glyph, &mut told);
        }
        told.0
    }

    /// Every letter that the typeface has.
    fn all() -> BTreeSet<char> {
        ('\u{20}'..='\u{ffff}').filter(|letter| super::super::has(*letter)).collect()
    }

    #[test]
    fn every_letter_is_drawn_and_measured_as_before() {
        let all = all();
        assert!(all.len() > 300);
        for weight in Weight::ALL {
            let cut = cut(weight, &all);
            assert_ne!(cut, file(weight), "cut down, not given back whole");
            let (before, after) = (Face::parse(file(weight), 0).unwrap(), Face::parse(&cut, 0).unwrap());
            let (whole, own) = (measures(weight).unwrap(), Measures::read(&cut).unwrap());
            for letter in &all {
                assert_eq!(outline(&after, *letter), outline(&before, *letter), "{letter}");
                let (a, b) = (own.glyph(*letter).unwrap(), whole.glyph(*letter).unwrap());
                assert_eq!((a.advance, a.above, a.below), (b.advance, b.above, b.below), "{letter}");
                for right in all.iter().step_by(3) {
                    let (c, d) = (own.glyph(*right).unwrap(), whole.glyph(*right).unwrap());
                    assert_eq!(own.kerning(a, c), whole.kerning(b, d), "{letter}{right}");
                }
            }
            for value in
                [Face::units_per_em, |f: &Face<'_>| f.ascender() as u16, |f: &Face<'_>| f.line_gap() as u16]
            {
                assert_eq!(value(&after), value(&before));
            }
        }
    }

    #[test]
    fn only_the_letters_asked_for_are_inside() {
        let cut_to = cut(Weight::Bold, &letters("E1A20-CHROM ф"));
        let face = Face::parse(&cut_to, 0).unwrap();
        assert_eq!(face.number_of_glyphs(), 13, "twelve letters, and what stands for missing ones");
        assert!(
            face.glyph_index('E').is_some()
                && face.glyph_index('e').is_none()
                && face.glyph_index('ф').is_none()
        );
        assert!(cut_to.len() < file(Weight::Bold).len() / 10, "{} bytes", cut_to.len());
        assert_eq!(cut_to, cut(Weight::Bold, &letters("OMRHC-02A1E ф")), "the same letters, the same bytes");
        // Nothing at all is a typeface too.
        assert_eq!(Face::parse(&cut(Weight::Regular, &BTreeSet::new()), 0).unwrap().number_of_glyphs(), 1);
    }

    #[test]
    fn copyright_and_licence_stay_in_the_file() {
        for weight in Weight::ALL {
            let cut = cut(weight, &letters("a"));
            let (before, after) = (Face::parse(file(weight), 0).unwrap(), Face::parse(&cut, 0).unwrap());
            let name = ttf_parser::Tag::from_bytes(b"name");
            assert_eq!(after.raw_face().table(name), before.raw_face().table(name));
            let said: Vec<String> = after.names().into_iter().filter_map(|n| n.to_string()).collect();
            assert!(said.iter().any(|n| n.contains("Open Font License")), "{said:?}");
        }
    }

    #[test]
    fn the_whole_file_sums_up_as_the_format_asks() {
        // OpenType, `head`: the sum of a font as 32-bit words is 0xB1B0AFBA.
        let cut = cut(Weight::Regular, &letters("AVATAR 14 V"));
        let words = cut.chunks(4).map(|word| u32::from_be_bytes([word[0], word[1], word[2], word[3]]));
        assert_eq!(words.fold(0, u32::wrapping_add), 0xb1b0_afba);
    }
}
