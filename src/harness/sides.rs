//! Which half of an in-line connector a wire goes to, and which of its pieces passes a hole: the plug's wires run
//! towards the place it faces, and each hole is passed once, by the piece for which it is least out of the way.

use std::cmp::Reverse;
use std::collections::hash_map::Entry;
use std::collections::{BTreeMap, BinaryHeap, HashMap};

use super::{PlaceId, Run};

/// Answers from which neighbour a shortest way arrives.
pub(super) struct Sides {
    /// Neighbours of each place, with the length of the run in micrometres.
    neighbours: Vec<Vec<(PlaceId, i64)>>,
    /// For each place that was asked about: its ways to all places.
    ways: BTreeMap<PlaceId, Ways>,
}

/// The shortest ways from one place, found as far as they have been asked for: most questions are about what lies near.
struct Ways {
    /// What is known, by the place that a way leads to.
    found: HashMap<PlaceId, Way>,
    /// Length, place and first step of the ways that were begun.
    begun: BinaryHeap<Reverse<(i64, PlaceId, Option<PlaceId>)>>,
}

/// The shortest way to a place.
#[derive(Clone, Copy)]
struct Way {
    /// The first place on it; none to the place itself.
    first_step: Option<PlaceId>,
    /// Length in micrometres.
    length: i64,
}

/// Length of a way that does not exist: longer than any that does, and still to be added up.
const NO_WAY: i64 = i64::MAX / 1_000_000;

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
        Sides { neighbours, ways: BTreeMap::new() }
    }

    /// True where the shortest way from `at` to `place` starts towards `faces`; None where `place` is `at` itself or
    /// cannot be reached.
    pub(super) fn faces(&mut self, at: PlaceId, faces: PlaceId, place: PlaceId) -> Option<bool> {
        Some(self.way(at, place)?.first_step? == faces)
    }

    /// Gives out `through`, the places to pass in this order or the other way round, to the pieces between neighbouring
    /// `stops`, so that the whole way is shortest; of equal ones the piece nearer to the first stop passes. A place that
    /// is itself an end of its piece is passed anyway and not given out.
    pub(super) fn share(&mut self, stops: &[Option<PlaceId>], through: &[PlaceId]) -> Vec<Vec<PlaceId>> {
        let pieces = stops.len().saturating_sub(1);
        let mut shares = vec![Vec::new(); pieces];
        // With one piece there is no choice; so the usual circuit costs no search.
        if pieces <= 1 || through.is_empty() {
            shares.first_mut().into_iter().for_each(|only| only.extend_from_slice(through));
            return shares;
        }
        let turned: Vec<PlaceId> = through.iter().rev().copied().collect();
        let ways = [through, &turned].map(|order| (order, self.give_out(stops, order)));
        let best =
            ways.iter().filter_map(|(order, way)| Some((order, way.as_ref()?))).min_by_key(|(_, way)| way.0);
        if let Some((order, (_, went))) = best {
            for (&place, &piece) in order.iter().zip(went) {
                if stops[piece] != Some(place) && stops[piece + 1] != Some(place) {
                    shares[piece].push(place);
                }
            }
        }
        shares
    }

    /// The length of the whole way over `through` in this order, and the piece that passes each.
    fn give_out(&mut self, stops: &[Option<PlaceId>], through: &[PlaceId]) -> Option<(i64, Vec<usize>)> {
        let pieces = stops.len().saturating_sub(1);
        // best[p] = length of the way so far when the last place given out lies on piece p, and where each went.
        let mut best: Vec<Option<(i64, Vec<usize>)>> = vec![None; pieces];
        if let Some(first) = best.first_mut() {
            *first = Some((0, Vec::new()));
        }
        for (n, &place) in through.iter().enumerate() {
            let mut next: Vec<Option<(i64, Vec<usize>)>> = vec![None; pieces];
            for (p, state) in best.iter().enumerate() {
                let Some((length, went)) = state else { continue };
                // The last place passed, or the stop where the first piece begins.
                let mut at = n.checked_sub(1).and_then(|n| through.get(n).copied()).or(stops[0]);
                let mut so_far = *length;
                for q in p..pieces {
                    let reached = so_far + self.length(at, Some(place));
                    if next[q].as_ref().is_none_or(|(known, _)| reached < *known) {
                        let mut went = went.clone();
                        went.push(q);
                        next[q] = Some((reached, went));
                    }
                    so_far += self.length(at, stops[q + 1]);
                    at = stops[q + 1];
                }
            }
            best = next;
        }
        let mut found: Option<(i64, Vec<usize>)> = None;
        for (p, state) in best.into_iter().enumerate() {
            let Some((length, went)) = state else { continue };
            let mut at = through.last().copied();
            let mut total = length;
            for stop in &stops[p + 1..] {
                total += self.length(at, *stop);
                at = *stop;
            }
            if found.as_ref().is_none_or(|(known, _)| total < *known) {
                found = Some((total, went));
            }
        }
        found
    }

    /// Length of the shortest way; nothing where an end has no place. A way is as long from either end, so an end that was
    /// searched from before serves again; else the search starts at `to`, which is asked for as a hole or a connector more
    /// often than as one of the many devices.
    fn length(&mut self, from: Option<PlaceId>, to: Option<PlaceId>) -> i64 {
        let (Some(from), Some(to)) = (from, to) else { return 0 };
        let known = self.ways.contains_key(&from) && !self.ways.contains_key(&to);
        let [start, end] = if known { [from, to] } else { [to, from] };
        self.way(start, end).map_or(NO_WAY, |way| way.length)
    }

    /// The shortest way from one place to another; None where there is none.
    fn way(&mut self, from: PlaceId, to: PlaceId) -> Option<Way> {
        self.ways.entry(from).or_insert_with(|| Ways::from(from)).to(to, &self.neighbours)
    }
}

