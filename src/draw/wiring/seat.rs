//! Zones by column in; the rank of every device out, and which way each end of a conductor leaves it.
//!
//! Ranks are counted from left to right over the whole drawing. The ranks of a column are, in order: the gates of the
//! border before it (none before the first column), then its devices. In the indicator's zone whatever is connected to
//! the indicator alone stands left of it. In-line connectors and splices stand in the order in which a signal meets
//! them on its way from the indicator; everything else of a column stands in its last rank.

use std::collections::{BTreeMap, BTreeSet, VecDeque};

use super::columns::{Columns, ends_at};
use super::share::Share;
use super::way::{Foot, Ground, Way, Ways, half_of};
use crate::harness::{ConductorId, DeviceClass, DeviceId, Harness};
use crate::parts::words::Style;

/// A side of a device, a gate or a row.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(super) enum Side {
    /// Towards the first column.
    Left,
    /// Towards the last column.
    Right,
}

impl Side {
    /// The opposite side.
    pub fn other(self) -> Side {
        match self {
            Side::Left => Side::Right,
            Side::Right => Side::Left,
        }
    }
}

/// The ranks of all columns.
#[derive(Clone, Debug, Default)]
pub(super) struct Ranks {
    /// First rank of devices of each column. Its gates, if any, are one rank before.
    pub first: Vec<usize>,
    /// Column of each rank; gates belong to the column on their right.
    pub column: Vec<usize>,
}

impl Ranks {
    /// Rank of the gates before a column.
    pub fn gates(&self, column: usize) -> usize {
        self.first.get(column).map_or(0, |f| f.saturating_sub(1))
    }

    /// Number of ranks.
    pub fn count(&self) -> usize {
        self.column.len()
    }

    /// True for a rank of gates.
    pub fn is_gates(&self, rank: usize) -> bool {
        self.column.get(rank).is_some_and(|c| *c > 0 && self.gates(*c) == rank)
    }
}

/// Where everything stands.
#[derive(Clone, Debug)]
pub(super) struct Seats {
    /// All ranks.
    pub ranks: Ranks,
    /// Rank of each device of the sheet.
    pub rank: BTreeMap<DeviceId, usize>,
    /// Indicators of the zones of the first column, which stand in a rank of their own.
    pub heads: BTreeSet<DeviceId>,
    /// For in-line connectors: the half that faces left, 0 for the plug.
    pub left_half: BTreeMap<DeviceId, usize>,
}

/// True for what a signal goes through.
pub(super) fn is_through(h: &Harness, device: DeviceId) -> bool {
    matches!(h.device(device).class, DeviceClass::InLine { .. } | DeviceClass::Splice { .. })
}

/// The devices of a sheet, numbered from 0 in the order of their ids.
struct Cast<'a> {
    h: &'a Harness,
    ways: &'a Ways,
    share: &'a Share,
    columns: &'a Columns,
    /// Number of each device.
    number: BTreeMap<DeviceId, usize>,
}

impl<'a> Cast<'a> {
    fn of(h: &'a Harness, ways: &'a Ways, share: &'a Share, columns: &'a Columns) -> Cast<'a> {
        let number = share.devices.iter().enumerate().map(|(i, d)| (*d, i)).collect();
        Cast { h, ways, share, columns, number }
    }

    fn count(&self) -> usize {
        self.share.devices.len()
    }

    fn device(&self, d: usize) -> DeviceId {
        self.share.devices[d]
    }

    fn ground(&self, d: usize) -> Ground {
        self.ways.ground.get(self.device(d).index()).copied().flatten()
    }

    fn in_hole(&self, d: usize) -> bool {
        self.ways.in_hole.contains_key(&self.device(d))
    }

    fn is_through(&self, d: usize) -> bool {
        is_through(self.h, self.device(d))
    }

    /// Ways of the sheet with the numbers of their devices.
    fn ways(&self) -> impl Iterator<Item = (&'a Way, usize, usize)> + '_ {
        let number = |foot: Foot| self.number.get(&foot.device).copied().unwrap_or(0);
        self.share.ways(self.ways).map(move |(_, way)| (way, number(way.from), number(way.to)))
    }
}

