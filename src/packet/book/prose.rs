//! Text in several letterings in; lines no longer than a limit out, drawn wherever there is room for them.

use crate::draw::lettering;
use crate::draw::{Anchor, Ink, Lettering, Mark, Mm, Point, Scene, Turn};

/// What stands beside a thing and is read second.
pub(super) const QUIET: Lettering = Lettering::SMALL.inked(Ink::SLATE);

/// A stretch of text in one lettering.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Span {
    text: String,
    lettering: Lettering,
}

/// A stretch of text.
pub(super) fn span(text: impl Into<String>, lettering: Lettering) -> Span {
    Span { text: text.into(), lettering }
}

/// Text in which `` `names` `` are set in bold.
pub(super) fn ticked(text: &str, lettering: Lettering) -> Vec<Span> {
    let set = |(i, part): (usize, &str)| {
        let named = i % 2 == 1;
        span(part, if named { lettering.bold() } else { lettering })
    };
    text.split('`').enumerate().map(set).collect()
}

/// A word: pieces that no blank parts.
type Word = Vec<Span>;

/// Lines below one another.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Lines {
    rows: Vec<Vec<(Mm, Span)>>,
    pitch: Mm,
    capital: Mm,
}

/// Breaks text into lines. Nothing is left out: a word wider than `limit` is broken too.
pub(super) fn lay(text: &[Span], limit: Mm) -> Lines {
    let heights = || text.iter().map(|s| s.lettering.height);
    let mut lines = Lines {
        rows: vec![],
        pitch: heights().map(|h| h.pitch()).max().unwrap_or_default(),
        capital: heights().map(|h| h.capital()).max().unwrap_or_default(),
    };
    let mut row: Vec<(Mm, Span)> = Vec::new();
    for word in words(text).iter().flat_map(|word| whole_or_broken(word, limit)) {
        let longer = joined(&row, &word);
        if end(&longer) <= limit || row.is_empty() {
            row = longer;
        } else {
            lines.rows.push(std::mem::replace(&mut row, joined(&[], &word)));
        }
    }
    if !row.is_empty() {
        lines.rows.push(row);
    }
    lines
}

/// A row with one word more.
fn joined(row: &[(Mm, Span)], word: &Word) -> Vec<(Mm, Span)> {
    let mut row = row.to_vec();
    let begun = !row.is_empty();
    for (i, piece) in word.iter().enumerate() {
        let blank = if i == 0 && begun { " " } else { "" };
        let at = end(&row);
        match row.last_mut() {
            // One run of text, not two, where nothing changes: easier to search and to copy.
            Some((_, last)) if last.lettering == piece.lettering => {
                last.text = format!("{}{blank}{}", last.text, piece.text);
            }
            last => {
                let gap =
                    last.filter(|_| !blank.is_empty()).map_or(Mm::ZERO, |(_, last)| blank_of(last.lettering));
                row.push((at + gap, piece.clone()));
            }
        }
    }
    row
}

/// Where a row ends.
fn end(row: &[(Mm, Span)]) -> Mm {
    row.last().map_or(Mm::ZERO, |(at, last)| *at + lettering::width(&last.text, last.lettering))
}

fn blank_of(lettering: Lettering) -> Mm {
    lettering::width("n n", lettering) - lettering::width("nn", lettering)
}

/// One lettering all through.
pub(super) fn plain(text: &str, lettering: Lettering, limit: Mm) -> Lines {
    lay(&[span(text, lettering)], limit)
}

impl Lines {
    /// How many there are.
    pub fn count(&self) -> usize {
        self.rows.len()
    }

    /// Height of all.
    pub fn height(&self) -> Mm {
        self.pitch.times(self.rows.len())
    }

    /// Width of the widest.
    pub fn width(&self) -> Mm {
        let end =
            |row: &Vec<(Mm, Span)>| row.last().map(|(at, s)| *at + lettering::width(&s.text, s.lettering));
        self.rows.iter().filter_map(end).max().unwrap_or_default()
    }

    /// The lines from the one numbered `from`, `count` of them at most.
    pub fn part(&self, from: usize, count: usize) -> Lines {
        let rows = self.rows.iter().skip(from).take(count).cloned().collect();
        Lines { rows, ..*self }
    }

