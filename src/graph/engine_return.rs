//! Bonds in; how well each engine is joined to the structure, out.
//!
//! The resistance between two bodies over all bonds together. It never falls where a resistance of the network rises
//! (Rayleigh's monotonicity law), so with every unknown bond taken as none it is least, and with every unknown bond left
//! out it is most.

use petgraph::unionfind::UnionFind;

use super::ground_network::{Phase, bond_current};
use crate::harness::{BodyId, BondId, Harness};
use crate::quantity::{Current, Resistance};
use crate::spec::words::BodyKind;
use crate::trade::network::{Network, Source};

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
    /// Bonds that end on the engine, in order.
    pub straps: Vec<BondId>,
}

/// From every engine to every body of the structure that a device or ground point sits on, or where there is none, to every
/// one that a bond joins with an engine. Left out where no bonds lead from one to the other.
pub fn engine_returns(h: &Harness) -> Vec<EngineReturn> {
    let kind = |body: BodyId, kind| h.body(body).kind == kind;
    let bodies = || (0..h.bodies.len()).map(BodyId::at);
    let used = |body: &BodyId| h.devices.iter().any(|d| d.body.is_some_and(|b| b.value == *body));
    let structure: Vec<BodyId> = bodies().filter(|b| kind(*b, BodyKind::Structure)).collect();
    let mut ends: Vec<BodyId> = structure.iter().copied().filter(used).collect();
    if ends.is_empty() {
        let bonded = |b: &BodyId| {
            h.bonds.iter().any(|bond| {
                let engine = bond.ends.iter().any(|end| kind(*end, BodyKind::Engine));
                engine && bond.ends.contains(b)
            })
        };
        ends = structure.into_iter().filter(bonded).collect();
    }
    let joined = bonded(h);
    let mut found = Vec::new();
    for engine in bodies().filter(|b| kind(*b, BodyKind::Engine)) {
        let of_engine = |bond: &BondId| h.bond(*bond).ends.contains(&engine);
        let straps: Vec<BondId> = (0..h.bonds.len()).map(BondId::at).filter(of_engine).collect();
        for end in ends.iter().copied().filter(|b| joined[b.index()] == joined[engine.index()]) {
            let between = |unknown| between(h, [engine, end], unknown);
            let Some(least) = between(Some(Resistance::ZERO)) else { continue };
            found.push(EngineReturn {
                engine,
                structure: end,
                least,
                most: between(None),
                straps: straps.clone(),
            });
        }
    }
    found
}

/// Number of what bonds join, by body.
pub fn bonded(h: &Harness) -> Vec<usize> {
    let mut sets = UnionFind::<usize>::new(h.bodies.len());
    for bond in &h.bonds {
        sets.union(bond.ends[0].index(), bond.ends[1].index());
    }
    sets.into_labeling()
}

/// Resistance between two bodies over all bonds, those of which it is not given taken as `unknown` or left out. None where
/// nothing joins them then.
fn between(h: &Harness, [a, b]: [BodyId; 2], unknown: Option<Resistance>) -> Option<Resistance> {
    let (mut network, nodes) = Network::of_nodes(h.bodies.len());
    for bond in &h.bonds {
        if let Some(resistance) = bond.resistance.map(|r| r.value).or(unknown) {
            network.join(nodes[bond.ends[0].index()], nodes[bond.ends[1].index()], resistance);
        }
    }
    let (from, to) = (nodes[a.index()], nodes[b.index()]);
    let reduced = network.reduced();
    if !reduced.joined(from, to) {
        return None;
    }
    // A milliampere, so that volts stay in range over insulation: see `Voltage`.
    let milliampere = Current::from_amps(1e-3);
    let solved = reduced.solve(&[Source { from, to, current: milliampere }]).ok()?;
    let volts = solved.between(to, from)?;
    Some(Resistance::from_ohms(volts.volts() * 1e3))
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
