//! A sorted forest in; nodes in drawing order, each in a patch, out. A patch is a piece of a zone that is drawn as one
//! rectangle: everything entered through neighbouring rows of one barrier.

use super::tree::{Beyond, Forest};
use crate::harness::{BarrierId, Harness, PlaceId, RunId, ZoneId};

/// Where a run is broken off.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Stub {
    /// Letter that stands at both ends.
    pub letter: String,
    /// Where the run goes on.
    pub to: PlaceId,
    /// True at the end that carries the run's figures.
    pub labelled: bool,
    /// True where it lies on the near side of the edge that its place stands on.
    pub near: bool,
}

/// A place as it is drawn, or an end where a run is broken off.
#[derive(Clone, Debug)]
pub(super) struct Node {
    /// The place; of a stub, the place that its run comes from.
    pub place: PlaceId,
    pub parent: Option<usize>,
    /// The run to its parent.
    pub run: Option<RunId>,
    pub patch: usize,
    /// Runs from the patch's edge to it, 0 for a root.
    pub depth: usize,
    /// The patch that its children lie in, where it stands on the edge of its own.
    pub opens: Option<usize>,
    pub children: Vec<usize>,
    pub stub: Option<Stub>,
}

impl Node {
    /// True for a stub on the near side of the edge that its place stands on: it hangs below its place, beside the wall.
    pub fn is_near(&self) -> bool {
        self.stub.as_ref().is_some_and(|stub| stub.near)
    }

    /// True where nothing hangs on it and no wall stands behind: what is written at it stands on its right.
    pub fn is_last(&self) -> bool {
        self.children.is_empty() && self.opens.is_none() && !self.is_near()
    }
}

/// A piece of a zone.
#[derive(Clone, Debug)]
pub(super) struct Patch {
    /// None for places on no run.
    pub zone: Option<ZoneId>,
    /// The patch on its left and the barrier between.
    pub behind: Option<(usize, Option<BarrierId>)>,
    /// True where another patch of the same zone stands above.
    pub continued: bool,
}

/// Nodes from top to bottom, a parent before its children, and the patches, each after the one on its left.
#[derive(Clone, Debug, Default)]
pub(super) struct Tree {
    pub nodes: Vec<Node>,
    pub patches: Vec<Patch>,
    /// Node of each place.
    pub node_of: Vec<usize>,
}

/// Lays the forest out in drawing order. `broken` are the runs that are drawn as two stubs.
pub(super) fn patches(h: &Harness, forest: &Forest, broken: &[RunId]) -> Tree {
    let mut stubs: Vec<Vec<(RunId, Stub)>> = vec![Vec::new(); forest.nodes.len()];
    for (i, run) in broken.iter().enumerate() {
        let [a, b] = h.run(*run).ends;
        for (from, to, labelled) in [(a, b, true), (b, a, false)] {
            if let Some(node) = forest.node_of[from.index()] {
                let near = forest.nodes[node].beyond.is_some_and(|b| b.zone != h.run(*run).zone);
                stubs[node].push((*run, Stub { letter: letters(i), to, labelled, near }));
            }
        }
    }
    let mut tree = Tree { node_of: vec![0; h.places.len()], ..Tree::default() };
    // The patch opened last from each patch: what lies in the next row goes on in it.
    let mut open_last: Vec<Option<usize>> = Vec::new();
    let roots = (0..forest.nodes.len()).rev().filter(|n| forest.nodes[*n].parent.is_none());
    let mut stack: Vec<(Next, Option<usize>)> = roots.map(|root| (Next::Place(root), None)).collect();
    while let Some((next, parent)) = stack.pop() {
        let (patch, depth) = match parent.and_then(|p| tree.nodes.get(p)) {
            Some(p) if matches!(&next, Next::Stub(_, _, stub) if stub.near) => (p.patch, p.depth),
            Some(p) => (p.opens.unwrap_or(p.patch), if p.opens.is_some() { 1 } else { p.depth + 1 }),
            None => {
                let zone = if let Next::Place(root) = next { forest.nodes[root].zone } else { None };
                (add_patch(&mut tree, &mut open_last, zone, None), 0)
            }
        };
        let blank = |place| Node {
            place,
            parent,
            run: None,
            patch,
            depth,
            opens: None,
            children: Vec::new(),
            stub: None,
        };
        match next {
            Next::Place(sprout) => {
                let from = &forest.nodes[sprout];
                let opens = from.beyond.map(|b| enter(&mut tree, &mut open_last, patch, b));
                let run = from.parent.map(|(_, run)| run);
                let node = add_node(&mut tree, Node { run, opens, ..blank(from.place) });
                tree.node_of[from.place.index()] = node;
                // Stubs hang below the children: the run that goes on stays straight.
                for (run, stub) in std::mem::take(&mut stubs[sprout]).into_iter().rev() {
                    stack.push((Next::Stub(from.place, run, stub), Some(node)));
                }
                stack.extend(from.children.iter().rev().map(|c| (Next::Place(*c), Some(node))));
            }
            Next::Stub(place, run, stub) => {
                add_node(&mut tree, Node { run: Some(run), stub: Some(stub), ..blank(place) });
            }
        }
    }
    tree
}

/// What is laid out next.
enum Next {
    Place(usize),
    Stub(PlaceId, RunId, Stub),
}

/// The patch beyond an edge: the one opened last from this patch where it is the same, else a new one.
fn enter(tree: &mut Tree, open_last: &mut Vec<Option<usize>>, patch: usize, beyond: Beyond) -> usize {
    let behind = Some((patch, beyond.barrier));
    let same =
        |p: &usize| tree.patches.get(*p).is_some_and(|p| p.zone == Some(beyond.zone) && p.behind == behind);
    if let Some(open) = open_last[patch].filter(same) {
        return open;
    }
    let new = add_patch(tree, open_last, Some(beyond.zone), behind);
    open_last[patch] = Some(new);
    new
}

fn add_node(tree: &mut Tree, node: Node) -> usize {
    let id = tree.nodes.len();
    if let Some(parent) = node.parent.and_then(|p| tree.nodes.get_mut(p)) {
        parent.children.push(id);
    }
    tree.nodes.push(node);
    id
}

fn add_patch(
    tree: &mut Tree,
    open_last: &mut Vec<Option<usize>>,
    zone: Option<ZoneId>,
    behind: Option<(usize, Option<BarrierId>)>,
) -> usize {
    let continued = zone.is_some() && tree.patches.iter().any(|p| p.zone == zone);
    tree.patches.push(Patch { zone, behind, continued });
    open_last.push(None);
    tree.patches.len() - 1
}

/// `A` to `Z`, then `AA` and on.
fn letters(index: usize) -> String {
    let last = u8::try_from(index % 26).map_or('?', |i| char::from(b'A' + i));
    match index / 26 {
        0 => last.to_string(),
        n => format!("{}{last}", letters(n - 1)),
    }
}
