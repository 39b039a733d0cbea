//! The board in pages as it stands in the drawing books, read back: true to scale, cut to its windows, found by the outline.

use fairlead::draw::board::{Tile, window};
use fairlead::draw::{Paper, Shape};
use fairlead::packet::book::Book;

use crate::book::{Case, ROUNDING, cases, near};
use crate::pdf::{Page, Pdf};

/// Each board in pages of a book: the leaf before them, and each page with the scene that it was made from.
fn in_pages(case: &'static Case) -> impl Iterator<Item = (Paper, &'static Pdf, usize, &'static [Tile])> {
    case.books.iter().flat_map(move |(paper, book, pdf)| {
        let prints = case.papers.prints.iter().filter(move |print| print.paper == *paper);
        prints.map(move |print| (*paper, pdf, leaf(book, &print.name()), print.pages.as_slice()))
    })
}

/// The page of a book, from 0, on which something begins.
fn leaf(book: &Book, name: &str) -> usize {
    book.bound().page(name).unwrap() - 1
}

/// A level line of 100 mm with a stroke on it for every millimetre: length, and the longest gap between strokes.
fn ruler(page: &Page) -> (f64, f64) {
    let level =
        |p: &&crate::pdf::Piece| near(p.from.1, p.to.1) && near(p.length(), 100.0) && p.window.is_none();
    let lines: Vec<_> = page.pieces.iter().filter(level).collect();
    let [line] = lines.as_slice() else { panic!("{} rulers", lines.len()) };
    let strokes = page.pieces.iter().filter(|p| near(p.from.0, p.to.0) && near(p.from.1, line.from.1));
    let mut at: Vec<f64> = strokes.map(|p| p.from.0 - line.from.0).collect();
    at.sort_by(f64::total_cmp);
    assert_eq!(at.len(), 101);
    (line.length(), at.windows(2).map(|two| two[1] - two[0]).fold(0.0, f64::max))
}

#[test]
fn every_board_is_in_the_books_in_pages_of_their_paper() {
    for case in cases() {
        let boards = case.papers.drawings.iter().filter(|d| d.name.starts_with("board-")).count();
        for paper in Paper::ALL {
            let found: Vec<_> = in_pages(case).filter(|(of, ..)| *of == paper).collect();
            assert_eq!(found.len(), boards, "{}", case.name);
        }
        for (paper, pdf, leaf, tiles) in in_pages(case) {
            let said = pdf.pages[leaf].text().replace('\n', " ");
            for words in
                ["in pages", "at 100 %", "100 mm", "Not approved data", &format!("The {} pages", tiles.len())]
            {
                assert!(said.contains(words), "{}: {words} is not on the leaf: {said}", case.name);
            }
            let size = paper.lying().size;
            for (i, tile) in tiles.iter().enumerate() {
                let page = &pdf.pages[leaf + 1 + i];
                assert!(near(page.width, size.width.as_f64()) && near(page.height, size.height.as_f64()));
                let said = page.text();
                assert!(said.contains(&format!("{}\n", tile.name)), "{}: {said}", case.name);
                let number = format!("page {} of {} of the drawing book\n", leaf + 2 + i, pdf.pages.len());
                assert!(said.contains(&number) && said.contains("Not approved data"), "{said}");
                assert!(page.links.iter().any(|link| link.page == 0), "leads to the contents");
            }
        }
    }
}

#[test]
fn the_ruler_of_every_page_to_glue_measures_100_mm_in_the_file() {
    for case in cases() {
        for (_, pdf, leaf, tiles) in in_pages(case) {
            for page in &pdf.pages[leaf + 1..=leaf + tiles.len()] {
                let (length, gap) = ruler(page);
                assert!(near(length, 100.0) && (gap - 1.0).abs() < 2.0 * ROUNDING, "{length} mm, {gap} mm");
            }
            let measured =
                pdf.pages[leaf].pieces.iter().filter(|p| near(p.width, 0.5) && near(p.length(), 100.0));
            assert_eq!(measured.count(), 1, "{}: the leaf's", case.name);
        }
    }
}

/// What is drawn of the loom is seen through the page's window only, and stands where the scene says: with the crosses of
/// neighbours on the same points of the board, which the board's own tests hold, the glued pages are the board.
#[test]
fn pages_to_glue_are_cut_to_their_windows() {
    for case in cases() {
        for (paper, pdf, leaf, tiles) in in_pages(case) {
            let edge = window(paper);
            let edges = [edge.min.x, edge.min.y, edge.max.x, edge.max.y].map(|e| e.as_f64());
            for (tile, page) in tiles.iter().zip(&pdf.pages[leaf + 1..]).skip(1) {
                let mut runs = page.runs.iter();
                for item in tile.scene.in_paint_order() {
                    let Shape::Text(text) = &item.shape else { continue };
                    let run = runs.next().unwrap();
                    assert_eq!(run.words, text.words);
                    assert_eq!(run.window.is_some(), item.mark.layer.is_of_drawing(), "{}", run.words);
                }
                let windows = page.runs.iter().map(|r| r.window).chain(page.pieces.iter().map(|p| p.window));
                let windows: Vec<[f64; 4]> = windows.flatten().collect();
                assert!(!windows.is_empty(), "{}: {} shows nothing", case.name, tile.name);
                for own in windows {
                    assert!(own.iter().zip(edges).all(|(a, b)| near(*a, b)), "{own:?}");
                }
            }
        }
    }
}

#[test]
fn the_outline_names_every_page_to_glue() {
    for case in cases() {
        let (_, pdf, leaf, tiles) = in_pages(case).next().unwrap();
        let outline = pdf.outline();
        let own = outline.iter().position(|m| m.depth == 0 && m.page == leaf).unwrap();
        assert!(outline[own].words.ends_with("in pages"), "{:?}", outline[own]);
        let under: Vec<(&str, usize)> = outline[own + 1..]
            .iter()
            .take_while(|m| m.depth == 1)
            .map(|m| (m.words.as_str(), m.page))
            .collect();
        let meant: Vec<(&str, usize)> =
            tiles.iter().enumerate().map(|(i, tile)| (tile.name.as_str(), leaf + 1 + i)).collect();
        assert_eq!(under, meant, "{}", case.name);
    }
}
