//! The least tree over a graph: against every set of joints on small graphs, and against trees of known weight.

use crate::loom::Loom;
use fairlead::graph::steiner::{MOST_EXACT_ENDS, Problem, Terminal, Tree, least};
use fairlead::quantity::Length;
use petgraph::graph::{NodeIndex, UnGraph};
use proptest::prelude::*;
use serde::Deserialize;

type Plain = UnGraph<(), u64>;
/// A graph, which of its nodes allow joints, and ends: node and number of wires.
type Asked = (Plain, Vec<bool>, Vec<(usize, usize)>);

fn all_pairs(graph: &Plain) -> Vec<Vec<Option<u64>>> {
    let n = graph.node_count();
    let mut far = vec![vec![None; n]; n];
    let offer = |known: &mut Option<u64>, way: u64| *known = Some(known.map_or(way, |k: u64| k.min(way)));
    for (i, from) in far.iter_mut().enumerate() {
        from[i] = Some(0);
    }
    for e in graph.edge_indices() {
        let (a, b) = graph.edge_endpoints(e).unwrap();
        offer(&mut far[a.index()][b.index()], graph[e]);
        offer(&mut far[b.index()][a.index()], graph[e]);
    }
    for via in 0..n {
        for a in 0..n {
            for b in 0..n {
                if let (Some(x), Some(y)) = (far[a][via], far[via][b]) {
                    offer(&mut far[a][b], x + y);
                }
            }
        }
    }
    far
}

/// Weight of the least tree over these nodes by Prim's algorithm. None where they do not hang together.
fn spanning(far: &[Vec<Option<u64>>], nodes: &[usize]) -> Option<u64> {
    let (mut inside, mut weight) = (vec![nodes[0]], 0);
    while inside.len() < nodes.len() {
        let outside = nodes.iter().filter(|n| !inside.contains(n));
        let (way, next) =
            outside.flat_map(|n| inside.iter().filter_map(|i| Some((far[*i][*n]?, *n)))).min()?;
        weight += way;
        inside.push(next);
    }
    Some(weight)
}

/// The least weight and the fewest joints that have it: every set of nodes that allow joints is tried, each end at the
/// nearest of them, the joints spanned.
fn by_trial(graph: &Plain, joinable: &[bool], ends: &[(usize, usize)]) -> Option<(u64, usize)> {
    let far = all_pairs(graph);
    let wires: usize = ends.iter().map(|(_, wires)| wires).sum();
    if ends.len() <= 2 && wires == ends.len() {
        return far[ends[0].0][ends[ends.len() - 1].0].map(|way| (way, 0));
    }
    let sets = (1_usize..1 << graph.node_count())
        .map(|set| (0..graph.node_count()).filter(|n| set >> n & 1 == 1).collect::<Vec<usize>>());
    let weight = |set: &Vec<usize>| {
        let near = |(end, wires): &(usize, usize)| {
            Some(set.iter().filter_map(|n| far[*end][*n]).min()? * *wires as u64)
        };
        Some((ends.iter().map(near).sum::<Option<u64>>()? + spanning(&far, set)?, set.len()))
    };
    sets.filter(|set| set.iter().all(|n| joinable[*n])).filter_map(|set| weight(&set)).min()
}

fn tree_of(graph: &Plain, joinable: &[bool], ends: &[(usize, usize)]) -> Option<Tree<u64>> {
    let terminals: Vec<Terminal<u64>> = ends
        .iter()
        .map(|(node, wires)| Terminal { starts: vec![(NodeIndex::new(*node), 0)], wires: *wires })
        .collect();
    let may_join = |node: NodeIndex| joinable[node.index()];
    least(&Problem { graph, price: &|weight| *weight, may_join: &may_join, terminals: &terminals })
}

