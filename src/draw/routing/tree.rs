//! Places and runs in; a forest of places out, grown from where most conductors end, and the runs that close loops.
//!
//! Each tree has its root where the loom is fitted from: at the place where most conductors of equipment end. A hole is
//! none, nor any place on the edge of a zone, for what hangs on a root lies on its right. The forest grows zone by zone: all places that can be reached inside a zone come before those behind its barriers,
//! so every hole hangs on the side it is seen from first. Inside a zone the run with most conductors is taken first
//! (Prim), ties by the order of the spec. Cost: one heap over all runs.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BinaryHeap, VecDeque};

use crate::harness::{BarrierId, Harness, PlaceId, RunId, ZoneId};

/// What lies behind a place on the edge of a zone.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Beyond {
    /// The zone behind it.
    pub zone: ZoneId,
    /// The barrier between; None where nothing parts the two zones.
    pub barrier: Option<BarrierId>,
}

/// A place as it hangs in the forest.
#[derive(Clone, Debug)]
pub(super) struct Sprout {
    pub place: PlaceId,
    /// The node it hangs on and the run between.
    pub parent: Option<(usize, RunId)>,
    /// Zone of its run; for a root, a zone of its place.
    pub zone: Option<ZoneId>,
    /// Set where it stands on the edge of its zone; its children then lie beyond.
    pub beyond: Option<Beyond>,
    pub children: Vec<usize>,
}

/// All places, each once; a parent comes before its children.
#[derive(Clone, Debug, Default)]
pub(super) struct Forest {
    pub nodes: Vec<Sprout>,
    /// Node of each place.
    pub node_of: Vec<Option<usize>>,
    /// Runs that close a loop, or join two trees, in the order of the spec.
    pub closing: Vec<RunId>,
}

/// Grows the forest. `weight` is the number of conductors in each run, `ends` how much of the harness ends at each place:
/// the root of a tree is where most does. The tree with the most comes first, then each in the order of the spec.
pub(super) fn grow<K: Ord>(h: &Harness, weight: &[usize], ends: &[K]) -> Forest {
    let mut runs_at: Vec<Vec<RunId>> = vec![Vec::new(); h.places.len()];
    for (i, run) in h.runs.iter().enumerate() {
        for end in run.ends {
            runs_at[end.index()].push(RunId::at(i));
        }
    }
    let mut grower = Grower {
        h,
        weight,
        runs_at,
        forest: Forest { node_of: vec![None; h.places.len()], ..Forest::default() },
        in_tree: vec![false; h.runs.len()],
    };
    for place in roots(h, ends) {
        if grower.forest.node_of[place.index()].is_none() {
            grower.tree_from(place);
        }
    }
    let Grower { mut forest, in_tree, .. } = grower;
    forest.closing = (0..h.runs.len()).map(RunId::at).filter(|r| !in_tree[r.index()]).collect();
    forest
}

/// All places: what hangs together stays together, and in it those come first that are fit for a root.
fn roots<K: Ord>(h: &Harness, ends: &[K]) -> Vec<PlaceId> {
    let mut of: Vec<usize> = (0..h.places.len()).collect();
    for run in &h.runs {
        let [a, b] = run.ends.map(|end| first_of(&mut of, end.index()));
        of[a.max(b)] = a.min(b);
    }
    let mut used_in: Vec<Vec<ZoneId>> = vec![Vec::new(); h.places.len()];
    for run in &h.runs {
        for end in run.ends {
            let zones = &mut used_in[end.index()];
            if !zones.contains(&run.zone) {
                zones.push(run.zone);
            }
        }
    }
    // Of holes one with nothing on its far side is the least bad: nothing is lost there.
    let on_edge = |place: usize| match h.places[place].hole.is_some() || h.places[place].zones.len() > 1 {
        true => used_in[place].len().max(1),
        false => 0,
    };
    let by = |place: &usize| (on_edge(*place), Reverse(&ends[*place]), *place);
    let mut trees: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for place in 0..h.places.len() {
        trees.entry(first_of(&mut of, place)).or_default().push(place);
    }
    let mut trees: Vec<Vec<usize>> = trees.into_values().collect();
    for tree in &mut trees {
        tree.sort_by_key(by);
    }
    let busiest = (0..trees.len()).min_by_key(|tree| trees[*tree].first().map(by));
    if let Some(busiest) = busiest {
        trees[..=busiest].rotate_right(1);
    }
    trees.into_iter().flatten().map(PlaceId::at).collect()
}

/// The first of all places that hang together with this one, as far as that is told.
fn first_of(of: &mut [usize], place: usize) -> usize {
    let mut first = place;
    while of[first] != first {
        of[first] = of[of[first]];
        first = of[first];
    }
    first
}

