//! Names in, ids out; an unknown name is told with the nearest known one.

use std::collections::HashSet;

use indexmap::IndexMap;

use crate::diag::{Sink, Span, nearest};

/// Names of one kind.
pub(super) struct Names<T> {
    noun: &'static str,
    section: &'static str,
    known: IndexMap<String, (T, Span)>,
    /// Names that stand only in entries that were left out for their own faults.
    excused: HashSet<String>,
}

impl<T: Copy> Names<T> {
    /// `noun` and `section` go into messages: a place, `route`.
    pub(super) fn new(noun: &'static str, section: &'static str) -> Names<T> {
        Names { noun, section, known: IndexMap::new(), excused: HashSet::new() }
    }

    /// Makes a name known. A name that is taken is told, with both places.
    pub(super) fn add(&mut self, name: &str, id: T, span: Span, sink: &mut Sink) -> bool {
        if let Some((_, first)) = self.known.get(name) {
            sink.unreadable_with(
                span,
                format!("`{name}` is the name of two things"),
                "give one of them another name",
                vec![(*first, "named first here".to_owned())],
            );
            return false;
        }
        self.known.insert(name.to_owned(), (id, span));
        true
    }

    /// Lets a name be unknown without a word: it stands in an entry that was left out.
    pub(super) fn excuse(&mut self, name: &str) {
        self.excused.insert(name.to_owned());
    }

    /// The id of a name, silently.
    pub(super) fn get(&self, name: &str) -> Option<T> {
        self.known.get(name).map(|(id, _)| *id)
    }

    /// The id of a name that stands at `span`; told where it is unknown, unless it was `lost` to a fault of its own.
    pub(super) fn find(&self, name: &str, span: Span, lost: &Lost, sink: &mut Sink) -> Option<T> {
        if let Some(id) = self.get(name) {
            return Some(id);
        }
        if !lost.has(name) && !self.excused.contains(name) {
            let remedy = suggestion(name, self.known.keys().map(String::as_str)).unwrap_or_else(|| {
                format!("name one that stands under `{}:`, or add it there", self.section)
            });
            sink.unreadable(span, format!("`{name}` is not {}", self.noun), remedy);
        }
        None
    }
}

/// `write `X`` for the nearest of the known names.
pub(super) fn suggestion<'a>(name: &str, known: impl IntoIterator<Item = &'a str>) -> Option<String> {
    nearest(name, known).map(|near| format!("write `{near}`, if that is meant"))
}

/// Entries that were left out of the typed spec because they hold faults of their own.
pub(super) struct Lost<'a>(pub &'a dyn Fn(&str) -> bool);

impl Lost<'_> {
    pub(super) fn has(&self, name: &str) -> bool {
        (self.0)(name)
    }
}
