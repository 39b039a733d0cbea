//! What the page of a packet must know of a drawing book to lead into it.

use std::collections::BTreeMap;

use crate::draw::Paper;

/// A book as a file of the packet.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Bound {
    /// Name of its file: `book-a4.pdf`.
    pub file: String,
    /// The paper that its lists are for.
    pub paper: Paper,
    /// How many pages it has.
    pub pages: usize,
    /// The page, from 1, on which the findings, a drawing, a drawing in pages or a list begins, by name.
    pub starts: BTreeMap<String, usize>,
}

impl Bound {
    /// The first page of what is called `name`; None where the book does not hold it.
    pub fn page(&self, name: &str) -> Option<usize> {
        self.starts.get(name).copied()
    }

    /// The address of a page in a browser. Source: RFC 8118, section 3 (from memory).
    pub fn address(&self, page: usize) -> String {
        format!("{}#page={page}", self.file)
    }
}
