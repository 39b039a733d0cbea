//! The harness, its ways and seats in; the chart out, with every conductor led along rows and links from pin to pin.

use std::collections::BTreeMap;

use super::chart::{Chart, NodeId, RowId, Terminal, What};
use super::columns::{Border, Columns, barrier_of};
use super::draw_zone::{header_height, sign_height};
use super::face::{Face, Pins, Shape, face};
use super::seat::{Seats, Side};
use super::share::Site;
use super::way::{Crossing, Foot, Ground, Via, Ways};
use crate::draw::geometry::{Mm, mm};
use crate::harness::{CableId, ConductorId, DeviceClass, DeviceId, Harness, LayId, PinId};
use crate::parts::words::{Role, Style};

/// Room for the name and count over a gate.
pub(super) const LINTEL: Mm = mm(9.0);
/// Room below a gate's last conductor.
pub(super) const SILL: Mm = mm(2.5);
const ZONE_GAP: Mm = mm(5.0);
const GATE_GAP: Mm = mm(5.0);
const DEVICE_GAP: Mm = mm(2.0);
/// Room between strands.
pub(super) const STRAND_GAP: Mm = mm(2.5);

/// What is laid side by side: the cores of a cable, else the conductors of a lay.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Strand {
    /// Cores of a pair or cable.
    Cable(CableId),
    /// Conductors laid together.
    Lay(LayId),
}

/// The strand of a conductor.
pub(super) fn strand(h: &Harness, id: ConductorId) -> Strand {
    let c = h.conductor(id);
    c.cable.map_or(Strand::Lay(c.lay), Strand::Cable)
}

/// An end of a conductor at a device.
#[derive(Clone, Copy)]
pub(super) struct End {
    pub conductor: ConductorId,
    pub foot: Foot,
    /// 0 for `from`, 1 for `to`.
    pub which: usize,
    pub side: Side,
}

/// The chart, and how each device is drawn, by device id.
pub(super) struct Built {
    pub chart: Chart,
    pub faces: BTreeMap<DeviceId, Face>,
    /// Node of each device.
    pub nodes: BTreeMap<DeviceId, NodeId>,
}

impl Built {
    /// Devices with their nodes and faces.
    pub fn devices(&self) -> impl Iterator<Item = (DeviceId, NodeId, &Face)> + '_ {
        self.nodes.iter().filter_map(|(id, node)| Some((*id, *node, self.faces.get(id)?)))
    }
}

pub(super) struct Builder<'a> {
    pub h: &'a Harness,
    pub site: &'a Site<'a>,
    pub ways: &'a Ways,
    columns: &'a Columns,
    pub seats: &'a Seats,
    pub chart: Chart,
    /// Containers by rank.
    held: BTreeMap<(usize, What), NodeId>,
    /// Strands that pass a rank: by container, strand, and how many ranks their conductor has passed.
    passing: BTreeMap<(NodeId, Strand, usize), NodeId>,
    pub terminals: BTreeMap<(ConductorId, usize), Terminal>,
    faces: BTreeMap<DeviceId, Face>,
    nodes: BTreeMap<DeviceId, NodeId>,
}

/// Builds the chart.
pub(super) fn build(site: &Site, columns: &Columns, seats: &Seats, pitch: Mm) -> Built {
    let mut chart = Chart { ranks: seats.ranks.clone(), pitch, ..Chart::default() };
    for _ in 0..seats.ranks.count() {
        let root = chart.node(What::Rank, None);
        chart.nodes[root].free = false;
        chart.nodes[root].gap = ZONE_GAP;
        chart.roots.push(root);
    }
    let mut builder = Builder {
        h: site.h,
        site,
        ways: site.ways,
        columns,
        seats,
        chart,
        held: BTreeMap::new(),
        passing: BTreeMap::new(),
        terminals: BTreeMap::new(),
        faces: BTreeMap::new(),
        nodes: BTreeMap::new(),
    };
    builder.devices();
    for id in &site.share.conductors {
        builder.lead(*id);
    }
    builder.settle();
    Built { chart: builder.chart, faces: builder.faces, nodes: builder.nodes }
}

