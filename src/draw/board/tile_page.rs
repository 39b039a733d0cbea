//! What a page shows of a board in; the page out, with crosses, the names of its neighbours, its place on the board, a ruler
//! and what it belongs to.

use super::Board;
use super::tile_join::{self, Join};
use super::tiles::{self, Cut};
use crate::draw::geometry::{Area, Extent, Mm, Point, mm};
use crate::draw::lettering::{self, Abridged, Height, Lettering};
use crate::draw::mark::{Layer, Mark};
use crate::draw::palette::Ink;
use crate::draw::scene::{Anchor, Item, Scene, Turn};
use crate::draw::stroke::Stroke;

/// Length of the ruler on every page.
const RULER: Mm = mm(100.0);
/// How far a cross reaches to each side.
pub(super) const ARM: Mm = mm(3.0);

/// What all pages of a board share.
pub(super) struct Page<'a> {
    pub board: &'a Board,
    pub cut: &'a Cut,
    pub joins: &'a [Join],
    pub banner: Option<&'a str>,
}

/// The name of a page.
const NAME: Lettering = Lettering::regular(Height::H7).bold();

/// Upper left corner of what stands below the window.
fn strip_corner(window: Area) -> Point {
    Point::new(window.min.x, window.max.y + mm(8.5))
}

pub(super) fn note() -> Mark {
    Mark::new(Layer::Note)
}

/// An empty page with what stands on every one: title, ruler, banner, and a name.
pub(super) fn blank(page: &Page, name: &str, words: &str) -> Scene {
    let (size, window) = (page.cut.paper.lying().size, tiles::window(page.cut.paper));
    let of = &page.board.scene;
    let mut scene = Scene::new(size);
    scene.title = format!("{}, {words}", of.title);
    scene.caution.clone_from(&of.caution);
    scene.language.clone_from(&of.language);
    scene.rect(&Mark::new(Layer::Paper), Area::at(Point::default(), size), Ink::WHITE);
    let mark = note();
    let top = strip_corner(window).y;
    scene.text(&mark, Point::new(window.min.x, top + mm(7.6)), name, NAME);
    ruler(&mut scene, &mark, Point::new(window.min.x, top + mm(13.0)));
    let left = window.min.x + RULER + mm(10.0);
    let right = size.width - mm(11.0);
    let room = right - left - mm(36.0);
    let text = lettering::wrap(&brief(&of.title, words, room), Lettering::SMALL.bold(), room);
    let mut y = scene.text_lines(
        &mark,
        Point::new(left, top + mm(2.5)),
        &text,
        Lettering::SMALL.bold(),
        Anchor::Start,
    );
    y += Lettering::SMALL.height.pitch();
    let caution = lettering::wrap(&of.caution, Lettering::SMALL, room);
    // What the strip cannot hold is told on the sheet, and that is said.
    let caution = match caution.len() {
        0..=4 => caution,
        _ => caution.into_iter().take(3).chain(["All cautions: see the sheet.".to_owned()]).collect(),
    };
    scene.text_lines(&mark, Point::new(left, y), &caution, Lettering::SMALL, Anchor::Start);
    if let Some(banner) = page.banner {
        let alarm = Lettering::SMALL.bold().inked(Ink::ALARM);
        let words = lettering::fit(banner, alarm, window.width(), 1, Height::H2_5);
        let at = Point::new(
            window.min.x,
            size.height - mm(5.5) - words.height() + Lettering::SMALL.height.capital(),
        );
        scene.text_lines(&mark, at, &words.lines, words.lettering, Anchor::Start);
    }
    scene
}

/// A page's title in two lines: of a longer one the end is left out, but not what the page is.
fn brief(title: &str, words: &str, room: Mm) -> String {
    let bold = Lettering::SMALL.bold();
    let more = format!(", {words}");
    // More letters than two lines take: every page asks, and the title may be a book of its own.
    let begin: String = title.chars().take(400).collect();
    let (Abridged::Whole(title) | Abridged::Cut(title)) =
        lettering::abridge(&begin, bold, room.scaled(1.6) - lettering::width(&more, bold));
    format!("{title}{more}")
}

/// Ten centimetres in millimetres.
fn ruler(scene: &mut Scene, mark: &Mark, at: Point) {
    scene.line(mark, at, at.by(RULER, Mm::ZERO), Stroke::MEDIUM);
    for i in 0..=100 {
        let (tall, stroke) = match i {
            i if i % 50 == 0 => (4.0, Stroke::MEDIUM),
            i if i % 10 == 0 => (3.0, Stroke::MEDIUM),
            i if i % 5 == 0 => (2.0, Stroke::THIN),
            _ => (1.3, Stroke::HAIR),
        };
        let foot = at.by(mm(f64::from(i)), Mm::ZERO);
        scene.line(mark, foot, foot.by(Mm::ZERO, mm(tall)), stroke);
    }
    let words = "must measure 100 mm: print at 100 %, fit nothing";
    scene.text(mark, at.by(mm(12.0), mm(-1.6)), words, Lettering::SMALL);
    for (x, words) in [(0.0, "0"), (50.0, "50"), (100.0, "100")] {
        scene.text_at(mark, at.by(mm(x), mm(7.4)), words, Lettering::SMALL, Anchor::Middle, Turn::Level);
    }
}

