//! One finding in; its article out, with the lines of the spec it speaks of.

use maud::{Markup, PreEscaped, html};

use super::tag;
use crate::diag::{Finding, Label, Sources, shown};
use crate::packet::table::Reference;

/// Longer lines are shown around the place only.
const SHOWN: usize = 100;

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
        ul.places { @for label in &finding.labels { li { (place(label, sources)) } } }
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

/// Where it stands, the line itself with the place marked, and what it has to do with it.
fn place(label: &Label, sources: &Sources) -> Markup {
    let at = sources.position(label.span);
    let (before, marked, after) = line(label, sources);
    html! {
        span.where { (sources.name(label.span.file)) ":" (at.line) ":" (at.column) }
        code { (before) mark { (marked) } (after) }
        @if !label.text.is_empty() { span.about { (ticked(&label.text)) } }
    }
}

/// The label's line: what stands before the place, the place, what follows.
fn line(label: &Label, sources: &Sources) -> (String, String, String) {
    let text = sources.text(label.span.file);
    let start = text.floor_char_boundary((label.span.start as usize).min(text.len()));
    let end = text.ceil_char_boundary((label.span.end as usize).min(text.len())).max(start);
    let (head, rest) = text.split_at(start);
    let before = head.rsplit('\n').next().unwrap_or("").trim_start();
    let (covered, tail) = rest.split_at(end - start);
    let marked = covered.lines().next().unwrap_or("");
    let after = if covered.contains('\n') { "" } else { tail.lines().next().unwrap_or("") };
    let room = SHOWN.saturating_sub(marked.chars().count());
    let lead: Vec<char> = before.chars().rev().take(room / 2).collect();
    let room = room - lead.len();
    let mut before_shown: String = lead.into_iter().rev().collect();
    if before_shown.len() < before.len() {
        before_shown.insert(0, '…');
    }
    let mut after_shown: String = after.chars().take(room).collect();
    if after_shown.len() < after.trim_end().len() {
        after_shown.push('…');
    }
    (
        shown(&before_shown).into_owned(),
        shown(marked).into_owned(),
        shown(after_shown.trim_end()).into_owned(),
    )
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
    use crate::diag::{Severity, Span};

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

    #[test]
    fn long_lines_are_cut_around_the_place_and_bad_spans_do_no_harm() {
        let mut sources = Sources::default();
        let text = format!("{}X{}", "é".repeat(500), "ü".repeat(500));
        let file = sources.add("spec.yaml", text.as_str());
        let label = |start, end| Label { span: Span::new(file, start, end), text: String::new(), id: None };
        let (before, marked, after) = line(&label(1000, 1001), &sources);
        assert_eq!((marked.as_str(), before.chars().count(), after.chars().count()), ("X", 50, 51));
        line(&label(1, 9999), &sources);
        line(&label(99_999, 0), &sources);
    }
}
