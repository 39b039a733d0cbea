//! The electrical graph: harness in; nets, what is joined to what, and the way between two pins out.
//!
//! Nodes are pins and bodies. A pin touches others through conductors, the mated contact of an in-line connector and
//! the links inside its device; it touches a body through a ground stud or a grounded case; bodies touch each other
//! through bonds. A *net* is what copper joins without going through a body.
//!
//! Building costs O((V + E) α(V)): one union-find pass. Ids follow the order of pins, so the same harness gives the same
//! nets.

use std::collections::{BTreeMap, VecDeque};

use petgraph::graph::{NodeIndex, UnGraph};
use petgraph::unionfind::UnionFind;
use petgraph::visit::EdgeRef;

use crate::harness::{BodyId, BondId, ConductorId, DeviceClass, DeviceId, Harness, PinId};

/// A node: where current can be.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Point {
    /// A pin.
    Pin(PinId),
    /// A body.
    Body(BodyId),
}

/// An edge: what current goes through.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Through {
    /// A conductor.
    Conductor(ConductorId),
    /// The mated contacts of an in-line connector.
    Mate(DeviceId),
    /// A link inside a device.
    Inside(DeviceId),
    /// The stud of a ground point, to its body.
    Stud(DeviceId),
    /// The case of a device, to the body it is mounted on.
    Case(DeviceId),
    /// A bond between bodies.
    Bond(BondId),
    /// A lead of a device's own; no edge of the graph, but what a voltage may hang on.
    Lead(PinId),
}

/// One step of a way: through what, to where.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Step {
    /// What is passed.
    pub through: Through,
    /// Where it leads.
    pub to: Point,
}

/// Where a net touches a body.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Contact {
    /// Pin that touches.
    pub pin: PinId,
    /// Ground point, or device whose case it is.
    pub device: DeviceId,
    /// The body.
    pub body: BodyId,
}

/// Pins that are one electrical point.
#[derive(Clone, Debug, Default)]
pub struct Net {
    /// Its pins, in order.
    pub pins: Vec<PinId>,
    /// Where it touches bodies, in order of pins.
    pub contacts: Vec<Contact>,
}

/// The graph and what is asked most often, computed once.
#[derive(Clone, Debug)]
pub struct Electrical {
    pub(super) graph: UnGraph<Point, Through, u32>,
    pin_count: usize,
    conductors_at: Vec<Vec<ConductorId>>,
    net_of: Vec<u32>,
    nets: Vec<Net>,
    wired: Vec<Vec<PinId>>,
    wired_of: Vec<u32>,
}

impl Electrical {
    /// The electrical graph of a harness.
    pub fn of(harness: &Harness) -> Electrical {
        let pin_count = harness.pins.len();
        let mut graph = UnGraph::with_capacity(pin_count + harness.bodies.len(), harness.conductors.len());
        for i in 0..pin_count {
            graph.add_node(Point::Pin(PinId::at(i)));
        }
        for i in 0..harness.bodies.len() {
            graph.add_node(Point::Body(BodyId::at(i)));
        }
        let pin = |p: PinId| NodeIndex::new(p.index());
        let body = |b: BodyId| NodeIndex::new(pin_count + b.index());
        let mut sets = UnionFind::new(pin_count);
        let mut outside = UnionFind::new(pin_count);
        let mut contacts = Vec::new();
        let mut conductors_at = vec![Vec::new(); pin_count];

        for (bond, b) in harness.bonds.iter().enumerate() {
            graph.add_edge(body(b.ends[0]), body(b.ends[1]), Through::Bond(BondId::at(bond)));
        }
        for id in harness.conductor_ids() {
            let c = harness.conductor(id);
            graph.add_edge(pin(c.from), pin(c.to), Through::Conductor(id));
            sets.union(c.from.index(), c.to.index());
            outside.union(c.from.index(), c.to.index());
            for end in [c.from, c.to] {
                if let Some(list) = conductors_at.get_mut(end.index()) {
                    list.push(id);
                }
            }
        }
        for (at, device) in harness.devices.iter().enumerate() {
            let id = DeviceId::at(at);
            for group in &device.links {
                // A star, not every couple: a link of n pins costs n - 1 edges.
                for (hub, spoke) in
                    group.first().into_iter().flat_map(|h| group[1..].iter().map(move |s| (*h, *s)))
                {
                    graph.add_edge(pin(hub), pin(spoke), Through::Inside(id));
                    sets.union(hub.index(), spoke.index());
                }
            }
            for p in harness.pins_of(id) {
                if let Some(mate) = harness.mate(p).filter(|m| p < *m) {
                    graph.add_edge(pin(p), pin(mate), Through::Mate(id));
                    sets.union(p.index(), mate.index());
                    outside.union(p.index(), mate.index());
                }
            }
            // What is joined to the case inside is one point, whether or not the case touches a body.
            let on_case = device.on_case.split_first();
            for (hub, spoke) in on_case.into_iter().flat_map(|(h, more)| more.iter().map(move |s| (*h, *s))) {
                graph.add_edge(pin(hub), pin(spoke), Through::Inside(id));
                sets.union(hub.index(), spoke.index());
            }
            let touches = match device.class {
                DeviceClass::Ground { .. } => Some((device.first_pin, Through::Stud(id))),
                _ if device.case_grounds => on_case.map(|(hub, _)| (*hub, Through::Case(id))),
                _ => None,
            };
            if let (Some((p, through)), Some(ground)) = (touches, device.body) {
                graph.add_edge(pin(p), body(ground.value), through);
                contacts.push(Contact { pin: p, device: id, body: ground.value });
            }
        }

        let (net_of, groups) = numbered(&sets, pin_count);
        let mut nets: Vec<Net> = groups.into_iter().map(|pins| Net { pins, contacts: Vec::new() }).collect();
        for contact in contacts {
            nets[net_of[contact.pin.index()] as usize].contacts.push(contact);
        }
        let (wired_of, wired) = numbered(&outside, pin_count);
        Electrical { graph, pin_count, conductors_at, net_of, nets, wired, wired_of }
    }