/// Seats all devices of a sheet.
pub(super) fn seats(h: &Harness, ways: &Ways, share: &Share, columns: &Columns) -> Seats {
    let cast = Cast::of(h, ways, share, columns);
    let count = cast.count();
    let mut near: Vec<Vec<usize>> = vec![Vec::new(); count];
    for (_, a, b) in cast.ways() {
        if a != b {
            near[a].push(b);
            near[b].push(a);
        }
    }
    let gateways = gateways(&cast);
    let heads = heads(&cast, &gateways);
    let starts: Vec<bool> = if heads.contains(&true) { heads.clone() } else { gateways };
    let hops = hops(&starts, &near);

    // How many through devices a signal has met in the zone when it comes to a device.
    let mut level = vec![0_usize; count];
    let mut by_hops: Vec<usize> = (0..count).collect();
    by_hops.sort_by_key(|d| (hops[*d], *d));
    for d in by_hops {
        let before = near[d].iter().filter(|n| {
            hops[**n] < hops[d]
                && cast.ground(**n) == cast.ground(d)
                && !cast.in_hole(**n)
                && (cast.is_through(**n) || heads[**n])
        });
        level[d] = before.map(|n| level[*n] + 1).max().unwrap_or(0);
    }

    let beside = beside_heads(&cast, &heads);
    let mut ranks = Ranks::default();
    let mut rank = vec![0; count];
    for (column, zones) in columns.zones.iter().enumerate() {
        if column > 0 {
            ranks.column.push(column);
        }
        ranks.first.push(ranks.column.len());
        let members: Vec<usize> =
            (0..count).filter(|d| zones.contains(&cast.ground(*d)) && !cast.in_hole(*d)).collect();
        let left = usize::from(members.iter().any(|d| beside[*d]));
        let through = members.iter().filter(|d| cast.is_through(**d) || heads[**d]);
        let inner = through.map(|d| level[*d] + 1).max().unwrap_or(0);
        let plain = |d: &usize| !cast.is_through(*d) && !heads[*d] && !beside[*d];
        let last = left + inner;
        for d in &members {
            rank[*d] = ranks.first[column]
                + if beside[*d] {
                    0
                } else if plain(d) {
                    last
                } else {
                    left + level[*d]
                };
        }
        let used = last + usize::from(members.iter().any(plain));
        ranks.column.extend(std::iter::repeat_n(column, used.max(1)));
    }
    for (d, id) in share.devices.iter().enumerate() {
        if let Some((_, sides)) = ways.in_hole.get(id) {
            let column = sides.iter().filter_map(|g| columns.of.get(g)).max().copied().unwrap_or(0);
            rank[d] = ranks.gates(column);
        }
    }
    let heads = (0..count).filter(|d| heads[*d]).map(|d| cast.device(d)).collect();
    let rank = share.devices.iter().copied().zip(rank).collect();
    let mut seats = Seats { ranks, rank, heads, left_half: BTreeMap::new() };
    seats.left_half = left_halves(h, ways, share, columns, &seats);
    seats
}

/// In-line connectors through which a sheet without an indicator is fed: in the first column, with conductors on one of
/// their halves only.
fn gateways(cast: &Cast) -> Vec<bool> {
    let mut halves: Vec<BTreeSet<usize>> = vec![BTreeSet::new(); cast.count()];
    for (way, a, b) in cast.ways() {
        for (foot, d) in [(way.from, a), (way.to, b)] {
            halves[d].insert(half_of(cast.h, foot.beside));
        }
    }
    let is_gateway = |d: usize| {
        let in_line = matches!(cast.h.device(cast.device(d)).class, DeviceClass::InLine { .. });
        in_line && halves[d].len() == 1 && cast.ground(d) == cast.columns.root && !cast.in_hole(d)
    };
    (0..cast.count()).map(is_gateway).collect()
}

/// The indicators of the zones in the first column; where the first zone has none, its device with the most
/// conductors, unless the sheet is fed through connectors.
fn heads(cast: &Cast, gateways: &[bool]) -> Vec<bool> {
    let ends = ends_at(cast.ways, cast.share);
    let ends = |d: usize| ends.get(&cast.device(d)).copied().unwrap_or(0);
    let indicator = |d: usize| cast.h.device(cast.device(d)).style == Some(Style::Indicator);
    let first = |d: usize| cast.columns.of.get(&cast.ground(d)) == Some(&0);
    let mut heads: Vec<bool> = (0..cast.count()).map(|d| first(d) && indicator(d) && ends(d) > 0).collect();
    let here = |d: &usize| cast.ground(*d) == cast.columns.root && !cast.is_through(*d);
    if !(0..heads.len()).any(|d| heads[d] && here(&d))
        && !gateways.contains(&true)
        && let Some(first) = (0..heads.len()).rev().filter(here).max_by_key(|d| ends(*d))
    {
        heads[first] = true;
    }
    heads
}

