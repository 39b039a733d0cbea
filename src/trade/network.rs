//! Networks of resistances: who is joined to whom and what current is pushed where, in; voltages and currents, out.
//!
//! Ohm's and Kirchhoff's laws, solved by turning stars into meshes (Kennelly 1899 for three rays, Rosen 1924 for any
//! number; both from memory): see [`super::network_stars`]. A resistance of zero makes one point of its two nodes. Parts
//! that nothing joins are solved side by side, each against its own lowest node.

use std::collections::BTreeMap;

use petgraph::unionfind::UnionFind;

use super::network_alone::Alone;
use super::network_rings::{Passed, Rings};
use super::network_stars::Stars;
use crate::quantity::{Current, Resistance, Voltage};

/// A point of a [`Network`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Node(u32);

impl Node {
    /// Its place among the nodes of its network.
    pub fn index(self) -> usize {
        self.0 as usize
    }
}

/// A resistance of a [`Network`], in the order in which they were joined.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Branch(u32);

#[derive(Clone, Copy, Debug)]
struct Resistor {
    ends: [Node; 2],
    resistance: Resistance,
}

/// Nodes and the resistances between them.
#[derive(Clone, Debug, Default)]
pub struct Network {
    nodes: u32,
    resistors: Vec<Resistor>,
}

impl Network {
    /// `count` nodes that nothing joins yet, and the list of them.
    pub fn of_nodes(count: usize) -> (Network, Vec<Node>) {
        let mut network = Network::default();
        let nodes = (0..count).map(|_| network.node()).collect();
        (network, nodes)
    }

    /// One more node.
    pub fn node(&mut self) -> Node {
        let node = Node(self.nodes);
        self.nodes += 1;
        node
    }

    /// A resistance between two nodes of this network; zero makes them one point.
    pub fn join(&mut self, a: Node, b: Node, resistance: Resistance) -> Branch {
        let branch = Branch(u32::try_from(self.resistors.len()).unwrap_or(u32::MAX));
        self.resistors.push(Resistor { ends: [a, b], resistance });
        branch
    }

    /// Made ready to be solved for any sources. Costs about the number of resistances where the network is nearly a
    /// tree, as harnesses are; up to the third power of the nodes of its densest part otherwise.
    pub fn reduced(&self) -> Reduced<'_> {
        let count = self.nodes as usize;
        let mut points = UnionFind::<usize>::new(count);
        let mut parts = UnionFind::<usize>::new(count);
        for r in &self.resistors {
            let [a, b] = r.ends.map(Node::index);
            parts.union(a, b);
            if r.resistance == Resistance::ZERO {
                points.union(a, b);
            }
        }
        let (point_of, point_count) = numbered(&points, count);
        let (part_of, _) = numbered(&parts, count);
        let mut lines = Vec::with_capacity(self.resistors.len());
        let mut line_of = Vec::with_capacity(self.resistors.len());
        let mut branch_of = Vec::with_capacity(self.resistors.len());
        for (branch, r) in (0_u32..).zip(&self.resistors) {
            let [a, b] = r.ends.map(|n| point_of[n.index()]);
            line_of.push((a != b).then_some(lines.len() as u32));
            if a != b {
                lines.push(([a, b], r.resistance));
                branch_of.push(branch);
            }
        }
        let stars = Stars::of(point_count, lines.iter().map(|([a, b], r)| (*a, *b, 1.0 / r.ohms())));
        let ends: Vec<[u32; 2]> = lines.iter().map(|(ends, _)| *ends).collect();
        let rings = Rings::of(point_count, &ends);
        let mut node_of = vec![0; point_count];
        for (node, point) in (0..self.nodes).zip(&point_of).rev() {
            node_of[*point as usize] = node;
        }
        Reduced { network: self, point_of, part_of, line_of, branch_of, node_of, stars, rings }
    }
}

/// Sets numbered by their lowest members, and how many there are.
fn numbered(sets: &UnionFind<usize>, count: usize) -> (Vec<u32>, usize) {
    let mut number: Vec<Option<u32>> = vec![None; count];
    let mut next = 0;
    let of = (0..count)
        .map(|i| {
            *number[sets.find(i)].get_or_insert_with(|| {
                next += 1;
                next - 1
            })
        })
        .collect();
    (of, next as usize)
}

/// A current that something outside the network pushes out of one node and into another.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Source {
    /// Taken out of the network here.
    pub from: Node,
    /// Put into the network here.
    pub to: Node,
    /// How much; below zero it flows the other way.
    pub current: Current,
}

/// Current is pushed into a part of the network that it cannot leave: there is no way back.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Open {
    /// A node of that part.
    pub at: Node,
    /// What is pushed into the part and not taken out of it.
    pub excess: Current,
}

/// A network made ready.
#[derive(Clone, Debug)]
pub struct Reduced<'n> {
    network: &'n Network,
    point_of: Vec<u32>,
    part_of: Vec<u32>,
    /// None: both ends are one point.
    line_of: Vec<Option<u32>>,
    /// The branch of each line.
    branch_of: Vec<u32>,
    /// The lowest node of each point.
    node_of: Vec<u32>,
    stars: Stars,
    rings: Rings,
}

/// A ring: resistances among which current can go round. See [`super::network_rings`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Ring(u32);

/// A ring that a way passes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Crossing {
    /// The ring.
    pub ring: Ring,
    /// A node of the point where the way enters it.
    pub enters: Node,
    /// A node of the point where the way leaves it.
    pub leaves: Node,
}

