//! A tree of places in; where each stands on paper out.
//!
//! Columns by the number of runs from the edge of a patch, rows by the order of the tree. What is written on a run
//! stands above its level piece, what is fitted at a place below it and left of the place, at a last place on its right,
//! so that nothing meets by construction: a column belongs to the places of one depth, a row to the way to one last place.

use super::card;
use super::drawn;
use super::job::Job;
use super::patch::{Node, Patch, Tree};
use super::rows;
use crate::draw::block::{Block, words};
use crate::draw::geometry::{Area, Mm, Point, mm};
use crate::draw::lettering::{self, Lettering};
use crate::draw::mark::{Layer, Mark, TagKind};

/// Step of the raster that all places stand on; loops are closed along it.
pub(super) const STEP: Mm = mm(2.0);
/// Thickness of a wall.
pub(super) const WALL: Mm = mm(4.0);
/// Bend of a run from its lane into its row.
pub(super) const BEND: Mm = mm(3.0);
/// Least radius of the ring around the letter of a broken run.
const STUB: Mm = mm(2.8);
pub(super) const PAD: Mm = mm(3.0);
/// Between two lanes the bands of clamps have room on both.
const LANE_GAP: Mm = mm(2.2);
pub(super) const CLEAR: Mm = mm(1.0);
/// How far before the middle of a wall the stub of a run stands that is broken off on its near side.
const NEAR: Mm = mm(6.6);
/// Between the sign of a last place and what is written on its right.
pub(super) const BESIDE: Mm = mm(1.4);

/// A node on paper.
#[derive(Clone, Debug)]
pub(super) struct Spot {
    /// Where its run ends and the first of its lanes starts.
    pub at: Point,
    /// Half the height of its capsule.
    pub radius: Mm,
    /// How far the capsule goes on beyond its first and last lane.
    pub shoulder: Mm,
    /// Where the capsule's other end stands: the last of its lanes.
    pub reach: Mm,
    /// Lane of the run from its parent: x of the upright piece; None where the run goes on straight.
    pub lane: Option<Mm>,
    /// Left edge of its column.
    pub column: Mm,
    /// What is written at it.
    pub card: Block,
    pub card_at: Point,
    /// True where the lines of the card end at its right edge, for its place is there.
    pub ended: bool,
    /// What is written on its run.
    pub label: Block,
    pub label_at: Point,
}

/// A patch on paper.
#[derive(Clone, Debug)]
pub(super) struct Field {
    pub area: Area,
    pub header: Block,
    /// What stands above its wall.
    pub barrier: Block,
}

pub(super) struct Plan {
    pub spots: Vec<Spot>,
    pub fields: Vec<Field>,
}

/// Lays the tree out. `loops` are the ends of the runs that want to be closed, `room` whether rows stand so far apart
/// that such a run passes between any two.
pub(super) fn lay_out(job: &Job, tree: &Tree, loops: &[(usize, usize)], room: bool) -> Plan {
    let mut spots: Vec<Spot> = tree.nodes.iter().map(|n| blank(job, tree, n)).collect();
    lanes(job, tree, &mut spots, loops);
    let mut fields = columns(job, tree, &mut spots, !loops.is_empty());
    for (i, node) in tree.nodes.iter().enumerate() {
        let from = node.parent.and_then(|p| spots.get(p)).map(|p| p.at.x);
        let spot = &mut spots[i];
        spot.lane = spot.lane.zip(from).map(|(lane, from)| from + lane);
    }
    rows::rows(job, tree, &mut spots, &mut fields, room);
    Plan { spots, fields }
}

fn blank(job: &Job, tree: &Tree, node: &Node) -> Spot {
    let walled = |patch: usize| matches!(tree.patches[patch].behind, Some((_, Some(_))));
    let pierces = node.opens.is_some_and(walled) && job.h.place(node.place).hole.is_none();
    let label = match (&node.stub, node.run) {
        (Some(stub), Some(_)) if stub.near => Block::default(),
        (Some(stub), Some(_)) if !stub.labelled => Block::default(),
        (_, Some(run)) => card::of_run(job, run),
        _ => Block::default(),
    };
    // Right of a last place there is room for long lines.
    let limit = if node.is_last() { job.last } else { job.card };
    let card = match (&node.stub, node.run) {
        (Some(stub), Some(run)) => card::of_stub(job, run, stub),
        _ => card::of_place(job, node.place, pierces, limit),
    };
    Spot {
        at: Point::default(),
        radius: Mm::ZERO,
        shoulder: Mm::ZERO,
        reach: Mm::ZERO,
        lane: None,
        column: Mm::ZERO,
        card,
        card_at: Point::default(),
        ended: false,
        label,
        label_at: Point::default(),
    }
}

