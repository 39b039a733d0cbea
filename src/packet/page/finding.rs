//! One finding in; its article out, with the lines of the spec it speaks of.

use maud::{Markup, PreEscaped, html};

use super::tag;
use crate::diag::{Finding, Sources, shown};
use crate::packet::places::{Place, places};
use crate::packet::table::Reference;

/// The article of a finding.
pub(super) fn article(finding: &Finding, sources: &Sources) -> Markup {
    let about: Vec<Reference> =
        finding.labels.iter().filter_map(|l| Some(Reference::new("named", l.id.clone()?))).collect();
    let waived = if finding.waived.is_some() { " waived" } else { "" };
    let class = format!("finding {}{waived}", finding.severity.word());
    html! {
        (tag::open("article", &[("class", &class)], &about))
        header {
            span.weight { (finding.severity.word()) @if finding.waived.is_some() { ", waived" } }
            span.rule { (finding.rule) }
        }
        p.message { (ticked(&finding.message)) }
        ul.places { @for each in places(finding, sources) { li { (place(&each)) } } }
        dl {
            @for (name, text) in [
                ("in service", finding.in_service.as_str()),
                ("do", finding.remedy.as_str()),
                ("source", finding.source.as_str()),
                ("waived", finding.waived.as_deref().unwrap_or("")),
            ] {
                @if !text.is_empty() { dt { (name) } dd { (ticked(text)) } }
            }
        }
        (PreEscaped("</article>"))
    }
}

/// Where it stands, the line itself with all places marked, and what they have to do with it.
fn place(place: &Place) -> Markup {
    html! {
        span.where { (place.at) }
        code {
            @for (i, piece) in place.line.iter().enumerate() {
                @if i % 2 == 1 { mark { (piece) } } @else { (piece) }
            }
        }
        @if !place.words.is_empty() { span.about { (ticked(&place.words)) } }
    }
}

/// Text in which `` `names` `` are set as such.
pub(super) fn ticked(text: &str) -> Markup {
    html! {
        @for (i, part) in shown(text).split('`').enumerate() {
            @if i % 2 == 1 { b { (part) } } @else { (part) }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diag::{Label, Severity, Span};

    #[test]
    fn the_line_is_shown_and_nothing_in_it_becomes_markup() {
        let mut sources = Sources::default();
        let text = "a: 1\n  CHT1: {from: <b>, to: GAUGE}  # remark\n";
        let file = sources.add("spec.yaml", text);
        let at = text.find("<b>").unwrap();
        let label =
            Label { span: Span::new(file, at, at + 3), text: "here `CHT1`".into(), id: Some("CHT1".into()) };
        let finding = Finding {
            rule: "swapped-legs",
            severity: Severity::Stop,
            message: "`CHT1` <i>".into(),
            labels: vec![label],
            in_service: String::new(),
            remedy: "swap".into(),
            source: String::new(),
            waived: None,
        };
        let html = article(&finding, &sources).into_string();
        assert!(html.contains("spec.yaml:2:16"), "{html}");
        assert!(html.contains("CHT1: {from: <mark>&lt;b&gt;</mark>, to: GAUGE}  # remark"), "{html}");
        assert!(html.contains("<b>CHT1</b> &lt;i&gt;"), "{html}");
        assert!(html.contains("data-named=\"CHT1\""), "{html}");
    }
}
