//! The drawing books of a packet in; the links out that lead to them, and into them to the page of a drawing or list.

use maud::{Markup, html};

use crate::packet::bound::Bound;
use crate::packet::papers::Print;

/// The books as a whole; nothing where there are none.
pub(super) fn books(books: &[Bound]) -> Markup {
    html! {
        @if !books.is_empty() {
            p.books {
                "All drawings and lists to print, at 100 %: "
                @for (i, book) in books.iter().enumerate() {
                    @if i > 0 { ", " }
                    a href=(book.file) { (book.file) }
                    " (" (book.pages) " pages, for " (book.paper.word()) " paper)"
                }
                "."
            }
        }
    }
}

/// The page of each book on which `name` begins.
pub(super) fn pages(books: &[Bound], name: &str) -> Markup {
    let found = books.iter().filter_map(|book| Some((book, book.page(name)?)));
    html! {
        @for (book, page) in found {
            a href=(book.address(page)) { (book.file) ", page " (page) }
        }
    }
}

/// Where a drawing stands in pages to glue: in each book on the paper that the book is for.
pub(super) fn in_pages<'a>(books: &[Bound], prints: impl Iterator<Item = &'a Print>) -> Markup {
    let of = |print: &Print| {
        let book = books.iter().find(|book| book.paper == print.paper)?;
        Some((book.address(book.page(&print.name())?), print.paper.word()))
    };
    html! {
        @for (address, paper) in prints.filter_map(of) {
            a href=(address) { "pages to glue, " (paper) }
        }
    }
}
