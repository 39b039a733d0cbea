//! A chart with heights in; every place on the drawing out: where ranks and channels lie, where each device's box
//! stands, and the corners of every conductor.

use std::collections::{BTreeMap, BTreeSet};

use super::align::{GRID, Heights};
use super::build::{Built, strand};
use super::channel::{Led, Wire, lead};
use super::chart::{Chart, LinkId, NodeId, RowId, Terminal, What};
use super::columns::Columns;
use super::draw_zone::{INSET, ZONE_WORDS, lintel_width, sign_width};
use super::face::{Face, SLEEVE, Shape};
use super::label;
use super::onward::Onward;
use super::seat::Side;
use super::words;
use crate::draw::geometry::{Area, Mm, Point, mm};
use crate::graph::Routing;
use crate::harness::{ConductorId, DeviceId, Harness};

/// Distance of lanes.
const LANE: Mm = mm(2.5);
/// Room on both sides of the lanes.
const BANK: Mm = mm(3.5);
/// From a device to what stands on its conductors.
pub(super) const LEAD_IN: Mm = mm(2.0);
/// Room along a conductor for the symbols of pair and screen.
pub(super) const EMBLEM: Mm = mm(7.5);
/// Least width of a rank of gates, for the words on them.
const GATE: Mm = mm(22.0);

/// A channel on the drawing.
#[derive(Clone, Debug, Default)]
pub(super) struct Channel {
    /// Its left edge.
    pub left: Mm,
    /// Its right edge.
    pub right: Mm,
    /// Room for labels and symbols at either side.
    pub strips: [Mm; 2],
    /// Room for pair and screen symbols within the strips.
    pub emblems: [Mm; 2],
    led: Led,
    /// Place of each link in `led`.
    first_lane: Mm,
}

impl Channel {
    /// Room for labels and symbols at its left (0) or right (1) side.
    pub fn strip(&self, side: usize) -> Mm {
        self.strips[side] + self.emblems[side]
    }
}

/// All places.
pub(super) struct Plan {
    /// Left and right edge of each rank.
    pub ranks: Vec<(Mm, Mm)>,
    /// Channels; number `n` lies left of rank `n`.
    pub channels: Vec<Channel>,
    /// Height of each row.
    pub rows: Vec<Mm>,
    /// Corners of each conductor from its `from` to its `to`.
    pub lines: BTreeMap<ConductorId, Vec<Point>>,
    /// Box of each device.
    pub boxes: BTreeMap<DeviceId, Area>,
    /// Right edge of everything.
    pub width: Mm,
    /// Conductors that run straight from device to device.
    once: BTreeSet<ConductorId>,
}

