//! Content size, title block and banner in; a sheet of ISO 5457 with frame, zone grid and the free drawing
//! area out.
//!
//! Source of sizes, borders, grid fields and centring marks: ISO 5457:1999, clauses 3 to 4 (from memory).

use super::geometry::{Area, Extent, Mm, Point, mm};
use super::graduation;
use super::lettering::{self, Fitted, Height, Lettering};
use super::mark::{Layer, Mark};
use super::palette::Ink;
use super::scene::{Anchor, Scene, Turn};
use super::stroke::Stroke;
use super::title_block::{self, TitleBlock};

/// Filing edge on the left, frame included.
const FILING_EDGE: Mm = mm(20.0);
/// Border on the other three sides.
const BORDER: Mm = mm(10.0);
/// Width of the zone grid's border, outside the frame.
const GRID: Mm = mm(5.0);
/// Length of a zone field.
const FIELD: Mm = mm(50.0);
/// Free space kept inside the frame; also clears the centring marks.
const MARGIN: Mm = mm(6.0);

/// A sheet size.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Format {
    /// `A3`; for a sheet longer than the series, its measures.
    pub name: String,
    /// Trimmed size.
    pub size: Extent,
}

impl Format {
    fn named(name: &str, width: f64, height: f64) -> Format {
        Format { name: name.to_owned(), size: Extent::new(mm(width), mm(height)) }
    }

    /// A4 upright, the standard position of this size.
    pub fn a4() -> Format {
        Format::named("A4", 210.0, 297.0)
    }

    /// A4 lying: for lists and for boards, where a shop's printer takes nothing else.
    pub fn a4_landscape() -> Format {
        Format::named("A4", 297.0, 210.0)
    }

    /// The series a drawing is fitted to, smallest first.
    pub fn series() -> [Format; 4] {
        [
            Format::a4(),
            Format::named("A3", 420.0, 297.0),
            Format::named("A2", 594.0, 420.0),
            Format::named("A1", 841.0, 594.0),
        ]
    }

    /// The frame of the drawing space.
    fn frame(&self) -> Area {
        Area::between(
            Point::new(FILING_EDGE, BORDER),
            Point::new(self.size.width - BORDER, self.size.height - BORDER),
        )
    }
}

/// A sheet with its fixed parts placed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Sheet {
    /// Its size.
    pub format: Format,
    /// The frame: nothing but frame, grid and marks lies outside.
    pub frame: Area,
    /// Where the drawing goes: over the whole width, above the title block, below the banner.
    pub drawing: Area,
    /// What is free left of the title block, for notes and a legend; None where the block fills the width.
    pub beside_block: Option<Area>,
    block_area: Area,
    block: TitleBlock,
    banner: Option<(Area, Fitted)>,
}

impl Sheet {
    /// The smallest sheet of the series whose drawing area holds `content`. Where none does, a sheet of A1's
    /// height, or higher where it must be, as long as the content needs: nothing is left out.
    pub fn fitting(content: Extent, block: &TitleBlock, banner: Option<&str>) -> Sheet {
        let mut sheets = Format::series().map(|f| Sheet::on(f, block, banner)).into_iter();
        if let Some(sheet) = sheets.find(|s| s.drawing.extent().holds(content)) {
            return sheet;
        }
        // One step settles the width, and with it the banner's lines; the height follows from what is missing.
        let [.., a1] = Format::series();
        let width = a1.size.width.max(content.width + FILING_EDGE + BORDER + MARGIN * 2);
        let trial = Sheet::on(elongated(width, a1.size.height), block, banner);
        let used = trial.format.size.height - trial.drawing.height();
        let height = a1.size.height.max(content.height + used).max(content.height + trial.fixed_height());
        Sheet::on(elongated(width, height), block, banner)
    }

    /// A sheet of a given size, whatever is to be drawn on it; its drawing area may be empty.
    pub fn on(format: Format, block: &TitleBlock, banner: Option<&str>) -> Sheet {
        let frame = format.frame();
        let block_height = title_block::height(block);
        let corner = Point::new(frame.max.x - title_block::WIDTH, frame.max.y - block_height);
        let block_area = Area::between(corner, frame.max);
        let banner = banner.map(|words| banner_area(words, frame));
        let top = banner.as_ref().map_or(frame.min.y, |(area, _)| area.max.y);
        let drawing = Area {
            min: Point::new(frame.min.x + MARGIN, top + MARGIN),
            max: Point::new(frame.max.x - MARGIN, (block_area.min.y - MARGIN).max(top + MARGIN)),
        };
        let beside = Area {
            min: Point::new(frame.min.x + MARGIN, block_area.min.y),
            max: Point::new(block_area.min.x - MARGIN, frame.max.y - MARGIN),
        };
        let beside_block = (beside.max.x - beside.min.x > mm(40.0)).then_some(beside);
        Sheet { format, frame, drawing, beside_block, block_area, block: block.clone(), banner }
    }

