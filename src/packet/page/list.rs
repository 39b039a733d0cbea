//! A table in; its HTML out, with a box to tick for each row that is a piece of work.

use maud::{Markup, PreEscaped, html};

use super::tag;
use crate::packet::table::{Align, Cell, Row, Table};

/// How the boxes to tick are made.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Boxes {
    /// Drawn, for a pencil.
    Paper,
    /// Real ones, remembered by the browser.
    Screen,
}

/// What is read before the table.
pub(super) fn lead(table: &Table) -> Markup {
    html! { @for words in &table.lead { p.lead { (words) } } }
}

/// The table; on the screen with its footnotes.
pub(super) fn table(table: &Table, boxes: Boxes) -> Markup {
    html! {
        table.list data-list=(table.name) {
            colgroup { @if table.ticked { col.box; } @for _ in &table.columns { col; } }
            thead { tr {
                @if table.ticked { th.box { span.quiet { "done" } } }
                @for column in &table.columns {
                    th scope="col" class=[class(column.align)] {
                        (column.head)
                        @if let Some(unit) = column.unit { " " span.unit { (unit) } }
                    }
                }
            } }
            @for rows in table.rows.chunk_by(|a, b| a.group == b.group) {
                tbody {
                    @if let Some(group) = rows.first().and_then(|r| r.group.as_ref()) {
                        tr.group { th scope="rowgroup" colspan=(table.columns.len() + usize::from(table.ticked)) {
                            (group.title)
                            @for caution in &group.cautions { p.caution { "CAUTION: " (caution) } }
                            @if !group.details.is_empty() {
                                dl { @for (name, text) in &group.details { dt { (name) } dd { (text) } } }
                            }
                        } }
                    }
                    @for row in rows { (line(table, row, boxes)) }
                }
            }
        }
        // On paper they stand in the head, so that the last leaf never holds a note alone.
        @if boxes == Boxes::Screen { (notes(table)) }
    }
}

/// Its footnotes.
pub(super) fn notes(table: &Table) -> Markup {
    html! {
        @if !table.notes.is_empty() {
            ul.notes { @for note in &table.notes { li { (note) } } }
        }
    }
}

/// Style rules for the widths of the columns: the tick box's first, where there is one.
pub(super) fn widths(table: &Table) -> String {
    let rule = |(i, share): (usize, u8)| {
        format!("[data-list={}] col:nth-child({}){{width:{share}%}}\n", table.name, i + 1)
    };
    let tick = table.ticked.then_some(4);
    tick.into_iter().chain(table.columns.iter().map(|c| c.share)).enumerate().map(rule).collect()
}

fn class(align: Align) -> Option<&'static str> {
    match align {
        Align::Start => None,
        Align::End => Some("figure"),
    }
}

fn line(table: &Table, row: &Row, boxes: Boxes) -> Markup {
    html! {
        (tag::open("tr", &[("data-row", &row.key)], &row.about))
        @if table.ticked {
            td.box {
                @if !row.part { @match boxes {
                    Boxes::Paper => span.tick {},
                    Boxes::Screen => input type="checkbox" aria-label={ "done: " (row.key) };,
                } }
            }
        }
        @for (cell, column) in row.cells.iter().zip(&table.columns) {
            td class=[class(column.align)] {
                @if cell.tick {
                    @match boxes {
                        Boxes::Paper => span.tick {},
                        Boxes::Screen => input type="checkbox" data-also=(column.head) aria-label={ (column.head) ": " (row.key) };,
                    }
                }
                (content(cell, boxes))
                @if let Some(under) = &cell.under { span.under { (under) } }
            }
        }
        (PreEscaped("</tr>"))
    }
}

/// On the screen a cell that names a thing is a link that marks it everywhere, and a figure opens to its terms.
fn content(cell: &Cell, boxes: Boxes) -> Markup {
    match &cell.names {
        Some(name) if boxes == Boxes::Screen => {
            let link = format!("#{}", percent(&name.id));
            html! { (tag::open("a", &[("href", &link)], [name])) (cell.text) (PreEscaped("</a>")) }
        }
        None if boxes == Boxes::Screen && !cell.terms.is_empty() => html! {
            details.terms {
                summary { (cell.text) }
                dl { @for (words, value) in &cell.terms { dt { (words) } dd { (value) } } }
            }
        },
        _ => html! { (cell.text) },
    }
}

/// A name as the fragment of an address (RFC 3986, section 3.5: what is not unreserved is percent-encoded).
pub(super) fn percent(name: &str) -> String {
    let plain = |b: u8| b.is_ascii_alphanumeric() || matches!(b, b'-' | b'.' | b'_' | b'~');
    let coded = |b: u8| if plain(b) { char::from(b).to_string() } else { format!("%{b:02X}") };
    name.bytes().map(coded).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::packet::table::{Column, Group, Reference};

    fn sample() -> Table {
        let row = |key: &str, group: &str| Row {
            key: key.into(),
            about: vec![Reference::new("conductor", key), Reference::new("circuit", "CHT1")],
            cells: vec![Cell::naming("conductor", key), "1 035".into()],
            record: vec![],
            group: Some(Group::titled(group)),
            part: false,
        };
        Table {
            name: "cut-list",
            title: "Cut list",
            purpose: "",
            lead: Vec::new(),
            ticked: true,
            columns: vec![Column::words("mark", 50), Column::figures("cut length", Some("mm"), 46)],
            rows: vec![row("E1A20", "spool A"), row("E2A20", "spool A"), row("E<3>", "spool B")],
            record_heads: vec![],
            notes: vec![],
        }
    }

    #[test]
    fn every_row_can_be_found_by_what_it_is_about() {
        let html = table(&sample(), Boxes::Screen).into_string();
        assert!(
            html.contains("<tr data-row=\"E1A20\" data-conductor=\"E1A20\" data-circuit=\"CHT1\">"),
            "{html}"
        );
        assert_eq!(html.matches("class=\"group\"").count(), 2);
        assert!(
            html.contains("<a href=\"#E%3C3%3E\" data-conductor=\"E&lt;3&gt;\">E&lt;3&gt;</a>"),
            "{html}"
        );
        assert!(!html.contains("<3>"));
    }

    #[test]
    fn what_is_no_work_has_nothing_to_tick() {
        let table = Table { ticked: false, lead: vec!["<all> of it".into()], ..sample() };
        let html = super::table(&table, Boxes::Paper).into_string();
        assert!(!html.contains("tick") && html.contains("colspan=\"2\""), "{html}");
        assert_eq!(lead(&table).into_string(), "<p class=\"lead\">&lt;all&gt; of it</p>");
        assert!(widths(&table).starts_with("[data-list=cut-list] col:nth-child(1){width:50%}"));
    }

    #[test]
    fn paper_has_boxes_for_a_pencil_and_no_links() {
        let html = table(&sample(), Boxes::Paper).into_string();
        assert_eq!(html.matches("class=\"tick\"").count(), 3);
        assert!(!html.contains("<input") && !html.contains("<a "));
    }
}
