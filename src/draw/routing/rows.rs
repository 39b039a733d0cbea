//! Nodes with their columns in; the height that each stands at out, and from where to where each patch reaches.
//!
//! A first child goes on in the row of its parent, every other child begins a new one. A row stands as high as what is
//! above it in its own columns lets it: rows in different columns stand beside each other.

use std::collections::BTreeMap;

use super::job::Job;
use super::patch::{Node, Tree};
use super::plan::{BESIDE, CLEAR, Field, PAD, STEP, Spot, up};
use crate::draw::geometry::{Mm, Point, mm};

const ROW_GAP: Mm = mm(3.0);

/// How far down the paper is taken, from left to right: each entry holds from its place to the next one's.
struct Skyline(BTreeMap<Mm, Mm>);

impl Skyline {
    /// The lowest that anything reaches between these two.
    fn level(&self, from: Mm, to: Mm) -> Mm {
        let before = self.0.range(..=from).next_back().map(|(_, level)| *level);
        let inside = self.0.range(from..to.max(from)).map(|(_, level)| *level);
        before.into_iter().chain(inside).max().unwrap_or_default()
    }

    /// Something between these two reaches so far down.
    fn take(&mut self, from: Mm, to: Mm, level: Mm) {
        if to <= from {
            return;
        }
        for edge in [from, to] {
            let before = self.0.range(..=edge).next_back().map_or(Mm::ZERO, |(_, level)| *level);
            self.0.entry(edge).or_insert(before);
        }
        for (_, old) in self.0.range_mut(from..to) {
            *old = level.max(*old);
        }
    }
}

/// Places rows and patches. `room` is whether they stand so far apart that a loop passes between any two.
pub(super) fn rows(job: &Job, tree: &Tree, spots: &mut [Spot], fields: &mut [Field], room: bool) {
    let count = tree.nodes.len();
    let (mut row, mut rows) = (vec![0; count], 0);
    for (i, node) in tree.nodes.iter().enumerate() {
        let parent = node.parent.and_then(|p| tree.nodes.get(p).map(|n| (p, n)));
        row[i] = match parent {
            Some((p, parent)) if parent.children.first() == Some(&i) && !node.is_near() => row[p],
            _ => {
                rows += 1;
                rows - 1
            }
        };
    }
    let mut last = row.clone();
    for (i, node) in tree.nodes.iter().enumerate().rev() {
        if let Some(parent) = node.parent {
            last[parent] = last[parent].max(last[i]);
        }
    }
    let mut span: Vec<Option<(usize, usize)>> = vec![None; fields.len()];
    for (i, node) in tree.nodes.iter().enumerate() {
        for patch in [Some(node.patch), node.opens].into_iter().flatten() {
            let (from, to) = span[patch].unwrap_or((row[i], last[i]));
            span[patch] = Some((from.min(row[i]), to.max(last[i])));
        }
    }
    let (mut begin, mut end, mut at_row) =
        (vec![Vec::new(); rows], vec![Vec::new(); rows], vec![Vec::new(); rows]);
    for (patch, span) in span.iter().enumerate() {
        let Some((from, to)) = *span else { continue };
        begin[from].push(patch);
        end[to].push(patch);
    }
    for i in 0..count {
        at_row[row[i]].push(i);
    }
    let half = |node: &Node| node.run.map_or(Mm::ZERO, |run| job.breadth(run) / 2);
    let gap = if room { STEP * 4 } else { ROW_GAP };
    let mut skyline = Skyline(BTreeMap::from([(Mm::from_um(i64::MIN), -gap)]));
    for r in 0..rows {
        // What a node takes of its row: from the lane of its run to its far end, and so much above its line.
        let extent = |i: usize, spots: &[Spot]| {
            let (node, spot) = (&tree.nodes[i], &spots[i]);
            if node.is_near() {
                // The band of its clamp stands above it, and what is written at it on its left.
                let above = spot.radius.max(spot.card.first_middle()) + STEP;
                return (spot.at.x - spot.radius, spot.at.x + spot.radius, above);
            }
            let before = node.parent.and_then(|p| spots.get(p)).map(|p| p.at.x + p.reach);
            let left = spot.lane.or(before).map_or(spot.column, |x| (x - half(node)).min(spot.column));
            let label = half(node) + CLEAR + spot.label.size().height;
            let card = if node.is_last() { spot.card.first_middle() } else { Mm::ZERO };
            (left, spot.at.x + spot.reach + spot.shoulder, label.max(spot.radius).max(card))
        };
        let mut y = Mm::from_um(i64::MIN);
        for i in &at_row[r] {
            let (left, right, above) = extent(*i, spots);
            y = y.max(skyline.level(left, right) + gap + above);
            // What is fitted there hangs below, or on the right of a last place.
            let (node, spot) = (&tree.nodes[*i], &spots[*i]);
            let (left, below) = card(node, spot, half(node));
            y = y.max(skyline.level(left, left + spot.card.size().width) + gap - below);
        }
        let above_in = |patch: usize, spots: &[Spot]| {
            let own = |i: &&usize| tree.nodes[**i].patch == patch || tree.nodes[**i].opens == Some(patch);
            at_row[r].iter().filter(own).map(|i| extent(*i, spots).2).max().unwrap_or_default()
        };
        for patch in &begin[r] {
            let field = &fields[*patch];
            let head = PAD * 2 + field.header.size().height + field.barrier.size().height;
            let level = skyline.level(field.area.min.x, field.area.max.x);
            y = y.max(level + gap + head + above_in(*patch, spots));
        }
        let y = up(y);
        for patch in &begin[r] {
            let above = above_in(*patch, spots);
            let field = &mut fields[*patch];
            field.area.min.y = y - above - field.header.size().height - PAD;
            skyline.take(field.area.min.x, field.area.max.x, y - above);
        }
        for i in &at_row[r] {
            let node = &tree.nodes[*i];
            let (left, right, _) = extent(*i, spots);
            let half = half(node);
            let spot = &mut spots[*i];
            stand(node, spot, half, y);
            skyline.take(left, right, y + half.max(spot.radius));
            let size = spot.card.size();
            skyline.take(spot.card_at.x, spot.card_at.x + size.width, spot.card_at.y + size.height);
        }
        for patch in &end[r] {
            let area = &mut fields[*patch].area;
            area.max.y = skyline.level(area.min.x, area.max.x) + PAD;
            skyline.take(area.min.x, area.max.x, area.max.y);
        }
    }
}

/// Left edge of what is fitted at a node, and how far below its line it begins: its name stands next to its own sign.
fn card(node: &Node, spot: &Spot, half: Mm) -> (Mm, Mm) {
    if node.is_near() {
        return (spot.at.x - spot.shoulder - BESIDE - spot.card.size().width, -spot.card.first_middle());
    }
    match node.is_last() {
        true => (spot.at.x + spot.shoulder + BESIDE, -spot.card.first_middle()),
        false => (spot.at.x - spot.shoulder - CLEAR - spot.card.size().width, half.max(mm(0.4)) + CLEAR),
    }
}

/// A node at its height, what is written on its run above the run, what is fitted there below.
fn stand(node: &Node, spot: &mut Spot, half: Mm, y: Mm) {
    spot.at.y = y;
    let (left, below) = card(node, spot, half);
    spot.card_at = Point::new(left, y + below);
    spot.ended = !node.is_last();
    let right = spot.at.x - spot.shoulder - CLEAR;
    let size = spot.label.size();
    let middle = (spot.column + right) / 2;
    spot.label_at = Point::new(middle - size.width / 2, y - half - CLEAR - size.height);
}