    /// Height that borders, banner and title block take, drawing area left out.
    fn fixed_height(&self) -> Mm {
        let banner = self.banner.as_ref().map_or(Mm::ZERO, |(area, _)| area.height());
        BORDER * 2 + MARGIN * 2 + banner + self.block_area.height()
    }

    /// A scene of this sheet with frame, grid, title block and banner drawn.
    pub fn scene(&self) -> Scene {
        let mut scene = Scene::new(self.format.size);
        scene.title = self.block.full_title();
        scene.caution = self.block.cautions.join(" ");
        scene.language.clone_from(&self.block.language);
        scene.frame = Some(self.frame);
        scene.reserved.push(self.block_area);
        let paper = Area::at(Point::default(), self.format.size);
        scene.rect(&Mark::new(Layer::Paper), paper, Ink::WHITE);
        let mark = Mark::new(Layer::Frame);
        self.draw_grid(&mut scene, &mark);
        title_block::draw(&mut scene, &mark, &self.block, self.block_area);
        if let Some((area, words)) = &self.banner {
            scene.reserved.push(*area);
            draw_banner(&mut scene, &mark, *area, words);
        }
        scene.rect(&mark, self.frame, Stroke::FRAME);
        self.draw_centring_marks(&mut scene, &mark);
        graduation::draw(&mut scene, &mark, self.format.size, self.frame, GRID);
        scene
    }

    /// The zone of a place, letter and number, as other sheets refer to it: `C4`.
    pub fn zone(&self, place: Point) -> String {
        let letter = field_index(&field_edges(self.format.size.height), place.y);
        let number = field_index(&field_edges(self.format.size.width), place.x);
        format!("{}{}", zone_letters(letter), number + 1)
    }

    /// A4 carries the grid on top and on the right only (ISO 5457, clause on the grid reference system).
    fn is_small(&self) -> bool {
        self.format.name == "A4"
    }

    fn draw_grid(&self, scene: &mut Scene, mark: &Mark) {
        let outer = self.frame.grown(GRID);
        scene.rect(mark, outer, Stroke::MEDIUM);
        let lettering = Lettering::PLAIN;
        // Capitals of 3.5 mm stand centred in the 5 mm border.
        let drop = lettering.height.capital() / 2;
        let half = GRID / 2;
        let (left, right) = (self.frame.min.x - half, self.frame.max.x + half);
        let (top, bottom) = (self.frame.min.y - half, self.frame.max.y + half);

        for (i, (from, to)) in
            fields(self.format.size.width, outer.min.x, outer.max.x).into_iter().enumerate()
        {
            for (y, inner, edge) in
                [(top, self.frame.min.y, outer.min.y), (bottom, self.frame.max.y, outer.max.y)]
            {
                if self.is_small() && y == bottom {
                    continue;
                }
                if i > 0 {
                    scene.line(mark, Point::new(from, edge), Point::new(from, inner), Stroke::MEDIUM);
                }
                let middle = (from.max(self.frame.min.x) + to.min(self.frame.max.x)) / 2;
                let at = Point::new(middle, y + drop);
                scene.text_at(mark, at, &(i + 1).to_string(), lettering, Anchor::Middle, Turn::Level);
            }
        }
        for (i, (from, to)) in
            fields(self.format.size.height, outer.min.y, outer.max.y).into_iter().enumerate()
        {
            for (x, inner, edge) in
                [(left, self.frame.min.x, outer.min.x), (right, self.frame.max.x, outer.max.x)]
            {
                if self.is_small() && x == left {
                    continue;
                }
                if i > 0 {
                    scene.line(mark, Point::new(edge, from), Point::new(inner, from), Stroke::MEDIUM);
                }
                let middle = (from.max(self.frame.min.y) + to.min(self.frame.max.y)) / 2;
                draw_zone_letters(scene, mark, Point::new(x, middle), &zone_letters(i));
            }
        }
        // The size stands in the lower right corner of the trimmed border, below the grid.
        let at = Point::new(self.frame.max.x, outer.max.y + mm(0.8) + lettering.height.capital());
        scene.text_at(mark, at, &self.format.name, lettering, Anchor::End, Turn::Level);
    }