/// Finds all places. `emblem` says whether a symbol stands at this end of a row.
pub(super) fn plan(
    h: &Harness,
    routing: &Routing,
    columns: &Columns,
    built: &Built,
    heights: &Heights,
    onward: &[Onward],
    emblem: &dyn Fn(RowId, Side) -> bool,
) -> Plan {
    let chart = &built.chart;
    let count = chart.roots.len();
    let mut channels: Vec<Channel> = Vec::with_capacity(count + 1);
    let mut links: Vec<Vec<usize>> = vec![Vec::new(); count + 1];
    for (i, link) in chart.links.iter().enumerate() {
        links[link.channel].push(i);
    }
    let mut place_in = vec![0; chart.links.len()];
    let mut once: BTreeSet<ConductorId> = BTreeSet::new();
    for in_channel in &links {
        let mut channel = Channel::default();
        let mut wires = Vec::with_capacity(in_channel.len());
        for (place, link) in in_channel.iter().enumerate() {
            place_in[*link] = place;
            let link = &chart.links[*link];
            // A right end of a row is at the left side of the channel.
            let end = |t: Terminal| (t.side.other(), heights.row[t.row]);
            let strand = match strand(h, link.conductor) {
                super::build::Strand::Cable(c) => c.index() * 2,
                super::build::Strand::Lay(l) => l.index() * 2 + 1,
            };
            wires.push(Wire { ends: link.ends.map(end), strand });
            for end in link.ends {
                let side = usize::from(end.side == Side::Left);
                if !is_foot(chart, end) {
                    continue;
                }
                let [a, b] = link.ends;
                let short = is_foot(chart, a)
                    && is_foot(chart, b)
                    && a.side != b.side
                    && heights.row[a.row] == heights.row[b.row];
                if short {
                    once.insert(link.conductor);
                }
                if !short || end.side == Side::Right {
                    let wide = label::width(h, link.conductor) + LEAD_IN * 2;
                    channel.strips[side] = channel.strips[side].max(wide);
                }
                if emblem(end.row, end.side) {
                    channel.emblems[side] = EMBLEM;
                }
            }
        }
        channel.led = lead(&wires, GRID, mm(2.0));
        channels.push(channel);
    }
    for row in &chart.rows {
        let Some(wide) = row.onward.and_then(|n| onward.get(n)).map(|onward| onward.width) else { continue };
        // A right end of a row is at the left side of its channel.
        let right = row.pins[1].is_some();
        let channel = rank_of(chart, row.leaf) + usize::from(right);
        if let Some(channel) = channels.get_mut(channel) {
            let strip = &mut channel.strips[usize::from(!right)];
            *strip = (*strip).max(wide + LEAD_IN * 2);
        }
    }
    let mut plan = Plan {
        ranks: Vec::with_capacity(count),
        channels,
        rows: heights.row.clone(),
        lines: BTreeMap::new(),
        boxes: BTreeMap::new(),
        width: Mm::ZERO,
        once,
    };
    plan.spread(h, routing, columns, built);
    plan.boxes = built.devices().map(|(id, n, f)| (id, plan.box_of(chart, n, f))).collect();
    plan.lines = chart.trails.iter().map(|(id, trail)| (*id, plan.line(chart, trail, &place_in))).collect();
    plan
}

/// True for an end of a row at which a conductor ends.
fn is_foot(chart: &Chart, end: Terminal) -> bool {
    let row = &chart.rows[end.row];
    row.screen.is_some() || chart.device_of(end.row).is_some()
}

impl Plan {
    /// True for a conductor that runs straight from device to device.
    pub fn is_straight(&self, id: ConductorId) -> bool {
        self.once.contains(&id)
    }

    /// Gives ranks and channels their widths, from left to right.
    fn spread(&mut self, h: &Harness, routing: &Routing, columns: &Columns, built: &Built) {
        let chart = &built.chart;
        let mut widest: Vec<Mm> = vec![Mm::ZERO; chart.roots.len()];
        for (_, node, face) in built.devices() {
            let rank = rank_of(chart, node);
            widest[rank] = widest[rank].max(face.width);
        }
        for (i, node) in chart.nodes.iter().enumerate() {
            if let What::Gate(_, via) = node.what {
                let words = words::gate(h, routing, via, chart.rows_of(i).len());
                let rank = rank_of(chart, i);
                widest[rank] = widest[rank].max(lintel_width(&words) + mm(4.0));
            }
        }
        for border in &columns.borders {
            let rank = columns.of.get(&border.high).map_or(0, |c| chart.ranks.gates(*c));
            if let Some(wide) = widest.get_mut(rank) {
                *wide = (*wide).max(sign_width(h, border.barrier) + mm(4.0));
            }
        }
        for (_, wide) in widest.iter_mut().enumerate().filter(|(rank, _)| chart.ranks.is_gates(*rank)) {
            *wide = (*wide).max(GATE);
        }
        let mut x = Mm::ZERO;
        // Where the zones of a column have room for their words.
        let mut start = Mm::ZERO;
        for (i, channel) in self.channels.iter_mut().enumerate() {
            let lanes = channel.led.lanes;
            let bank = if lanes > 0 { BANK * 2 + LANE.times(lanes - 1) } else { Mm::ZERO };
            let used = channel.strips.iter().any(|s| *s > Mm::ZERO) || lanes > 0;
            let strips = [0, 1].map(|s| channel.strip(s));
            let outer = i == 0 || i == chart.roots.len();
            let least = if outer && !used { mm(4.0) } else { mm(6.0) };
            channel.left = x;
            channel.first_lane = x + strips[0] + BANK;
            x += (strips[0] + strips[1] + bank).max(least);
            let gates = chart.ranks.is_gates(i);
            if gates || i == chart.roots.len() {
                x = x.max(start + ZONE_WORDS + INSET * 2);
            }
            channel.right = x;
            if let Some(width) = widest.get(i) {
                self.ranks.push((x, x + *width));
                x += *width;
            }
            if gates {
                start = x;
            }
        }
        self.width = x;
    }