/// A page of the board.
pub(super) fn tile(page: &Page, at: (usize, usize), items: &[&Item]) -> Scene {
    let cut = page.cut;
    let (window, shown, name) = (tiles::window(cut.paper), cut.shown(at), cut.name(at));
    let mut scene = blank(page, &name, &format!("page {name}"));
    let mut part = Scene::default();
    for item in items {
        part.add(&item.mark, item.shape.clone(), item.paint);
    }
    scene.place(&part, window.min.x - shown.min.x, window.min.y - shown.min.y);
    scene.clip = Some(window);
    let mark = note();
    scene.rect(&mark, window, Stroke::THIN);
    tile_join::draw(&mut scene, &mark, page, at, window);
    let beside_name = lettering::width(&name, NAME).max(mm(16.0)) + mm(4.0);
    let joined = page.joins.iter().any(|join| join.pages.contains(&at) && !join.crosses.is_empty());
    tile_join::explained(&mut scene, &mark, strip_corner(window).by(beside_name, Mm::ZERO), joined);
    neighbours(&mut scene, &mark, page, at);
    let size = cut.paper.lying().size;
    let room = Area::between(
        Point::new(size.width - mm(44.0), window.max.y + mm(8.0)),
        Point::new(size.width - mm(11.0), size.height - mm(6.0)),
    );
    small_plan(&mut scene, &mark, cut, at, room);
    scene
}

/// The page that is glued to each edge.
fn neighbours(scene: &mut Scene, mark: &Mark, page: &Page, (row, column): (usize, usize)) {
    let (cut, own) = (page.cut, (row, column));
    let (window, centre) = (tiles::window(cut.paper), tiles::window(cut.paper).centre());
    let told = |row: Option<usize>, column: Option<usize>| {
        let at = (row.filter(|r| *r < cut.rows)?, column.filter(|c| *c < cut.columns)?);
        let name = cut.name(at);
        let short =
            |join: &Join| join.pages.contains(&at) && join.pages.contains(&own) && join.crosses.len() < 2;
        Some(if !cut.filled.contains(&at) {
            format!("{name} is empty")
        } else if page.joins.iter().any(short) {
            format!("to {name}: no room for crosses, match the lines")
        } else {
            format!("to {name}")
        })
    };
    let lettering = Lettering::PLAIN.bold();
    let mut say = |at: Point, words: Option<String>, turn: Turn| {
        if let Some(words) = words {
            scene.text_at(mark, at, &words, lettering, Anchor::Middle, turn);
        }
    };
    say(Point::new(centre.x, window.min.y - mm(2.0)), told(row.checked_sub(1), Some(column)), Turn::Level);
    say(Point::new(centre.x, window.max.y + mm(5.4)), told(Some(row + 1), Some(column)), Turn::Level);
    say(Point::new(window.min.x - mm(2.0), centre.y), told(Some(row), column.checked_sub(1)), Turn::Up);
    say(Point::new(window.max.x + mm(5.4), centre.y), told(Some(row), Some(column + 1)), Turn::Up);
}

/// Where the page lies: all pages small, this one black, empty ones with a stroke through them.
fn small_plan(scene: &mut Scene, mark: &Mark, cut: &Cut, own: (usize, usize), room: Area) {
    let count = |n: usize| i64::try_from(n.max(1)).unwrap_or(1);
    let (wide, tall) = (room.width() / count(cut.columns), room.height() / count(cut.rows));
    let cell = Extent::new(wide.min(mm(9.0)).min(tall.scaled(1.6)), tall.min(mm(6.0)).min(wide.scaled(0.65)));
    for row in 0..cut.rows {
        for column in 0..cut.columns {
            let corner = room.min.by(cell.width.times(column), cell.height.times(row));
            let area = Area::at(corner, cell);
            let at = (row, column);
            if at == own {
                scene.rect(mark, area, Stroke::THIN.filled(Ink::BLACK));
            } else {
                scene.rect(mark, area, Stroke::THIN.filled(Ink::WHITE));
            }
            if !cut.filled.contains(&at) {
                scene.line(mark, area.min, area.max, Stroke::HAIR);
            }
        }
    }
}