    /// From the grid's outer edge across the frame and 5 mm into the drawing space, but not into the title
    /// block or the banner.
    fn draw_centring_marks(&self, scene: &mut Scene, mark: &Mark) {
        let middle = Area::at(Point::default(), self.format.size).centre();
        let (frame, outer) = (self.frame, self.frame.grown(GRID));
        let marks = [
            (Point::new(middle.x, outer.min.y), Point::new(middle.x, frame.min.y), (Mm::ZERO, GRID)),
            (Point::new(middle.x, outer.max.y), Point::new(middle.x, frame.max.y), (Mm::ZERO, -GRID)),
            (Point::new(outer.min.x, middle.y), Point::new(frame.min.x, middle.y), (GRID, Mm::ZERO)),
            (Point::new(outer.max.x, middle.y), Point::new(frame.max.x, middle.y), (-GRID, Mm::ZERO)),
        ];
        for (from, at_frame, (dx, dy)) in marks {
            let inside = at_frame.by(dx, dy);
            let taken = scene.reserved.iter().any(|a| a.grown(mm(1.0)).holds(inside));
            scene.line(mark, from, if taken { at_frame } else { inside }, Stroke::FRAME);
        }
    }
}

/// In the 5 mm border beside a field: wide letters smaller, double ones turned.
fn draw_zone_letters(scene: &mut Scene, mark: &Mark, middle: Point, letters: &str) {
    let wide = lettering::width(letters, Lettering::PLAIN) > mm(3.6);
    let lettering = if wide { Lettering::SMALL } else { Lettering::PLAIN };
    let drop = lettering.height.capital() / 2;
    let (at, turn) = match letters.chars().count() {
        0 | 1 => (middle.by(Mm::ZERO, drop), Turn::Level),
        _ => (middle.by(drop, Mm::ZERO), Turn::Up),
    };
    scene.text_at(mark, at, letters, lettering, Anchor::Middle, turn);
}

fn elongated(width: Mm, height: Mm) -> Format {
    // Whole centimetres: a roll is cut by hand.
    let up = |length: Mm| Mm::from_um((length.um() + 9_999) / 10_000 * 10_000);
    let [.., a1] = Format::series();
    let width = if width > a1.size.width { up(width) } else { width };
    let height = if height > a1.size.height { up(height) } else { height };
    Format { name: format!("{height} × {width}"), size: Extent::new(width, height) }
}

fn banner_area(words: &str, frame: Area) -> (Area, Fitted) {
    let lettering = Lettering::regular(Height::H7).bold().inked(Ink::ALARM);
    let fitted = lettering::fit(words, lettering, frame.width() - MARGIN * 2, 1, Height::H5);
    // Descenders reach a third of a capital below the last baseline.
    let height = fitted.height() + mm(10.0);
    (Area::at(frame.min, Extent::new(frame.width(), height)), fitted)
}

/// Double edge and bold words: seen as a stop without its colour too.
fn draw_banner(scene: &mut Scene, mark: &Mark, area: Area, words: &Fitted) {
    scene.rect(mark, area.grown(-mm(1.4)), Stroke::BAR.inked(Ink::ALARM));
    scene.line(mark, Point::new(area.min.x, area.max.y), area.max, Stroke::FRAME);
    let top = area.centre().y - words.height() / 2;
    let at = Point::new(area.centre().x, top + words.lettering.height.capital());
    scene.text_lines(mark, at, &words.lines, words.lettering, Anchor::Middle);
}

/// The inner edges of the zone fields along a side of this length, counted from its middle; what is over at
/// the ends belongs to the corner fields.
fn field_edges(side: Mm) -> Vec<Mm> {
    let half_fields = ((side.um() / 2 + FIELD.um() / 2) / FIELD.um()).max(1);
    (1 - half_fields..half_fields).map(|i| side / 2 + FIELD * i).collect()
}

/// The fields along a side, each from one edge to the next, between the grid's ends.
fn fields(side: Mm, start: Mm, end: Mm) -> Vec<(Mm, Mm)> {
    let mut edges = vec![start];
    edges.extend(field_edges(side));
    edges.push(end);
    edges.iter().copied().zip(edges.iter().copied().skip(1)).collect()
}

