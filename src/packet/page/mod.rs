//! Everything of a packet in; HTML files out: the page that ties all together, and each list as a paper.
//!
//! Files open by double click and without a network. Text of the spec is always escaped; what is pre-escaped is
//! written by this crate's own SVG writer or is a file beside this one.

mod finding;
mod list;
mod running;
mod sheet_head;
mod tag;
mod to_print;
mod viewer;

use maud::{Markup, PreEscaped, html};

use super::bound::Bound;
use super::cautions::CAUTIONS;
use super::heading::Heading;
use super::papers::Papers;
use super::table::{Reference, Table};
use crate::diag::text;
use list::Boxes;

const STYLE: &str = include_str!("style.css");
const PAPER: &str = include_str!("paper.css");
/// Running text is read in short lines, and more of it stands on an upright leaf.
const UPRIGHT: &str = "@media print { @page { size: portrait; } }\n";
/// One idea a file; they share one scope, in this order.
const SCRIPT: &str = concat!(
    "\"use strict\";\n(() => {\n",
    include_str!("things.js"),
    include_str!("sheets.js"),
    include_str!("marks.js"),
    include_str!("search.js"),
    include_str!("pointing.js"),
    include_str!("viewer.js"),
    include_str!("address.js"),
    include_str!("ticks.js"),
    include_str!("start.js"),
    "})();\n"
);

/// The page: `index.html`. `books`: those that lie beside it. `key` tells this packet's tick marks from those of any other in the browser's store.
pub(super) fn index(papers: &Papers<'_>, books: &[Bound], key: &str) -> String {
    let sections: Vec<(String, String)> = [("findings".to_owned(), "Findings".to_owned())]
        .into_iter()
        .chain(viewer::kinds(&papers.drawings).map(|kind| (kind.name.to_owned(), kind.title.to_owned())))
        .chain(papers.tables.iter().map(|t| (t.name.to_owned(), t.title.to_owned())))
        .collect();
    let body = html! {
        (banner(papers))
        header.title { (title(&papers.heading)) (cautions(&papers.heading)) (to_print::books(books)) }
        nav.bar aria-label="contents" {
            ul { @for (name, title) in &sections { li { a href={ "#section-" (name) } { (title) } } } }
            div.search role="search" {
                input #search type="search" placeholder="find a mark, device, circuit, hole, place"
                    aria-label="find a mark, device, circuit, hole or place" aria-controls="hits" autocomplete="off" spellcheck="false";
                ul #hits aria-label="found" hidden {}
            }
            p #marked aria-live="polite" {}
        }
        main data-packet=(key) {
            (findings(papers, books))
            @for kind in viewer::kinds(&papers.drawings) { (viewer::section(&kind, &papers.prints, books)) }
            @for table in &papers.tables { (listing(table, books)) }
        }
        footer { p { "Made by " (papers.made_by()) " from " (papers.inputs_line()) "." } }
    };
    let widths: String = papers.tables.iter().map(list::widths).collect();
    let margins = running::margins(papers);
    let style =
        format!("{STYLE}{widths}{margins}{}{}", running::OF_THE_PAGE, viewer::rules(&papers.drawings));
    sheet_head::document(&papers.heading.line(), &style, Some(SCRIPT), &body)
}

/// A list as a paper of its own.
pub(super) fn paper(papers: &Papers<'_>, table: &Table) -> String {
    let body = html! {
        (banner(papers))
        header.title {
            (title(&papers.heading))
            h2 { (table.title) }
            p.purpose { (table.purpose) }
            (list::lead(table))
            (list::notes(table))
            (cautions(&papers.heading))
            (sign_off(papers))
        }
        main { (list::table(table, Boxes::Paper)) }
    };
    let title = format!("{}: {}", table.title, papers.heading.line());
    sheet_head::document(
        &title,
        &format!("{STYLE}{PAPER}{}{}", list::widths(table), running::margins(papers)),
        None,
        &body,
    )
}

/// The findings as a paper of their own.
pub(super) fn findings_paper(papers: &Papers<'_>) -> String {
    let body = html! {
        (banner(papers))
        header.title { (title(&papers.heading)) h2 { "Findings" } (cautions(&papers.heading)) (sign_off(papers)) }
        main { (found(papers)) }
    };
    let title = format!("Findings: {}", papers.heading.line());
    let style = format!("{STYLE}{PAPER}{UPRIGHT}{}", running::margins(papers));
    sheet_head::document(&title, &style, None, &body)
}

/// Who worked and checked by this paper, and what it was made from: on the first leaf, for the last may be full.
fn sign_off(papers: &Papers<'_>) -> Markup {
    html! {
        section.sign {
            @for who in ["worked by", "date", "checked by", "date"] { p { span {} (who) } }
        }
        footer { p { "Made by " (papers.made_by()) " from " (papers.inputs_line()) "." } }
    }
}

fn banner(papers: &Papers<'_>) -> Markup {
    html! { @if let Some(words) = &papers.banner { p.banner role="alert" { (words) } } }
}

fn title(heading: &Heading) -> Markup {
    html! {
        h1 { (heading.title) }
        dl.particulars {
            div { dt { "drawing" } dd { (heading.drawing) } }
            @if let Some(revision) = &heading.revision { div { dt { "revision" } dd { (revision) } } }
            @for (name, value) in &heading.particulars { div { dt { (name) } dd { (value) } } }
        }
    }
}

fn cautions(heading: &Heading) -> Markup {
    html! {
        section.cautions aria-label="cautions" {
            @if let Some(remark) = &heading.remark { p.remark { (remark) } }
            ul { @for caution in CAUTIONS { li { (caution) } } }
        }
    }
}

fn findings(papers: &Papers<'_>, books: &[Bound]) -> Markup {
    html! {
        section #section-findings {
            h2 { "Findings" }
            div.tools { a href="findings.html" { "paper" } (to_print::pages(books, "findings")) }
            (found(papers))
        }
    }
}

fn found(papers: &Papers<'_>) -> Markup {
    html! {
        p.score {
            @if papers.findings.is_empty() { "Nothing was found" } @else { (text::summary(papers.findings)) }
            ". " (papers.score.words()) "."
        }
        @for each in papers.findings { (finding::article(each, &papers.sources)) }
        @if !papers.score.not_judged.is_empty() {
            details.unjudged open {
                summary { "Not judged, because the spec does not say enough" }
                table.list {
                    thead { tr { th scope="col" { "rule" } th scope="col" { "what" } th scope="col" { "missing" } th scope="col" { "place" } } }
                    tbody { @for item in &papers.score.not_judged {
                        (tag::open("tr", &[], &[Reference::new("named", &item.id)]))
                        td { (item.rule) } td { (item.id) } td { (finding::ticked(&item.reason)) } td { (item.place) }
                        (PreEscaped("</tr>"))
                    } }
                }
            }
        }
    }
}

fn listing(table: &Table, books: &[Bound]) -> Markup {
    html! {
        section.listing id={ "section-" (table.name) } {
            h2 { (table.title) }
            p.purpose { (table.purpose) }
            (list::lead(table))
            div.tools {
                @if table.ticked {
                    output data-progress=(table.name) {}
                    button type="button" data-clear=(table.name) { "untick all" }
                }
                a href={ (table.name) ".html" } { "paper" }
                a href={ (table.name) ".csv" } { (table.name) ".csv" }
                (to_print::pages(books, table.name))
            }
            div.wide { (list::table(table, Boxes::Screen)) }
        }
    }
}
