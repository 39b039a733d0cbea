//! The spec's tree, asked for the place of a value while its typed twin is read.

use crate::diag::Span;
use crate::spec::tree::{Kind, NodeId, Tree};

/// An entry of a section: where its name stands, and its value.
#[derive(Clone, Copy, Debug)]
pub(super) struct Spot {
    /// The name; for an item of a list its first line.
    pub name: Span,
    node: Option<NodeId>,
}

/// Finds places in the spec.
pub(super) struct Origin<'t> {
    tree: &'t Tree,
}

impl<'t> Origin<'t> {
    pub(super) fn new(tree: &'t Tree) -> Origin<'t> {
        Origin { tree }
    }

    /// A key at the top of the file.
    pub(super) fn top(&self, key: &str) -> Spot {
        let root = self.tree.root();
        match self.tree.entry(root, key) {
            Some(e) => Spot { name: e.key_span, node: Some(e.value) },
            None => Spot { name: self.tree.label_span(root), node: None },
        }
    }

    /// Spots of the named entries of a section, in the order of `names`.
    pub(super) fn entries<'n>(&self, section: &str, names: impl Iterator<Item = &'n String>) -> Vec<Spot> {
        self.within(self.top(section), names)
    }

    /// Spots of the named entries of the map under `spot`.
    pub(super) fn within<'n>(&self, spot: Spot, names: impl Iterator<Item = &'n String>) -> Vec<Spot> {
        names
            .enumerate()
            .map(|(i, name)| {
                // Entries keep their order, so the position nearly always fits; not where faults were left out.
                let node = spot.node;
                let entry = node
                    .and_then(|n| self.tree.entry_at(n, i).filter(|e| e.key == name))
                    .or_else(|| node.and_then(|n| self.tree.entry(n, name)));
                match entry {
                    Some(e) => Spot { name: e.key_span, node: Some(e.value) },
                    None => Spot { name: spot.name, node: None },
                }
            })
            .collect()
    }

    /// Spots of the items of a list section.
    pub(super) fn items(&self, section: &str, count: usize) -> Vec<Spot> {
        let top = self.top(section);
        let mut nodes = top.node.map(|n| self.tree.items(n).collect::<Vec<_>>()).unwrap_or_default();
        // Where an item was left out for its faults the rest cannot be told apart: point at the section.
        if nodes.len() != count {
            nodes.clear();
        }
        (0..count)
            .map(|i| match nodes.get(i) {
                Some(node) => Spot { name: self.first_of(*node), node: Some(*node) },
                None => Spot { name: top.name, node: None },
            })
            .collect()
    }

    /// Texts of a field in all items of a list section, also in those that were left out.
    pub(super) fn texts_in_items(&self, section: &str, field: &str) -> Vec<&'t str> {
        let items =
            self.top(section).node.map(|n| self.tree.items(n).collect::<Vec<_>>()).unwrap_or_default();
        items.into_iter().filter_map(|i| self.tree.scalar(self.tree.get(i, field)?)).collect()
    }

    fn first_of(&self, node: NodeId) -> Span {
        self.tree.label_span(node)
    }

    /// The value of a field; the spot's name where the field is not written.
    pub(super) fn field(&self, spot: Spot, key: &str) -> Span {
        self.given(spot, key).unwrap_or(spot.name)
    }

    /// The value of a field, if it is written.
    pub(super) fn given(&self, spot: Spot, key: &str) -> Option<Span> {
        spot.node.and_then(|n| self.tree.get(n, key)).map(|n| self.tree.label_span(n))
    }

    /// The field as a spot, to go deeper.
    pub(super) fn inner(&self, spot: Spot, key: &str) -> Spot {
        match spot.node.and_then(|n| self.tree.entry(n, key)) {
            Some(e) => Spot { name: e.key_span, node: Some(e.value) },
            None => Spot { name: spot.name, node: None },
        }
    }

    /// The `index`-th item of a field that is a list, or the value of its `index`-th entry if it is a map.
    pub(super) fn element(&self, spot: Spot, key: &str, index: usize) -> Span {
        let Some(node) = spot.node.and_then(|n| self.tree.get(n, key)) else { return spot.name };
        let found = match self.tree.kind(node) {
            Kind::List => self.tree.items(node).nth(index),
            Kind::Map => self.tree.entry_at(node, index).map(|e| e.value),
            Kind::Scalar => Some(node),
        };
        self.tree.label_span(found.unwrap_or(node))
    }

    /// Key and value of the `index`-th entry of a field that is a map.
    pub(super) fn pair(&self, spot: Spot, key: &str, index: usize) -> (Span, Span) {
        let entry = spot.node.and_then(|n| self.tree.get(n, key)).and_then(|n| self.tree.entry_at(n, index));
        match entry {
            Some(e) => (e.key_span, self.tree.label_span(e.value)),
            None => (spot.name, spot.name),
        }
    }
}
