//! How a board is cut in; the plan of its pages out: all of them small, their names, the loom over them, and how they are
//! glued.

use super::tile_page::{self, Page};
use super::tiles::{self, OVERLAP};
use crate::draw::audit::meet::{Piece, touches};
use crate::draw::geometry::{Area, Extent, Mm, Point, mm};
use crate::draw::lettering::{self, Lettering};
use crate::draw::mark::{Layer, Mark};
use crate::draw::outline;
use crate::draw::palette::Ink;
use crate::draw::scene::{Anchor, Item, Scene, Shape, Step};
use crate::draw::stroke::{Dash, Stroke};

/// What the page with all pages on it is called.
pub(super) const NAME: &str = "Plan";
/// Clear space around the name of a page.
const CLEAR: Mm = mm(0.4);

/// All pages on the board, small, and how they are glued.
pub(super) fn plan(page: &Page, items: &[&Item]) -> Scene {
    let cut = page.cut;
    let window = tiles::window(cut.paper);
    let mut scene = tile_page::blank(page, NAME, "plan of the pages");
    let mark = tile_page::note();
    let left_out = cut.left_out();
    let mut how = vec![format!(
        "{} pages of {}, each overlapping its neighbours by 10 mm. Print at 100 % and measure the ruler. Cut a page \
         along the middle of its crosses at the left and at the top, where strokes beside the frame show the line, and lay it \
         over its neighbour so that the halves of the crosses meet; glue.",
        cut.filled.len(),
        cut.paper.word()
    )];
    if !left_out.is_empty() {
        how.push(format!("Left out, because nothing lies there: {}.", left_out.join(", ")));
    }
    let mut y = window.min.y + mm(5.5);
    for words in &how {
        let lines = lettering::wrap(words, Lettering::PLAIN, window.width());
        y = scene.text_lines(&mark, Point::new(window.min.x, y), &lines, Lettering::PLAIN, Anchor::Start);
        y += Lettering::PLAIN.height.pitch();
    }
    let room = Area::between(Point::new(window.min.x, y), window.max);
    let whole =
        cut.shown((0, 0)).union(cut.shown((cut.rows.saturating_sub(1), cut.columns.saturating_sub(1))));
    let scale = (room.width().as_f64() / whole.width().as_f64())
        .min(room.height().as_f64() / whole.height().as_f64());
    let small = |p: Point| room.min.by((p.x - whole.min.x).scaled(scale), (p.y - whole.min.y).scaled(scale));
    let pages = (0..cut.rows).flat_map(|row| (0..cut.columns).map(move |column| (row, column)));
    // Edges in the middle of the overlap.
    let pages = pages.map(|at| (at, cut.shown(at).grown(-(OVERLAP / 2))));
    let pages: Vec<_> =
        pages.map(|(at, area)| (at, Area::between(small(area.min), small(area.max)))).collect();
    for (at, area) in &pages {
        let filled = cut.filled.contains(at);
        scene.rect(&mark, *area, if filled { Stroke::THIN } else { Stroke::HAIR.dashed(Dash::Dashed) });
    }
    // The loom itself: the middle lines.
    let mut loom = Vec::new();
    for item in items.iter().filter(|i| i.mark.layer == Layer::Symbol) {
        let Shape::Path(steps) = &item.shape else { continue };
        let steps = steps.iter().map(|step| match *step {
            Step::Move(p) => Step::Move(small(p)),
            Step::Line(p) => Step::Line(small(p)),
            Step::Curve(a, b, c) => Step::Curve(small(a), small(b), small(c)),
            Step::Close => Step::Close,
        });
        scene.path(&item.mark, steps.collect(), Stroke::MEDIUM.inked(super::drawn::EDGE));
        loom.extend(scene.items().last().into_iter().flat_map(pieces));
    }
    for (at, area) in &pages {
        let filled = cut.filled.contains(at);
        let ink = if filled { Ink::BLACK } else { Ink::SLATE };
        let words = if filled { cut.name(*at) } else { format!("({})", cut.name(*at)) };
        name(&mut scene, &mark, *area, &words, Lettering::SMALL.bold().inked(ink), &loom);
    }
    scene
}

fn pieces(item: &Item) -> Vec<Piece> {
    let half = item.paint.stroke.map_or(Mm::ZERO, |s| s.width.width() / 2);
    outline::pieces(item).into_iter().map(|(from, to)| Piece { item: 0, from, to, half }).collect()
}

/// The name of a page in a corner of it that the loom leaves free, else in the first, on a plate that hides the loom.
/// Where the page is too small for it, no name: those of its neighbours tell.
fn name(scene: &mut Scene, mark: &Mark, page: Area, words: &str, lettering: Lettering, loom: &[Piece]) {
    let (above, below) = lettering::reach(words, lettering);
    let size = Extent::new(lettering::width(words, lettering), above + below);
    let inside = page.grown(-mm(1.0));
    if size.width > inside.width() || size.height > inside.height() {
        return;
    }
    let (left, right) = (inside.min.x, inside.max.x - size.width);
    let (top, bottom) = (inside.min.y, inside.max.y - size.height);
    let corners = [(left, top), (right, top), (left, bottom), (right, bottom)].map(|(x, y)| Point::new(x, y));
    let place = |corner: Point| Area::at(corner, size).grown(CLEAR);
    let free = |corner: &Point| !loom.iter().any(|piece| touches(piece, place(*corner)));
    let corner = corners.into_iter().find(free).unwrap_or_else(|| {
        scene.rect(mark, place(Point::new(left, top)), Ink::WHITE);
        Point::new(left, top)
    });
    scene.text(mark, corner.by(Mm::ZERO, above), words, lettering);
}
