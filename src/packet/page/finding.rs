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
        ul.places { @for labels in finding.labels.chunk_by(|a, b| same_line(a, b, sources)) { li { (place(labels, sources)) } } }
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

fn same_line(a: &Label, b: &Label, sources: &Sources) -> bool {
    a.span.file == b.span.file && sources.position(a.span).line == sources.position(b.span).line
}

/// Labels on one line of one file: where the first stands, the line itself with all places marked, and what they have
/// to do with it.
fn place(labels: &[Label], sources: &Sources) -> Markup {
    let Some(first) = labels.first() else { return html! {} };
    let at = sources.position(first.span);
    let mut words: Vec<&str> = labels.iter().map(|l| l.text.as_str()).filter(|t| !t.is_empty()).collect();
    // Two places of one line often have the same part in it.
    words.dedup();
    html! {
        span.where { (sources.name(first.span.file)) ":" (at.line) ":" (at.column) }
        code {
            @for (i, piece) in line(labels, sources).iter().enumerate() {
                @if i % 2 == 1 { mark { (piece) } } @else { (piece) }
            }
        }
        @if !words.is_empty() { span.about { (ticked(&words.join("; "))) } }
    }
}

/// The labels' line in pieces: every second one is a place that is marked.
fn line(labels: &[Label], sources: &Sources) -> Vec<String> {
    let Some(first) = labels.first() else { return vec![] };
    let text = sources.text(first.span.file);
    let within = |at: u32| text.floor_char_boundary((at as usize).min(text.len()));
    let start = within(first.span.start);
    let from = text.get(..start).and_then(|t| t.rfind('\n')).map_or(0, |at| at + 1);
    let end = text.get(start..).and_then(|t| t.find('\n')).map_or(text.len(), |at| start + at);
    let mut ranges: Vec<(usize, usize)> =
        labels.iter().map(|l| (within(l.span.start).max(from), within(l.span.end).min(end))).collect();
    ranges.sort_unstable();
    let mut pieces = Vec::new();
    let mut at = from;
    for (start, stop) in ranges {
        // Of places that overlap the first is marked whole.
        if start >= at && stop >= start {
            pieces.push(text.get(at..start).unwrap_or("").to_owned());
            pieces.push(text.get(start..stop).unwrap_or("").to_owned());
            at = stop;
        }
    }
    pieces.push(text.get(at..end).unwrap_or("").trim_end().to_owned());
    if let Some(head) = pieces.first_mut() {
        *head = head.trim_start().to_owned();
    }
    shorten(&mut pieces);
    pieces.iter().map(|piece| shown(piece).into_owned()).collect()
}

/// Cuts what stands before the first place and after the last, where the line is too long to be shown whole.
fn shorten(pieces: &mut [String]) {
    let count = |pieces: &[String]| pieces.iter().map(|p| p.chars().count()).sum::<usize>();
    let over = count(pieces).saturating_sub(SHOWN);
    let Some(tail) = pieces.last_mut() else { return };
    let length = tail.chars().count();
    let keep = length.saturating_sub(over).max(length.min(SHOWN / 2));
    if keep < length {
        *tail = tail.chars().take(keep).chain(['…']).collect();
    }
    let over = count(pieces).saturating_sub(SHOWN + 1);
    let Some(head) = pieces.first_mut() else { return };
    let length = head.chars().count();
    let drop = over.min(length.saturating_sub(SHOWN / 4));
    if drop > 0 {
        *head = ['…'].into_iter().chain(head.chars().skip(drop)).collect();
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
        let pieces = line(&[label(1000, 1001)], &sources);
        assert_eq!(pieces[1], "X");
        let lengths: Vec<usize> = pieces.iter().map(|p| p.chars().count()).collect();
        assert!(
            lengths[0] > 20 && lengths[2] > 40 && lengths.iter().sum::<usize>() < SHOWN + 5,
            "{lengths:?}"
        );
        line(&[label(1, 9999)], &sources);
        line(&[label(99_999, 0)], &sources);
    }

    #[test]
    fn places_on_one_line_are_marked_together() {
        let mut sources = Sources::default();
        let file = sources.add("spec.yaml", "a: 1\n  FLOW: {from: F.return, to: F.pulse}\n");
        let at = |word: &str| {
            let start = sources.text(file).find(word).unwrap();
            Label { span: Span::new(file, start, start + word.len()), text: word.into(), id: None }
        };
        let labels = [at("F.pulse"), at("F.return")];
        assert!(same_line(&labels[0], &labels[1], &sources));
        assert_eq!(line(&labels, &sources), ["FLOW: {from: ", "F.return", ", to: ", "F.pulse", "}"]);
        let html = place(&labels, &sources).into_string();
        assert!(html.contains("F.pulse; F.return") && html.contains("spec.yaml:2:30"), "{html}");
    }
}