fn field_index(edges: &[Mm], place: Mm) -> usize {
    edges.iter().filter(|e| **e <= place).count()
}

/// `A` to `Z` without I and O, then `AA`, `AB` and on.
fn zone_letters(index: usize) -> String {
    const LETTERS: &[u8] = b"ABCDEFGHJKLMNPQRSTUVWXYZ";
    let letter = |i: usize| LETTERS.get(i % LETTERS.len()).map_or('?', |b| char::from(*b));
    match index / LETTERS.len() {
        0 => letter(index).to_string(),
        n => format!("{}{}", zone_letters(n - 1), letter(index)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::draw::audit::audit;

    fn block() -> TitleBlock {
        TitleBlock { title: "Engine gauge loom".into(), number: "T2".into(), ..TitleBlock::default() }
    }

    #[test]
    fn sizes_and_fields_are_those_of_the_standard() {
        // ISO 5457:1999, table 1 (drawing space) and the table of grid fields; from memory.
        let expected =
            [(180.0, 277.0, 4, 6), (390.0, 277.0, 8, 6), (564.0, 400.0, 12, 8), (811.0, 574.0, 16, 12)];
        for (format, (width, height, across, down)) in Format::series().iter().zip(expected) {
            assert_eq!(format.frame().extent(), Extent::new(mm(width), mm(height)), "{}", format.name);
            assert_eq!(field_edges(format.size.width).len() + 1, across, "{}", format.name);
            assert_eq!(field_edges(format.size.height).len() + 1, down, "{}", format.name);
        }
    }

    #[test]
    fn zones_skip_i_and_o() {
        let letters: String = (0..24).map(zone_letters).collect();
        assert_eq!(letters, "ABCDEFGHJKLMNPQRSTUVWXYZ");
        assert_eq!(zone_letters(24), "AA");
        let sheet = Sheet::on(Format::series()[1].clone(), &block(), None);
        assert_eq!(sheet.zone(Point::new(mm(30.0), mm(20.0))), "A1");
        assert_eq!(sheet.zone(Point::new(mm(211.0), mm(149.0))), "D5");
        assert_eq!(sheet.zone(Point::new(mm(409.0), mm(286.0))), "F8");
    }

    #[test]
    fn the_sheet_grows_until_the_content_fits() {
        let names: Vec<String> = [(100.0, 100.0), (200.0, 100.0), (400.0, 100.0), (600.0, 300.0)]
            .map(|(w, h)| Sheet::fitting(Extent::new(mm(w), mm(h)), &block(), None).format.name)
            .into();
        assert_eq!(names, ["A4", "A3", "A2", "A1"]);
        for (w, h) in [(3000.0, 200.0), (3000.0, 2000.0), (100.0, 5000.0)] {
            let content = Extent::new(mm(w), mm(h));
            let sheet = Sheet::fitting(content, &block(), Some("BUILT DESPITE FINDINGS"));
            assert!(sheet.drawing.extent().holds(content), "{w} x {h}: {}", sheet.format.name);
            assert!(sheet.format.name.contains('×'));
        }
    }

    #[test]
    fn every_size_is_drawn_clean() {
        for (w, h) in [(100.0, 100.0), (390.0, 100.0), (550.0, 300.0), (780.0, 500.0), (2300.0, 1900.0)] {
            for banner in [None, Some("BUILT DESPITE FINDINGS: 2 stop (gjpq). See the findings sheet.")] {
                let sheet = Sheet::fitting(Extent::new(mm(w), mm(h)), &block(), banner);
                let report = audit(&sheet.scene());
                assert_eq!(report.defects, [], "{w} x {h}: {report}");
            }
        }
        let lying = Sheet::on(Format::a4_landscape(), &block(), None).scene();
        assert_eq!(audit(&lying).defects, []);
    }

    #[test]
    fn a_book_of_a_title_still_leaves_room() {
        let block = TitleBlock { title: "loom ".repeat(2000), ..block() };
        let content = Extent::new(mm(300.0), mm(200.0));
        let sheet = Sheet::fitting(content, &block, Some(&"FINDINGS ".repeat(300)));
        assert!(sheet.drawing.extent().holds(content));
        let report = audit(&sheet.scene());
        assert_eq!(report.defects, [], "{report}");
    }
}
