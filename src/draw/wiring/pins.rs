//! The ends of conductors at one device in; its rows in the chart out, and on which side of it each end leaves.

use std::collections::{BTreeMap, BTreeSet};

use super::build::{Builder, End, STRAND_GAP, Strand, strand};
use super::chart::{Chart, NodeId, RowId, Terminal, What};
use super::seat::Side;
use super::way::half_of;
use super::words;
use crate::draw::geometry::mm;
use crate::draw::lettering::Lettering;
use crate::harness::{CableId, ConductorId, DeviceClass, DeviceId, Harness, PinId, PinSite};
use crate::parts::words::Role;

/// True for a pin of a port that has the legs of a pair.
fn is_pair(h: &Harness, pin: PinId) -> bool {
    let is_leg = |role: Role| matches!(role, Role::Plus | Role::Minus);
    h.port_of(pin).is_some_and(|(port, _)| port.pins.iter().any(|(role, _)| is_leg(*role)))
}

/// Rows of one pin stay together, those that other sheets draw last.
fn class_of(pin: PinId) -> u32 {
    (1 + pin.0) * 2
}

impl Builder<'_> {
    /// Settles on which side each end leaves: by half for in-line connectors, freely for splices, by pin for all
    /// others; a drain lead leaves where the cores of its cable do.
    pub(super) fn choose_sides(&self, id: DeviceId, ends: &mut [End]) {
        match self.h.device(id).class {
            DeviceClass::InLine { .. } => {
                let left = self.seats.left_half.get(&id).copied().unwrap_or(0);
                for end in ends.iter_mut().filter(|e| e.foot.screen.is_none()) {
                    end.side = if half_of(self.h, end.foot.pin) == left { Side::Left } else { Side::Right };
                }
            }
            DeviceClass::Splice { .. } => {}
            _ => {
                let mut lean: BTreeMap<PinId, i32> = BTreeMap::new();
                for end in ends.iter() {
                    *lean.entry(end.foot.pin).or_default() += if end.side == Side::Left { -1 } else { 1 };
                }
                for end in ends.iter_mut() {
                    let right = lean.get(&end.foot.pin).is_some_and(|l| *l > 0);
                    end.side = if right { Side::Right } else { Side::Left };
                }
            }
        }
        let core_side: BTreeMap<CableId, Side> = ends
            .iter()
            .filter(|e| e.foot.screen.is_none())
            .filter_map(|e| Some((self.h.conductor(e.conductor).cable?, e.side)))
            .collect();
        for end in ends.iter_mut() {
            if let Some(side) = end.foot.screen.and_then(|cable| core_side.get(&cable)) {
                end.side = *side;
            }
        }
        // A drain lead that goes back to its own device stays on that side of it, where its pin has nothing else.
        let drains: BTreeMap<ConductorId, Side> =
            ends.iter().filter(|e| e.foot.screen.is_some()).map(|e| (e.conductor, e.side)).collect();
        let mut wanted: BTreeMap<PinId, BTreeSet<Option<Side>>> = BTreeMap::new();
        for end in ends.iter().filter(|e| e.foot.screen.is_none()) {
            wanted.entry(end.foot.pin).or_default().insert(drains.get(&end.conductor).copied());
        }
        let in_line = matches!(self.h.device(id).class, DeviceClass::InLine { .. });
        for end in ends.iter_mut().filter(|e| !in_line && e.foot.screen.is_none()) {
            let sides = wanted.get(&end.foot.pin).filter(|sides| sides.len() == 1);
            if let Some(side) = sides.and_then(|sides| sides.first().copied().flatten()) {
                end.side = side;
            }
        }
    }

    /// One row for each end at a pin; pins of a port side by side.
    pub(super) fn pin_rows(&mut self, id: DeviceId, node: NodeId, head: bool, ends: &[End]) {
        let h = self.h;
        let mut sorted: Vec<&End> = ends.iter().filter(|e| e.foot.screen.is_none()).collect();
        let port = |e: &End| match h.pin(e.foot.pin).port {
            Some((port, _)) => (0, port),
            None => (1, e.foot.pin.0),
        };
        let connector = |e: &End| match h.pin(e.foot.pin).site {
            PinSite::Cavity { connector, .. } if head => Some(connector),
            _ => None,
        };
        let role = |e: &End| h.pin(e.foot.pin).port.map(|(_, role)| role);
        sorted.sort_by_key(|e| (connector(e), port(e), e.side, role(e), e.foot.pin, e.conductor));
        let mut connectors: BTreeMap<Option<u32>, NodeId> = BTreeMap::new();
        let mut ports: BTreeMap<(NodeId, (u8, u32), Side), NodeId> = BTreeMap::new();
        let mut leaves: BTreeMap<(NodeId, Option<Strand>), NodeId> = BTreeMap::new();
        let mut strand_of: BTreeMap<PinId, Strand> = BTreeMap::new();
        let mut seats: BTreeMap<PinId, (NodeId, Side)> = BTreeMap::new();
        let elsewhere: BTreeSet<PinId> = self.site.onward.iter().map(|onward| onward.pin).collect();
        for end in sorted {
            let parent = match connector(end) {
                Some(c) => *connectors.entry(Some(c)).or_insert_with(|| {
                    let inner = self.chart.node(What::Connector(id, c), Some(node));
                    let n = &mut self.chart.nodes[inner];
                    let lines = words::connector(self.site, id, c).len();
                    let more = Lettering::SMALL.height.pitch().times(lines.saturating_sub(1));
                    (n.before, n.after, n.gap, n.split) = (mm(7.0) + more, mm(1.0), mm(2.5), true);
                    inner
                }),
                None => node,
            };
            let group = *ports.entry((parent, port(end), end.side)).or_insert_with(|| {
                let group = self.chart.node(What::Port, Some(parent));
                if head {
                    self.chart.nodes[group].gap = STRAND_GAP;
                }
                group
            });
            // Each strand by itself may go where it crosses few others; legs of a pair keep their order. Beside an indicator
            // there is room to lead each strand straight; the pins of a smaller device stay together.
            let led = strand_of.entry(end.foot.pin).or_insert_with(|| strand(h, end.conductor));
            let pair = is_pair(h, end.foot.pin);
            let key = (group, (head || !pair).then_some(*led));
            let leaf = *leaves.entry(key).or_insert_with(|| self.chart.node(What::Strand, Some(group)));
            let on_pin = |e: &&End| e.foot.pin == end.foot.pin && e.foot.screen.is_none();
            let shared = ends.iter().filter(on_pin).count() > 1 || elsewhere.contains(&end.foot.pin);
            self.seat(leaf, if pair || shared { class_of(end.foot.pin) } else { 0 }, end);
            seats.insert(end.foot.pin, (leaf, end.side));
        }
        self.onward_rows(&seats);
    }

    /// A row for each conductor of these pins that another sheet draws, below those that this one draws.
    fn onward_rows(&mut self, seats: &BTreeMap<PinId, (NodeId, Side)>) {
        for (number, onward) in self.site.onward.iter().enumerate() {
            let Some((leaf, side)) = seats.get(&onward.pin).copied() else { continue };
            let side = usize::from(side == Side::Right);
            let row = self.chart.row(leaf, class_of(onward.pin) + 1);
            let Chart { nodes, rows, .. } = &mut self.chart;
            let order = &mut nodes[leaf].rows;
            order.pop();
            let last = order.iter().rposition(|r| rows[*r].pins[side] == Some(onward.pin));
            order.insert(last.map_or(order.len(), |last| last + 1), row);
            rows[row].pins[side] = Some(onward.pin);
            rows[row].onward = Some(number);
        }
    }

    fn seat(&mut self, leaf: NodeId, class: u32, end: &End) -> RowId {
        let row = self.chart.row(leaf, class);
        self.place(row, end);
        row
    }

    fn place(&mut self, row: RowId, end: &End) {
        let side = usize::from(end.side == Side::Right);
        if end.foot.screen.is_none() {
            self.chart.rows[row].pins[side] = Some(end.foot.pin);
        }
        self.terminals.insert((end.conductor, end.which), Terminal { row, side: end.side });
    }

    /// One row for each mated couple, or as many as its busier half needs; couples of a strand side by side.
    pub(super) fn in_line_rows(&mut self, id: DeviceId, node: NodeId, ends: &[End]) {
        let h = self.h;
        let left = self.seats.left_half.get(&id).copied().unwrap_or(0);
        let mut couples: BTreeMap<PinId, [Vec<&End>; 2]> = BTreeMap::new();
        for end in ends.iter().filter(|e| e.foot.screen.is_none()) {
            let pin = end.foot.pin;
            let plug = if half_of(h, pin) == 0 { pin } else { h.mate(pin).unwrap_or(pin) };
            couples.entry(plug).or_default()[usize::from(end.side == Side::Right)].push(end);
        }
        let order = |sides: &[Vec<&End>; 2]| {
            let lead = sides.iter().flatten().next().map(|e| e.conductor);
            lead.map(|c| (strand(h, c), h.conductor(c).role, c))
        };
        let mut sorted: Vec<_> = couples.into_iter().collect();
        sorted.sort_by_key(|(plug, sides)| (order(sides), *plug));
        let mut leaves: BTreeMap<Option<Strand>, NodeId> = BTreeMap::new();
        for (plug, sides) in sorted {
            let key = order(&sides).map(|(strand, _, _)| strand);
            let leaf = *leaves.entry(key).or_insert_with(|| self.chart.node(What::Strand, Some(node)));
            let class = u32::try_from(self.chart.nodes[leaf].rows.len()).unwrap_or(u32::MAX);
            let mate = h.mate(plug).unwrap_or(plug);
            let pins = if left == 0 { [Some(plug), Some(mate)] } else { [Some(mate), Some(plug)] };
            for i in 0..sides[0].len().max(sides[1].len()) {
                let row = self.chart.row(leaf, class);
                for side in &sides {
                    if let Some(end) = side.get(i) {
                        self.place(row, end);
                    }
                }
                self.chart.rows[row].pins = pins;
            }
        }
    }

    pub(super) fn splice_rows(&mut self, node: NodeId, ends: &[End]) {
        let side = |side: Side| ends.iter().filter(move |e| e.side == side && e.foot.screen.is_none());
        let (left, right): (Vec<&End>, Vec<&End>) = (side(Side::Left).collect(), side(Side::Right).collect());
        if left.is_empty() && right.is_empty() {
            return;
        }
        let leaf = self.chart.node(What::Strand, Some(node));
        for i in 0..left.len().max(right.len()) {
            let row = self.chart.row(leaf, 0);
            for end in [left.get(i), right.get(i)].into_iter().flatten() {
                self.place(row, end);
            }
        }
    }

    /// A row for each drain lead, below the cores of its cable.
    pub(super) fn drain_rows(&mut self, node: NodeId, ends: &[End]) {
        for end in ends {
            let Some(cable) = end.foot.screen else { continue };
            let cores = self.h.cable(cable).cores.iter().flatten();
            let rows = cores.flat_map(|c| [(*c, 0), (*c, 1)]).filter_map(|key| self.terminals.get(&key));
            let leaf = rows
                .map(|t| self.chart.rows[t.row].leaf)
                .rfind(|leaf| self.chart.above(*leaf, |w| *w == What::Device(end.foot.device)) == Some(node));
            let leaf = leaf.unwrap_or_else(|| self.chart.node(What::Strand, Some(node)));
            let row = self.seat(leaf, u32::MAX, end);
            self.chart.rows[row].screen = Some(cable);
        }
    }
}