/// The weight of the wires that a tree says; fails where a joint is forbidden or the wires are no tree.
fn weighed(graph: &Plain, joinable: &[bool], ends: &[(usize, usize)], tree: &Tree<u64>) -> u64 {
    let far = all_pairs(graph);
    let way = |a: usize, b: usize| far[a][b].expect("a way");
    if tree.joints.is_empty() {
        return way(ends[0].0, ends[ends.len() - 1].0);
    }
    assert!(tree.joints.iter().all(|n| joinable[n.index()]));
    let mut joined = petgraph::unionfind::UnionFind::<usize>::new(tree.joints.len());
    assert!(tree.between.iter().all(|[a, b]| joined.union(*a, *b)), "a loop in {tree:?}");
    assert_eq!(tree.between.len() + 1, tree.joints.len(), "torn: {tree:?}");
    let mut at_joint = vec![0; tree.joints.len()];
    let mut sum = 0;
    for ((node, wires), joint) in ends.iter().zip(&tree.hangs_on) {
        let joint = joint.expect("an end hangs on a joint");
        at_joint[joint] += wires;
        sum += way(*node, tree.joints[joint].index()) * *wires as u64;
    }
    for [a, b] in &tree.between {
        at_joint[*a] += 1;
        at_joint[*b] += 1;
        sum += way(tree.joints[*a].index(), tree.joints[*b].index());
    }
    assert!(at_joint.iter().all(|wires| *wires >= 2));
    sum
}

/// A graph of up to seven nodes that hang together, which of them allow joints (node 0 does), and ends.
fn any_problem(most_ends: std::ops::Range<usize>) -> impl Strategy<Value = Asked> {
    let nodes = prop::collection::vec((0_usize..7, 0_u64..20, any::<bool>()), 1..7);
    let across = prop::collection::vec((0_usize..7, 0_usize..7, 0_u64..20), 0..6);
    let ends =
        prop::collection::vec((0_usize..7, prop_oneof![4 => Just(1_usize), 1 => 2..4_usize]), most_ends);
    (nodes, across, ends).prop_map(|(nodes, across, ends)| {
        let mut graph = Plain::default();
        let first = graph.add_node(());
        let mut joinable = vec![true];
        for (to, weight, allows) in nodes {
            let node = graph.add_node(());
            graph.add_edge(NodeIndex::new(to % node.index()), node, weight);
            joinable.push(allows);
        }
        assert_eq!(first.index(), 0);
        let n = graph.node_count();
        for (a, b, weight) in across.into_iter().filter(|(a, b, _)| a % n != b % n) {
            graph.add_edge(NodeIndex::new(a % n), NodeIndex::new(b % n), weight);
        }
        let ends = ends.into_iter().map(|(node, wires)| (node % n, wires)).collect();
        (graph, joinable, ends)
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(512))]

    #[test]
    fn few_ends_are_joined_by_the_least_tree((graph, joinable, ends) in any_problem(1..6)) {
        let tree = tree_of(&graph, &joinable, &ends).expect("a tree");
        prop_assert!(tree.exact);
        prop_assert_eq!(Some((tree.weight, tree.joints.len())), by_trial(&graph, &joinable, &ends));
        prop_assert_eq!(weighed(&graph, &joinable, &ends, &tree), tree.weight);
    }

    /// The bounds that the head of the file states.
    #[test]
    fn many_ends_are_joined_within_the_bound((graph, joinable, ends) in any_problem(11..15)) {
        let tree = tree_of(&graph, &joinable, &ends).expect("a tree");
        let (known, _) = by_trial(&graph, &joinable, &ends).expect("a tree");
        prop_assert!(ends.len() > MOST_EXACT_ENDS && !tree.exact);
        let bound = if ends.iter().all(|(node, _)| joinable[*node]) { 2 } else { 5 };
        prop_assert!(tree.weight >= known && tree.weight <= bound * known, "{} and {known}", tree.weight);
        prop_assert_eq!(weighed(&graph, &joinable, &ends, &tree), tree.weight);
    }
}

/// A ring of ten ends, a hub that forbids joints: the tree goes round, since a star would have its joint in the hub.
#[test]
fn ten_ends_are_still_exact() {
    let mut graph = Plain::default();
    let ring: Vec<NodeIndex> = (0..10).map(|_| graph.add_node(())).collect();
    let hub = graph.add_node(());
    for (i, node) in ring.iter().enumerate() {
        graph.add_edge(*node, ring[(i + 1) % 10], 10);
        graph.add_edge(*node, hub, 6);
    }
    let ends: Vec<(usize, usize)> = (0..10).map(|n| (n, 1)).collect();
    let open = tree_of(&graph, &[true; 11], &ends).unwrap();
    assert_eq!((open.weight, open.joints.as_slice(), open.exact), (60, &[hub][..], true));
    let mut joinable = [true; 11];
    joinable[hub.index()] = false;
    let shut = tree_of(&graph, &joinable, &ends).unwrap();
    assert_eq!((shut.weight, shut.joints.len(), shut.exact), (90, 8, true));
}

