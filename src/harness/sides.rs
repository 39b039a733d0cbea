//! Which half of an in-line connector a wire goes to: the plug's wires run towards the place it faces.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BinaryHeap};

use super::{PlaceId, Run};

/// Answers from which neighbour a shortest way arrives.
pub(super) struct Sides {
    /// Neighbours of each place, with the length of the run in micrometres.
    neighbours: Vec<Vec<(PlaceId, i64)>>,
    /// For a connector's place: the first place on the shortest way to each place.
    first_steps: BTreeMap<PlaceId, Vec<Option<PlaceId>>>,
}

impl Sides {
    pub(super) fn new(places: usize, runs: &[Run]) -> Sides {
        let mut neighbours = vec![Vec::new(); places];
        for run in runs {
            let [a, b] = run.ends;
            for (from, to) in [(a, b), (b, a)] {
                if let Some(list) = neighbours.get_mut(from.index()) {
                    list.push((to, run.length.value.um()));
                }
            }
        }
        Sides { neighbours, first_steps: BTreeMap::new() }
    }

    /// True where the shortest way from `at` to `place` starts towards `faces`; None where `place` is `at` itself or
    /// cannot be reached.
    pub(super) fn faces(&mut self, at: PlaceId, faces: PlaceId, place: PlaceId) -> Option<bool> {
        if !self.first_steps.contains_key(&at) {
            let steps = self.steps_from(at);
            self.first_steps.insert(at, steps);
        }
        let step = self.first_steps.get(&at)?.get(place.index()).copied().flatten()?;
        Some(step == faces)
    }

    /// Dijkstra's algorithm; O(runs log places). Of equally short ways the one over the lower place id counts.
    fn steps_from(&self, at: PlaceId) -> Vec<Option<PlaceId>> {
        let mut steps = vec![None; self.neighbours.len()];
        let mut done = vec![false; self.neighbours.len()];
        let mut queue = BinaryHeap::from([Reverse((0_i64, at, None))]);
        while let Some(Reverse((length, place, step))) = queue.pop() {
            let Some(seen) = done.get_mut(place.index()).filter(|seen| !**seen) else { continue };
            *seen = true;
            if let Some(slot) = steps.get_mut(place.index()) {
                *slot = step;
            }
            for (next, more) in self.neighbours.get(place.index()).into_iter().flatten() {
                queue.push(Reverse((length.saturating_add(*more), *next, step.or(Some(*next)))));
            }
        }
        steps
    }
}
