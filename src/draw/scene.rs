//! A placed drawing: every item in final sheet coordinates. Drawings fill it, exporters read it, nobody
//! moves anything afterwards.

use super::geometry::{Area, Extent, Mm, Point};
use super::lettering::{self, Lettering};
use super::mark::{Layer, Mark};
use super::stroke::{Paint, Stroke};

/// One shape of an item.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Shape {
    /// A straight line.
    Line {
        /// Start.
        from: Point,
        /// End.
        to: Point,
    },
    /// Straight pieces through all points, back to the first if closed.
    Polyline {
        /// The corners in order.
        points: Vec<Point>,
        /// Whether the last point is joined to the first.
        closed: bool,
    },
    /// An upright rectangle.
    Rect {
        /// Its edges.
        area: Area,
        /// Radius of its corners; zero for sharp ones.
        corner: Mm,
    },
    /// A circle.
    Circle {
        /// Its middle.
        centre: Point,
        /// Its radius.
        radius: Mm,
    },
    /// Part of a circle, drawn clockwise (as seen on paper) from `from` to `to`.
    Arc {
        /// Start.
        from: Point,
        /// End.
        to: Point,
        /// Radius; where it is too small to span the ends, half their distance is drawn.
        radius: Mm,
        /// Whether the way round is the long one, over half a circle.
        long: bool,
    },
    /// A free outline.
    Path(Vec<Step>),
    /// One line of lettering.
    Text(Text),
}

/// One step of a free outline.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Step {
    /// Lifts the pen and sets it down here.
    Move(Point),
    /// A straight piece to here.
    Line(Point),
    /// A cubic curve: first control point, second control point, end.
    Curve(Point, Point, Point),
    /// Back to where the pen was last set down.
    Close,
}

/// Which point of the line stands at the given place.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Anchor {
    /// Its start.
    #[default]
    Start,
    /// Its middle.
    Middle,
    /// Its end.
    End,
}

/// Which way a line of text runs. There are two only: turned further, it could not be read or searched.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Turn {
    /// From left to right.
    #[default]
    Level,
    /// From bottom to top, read from the right of the sheet.
    Up,
}

/// One measured line of lettering.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Text {
    /// Where its anchor stands, on the baseline.
    pub at: Point,
    /// What it says: data, never markup, in its printable form.
    pub words: String,
    /// Which point of it stands at `at`.
    pub anchor: Anchor,
    /// Which way it runs.
    pub turn: Turn,
    /// Height, weight, ink.
    pub lettering: Lettering,
    /// Measured width of the line.
    pub width: Mm,
}

impl Text {
    /// The rectangle that holds the line's ink.
    pub fn area(&self) -> Area {
        let (above, below) = lettering::reach(&self.words, self.lettering);
        let before = match self.anchor {
            Anchor::Start => Mm::ZERO,
            Anchor::Middle => self.width / 2,
            Anchor::End => self.width,
        };
        let after = self.width - before;
        match self.turn {
            Turn::Level => Area::between(self.at.by(-before, -above), self.at.by(after, below)),
            Turn::Up => Area::between(self.at.by(-above, before), self.at.by(below, -after)),
        }
    }
}

/// One drawn thing.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Item {
    /// Its layer and what it stands for.
    pub mark: Mark,
    /// Its shape.
    pub shape: Shape,
    /// Outline and fill; lettering carries its own ink and has none here.
    pub paint: Paint,
}

impl Item {
    /// The rectangle that holds all its ink, line widths included. Curves may be judged a little too large,
    /// never too small. None for a shape without points.
    pub fn bounds(&self) -> Option<Area> {
        let edge = self.paint.stroke.map_or(Mm::ZERO, |s| s.width.width() / 2);
        let bare = match &self.shape {
            Shape::Line { from, to } => Some(Area::between(*from, *to)),
            Shape::Polyline { points, .. } => Area::around(points.iter().copied()),
            Shape::Rect { area, .. } => Some(*area),
            Shape::Circle { centre, radius } => Some(Area { min: *centre, max: *centre }.grown(*radius)),
            Shape::Arc { from, to, radius, long } => super::outline::arc_bounds(*from, *to, *radius, *long),
            Shape::Path(steps) => Area::around(steps.iter().flat_map(|s| match s {
                Step::Move(p) | Step::Line(p) => vec![*p],
                Step::Curve(a, b, c) => vec![*a, *b, *c],
                Step::Close => vec![],
            })),
            Shape::Text(text) => Some(text.area()),
        };
        bare.map(|a| a.grown(edge))
    }
}

