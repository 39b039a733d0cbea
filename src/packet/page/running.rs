//! Title and banner in; what stands in the margin of every printed page, so that a loose leaf speaks for itself.

use std::fmt::Write as _;

use crate::packet::cautions::RUNNING;
use crate::packet::papers::Papers;

/// Style rules for the margins of printed pages (W3C CSS Paged Media Module Level 3, margin boxes).
pub(super) fn margins(papers: &Papers<'_>) -> String {
    let mut rules = format!(
        "@page{{@bottom-left{{content:{};font:8pt B612,sans-serif;white-space:pre-wrap}}}}\n",
        quoted(&format!("{}\n{RUNNING}", papers.heading.line()))
    );
    if let Some(banner) = &papers.banner {
        let _ = writeln!(
            rules,
            "@page{{@top-left{{content:{};font:bold 9pt B612,sans-serif;color:#a01616}}}}",
            quoted(banner)
        );
        // The first leaf has it at its head.
        rules.push_str("@page:first{@top-left{content:none}}\n");
    }
    rules
}

/// The page's own count of its leaves: the drawing books count other ones, and a loose leaf must not pass for one of them.
pub(super) const OF_THE_PAGE: &str =
    "@page{@bottom-right{content:\"printed from the page, \" counter(page) \" / \" counter(pages)}}\n";

/// A string of CSS: all but letters, figures and blanks by number, so that nothing in it can end it.
fn quoted(text: &str) -> String {
    let mut out = String::from("\"");
    for c in text.chars() {
        if c.is_ascii_alphanumeric() || c == ' ' {
            out.push(c);
        } else {
            let _ = write!(out, "\\{:x} ", u32::from(c));
        }
    }
    out.push('"');
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_of_a_title_can_end_the_string() {
        assert_eq!(quoted("a\"}</style>"), "\"a\\22 \\7d \\3c \\2f style\\3e \"");
    }
}