/// Conductors to be passed from the nearest start, by device; groups that none reaches are counted from their member
/// with the most neighbours.
fn hops(first: &[bool], near: &[Vec<usize>]) -> Vec<usize> {
    let mut hops = vec![usize::MAX; first.len()];
    let mut starts: Vec<usize> = (0..first.len()).collect();
    starts.sort_by_key(|d| (!first[*d], std::cmp::Reverse(near[*d].len()), *d));
    let mut queue: VecDeque<usize> = starts.iter().copied().filter(|d| first[*d]).collect();
    queue.iter().for_each(|d| hops[*d] = 0);
    for start in starts {
        if hops[start] == usize::MAX {
            hops[start] = 0;
            queue.push_back(start);
        }
        while let Some(d) = queue.pop_front() {
            for n in &near[d] {
                if hops[*n] == usize::MAX {
                    hops[*n] = hops[d] + 1;
                    queue.push_back(*n);
                }
            }
        }
    }
    hops
}

/// Devices that are connected to the heads of their zone and to each other only, and by nothing but plain conductors
/// within the zone.
fn beside_heads(cast: &Cast, heads: &[bool]) -> Vec<bool> {
    let headed: BTreeSet<Ground> = (0..heads.len()).filter(|d| heads[*d]).map(|d| cast.ground(d)).collect();
    let free = |d: usize| !cast.is_through(d) && !heads[d] && !cast.in_hole(d);
    let mut beside: Vec<bool> =
        (0..heads.len()).map(|d| headed.contains(&cast.ground(d)) && free(d)).collect();
    // The answer can only shrink, and each round but the last takes a device away.
    loop {
        let mut changed = false;
        for (way, a, b) in cast.ways() {
            let screened = way.from.screen.is_some() || way.to.screen.is_some();
            let plain = way.crossings.is_empty() && !screened;
            for (one, other) in [(a, b), (b, a)] {
                if beside[one] && !(plain && (beside[other] || heads[other])) {
                    beside[one] = false;
                    changed = true;
                }
            }
        }
        if !changed {
            return beside;
        }
    }
}

/// For each in-line connector the half whose conductors lead further left.
fn left_halves(
    h: &Harness,
    ways: &Ways,
    share: &Share,
    columns: &Columns,
    seats: &Seats,
) -> BTreeMap<DeviceId, usize> {
    let mut lean: BTreeMap<DeviceId, [i64; 2]> = BTreeMap::new();
    for id in &share.devices {
        if matches!(h.device(*id).class, DeviceClass::InLine { .. }) {
            lean.insert(*id, [0, 0]);
        }
    }
    for (id, way) in share.ways(ways) {
        for foot in [way.from, way.to] {
            if let Some(lean) = lean.get_mut(&foot.device) {
                let target = seats.target(h, ways, columns, id, foot);
                let own = seats.rank_of(foot.device);
                lean[half_of(h, foot.beside)] += (target as i64 - own as i64).signum();
            }
        }
    }
    let facing = |(device, lean): (DeviceId, [i64; 2])| {
        let left = match ways.in_hole.get(&device) {
            Some((_, sides)) => usize::from(columns.of.get(&sides[1]) < columns.of.get(&sides[0])),
            None => usize::from(lean[1] < lean[0]),
        };
        (device, left)
    };
    lean.into_iter().map(facing).collect()
}

impl Seats {
    /// The rank of a device.
    pub fn rank_of(&self, device: DeviceId) -> usize {
        self.rank.get(&device).copied().unwrap_or(0)
    }

    /// The rank to which a conductor leads first, seen from one of its feet.
    pub fn target(&self, h: &Harness, ways: &Ways, columns: &Columns, id: ConductorId, foot: Foot) -> usize {
        let Some(way) = ways.ways.get(id.index()) else { return 0 };
        let own = ways.ground_of(h, foot);
        let first = if foot == way.from { way.crossings.first() } else { way.crossings.last() };
        match first {
            Some(crossing) => {
                let next = if foot == way.from { crossing.to } else { crossing.from };
                let column = columns.of.get(&own).max(columns.of.get(&next)).copied().unwrap_or(0);
                self.ranks.gates(column)
            }
            None => {
                let other = if foot == way.from { way.to } else { way.from };
                self.rank_of(other.device)
            }
        }
    }

    /// The side on which a conductor best leaves a device that lets it choose.
    pub fn side(&self, h: &Harness, ways: &Ways, columns: &Columns, id: ConductorId, foot: Foot) -> Side {
        let own = self.rank_of(foot.device);
        match self.target(h, ways, columns, id, foot).cmp(&own) {
            std::cmp::Ordering::Less => Side::Left,
            std::cmp::Ordering::Greater => Side::Right,
            // What is left of an indicator, and the indicator itself, has its free side on the right.
            std::cmp::Ordering::Equal if own == 0 || self.heads.contains(&foot.device) => Side::Right,
            std::cmp::Ordering::Equal => Side::Left,
        }
    }
}
