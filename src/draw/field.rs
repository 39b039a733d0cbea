//! A caption and its values in; one field of a title block out, of the height that its words take.

use super::geometry::{Mm, Point, mm};
use super::lettering::{self, Fitted, Height, Lettering};
use super::mark::Mark;
use super::palette::Ink;
use super::scene::{Anchor, Scene};
use super::stroke::Stroke;

/// Free space inside a field's edges.
pub const PAD: Mm = mm(1.6);
const GAP: Mm = mm(1.5);
/// How a caption is lettered.
pub(super) const CAPTION: Lettering = Lettering::SMALL.inked(Ink::SLATE);

/// One field: its caption, and its values below one another.
#[derive(Clone, Debug)]
pub struct Field {
    pub(super) width: Mm,
    pub(super) caption: &'static str,
    pub(super) values: Vec<Fitted>,
}

impl Field {
    /// A field of this width with one value.
    pub fn new(width: Mm, caption: &'static str, value: &str, lettering: Lettering) -> Field {
        Field { width, caption, values: Vec::new() }.and(value, lettering)
    }

    /// One value more, below. Headings stay larger than the rest. An empty value keeps the height of a line, for
    /// handwriting.
    pub fn and(mut self, value: &str, lettering: Lettering) -> Field {
        let most = if lettering.height > Height::H3_5 { 2 } else { 1 };
        let floor = if lettering.height > Height::H3_5 { Height::H3_5 } else { Height::H2_5 };
        let mut fitted = lettering::fit(value, lettering, self.width - PAD * 2, most, floor);
        if fitted.lines.is_empty() {
            fitted = Fitted { lines: vec![String::new()], lettering };
        }
        self.values.push(fitted);
        self
    }

    fn height(&self) -> Mm {
        let values: Mm =
            self.values.iter().map(|v| v.height() + GAP + v.lettering.height.capital() / 3).sum();
        PAD + CAPTION.height.capital() + values + PAD / 2
    }

    fn draw(&self, scene: &mut Scene, mark: &Mark, corner: Point) {
        let x = corner.x + PAD;
        let mut y = corner.y + PAD + CAPTION.height.capital();
        scene.text(mark, Point::new(x, y), self.caption, CAPTION);
        for value in &self.values {
            let capital = value.lettering.height.capital();
            let at = Point::new(x, y + GAP + capital);
            y = scene.text_lines(mark, at, &value.lines, value.lettering, Anchor::Start) + capital / 3;
        }
    }
}

/// Height of a row of fields.
pub fn row_height(row: &[Field]) -> Mm {
    row.iter().map(Field::height).max().unwrap_or_default()
}

/// Draws a row of fields from its upper left corner on, with a line between one and the next.
pub fn draw_row(scene: &mut Scene, mark: &Mark, row: &[Field], corner: Point) {
    let height = row_height(row);
    let mut at = corner;
    for (i, field) in row.iter().enumerate() {
        if i > 0 {
            scene.line(mark, at, at.by(Mm::ZERO, height), Stroke::MEDIUM);
        }
        field.draw(scene, mark, at);
        at = at.by(field.width, Mm::ZERO);
    }
}
