//! Electrical graph and resistances in; the resistive network of the harness, and what is sure in it, out.
//!
//! Nodes are pins, bodies, and the far ends of leads that a device brings along. A conductor is a resistance, a bond is
//! one; studs, cases, links inside devices and mated contacts are taken as none: a sound contact has a few milliohms at
//! most, and nobody has measured these (common practice, no source). So is the braid of a screen, which is many times the
//! copper of its drain leads.
//!
//! A conductor without a path and a bond without `resistance:` are of unknown resistance. Where such a one alone joins
//! two parts, voltages within each part are sure and those from one to the other are not; where it lies on a loop, none
//! of what hangs together with it is sure.

use petgraph::unionfind::UnionFind;
use petgraph::visit::EdgeRef;

use super::conductor_ohms::{NoResistance, own_lead, stretches};
use super::electrical::{Electrical, Point, Through};
use super::routing::Routing;
use crate::harness::{BodyId, BondId, ConductorId, Harness, PinId};
use crate::quantity::Resistance;
use crate::trade::network::{Branch, Network, Node};

/// Stands for a resistance that nobody knows, where its value does not matter.
const SOME: f64 = 1.0;
/// A bond of no resistance is none on paper only; as a resistance it has a current.
const LEAST: f64 = 1e-6;

/// Why a voltage or current is not known.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unsure {
    /// Nothing joins the two points.
    Apart,
    /// The resistance of this is not known.
    Resistance(Through),
    /// What flows through this bond is not said.
    Current(BondId),
}

/// Unknown resistances that hang together.
#[derive(Clone, Copy, Debug)]
struct Unknown {
    /// One of them, on a loop if any is.
    one: Through,
    on_a_loop: bool,
    count: usize,
}

/// The network of a harness.
#[derive(Debug)]
pub(super) struct Points {
    pub network: Network,
    nodes: Vec<Node>,
    pins: usize,
    /// Where the device lies behind a lead of its own.
    behind: Vec<Option<Node>>,
    /// Resistance of each conductor.
    pub ohms: Vec<Result<Resistance, NoResistance>>,
    /// Branch of each conductor and of each bond.
    pub conductors: Vec<Option<Branch>>,
    pub bonds: Vec<Option<Branch>>,
    /// Conductors in order of their branches.
    by_branch: Vec<(Branch, ConductorId)>,
    /// By node: number of what is joined by known resistances, and of that without bonds.
    known: Vec<usize>,
    local: Vec<usize>,
    /// By node: number of what is joined by anything.
    region: Vec<usize>,
    /// By region: what of it is not known.
    unknown: Vec<Option<Unknown>>,
}

impl Points {
    pub(super) fn of(h: &Harness, routing: &Routing, electrical: &Electrical) -> Points {
        let pins = h.pins.len();
        let (mut network, nodes) = Network::of_nodes(pins + h.bodies.len());
        let mut made = Points {
            behind: vec![None; pins],
            ohms: h.conductor_ids().map(|id| sum(h, routing, id)).collect(),
            conductors: vec![None; h.conductors.len()],
            bonds: vec![None; h.bonds.len()],
            by_branch: Vec::with_capacity(h.conductors.len()),
            known: Vec::new(),
            local: Vec::new(),
            region: Vec::new(),
            unknown: Vec::new(),
            network: Network::default(),
            nodes,
            pins,
        };
        let mut joins: Vec<([Node; 2], Through, Option<Resistance>)> = Vec::new();
        for edge in electrical.graph.edge_references() {
            let ends = [edge.source(), edge.target()].map(|n| made.of_point(electrical.graph[n]));
            let resistance = match edge.weight() {
                Through::Conductor(id) => made.ohms[id.index()].ok(),
                Through::Bond(id) => {
                    let given = h.bond(*id).resistance.map(|r| r.value);
                    given.map(|r| r.max(Resistance::from_ohms(LEAST)))
                }
                Through::Mate(_) | Through::Inside(_) | Through::Stud(_) | Through::Case(_) => {
                    Some(Resistance::ZERO)
                }
            };
            joins.push((ends, *edge.weight(), resistance));
            let value = resistance.unwrap_or(Resistance::from_ohms(SOME));
            let branch = network.join(ends[0], ends[1], value);
            match edge.weight() {
                Through::Conductor(id) => {
                    made.conductors[id.index()] = Some(branch);
                    made.by_branch.push((branch, *id));
                }
                Through::Bond(id) => made.bonds[id.index()] = Some(branch),
                _ => {}
            }
        }
        for (i, behind) in made.behind.iter_mut().enumerate() {
            if let Some((_, ohms)) = own_lead(h, PinId::at(i)) {
                let node = network.node();
                network.join(made.nodes[i], node, ohms);
                *behind = Some(node);
            }
        }
        made.network = network;
        made.judge(&joins);
        made
    }

