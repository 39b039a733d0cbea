//! An ordered chart in; its bodies (rows that keep their distances) rank by rank, and the room between them, out.

use super::align::GRID;
use super::chart::{Chart, NodeId, RowId, What};
use super::seat::Side;
use super::way::Ground;
use crate::draw::geometry::Mm;

#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Item {
    Body(usize),
    /// The upper end of a zone or corridor, by column and place in the column.
    Zone(usize, usize),
}

pub(super) struct Placed {
    pub item: Item,
    /// Items above it in its rank, and the room to their last rows.
    pub above: Vec<(usize, Mm)>,
    /// From the item's first row to its last.
    pub height: Mm,
}

pub(super) struct Bodies {
    /// Body and distance from the body's first row, by row.
    pub of: Vec<(usize, Mm)>,
    pub height: Vec<Mm>,
    pub ranks: Vec<Vec<Placed>>,
    /// The lowest items of each rank, and the room below their last rows.
    pub tails: Vec<Vec<(usize, Mm)>>,
    /// Zones and corridors of each column in order.
    pub zones: Vec<Vec<What>>,
}

fn up(length: Mm) -> Mm {
    Mm::from_um((length.um() + GRID.um() - 1).div_euclid(GRID.um()) * GRID.um())
}

/// Lists the bodies of all ranks with the room between them.
pub(super) fn bodies(chart: &Chart) -> Bodies {
    let mut zones: Vec<Vec<What>> = Vec::new();
    for (rank, root) in chart.roots.iter().enumerate() {
        let column = chart.ranks.column[rank];
        zones.resize(zones.len().max(column + 1), Vec::new());
        zones[column].extend(chart.nodes[*root].children.iter().map(|c| chart.nodes[*c].what));
    }
    for parts in &mut zones {
        // Children of a rank stand in the order of their column already; ranks may lack some of them.
        let order = |w: &What| matches!(w, What::Zone { corridor: true, .. });
        let mut seen: Vec<What> = Vec::new();
        for what in parts.iter() {
            if !seen.contains(what) {
                seen.push(*what);
            }
        }
        let known = seen.clone();
        seen.sort_by_key(|w| (order(w), zone_key(w), known.iter().position(|k| k == w)));
        *parts = seen;
    }
    let mut out = Bodies {
        of: vec![(0, Mm::ZERO); chart.rows.len()],
        height: Vec::new(),
        ranks: Vec::new(),
        tails: Vec::new(),
        zones,
    };
    for (rank, root) in chart.roots.iter().enumerate() {
        let column = chart.ranks.column[rank];
        let tips = vec![Tip { at: None, room: Mm::ZERO }];
        let mut walk = Walk { chart, out: &mut out, tips, placed: Vec::new(), body: None };
        let parts = walk.out.zones[column].clone();
        for (i, part) in parts.iter().enumerate() {
            let child = chart.nodes[*root].children.iter().find(|c| chart.nodes[**c].what == *part);
            let gap = if i > 0 { chart.nodes[*root].gap } else { Mm::ZERO };
            walk.zone(Item::Zone(column, i), gap);
            if let Some(child) = child {
                walk.node(*child, false);
            }
        }
        let placed = std::mem::take(&mut walk.placed);
        let tails =
            walk.tips.iter().filter_map(|tip| Some((tip.at?, tip.room + walk.half(tip.at?, &placed))));
        let tails = tails.collect();
        out.tails.push(tails);
        out.ranks.push(placed);
    }
    out
}

/// Known zones in the order of the spec, the unknown one behind them.
fn zone_key(what: &What) -> (bool, Ground) {
    match what {
        What::Zone { ground, .. } => (ground.is_none(), *ground),
        _ => (true, None),
    }
}

/// Where the next item goes: below this one, with the room that is to be left. None: at the top.
#[derive(Clone, Copy)]
struct Tip {
    at: Option<usize>,
    room: Mm,
}

struct Walk<'a> {
    chart: &'a Chart,
    out: &'a mut Bodies,
    /// What the next item lies below; several where a box has rows of its own on both sides.
    tips: Vec<Tip>,
    placed: Vec<Placed>,
    /// The rigid body that is being filled, with the distance of its last row.
    body: Option<(usize, Mm)>,
}

impl Walk<'_> {
    /// From the last row of an item to the edge of its cell; a zone begins at its edge.
    fn half(&self, at: usize, placed: &[Placed]) -> Mm {
        match placed.get(at).map(|p| p.item) {
            Some(Item::Body(_)) => self.chart.pitch / 2,
            _ => Mm::ZERO,
        }
    }

    fn leave(&mut self, room: Mm) {
        self.tips.iter_mut().for_each(|tip| tip.room += room);
    }

    /// Puts an item below the tips, which it replaces; `half` reaches from its edge to its first row.
    fn put(&mut self, item: Item, half: Mm) {
        let below = |tip: &Tip| Some((tip.at?, up(tip.room + half + self.half(tip.at?, &self.placed))));
        let above = self.tips.iter().filter_map(below).collect();
        self.tips = vec![Tip { at: Some(self.placed.len()), room: Mm::ZERO }];
        self.placed.push(Placed { item, above, height: Mm::ZERO });
    }

    fn zone(&mut self, item: Item, gap: Mm) {
        self.leave(gap);
        self.put(item, Mm::ZERO);
    }

    fn node(&mut self, node: NodeId, in_body: bool) {
        let n = &self.chart.nodes[node];
        self.leave(n.before);
        if !in_body && (n.rigid || n.children.is_empty()) {
            self.body = None;
        }
        if n.children.is_empty() {
            self.leaf(&n.rows);
        } else if n.split {
            let start = self.tips.clone();
            let mut ends = Vec::new();
            for side in [Side::Left, Side::Right] {
                self.tips.clone_from(&start);
                self.children(n.children.iter().filter(|c| self.chart.side_of(**c) == side), n.gap, false);
                ends.append(&mut self.tips);
            }
            // A side without rows ends where it began, which the other side says too.
            ends.retain(|tip| !start.iter().any(|s| s.at == tip.at));
            self.tips = if ends.is_empty() { start } else { ends };
        } else {
            self.children(n.children.iter(), n.gap, in_body || n.rigid);
        }
        self.leave(n.after);
    }

    fn children<'n>(&mut self, children: impl Iterator<Item = &'n NodeId>, gap: Mm, in_body: bool) {
        for (i, child) in children.enumerate() {
            if i > 0 {
                self.leave(gap);
            }
            self.node(*child, in_body);
        }
    }

    fn leaf(&mut self, rows: &[RowId]) {
        let pitch = self.chart.pitch;
        let (body, start) = match self.body {
            Some((body, last)) => {
                let room = self.tips.iter().map(|tip| tip.room).max().unwrap_or_default();
                self.tips.iter_mut().for_each(|tip| tip.room = Mm::ZERO);
                (body, last + pitch + up(room))
            }
            None => {
                let body = self.out.height.len();
                self.out.height.push(Mm::ZERO);
                self.put(Item::Body(body), pitch / 2);
                (body, Mm::ZERO)
            }
        };
        let mut last = start;
        for (i, row) in rows.iter().enumerate() {
            last = start + pitch.times(i);
            self.out.of[*row] = (body, last);
        }
        self.out.height[body] = last;
        if let Some(placed) = self.placed.last_mut() {
            placed.height = last;
        }
        self.body = Some((body, last));
    }
}
