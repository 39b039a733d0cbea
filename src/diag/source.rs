//! Source texts in; spans, line and column out.

use std::sync::Arc;

/// A file of a [`Sources`] store.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct FileId(pub u32);

/// A byte range `start..end` of one source file. A value has one of these from the moment it is read.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Span {
    /// The file the range lies in.
    pub file: FileId,
    /// First byte.
    pub start: u32,
    /// One past the last byte.
    pub end: u32,
}

impl Span {
    /// The range `start..end` of `file`.
    pub fn new(file: FileId, start: usize, end: usize) -> Span {
        let fit = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
        Span { file, start: fit(start), end: fit(end) }
    }
}

/// A place as a person counts it: line and column from 1, the column in characters.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Position {
    /// Line, from 1.
    pub line: usize,
    /// Column in characters, from 1.
    pub column: usize,
}

#[derive(Clone, Debug)]
struct SourceFile {
    name: String,
    text: Arc<str>,
    line_starts: Vec<usize>,
}

/// Every text that was read in this run, by the name under which the user knows it.
#[derive(Clone, Debug, Default)]
pub struct Sources {
    files: Vec<SourceFile>,
}

impl Sources {
    /// Adds a file; `name` is shown in findings as it stands here.
    pub fn add(&mut self, name: impl Into<String>, text: impl Into<Arc<str>>) -> FileId {
        let text = text.into();
        let mut line_starts = vec![0];
        line_starts.extend(text.bytes().enumerate().filter(|(_, b)| *b == b'\n').map(|(i, _)| i + 1));
        self.files.push(SourceFile { name: name.into(), text, line_starts });
        FileId(u32::try_from(self.files.len() - 1).unwrap_or(u32::MAX))
    }

    fn file(&self, id: FileId) -> Option<&SourceFile> {
        self.files.get(id.0 as usize)
    }

    /// The file's name, or the empty text for an id of another store.
    pub fn name(&self, id: FileId) -> &str {
        self.file(id).map_or("", |f| &f.name)
    }

    /// The file's whole text, or the empty text for an id of another store.
    pub fn text(&self, id: FileId) -> &str {
        self.file(id).map_or("", |f| &f.text)
    }

    /// The file's whole text, shared: a tree over it outlives later additions to the store.
    pub fn shared_text(&self, id: FileId) -> Arc<str> {
        self.file(id).map_or_else(|| Arc::from(""), |f| Arc::clone(&f.text))
    }

    /// The same texts under other names.
    pub fn renamed<'a>(&'a self, rename: impl Fn(&'a str) -> &'a str) -> Sources {
        let named = |file: &'a SourceFile| SourceFile { name: rename(&file.name).to_owned(), ..file.clone() };
        Sources { files: self.files.iter().map(named).collect() }
    }

    /// All file ids in the order they were added.
    pub fn ids(&self) -> impl Iterator<Item = FileId> + use<> {
        (0..u32::try_from(self.files.len()).unwrap_or(u32::MAX)).map(FileId)
    }

    /// Line and column of the span's first character, clamped into the file.
    pub fn position(&self, span: Span) -> Position {
        let Some(file) = self.file(span.file) else { return Position { line: 1, column: 1 } };
        let at = (span.start as usize).min(file.text.len());
        let line = file.line_starts.partition_point(|s| *s <= at);
        let from = file.line_starts.get(line.saturating_sub(1)).copied().unwrap_or(0);
        let column = file.text.get(from..at).map_or(1, |t| t.chars().count() + 1);
        Position { line: line.max(1), column }
    }

    /// The text the span covers, or the empty text where it lies outside the file.
    pub fn excerpt(&self, span: Span) -> &str {
        self.text(span.file).get(span.start as usize..span.end as usize).unwrap_or("")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn counts_lines_and_characters_from_one() {
        let mut sources = Sources::default();
        let id = sources.add("a.yaml", "k: 1\nµΩ: x\n");
        let x = "k: 1\nµΩ: ".len();
        assert_eq!(sources.position(Span::new(id, x, x + 1)), Position { line: 2, column: 5 });
        assert_eq!(sources.position(Span::new(id, 9999, 9999)), Position { line: 3, column: 1 });
        assert_eq!(sources.excerpt(Span::new(id, x, x + 1)), "x");
    }
}