    fn box_of(&self, chart: &Chart, node: NodeId, face: &Face) -> Area {
        let (left, right) = self.ranks[rank_of(chart, node)];
        let (top, bottom) = self.reach(chart, node);
        let (left, right) = match face.shape {
            Shape::Head | Shape::Plate => (left, right),
            Shape::InLine | Shape::Sleeve => {
                let middle = (left + right) / 2;
                let wide = if face.shape == Shape::Sleeve { SLEEVE } else { face.width };
                (middle - wide / 2, middle - wide / 2 + wide)
            }
        };
        let top = if face.shape == Shape::Sleeve { top + face.before - mm(1.0) } else { top };
        Area::between(Point::new(left, top), Point::new(right, bottom))
    }

    /// Upper and lower edge of a node, its own room included.
    pub fn reach(&self, chart: &Chart, node: NodeId) -> (Mm, Mm) {
        let n = &chart.nodes[node];
        let half = chart.pitch / 2;
        let inner: Vec<(Mm, Mm)> = n.children.iter().map(|c| self.reach(chart, *c)).collect();
        let first = inner.iter().map(|(top, _)| *top).min();
        let last = inner.iter().map(|(_, bottom)| *bottom).max();
        let top = first.or(n.rows.first().map(|r| self.rows[*r] - half)).unwrap_or_default();
        let bottom = last.or(n.rows.last().map(|r| self.rows[*r] + half)).unwrap_or_default();
        (top - n.before, bottom + n.after)
    }

    /// Where a conductor leaves a row.
    pub fn foot(&self, chart: &Chart, end: Terminal) -> Point {
        let y = self.rows[end.row];
        let edge = chart.device_of(end.row).and_then(|d| self.boxes.get(&d));
        let x = match (edge, end.side) {
            (Some(area), Side::Left) => area.min.x,
            (Some(area), Side::Right) => area.max.x,
            (None, _) => Mm::ZERO,
        };
        Point::new(x, y)
    }

    /// From where symbols and labels stand on a conductor that ends at a device: its box, or where the words over a
    /// splice end.
    fn edge(&self, chart: &Chart, end: Terminal) -> Mm {
        let (left, right) = self.ranks[rank_of(chart, chart.rows[end.row].leaf)];
        let foot = self.foot(chart, end).x;
        let sleeve =
            chart.device_of(end.row).is_some_and(|d| self.boxes.get(&d).is_some_and(|b| b.width() <= SLEEVE));
        match end.side {
            Side::Right if sleeve => right,
            Side::Left if sleeve => left,
            _ => foot,
        }
    }

    /// Where the symbol of a cable stands beside a device.
    pub fn emblem_x(&self, chart: &Chart, end: Terminal) -> Mm {
        let by = LEAD_IN + EMBLEM / 2 - mm(1.0);
        match end.side {
            Side::Right => self.edge(chart, end) + by,
            Side::Left => self.edge(chart, end) - by,
        }
    }

