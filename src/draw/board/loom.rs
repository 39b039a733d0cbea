//! Where the conductors lie in; looms out, each a tree of places from the one where most wires of equipment end.
//!
//! A loom is what hangs together by its wires. A ring cannot be laid flat: the run of it that carries least is broken
//! off at one end, and a letter there and at the place where it goes on says so. Of several ways on, the one that
//! takes most wire comes first: it is the trunk. Cost: one heap over all runs.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BinaryHeap};

use petgraph::unionfind::UnionFind;

use super::ends::End;
use crate::draw::geometry::{Mm, mm};
use crate::graph::{Bundles, LeastBends, Routing};
use crate::harness::{DeviceClass, DeviceId, Harness, PlaceId, RunId};
use crate::parts::library::Library;

/// Least radius that is drawn, at the inner side of the bundle: that of a peg with room for a finger.
const LEAST_RADIUS: Mm = mm(12.0);

/// A run as part of a loom.
#[derive(Clone, Copy, Debug)]
pub(super) struct Leg {
    pub run: RunId,
    pub length: Mm,
    /// Half the diameter of its bundle, its cover included.
    pub half: Mm,
    /// Radius of the middle of the bundle that it is bent to at least.
    pub radius: Mm,
}

/// A place in a loom, or the end of a leg that is broken off.
#[derive(Clone, Debug)]
pub(super) struct Knot {
    pub place: PlaceId,
    /// The knot nearer to the root and the leg between.
    pub up: Option<(usize, Leg)>,
    /// The trunk first.
    pub children: Vec<usize>,
    pub ends: Vec<End>,
    /// Splices that have this place.
    pub splices: Vec<DeviceId>,
    /// Rings that are broken here: number of the letter, and the run.
    pub joins: Vec<(usize, RunId)>,
    /// True for the broken end of a ring's leg: the place itself is another knot.
    pub broken: bool,
}

/// A loom: a parent comes before its children, the root first.
#[derive(Clone, Debug)]
pub(super) struct Loom {
    pub knots: Vec<Knot>,
    /// Letters that are used.
    pub letters: usize,
}

/// All looms of a harness, in the order of their first conductors.
pub(super) fn looms(
    h: &Harness,
    library: &Library,
    routing: &Routing,
    bundles: &Bundles,
    mut ends: BTreeMap<PlaceId, Vec<End>>,
) -> Vec<Loom> {
    let mut sets: UnionFind<usize> = UnionFind::new(h.places.len());
    let laid: Vec<&[PlaceId]> = h
        .conductor_ids()
        .filter_map(|id| routing.path_of(h, id))
        .map(|path| path.places.as_slice())
        .collect();
    for places in &laid {
        for (a, b) in places.iter().zip(places.iter().skip(1)) {
            sets.union(a.index(), b.index());
        }
    }
    let mut order: Vec<usize> = Vec::new();
    let mut places: BTreeMap<usize, Vec<PlaceId>> = BTreeMap::new();
    let mut seen = vec![false; h.places.len()];
    for place in laid.iter().flat_map(|places| places.iter()) {
        if std::mem::replace(&mut seen[place.index()], true) {
            continue;
        }
        let set = sets.find(place.index());
        let known = places.entry(set).or_insert_with(|| {
            order.push(set);
            Vec::new()
        });
        known.push(*place);
    }
    let mut runs_at: Vec<Vec<RunId>> = vec![Vec::new(); h.places.len()];
    for (i, run) in h.runs.iter().enumerate() {
        if !routing.in_run[i].is_empty() {
            for end in run.ends {
                runs_at[end.index()].push(RunId::at(i));
            }
        }
    }
    let mut splices: BTreeMap<PlaceId, Vec<DeviceId>> = BTreeMap::new();
    for (i, device) in h.devices.iter().enumerate() {
        if let (DeviceClass::Splice { .. }, Some(place)) = (&device.class, routing.place_of[i]) {
            splices.entry(place).or_default().push(DeviceId::at(i));
        }
    }
    let leg = |run: RunId| {
        let bare = bundles.run(run).diameter();
        let covering = h.run(run).cover.as_ref().and_then(|cover| library.coverings.find(&cover.value));
        let covered = covering.map(|id| bundles.run(run).covered_diameter(library.coverings.get(id)));
        let half = Mm::from(covered.unwrap_or(bare)) / 2;
        let inside = LeastBends::of(h, library, &routing.in_run[run.index()]);
        let inside = inside.map_or(Mm::ZERO, |bends| Mm::from(bends.to_keep().radius.value));
        let length = Mm::from(h.run(run).length.value);
        Leg { run, length, half, radius: inside.max(LEAST_RADIUS) + half }
    };
    let grow = |set: &usize| {
        let of_it = places.get(set)?;
        let mut loom = grown(h, routing, &runs_at, &leg, root(h, &ends, of_it)?);
        for knot in loom.knots.iter_mut().filter(|k| !k.broken) {
            knot.ends = ends.remove(&knot.place).unwrap_or_default();
            knot.splices = splices.remove(&knot.place).unwrap_or_default();
        }
        trunk_first(routing, &mut loom);
        Some(loom)
    };
    order.iter().filter_map(grow).collect()
}