/// A placed drawing on one sheet.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Scene {
    /// Size of the sheet.
    pub size: Extent,
    /// What it shows, for the file's title.
    pub title: String,
    /// Cautions and what the drawing is not, for the file's description.
    pub caution: String,
    /// BCP 47 language of the lettering, `en` unless the spec says otherwise.
    pub language: String,
    /// The frame that only frame items may leave; None for a part that has no sheet yet.
    pub frame: Option<Area>,
    /// Places that only frame items may enter: title block, banner.
    pub reserved: Vec<Area>,
    /// Where set, a window: paper, frame and notes are seen whole, all other items only inside it.
    pub clip: Option<Area>,
    items: Vec<Item>,
}

impl Scene {
    /// An empty sheet of this size.
    pub fn new(size: Extent) -> Scene {
        Scene { size, language: "en".to_owned(), ..Scene::default() }
    }

    /// Everything drawn so far, in the order it was drawn.
    pub fn items(&self) -> &[Item] {
        &self.items
    }

    /// All items, layer by layer; within a layer in the order they were drawn.
    pub fn in_paint_order(&self) -> Vec<&Item> {
        let mut items: Vec<&Item> = self.items.iter().collect();
        items.sort_by_key(|i| i.mark.layer);
        items
    }

    /// The window that an item is seen through; None for what is seen whole.
    pub fn window(&self, item: &Item) -> Option<Area> {
        self.clip.filter(|_| item.mark.layer.is_of_drawing())
    }

    /// The rectangle around all items but the paper; None while nothing is drawn.
    pub fn bounds(&self) -> Option<Area> {
        self.items
            .iter()
            .filter(|i| i.mark.layer != Layer::Paper)
            .filter_map(Item::bounds)
            .reduce(Area::union)
    }

    /// Adds any shape.
    pub fn add(&mut self, mark: &Mark, shape: Shape, paint: impl Into<Paint>) {
        self.items.push(Item { mark: mark.clone(), shape, paint: paint.into() });
    }

    /// A straight line.
    pub fn line(&mut self, mark: &Mark, from: Point, to: Point, stroke: Stroke) {
        self.add(mark, Shape::Line { from, to }, stroke);
    }

    /// Straight pieces through all points.
    pub fn polyline(&mut self, mark: &Mark, points: Vec<Point>, stroke: Stroke) {
        self.add(mark, Shape::Polyline { points, closed: false }, stroke);
    }

    /// A closed outline of straight pieces.
    pub fn polygon(&mut self, mark: &Mark, points: Vec<Point>, paint: impl Into<Paint>) {
        self.add(mark, Shape::Polyline { points, closed: true }, paint);
    }

    /// A rectangle with sharp corners.
    pub fn rect(&mut self, mark: &Mark, area: Area, paint: impl Into<Paint>) {
        self.rounded_rect(mark, area, Mm::ZERO, paint);
    }

    /// A rectangle with rounded corners.
    pub fn rounded_rect(&mut self, mark: &Mark, area: Area, corner: Mm, paint: impl Into<Paint>) {
        self.add(mark, Shape::Rect { area, corner }, paint);
    }

    /// A circle.
    pub fn circle(&mut self, mark: &Mark, centre: Point, radius: Mm, paint: impl Into<Paint>) {
        self.add(mark, Shape::Circle { centre, radius }, paint);
    }

    /// A filled dot.
    pub fn dot(&mut self, mark: &Mark, centre: Point, radius: Mm, ink: super::palette::Ink) {
        self.circle(mark, centre, radius, ink);
    }

    /// The shorter part of a circle, clockwise on paper.
    pub fn arc(&mut self, mark: &Mark, from: Point, to: Point, radius: Mm, stroke: Stroke) {
        self.add(mark, Shape::Arc { from, to, radius, long: false }, stroke);
    }