impl Builder<'_> {
    fn devices(&mut self) {
        let mut ends: BTreeMap<DeviceId, Vec<End>> =
            self.site.share.devices.iter().map(|d| (*d, Vec::new())).collect();
        for (conductor, way) in self.site.share.ways(self.ways) {
            for (which, foot) in [way.from, way.to].into_iter().enumerate() {
                let side = self.seats.side(self.h, self.ways, self.columns, conductor, foot);
                ends.entry(foot.device).or_default().push(End { conductor, foot, which, side });
            }
        }
        for (id, mut ends) in ends {
            self.choose_sides(id, &mut ends);
            self.device(id, &ends);
        }
    }

    fn device(&mut self, id: DeviceId, ends: &[End]) {
        let rank = self.seats.rank_of(id);
        let parent = self.home(id, rank);
        let node = self.chart.node(What::Device(id), Some(parent));
        self.nodes.insert(id, node);
        let class = &self.h.device(id).class;
        let style = self.h.device(id).style;
        let head =
            self.seats.heads.contains(&id) || matches!(style, Some(Style::Indicator | Style::Converter));
        self.chart.nodes[node].rigid = !head && !matches!(class, DeviceClass::InLine { .. });
        self.chart.nodes[node].split = head && self.h.device(id).connectors.is_empty();
        match class {
            DeviceClass::InLine { .. } => self.in_line_rows(id, node, ends),
            DeviceClass::Splice { .. } => self.splice_rows(node, ends),
            _ => self.pin_rows(id, node, head, ends),
        }
        self.drain_rows(node, ends);
        if self.chart.nodes[node].children.is_empty() {
            let leaf = self.chart.node(What::Strand, Some(node));
            self.chart.row(leaf, 0);
        }
        let mut at: [Vec<PinId>; 2] = [Vec::new(), Vec::new()];
        let rows = self.chart.rows_of(node);
        for row in &rows {
            for (side, pin) in self.chart.rows[*row].pins.iter().enumerate() {
                at[side].extend(*pin);
            }
        }
        let leaves_right = ends.iter().any(|e| e.side == Side::Right);
        let pins = Pins {
            at: &at,
            rows: rows.len(),
            pitch: self.chart.pitch,
            used: self.site.used,
            head,
            leaves_right,
        };
        let face = face(self.site, id, &pins);
        let inner = &mut self.chart.nodes[node];
        (inner.before, inner.after) = (face.before, face.after);
        inner.gap = if head {
            mm(4.0)
        } else if face.shape == Shape::InLine {
            STRAND_GAP
        } else {
            mm(0.0)
        };
        self.faces.insert(id, face);
    }

    /// The container that a device stands in.
    fn home(&mut self, id: DeviceId, rank: usize) -> NodeId {
        if let Some((hole, sides)) = self.ways.in_hole.get(&id) {
            let (hole, sides) = (*hole, *sides);
            return self.gate(sides[0], sides[1], Via::Hole(hole));
        }
        self.zone(rank, self.ways.ground[id.index()], false)
    }

    fn zone(&mut self, rank: usize, ground: Ground, corridor: bool) -> NodeId {
        let what = What::Zone { ground, corridor };
        if let Some(node) = self.held.get(&(rank, what)) {
            return *node;
        }
        let node = self.chart.node(what, Some(self.chart.roots[rank]));
        let gates = self.seats.ranks.is_gates(rank);
        let header = if gates { GATE_GAP } else { header_height(self.h, ground) };
        let n = &mut self.chart.nodes[node];
        (n.before, n.after, n.gap) = (header, mm(5.0), DEVICE_GAP);
        if corridor {
            (n.before, n.after) = (mm(2.5), mm(2.5));
        }
        self.held.insert((rank, what), node);
        node
    }

    fn gate(&mut self, a: Ground, b: Ground, via: Via) -> NodeId {
        let swap = self.columns.of.get(&a) > self.columns.of.get(&b);
        let (low, high) = if swap { (b, a) } else { (a, b) };
        let border = Border { low, high, barrier: barrier_of(self.h, a, b, via) };
        let rank = self.seats.ranks.gates(self.columns.of.get(&high).copied().unwrap_or(0));
        if let Some(node) = self.held.get(&(rank, What::Gate(border, via))) {
            return *node;
        }
        let zone = self.zone(rank, high, false);
        self.chart.nodes[zone].gap = GATE_GAP;
        let wall = match self.held.get(&(rank, What::Border(border))) {
            Some(node) => *node,
            None => {
                let node = self.chart.node(What::Border(border), Some(zone));
                let n = &mut self.chart.nodes[node];
                (n.before, n.gap) = (sign_height(self.h, border.barrier), GATE_GAP);
                self.held.insert((rank, What::Border(border)), node);
                node
            }
        };
        let node = self.chart.node(What::Gate(border, via), Some(wall));
        let n = &mut self.chart.nodes[node];
        (n.before, n.after, n.gap) = (LINTEL, SILL, STRAND_GAP);
        self.held.insert((rank, What::Gate(border, via)), node);
        node
    }

    /// Adds a row for a conductor to the rows of its strand in a container.
    fn pass(&mut self, container: NodeId, id: ConductorId, hop: usize) -> RowId {
        let key = (container, strand(self.h, id), hop);
        let leaf = match self.passing.get(&key) {
            Some(leaf) => *leaf,
            None => {
                let leaf = self.chart.node(What::Strand, Some(container));
                self.passing.insert(key, leaf);
                leaf
            }
        };
        // Plus stays above minus; all others may change places.
        let class = match self.h.conductor(id).role {
            Some(Role::Plus) => 0,
            Some(Role::Minus) => 1,
            _ => 2,
        };
        let row = self.chart.row(leaf, class);
        let classes: Vec<u32> =
            self.chart.nodes[leaf].rows.iter().map(|r| self.chart.rows[*r].class).collect();
        if classes.iter().zip(classes.iter().skip(1)).any(|(a, b)| a > b) {
            let Chart { nodes, rows, .. } = &mut self.chart;
            nodes[leaf].rows.sort_by_key(|r| rows[*r].class);
        }
        row
    }

    /// Leads a conductor from its one pin through all gates to the other.
    fn lead(&mut self, id: ConductorId) {
        let Some(way) = self.ways.ways.get(id.index()).cloned() else { return };
        let (Some(mut at), Some(end)) =
            (self.terminals.get(&(id, 0)).copied(), self.terminals.get(&(id, 1)).copied())
        else {
            return;
        };
        let mut ground = self.ways.ground_of(self.h, way.from);
        let mut channel = channel_of(self.seats.rank_of(way.from.device), at.side);
        let mut hop = 0;
        for Crossing { from, to, via } in way.crossings {
            let gate = self.gate(from, to, via);
            let row = self.pass(gate, id, hop);
            let column = self.columns.of.get(&from).max(self.columns.of.get(&to)).copied().unwrap_or(0);
            let rank = self.seats.ranks.gates(column);
            let side =
                if self.columns.of.get(&from) < self.columns.of.get(&to) { Side::Left } else { Side::Right };
            self.run(id, at, channel, Terminal { row, side }, channel_of(rank, side), from, &mut hop);
            at = Terminal { row, side: side.other() };
            channel = channel_of(rank, side.other());
            ground = to;
            hop += 1;
        }
        let last = channel_of(self.seats.rank_of(way.to.device), end.side);
        self.run(id, at, channel, end, last, ground, &mut hop);
    }

    /// From one terminal to another within a zone, passing the ranks between.
    #[allow(clippy::too_many_arguments)]
    fn run(
        &mut self,
        id: ConductorId,
        from: Terminal,
        from_channel: usize,
        to: Terminal,
        to_channel: usize,
        ground: Ground,
        hop: &mut usize,
    ) {
        let mut at = from;
        let rising = from_channel <= to_channel;
        let ranks: Vec<usize> = if rising {
            (from_channel..to_channel).collect()
        } else {
            (to_channel..from_channel).rev().collect()
        };
        let enter = if rising { Side::Left } else { Side::Right };
        let mut channel = from_channel;
        for rank in ranks {
            let own = self.columns.of.get(&ground) == self.seats.ranks.column.get(rank);
            let corridor = !own || self.seats.ranks.is_gates(rank);
            let container = self.zone(rank, ground, corridor);
            let row = self.pass(container, id, *hop);
            *hop += 1;
            self.chart.link(id, channel, [at, Terminal { row, side: enter }]);
            at = Terminal { row, side: enter.other() };
            channel = channel_of(rank, enter.other());
        }
        self.chart.link(id, channel, [at, to]);
    }

    /// Puts the zones of each rank into the order of their column, corridors last.
    fn settle(&mut self) {
        for (rank, root) in self.chart.roots.clone().into_iter().enumerate() {
            let column = self.seats.ranks.column[rank];
            let zones = self.columns.zones.get(column).cloned().unwrap_or_default();
            let order = |node: &NodeId| match self.chart.nodes[*node].what {
                What::Zone { ground, corridor: false } => {
                    (0, zones.iter().position(|z| *z == ground).unwrap_or(zones.len()), ground)
                }
                What::Zone { ground, .. } => (1, 0, ground),
                _ => (2, 0, None),
            };
            let mut children = self.chart.nodes[root].children.clone();
            children.sort_by_key(order);
            self.chart.nodes[root].children = children;
        }
    }
}

/// The channel on one side of a rank.
fn channel_of(rank: usize, side: Side) -> usize {
    match side {
        Side::Left => rank,
        Side::Right => rank + 1,
    }
}
