//! Loads of a harness in; the steady current in every conductor, and what it is made of, out.
//!
//! The law is Kirchhoff's first: what flows into a part of the circuitry flows out of it. Points that are one without a
//! wire are one node, the machine behind the harness is another, conductors are the edges. A conductor that alone joins
//! what lies on its two sides carries exactly what the loads on one side take less what they give. Where current may
//! divide (two ground wires, two feeds) nothing here says how; there the answer is the most that can flow: all that
//! enters the ring of conductors, for in a network of resistances no branch carries more. `current:` of a circuit goes
//! before the sum.
//!
//! Not known: what crosses a conductor to a load of which nobody says how much it takes, and what a wire carries whose
//! two ends are one point anyway. Currents are steady ones at full load: no inrush, no fault, no leakage, nothing of
//! what the rest of the machine sends through a body.
//!
//! Built in O((V + E) log V), however many loads are of unknown size and however long their ways.

use std::collections::BTreeMap;

use petgraph::unionfind::UnionFind;

use super::electrical::Electrical;
use super::load::{Load, Loads, Site};
use super::ring::Rings;
use crate::diag::Span;
use crate::harness::{ConductorId, Harness};
use crate::quantity::Current;

/// How the current of a conductor is known.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Basis {
    /// The circuit says it, here.
    Declared(Span),
    /// The sum of loads.
    Loads,
    /// The most that can flow, where current may divide.
    AtMost,
    /// No load is fed through it: it measures, or ties a screen.
    NoLoad,
    /// A load that it feeds takes nobody says how much.
    UnknownLoad,
    /// Its two ends are one point without it.
    Beside,
}

/// A load in a conductor.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Share<'a> {
    /// The load.
    pub load: &'a Load,
    /// True where it runs against the sum of the others and so lessens it.
    pub against: bool,
}

/// The current in every conductor.
#[derive(Clone, Debug)]
pub struct Currents {
    loads: Loads,
    of: Vec<(Option<Current>, Basis)>,
    /// By ring, the first load of unknown size that goes through it.
    silent: Vec<Option<usize>>,
    rings: Rings,
    node_of: Nodes,
}

impl Currents {
    /// Works them out.
    pub fn of(h: &Harness, electrical: &Electrical) -> Currents {
        let loads = Loads::of(h, electrical);
        let node_of = Nodes::of(h, &loads);
        let edges: Vec<[usize; 2]> = h
            .conductors
            .iter()
            .map(|c| [node_of.node(Site::Pin(c.from)), node_of.node(Site::Pin(c.to))])
            .collect();
        let rings = Rings::of(node_of.count, node_of.node(Site::Machine), &edges);
        let mut given = vec![Current::ZERO; node_of.count];
        let mut unknown = Vec::new();
        for (i, load) in loads.all.iter().enumerate() {
            let [from, to] = [load.from, load.to].map(|site| node_of.node(site));
            match load.current {
                _ if from == to => {}
                Some(current) => {
                    given[from] = given[from] - current;
                    given[to] += current;
                }
                None => unknown.push((i, [from, to])),
            }
        }
        let most = rings.most(&given);
        let through = rings.first_through(unknown.iter().map(|(_, way)| *way));
        let silent: Vec<Option<usize>> = through.iter().map(|i| i.map(|i| unknown[i].0)).collect();
        let of = h
            .conductor_ids()
            .map(|id| {
                let declared = h.circuit(h.conductor(id).circuit).current.filter(|_| !h.conductor(id).drain);
                match (declared, rings.ring_of(id.index())) {
                    (Some(declared), _) => (Some(declared.value.abs()), Basis::Declared(declared.span)),
                    (None, None) => (None, Basis::Beside),
                    (None, Some(ring)) if silent[ring].is_some() => (None, Basis::UnknownLoad),
                    (None, Some(ring)) => match most[ring] {
                        Current::ZERO => (Some(Current::ZERO), Basis::NoLoad),
                        most if rings.is_single(ring) => (Some(most), Basis::Loads),
                        most => (Some(most), Basis::AtMost),
                    },
                }
            })
            .collect();
        Currents { loads, of, silent, rings, node_of }
    }

