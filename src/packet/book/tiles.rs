//! A board in pages in; the leaf before them out, and each page with its number in the book.
//!
//! The pages are those of the drawing stage and stand in the book as they are: at full size, to be printed and glued.

use super::cover;
use super::flow::Strip;
use super::listing::text;
use super::prose::{QUIET, span};
use crate::draw::board::window;
use crate::draw::pdf_out::{Link, Target};
use crate::draw::{
    Anchor, Area, Extent, Layer, Lettering, Mark, Mm, Paper, Point, Scene, Turn, lettering, mm,
};
use crate::packet::papers::{Papers, Print};

/// What is said under the heading of the leaf.
pub(super) const PURPOSE: &str = "The loom at full size, on paper that an office printer takes.";

/// The strips of the leaf: how to print and to glue, a line to measure, the cautions.
pub(super) fn strips(papers: &Papers<'_>, print: &Print, width: Mm) -> Vec<Strip> {
    let words = format!(
        "The {} pages that follow are printed on {} lying, at 100 %, never fitted to the page. Measure the line below and the \
         line of 100 mm on every page before anything else: where one is not 100 mm long, no wire may be cut by that page. The \
         plan comes first; it says how the pages are cut and glued. When all are glued, measure a leg or two on the board \
         against the lengths written beside them.",
        print.pages.len(),
        print.paper.word(),
    );
    let mut strips = text(&[span(words, Lettering::SMALL)], width);
    strips.push(cover::measure());
    strips.push(Strip::space(mm(7.0)));
    strips.extend(cover::cautions(papers, width));
    strips
}

/// A page with its number in the book beside the name of the page above it, which leads to the contents.
pub(super) fn numbered(tile: &Scene, paper: Paper, page: usize, pages: usize) -> (Scene, Vec<Link>) {
    let mut scene = tile.clone();
    let words = format!("page {page} of {pages} of the drawing book");
    let edge = window(paper);
    let at = Point::new(edge.max.x, edge.min.y - GAP);
    scene.text_at(&Mark::new(Layer::Note), at, &words, QUIET, Anchor::End, Turn::Level);
    let size = Extent::new(lettering::width(&words, QUIET), QUIET.height.capital());
    let to = Target { page: 0, at: Point::default() };
    let link = Link { area: Area::at(at.by(-size.width, -size.height), size), to };
    (scene, vec![link])
}

/// From the window to the words above it.
const GAP: Mm = mm(2.0);
