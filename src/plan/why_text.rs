//! A derivation in, text for a terminal out: a figure a paragraph, a term a line, with file and line behind it.

use super::why::{Derivation, Figure, Line};
use crate::diag::{Sources, Span, shown};

/// All derivations, an empty line between them. Nothing of the spec gets out as terminal control.
pub fn render(derivations: &[Derivation], sources: &Sources) -> String {
    derivations.iter().map(|d| one(d, sources)).collect::<Vec<_>>().join("\n")
}

fn one(derivation: &Derivation, sources: &Sources) -> String {
    let at = derivation.span.map_or_else(String::new, |span| format!(" ({})", place(span, sources)));
    let mut text = format!("{}: {}{at}\n", shown(&derivation.id), shown(&derivation.what));
    for figure in &derivation.figures {
        text.push_str(&paragraph(figure, sources));
    }
    text
}

fn place(span: Span, sources: &Sources) -> String {
    format!("{}:{}", shown(sources.name(span.file)), sources.position(span).line)
}

fn paragraph(figure: &Figure, sources: &Sources) -> String {
    let mut text = match figure.value.as_str() {
        "" => format!("  {}\n", figure.name),
        value => format!("  {}: {}\n", figure.name, shown(value)),
    };
    let wide = |part: fn(&Line) -> &str| {
        figure.terms.iter().map(|t| shown(part(t)).chars().count()).max().unwrap_or(0)
    };
    let (words, values) = (wide(|t| &t.words), wide(|t| &t.value));
    for term in &figure.terms {
        let line = format!(
            "    {:words$}  {:>values$}  {}",
            shown(&term.words),
            shown(&term.value),
            behind(term, sources)
        );
        text.push_str(line.trim_end());
        text.push('\n');
    }
    text
}

/// Lines that set a term, how it comes about, its source.
fn behind(term: &Line, sources: &Sources) -> String {
    let mut places: Vec<String> = term.spans.iter().map(|span| place(*span, sources)).collect();
    places.dedup();
    let mut parts = Vec::new();
    if !places.is_empty() {
        parts.push(places.join(", "));
    }
    if term.by_default {
        parts.push("default of the tool".to_owned());
    }
    if !term.formula.is_empty() {
        parts.push(shown(&term.formula).into_owned());
    }
    if !term.source.is_empty() {
        parts.push(format!("[{}]", shown(&term.source)));
    }
    parts.join("; ")
}
