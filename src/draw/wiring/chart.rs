//! The drawing before it has coordinates: ranks of nodes with rows, links between rows.
//!
//! A rank is a tree. Its leaves hold rows, its inner nodes are what must stay together: a zone, a border, a gate, a
//! device, a connector. A conductor is drawn along rows and the links between them. Links lie in channels; channel `n`
//! is left of rank `n`.

use std::collections::BTreeMap;

use super::columns::Border;
use super::seat::{Ranks, Side};
use super::way::{Ground, Via};
use crate::draw::geometry::Mm;
use crate::harness::{CableId, ConductorId, DeviceId, PinId};

/// Number of a node in its chart.
pub(super) type NodeId = usize;
/// Number of a row in its chart.
pub(super) type RowId = usize;
/// Number of a link in its chart.
pub(super) type LinkId = usize;

/// What a node stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum What {
    /// A whole rank.
    Rank,
    /// The part of a rank that lies in a zone. A corridor is a zone's way past a column of others.
    Zone {
        /// The zone.
        ground: Ground,
        /// True for a corridor.
        corridor: bool,
    },
    /// A border between zones.
    Border(Border),
    /// Where conductors cross a border.
    Gate(Border, Via),
    /// A device.
    Device(DeviceId),
    /// A connector of a device.
    Connector(DeviceId, u32),
    /// Pins of a port.
    Port,
    /// Rows that stay side by side.
    Strand,
}

/// A node.
#[derive(Clone, Debug)]
pub(super) struct Node {
    /// What it stands for.
    pub what: What,
    /// The node that holds it; None for a rank.
    pub parent: Option<NodeId>,
    /// Nodes in it, from the top.
    pub children: Vec<NodeId>,
    /// Rows of a leaf, from the top.
    pub rows: Vec<RowId>,
    /// False where the order of its children says something and is kept.
    pub free: bool,
    /// True where its parts keep their distances, so that its box is as small as it can be.
    pub rigid: bool,
    /// True where the parts on its left and on its right edge stand side by side.
    pub split: bool,
    /// Room above its first row.
    pub before: Mm,
    /// Room below its last row.
    pub after: Mm,
    /// Least room between its children.
    pub gap: Mm,
}

/// A row: a level line on which a conductor enters, leaves or passes.
#[derive(Clone, Debug)]
pub(super) struct Row {
    /// The leaf that holds it.
    pub leaf: NodeId,
    /// Rows of one leaf are kept in the order of their class; within a class they may change places.
    pub class: u32,
    /// Link at its left end.
    pub left: Option<LinkId>,
    /// Link at its right end.
    pub right: Option<LinkId>,
    /// Pins at its left and its right end, for a row of a device.
    pub pins: [Option<PinId>; 2],
    /// The screen whose drain lead starts here.
    pub screen: Option<CableId>,
    /// What other sheets draw at its pin, by its number: then nothing is linked here.
    pub onward: Option<usize>,
}

impl Row {
    /// The link at one end.
    pub fn link(&self, side: Side) -> Option<LinkId> {
        match side {
            Side::Left => self.left,
            Side::Right => self.right,
        }
    }
}

/// One end of a row.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Terminal {
    /// The row.
    pub row: RowId,
    /// Which end.
    pub side: Side,
}

/// A piece of a conductor within one channel.
#[derive(Clone, Copy, Debug)]
pub(super) struct Link {
    /// The channel.
    pub channel: usize,
    /// Its ends, in the direction from the conductor's `from` to its `to`.
    pub ends: [Terminal; 2],
    /// The conductor.
    pub conductor: ConductorId,
}

/// Everything.
#[derive(Clone, Debug, Default)]
pub(super) struct Chart {
    /// All ranks.
    pub ranks: Ranks,
    /// Root node of each rank.
    pub roots: Vec<NodeId>,
    /// Nodes.
    pub nodes: Vec<Node>,
    /// Rows.
    pub rows: Vec<Row>,
    /// Links.
    pub links: Vec<Link>,
    /// Links of each conductor in order.
    pub trails: BTreeMap<ConductorId, Vec<LinkId>>,
    /// Distance of rows in a leaf.
    pub pitch: Mm,
}

impl Chart {
    /// Adds a node below `parent`.
    pub fn node(&mut self, what: What, parent: Option<NodeId>) -> NodeId {
        let id = self.nodes.len();
        self.nodes.push(Node {
            what,
            parent,
            children: Vec::new(),
            rows: Vec::new(),
            free: true,
            rigid: false,
            split: false,
            before: Mm::ZERO,
            after: Mm::ZERO,
            gap: Mm::ZERO,
        });
        if let Some(parent) = parent.and_then(|p| self.nodes.get_mut(p)) {
            parent.children.push(id);
        }
        id
    }

    /// Adds a row at the end of a leaf.
    pub fn row(&mut self, leaf: NodeId, class: u32) -> RowId {
        let id = self.rows.len();
        self.rows.push(Row {
            leaf,
            class,
            left: None,
            right: None,
            pins: [None; 2],
            screen: None,
            onward: None,
        });
        self.nodes[leaf].rows.push(id);
        id
    }

    /// Joins two row ends in a channel, as the next piece of a conductor.
    pub fn link(&mut self, conductor: ConductorId, channel: usize, ends: [Terminal; 2]) {
        let id = self.links.len();
        self.links.push(Link { channel, ends, conductor });
        for end in ends {
            let row = &mut self.rows[end.row];
            match end.side {
                Side::Left => row.left = Some(id),
                Side::Right => row.right = Some(id),
            }
        }
        self.trails.entry(conductor).or_default().push(id);
    }

    /// Leaves below a node, from the top.
    pub fn leaves(&self, node: NodeId) -> Vec<NodeId> {
        let mut out = Vec::new();
        let mut stack = vec![node];
        while let Some(id) = stack.pop() {
            let node = &self.nodes[id];
            if node.children.is_empty() {
                out.push(id);
            }
            stack.extend(node.children.iter().rev());
        }
        out
    }

    /// Rows below a node, from the top.
    pub fn rows_of(&self, node: NodeId) -> Vec<RowId> {
        self.leaves(node).into_iter().flat_map(|l| self.nodes[l].rows.iter().copied()).collect()
    }

    /// The side on which the pins of a node's first row are.
    pub fn side_of(&self, node: NodeId) -> Side {
        let first = self.rows_of(node).first().map(|r| self.rows[*r].pins);
        if matches!(first, Some([Some(_), _])) { Side::Left } else { Side::Right }
    }

    /// The nearest node above `node`, or itself, that stands for something wanted.
    pub fn above(&self, node: NodeId, wanted: impl Fn(&What) -> bool) -> Option<NodeId> {
        let mut at = Some(node);
        while let Some(id) = at {
            if wanted(&self.nodes[id].what) {
                return Some(id);
            }
            at = self.nodes[id].parent;
        }
        None
    }

    /// The device whose row this is.
    pub fn device_of(&self, row: RowId) -> Option<DeviceId> {
        let node = self.above(self.rows[row].leaf, |w| matches!(w, What::Device(_)))?;
        match self.nodes[node].what {
            What::Device(device) => Some(device),
            _ => None,
        }
    }
}
