//! Samples with their meanings in; a boxed legend in columns out.

use super::geometry::{Area, Extent, Mm, Point, mm};
use super::lettering::{self, Lettering};
use super::mark::{Layer, Mark};
use super::palette::Ink;
use super::scene::{Anchor, Scene};
use super::stroke::Stroke;

/// Room for one sample; its words stand to the right of it.
pub const SAMPLE: Extent = Extent::new(mm(18.0), mm(8.0));

/// What stands over it on every drawing.
const TITLE: &str = "Legend";
const PAD: Mm = mm(3.0);
/// Least free space between the words of two entries: more than between two lines of one.
const BETWEEN: Mm = mm(3.6);
const COLUMN: Mm = mm(75.0);
const WORDS: Lettering = Lettering::SMALL;
const HEADING: Lettering = Lettering::PLAIN.bold();

/// A legend in the making.
#[derive(Clone, Debug, Default)]
pub struct Legend {
    entries: Vec<(Scene, String)>,
}

/// Where one entry goes, from the legend's upper left corner.
struct Placed {
    entry: usize,
    corner: Point,
    height: Mm,
    lines: Vec<String>,
}

impl Legend {
    /// An empty legend.
    pub fn new() -> Legend {
        Legend::default()
    }

    /// True when nothing is to be explained.
    pub fn is_empty(&self) -> bool {
        self.entries.is_empty()
    }

    /// Adds one entry. The sample is drawn by `draw` into the area it is given, of size [`SAMPLE`], under the
    /// mark it is given.
    pub fn entry(&mut self, words: &str, draw: impl FnOnce(&mut Scene, &Mark, Area)) {
        let mut sample = Scene::default();
        draw(&mut sample, &Mark::new(Layer::Note), Area::at(Point::default(), SAMPLE));
        self.entries.push((sample, words.to_owned()));
    }

    /// The same with those entries only of which this says yes to their words.
    pub fn only(&self, used: impl Fn(&str) -> bool) -> Legend {
        let entries = self.entries.iter().filter(|(_, words)| used(words)).cloned().collect();
        Legend { entries }
    }

    /// Its size when it may be as wide as `width`.
    pub fn measure(&self, width: Mm) -> Extent {
        self.layout(width).0
    }

    /// Draws it with its upper left corner at `corner`, as wide as `width` at most; returns its area.
    pub fn draw(&self, scene: &mut Scene, corner: Point, width: Mm) -> Area {
        let (extent, placed) = self.layout(width);
        let area = Area::at(corner, extent);
        let mark = Mark::new(Layer::Note);
        scene.rect(&mark, area, Stroke::MEDIUM.filled(Ink::WHITE));
        let heading = corner.by(PAD, PAD + HEADING.height.capital());
        scene.text(&mark, heading, TITLE, HEADING);
        for one in placed {
            let at = corner.by(one.corner.x, one.corner.y);
            if let Some((sample, _)) = self.entries.get(one.entry) {
                scene.place(sample, at.x, at.y + (one.height - SAMPLE.height) / 2);
            }
            let block = block_height(one.lines.len());
            let top = at.y + (one.height - block) / 2;
            let baseline = Point::new(at.x + SAMPLE.width + PAD, top + WORDS.height.capital());
            scene.text_lines(&mark, baseline, &one.lines, WORDS, Anchor::Start);
        }
        area
    }

    /// As many columns as fit, filled one after another to about the same height.
    fn layout(&self, width: Mm) -> (Extent, Vec<Placed>) {
        let inner = width - PAD * 2;
        let fitting = usize::try_from(inner.um() / COLUMN.um()).unwrap_or(0);
        let columns = fitting.clamp(1, self.entries.len().max(1));
        let column = (inner / i64::try_from(columns).unwrap_or(1)).max(SAMPLE.width + PAD * 2 + mm(15.0));
        let limit = column - SAMPLE.width - PAD * 2;
        let wrapped: Vec<Vec<String>> =
            self.entries.iter().map(|(_, words)| lettering::wrap(words, WORDS, limit)).collect();
        let height = |lines: &Vec<String>| SAMPLE.height.max(block_height(lines.len()) + BETWEEN);
        let all: Mm = wrapped.iter().map(height).sum();
        let share = all / i64::try_from(columns).unwrap_or(1);
        let top = PAD * 2 + HEADING.height.capital();
        let (mut x, mut y, mut lowest, mut used) = (PAD, top, top, 1);
        let mut placed = Vec::new();
        for (entry, lines) in wrapped.into_iter().enumerate() {
            let height = height(&lines);
            if y > top && used < columns && y - top + height / 2 > share {
                (x, y, used) = (x + column, top, used + 1);
            }
            placed.push(Placed { entry, corner: Point::new(x, y), height, lines });
            y += height;
            lowest = lowest.max(y);
        }
        let heading = lettering::width(TITLE, HEADING) + PAD * 2;
        let width = (column.times(used) + PAD * 2).max(heading);
        (Extent::new(width, lowest + PAD), placed)
    }
}

fn block_height(lines: usize) -> Mm {
    WORDS.height.capital() + WORDS.height.pitch().times(lines.saturating_sub(1))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::draw::scene::Shape;

    fn legend(entries: usize) -> Legend {
        let mut legend = Legend::new();
        for i in 0..entries {
            legend.entry(&format!("meaning {i} told in rather many words, so that it wraps"), |s, m, a| {
                s.line(m, Point::new(a.min.x, a.centre().y), Point::new(a.max.x, a.centre().y), Stroke::WIDE);
            });
        }
        legend
    }

    #[test]
    fn everything_stays_inside_the_box() {
        for (entries, width) in [(1, 80.0), (5, 60.0), (9, 200.0), (40, 390.0)] {
            let legend = legend(entries);
            let mut scene = Scene::default();
            let corner = Point::new(mm(20.0), mm(30.0));
            let area = legend.draw(&mut scene, corner, mm(width));
            assert_eq!(area.extent(), legend.measure(mm(width)));
            assert!(area.width() <= mm(width), "{entries} in {width}: {}", area.width());
            for item in scene.items().iter().skip(1) {
                assert!(area.contains(item.bounds().unwrap()), "{item:?}");
            }
        }
    }

    #[test]
    fn entries_stand_further_apart_than_the_lines_of_one() {
        let mut scene = Scene::default();
        legend(6).draw(&mut scene, Point::default(), mm(80.0));
        let words = scene.items().iter().filter(|i| matches!(i.shape, Shape::Text(_))).skip(1);
        let baselines: Vec<(bool, Mm)> = words
            .filter_map(|i| {
                if let Shape::Text(t) = &i.shape {
                    Some((t.words.starts_with("meaning"), t.at.y))
                } else {
                    None
                }
            })
            .collect();
        assert!(baselines.len() > 6, "they wrap");
        for pair in baselines.windows(2) {
            let apart = pair[1].1 - pair[0].1;
            let pitch = WORDS.height.pitch();
            assert!(if pair[1].0 { apart > pitch.scaled(1.35) } else { apart == pitch }, "{apart}");
        }
    }

    #[test]
    fn wide_legends_use_columns() {
        assert!(legend(12).measure(mm(240.0)).height < legend(12).measure(mm(80.0)).height / 2);
    }
}
