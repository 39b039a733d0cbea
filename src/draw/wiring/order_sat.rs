//! A chart in; the fewest crossings that any of its orders has, out: asked of a general-purpose solver.
//!
//! That one part stands above another is a statement, that two links cross is what follows from statements (see
//! [`Model::cross`]), and that no more than so many cross is a count of them. Whether all of that can be true at once
//! is left to `batsat`, which knows nothing of drawings. Nothing of [`super::order`] is used. Source of the count:
//! Sinz (2005), sequential counter, from memory.

use std::collections::BTreeMap;

use batsat::{BasicSolver, Lit, SolverInterface, lbool};

use super::chart::{Chart, Link, NodeId, RowId, Terminal};

/// The fewest crossings of all orders of a chart, of which one is known to have `known`.
pub(super) fn fewest(chart: &Chart, known: usize) -> usize {
    let mut least = known;
    while least > 0 && Model::of(chart).allows(least - 1) {
        least -= 1;
    }
    least
}

struct Model<'a> {
    chart: &'a Chart,
    solver: BasicSolver,
    /// What is true in any case.
    sure: Lit,
    /// "The one stands above the other", for two parts of a node that may change places.
    above: BTreeMap<(NodeId, usize, usize), Lit>,
    /// For each pair of links whether they cross.
    crossed: Vec<Lit>,
}

impl Model<'_> {
    fn of(chart: &Chart) -> Model<'_> {
        let mut solver = BasicSolver::default();
        let sure = Lit::new(solver.new_var_default(), true);
        let mut model = Model { chart, solver, sure, above: BTreeMap::new(), crossed: Vec::new() };
        model.say(&[sure]);
        for (id, node) in chart.nodes.iter().enumerate() {
            if node.free {
                model.line_up(id, &node.children);
            }
            for class in node.rows.chunk_by(|a, b| chart.rows[*a].class == chart.rows[*b].class) {
                model.line_up(id, class);
            }
        }
        for (i, one) in chart.links.iter().enumerate() {
            for other in chart.links[i + 1..].iter().filter(|l| l.channel == one.channel) {
                let cross = model.cross(one, other);
                model.crossed.push(cross);
            }
        }
        model
    }

    fn say(&mut self, clause: &[Lit]) {
        self.solver.add_clause_reuse(&mut clause.to_vec());
    }

    fn statement(&mut self) -> Lit {
        Lit::new(self.solver.new_var_default(), true)
    }

    /// Parts that may stand in any order, but in one: what is above what is above a third, is above the third.
    fn line_up(&mut self, node: NodeId, parts: &[usize]) {
        for (i, a) in parts.iter().enumerate() {
            for b in &parts[i + 1..] {
                let above = self.statement();
                self.above.insert((node, *a, *b), above);
                self.above.insert((node, *b, *a), !above);
            }
        }
        for a in parts {
            for b in parts.iter().filter(|b| *b != a) {
                for c in parts.iter().filter(|c| *c != a && *c != b) {
                    let above = |x: &usize, y: &usize| self.above[&(node, *x, *y)];
                    let clause = [!above(a, b), !above(b, c), above(a, c)];
                    self.say(&clause);
                }
            }
        }
    }

    /// Nodes from the rank down to a row, and the row.
    fn steps(&self, row: RowId) -> (Vec<NodeId>, RowId) {
        let mut nodes = vec![self.chart.rows[row].leaf];
        while let Some(parent) = nodes.last().and_then(|n| self.chart.nodes[*n].parent) {
            nodes.push(parent);
        }
        nodes.reverse();
        (nodes, row)
    }

    /// "The one row is above the other", for rows of one rank.
    fn is_above(&self, one: RowId, other: RowId) -> Lit {
        let ((a, _), (b, _)) = (self.steps(one), self.steps(other));
        let parted = a.iter().zip(&b).position(|(x, y)| x != y);
        let (node, x, y) = match parted {
            Some(at) => (a[at - 1], a[at], b[at]),
            None => (self.chart.rows[one].leaf, one, other),
        };
        if let Some(above) = self.above.get(&(node, x, y)) {
            return *above;
        }
        // What may not change places stays as it is.
        let place = |part: usize| {
            let parts = if parted.is_some() {
                &self.chart.nodes[node].children
            } else {
                &self.chart.nodes[node].rows
            };
            parts.iter().position(|p| *p == part)
        };
        if place(x) < place(y) { self.sure } else { !self.sure }
    }

    /// "Just one of both."
    fn either(&mut self, a: Lit, b: Lit) -> Lit {
        let out = self.statement();
        for clause in [[!a, !b, !out], [a, b, !out], [!a, b, out], [a, !b, out]] {
            self.say(&clause);
        }
        out
    }

    /// "The end lies on that side of the link": above one that goes across, outside one that comes back.
    fn side(&mut self, end: Terminal, link: &Link) -> Lit {
        let [a, b] = link.ends;
        if a.side != b.side {
            let own = if a.side == end.side { a } else { b };
            return self.is_above(end.row, own.row);
        }
        if end.side != a.side {
            return self.sure;
        }
        let (over, under) = (self.is_above(a.row, end.row), self.is_above(end.row, b.row));
        self.either(over, under)
    }

    /// "They cross": a link parts its channel in two, and the other one has an end in each part.
    fn cross(&mut self, one: &Link, other: &Link) -> Lit {
        let [a, b] = other.ends.map(|end| self.side(end, one));
        self.either(a, b)
    }

    /// True where an order has no more than so many crossings.
    fn allows(mut self, most: usize) -> bool {
        let mut before: Vec<Lit> = vec![!self.sure; most + 1];
        for cross in std::mem::take(&mut self.crossed) {
            // After each pair: "of those up to here more than so many cross".
            let after: Vec<Lit> = (0..=most).map(|_| self.statement()).collect();
            for i in 0..=most {
                self.say(&[!before[i], after[i]]);
                let fewer = if i == 0 { self.sure } else { before[i - 1] };
                self.say(&[!cross, !fewer, after[i]]);
            }
            self.say(&[!after[most]]);
            before = after;
        }
        let answer = self.solver.solve_limited(&[]);
        assert!(answer == lbool::TRUE || answer == lbool::FALSE, "the solver gave up");
        answer == lbool::TRUE
    }
}
