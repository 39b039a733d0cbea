//! Zones and the borders between them in; their columns on one sheet out.
//!
//! The zone with the indicator stands first. Every other zone stands to the right of all neighbours that were reached
//! before it, counted from there, so that each border lies between columns and is crossed from left to right. Zones
//! of one column stand below one another, in the order of the spec.

use std::collections::{BTreeMap, BTreeSet, VecDeque};

use super::share::Share;
use super::way::{Ground, Via, Ways};
use crate::harness::{BarrierId, DeviceClass, DeviceId, Harness};
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
pub(super) fn columns(h: &Harness, ways: &Ways, share: &Share) -> Columns {
    let mut drawn: BTreeSet<Ground> = BTreeSet::new();
    for id in &share.devices {
        match ways.in_hole.get(id) {
            Some((_, sides)) => drawn.extend(sides),
            None => drawn.extend(ways.ground.get(id.index()).copied()),
        }
    }
    let mut near: BTreeMap<Ground, BTreeSet<Ground>> = BTreeMap::new();
    let mut pairs: BTreeSet<(Ground, Ground, Option<BarrierId>)> = BTreeSet::new();
    for crossing in share.ways(ways).flat_map(|(_, w)| &w.crossings) {
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
    let root = root(h, ways, share, &drawn);
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

/// How many conductors of the sheet end at each of its devices.
pub(super) fn ends_at(ways: &Ways, share: &Share) -> BTreeMap<DeviceId, usize> {
    let mut ends: BTreeMap<DeviceId, usize> = share.devices.iter().map(|d| (*d, 0)).collect();
    for (_, way) in share.ways(ways) {
        for foot in [way.from, way.to] {
            *ends.entry(foot.device).or_default() += 1;
        }
    }
    ends
}

/// The zone that stands first in the whole design, where it is drawn; else the zone of the sheet's indicator with the
/// most conductors; without an indicator, of the device with the most.
fn root(h: &Harness, ways: &Ways, share: &Share, drawn: &BTreeSet<Ground>) -> Ground {
    if let Some(root) = share.root.filter(|root| drawn.contains(&Some(*root))) {
        return Some(root);
    }
    let ends = ends_at(ways, share);
    let weight = |id: &DeviceId| {
        let sort = match h.device(*id).style {
            Some(Style::Indicator) => 2,
            Some(Style::Converter) => 1,
            _ => 0,
        };
        (sort, ends.get(id).copied().unwrap_or(0))
    };
    let fit = |id: &DeviceId| !matches!(h.device(*id).class, DeviceClass::InLine { .. });
    let first = share.devices.iter().copied().rev().filter(fit).max_by_key(weight);
    first.and_then(|id| ways.ground.get(id.index()).copied().flatten())
}

/// The zone that stands first on every sheet where it is drawn.
pub(super) fn first_zone(h: &Harness, ways: &Ways, all: &Share) -> Ground {
    root(h, ways, all, &BTreeSet::new())
}