impl<'n> Reduced<'n> {
    /// True where some way joins the two nodes.
    pub fn joined(&self, a: Node, b: Node) -> bool {
        self.part_of.get(a.index()) == self.part_of.get(b.index())
    }

    /// The ring of a resistance; None where nothing leads around it.
    pub fn ring_of(&self, branch: Branch) -> Option<Ring> {
        let line = (*self.line_of.get(branch.0 as usize)?)?;
        self.rings.ring_of(line as usize).map(Ring)
    }

    /// The rings that any way from `a` to `b` passes, in order; None where nothing joins them.
    pub fn crossings(&self, a: Node, b: Node) -> Option<Vec<Crossing>> {
        let way = self.rings.way(self.point(a)?, self.point(b)?)?;
        let node = |p: u32| Node(self.node_of[p as usize]);
        let cross = |p: &Passed| {
            Some(Crossing { ring: Ring(p.ring?), enters: node(p.enters), leaves: node(p.leaves) })
        };
        Some(way.iter().filter_map(cross).collect())
    }

    /// Resistance between two nodes, all ways together; None where nothing joins them. Costs the rings that a way between them
    /// passes, and not the rest of the network.
    pub fn resistance(&self, a: Node, b: Node) -> Option<Resistance> {
        let way = self.rings.way(self.point(a)?, self.point(b)?)?;
        // What is passed one after the other adds up.
        let ohms =
            way.iter().map(|p| self.alone(Ring(p.block)).ohms(p.enters, p.leaves)).sum::<Option<f64>>()?;
        Some(Resistance::from_ohms(ohms))
    }

    /// By ring, the first of these ways between nodes that passes it. Costs about the size of the network, however many and
    /// however long the ways are.
    pub fn first_through(&self, ways: &[[Node; 2]]) -> BTreeMap<Ring, usize> {
        let ends = ways.iter().map(|ends| ends.map(|node| self.point_of[node.index()]));
        self.rings.first_through(ends).into_iter().map(|(ring, way)| (Ring(ring), way)).collect()
    }

    /// A ring taken by itself, made ready to be asked what becomes of it where its resistances change. Costs as
    /// [`Network::reduced`] does, for the ring alone.
    pub fn alone(&self, ring: Ring) -> Alone<'_, 'n> {
        Alone::of(self, ring)
    }

    /// Resistances of a ring, in order.
    pub fn members(&self, ring: Ring) -> impl Iterator<Item = Branch> + '_ {
        self.rings.members(ring.0).iter().map(|line| Branch(self.branch_of[*line as usize]))
    }

    /// The two points of a resistance above zero, and its ohms.
    pub(super) fn line(&self, branch: Branch) -> Option<([u32; 2], f64)> {
        let r = self.network.resistors.get(branch.0 as usize)?;
        let ends = r.ends.map(|n| self.point_of[n.index()]);
        (ends[0] != ends[1]).then(|| (ends, r.resistance.ohms()))
    }

    /// The point of a node.
    pub(super) fn point(&self, node: Node) -> Option<u32> {
        self.point_of.get(node.index()).copied()
    }

    /// Voltages and currents with these sources at work. Costs the size of the network.
    ///
    /// # Errors
    /// Where the sources put more into some part than they take out of it.
    pub fn solve(&self, sources: &[Source]) -> Result<Solution<'_, 'n>, Open> {
        let mut excess = vec![Current::ZERO; self.part_of.len()];
        let mut injected = vec![0.0; self.stars.points()];
        for s in sources {
            for (node, current) in [(s.from, -s.current), (s.to, s.current)] {
                excess[self.part_of[node.index()] as usize] += current;
                injected[self.point_of[node.index()] as usize] += current.amps();
            }
        }
        // Whole nanoamperes: what balances does so exactly.
        if let Some(part) = excess.iter().position(|e| *e != Current::ZERO) {
            let at = self.part_of.iter().position(|p| *p as usize == part).unwrap_or(0);
            return Err(Open { at: Node(at as u32), excess: excess[part] });
        }
        Ok(Solution { reduced: self, volts: self.stars.volts(injected) })
    }
}

/// What the sources do to a network.
#[derive(Clone, Debug)]
pub struct Solution<'r, 'n> {
    reduced: &'r Reduced<'n>,
    volts: Vec<f64>,
}

impl Solution<'_, '_> {
    fn volts(&self, node: Node) -> f64 {
        self.point_volts(self.reduced.point_of[node.index()])
    }

    /// Volts of a point.
    pub(super) fn point_volts(&self, point: u32) -> f64 {
        self.volts[point as usize]
    }

    /// How far `a` lies above `b`. None where nothing joins them: then there is no such voltage.
    pub fn between(&self, a: Node, b: Node) -> Option<Voltage> {
        self.reduced.joined(a, b).then(|| Voltage::from_volts(self.volts(a) - self.volts(b)))
    }

    /// Amperes through a resistance above zero; nothing through one of zero.
    pub(super) fn amps(&self, branch: Branch) -> f64 {
        let line = self.reduced.line(branch);
        line.map_or(0.0, |([a, b], ohms)| (self.volts[a as usize] - self.volts[b as usize]) / ohms)
    }

    /// Current through a resistance, from its first end to its second. None for one of zero, which may lie beside others
    /// of zero and then shares with them as it likes.
    pub fn current(&self, branch: Branch) -> Option<Current> {
        let r = self.reduced.network.resistors.get(branch.0 as usize)?;
        (r.resistance != Resistance::ZERO).then(|| Current::from_amps(self.amps(branch)))
    }
}
