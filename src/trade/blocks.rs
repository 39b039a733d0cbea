//! A graph in; its blocks out: edges that lie on a common closed way that passes each node once, or a single edge that lies
//! on none.
//!
//! One depth-first search from the root, then from every node not yet reached. A tree edge opens a block where nothing
//! below it leads back above its upper end (Hopcroft and Tarjan 1973, from memory); an edge that leads back belongs to the
//! block of the tree edge below it. Edges from a node to itself are in no block. O(nodes + edges), no recursion. Blocks are
//! numbered in the order in which the search opens them.

/// The blocks of a graph, and the tree of the search that found them.
#[derive(Clone, Debug, Default)]
pub struct Blocks {
    /// Block of each edge; `None` for an edge from a node to itself.
    pub block_of: Vec<Option<usize>>,
    /// The nodes of each block below its top, the one that the search came to first at their head.
    pub below: Vec<Vec<usize>>,
    /// How many edges each block has.
    pub edges_in: Vec<usize>,
    /// Node above and the block of the edge to it; `None` at a root.
    pub up: Vec<Option<(usize, usize)>>,
    /// How many edges of the tree lie above each node.
    pub depth: Vec<usize>,
    /// Nodes in the order in which the search met them.
    pub order: Vec<usize>,
    /// The node from which the search came to each node first.
    pub root_of: Vec<usize>,
}

struct Search {
    met: Vec<usize>,
    low: Vec<usize>,
    up_edge: Vec<Option<(usize, usize)>>,
    order: Vec<usize>,
    back: Vec<(usize, usize)>,
}

impl Blocks {
    /// The blocks of these edges over so many nodes, searched from `root`.
    pub fn of(nodes: usize, root: usize, edges: &[[usize; 2]]) -> Blocks {
        let search = Search::over(nodes, root, edges);
        let mut made = Blocks {
            block_of: vec![None; edges.len()],
            below: Vec::new(),
            edges_in: Vec::new(),
            up: vec![None; nodes],
            depth: vec![0; nodes],
            order: Vec::new(),
            root_of: (0..nodes).collect(),
        };
        for node in &search.order {
            let Some((above, edge)) = search.up_edge[*node] else { continue };
            let opens = search.low[*node] >= search.met[above];
            let block = match made.up[above] {
                Some((_, block)) if !opens => block,
                _ => {
                    made.below.push(Vec::new());
                    made.edges_in.push(0);
                    made.below.len() - 1
                }
            };
            made.below[block].push(*node);
            made.edges_in[block] += 1;
            made.block_of[edge] = Some(block);
            made.up[*node] = Some((above, block));
            made.depth[*node] = made.depth[above] + 1;
            made.root_of[*node] = made.root_of[above];
        }
        for (edge, node) in search.back {
            if let Some((_, block)) = made.up[node] {
                made.block_of[edge] = Some(block);
                made.edges_in[block] += 1;
            }
        }
        made.order = search.order;
        made
    }

    /// The node by which a block hangs on what lies nearer to the root.
    pub fn top(&self, block: usize) -> Option<usize> {
        let first = self.below.get(block)?.first()?;
        self.up[*first].map(|(above, _)| above)
    }

    /// For each block, the first of these ways, given by their ends, that goes through it; ways between nodes that do not
    /// hang together go to their roots. Each edge of the tree is walked once, whatever the number and length of the ways:
    /// what a way has passed is joined to what lies above, and the ways after it leap over it (union-find with paths that
    /// are shortened, not joined by rank, for the topmost has to stay on top: O(log V) a leap, taken over all).
    pub fn first_through(&self, ways: impl IntoIterator<Item = [usize; 2]>) -> Vec<Option<usize>> {
        let mut first = vec![None; self.below.len()];
        let mut above: Vec<usize> = (0..self.up.len()).collect();
        for (i, [from, to]) in ways.into_iter().enumerate() {
            let (mut a, mut b) = (leap(&mut above, from), leap(&mut above, to));
            while a != b {
                let deeper = if self.depth[a] >= self.depth[b] { &mut a } else { &mut b };
                // Two roots: there is no way.
                let Some((up, block)) = self.up[*deeper] else { break };
                first[block] = first[block].or(Some(i));
                above[*deeper] = up;
                *deeper = leap(&mut above, up);
            }
        }
        first
    }
}

/// The topmost node that is joined to this one; shortens the way for those who ask next.
fn leap(above: &mut [usize], node: usize) -> usize {
    let mut top = node;
    while above[top] != top {
        top = above[top];
    }
    let mut at = node;
    while above[at] != top {
        at = std::mem::replace(&mut above[at], top);
    }
    top
}

impl Search {
    fn over(nodes: usize, root: usize, edges: &[[usize; 2]]) -> Search {
        let mut start = vec![0; nodes + 1];
        let loops = |e: &[usize; 2]| e[0] == e[1];
        for end in edges.iter().filter(|e| !loops(e)).flatten() {
            start[end + 1] += 1;
        }
        for i in 0..nodes {
            start[i + 1] += start[i];
        }
        let mut next = start.clone();
        let mut beside = vec![(0, 0); start[nodes]];
        for (i, e) in edges.iter().enumerate().filter(|(_, e)| !loops(e)) {
            for (a, b) in [(e[0], e[1]), (e[1], e[0])] {
                beside[next[a]] = (b, i);
                next[a] += 1;
            }
        }
        let mut s = Search {
            met: vec![usize::MAX; nodes],
            low: vec![usize::MAX; nodes],
            up_edge: vec![None; nodes],
            order: Vec::with_capacity(nodes),
            back: Vec::new(),
        };
        let mut at = start.clone();
        for first in std::iter::once(root).chain(0..nodes).filter(|n| *n < nodes) {
            if s.met[first] != usize::MAX {
                continue;
            }
            s.meet(first);
            let mut stack = vec![first];
            while let Some(node) = stack.last().copied() {
                if at[node] < start[node + 1] {
                    let (other, edge) = beside[at[node]];
                    at[node] += 1;
                    if s.up_edge[node].is_some_and(|(_, up)| up == edge) {
                        continue;
                    }
                    if s.met[other] == usize::MAX {
                        s.up_edge[other] = Some((node, edge));
                        s.meet(other);
                        stack.push(other);
                    } else if s.met[other] < s.met[node] {
                        s.low[node] = s.low[node].min(s.met[other]);
                        s.back.push((edge, node));
                    }
                } else {
                    stack.pop();
                    if let Some((above, _)) = s.up_edge[node] {
                        s.low[above] = s.low[above].min(s.low[node]);
                    }
                }
            }
        }
        s
    }

    fn meet(&mut self, node: usize) {
        self.met[node] = self.order.len();
        self.low[node] = self.order.len();
        self.order.push(node);
    }
}
