//! Networks of resistances: who is joined to whom and what current is pushed where, in; voltages and currents, out.
//!
//! Ohm's and Kirchhoff's laws, solved by turning stars into meshes (Kennelly 1899 for three rays, Rosen 1924 for any
//! number; both from memory): see [`super::network_stars`]. A resistance of zero makes one point of its two nodes. Parts
//! that nothing joins are solved side by side, each against its own lowest node.

use petgraph::unionfind::UnionFind;

use super::network_opened::Opened;
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

    /// What becomes of a ring when one of its resistances opens while everything that is pushed into the ring in `solved`
    /// is pushed on. None for a resistance of no ring. Costs the size of the ring, not of the network.
    pub fn opened(&self, branch: Branch, solved: &Solution<'_, '_>) -> Option<Opened<'_, 'n>> {
        Opened::of(self, branch, solved)
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
        self.volts[self.reduced.point_of[node.index()] as usize]
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

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn ohms(value: f64) -> Resistance {
        Resistance::from_ohms(value)
    }

    fn amps(value: f64) -> Current {
        Current::from_amps(value)
    }

    fn network(count: usize, lines: &[(usize, usize, f64)]) -> (Network, Vec<Node>, Vec<Branch>) {
        let (mut network, nodes) = Network::of_nodes(count);
        let branches = lines.iter().map(|(a, b, r)| network.join(nodes[*a], nodes[*b], ohms(*r))).collect();
        (network, nodes, branches)
    }

    fn pushed(n: &[Node], from: usize, to: usize, a: f64) -> Source {
        Source { from: n[from], to: n[to], current: amps(a) }
    }

    /// Worked by hand: 23 V2 = 15 V1 + 3 V3; 19 V3 = 10 V1 + 4 V2; 3 V1 = 2 + 2 V2 + V3.
    #[test]
    fn a_bridge_out_of_balance() {
        let lines = [(1, 2, 1.0), (1, 3, 2.0), (2, 0, 3.0), (3, 0, 4.0), (2, 3, 5.0)];
        let (network, n, branches) = network(4, &lines);
        let reduced = network.reduced();
        let solved = reduced.solve(&[pushed(&n, 0, 1, 1.0)]).unwrap();
        let volts = |i: usize| solved.between(n[i], n[0]).unwrap();
        let is =
            |i: usize, seventy_firsts: f64| assert_eq!(volts(i), Voltage::from_volts(seventy_firsts / 71.0));
        is(1, 170.0);
        is(2, 126.0);
        is(3, 116.0);
        assert_eq!(solved.current(branches[4]), Some(amps(2.0 / 71.0)));
    }

    #[test]
    fn a_bridge_in_balance_carries_nothing_across() {
        let lines = [(1, 2, 10.0), (1, 3, 20.0), (2, 0, 30.0), (3, 0, 60.0), (2, 3, 0.001)];
        let (network, n, branches) = network(4, &lines);
        let reduced = network.reduced();
        let solved = reduced.solve(&[pushed(&n, 0, 1, 3.0)]).unwrap();
        assert_eq!(solved.current(branches[4]), Some(Current::ZERO));
        // 40 Ω beside 80 Ω
        assert_eq!(solved.between(n[1], n[0]), Some(Voltage::from_volts(80.0)));
    }

    /// The cube of twelve equal resistors: 5/6 of one from corner to opposite corner.
    #[test]
    fn a_cube_of_resistors() {
        let mut lines = Vec::new();
        for a in 0..8_usize {
            lines.extend([1, 2, 4].iter().filter(|bit| a & **bit == 0).map(|bit| (a, a | bit, 6.0)));
        }
        let (network, n, _) = network(8, &lines);
        let reduced = network.reduced();
        let solved = reduced.solve(&[pushed(&n, 0, 7, 1.0)]).unwrap();
        assert_eq!(solved.between(n[7], n[0]), Some(Voltage::from_volts(5.0)));
    }

    #[test]
    fn zero_ohms_make_one_point_and_their_current_is_not_told() {
        let (network, n, branches) = network(4, &[(0, 1, 0.0), (1, 2, 2.0), (0, 3, 0.0), (3, 1, 0.0)]);
        let reduced = network.reduced();
        let solved = reduced.solve(&[pushed(&n, 3, 2, 4.0)]).unwrap();
        assert_eq!(solved.between(n[2], n[0]), Some(Voltage::from_volts(8.0)));
        assert_eq!((solved.current(branches[1]), solved.current(branches[0])), (Some(amps(-4.0)), None));
    }

    #[test]
    fn no_way_back_is_told() {
        let (network, n, _) = network(4, &[(0, 1, 1.0), (2, 3, 1.0)]);
        let reduced = network.reduced();
        assert_eq!(
            reduced.solve(&[pushed(&n, 1, 2, 5.0)]).unwrap_err(),
            Open { at: n[0], excess: amps(-5.0) }
        );
        // There and back over two parts is a closed way.
        let there_and_back = [pushed(&n, 1, 2, 5.0), pushed(&n, 3, 0, 5.0)];
        let solved = reduced.solve(&there_and_back).unwrap();
        assert_eq!(solved.between(n[2], n[3]), Some(Voltage::from_volts(5.0)));
        assert_eq!(solved.between(n[0], n[2]), None);
        assert!(!reduced.joined(n[0], n[2]) && reduced.joined(n[0], n[1]));
    }

    /// A milliohm strap beside megohms: neither drowns the other.
    #[test]
    fn a_strap_beside_insulation() {
        let (network, n, branches) = network(3, &[(0, 1, 0.001), (0, 2, 2e6), (2, 1, 1e6)]);
        let reduced = network.reduced();
        let solved = reduced.solve(&[pushed(&n, 0, 1, 100.0)]).unwrap();
        // 1 mΩ beside 3 MΩ.
        let strap = 0.1 * 3e9 / (3e9 + 1.0);
        assert_eq!(solved.between(n[1], n[0]), Some(Voltage::from_volts(strap)));
        assert_eq!(solved.between(n[2], n[0]), Some(Voltage::from_volts(strap * 2.0 / 3.0)));
        assert_eq!(solved.current(branches[1]), Some(amps(-strap / 3e6)));
    }

    /// From node to node, and how much of it.
    type Link = (usize, usize, f64);

    /// Networks of up to 12 nodes in one part, with loops, from 10 µΩ to 1 kΩ, and two sources.
    fn any_network() -> impl Strategy<Value = (usize, Vec<Link>, Vec<Link>)> {
        (2_usize..12).prop_flat_map(|count| {
            let r = || (-5.0..3.0_f64).prop_map(|power| 10_f64.powf(power));
            let tree = (1..count).map(|i| (0..i, Just(i), r())).collect::<Vec<_>>();
            let more = prop::collection::vec((0..count, 0..count, r()), 0..12);
            let sources = prop::collection::vec((0..count, 0..count, -50.0..50.0_f64), 1..3);
            (Just(count), tree, more, sources).prop_map(|(count, mut tree, more, sources)| {
                tree.extend(more);
                (count, tree, sources)
            })
        })
    }

    proptest! {
        /// Kirchhoff at every node, to a billionth of what flows; and the resistances turn into heat what sources give.
        #[test]
        fn current_and_energy_are_kept((count, lines, sources) in any_network()) {
            let (network, n, branches) = network(count, &lines);
            let reduced = network.reduced();
            let pushes: Vec<Source> = sources.iter().map(|(a, b, i)| pushed(&n, *a, *b, *i)).collect();
            let solved = reduced.solve(&pushes).unwrap();
            let mut left = vec![0.0; count];
            let (mut given, mut heat) = (0.0, 0.0);
            for ((a, b, _), s) in sources.iter().zip(&pushes) {
                left[*a] -= s.current.amps();
                left[*b] += s.current.amps();
                given += s.current.amps() * solved.between(n[*b], n[*a]).unwrap().volts();
            }
            for ((a, b, r), branch) in lines.iter().zip(&branches).filter(|((a, b, _), _)| a != b) {
                let i = solved.current(*branch).unwrap().amps();
                left[*a] -= i;
                left[*b] += i;
                heat += i * i * r;
            }
            // Currents are told in whole nanoamperes, resistances in whole nano-ohms.
            prop_assert!(left.iter().all(|l| l.abs() < 1e-6), "{left:?}");
            prop_assert!((given - heat).abs() <= 1e-3 * given.abs() + 1e-2, "{given} W given, {heat} W heat");
        }

        /// What a current here does there is what the same current there does here (reciprocity).
        #[test]
        fn here_and_there_may_be_exchanged((count, lines, _) in any_network()) {
            let (network, n, _) = network(count, &lines);
            let reduced = network.reduced();
            let here = reduced.solve(&[pushed(&n, 0, 1, 1.0)]).unwrap();
            let there = reduced.solve(&[pushed(&n, 0, count - 1, 1.0)]).unwrap();
            let (a, b) = (here.between(n[count - 1], n[0]).unwrap(), there.between(n[1], n[0]).unwrap());
            prop_assert!((a.volts() - b.volts()).abs() <= 1e-9 * a.volts().abs() + 2e-12, "{a} {b}");
        }
    }
}
