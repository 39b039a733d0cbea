//! Words with their lettering in; a measured block of lines out, drawn later wherever there is room for it.

use crate::draw::geometry::{Area, Extent, Mm, Point};
use crate::draw::lettering::{self, Lettering};
use crate::draw::mark::Mark;
use crate::draw::scene::Scene;

/// Words of one kind: they may be broken over lines.
#[derive(Clone, Debug)]
pub(super) struct Words {
    text: String,
    lettering: Lettering,
    mark: Mark,
}

/// Words in this lettering, under this mark.
pub(super) fn words(text: &str, lettering: Lettering, mark: &Mark) -> Words {
    Words { text: text.to_owned(), lettering, mark: mark.clone() }
}

/// A sign drawn at the head of a line, its middle at the given point.
pub(super) type Sign = fn(&mut Scene, &Mark, Point);

/// Room that a sign takes at the head of its line.
const SIGN: Mm = Mm::from_um(4_400);

#[derive(Clone, Debug)]
struct Row {
    /// From the block's top.
    top: Mm,
    height: Mm,
    capital: Mm,
    sign: Option<(Sign, Mark)>,
    /// Distance from the left edge, and the words.
    spans: Vec<(Mm, Words)>,
    width: Mm,
}

/// Lines below one another.
#[derive(Clone, Debug, Default)]
pub(super) struct Block {
    rows: Vec<Row>,
    size: Extent,
}

impl Block {
    /// Width and height over all.
    pub fn size(&self) -> Extent {
        self.size
    }

    /// Adds one entry, broken over as many lines as it takes at this width.
    pub fn add(&mut self, entry: &[Words], limit: Mm) {
        self.entry(None, entry, limit);
    }

    /// Adds one entry with a sign before its first line.
    pub fn add_signed(&mut self, sign: Sign, mark: &Mark, entry: &[Words], limit: Mm) {
        self.entry(Some((sign, mark.clone())), entry, limit);
    }

    fn entry(&mut self, mut sign: Option<(Sign, Mark)>, entry: &[Words], limit: Mm) {
        let indent = if sign.is_some() { SIGN } else { Mm::ZERO };
        let mut line: Vec<(Mm, Words)> = Vec::new();
        let mut x = indent;
        for words in entry {
            let space = lettering::width("n", words.lettering) / 2;
            for word in pieces(words, limit - indent) {
                let width = lettering::width(&word, words.lettering);
                let gap = if line.is_empty() { Mm::ZERO } else { space };
                if !line.is_empty() && x + gap + width > limit {
                    self.row(&mut sign, std::mem::take(&mut line), x);
                    x = indent;
                }
                match line.last_mut() {
                    // One line of lettering, not two, where nothing changes: easier to search and copy.
                    Some((at, last)) if last.mark == words.mark && last.lettering == words.lettering => {
                        last.text = format!("{} {word}", last.text);
                        x = *at + lettering::width(&last.text, last.lettering);
                    }
                    _ => {
                        let at = if line.is_empty() { indent } else { x + space };
                        x = at + width;
                        line.push((at, Words { text: word, ..words.clone() }));
                    }
                }
            }
        }
        if !line.is_empty() {
            self.row(&mut sign, line, x);
        }
    }

    fn row(&mut self, sign: &mut Option<(Sign, Mark)>, spans: Vec<(Mm, Words)>, width: Mm) {
        let height = spans.iter().map(|(_, w)| w.lettering.height.pitch()).max().unwrap_or_default();
        let capital = spans.iter().map(|(_, w)| w.lettering.height.capital()).max().unwrap_or_default();
        let top = self.size.height;
        self.rows.push(Row { top, height, capital, sign: sign.take(), spans, width });
        self.size = Extent::new(self.size.width.max(width), top + height);
    }

    /// Draws it, lines from the left, with its upper left corner at `corner`.
    pub fn draw(&self, scene: &mut Scene, corner: Point) {
        for row in &self.rows {
            row.draw(scene, corner);
        }
    }

    /// Draws it with every line in the middle of its width.
    pub fn draw_centred(&self, scene: &mut Scene, corner: Point) {
        for row in &self.rows {
            row.draw(scene, corner.by((self.size.width - row.width) / 2, Mm::ZERO));
        }
    }

    /// Draws it with every line ending at its right edge.
    pub fn draw_ended(&self, scene: &mut Scene, corner: Point) {
        for row in &self.rows {
            row.draw(scene, corner.by(self.size.width - row.width, Mm::ZERO));
        }
    }

    /// How far below its top the middle of its first line's capitals is.
    pub fn first_middle(&self) -> Mm {
        self.rows.first().map_or(Mm::ZERO, |row| row.height - row.capital.scaled(0.88))
    }

    /// The rectangle it takes when drawn at `corner`.
    pub fn area(&self, corner: Point) -> Area {
        Area::at(corner, self.size)
    }
}

impl Row {
    fn draw(&self, scene: &mut Scene, corner: Point) {
        // Descenders reach a third of a capital down, accents as far up.
        let baseline = corner.y + self.top + self.height - self.capital.scaled(0.38);
        if let Some((sign, mark)) = &self.sign {
            sign(
                scene,
                mark,
                Point::new(corner.x + SIGN / 2 - Mm::from_um(500), baseline - self.capital / 2),
            );
        }
        for (x, words) in &self.spans {
            scene.text(&words.mark, Point::new(corner.x + *x, baseline), &words.text, words.lettering);
        }
    }
}

/// The words one by one; those wider than `limit` in pieces.
fn pieces(words: &Words, limit: Mm) -> Vec<String> {
    let text = lettering::printable(&words.text);
    let whole = |word: &str| lettering::width(word, words.lettering) <= limit;
    text.split(' ')
        .filter(|w| !w.is_empty())
        .flat_map(|word| {
            if whole(word) { vec![word.to_owned()] } else { lettering::wrap(word, words.lettering, limit) }
        })
        .collect()
}
