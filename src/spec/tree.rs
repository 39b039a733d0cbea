//! The shape of one YAML text in an arena: maps, lists and scalars, each with the place where it stands.
//!
//! Built by [`super::gate::read`], which also guarantees what a tree may hold: no aliases, no tags, no key twice in a
//! map, only scalar keys, no nesting deeper than [`super::gate::MAX_DEPTH`].

use std::sync::Arc;

use crate::diag::{FileId, Span};

/// A node of a [`Tree`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct NodeId(pub(super) u32);

impl NodeId {
    fn index(self) -> usize {
        self.0 as usize
    }
}

/// Where the text of a scalar is kept.
#[derive(Clone, Copy, Debug)]
pub(super) enum Text {
    /// It stands in the source exactly so.
    InPlace { start: u32, end: u32 },
    /// It was folded or had escapes: an index into the tree's kept texts.
    Kept(u32),
}

/// What a node is made of.
#[derive(Clone, Copy, Debug)]
pub(super) enum Shape {
    /// A scalar without quotes: may mean a number, a truth value or nothing.
    Plain(Text),
    /// A scalar in quotes or a text block: always text.
    Quoted(Text),
    /// Children alternate key, value.
    Map { first: u32, count: u32 },
    /// Children are the items.
    List { first: u32, count: u32 },
}

#[derive(Clone, Copy, Debug)]
pub(super) struct Node {
    pub shape: Shape,
    pub start: u32,
    pub end: u32,
    /// The key this node is the value of.
    pub key: Option<NodeId>,
    /// Refused at the gate, so nothing more is said about it.
    pub refused: bool,
}

/// How a node reads, without its place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// One value.
    Scalar,
    /// Names and values.
    Map,
    /// Items in order.
    List,
}

/// One entry of a map.
#[derive(Clone, Copy, Debug)]
pub struct Entry<'t> {
    /// The key's text.
    pub key: &'t str,
    /// The key's place.
    pub key_span: Span,
    /// The key itself.
    pub key_node: NodeId,
    /// The value.
    pub value: NodeId,
}

/// One step of a path through a tree.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Step<'t> {
    /// Into the entry under this name.
    Entry(&'t str),
    /// Into the item at this position, counted from 1.
    Item(usize),
}

/// A YAML text as nodes with places. Cheap to clone into threads: the text is shared.
#[derive(Clone, Debug)]
pub struct Tree {
    pub(super) file: FileId,
    pub(super) text: Arc<str>,
    pub(super) nodes: Vec<Node>,
    pub(super) children: Vec<NodeId>,
    /// For maps of many entries: positions of the entries ordered by key. Ordered by the map's id.
    pub(super) ordered: Vec<(NodeId, Vec<u32>)>,
    pub(super) kept: Vec<Box<str>>,
    pub(super) root: NodeId,
    pub(super) refused: bool,
}

/// Maps of more entries than this get an ordered index for [`Tree::get`].
pub(super) const INDEXED_FROM: usize = 12;

impl Tree {
    /// The outermost node.
    pub fn root(&self) -> NodeId {
        self.root
    }

    /// The file the tree was read from.
    pub fn file(&self) -> FileId {
        self.file
    }

    /// The text the tree was read from, without a byte-order mark.
    pub fn text(&self) -> &str {
        &self.text
    }

    /// True where the gate refused some part; the rest can be checked, but no harness may be built from it.
    pub fn is_refused(&self) -> bool {
        self.refused
    }

    /// True where the gate refused this very node.
    pub fn is_refused_at(&self, node: NodeId) -> bool {
        self.node(node).is_none_or(|n| n.refused)
    }

    /// How many nodes there are; every [`NodeId`] of this tree is below it.
    pub fn len(&self) -> usize {
        self.nodes.len()
    }

    /// True for a tree without nodes, which the gate never returns.
    pub fn is_empty(&self) -> bool {
        self.nodes.is_empty()
    }

    fn node(&self, id: NodeId) -> Option<&Node> {
        self.nodes.get(id.index())
    }

    /// Whether the node is a scalar, a map or a list.
    pub fn kind(&self, node: NodeId) -> Kind {
        match self.node(node).map(|n| n.shape) {
            Some(Shape::Map { .. }) => Kind::Map,
            Some(Shape::List { .. }) => Kind::List,
            _ => Kind::Scalar,
        }
    }

    pub(super) fn text_of(&self, text: Text) -> &str {
        match text {
            Text::InPlace { start, end } => self.text.get(start as usize..end as usize).unwrap_or(""),
            Text::Kept(index) => self.kept.get(index as usize).map_or("", |t| t),
        }
    }

    /// The scalar's text after quotes and escapes; None for maps and lists.
    pub fn scalar(&self, node: NodeId) -> Option<&str> {
        match self.node(node)?.shape {
            Shape::Plain(text) | Shape::Quoted(text) => Some(self.text_of(text)),
            _ => None,
        }
    }

    /// True for a scalar without quotes, which may mean a number, a truth value or nothing.
    pub fn is_plain(&self, node: NodeId) -> bool {
        matches!(self.node(node).map(|n| n.shape), Some(Shape::Plain(_)))
    }

    fn pairs(&self, node: NodeId) -> &[NodeId] {
        match self.node(node).map(|n| n.shape) {
            Some(Shape::Map { first, count }) => self.slice(first, count),
            _ => &[],
        }
    }

