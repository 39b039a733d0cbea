//! The ends that are fed through each hole in; in which order the hands feed them, numbered, out. The drawing of the holes
//! and the install sheet both take their numbers from here.
//!
//! First the way the hole is fed as a rule, then what comes back through it. Of these what passes finished goes first,
//! while there is room; then contacts without their shells, then bare wire. Of these what ends in one connector stays
//! together, the thickest first (common practice, no source). A cable passes once, with its core whose turn is first.

use std::cmp::Reverse;
use std::collections::BTreeMap;

use super::feeding::{Piece, piece};
use super::termination::{Termination, Terminations};
use crate::graph::{Routing, Strand};
use crate::harness::{ConductorId, Harness, HoleId, RunId};
use crate::parts::library::Library;
use crate::quantity::Length;

/// A wire or cable that is fed through a hole.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FedStrand {
    /// The wire or cable.
    pub strand: Strand,
    /// Its conductors, in their order.
    pub conductors: Vec<ConductorId>,
    /// Number of the first of them in this hole, from 1.
    pub number: usize,
    /// Its turn: see `When::turn`.
    pub turn: usize,
    /// True where it is fed against the way of the hole.
    pub back: bool,
}

/// By hole id, in the order of feeding.
pub fn feed_orders(h: &Harness, library: &Library, ends: &Terminations) -> Vec<Vec<FedStrand>> {
    let mut passing: Vec<BTreeMap<Strand, Vec<(&Termination, bool)>>> = vec![BTreeMap::new(); h.holes.len()];
    for end in ends.of.iter().flatten() {
        let strand = match h.conductor(end.conductor).cable {
            Some(cable) => Strand::Cable(cable),
            None => Strand::Wire(end.conductor),
        };
        for passage in &end.through {
            if let Some(strands) = passing.get_mut(passage.hole.index()) {
                strands.entry(strand).or_default().push((end, passage.back));
            }
        }
    }
    passing.iter().map(|strands| in_order(h, library, strands)).collect()
}

/// What decides the order, the first difference first.
type Key = (bool, usize, Reverse<Length>, Piece, Reverse<Length>, ConductorId);

fn in_order(
    h: &Harness,
    library: &Library,
    strands: &BTreeMap<Strand, Vec<(&Termination, bool)>>,
) -> Vec<FedStrand> {
    let outside = |strand: &Strand| {
        let wire = match strand {
            Strand::Wire(id) => h.conductor(*id).wire,
            Strand::Cable(id) => h.cable(*id).wire,
        };
        library.wires.get(wire).outside
    };
    let mut fed: Vec<(FedStrand, Piece, Length)> = Vec::new();
    let mut thickest: BTreeMap<(bool, usize, Piece), Length> = BTreeMap::new();
    for (strand, ends) in strands {
        let Some((first, _)) = ends.iter().min_by_key(|(end, back)| (*back, end.when.turn())) else {
            continue;
        };
        let (turn, piece) = (first.when.turn(), piece(h, first.pin));
        let back = ends.iter().all(|(_, back)| *back);
        let known = thickest.entry((back, turn, piece)).or_default();
        *known = outside(strand).max(*known);
        let conductors = ends.iter().map(|(end, _)| end.conductor).collect();
        fed.push((FedStrand { strand: *strand, conductors, number: 0, turn, back }, piece, outside(strand)));
    }
    fed.sort_by_key(|(strand, piece, outside)| -> Key {
        let all = thickest.get(&(strand.back, strand.turn, *piece)).copied().unwrap_or_default();
        let first = strand.conductors.first().copied().unwrap_or(ConductorId::at(0));
        (strand.back, strand.turn, Reverse(all), *piece, Reverse(*outside), first)
    });
    let mut next = 1;
    let numbered = |(strand, ..): (FedStrand, Piece, Length)| {
        let number = next;
        next += strand.conductors.len();
        FedStrand { number, ..strand }
    };
    fed.into_iter().map(numbered).collect()
}

/// By run id: the hole that some of its wires are fed through before they lie there, the last of them. What lies in such
/// a run cannot be tied, clamped or sleeved on the bench.
pub fn fed_into(h: &Harness, routing: &Routing, ends: &Terminations) -> Vec<Option<HoleId>> {
    let mut into: Vec<Option<HoleId>> = vec![None; h.runs.len()];
    for [from, to] in &ends.of {
        let Some(path) = routing.path_of(h, from.conductor) else { continue };
        let pairs = path.places.iter().zip(&path.runs);
        mark(h, to, pairs, &mut into);
        let pairs = path.places.iter().rev().zip(path.runs.iter().rev());
        mark(h, from, pairs, &mut into);
    }
    into
}

/// Goes along a way towards `end`, each place with the run that leaves it.
fn mark<'a>(
    h: &Harness,
    end: &Termination,
    way: impl Iterator<Item = (&'a crate::harness::PlaceId, &'a RunId)>,
    into: &mut [Option<HoleId>],
) {
    let mut holes = end.through.iter().map(|passage| passage.hole).peekable();
    let mut last = None;
    for (place, run) in way {
        let here = h.place(*place).hole;
        if here.is_some() && here == holes.peek().copied() {
            last = holes.next();
        }
        if let (Some(slot), Some(_)) = (into.get_mut(run.index()), last) {
            *slot = last;
        }
    }
}