    /// A free outline.
    pub fn path(&mut self, mark: &Mark, steps: Vec<Step>, paint: impl Into<Paint>) {
        self.add(mark, Shape::Path(steps), paint);
    }

    /// One line of lettering, level, with its start on the baseline at `at`.
    pub fn text(&mut self, mark: &Mark, at: Point, words: &str, lettering: Lettering) {
        self.text_at(mark, at, words, lettering, Anchor::Start, Turn::Level);
    }

    /// One line of lettering. The words are made printable; empty words draw nothing.
    pub fn text_at(
        &mut self,
        mark: &Mark,
        at: Point,
        words: &str,
        lettering: Lettering,
        anchor: Anchor,
        turn: Turn,
    ) {
        let words = lettering::printable(words);
        if words.is_empty() {
            return;
        }
        let width = lettering::width(&words, lettering);
        let text = Text { at, words, anchor, turn, lettering, width };
        self.add(mark, Shape::Text(text), Paint::default());
    }

    /// Lines below one another, the first one's baseline at `at`; returns the last baseline.
    pub fn text_lines<S: AsRef<str>>(
        &mut self,
        mark: &Mark,
        at: Point,
        lines: &[S],
        lettering: Lettering,
        anchor: Anchor,
    ) -> Mm {
        let mut baseline = at.y;
        for (i, line) in lines.iter().enumerate() {
            baseline = at.y + lettering.height.pitch().times(i);
            self.text_at(mark, Point::new(at.x, baseline), line.as_ref(), lettering, anchor, Turn::Level);
        }
        baseline
    }

    /// One line of lettering on a plate that hides what lies below, its middle at `centre`: for a label on a
    /// line. Returns the plate's area; nothing is drawn for empty words.
    pub fn plate(
        &mut self,
        mark: &Mark,
        centre: Point,
        words: &str,
        lettering: Lettering,
        paint: impl Into<Paint>,
    ) -> Area {
        let (above, below) = lettering::reach(words, lettering);
        let capital = lettering.height.capital();
        let tall = (above - capital / 2).max(below + capital / 2) + capital / 4;
        let wide = lettering::width(words, lettering) / 2 + capital / 2;
        let area = Area::between(centre.by(-wide, -tall), centre.by(wide, tall));
        if !lettering::printable(words).is_empty() {
            self.rect(mark, area, paint);
            let at = centre.by(Mm::ZERO, capital / 2);
            self.text_at(mark, at, words, lettering, Anchor::Middle, Turn::Level);
        }
        area
    }

    /// Takes over all items of another scene, moved by `dx`, `dy`: for a part that was measured on its own
    /// before its place was known.
    pub fn place(&mut self, part: &Scene, dx: Mm, dy: Mm) {
        let moved = |p: &Point| p.by(dx, dy);
        for item in &part.items {
            let shape = match &item.shape {
                Shape::Line { from, to } => Shape::Line { from: moved(from), to: moved(to) },
                Shape::Polyline { points, closed } => {
                    Shape::Polyline { points: points.iter().map(moved).collect(), closed: *closed }
                }
                Shape::Rect { area, corner } => Shape::Rect {
                    area: Area { min: moved(&area.min), max: moved(&area.max) },
                    corner: *corner,
                },
                Shape::Circle { centre, radius } => Shape::Circle { centre: moved(centre), radius: *radius },
                Shape::Arc { from, to, radius, long } => {
                    Shape::Arc { from: moved(from), to: moved(to), radius: *radius, long: *long }
                }
                Shape::Path(steps) => Shape::Path(
                    steps
                        .iter()
                        .map(|s| match s {
                            Step::Move(p) => Step::Move(moved(p)),
                            Step::Line(p) => Step::Line(moved(p)),
                            Step::Curve(a, b, c) => Step::Curve(moved(a), moved(b), moved(c)),
                            Step::Close => Step::Close,
                        })
                        .collect(),
                ),
                Shape::Text(text) => Shape::Text(Text { at: moved(&text.at), ..text.clone() }),
            };
            self.items.push(Item { mark: item.mark.clone(), shape, paint: item.paint });
        }
    }
}
