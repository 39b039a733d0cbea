//! Electrical graph and resistances in; the resistive network of the harness, and what is sure in it, out.
//!
//! Nodes are pins, bodies, and the far ends of leads that a device brings along. A conductor is a resistance, a bond is
//! one; studs, cases, links inside devices and mated contacts are taken as none: a sound contact has a few milliohms at
//! most, and nobody has measured these (common practice, no source). So is the braid of a screen, which is many times the
//! copper of its drain leads.
//!
//! What nobody knows the resistance of is joined all the same, by one that stands for it: see [`super::ground_sure`]. What
//! is known to lie between two ends, because a zone does not say how hot it gets, is joined by the least.

use std::collections::BTreeMap;

use petgraph::unionfind::UnionFind;
use petgraph::visit::EdgeRef;

use super::conductor_ohms::{NoResistance, ohms, own_lead};
use super::electrical::{Electrical, Point, Through};
use super::ground_range::Range;
use super::routing::Routing;
use crate::harness::{BodyId, BondId, ConductorId, Harness, PinId};
use crate::parts::library::Library;
use crate::quantity::Resistance;
use crate::trade::network::{Branch, Network, Node};

/// Stands for a resistance that nobody knows, where its value does not matter.
const SOME: f64 = 1.0;
/// A bond of no resistance is none on paper only: as the least resistance that can be written it has a current, and can
/// come loose.
const LEAST: f64 = 1e-9;

/// Why a voltage or current is not known.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unsure {
    /// Nothing joins the two points.
    Apart,
    /// The resistance of this is not known.
    Resistance(Through),
    /// What flows through this bond is not said.
    Current(BondId),
    /// What the supply drives through this bond, which it cannot drive all of, was not found.
    Drive(BondId),
    /// How much the load at this pin takes is not said.
    Load(PinId),
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
    pub ohms: Vec<Result<Range<Resistance>, NoResistance>>,
    /// Conductors and own leads of which it lies between two ends: what the further end is more than the one that the
    /// network is solved with.
    pub loose: BTreeMap<ConductorId, Loose>,
    pub loose_leads: BTreeMap<PinId, Loose>,
    /// Branch of each conductor and of each bond.
    pub conductors: Vec<Option<Branch>>,
    pub bonds: Vec<Option<Branch>>,
    /// Conductors in order of their branches.
    by_branch: Vec<(Branch, ConductorId)>,
    /// By node of a pin or body: number of what is joined by known resistances, and of what is joined without bonds.
    pub known: Vec<usize>,
    local: Vec<usize>,
    /// Resistances that nobody knows.
    pub unknown: Vec<([Node; 2], Branch, Through)>,
}

/// What is more or less known.
#[derive(Clone, Copy, Debug)]
pub(super) struct Loose {
    pub branch: Branch,
    /// The end that the branch starts at.
    pub from: PinId,
    /// What it may be more than what it is solved with; None where nothing bounds it.
    pub more: Option<Resistance>,
}

/// How the resistances of conductors are taken.
pub(super) type Taken = Vec<Result<Range<Resistance>, NoResistance>>;

/// The resistances of all conductors, as they are.
pub(super) fn as_they_are(h: &Harness, library: &Library, routing: &Routing) -> Taken {
    h.conductor_ids().map(|id| ohms(h, library, routing, id)).collect()
}

impl Points {
    pub(super) fn of(
        h: &Harness,
        library: &Library,
        routing: &Routing,
        electrical: &Electrical,
        taken: Taken,
    ) -> Points {
        let pins = h.pins.len();
        let (mut network, nodes) = Network::of_nodes(pins + h.bodies.len());
        let mut made = Points {
            behind: vec![None; pins],
            ohms: taken,
            loose: BTreeMap::new(),
            loose_leads: BTreeMap::new(),
            conductors: vec![None; h.conductors.len()],
            bonds: vec![None; h.bonds.len()],
            by_branch: Vec::with_capacity(h.conductors.len()),
            known: Vec::new(),
            local: Vec::new(),
            unknown: Vec::new(),
            network: Network::default(),
            nodes,
            pins,
        };
        let count = made.nodes.len();
        let (mut known, mut local) = (UnionFind::<usize>::new(count), UnionFind::<usize>::new(count));
        for edge in electrical.graph.edge_references() {
            let ends = [edge.source(), edge.target()].map(|n| made.of_point(electrical.graph[n]));
            let resistance = match edge.weight() {
                Through::Conductor(id) => made.ohms[id.index()].ok().map(|range| range.low),
                Through::Bond(id) => {
                    let given = h.bond(*id).resistance.map(|r| r.value);
                    given.map(|r| r.max(Resistance::from_ohms(LEAST)))
                }
                Through::Mate(_)
                | Through::Inside(_)
                | Through::Stud(_)
                | Through::Case(_)
                | Through::Lead(_) => Some(Resistance::ZERO),
            };
            let value = resistance.unwrap_or(Resistance::from_ohms(SOME));
            let branch = network.join(ends[0], ends[1], value);
            let [a, b] = ends.map(Node::index);
            match resistance {
                Some(_) => {
                    known.union(a, b);
                }
                None => made.unknown.push((ends, branch, *edge.weight())),
            }
            if !matches!(edge.weight(), Through::Bond(_)) {
                local.union(a, b);
            }
            match edge.weight() {
                Through::Conductor(id) => {
                    made.conductors[id.index()] = Some(branch);
                    made.by_branch.push((branch, *id));
                    if let (Ok(Range { low, high, open: Some(_) }), Point::Pin(from)) =
                        (made.ohms[id.index()], electrical.graph[edge.source()])
                    {
                        made.loose.insert(*id, Loose { branch, from, more: Some(high - low) });
                    }
                }
                Through::Bond(id) => made.bonds[id.index()] = Some(branch),
                _ => {}
            }
        }
        for (i, behind) in made.behind.iter_mut().enumerate() {
            let pin = PinId::at(i);
            if let Some(lead) = own_lead(h, library, routing, pin) {
                let node = network.node();
                let branch = network.join(made.nodes[i], node, lead.low);
                *behind = Some(node);
                if lead.high != Some(lead.low) {
                    let more = lead.high.map(|high| high - lead.low);
                    made.loose_leads.insert(pin, Loose { branch, from: pin, more });
                }
            }
        }
        made.network = network;
        (made.known, made.local) = (known.into_labeling(), local.into_labeling());
        made
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

    /// Conductors of which the resistance lies between two ends and that lie on a ring: what they carry hangs on it too.
    pub(super) fn loose_on_rings(&self) -> Vec<ConductorId> {
        if self.loose.is_empty() {
            return Vec::new();
        }
        let reduced = self.network.reduced();
        let on_ring = |(_, loose): &(&ConductorId, &Loose)| reduced.ring_of(loose.branch).is_some();
        self.loose.iter().filter(on_ring).map(|(id, _)| *id).collect()
    }

    /// Number of what hangs together with a pin without bonds.
    pub(super) fn local(&self, pin: PinId) -> usize {
        self.local[pin.index()]
    }

    /// The conductor of a branch; None for what is none.
    pub(super) fn conductor_of(&self, branch: Branch) -> Option<ConductorId> {
        let at = self.by_branch.binary_search_by_key(&branch, |(b, _)| *b).ok()?;
        self.by_branch.get(at).map(|(_, id)| *id)
    }
}