    /// What is joined by what, and what of it is sure.
    fn judge(&mut self, joins: &[([Node; 2], Through, Option<Resistance>)]) {
        let count = self.nodes.len();
        let (mut known, mut local) = (UnionFind::<usize>::new(count), UnionFind::<usize>::new(count));
        for ([a, b], through, _) in joins.iter().filter(|(.., ohms)| ohms.is_some()) {
            known.union(a.index(), b.index());
            if !matches!(through, Through::Bond(_)) {
                local.union(a.index(), b.index());
            }
        }
        let mut region = known.clone();
        let mut unknown = Vec::new();
        for ([a, b], through, _) in joins.iter().filter(|(.., ohms)| ohms.is_none()) {
            if !matches!(through, Through::Bond(_)) {
                local.union(a.index(), b.index());
            }
            let on_a_loop = !region.union(a.index(), b.index());
            unknown.push((*a, *through, on_a_loop));
        }
        let labels = |sets: &UnionFind<usize>| (0..count).map(|i| sets.find(i)).collect::<Vec<_>>();
        (self.known, self.local, self.region) = (labels(&known), labels(&local), labels(&region));
        self.unknown = vec![None; count];
        for (node, through, on_a_loop) in unknown {
            let slot = &mut self.unknown[self.region[node.index()]];
            let before = slot.unwrap_or(Unknown { one: through, on_a_loop, count: 0 });
            let one = if on_a_loop && !before.on_a_loop { through } else { before.one };
            *slot = Some(Unknown { one, on_a_loop: on_a_loop || before.on_a_loop, count: before.count + 1 });
        }
    }

    fn of_point(&self, point: Point) -> Node {
        match point {
            Point::Pin(pin) => self.nodes[pin.index()],
            Point::Body(body) => self.body(body),
        }
    }

    pub(super) fn pin(&self, pin: PinId) -> Node {
        self.nodes[pin.index()]
    }

    /// The device's side of a pin: behind the lead it brings along, where it has one.
    pub(super) fn inside(&self, pin: PinId) -> Node {
        self.behind[pin.index()].unwrap_or(self.nodes[pin.index()])
    }

    pub(super) fn body(&self, body: BodyId) -> Node {
        self.nodes[self.pins + body.index()]
    }

    /// Number of what hangs together with a pin without bonds.
    pub(super) fn local(&self, pin: PinId) -> usize {
        self.local[pin.index()]
    }

    /// Whether the voltage between two pins is sure.
    pub(super) fn sure(&self, a: PinId, b: PinId) -> Result<(), Unsure> {
        let [a, b] = [a, b].map(PinId::index);
        if self.region[a] != self.region[b] {
            return Err(Unsure::Apart);
        }
        match self.unknown[self.region[a]] {
            Some(u) if u.on_a_loop || self.known[a] != self.known[b] => Err(Unsure::Resistance(u.one)),
            _ => Ok(()),
        }
    }

    /// Whether the current in a conductor is sure.
    pub(super) fn sure_in(&self, h: &Harness, id: ConductorId) -> Result<(), Unsure> {
        match self.unknown[self.region[h.conductor(id).from.index()]] {
            Some(u) if u.on_a_loop => Err(Unsure::Resistance(u.one)),
            _ => Ok(()),
        }
    }

    /// Whether what flows around a bond is sure when it opens. Its own resistance does not matter then.
    pub(super) fn sure_around(&self, h: &Harness, id: BondId) -> Result<(), Unsure> {
        match self.unknown[self.region_of(h, id)] {
            Some(u) if u.count == 1 && u.one == Through::Bond(id) => Ok(()),
            Some(u) if u.on_a_loop => Err(Unsure::Resistance(u.one)),
            _ => Ok(()),
        }
    }

    /// True where the voltage across a bond is sure.
    pub(super) fn sure_across(&self, h: &Harness, id: BondId) -> bool {
        let loops = self.unknown[self.region_of(h, id)].is_some_and(|u| u.on_a_loop);
        h.bond(id).resistance.is_some() && !loops
    }

    fn region_of(&self, h: &Harness, id: BondId) -> usize {
        self.region[self.pins + h.bond(id).ends[0].index()]
    }

    /// The conductor of a branch; None for what is none.
    pub(super) fn conductor_of(&self, branch: Branch) -> Option<ConductorId> {
        let at = self.by_branch.binary_search_by_key(&branch, |(b, _)| *b).ok()?;
        self.by_branch.get(at).map(|(_, id)| *id)
    }
}

fn sum(h: &Harness, routing: &Routing, id: ConductorId) -> Result<Resistance, NoResistance> {
    Ok(stretches(h, routing, id)?.iter().map(|s| s.resistance).sum())
}