/// Where most conductors of equipment end; without equipment, most conductors. Of equals the first.
fn root(h: &Harness, ends: &BTreeMap<PlaceId, Vec<End>>, places: &[PlaceId]) -> Option<PlaceId> {
    let busy = |place: &PlaceId| {
        let at = ends.get(place).map_or(&[][..], Vec::as_slice);
        let is_equipment = |end: &&End| matches!(h.device(end.device).class, DeviceClass::Equipment);
        let equipment: usize = at.iter().filter(is_equipment).map(|end| end.conductors.len()).sum();
        (equipment, at.iter().map(|end| end.conductors.len()).sum::<usize>(), Reverse(*place))
    };
    places.iter().copied().max_by_key(busy)
}

/// Grows the tree, the fullest run first (Prim); of equals the first of the spec.
fn grown(
    h: &Harness,
    routing: &Routing,
    runs_at: &[Vec<RunId>],
    leg: &impl Fn(RunId) -> Leg,
    root: PlaceId,
) -> Loom {
    let blank = |place: PlaceId, up: Option<(usize, Leg)>| Knot {
        place,
        up,
        children: Vec::new(),
        ends: Vec::new(),
        splices: Vec::new(),
        joins: Vec::new(),
        broken: false,
    };
    let mut loom = Loom { knots: vec![blank(root, None)], letters: 0 };
    let mut knot_of: BTreeMap<PlaceId, usize> = BTreeMap::from([(root, 0)]);
    let mut away = vec![Mm::ZERO];
    let mut used = vec![false; h.runs.len()];
    let mut heap = BinaryHeap::new();
    let offer = |heap: &mut BinaryHeap<_>, place: PlaceId, knot: usize| {
        for run in &runs_at[place.index()] {
            heap.push((routing.in_run[run.index()].len(), Reverse(*run), Reverse(knot)));
        }
    };
    let mut closing: Vec<RunId> = Vec::new();
    offer(&mut heap, root, 0);
    while let Some((_, Reverse(run), Reverse(knot))) = heap.pop() {
        if std::mem::replace(&mut used[run.index()], true) {
            continue;
        }
        let [a, b] = h.run(run).ends;
        let there = if a == loom.knots[knot].place { b } else { a };
        if knot_of.contains_key(&there) {
            closing.push(run);
            continue;
        }
        let new = add(&mut loom, blank(there, Some((knot, leg(run)))));
        away.push(away[knot] + Mm::from(h.run(run).length.value));
        knot_of.insert(there, new);
        offer(&mut heap, there, new);
    }
    closing.sort_unstable();
    for (letter, run) in closing.into_iter().enumerate() {
        let [a, b] = h.run(run).ends;
        let (Some(&a), Some(&b)) = (knot_of.get(&a), knot_of.get(&b)) else { continue };
        // It hangs on the end nearer to the root, so that the loom does not grow longer than it is.
        let (from, to) = if away[b] < away[a] { (b, a) } else { (a, b) };
        let far = loom.knots[to].place;
        let stub = Knot { broken: true, joins: vec![(letter, run)], ..blank(far, Some((from, leg(run)))) };
        add(&mut loom, stub);
        loom.knots[to].joins.push((letter, run));
        loom.letters = letter + 1;
    }
    loom
}

fn add(loom: &mut Loom, knot: Knot) -> usize {
    let new = loom.knots.len();
    if let Some((parent, _)) = knot.up {
        loom.knots[parent].children.push(new);
    }
    loom.knots.push(knot);
    new
}

/// Sorts the children of each knot: first the one on whose longest way most wire lies.
fn trunk_first(routing: &Routing, loom: &mut Loom) {
    let mut haul = vec![0_i64; loom.knots.len()];
    for i in (0..loom.knots.len()).rev() {
        let Some((parent, leg)) = loom.knots[i].up else { continue };
        let wires = i64::try_from(routing.in_run[leg.run.index()].len()).unwrap_or(i64::MAX);
        let own = haul[i].saturating_add(leg.length.um().saturating_mul(wires));
        haul[parent] = haul[parent].max(own);
        // From here on it is the haul with the leg to it.
        haul[i] = own;
    }
    for knot in &mut loom.knots {
        knot.children.sort_by_key(|c| (Reverse(haul[*c]), *c));
    }
}