    /// The current in a conductor, without its direction; `None` where it is not known.
    pub fn in_conductor(&self, id: ConductorId) -> Option<Current> {
        self.of.get(id.index()).and_then(|(current, _)| *current)
    }

    /// How it is known, or why it is not.
    pub fn basis(&self, id: ConductorId) -> Basis {
        self.of.get(id.index()).map_or(Basis::Beside, |(_, basis)| *basis)
    }

    /// True where current may divide between it and others, so that what flows from body to body may take this way too.
    pub fn may_divide(&self, id: ConductorId) -> bool {
        self.rings.ring_of(id.index()).is_none_or(|ring| !self.rings.is_single(ring))
    }

    /// What takes and gives current in this harness.
    pub fn loads(&self) -> &[Load] {
        &self.loads.all
    }

    /// The first load of unknown size whose current goes through a conductor, in the order of the devices.
    pub fn silent(&self, id: ConductorId) -> Option<&Load> {
        let ring = self.rings.ring_of(id.index())?;
        self.loads.all.get((*self.silent.get(ring)?)?)
    }

    /// The loads whose current goes through a conductor, those of unknown size among them, in the order of the devices.
    /// Costs one pass over nodes and loads: for derivations of one conductor, not for all of them.
    pub fn shares(&self, id: ConductorId) -> Vec<Share<'_>> {
        let Some(ring) = self.rings.ring_of(id.index()) else { return Vec::new() };
        let hung = self.rings.hung_on(ring);
        let ends = |load: &Load| [load.from, load.to].map(|site| self.node_of.node(site));
        let crossing = self.loads.all.iter().filter(|load| {
            let [from, to] = ends(load);
            hung[from] != hung[to]
        });
        let mut crossing: Vec<&Load> = crossing.collect();
        if !self.rings.is_single(ring) {
            return crossing.into_iter().map(|load| Share { load, against: false }).collect();
        }
        let beyond = |load: &Load| hung[self.node_of.node(load.from)].is_some();
        // Loads in series hand their current on where no feed reaches: what comes and goes there is nothing here.
        let mut aside: BTreeMap<usize, Current> = BTreeMap::new();
        let island = |load: &Load| {
            let roots = ends(load).map(|node| self.rings.root_of(node));
            let home = self.rings.root_of(self.node_of.node(Site::Machine));
            roots.into_iter().find(|root| roots[0] != roots[1] && *root != home)
        };
        for load in &crossing {
            if let (Some(island), Some(current)) = (island(load), load.current) {
                let sum = aside.entry(island).or_default();
                *sum += if beyond(load) { current } else { -current };
            }
        }
        crossing.retain(|load| {
            load.current.is_none() || island(load).is_none_or(|i| aside.get(&i) != Some(&Current::ZERO))
        });
        let sum = |side: bool| -> Current {
            crossing
                .iter()
                .filter(|load| beyond(load) == side)
                .filter_map(|load| load.current)
                .map(Current::abs)
                .sum()
        };
        let main = sum(true) >= sum(false);
        crossing.into_iter().map(|load| Share { load, against: beyond(load) != main }).collect()
    }
}

/// Points as nodes.
#[derive(Clone, Debug)]
struct Nodes {
    number: Vec<usize>,
    pins: usize,
    count: usize,
}

impl Nodes {
    fn of(h: &Harness, loads: &Loads) -> Nodes {
        let pins = h.pins.len();
        let all = pins + 1 + h.devices.len();
        let mut sets = UnionFind::<usize>::new(all);
        for [a, b] in &loads.ties {
            sets.union(place(pins, *a), place(pins, *b));
        }
        let mut number = vec![usize::MAX; all];
        let mut count = 0;
        for i in 0..all {
            let root = sets.find(i);
            if number[root] == usize::MAX {
                number[root] = count;
                count += 1;
            }
            number[i] = number[root];
        }
        Nodes { number, pins, count }
    }

    fn node(&self, site: Site) -> usize {
        self.number[place(self.pins, site)]
    }
}

fn place(pins: usize, site: Site) -> usize {
    match site {
        Site::Pin(pin) => pin.index(),
        Site::Machine => pins,
        Site::Inside(device) => pins + 1 + device.index(),
    }
}
