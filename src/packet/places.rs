//! A finding in; the places that it points at out, each with its line of the spec.

use crate::diag::{Finding, Label, Sources, shown};

/// Longer lines are shown around the place only.
const SHOWN: usize = 100;

/// A line of a source that a finding points at.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Place {
    /// `file:line:column` of the first thing that is pointed at.
    pub at: String,
    /// The line in pieces: every second one is pointed at.
    pub line: Vec<String>,
    /// What it has to do with the finding; may be empty.
    pub words: String,
}

/// The places of a finding in its order; those on one line are one.
pub(super) fn places(finding: &Finding, sources: &Sources) -> Vec<Place> {
    let lines = finding.labels.chunk_by(|a, b| same_line(a, b, sources));
    lines.filter_map(|labels| place(labels, sources)).collect()
}

fn same_line(a: &Label, b: &Label, sources: &Sources) -> bool {
    a.span.file == b.span.file && sources.position(a.span).line == sources.position(b.span).line
}

fn place(labels: &[Label], sources: &Sources) -> Option<Place> {
    let first = labels.first()?;
    let at = sources.position(first.span);
    let mut words: Vec<&str> = labels.iter().map(|l| l.text.as_str()).filter(|t| !t.is_empty()).collect();
    // Two places of one line often have the same part in it.
    words.dedup();
    Some(Place {
        at: format!("{}:{}:{}", sources.name(first.span.file), at.line, at.column),
        line: line(labels, sources),
        words: words.join("; "),
    })
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diag::{Severity, Span};

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
    fn places_on_one_line_are_one() {
        let mut sources = Sources::default();
        let file = sources.add("spec.yaml", "a: 1\n  FLOW: {from: F.return, to: F.pulse}\n");
        let at = |word: &str| {
            let start = sources.text(file).find(word).unwrap();
            Label { span: Span::new(file, start, start + word.len()), text: word.into(), id: None }
        };
        let labels = vec![at("F.pulse"), at("F.return")];
        let finding = Finding {
            rule: "swapped-legs",
            severity: Severity::Stop,
            message: String::new(),
            labels,
            in_service: String::new(),
            remedy: String::new(),
            source: String::new(),
            waived: None,
        };
        let place = Place {
            at: "spec.yaml:2:30".into(),
            line: ["FLOW: {from: ", "F.return", ", to: ", "F.pulse", "}"].map(str::to_owned).to_vec(),
            words: "F.pulse; F.return".into(),
        };
        assert_eq!(places(&finding, &sources), [place]);
    }
}