struct Grower<'a> {
    h: &'a Harness,
    weight: &'a [usize],
    runs_at: Vec<Vec<RunId>>,
    forest: Forest,
    in_tree: Vec<bool>,
}

impl Grower<'_> {
    fn add(&mut self, place: PlaceId, parent: Option<(usize, RunId)>, zone: Option<ZoneId>) -> usize {
        let node = self.forest.nodes.len();
        self.forest.nodes.push(Sprout { place, parent, zone, beyond: None, children: Vec::new() });
        self.forest.node_of[place.index()] = Some(node);
        if let Some((parent, run)) = parent {
            self.forest.nodes[parent].children.push(node);
            self.in_tree[run.index()] = true;
        }
        node
    }

    fn tree_from(&mut self, place: PlaceId) {
        let place_zones = &self.h.place(place).zones;
        let runs = &self.runs_at[place.index()];
        let run_zone = runs.first().map(|run| self.h.run(*run).zone);
        let mut zone = run_zone.or_else(|| place_zones.first().copied());
        // Where nothing but holes hangs together, the root stands in its wall all the same: its runs lie beyond it.
        let hole = self.h.place(place).hole.map(|hole| self.h.barrier(self.h.hole(hole).barrier).between);
        let near = hole.and_then(|sides| match zone {
            Some(zone) => sides.into_iter().find(|side| *side != zone).filter(|_| sides.contains(&zone)),
            None => Some(sides[0]),
        });
        zone = near.or(zone);
        let root = self.add(place, None, zone);
        let Some(mut zone) = zone else { return };
        if near.is_some() {
            let Some(beyond) = self.beyond(place, zone) else { return };
            self.forest.nodes[root].beyond = Some(beyond);
            zone = beyond.zone;
        }
        let mut fronts: VecDeque<(ZoneId, Vec<usize>)> = VecDeque::from([(zone, vec![root])]);
        while let Some((zone, sources)) = fronts.pop_front() {
            let mut groups: Vec<(Beyond, Vec<usize>)> = Vec::new();
            for edge in self.fill(zone, &sources) {
                let Some(beyond) = self.forest.nodes[edge].beyond else { continue };
                match groups.iter_mut().find(|(b, _)| *b == beyond) {
                    Some((_, nodes)) => nodes.push(edge),
                    None => groups.push((beyond, vec![edge])),
                }
            }
            fronts.extend(groups.into_iter().map(|(beyond, nodes)| (beyond.zone, nodes)));
        }
    }

    /// Takes every place of the zone that can be reached from the sources; returns those on its edge.
    fn fill(&mut self, zone: ZoneId, sources: &[usize]) -> Vec<usize> {
        let mut edge = Vec::new();
        let mut heap = BinaryHeap::new();
        for source in sources {
            self.offer(&mut heap, zone, *source);
        }
        while let Some((_, Reverse(run), from)) = heap.pop() {
            let here = self.forest.nodes[from].place;
            let [a, b] = self.h.run(run).ends;
            let there = if a == here { b } else { a };
            if self.forest.node_of[there.index()].is_some() {
                continue;
            }
            let node = self.add(there, Some((from, run)), Some(zone));
            match self.beyond(there, zone) {
                Some(beyond) => {
                    self.forest.nodes[node].beyond = Some(beyond);
                    edge.push(node);
                }
                None => self.offer(&mut heap, zone, node),
            }
        }
        edge
    }

    fn offer(&self, heap: &mut BinaryHeap<(usize, Reverse<RunId>, usize)>, zone: ZoneId, node: usize) {
        for run in &self.runs_at[self.forest.nodes[node].place.index()] {
            if self.h.run(*run).zone == zone && !self.in_tree[run.index()] {
                heap.push((self.weight[run.index()], Reverse(*run), node));
            }
        }
    }

    fn beyond(&self, place: PlaceId, zone: ZoneId) -> Option<Beyond> {
        let h = self.h;
        let parts = |b: [ZoneId; 2], other: ZoneId| b == [zone, other] || b == [other, zone];
        let hole = h.place(place).hole.map(|hole| h.hole(hole).barrier);
        let other = h.place(place).zones.iter().copied().find(|z| *z != zone).or_else(|| {
            // A hole that no run leaves on its far side still stands in its barrier.
            let [a, b] = h.barrier(hole?).between;
            if a == zone { Some(b) } else { (b == zone).then_some(a) }
        })?;
        let by_hole = hole.filter(|b| parts(h.barrier(*b).between, other));
        let by_zones = || h.barriers.iter().position(|b| parts(b.between, other)).map(BarrierId::at);
        Some(Beyond { zone: other, barrier: by_hole.or_else(by_zones) })
    }
}
