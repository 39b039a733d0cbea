//! Pages of a drawing in; one HTML file out that a browser prints on paper of their size, each on a sheet of its own, at
//! the scale it was drawn. Before them a sheet of words: whose they are, and the cautions.

use maud::{PreEscaped, html};

use super::sheet_head;
use crate::draw::svg_out::{self, SvgOptions};
use crate::packet::papers::{Papers, Print};

const STYLE: &str = "body{margin:0;background:#e8ebee}\n.page{margin:4mm auto;background:#fff}\n.page svg{display:block}\n\
                     .words{box-sizing:border-box;padding:14mm;font:10pt/1.5 B612,sans-serif;color:#1b1f24}\n\
                     .words .banner{font-weight:bold;color:#a01616}.words .remark{font-weight:bold}\n\
                     @media print{body{background:none}.page{margin:0;break-after:page;break-inside:avoid}}\n";

/// The file.
pub(super) fn file(papers: &Papers<'_>, print: &Print) -> String {
    let size = print.pages.first().map(|page| page.size).unwrap_or_default();
    let style = format!(
        "@page{{size:{w}mm {h}mm;margin:0}}\n{STYLE}.page{{width:{w}mm;height:{h}mm;overflow:hidden}}\n",
        w = size.width,
        h = size.height
    );
    let body = html! {
        div.page.words {
            (super::banner(papers))
            h1 { (papers.heading.line()) }
            p { (print.title) ". Print at 100 %, never fitted to the page, and measure the line of 100 mm on each." }
            (super::cautions(&papers.heading))
        }
        @for (i, page) in print.pages.iter().enumerate() {
            div.page {
                (PreEscaped(svg_out::write(page, &SvgOptions { id_prefix: format!("p{i}-"), embed_typeface: false })))
            }
        }
    };
    sheet_head::document(&format!("{}: {}", print.title, papers.heading.line()), &style, None, &body)
}
