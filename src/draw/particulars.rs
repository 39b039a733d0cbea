//! Words with what is to be said of each in; a list in two columns, what is asked on the left, what is so on the right, out.

use super::block::{Block, Words, words};
use super::geometry::{Mm, Point, mm};
use super::lettering::{self, Lettering};
use super::mark::Mark;
use super::palette::Ink;
use super::scene::Scene;

const ASKED: Lettering = Lettering::SMALL.inked(Ink::SLATE);
const GAP: Mm = mm(3.0);

/// A list in the making.
pub struct Particulars {
    mark: Mark,
    rows: Vec<(&'static str, Vec<Words>)>,
}

impl Particulars {
    /// An empty one; what is asked stands under this mark.
    pub fn new(mark: &Mark) -> Particulars {
        Particulars { mark: mark.clone(), rows: Vec::new() }
    }

    /// Adds a row.
    pub fn say(&mut self, asked: &'static str, is: Vec<Words>) {
        self.rows.push((asked, is));
    }

    fn column(&self) -> Mm {
        self.rows.iter().map(|(asked, _)| lettering::width(asked, ASKED)).max().unwrap_or_default() + GAP
    }

    fn blocks(&self, width: Mm) -> Vec<(Block, Block)> {
        let column = self.column();
        let row = |(asked, is): &(&'static str, Vec<Words>)| {
            let (mut left, mut right) = (Block::default(), Block::default());
            left.add(&[words(asked, ASKED, &self.mark)], column);
            right.add(is, width - column);
            (left, right)
        };
        self.rows.iter().map(row).collect()
    }

    /// Draws it with its upper left corner at `corner`; returns where it ends.
    pub fn draw(&self, scene: &mut Scene, corner: Point, width: Mm) -> Mm {
        let mut y = corner.y;
        for (left, right) in self.blocks(width) {
            left.draw(scene, Point::new(corner.x, y));
            right.draw(scene, Point::new(corner.x + self.column(), y));
            y += left.size().height.max(right.size().height);
        }
        y
    }
}