    /// Where the label of a conductor begins beside a device (ends, on its left).
    pub fn label_x(&self, chart: &Chart, end: Terminal) -> Mm {
        let rank = rank_of(chart, chart.rows[end.row].leaf);
        match end.side {
            Side::Right => self.edge(chart, end) + LEAD_IN + self.channels[rank + 1].emblems[0],
            Side::Left => self.edge(chart, end) - LEAD_IN - self.channels[rank].emblems[1],
        }
    }

    fn line(&self, chart: &Chart, trail: &[LinkId], place_in: &[usize]) -> Vec<Point> {
        let mut points: Vec<Point> = Vec::new();
        for (i, link_id) in trail.iter().enumerate() {
            let link = &chart.links[*link_id];
            if i == 0 {
                points.extend(self.start(chart, link.ends[0]));
            }
            let channel = &self.channels[link.channel];
            for bend in channel.led.bends.get(place_in[*link_id]).into_iter().flatten() {
                let x = channel.first_lane + LANE.times(bend.lane);
                let y = points.last().map_or(bend.leave, |p| p.y);
                points.push(Point::new(x, y));
                points.push(Point::new(x, bend.leave));
            }
            if i + 1 == trail.len() {
                let mut end = self.start(chart, link.ends[1]);
                end.reverse();
                points.extend(end);
            }
        }
        straightened(points)
    }

    /// The first points of a conductor: where it leaves its pin, or the screen that it drains.
    fn start(&self, chart: &Chart, end: Terminal) -> Vec<Point> {
        let row = &chart.rows[end.row];
        if row.screen.is_none() {
            return vec![self.foot(chart, end)];
        }
        // Several drain leads of one screen leave its loop side by side.
        let rows = &chart.nodes[chart.rows[end.row].leaf].rows;
        let drains = || rows.iter().filter(|r| chart.rows[**r].screen == row.screen);
        let at = drains().position(|r| *r == end.row).unwrap_or(0);
        let count = |n: usize| i64::try_from(n).unwrap_or(0);
        let aside = DRAIN_STEP * (2 * count(at) - count(drains().count()) + 1) / 2;
        let x = self.emblem_x(chart, end) + aside;
        let y = self.rows[end.row];
        vec![Point::new(x, self.loop_end(chart, end.row)), Point::new(x, y)]
    }

    /// Lower end of the loop that stands for the screen whose drain leads starts at this row.
    fn loop_end(&self, chart: &Chart, row: RowId) -> Mm {
        let rows = &chart.nodes[chart.rows[row].leaf].rows;
        let core = rows.iter().take_while(|r| **r != row).filter(|r| chart.rows[**r].screen.is_none()).last();
        core.map_or(self.rows[row] - chart.pitch / 2, |core| self.rows[*core] + LOOP)
    }
}

/// Between two drain leads of one screen.
const DRAIN_STEP: Mm = mm(2.0);

/// From the outer conductor of a cable to the end of the oval around it, as the symbols draw it.
const LOOP: Mm = mm(1.75);

/// The rank in which a node stands.
pub(super) fn rank_of(chart: &Chart, node: NodeId) -> usize {
    let root = chart.above(node, |w| *w == What::Rank);
    root.and_then(|r| chart.roots.iter().position(|n| *n == r)).unwrap_or(0)
}

/// Without points that do not turn.
fn straightened(points: Vec<Point>) -> Vec<Point> {
    let mut out: Vec<Point> = Vec::with_capacity(points.len());
    for p in points {
        if out.last() == Some(&p) {
            continue;
        }
        if let [.., a, b] = out.as_slice()
            && ((a.x == b.x && b.x == p.x) || (a.y == b.y && b.y == p.y))
        {
            out.pop();
        }
        out.push(p);
    }
    out
}

/// The height of a row's symbol: between its outer conductors.
pub(super) fn middle(rows: &[RowId], y: &[Mm]) -> (Mm, Mm) {
    let first = rows.first().map_or(Mm::ZERO, |r| y[*r]);
    let last = rows.last().map_or(first, |r| y[*r]);
    ((first + last) / 2, last - first)
}
