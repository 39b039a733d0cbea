//! The drawings in; one section for each kind of drawing out, with its sheets, the tabs that choose among them and the
//! buttons that enlarge.

use maud::{Markup, PreEscaped, html};

use super::to_print;
use crate::draw::svg_out::{self, SvgOptions};
use crate::packet::bound::Bound;
use crate::packet::papers::{Drawing, Print};

/// All sheets of one kind of drawing, in their order.
pub(super) struct Kind<'a> {
    /// `faces` of `faces-1`.
    pub name: &'a str,
    /// `Faces` of `Faces 1/11`.
    pub title: &'a str,
    sheets: &'a [Drawing],
}

/// Sheets that follow each other and are numbered under one name are one kind.
pub(super) fn kinds(drawings: &[Drawing]) -> impl Iterator<Item = Kind<'_>> {
    drawings.chunk_by(|a, b| stem(&a.name) == stem(&b.name)).filter_map(|sheets| {
        let first = sheets.first()?;
        let title = if sheets.len() > 1 { first.title.rsplit_once(' ')?.0 } else { &first.title };
        Some(Kind { name: stem(&first.name), title, sheets })
    })
}

/// The name without the number of the sheet.
fn stem(name: &str) -> &str {
    match name.rsplit_once('-') {
        Some((stem, number)) if !number.is_empty() && number.bytes().all(|b| b.is_ascii_digit()) => stem,
        _ => name,
    }
}

/// The section of one kind of drawing.
pub(super) fn section(kind: &Kind<'_>, prints: &[Print], books: &[Bound]) -> Markup {
    let many = kind.sheets.len() > 1;
    html! {
        section.drawing id={ "section-" (kind.name) } {
            h2 { (kind.title) }
            div.tools {
                @if many {
                    div.turn role="tablist" aria-label={ (kind.title) ", sheets" } {
                        @for (i, sheet) in kind.sheets.iter().enumerate() {
                            button type="button" role="tab" aria-controls={ "sheet-" (sheet.name) } aria-label={ "sheet " (i + 1) } { (i + 1) }
                        }
                    }
                }
                button type="button" data-zoom="out" aria-label="smaller" { "−" }
                button type="button" data-zoom="in" aria-label="larger" { "+" }
                button type="button" data-zoom="fit" { "fit" }
                output.size aria-label="size" { "100 %" }
                @for sheet in kind.sheets {
                    span.files data-file={ "sheet-" (sheet.name) } {
                        a href={ (sheet.name) ".svg" } { (sheet.name) ".svg" }
                        (to_print::pages(books, &sheet.name))
                        (to_print::in_pages(books, prints.iter().filter(|print| print.of == sheet.name)))
                    }
                }
            }
            @for sheet in kind.sheets { (window(sheet, many)) }
        }
    }
}

fn window(sheet: &Drawing, many: bool) -> Markup {
    let options = SvgOptions { id_prefix: format!("{}-", sheet.name), embed_typeface: false };
    let role = if many { "tabpanel" } else { "group" };
    let keys = "arrow keys move it when enlarged, plus and minus change its size, 0 fits it";
    html! {
        div.sheet id={ "sheet-" (sheet.name) } tabindex="0" role=(role) aria-label={ (sheet.title) ": " (keys) } {
            (PreEscaped(svg_out::write(&sheet.scene, &options)))
        }
    }
}

/// Style rules: on the screen a window shaped as the sheet and not taller than what is seen of the page, but no
/// narrower than a sheet can be read; in print each sheet on a page of its own size, at the scale it was drawn.
pub(super) fn rules(drawings: &[Drawing]) -> String {
    let rule = |drawing: &Drawing| {
        let (name, size) = (&drawing.name, drawing.scene.size);
        format!(
            "@media screen{{#sheet-{name}{{aspect-ratio:{w}/{h};max-width:max(1100px,calc(88vh*{w}/{h}))}}}}\n\
             @page {name}{{size:{w}mm {h}mm;margin:0}}\n@media print{{#sheet-{name}{{page:{name}}}}}\n",
            w = size.width,
            h = size.height
        )
    };
    drawings.iter().map(rule).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_a_number_is_taken_off_a_name() {
        assert_eq!(
            ["faces-11", "wiring", "as-built", "faces-"].map(stem),
            ["faces", "wiring", "as-built", "faces-"]
        );
    }
}