    fn entry_of(&self, key_node: NodeId, value: NodeId) -> Entry<'_> {
        Entry { key: self.scalar(key_node).unwrap_or(""), key_span: self.span(key_node), key_node, value }
    }

    /// A map's entries in the order of the file; nothing for other nodes.
    pub fn entries(&self, node: NodeId) -> impl ExactSizeIterator<Item = Entry<'_>> {
        self.pairs(node).as_chunks::<2>().0.iter().map(|[key, value]| self.entry_of(*key, *value))
    }

    /// The entry at `position` of a map.
    pub fn entry_at(&self, node: NodeId, position: usize) -> Option<Entry<'_>> {
        self.pairs(node).as_chunks::<2>().0.get(position).map(|[key, value]| self.entry_of(*key, *value))
    }

    /// A list's items in the order of the file; nothing for other nodes.
    pub fn items(&self, node: NodeId) -> impl ExactSizeIterator<Item = NodeId> + '_ {
        let children = match self.node(node).map(|n| n.shape) {
            Some(Shape::List { first, count }) => self.slice(first, count),
            _ => &[],
        };
        children.iter().copied()
    }

    fn slice(&self, first: u32, count: u32) -> &[NodeId] {
        self.children.get(first as usize..first as usize + count as usize).unwrap_or(&[])
    }

    /// The entry of a map under `key`. Costs a binary search in large maps.
    pub fn entry(&self, node: NodeId, key: &str) -> Option<Entry<'_>> {
        let ordered = self.ordered.binary_search_by_key(&node, |(id, _)| *id).ok();
        let Some((_, order)) = ordered.and_then(|at| self.ordered.get(at)) else {
            return self.entries(node).find(|e| e.key == key);
        };
        let key_at = |at: u32| self.entry_at(node, at as usize).map_or("", |e| e.key);
        let found = order.binary_search_by(|at| key_at(*at).cmp(key)).ok()?;
        self.entry_at(node, *order.get(found)? as usize)
    }

    /// The value of a map under `key`.
    pub fn get(&self, node: NodeId, key: &str) -> Option<NodeId> {
        self.entry(node, key).map(|e| e.value)
    }

    /// Follows keys downwards from `node`.
    pub fn find(&self, node: NodeId, path: &[&str]) -> Option<NodeId> {
        path.iter().try_fold(node, |at, key| self.get(at, key))
    }

    /// The node's whole range. A block map or list ends with its last value.
    pub fn span(&self, node: NodeId) -> Span {
        self.node(node).map_or(Span { file: self.file, start: 0, end: 0 }, |n| Span {
            file: self.file,
            start: n.start,
            end: n.end,
        })
    }

    /// The place of the key that the node is the value of.
    pub fn key_span(&self, node: NodeId) -> Option<Span> {
        self.node(node)?.key.map(|key| self.span(key))
    }

    /// The steps from the root down to `node`, itself last. Ids grow in the order of the file and a child's descend
    /// from it, so each level is one binary search.
    pub fn path(&self, node: NodeId) -> Vec<Step<'_>> {
        let mut steps = Vec::new();
        let mut at = self.root;
        while at < node {
            let next = match self.node(at).map(|n| n.shape) {
                Some(Shape::Map { first, count }) => {
                    let pairs = self.slice(first, count).as_chunks::<2>().0;
                    let below = pairs.partition_point(|[key, _]| *key <= node);
                    below.checked_sub(1).and_then(|i| pairs.get(i)).map(|[key, value]| {
                        let name = self.scalar(*key).unwrap_or("");
                        (Step::Entry(name), if node == *key { node } else { *value })
                    })
                }
                Some(Shape::List { first, count }) => {
                    let items = self.slice(first, count);
                    let below = items.partition_point(|item| *item <= node);
                    below.checked_sub(1).and_then(|i| items.get(i)).map(|item| (Step::Item(below), *item))
                }
                _ => None,
            };
            let Some((step, child)) = next else { break };
            steps.push(step);
            at = child;
        }
        steps
    }

    /// The node in words: `` `bore` ``, `` item 2 of `route` ``, `the file`.
    pub fn words(&self, node: NodeId) -> String {
        words_of(&self.path(node))
    }

    /// What to point at when speaking of the node: a scalar's own place; for a map, a list or an empty value its key;
    /// for an item without a key, or the root, its first line.
    pub fn label_span(&self, node: NodeId) -> Span {
        let own = self.span(node);
        if self.kind(node) == Kind::Scalar && own.end > own.start {
            return first_line(own, &self.text);
        }
        self.key_span(node).unwrap_or_else(|| first_line(own, &self.text))
    }
}

/// The part of `span` that lies on its first line.
fn first_line(span: Span, text: &str) -> Span {
    let covered = text.get(span.start as usize..span.end as usize).unwrap_or("");
    let line = covered.lines().next().unwrap_or("").trim_end();
    Span::new(span.file, span.start as usize, span.start as usize + line.len())
}

/// The end of a path in words: `` `bore` ``, `` item 2 of `route` ``, `the file`.
pub fn words_of(path: &[Step<'_>]) -> String {
    let mut words = String::new();
    for step in path.iter().rev() {
        match step {
            Step::Item(position) => words.push_str(&format!("item {position} of ")),
            Step::Entry(name) => return format!("{words}`{name}`"),
        }
    }
    words.push_str("the file");
    words
}