impl Ways {
    fn from(place: PlaceId) -> Ways {
        Ways { found: HashMap::new(), begun: BinaryHeap::from([Reverse((0, place, None))]) }
    }

    /// Dijkstra's algorithm, taken up again where the question before was answered; O(runs log places) for all places. Of
    /// equally short ways the one over the lower place id counts.
    fn to(&mut self, place: PlaceId, neighbours: &[Vec<(PlaceId, i64)>]) -> Option<Way> {
        if let Some(known) = self.found.get(&place) {
            return Some(*known);
        }
        while let Some(Reverse((length, reached, first_step))) = self.begun.pop() {
            let Entry::Vacant(slot) = self.found.entry(reached) else { continue };
            let way = *slot.insert(Way { first_step, length });
            for (next, more) in neighbours.get(reached.index()).into_iter().flatten() {
                if !self.found.contains_key(next) {
                    let first_step = first_step.or(Some(*next));
                    self.begun.push(Reverse((length.saturating_add(*more), *next, first_step)));
                }
            }
            if reached == place {
                return Some(way);
            }
        }
        None
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A panel, a bracket with a connector, two holes equally far from it, and an engine behind them.
    fn firewall() -> Sides {
        let [panel, bracket, hole_1, hole_2, engine] = [0, 1, 2, 3, 4].map(PlaceId);
        let runs = [
            (panel, bracket, 900),
            (bracket, hole_1, 100),
            (bracket, hole_2, 100),
            (hole_1, engine, 300),
            (hole_2, engine, 200),
        ];
        let mut neighbours = vec![Vec::new(); 5];
        for (a, b, length) in runs {
            neighbours[a.index()].push((b, length));
            neighbours[b.index()].push((a, length));
        }
        Sides { neighbours, ways: BTreeMap::new() }
    }

    const PANEL: Option<PlaceId> = Some(PlaceId(0));
    const BRACKET: Option<PlaceId> = Some(PlaceId(1));
    const HOLE_1: PlaceId = PlaceId(2);
    const ENGINE: Option<PlaceId> = Some(PlaceId(4));

    #[test]
    fn the_piece_on_the_way_passes_the_hole() {
        let mut sides = firewall();
        let none: Vec<PlaceId> = Vec::new();
        assert_eq!(sides.share(&[ENGINE, BRACKET, PANEL], &[HOLE_1]), [vec![HOLE_1], none.clone()]);
        assert_eq!(sides.share(&[PANEL, BRACKET, ENGINE], &[HOLE_1]), [none, vec![HOLE_1]]);
        assert_eq!(sides.share(&[PANEL, ENGINE], &[HOLE_1]), [[HOLE_1]]);
    }

    #[test]
    fn the_order_of_the_places_is_kept() {
        let mut sides = firewall();
        // The second place cannot lie on an earlier piece than the first one, and it may be told the other way round.
        let [hole_2, panel] = [PlaceId(3), PlaceId(0)];
        for through in [[HOLE_1, panel], [panel, HOLE_1]] {
            let shares = sides.share(&[ENGINE, BRACKET, Some(hole_2), PANEL], &through);
            assert_eq!(shares, [vec![HOLE_1], vec![], vec![]], "the last piece ends at the panel");
        }
        let shares = sides.share(&[ENGINE, BRACKET, PANEL], &[HOLE_1, hole_2]);
        assert_eq!(shares.iter().map(Vec::len).collect::<Vec<_>>(), [2, 0]);
    }

    #[test]
    fn a_connector_in_the_hole_passes_it_by_itself() {
        let mut sides = firewall();
        let none: Vec<PlaceId> = Vec::new();
        assert_eq!(sides.share(&[ENGINE, Some(HOLE_1), PANEL], &[HOLE_1]), [none.clone(), none]);
    }

    #[test]
    fn ends_without_a_place_and_places_without_a_way_are_borne() {
        let mut sides = firewall();
        sides.neighbours.push(Vec::new());
        let alone = PlaceId(5);
        assert_eq!(sides.share(&[None, BRACKET, None], &[HOLE_1]).concat(), [HOLE_1]);
        assert_eq!(sides.share(&[ENGINE, BRACKET, PANEL], &[alone]).concat(), [alone]);
        assert_eq!(sides.share(&[], &[HOLE_1]), Vec::<Vec<PlaceId>>::new());
    }
}