    /// Conductors that end on a pin, in order.
    pub fn conductors_at(&self, pin: PinId) -> &[ConductorId] {
        self.conductors_at.get(pin.index()).map_or(&[], Vec::as_slice)
    }

    /// Nets in order of their first pins; those of one pin alone are among them.
    pub fn nets(&self) -> &[Net] {
        &self.nets
    }

    /// The net of a pin.
    pub fn net(&self, pin: PinId) -> &Net {
        &self.nets[self.net_of[pin.index()] as usize]
    }

    /// Pins that wires, splices, studs and mated contacts join with this one, itself among them, in order: the net
    /// without what is joined inside devices.
    pub fn wired(&self, pin: PinId) -> &[PinId] {
        &self.wired[self.wired_of[pin.index()] as usize]
    }

    /// True where two pins are one electrical point.
    pub fn joined(&self, a: PinId, b: PinId) -> bool {
        self.net_of.get(a.index()) == self.net_of.get(b.index())
    }

    /// The way with fewest steps from a pin to another of its net, through no body. `None`: they are not joined.
    /// Breadth first; of ways of one length, the one that the graph's order of edges gives. Costs the size of the net.
    pub fn way(&self, from: PinId, to: PinId) -> Option<Vec<Step>> {
        if !self.joined(from, to) {
            return None;
        }
        let (start, goal) = (NodeIndex::new(from.index()), NodeIndex::new(to.index()));
        let mut came: BTreeMap<NodeIndex, (NodeIndex, Through)> = BTreeMap::new();
        let mut queue = VecDeque::from([start]);
        while let Some(node) = queue.pop_front() {
            if node == goal {
                break;
            }
            for edge in self.graph.edges(node) {
                let next = edge.target();
                if next.index() < self.pin_count && next != start && !came.contains_key(&next) {
                    came.insert(next, (node, *edge.weight()));
                    queue.push_back(next);
                }
            }
        }
        let mut steps = Vec::new();
        let mut node = goal;
        while node != start {
            let (before, through) = *came.get(&node)?;
            steps.push(Step { through, to: self.graph[node] });
            node = before;
        }
        steps.reverse();
        Some(steps)
    }
}

/// Sets as lists of pins, numbered by their first pins: the number of each pin's set, and the sets.
fn numbered(sets: &UnionFind<usize>, pin_count: usize) -> (Vec<u32>, Vec<Vec<PinId>>) {
    let mut number: Vec<Option<u32>> = vec![None; pin_count];
    let mut groups: Vec<Vec<PinId>> = Vec::new();
    let mut of = Vec::with_capacity(pin_count);
    for pin in 0..pin_count {
        let next = u32::try_from(groups.len()).unwrap_or(u32::MAX);
        let group = *number[sets.find(pin)].get_or_insert(next);
        if group == next {
            groups.push(Vec::new());
        }
        groups[group as usize].push(PinId::at(pin));
        of.push(group);
    }
    (of, groups)
}
