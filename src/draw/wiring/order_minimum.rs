//! The order of small charts against every other order that they may take, tried one by one.

use super::anew::Dice;
use super::chart::{Chart, NodeId, RowId, Terminal, What};
use super::order::{Effort, order};
use super::order_sat;
use super::seat::{Ranks, Side};
use crate::harness::ConductorId;

/// Three ranks of zones that keep their places, with devices that may change theirs and rows that sometimes may;
/// links between neighbouring ranks and now and then back to the same one.
fn some_chart(dice: &mut Dice) -> Chart {
    let mut chart = Chart { ranks: Ranks { first: vec![0], column: vec![0; 3] }, ..Chart::default() };
    let mut rows: Vec<Vec<RowId>> = Vec::new();
    for _ in 0..3 {
        let root = chart.node(What::Rank, None);
        chart.nodes[root].free = false;
        chart.roots.push(root);
        let mut own = Vec::new();
        for _ in 0..1 + dice.roll(2) {
            let zone = chart.node(What::Port, Some(root));
            for _ in 0..1 + dice.roll(3) {
                let leaf = chart.node(What::Strand, Some(zone));
                let same = dice.roll(2) == 0;
                for class in 0..1 + dice.roll(2) {
                    own.push(chart.row(leaf, if same { 0 } else { class as u32 }));
                }
            }
        }
        rows.push(own);
    }
    let mut conductors = 0;
    for channel in 1..3 {
        let ends = |rank: usize, side: Side| rows[rank].iter().map(move |row| Terminal { row: *row, side });
        let mut free: Vec<Terminal> =
            ends(channel - 1, Side::Right).chain(ends(channel, Side::Left)).collect();
        while free.len() > 1 {
            let one = free.swap_remove(dice.roll(free.len()));
            let across: Vec<usize> = (0..free.len()).filter(|i| free[*i].side != one.side).collect();
            let other = match across.len() {
                0 => continue,
                n if dice.roll(12) > 0 => across[dice.roll(n)],
                _ => dice.roll(free.len()),
            };
            let other = free.swap_remove(other);
            chart.link(ConductorId::at(conductors), channel, [one, other]);
            conductors += 1;
        }
    }
    chart
}

/// The rows of a rank from the top.
fn listed(chart: &Chart, node: NodeId, out: &mut Vec<RowId>) {
    out.extend(&chart.nodes[node].rows);
    for child in &chart.nodes[node].children {
        listed(chart, *child, out);
    }
}

/// Crossings, pair by pair: a link parts its channel in two, and another one crosses it if it has an end in each part.
fn crossings(chart: &Chart) -> usize {
    let mut height = vec![0_usize; chart.rows.len()];
    for root in &chart.roots {
        let mut rows = Vec::new();
        listed(chart, *root, &mut rows);
        for (y, row) in rows.into_iter().enumerate() {
            height[row] = y;
        }
    }
    // True for an end that lies above a link: nearer to the channel's top on its own side.
    let above = |end: Terminal, link: [Terminal; 2]| {
        let [a, b] = link;
        let y = |t: Terminal| height[t.row];
        if a.side != b.side {
            let on_side = if a.side == end.side { a } else { b };
            return y(end) < y(on_side);
        }
        // A link that comes back shuts in what lies between its ends.
        end.side != a.side || y(end) < y(a).min(y(b)) || y(end) > y(a).max(y(b))
    };
    let mut count = 0;
    for (i, one) in chart.links.iter().enumerate() {
        for other in chart.links.iter().skip(i + 1).filter(|l| l.channel == one.channel) {
            count += usize::from(above(other.ends[0], one.ends) != above(other.ends[1], one.ends));
        }
    }
    count
}

/// Whatever may be put into another order: children of a free node, or rows of one class.
#[derive(Clone, Copy)]
enum Run {
    Children(NodeId),
    Rows(NodeId, usize, usize),
}

fn runs(chart: &Chart) -> Vec<Run> {
    let mut out = Vec::new();
    for (id, node) in chart.nodes.iter().enumerate() {
        if node.free && node.children.len() > 1 {
            out.push(Run::Children(id));
        }
        let mut start = 0;
        while start < node.rows.len() {
            let class = chart.rows[node.rows[start]].class;
            let size = node.rows[start..].iter().take_while(|r| chart.rows[**r].class == class).count();
            if size > 1 {
                out.push(Run::Rows(id, start, size));
            }
            start += size;
        }
    }
    out
}

fn swap(chart: &mut Chart, run: Run, i: usize, j: usize) {
    match run {
        Run::Children(node) => chart.nodes[node].children.swap(i, j),
        Run::Rows(node, start, _) => chart.nodes[node].rows.swap(start + i, start + j),
    }
}

/// The fewest crossings of all orders; `at` is the next place of the first run that is not yet fixed.
fn fewest(chart: &mut Chart, left: &[Run], at: usize) -> usize {
    let Some((run, rest)) = left.split_first() else { return crossings(chart) };
    let size = match *run {
        Run::Children(node) => chart.nodes[node].children.len(),
        Run::Rows(_, _, size) => size,
    };
    if at + 1 >= size {
        return fewest(chart, rest, 0);
    }
    let mut best = usize::MAX;
    for i in at..size {
        swap(chart, *run, at, i);
        best = best.min(fewest(chart, left, at + 1));
        swap(chart, *run, at, i);
    }
    best
}

fn orders(chart: &Chart) -> usize {
    let size = |run: &Run| match *run {
        Run::Children(node) => chart.nodes[node].children.len(),
        Run::Rows(_, _, size) => size,
    };
    runs(chart).iter().map(|r| (1..=size(r)).product::<usize>()).product()
}

#[test]
fn small_charts_have_as_few_crossings_as_they_can() {
    let mut dice = Dice(0x9E37_79B9_7F4A_7C15);
    let (mut tried, mut crossed, mut over) = (0, 0, 0);
    while tried < 300 {
        let mut chart = some_chart(&mut dice);
        if orders(&chart) > 3_000 {
            continue;
        }
        tried += 1;
        let left = runs(&chart);
        let least = fewest(&mut chart, &left, 0);
        assert_eq!(order_sat::fewest(&chart, crossings(&chart)), least, "the solver is told the same");
        let found = order(&mut chart, Effort::Full);
        assert_eq!(found, crossings(&chart), "counted as by pairs");
        crossed += usize::from(least > 0);
        over += found - least;
    }
    assert!(crossed > 50, "the charts are too easy");
    assert_eq!(over, 0, "of {tried}");
}