    /// Draws them with their upper left corner at `corner`.
    pub fn draw(&self, scene: &mut Scene, mark: &Mark, corner: Point) {
        for (i, row) in self.rows.iter().enumerate() {
            let baseline = self.baseline(corner.y, i);
            for (x, span) in row {
                scene.text(mark, Point::new(corner.x + *x, baseline), &span.text, span.lettering);
            }
        }
    }

    /// Draws them with the end of each at `x`. For lines of one lettering: figures.
    pub fn draw_to(&self, scene: &mut Scene, mark: &Mark, x: Mm, top: Mm) {
        for (i, row) in self.rows.iter().enumerate() {
            let baseline = Point::new(x, self.baseline(top, i));
            for (_, span) in row {
                scene.text_at(mark, baseline, &span.text, span.lettering, Anchor::End, Turn::Level);
            }
        }
    }

    /// Descenders reach a third of a capital below it.
    fn baseline(&self, top: Mm, row: usize) -> Mm {
        top + self.pitch.times(row + 1) - self.capital.scaled(0.4)
    }
}

fn measured(word: &[Span]) -> Mm {
    word.iter().map(|s| lettering::width(&s.text, s.lettering)).sum()
}

/// The words of a text; what stands together without a blank is one, whatever its letterings.
fn words(text: &[Span]) -> Vec<Word> {
    let mut words: Vec<Word> = Vec::new();
    let mut open = false;
    for Span { text, lettering } in text {
        let text = text.as_str();
        // Blanks at the ends of a stretch part words too.
        open = open && !text.starts_with(char::is_whitespace);
        for part in text.split_whitespace() {
            let piece = span(lettering::printable(part), *lettering);
            match words.last_mut() {
                Some(word) if open => word.push(piece),
                _ => words.push(vec![piece]),
            }
            open = false;
        }
        if !text.is_empty() {
            open = !text.ends_with(char::is_whitespace);
        }
    }
    words
}

fn whole_or_broken(word: &Word, limit: Mm) -> Vec<Word> {
    if measured(word) <= limit {
        return vec![word.clone()];
    }
    let broken = |piece: &Span| {
        let lines = lettering::wrap(&piece.text, piece.lettering, limit);
        lines.into_iter().map(|line| vec![span(line, piece.lettering)]).collect::<Vec<_>>()
    };
    word.iter().flat_map(broken).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::draw::mm;

    fn said(lines: &Lines) -> Vec<String> {
        let row =
            |row: &Vec<(Mm, Span)>| row.iter().map(|(_, s)| s.text.as_str()).collect::<Vec<_>>().join("|");
        lines.rows.iter().map(row).collect()
    }

    #[test]
    fn names_are_bold_and_keep_their_full_stop() {
        let lines = lay(&ticked("move `CHT 1`, then `B`.", Lettering::SMALL), mm(200.0));
        assert_eq!(said(&lines), ["move|CHT 1|, then|B|."]);
        let [.., (_, stop)] = lines.rows[0].as_slice() else { panic!() };
        assert_eq!(stop.lettering, Lettering::SMALL);
        let apart = |i: usize| lines.rows[0][i].0 - lines.rows[0][i - 1].0;
        assert_eq!(apart(2), lettering::width("CHT 1", Lettering::SMALL.bold()), "no blank before a comma");
    }

    #[test]
    fn no_line_is_wider_than_the_limit_and_nothing_is_lost() {
        let text = "a `bold-name-that-is-much-too-long-for-a-line` and  plain\nwords, `x`y";
        for limit in [8.0, 20.0, 55.0].map(mm) {
            let lines = lay(&ticked(text, Lettering::SMALL), limit);
            assert!(lines.width() <= limit, "{limit}: {:?}", said(&lines));
            let kept: String = said(&lines).concat().replace(['|', ' '], "");
            assert_eq!(kept, text.replace(['`', ' ', '\n'], ""));
            assert_eq!(lines.height(), lines.pitch.times(lines.count()));
        }
        assert_eq!(lay(&[], mm(10.0)).height(), Mm::ZERO);
    }

    #[test]
    fn a_part_is_some_of_the_lines() {
        let lines = plain("one two three four", Lettering::SMALL, mm(9.0));
        assert_eq!(lines.count(), 4);
        assert_eq!(said(&lines.part(1, 2)), ["two", "three"]);
    }
}
