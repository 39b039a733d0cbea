//! The names in a map: a finished map in, findings about its names out. A part of the gate.

use super::gate::{Gate, Stop};
use super::syntax;
use super::tree::{INDEXED_FROM, NodeId};
use crate::diag::Span;

impl Gate<'_> {
    /// Reports `stud: #10`: to YAML all that follows a `#` is a remark, and the value would be lost without a word.
    pub(super) fn lost_to_remark(&mut self, key: NodeId, value: NodeId) -> Result<(), Stop> {
        if self.tree.scalar(value) != Some("") || !self.tree.is_plain(value) {
            return Ok(());
        }
        let end = self.tree.span(key).end as usize;
        let line = self.text.get(end..).and_then(|t| t.lines().next()).unwrap_or("");
        let Some(remark) = syntax::value_like_remark(line) else { return Ok(()) };
        let name = self.tree.scalar(key).unwrap_or("");
        let message = format!("`{name}` is left empty, because what follows `#` is a remark to YAML");
        let remedy = format!("write `'{remark}'` in quotes, or put a space after the `#` of a remark");
        let start = end + line.find(remark).unwrap_or(0);
        self.refuse(Span::new(self.tree.file, start, start + remark.len()), message, &remedy)
    }

    /// Reports what is no plain name; false where the entry is left out for it.
    pub(super) fn key_is_allowed(&mut self, node: NodeId) -> Result<bool, Stop> {
        if self.tree.is_refused_at(node) {
            return Ok(false);
        }
        let span = self.tree.label_span(node);
        let (message, remedy) = match self.tree.scalar(node) {
            None => ("a map or list stands where a name is expected", "give a plain name before the `:`"),
            Some("<<") if self.tree.is_plain(node) => {
                ("`<<` merges another map, and a spec has no merging", "write the entries out")
            }
            Some("") => ("an empty name", "give a name before the `:`"),
            Some(name) if name.contains(['\n', '\t']) => {
                ("a name goes over the end of a line or has a tab in it", "write the name on one line")
            }
            Some(_) => return Ok(true),
        };
        self.refuse(span, message, remedy)?;
        Ok(false)
    }

    /// Reports every name that the map has already, and leaves the later entry out. Also keeps the order by name of
    /// large maps.
    pub(super) fn drop_duplicates(&mut self, map: NodeId, mark: usize) -> Result<(), Stop> {
        let tree = &self.tree;
        let pairs = self.waiting.get(mark..).unwrap_or(&[]).as_chunks::<2>().0;
        if pairs.len() < 2 {
            return Ok(());
        }
        let key = |at: u32| pairs.get(at as usize).and_then(|[key, _]| tree.scalar(*key)).unwrap_or("");
        let mut order: Vec<u32> = (0..u32::try_from(pairs.len()).unwrap_or(u32::MAX)).collect();
        // The sort is stable: of equal names the first in the file comes first.
        order.sort_by(|a, b| key(*a).cmp(key(*b)));
        if order.windows(2).all(|w| key(w[0]) != key(w[1])) {
            if order.len() > INDEXED_FROM {
                self.tree.ordered.push((map, order));
            }
            return Ok(());
        }
        let mut doubles = Vec::new();
        for group in order.chunk_by(|a, b| key(*a) == key(*b)) {
            let Some((first, others)) = group.split_first() else { continue };
            doubles.extend(others.iter().map(|other| (*other as usize, *first as usize)));
        }
        doubles.sort_unstable();
        let node_of = |at: usize| pairs.get(at).map_or(map, |[key, _]| *key);
        let reports: Vec<_> =
            doubles.iter().map(|(other, first)| (node_of(*other), node_of(*first))).collect();
        let keep: Vec<NodeId> = (pairs.iter().enumerate())
            .filter(|(at, _)| doubles.binary_search_by_key(at, |(other, _)| *other).is_err())
            .flat_map(|(_, pair)| *pair)
            .collect();
        self.waiting.truncate(mark);
        self.waiting.extend(keep);
        for (again, first) in reports {
            let name = self.tree.scalar(again).unwrap_or("").to_owned();
            let (again, first) = (self.tree.span(again), self.tree.span(first));
            let message = format!("`{name}` stands twice in the same map, and only one of them can be meant");
            self.refuse_both(again, Some(first), message, "rename one of the two, or remove it")?;
        }
        Ok(())
    }
}