pub(super) fn up(length: Mm) -> Mm {
    Mm::from_um((length.um() + STEP.um() - 1).div_euclid(STEP.um()) * STEP.um())
}

/// Radius of each capsule, and the lanes below it: the run that goes furthest down takes the leftmost, so that none
/// crosses another. Lanes are kept relative to the capsule here. A loop that starts below a capsule has a lane too.
fn lanes(job: &Job, tree: &Tree, spots: &mut [Spot], loops: &[(usize, usize)]) {
    let half =
        |node: usize| tree.nodes.get(node).and_then(|n| n.run).map_or(Mm::ZERO, |run| job.breadth(run) / 2);
    let mut closing = vec![0_usize; tree.nodes.len()];
    for end in loops.iter().flat_map(|(a, b)| [*a, *b]) {
        closing[end] += 1;
    }
    for (i, node) in tree.nodes.iter().enumerate() {
        let thickest = node.children.iter().copied().chain([i]).map(half).max().unwrap_or_default();
        let radius = match &node.stub {
            Some(stub) => {
                let half = lettering::width(&stub.letter, Lettering::SMALL.bold()) / 2;
                STUB.max(half + mm(1.6))
            }
            None => {
                let sign = if drawn::emblem(job, node.place).is_some() { drawn::EMBLEM } else { mm(1.6) };
                sign.max(thickest + mm(0.6))
            }
        };
        spots[i].radius = radius;
        let near = node.children.iter().filter(|child| tree.nodes.get(**child).is_some_and(Node::is_near));
        let near = near.map(|child| NEAR + half(*child)).max().unwrap_or_default();
        // In a wall the capsule is the lining: it stands out on both sides, further where a loop comes in beside it.
        spots[i].shoulder = match (node.opens.is_some(), closing[i]) {
            (false, _) => radius,
            (true, 0) => radius.max(WALL / 2 + mm(1.2)),
            (true, _) => radius.max(WALL / 2 + STEP * 2),
        }
        .max(near);
        let mut x = Mm::ZERO;
        if !node.children.is_empty() {
            x += STEP.times(closing[i]) * 2;
        }
        let children: Vec<usize> = node
            .children
            .iter()
            .copied()
            .filter(|c| !tree.nodes.get(*c).is_some_and(Node::is_near))
            .collect();
        if node.opens.is_some() && children.len() > 1 {
            // What turns off behind a wall turns off beside it, not in it.
            x = x.max(WALL / 2 + mm(1.0));
        }
        let mut before = Mm::ZERO;
        for child in children.into_iter().skip(1).rev() {
            if before > Mm::ZERO || x > Mm::ZERO {
                x += before + half(child) + LANE_GAP;
            }
            spots[child].lane = Some(x);
            before = half(child);
        }
        spots[i].reach = x;
    }
}