#[test]
fn what_cannot_be_joined_has_no_tree() {
    let mut graph = Plain::default();
    let [a, b, c] = [(); 3].map(|()| graph.add_node(()));
    graph.add_edge(a, b, 5);
    assert!(tree_of(&graph, &[true; 3], &[(0, 1), (1, 1), (c.index(), 1)]).is_none());
    assert!(tree_of(&graph, &[false; 3], &[(0, 1), (0, 1), (1, 1)]).is_none());
    assert!(tree_of(&graph, &[true; 3], &[]).is_none());
    let alone = tree_of(&graph, &[true; 3], &[(0, 1)]).unwrap();
    assert_eq!((alone.weight, alone.joints.len()), (0, 0));
    let wire = tree_of(&graph, &[false; 3], &[(0, 1), (1, 1)]).unwrap();
    assert_eq!((wire.weight, wire.hangs_on), (5, vec![None, None]));
}

/// A graph of the oracles: links as `[a, b, weight]`.
#[derive(Deserialize)]
struct Given {
    nodes: usize,
    edges: Vec<(usize, usize, u64)>,
    terminals: Vec<usize>,
    #[serde(default)]
    times: Vec<usize>,
    weight: Option<u64>,
    sum: Option<u64>,
}

fn given(text: &str) -> Vec<Given> {
    serde_json::from_str(text).expect("graphs")
}

/// Weights of minimum Steiner trees by integer programming: tests/reference/oracles/MADE.txt.
#[test]
fn the_least_tree_is_as_light_as_integer_programming_finds() {
    let known = given(include_str!("../reference/oracles/steiner_trees.json"));
    assert!(known.len() >= 20);
    for (i, known) in known.iter().enumerate() {
        let mut graph = Plain::default();
        let nodes: Vec<NodeIndex> = (0..known.nodes).map(|_| graph.add_node(())).collect();
        for (a, b, weight) in &known.edges {
            graph.add_edge(nodes[*a], nodes[*b], *weight);
        }
        let ends: Vec<(usize, usize)> = known.terminals.iter().map(|t| (*t, 1)).collect();
        let tree = tree_of(&graph, &vec![true; known.nodes], &ends).expect("a tree");
        assert_eq!((Some(tree.weight), tree.exact), (known.weight, true), "graph {i}");
    }
}

/// Least sums of distances by all pairs of shortest paths, same source: what the splice of a join takes whose ends lie
/// at the terminals, as many as the oracle counts there.
#[test]
fn a_splice_lies_at_the_median() {
    let known = given(include_str!("../reference/oracles/medians.json"));
    assert!(known.len() >= 20);
    for (i, known) in known.iter().enumerate() {
        let mut text = String::from(
            "fairlead: 1
harness: {title: Test loom, drawing: T-1, thermocouple-colours: ansi, default-wire: etfe-22}
zones: {cabin: {}}
route:\n",
        );
        for (a, b, weight) in &known.edges {
            text += &format!("  - {{from: n{a}, to: n{b}, zone: cabin, length: {weight} mm}}\n");
        }
        text += "sensors:\n";
        let mut ends = Vec::new();
        for (terminal, times) in known.terminals.iter().zip(&known.times) {
            for k in 0..*times {
                text += &format!("  S{terminal}-{k}: {{part: oil-temperature-2wire, at: n{terminal}}}\n");
                ends.push(format!("S{terminal}-{k}.return"));
            }
        }
        text += &format!("circuits: {{J: {{join: [{}], kind: ground}}}}\n", ends.join(", "));
        let loom = Loom::sound(&text);
        let h = &loom.harness;
        let length = |id| loom.routing.path_of(h, id).expect("a path").length;
        let wire: Length = h.conductor_ids().map(length).sum();
        assert_eq!(Some(wire.mm().round() as u64), known.sum, "graph {i}");
    }
}
