//! Zones and the borders between them in; their columns out.
//!
//! The zone with the indicator stands first. Every other zone stands to the right of all neighbours that were reached
//! before it, counted from there, so that each border lies between columns and is crossed from left to right. Zones
//! of one column stand below one another, in the order of the spec.

use std::collections::{BTreeMap, BTreeSet, VecDeque};

use super::way::{Ground, Via, Ways};
use crate::harness::{BarrierId, DeviceClass, Harness};
use crate::parts::words::Style;

/// What parts two zones.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Border {
    /// The zone in the column further left.
    pub low: Ground,
    /// The other.
    pub high: Ground,
    /// The barrier; None where none stands or none is known.
    pub barrier: Option<BarrierId>,
}

/// Zones by column.
#[derive(Clone, Debug)]
pub(super) struct Columns {
    /// The zone with the indicator.
    pub root: Ground,
    /// Column of each zone that is drawn.
    pub of: BTreeMap<Ground, usize>,
    /// Zones of each column, from the top.
    pub zones: Vec<Vec<Ground>>,
    /// Borders that are drawn.
    pub borders: BTreeSet<Border>,
}

/// Orders all zones that hold a device or are passed. Ties go to the zone that the spec names first.
pub(super) fn columns(h: &Harness, ways: &Ways) -> Columns {
    let mut drawn: BTreeSet<Ground> = BTreeSet::new();
    for i in 0..h.devices.len() {
        drawn.extend(ways.ground.get(i).copied());
    }
    drawn.extend(ways.in_hole.values().flat_map(|(_, sides)| *sides));
    let mut near: BTreeMap<Ground, BTreeSet<Ground>> = BTreeMap::new();
    let mut pairs: BTreeSet<(Ground, Ground, Option<BarrierId>)> = BTreeSet::new();
    for crossing in ways.ways.iter().flat_map(|w| &w.crossings) {
        drawn.extend([crossing.from, crossing.to]);
        let pair = (crossing.from.min(crossing.to), crossing.from.max(crossing.to));
        let barrier = barrier_of(h, crossing.from, crossing.to, crossing.via);
        pairs.insert((pair.0, pair.1, barrier));
    }
    for (i, barrier) in h.barriers.iter().enumerate() {
        let [a, b] = barrier.between.map(Some);
        if drawn.contains(&a) && drawn.contains(&b) {
            pairs.insert((a.min(b), a.max(b), Some(BarrierId::at(i))));
        }
    }
    for (a, b, _) in &pairs {
        near.entry(*a).or_default().insert(*b);
        near.entry(*b).or_default().insert(*a);
    }
    let root = root(h, ways);
    // The unknown ground sorts before all zones and is wanted behind them.
    let starts = [root].into_iter().chain(drawn.iter().copied().filter(Option::is_some)).chain([None]);
    let mut of: BTreeMap<Ground, usize> = BTreeMap::new();
    for start in starts.filter(|g| drawn.contains(g)) {
        let mut queue = VecDeque::from([start]);
        while let Some(ground) = queue.pop_front() {
            if of.contains_key(&ground) {
                continue;
            }
            let neighbours = near.get(&ground).cloned().unwrap_or_default();
            let before = neighbours.iter().filter_map(|n| of.get(n)).max();
            of.insert(ground, before.map_or(0, |column| column + 1));
            queue.extend(neighbours.into_iter().filter(|n| !of.contains_key(n)));
        }
    }
    let mut zones = vec![Vec::new(); of.values().max().map_or(1, |last| last + 1)];
    let known_first = of.keys().filter(|g| g.is_some()).chain(of.keys().filter(|g| g.is_none()));
    for ground in known_first {
        if let Some(column) = of.get(ground).and_then(|c| zones.get_mut(*c)) {
            column.push(*ground);
        }
    }
    let turned = |(a, b, barrier): (Ground, Ground, Option<BarrierId>)| {
        let swap = of.get(&a) > of.get(&b);
        Border { low: if swap { b } else { a }, high: if swap { a } else { b }, barrier }
    };
    let borders = pairs.into_iter().map(turned).collect();
    Columns { root, of, zones, borders }
}

/// The barrier that is crossed, or breached.
pub(super) fn barrier_of(h: &Harness, from: Ground, to: Ground, via: Via) -> Option<BarrierId> {
    match via {
        Via::Hole(hole) => Some(h.hole(hole).barrier),
        Via::Open(_) => None,
        Via::Breach(_) | Via::Unknown => {
            let (from, to) = (from?, to?);
            let parts = |pair: &[_; 2]| *pair == [from, to] || *pair == [to, from];
            h.barriers.iter().position(|b| parts(&b.between)).map(BarrierId::at)
        }
    }
}

/// How many conductors end at each device.
pub(super) fn ends_at(h: &Harness) -> Vec<usize> {
    let mut ends = vec![0; h.devices.len()];
    for c in &h.conductors {
        for pin in [c.from, c.to] {
            if let Some(count) = ends.get_mut(h.pin(pin).device.index()) {
                *count += 1;
            }
        }
    }
    ends
}

/// The zone of the indicator with the most conductors; without an indicator, of the device with the most.
fn root(h: &Harness, ways: &Ways) -> Ground {
    let ends = ends_at(h);
    let weight = |i: &usize| {
        let style = h.devices.get(*i).and_then(|d| d.style);
        let sort = match style {
            Some(Style::Indicator) => 2,
            Some(Style::Converter) => 1,
            _ => 0,
        };
        (sort, ends.get(*i).copied().unwrap_or(0))
    };
    let fit = |i: &usize| h.devices.get(*i).is_some_and(|d| !matches!(d.class, DeviceClass::InLine { .. }));
    let first = (0..h.devices.len()).rev().filter(fit).max_by_key(weight);
    first.and_then(|i| ways.ground.get(i).copied().flatten())
}