/// Columns of every patch, left to right; the walls stand where the widest part of a patch ends.
fn columns(job: &Job, tree: &Tree, spots: &mut [Spot], loops: bool) -> Vec<Field> {
    let mut of_patch: Vec<Vec<usize>> = vec![Vec::new(); tree.patches.len()];
    let mut entries: Vec<Vec<usize>> = vec![Vec::new(); tree.patches.len()];
    for (i, node) in tree.nodes.iter().enumerate() {
        of_patch[node.patch].push(i);
        if let Some(opens) = node.opens {
            entries[opens].push(i);
        }
    }
    let mut fields: Vec<Field> = Vec::new();
    for (p, patch) in tree.patches.iter().enumerate() {
        let left = match patch.behind {
            Some((behind, _)) => fields[behind].area.max.x,
            None => Mm::ZERO,
        };
        let mut start = left + PAD;
        let mut right = left + PAD;
        for entry in &entries[p] {
            let spot = &mut spots[*entry];
            let after = spot.at.x + spot.reach + spot.shoulder + BEND;
            start = start.max(after);
            right = right.max(after);
        }
        let deepest = of_patch[p].iter().map(|n| tree.nodes[*n].depth).max().unwrap_or(0);
        // A root patch begins with depth 0, a patch behind a wall with depth 1.
        let first = usize::from(patch.behind.is_some());
        let mut by_depth: Vec<Vec<usize>> = vec![Vec::new(); deepest + 1];
        for node in &of_patch[p] {
            by_depth[tree.nodes[*node].depth].push(*node);
        }
        for nodes in by_depth.iter().skip(first) {
            let inner =
                nodes.iter().filter(|n| tree.nodes[**n].opens.is_none() && !tree.nodes[**n].is_near());
            let last = |n: usize| tree.nodes[n].is_last();
            let width = inner.clone().map(|n| width(&spots[*n], last(*n))).max().unwrap_or_default();
            let mut next = start + width;
            for node in nodes {
                spots[*node].column = start;
                if tree.nodes[*node].opens.is_some() {
                    right = right.max(start + width_before_wall(&spots[*node]));
                }
            }
            for node in inner {
                let spot = &mut spots[*node];
                spot.at.x = up(start + width);
                let after = spot.at.x + spot.reach + spot.shoulder;
                let card = if last(*node) { after + BESIDE + spot.card.size().width } else { Mm::ZERO };
                right = right.max(after + CLEAR).max(card + CLEAR);
                next = next.max(after + BEND);
            }
            start = next + CLEAR;
        }
        if loops {
            right += STEP * 3;
        }
        for node in of_patch[p].iter().filter(|n| tree.nodes[**n].is_near()) {
            let spot = &spots[*node];
            right = right.max(left + WALL + PAD + spot.card.size().width + BESIDE + spot.shoulder + NEAR);
        }
        let (header, barrier) = headers(job, tree, patch, right - left);
        let wall = if patch.behind.is_some() { WALL } else { Mm::ZERO };
        right = right.max(left + wall + header.size().width + PAD * 2).max(left + barrier.size().width + PAD);
        let right = up(right + PAD);
        for node in &of_patch[p] {
            if tree.nodes[*node].opens.is_some() {
                spots[*node].at.x = right + WALL / 2;
            }
            if tree.nodes[*node].is_near() {
                spots[*node].at.x = right + WALL / 2 - NEAR;
                spots[*node].lane = Some(-NEAR);
            }
        }
        let area = Area::between(Point::new(left, Mm::ZERO), Point::new(right, Mm::ZERO));
        fields.push(Field { area, header, barrier });
    }
    fields
}

/// What a node takes of its column. The card of a last place stands on the right of it.
fn width(spot: &Spot, last: bool) -> Mm {
    let card = if last { Mm::ZERO } else { spot.card.size().width };
    card.max(spot.label.size().width) + spot.shoulder + CLEAR * 2
}

fn width_before_wall(spot: &Spot) -> Mm {
    width(spot, false) - WALL / 2
}

/// Words at the head of a patch, and those above its wall.
fn headers(job: &Job, tree: &Tree, patch: &Patch, room: Mm) -> (Block, Block) {
    let (mut header, mut barrier) = (Block::default(), Block::default());
    let room = room.max(mm(40.0));
    if let Some(id) = patch.zone {
        let zone = job.h.zone(id);
        let mark = Mark::new(Layer::Label).with(TagKind::Zone, &zone.name);
        let mut name = zone.title.clone().unwrap_or_else(|| zone.name.clone());
        if patch.continued {
            name.push_str(", continued");
        }
        let mut facts = Vec::new();
        facts.extend(zone.ambient.map(|t| format!("up to {}", t.value.show(job.units))));
        let hazards: Vec<&str> = zone.hazards.iter().map(|x| x.words()).collect();
        facts.extend((!hazards.is_empty()).then(|| format!("hazards: {}", hazards.join(", "))));
        facts.extend((!zone.splices_allowed).then(|| "no splices".to_owned()));
        let limit = room - PAD * 2 - WALL;
        header.add(&[words(&name, Lettering::LARGE, &mark)], limit);
        header.add(&[words(&facts.join("; "), Lettering::SMALL, &mark)], limit);
    }
    if let Some((behind, parting)) = patch.behind {
        let (name, mark) = match parting {
            Some(id) => {
                let found = job.h.barrier(id);
                let mark = Mark::new(Layer::Label).with(TagKind::Barrier, &found.name);
                let title = found.title.as_ref().map(|t| format!(": {t}")).unwrap_or_default();
                (format!("{}{title}", found.name), mark)
            }
            None => {
                let zone = tree.patches.get(behind).and_then(|p| p.zone);
                let from = zone.map(|z| job.h.zone(z).name.as_str()).unwrap_or_default();
                (format!("open towards {from}"), Mark::new(Layer::Label))
            }
        };
        barrier.add(&[words(&name, Lettering::SMALL.bold(), &mark)], room);
    }
    (header, barrier)
}

impl Field {
    /// Where the words at its head stand; `walled` where a wall stands on its left.
    pub fn header_at(&self, walled: bool) -> Point {
        self.area.min.by(PAD / 2 + if walled { WALL } else { Mm::ZERO }, PAD / 2)
    }

    /// Where the words above its wall stand.
    pub fn barrier_at(&self) -> Point {
        self.area.min.by(CLEAR, -self.barrier.size().height - CLEAR)
    }
}
