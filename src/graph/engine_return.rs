//! Bonds in; how well each engine is joined to the structure, out.
//!
//! The resistance between two bodies over all bonds together. It never falls where a resistance of the network rises
//! (Rayleigh's monotonicity law), so with every unknown bond taken as none it is least, and with every unknown bond left
//! out it is most.

use std::collections::BTreeSet;

use petgraph::unionfind::UnionFind;

use super::ground_network::{Phase, bond_current};
use crate::harness::{BodyId, BondId, Device, DeviceClass, Harness};
use crate::quantity::{Current, Resistance};
use crate::spec::words::BodyKind;
use crate::trade::network::{Branch, Network, Node};

/// The way from an engine to a body of the structure, over bonds.
#[derive(Clone, Debug)]
pub struct EngineReturn {
    /// The engine.
    pub engine: BodyId,
    /// The structure.
    pub structure: BodyId,
    /// Resistance, the unknown bonds taken as none.
    pub least: Resistance,
    /// Resistance without the unknown bonds; None where there is no other way.
    pub most: Option<Resistance>,
}

impl EngineReturn {
    /// Bonds on the ways from one to the other, in order. Looks at every bond of the harness.
    pub fn bonds(&self, h: &Harness) -> Vec<BondId> {
        on_ways(h, &conducting(h), [self.engine, self.structure])
    }
}

/// Bodies of the structure that something is grounded on, in order: a ground point, or a device whose case is joined to it.
pub fn grounded_structure(h: &Harness) -> Vec<BodyId> {
    let grounds = |d: &&Device| {
        matches!(d.class, DeviceClass::Ground { .. }) || (d.case_grounds && !d.on_case.is_empty())
    };
    let bodies: BTreeSet<BodyId> =
        h.devices.iter().filter(grounds).filter_map(|d| Some(d.body?.value)).collect();
    bodies.into_iter().filter(|body| h.body(*body).kind == BodyKind::Structure).collect()
}

/// From every engine to every body of the structure that something is grounded on, or where there is none, to every one that
/// bonds lead to from an engine before they lead to any other. A bond that insulates joins nothing. Left out where no bonds
/// lead from one to the other.
pub fn engine_returns(h: &Harness) -> Vec<EngineReturn> {
    let kind = |body: BodyId, kind| h.body(body).kind == kind;
    let bodies = || (0..h.bodies.len()).map(BodyId::at);
    let mut ends = grounded_structure(h);
    if ends.is_empty() {
        ends = first_structure(h);
    }
    let conducting = conducting(h);
    // Made ready once for every engine and end.
    let (taken, nodes) = network(h, &conducting, Some(Resistance::ZERO));
    let taken = taken.reduced();
    let (left_out, _) = network(h, &conducting, None);
    let left_out = left_out.reduced();
    let mut found = Vec::new();
    for engine in bodies().filter(|b| kind(*b, BodyKind::Engine)) {
        for end in ends.iter().copied() {
            let [from, to] = [engine, end].map(|body| nodes[body.index()]);
            let Some(least) = taken.resistance(from, to) else { continue };
            found.push(EngineReturn { engine, structure: end, least, most: left_out.resistance(from, to) });
        }
    }
    found
}

/// Bodies of the structure that bonds lead to from an engine and over no other body of the structure, in order.
fn first_structure(h: &Harness) -> Vec<BodyId> {
    let structure = |body: BodyId| h.body(body).kind == BodyKind::Structure;
    let mut sets = UnionFind::<usize>::new(h.bodies.len());
    for [a, b] in h.bonds.iter().map(|bond| bond.ends).filter(|ends| !ends.iter().any(|b| structure(*b))) {
        sets.union(a.index(), b.index());
    }
    let engines = (0..h.bodies.len()).filter(|i| h.body(BodyId::at(*i)).kind == BodyKind::Engine);
    let with_engine: BTreeSet<usize> = engines.map(|i| sets.find(i)).collect();
    let reached = |[a, b]: [BodyId; 2]| {
        (structure(a) && !structure(b) && with_engine.contains(&sets.find(b.index()))).then_some(a)
    };
    let ends = h.bonds.iter().flat_map(|bond| [bond.ends, [bond.ends[1], bond.ends[0]]]);
    let found: BTreeSet<BodyId> = ends.filter_map(reached).collect();
    found.into_iter().collect()
}

/// The bonds that do not insulate, in order.
fn conducting(h: &Harness) -> Vec<BondId> {
    (0..h.bonds.len()).map(BondId::at).filter(|bond| insulates(h, *bond).is_none()).collect()
}

/// The other bonds that the current of a bond takes once that has come loose, in order; none where its bodies are apart then,
/// or only insulated bonds join them.
pub fn bonds_around(h: &Harness, bond: BondId) -> Vec<BondId> {
    let mut others = conducting(h);
    others.retain(|other| *other != bond);
    on_ways(h, &others, h.bond(bond).ends)
}

/// Number of what bonds join, by body.
pub fn bonded(h: &Harness) -> Vec<usize> {
    let mut sets = UnionFind::<usize>::new(h.bodies.len());
    for bond in &h.bonds {
        sets.union(bond.ends[0].index(), bond.ends[1].index());
    }
    sets.into_labeling()
}

/// Those of these bonds that lie on a way from one body to the other which comes nowhere twice: with one more bond between
/// the two, they are on its ring.
fn on_ways(h: &Harness, bonds: &[BondId], [a, b]: [BodyId; 2]) -> Vec<BondId> {
    let (mut network, nodes) = Network::of_nodes(h.bodies.len());
    let mut join =
        |[a, b]: [BodyId; 2]| network.join(nodes[a.index()], nodes[b.index()], Resistance::from_ohms(1.0));
    let branches: Vec<Branch> = bonds.iter().map(|bond| join(h.bond(*bond).ends)).collect();
    let closing = join([a, b]);
    let reduced = network.reduced();
    let Some(ring) = reduced.ring_of(closing) else { return Vec::new() };
    let on_ring = bonds.iter().zip(branches).filter(|(_, branch)| reduced.ring_of(*branch) == Some(ring));
    on_ring.map(|(bond, _)| *bond).collect()
}

/// The bodies as nodes, joined by these bonds; those of which the resistance is not given are taken as `unknown` or left out.
fn network(h: &Harness, bonds: &[BondId], unknown: Option<Resistance>) -> (Network, Vec<Node>) {
    let (mut network, nodes) = Network::of_nodes(h.bodies.len());
    for bond in bonds.iter().map(|id| h.bond(*id)) {
        if let Some(resistance) = bond.resistance.map(|r| r.value).or(unknown) {
            network.join(nodes[bond.ends[0].index()], nodes[bond.ends[1].index()], resistance);
        }
    }
    (network, nodes)
}

/// What a supply would drive through a bond at most, where that is less than the bond is said to carry: then it insulates.
/// Each phase by itself; the larger current counts. None where it carries what it is said to, or something is not given.
pub fn insulates(h: &Harness, bond: BondId) -> Option<(Current, Current)> {
    let supply = h.header.supply?.value;
    let resistance = h.bond(bond).resistance?.value;
    let said = Phase::ALL.into_iter().filter_map(|phase| bond_current(h, bond, phase)).max()?;
    if said.amps() * resistance.ohms() < supply.volts() {
        return None;
    }
    Some((said, Current::from_amps(supply.volts() / resistance.ohms())))
}
