//! Parts of one kind, by name and by small id.

use std::fmt;
use std::hash::{Hash, Hasher};
use std::marker::PhantomData;

use indexmap::IndexMap;

use crate::diag::Span;

/// A part of kind `T` on the shelf of one library.
pub struct PartId<T>(u32, PhantomData<fn() -> T>);

impl<T> PartId<T> {
    fn at(index: usize) -> PartId<T> {
        PartId(u32::try_from(index).unwrap_or(u32::MAX), PhantomData)
    }

    /// Its place on the shelf.
    pub fn index(self) -> usize {
        self.0 as usize
    }
}

impl<T> Clone for PartId<T> {
    fn clone(&self) -> PartId<T> {
        *self
    }
}
impl<T> Copy for PartId<T> {}
impl<T> PartialEq for PartId<T> {
    fn eq(&self, other: &PartId<T>) -> bool {
        self.0 == other.0
    }
}
impl<T> Eq for PartId<T> {}
impl<T> PartialOrd for PartId<T> {
    fn partial_cmp(&self, other: &PartId<T>) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}
impl<T> Ord for PartId<T> {
    fn cmp(&self, other: &PartId<T>) -> std::cmp::Ordering {
        self.0.cmp(&other.0)
    }
}
impl<T> Hash for PartId<T> {
    fn hash<H: Hasher>(&self, state: &mut H) {
        self.0.hash(state);
    }
}
impl<T> fmt::Debug for PartId<T> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "PartId({})", self.0)
    }
}

#[derive(Clone, Debug)]
struct Stored<T> {
    part: T,
    span: Option<Span>,
}

/// All parts of one kind.
#[derive(Clone, Debug)]
pub struct Shelf<T> {
    parts: IndexMap<String, Stored<T>>,
}

impl<T> Default for Shelf<T> {
    fn default() -> Shelf<T> {
        Shelf { parts: IndexMap::new() }
    }
}

impl<T> Shelf<T> {
    /// Puts a part there; false, and nothing is changed, where the name is taken. `span` is where a user's part file
    /// names it, None for a part of the library that comes with the tool.
    pub fn put(&mut self, name: &str, part: T, span: Option<Span>) -> bool {
        if self.parts.contains_key(name) {
            return false;
        }
        self.parts.insert(name.to_owned(), Stored { part, span });
        true
    }

    /// The id of a name.
    pub fn find(&self, name: &str) -> Option<PartId<T>> {
        self.parts.get_index_of(name).map(PartId::at)
    }

    /// Id and part of a name.
    pub fn look_up(&self, name: &str) -> Option<(PartId<T>, &T)> {
        let (index, _, stored) = self.parts.get_full(name)?;
        Some((PartId::at(index), &stored.part))
    }

    /// The part of an id of this shelf.
    pub fn get(&self, id: PartId<T>) -> &T {
        &self.parts[id.index()].part
    }

    /// Its name.
    pub fn name(&self, id: PartId<T>) -> &str {
        self.parts.get_index(id.index()).map_or("", |(name, _)| name)
    }

    /// Where a user's part file names it; None for a part that comes with the tool.
    pub fn span(&self, id: PartId<T>) -> Option<Span> {
        self.parts.get_index(id.index()).and_then(|(_, stored)| stored.span)
    }

    /// All parts in the order of the library.
    pub fn iter(&self) -> impl Iterator<Item = (PartId<T>, &str, &T)> {
        self.parts.iter().enumerate().map(|(i, (name, stored))| (PartId::at(i), name.as_str(), &stored.part))
    }

    /// All names, to suggest from.
    pub fn names(&self) -> impl Iterator<Item = &str> {
        self.parts.keys().map(String::as_str)
    }
}
