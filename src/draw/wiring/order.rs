//! A chart in; the same chart with everything that may change places ordered so that few conductors cross, out.
//!
//! Layer by layer: each node goes to the mean place of what its rows are linked to (barycentre, forth and back), then
//! the parts of each node take the order with the fewest crossings, exactly where they are few (see
//! [`super::order_exact`]), else by exchanging neighbours while that saves crossings. The best order met is kept, the order of the spec if nothing is
//! better; at last whole circuits are moved (see [`super::sift`]), and a small chart is begun anew from other orders (see
//! [`super::anew`]). Links in a channel are chords: two of them must cross exactly if their ends alternate around it.
//! Cost: O(n log n) for each of a fixed number of sweeps. Source of the method: Sugiyama, Tagawa, Toda (1981).

use super::anew::begin_anew;
use super::chart::{Chart, Link, LinkId, NodeId, RowId, Terminal};
use super::order_exact;
use super::seat::Side;
use super::sift::sift;

/// Sweeps forth and back.
const SWEEPS: usize = 12;
/// Rounds of exchanges.
const ROUNDS: usize = 16;

pub(super) struct Sorter<'a> {
    /// The chart.
    pub chart: &'a mut Chart,
    /// Place of each row in its rank.
    place: Vec<i64>,
    /// Rank of each row.
    rank: Vec<usize>,
    /// Number of rows of each rank.
    size: Vec<i64>,
    /// Links of each channel.
    channels: Vec<Vec<LinkId>>,
}

/// A link as a chord of its channel: the places around it of both its ends.
#[derive(Clone, Copy)]
struct Chord {
    first: i64,
    last: i64,
}

impl Chord {
    /// True where the ends of the two alternate.
    fn crosses(self, other: Chord) -> bool {
        let within = |at: i64, of: Chord| of.first < at && at < of.last;
        (within(other.first, self) && self.last < other.last)
            || (within(self.first, other) && other.last < self.last)
    }
}

/// How much is tried.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Effort {
    /// For a layout that is measured and thrown away.
    Trial,
    /// For one that is drawn.
    Full,
}

/// Orders the chart; returns how many crossings are left.
pub(super) fn order(chart: &mut Chart, effort: Effort) -> usize {
    let rows = chart.rows.len();
    let ranks = chart.roots.len();
    let mut channels = vec![Vec::new(); ranks + 1];
    for (i, link) in chart.links.iter().enumerate() {
        channels[link.channel].push(i);
    }
    let mut sorter =
        Sorter { chart, place: vec![0; rows], rank: vec![0; rows], size: vec![0; ranks], channels };
    for rank in 0..ranks {
        sorter.number(rank);
    }
    sorter.exchange_all();
    let mut best = sorter.crossings();
    let mut kept = sorter.state();
    for sweep in 0..if effort == Effort::Full { SWEEPS } else { 2 } {
        if best == 0 {
            break;
        }
        let side = if sweep % 2 == 0 { Side::Right } else { Side::Left };
        let order: Vec<usize> =
            if side == Side::Left { (0..ranks).collect() } else { (0..ranks).rev().collect() };
        for rank in order {
            sorter.centre(rank, side);
        }
        let swept = sorter.state();
        sorter.exchange_all();
        let now = sorter.crossings();
        if now < best {
            (best, kept) = (now, sorter.state());
        }
        // The next sweep goes on from what this one found, not from where the exchanges led.
        sorter.restore(swept);
    }
    sorter.restore(kept);
    if effort == Effort::Trial {
        return best;
    }
    best = sift(&mut sorter, best);
    begin_anew(&mut sorter, best)
}

/// The order of everything.
pub(super) type State = Vec<(Vec<NodeId>, Vec<RowId>)>;

impl Sorter<'_> {
    pub fn state(&self) -> State {
        self.chart.nodes.iter().map(|n| (n.children.clone(), n.rows.clone())).collect()
    }

    pub fn restore(&mut self, state: State) {
        for (node, (children, rows)) in self.chart.nodes.iter_mut().zip(state) {
            node.children = children;
            node.rows = rows;
        }
        for rank in 0..self.size.len() {
            self.number(rank);
        }
    }

    /// Numbers the rows of a rank anew.
    pub fn number(&mut self, rank: usize) {
        let rows = self.chart.rows_of(self.chart.roots[rank]);
        self.size[rank] = rows.len() as i64;
        for (i, row) in rows.into_iter().enumerate() {
            self.place[row] = i as i64;
            self.rank[row] = rank;
        }
    }

    /// Place around the channel: down its left edge, then up its right edge.
    fn around(&self, end: Terminal) -> i64 {
        match end.side {
            Side::Right => self.place[end.row],
            Side::Left => i64::MAX - self.place[end.row],
        }
    }

    fn chord(&self, link: &Link) -> Chord {
        let (a, b) = (self.around(link.ends[0]), self.around(link.ends[1]));
        Chord { first: a.min(b), last: a.max(b) }
    }

    fn cross(&self, one: LinkId, other: LinkId) -> bool {
        self.chord(&self.chart.links[one]).crosses(self.chord(&self.chart.links[other]))
    }

    /// Crossings in all channels.
    pub fn crossings(&self) -> usize {
        self.channels.iter().map(|links| self.crossings_in(links)).sum()
    }

    /// Chords that alternate, counted with a tree of sums over the opened chords.
    fn crossings_in(&self, links: &[LinkId]) -> usize {
        let mut ends: Vec<(i64, usize)> = Vec::with_capacity(links.len() * 2);
        for (i, link) in links.iter().enumerate() {
            let Chord { first, last } = self.chord(&self.chart.links[*link]);
            ends.extend([(first, i), (last, i)]);
        }
        ends.sort_unstable();
        let mut opened: Vec<Option<usize>> = vec![None; links.len()];
        let mut sums = Sums(vec![0; ends.len() + 1]);
        let mut crossings = 0;
        for (at, (_, link)) in ends.into_iter().enumerate() {
            match opened[link] {
                None => {
                    opened[link] = Some(at);
                    sums.add(at, 1);
                }
                Some(start) => {
                    sums.add(start, -1);
                    // Chords opened later that are still open end beyond this one.
                    crossings += sums.before(at) - sums.before(start);
                }
            }
        }
        usize::try_from(crossings).unwrap_or(0)
    }

    /// Mean place of what a row is linked to on one side, as a share of that rank's height.
    fn pull(&self, row: RowId, side: Side) -> Option<f64> {
        let link = &self.chart.links[self.chart.rows[row].link(side)?];
        let here = Terminal { row, side };
        let other = if link.ends[0] == here { link.ends[1] } else { link.ends[0] };
        let size = self.size[self.rank[other.row]].max(1);
        Some((self.place[other.row] as f64 + 0.5) / size as f64)
    }

    /// Sorts one rank by what lies on one side of it.
    fn centre(&mut self, rank: usize, side: Side) {
        self.centre_node(self.chart.roots[rank], side);
        self.number(rank);
    }

    /// Sum and number of the pulls below a node, whose parts are sorted on the way.
    fn centre_node(&mut self, node: NodeId, side: Side) -> (f64, usize) {
        let rows = self.chart.nodes[node].rows.clone();
        let mut sum = (0.0, 0);
        if !rows.is_empty() {
            let pulls: Vec<Option<f64>> = rows.iter().map(|r| self.pull(*r, side)).collect();
            for pull in pulls.iter().flatten() {
                sum = (sum.0 + pull, sum.1 + 1);
            }
            // Within a class only: a class is a run of neighbours.
            let mut sorted: Vec<RowId> = Vec::with_capacity(rows.len());
            let class = |row: &RowId| self.chart.rows[*row].class;
            for group in rows.iter().zip(&pulls).collect::<Vec<_>>().chunk_by(|a, b| class(a.0) == class(b.0))
            {
                sorted.extend(by_pull(group.iter().map(|(row, pull)| (**row, **pull)).collect()));
            }
            self.chart.nodes[node].rows = sorted;
            return sum;
        }
        let children = self.chart.nodes[node].children.clone();
        let mut pulled = Vec::with_capacity(children.len());
        for child in children {
            let (total, count) = self.centre_node(child, side);
            sum = (sum.0 + total, sum.1 + count);
            pulled.push((child, (count > 0).then(|| total / count as f64)));
        }
        if self.chart.nodes[node].free {
            self.chart.nodes[node].children = by_pull(pulled);
        }
        sum
    }

    /// Sorts the parts of every node exactly where they are few, else exchanges neighbours, until nothing is saved.
    pub fn exchange_all(&mut self) {
        for _ in 0..ROUNDS {
            let mut saved = 0;
            for node in 0..self.chart.nodes.len() {
                saved += self.best_children(node).unwrap_or_else(|| self.exchange(node));
                saved += self.best_rows(node);
            }
            if saved == 0 {
                break;
            }
        }
    }

    /// Puts the children of a node into the order with the fewest crossings, all else being as it is; returns how many
    /// that saves. None where they are too many, or one is linked to another, so that pairs do not tell the whole.
    fn best_children(&mut self, node: NodeId) -> Option<i64> {
        let children = self.chart.nodes[node].children.clone();
        if !self.chart.nodes[node].free || !(2..=order_exact::MOST).contains(&children.len()) {
            return None;
        }
        let groups: Vec<Vec<RowId>> = children.iter().map(|c| self.chart.rows_of(*c)).collect();
        let (order, saved) = self.best_groups(&groups)?;
        if saved > 0 {
            self.chart.nodes[node].children = order.iter().map(|i| children[*i]).collect();
            self.renumber(&groups, &order);
        }
        Some(saved)
    }

    /// The same for the rows of each class of a leaf.
    fn best_rows(&mut self, node: NodeId) -> i64 {
        let rows = self.chart.nodes[node].rows.clone();
        let class = |row: &RowId| self.chart.rows[*row].class;
        let mut start = 0;
        let mut saved = 0;
        let sizes: Vec<usize> = rows.chunk_by(|a, b| class(a) == class(b)).map(<[RowId]>::len).collect();
        for size in sizes {
            let own = &rows[start..start + size];
            if (2..=order_exact::MOST).contains(&size) {
                let groups: Vec<Vec<RowId>> = own.iter().map(|r| vec![*r]).collect();
                if let Some((order, gain)) = self.best_groups(&groups).filter(|(_, gain)| *gain > 0) {
                    for (i, from) in order.iter().enumerate() {
                        self.chart.nodes[node].rows[start + i] = own[*from];
                    }
                    self.renumber(&groups, &order);
                    saved += gain;
                }
            }
            start += size;
        }
        saved
    }

    /// The best order of neighbouring groups of rows, and how many crossings it saves.
    fn best_groups(&self, groups: &[Vec<RowId>]) -> Option<(Vec<usize>, i64)> {
        let count = groups.len();
        let mut costs = vec![0_u64; count * count];
        // Links with one end in a group, and the groups.
        let mut links: Vec<(LinkId, usize)> = Vec::new();
        for side in [Side::Left, Side::Right] {
            links.clear();
            for (i, group) in groups.iter().enumerate() {
                self.single_ends(group, side, |link| links.push((link, i)));
            }
            links.sort_unstable();
            if links.windows(2).any(|pair| pair[0].0 == pair[1].0) {
                return None;
            }
            links.sort_unstable_by_key(|(link, i)| (*i, *link));
            let chords: Vec<(Chord, usize)> =
                links.iter().map(|(link, i)| (self.chord(&self.chart.links[*link]), *i)).collect();
            for (at, (one, i)) in chords.iter().enumerate() {
                for (other, j) in chords[at + 1..].iter().filter(|(_, j)| j != i) {
                    let kept = one.crosses(*other);
                    costs[if kept { i * count + j } else { j * count + i }] += 1;
                }
            }
        }
        // Where no pair gains by changing places, no order does.
        let may_gain = |i: usize| (i + 1..count).any(|j| costs[i * count + j] > costs[j * count + i]);
        if !(0..count).any(may_gain) {
            return Some(((0..count).collect(), 0));
        }
        let order = order_exact::best_order(count, |a, b| costs[a * count + b]);
        let sum = |order: &[usize]| -> u64 {
            let pairs =
                order.iter().enumerate().flat_map(|(i, a)| order[i + 1..].iter().map(move |b| (a, b)));
            pairs.map(|(a, b)| costs[a * count + b]).sum()
        };
        let before: Vec<usize> = (0..count).collect();
        let saved = i64::try_from(sum(&before)).unwrap_or(0) - i64::try_from(sum(&order)).unwrap_or(0);
        Some((order, saved))
    }

    /// Gives neighbouring groups of rows the places that they had together, in a new order.
    fn renumber(&mut self, groups: &[Vec<RowId>], order: &[usize]) {
        let Some(start) = groups.iter().flatten().map(|r| self.place[*r]).min() else { return };
        for (i, row) in order.iter().flat_map(|g| &groups[*g]).enumerate() {
            self.place[*row] = start + i as i64;
        }
    }

    /// Exchanges neighbours within one node while that saves crossings; returns how many it saved.
    fn exchange(&mut self, node: NodeId) -> i64 {
        let mut saved = 0;
        if self.chart.nodes[node].free {
            for i in 1..self.chart.nodes[node].children.len() {
                let (a, b) = (self.chart.nodes[node].children[i - 1], self.chart.nodes[node].children[i]);
                let (upper, lower) = (self.chart.rows_of(a), self.chart.rows_of(b));
                let gain = self.gain(&upper, &lower);
                if gain > 0 {
                    self.chart.nodes[node].children.swap(i - 1, i);
                    self.swap_places(&upper, &lower);
                    saved += gain;
                }
            }
        }
        for i in 1..self.chart.nodes[node].rows.len() {
            let (a, b) = (self.chart.nodes[node].rows[i - 1], self.chart.nodes[node].rows[i]);
            if self.chart.rows[a].class != self.chart.rows[b].class {
                continue;
            }
            let gain = self.gain(&[a], &[b]);
            if gain > 0 {
                self.chart.nodes[node].rows.swap(i - 1, i);
                self.swap_places(&[a], &[b]);
                saved += gain;
            }
        }
        saved
    }

    fn swap_places(&mut self, upper: &[RowId], lower: &[RowId]) {
        let Some(start) = upper.first().map(|r| self.place[*r]) else { return };
        for (i, row) in lower.iter().chain(upper).enumerate() {
            self.place[*row] = start + i as i64;
        }
    }

    /// Crossings saved by exchanging two neighbouring groups of rows: each pair of links with one end in either group
    /// crosses afterwards exactly if it does not before.
    fn gain(&self, upper: &[RowId], lower: &[RowId]) -> i64 {
        let mut gain = 0;
        for side in [Side::Left, Side::Right] {
            let (mut above, mut below) = (Vec::new(), Vec::new());
            self.single_ends(upper, side, |link| above.push(link));
            self.single_ends(lower, side, |link| below.push(link));
            for one in &above {
                for other in below.iter().filter(|o| *o != one) {
                    gain += if self.cross(*one, *other) { 1 } else { -1 };
                }
            }
        }
        gain
    }

    /// Tells of the links that have exactly one end on this side of the rows, in rising order.
    fn single_ends(&self, rows: &[RowId], side: Side, mut told: impl FnMut(LinkId)) {
        let link = |row: &RowId| self.chart.rows[*row].link(side);
        if let [row] = rows {
            return link(row).into_iter().for_each(told);
        }
        let mut links: Vec<LinkId> = rows.iter().filter_map(link).collect();
        links.sort_unstable();
        links.chunk_by(|a, b| a == b).filter(|c| c.len() == 1).flatten().for_each(|link| told(*link));
    }
}

/// Sorts what is pulled by its pull; what is not pulled keeps its place. Ties keep their order.
fn by_pull<T: Copy>(items: Vec<(T, Option<f64>)>) -> Vec<T> {
    let mut pulled: Vec<(T, f64)> = items.iter().filter_map(|(t, p)| Some((*t, (*p)?))).collect();
    pulled.sort_by(|a, b| a.1.total_cmp(&b.1));
    let mut pulled = pulled.into_iter().map(|(t, _)| t);
    items.into_iter().filter_map(|(t, p)| if p.is_some() { pulled.next() } else { Some(t) }).collect()
}

/// Sums over a growing prefix. Source: Fenwick (1994).
struct Sums(Vec<i64>);

impl Sums {
    fn add(&mut self, at: usize, by: i64) {
        let mut i = at + 1;
        while let Some(sum) = self.0.get_mut(i) {
            *sum += by;
            i += i & i.wrapping_neg();
        }
    }

    /// Sum of all before `at`.
    fn before(&self, at: usize) -> i64 {
        let mut i = at;
        let mut sum = 0;
        while i > 0 {
            sum += self.0.get(i).copied().unwrap_or(0);
            i -= i & i.wrapping_neg();
        }
        sum
    }
}

#[cfg(test)]
mod tests {
    use super::super::chart::What;
    use super::super::seat::Ranks;
    use super::*;
    use crate::harness::ConductorId;

    /// Two ranks of single rows, joined as told.
    fn chart(left: usize, right: usize, joined: &[(usize, usize)]) -> Chart {
        let mut chart = Chart { ranks: Ranks { first: vec![0], column: vec![0, 0] }, ..Chart::default() };
        let mut rows: Vec<Vec<RowId>> = Vec::new();
        for count in [left, right] {
            let root = chart.node(What::Rank, None);
            chart.roots.push(root);
            let add = |_| {
                let leaf = chart.node(What::Strand, Some(root));
                chart.row(leaf, 0)
            };
            rows.push((0..count).map(add).collect());
        }
        for (i, (a, b)) in joined.iter().enumerate() {
            let ends = [
                Terminal { row: rows[0][*a], side: Side::Right },
                Terminal { row: rows[1][*b], side: Side::Left },
            ];
            chart.link(ConductorId::at(i), 1, ends);
        }
        chart
    }

    fn crossings_by_pairs(chart: &Chart) -> usize {
        let place = |rank: usize, row: RowId| {
            chart.rows_of(chart.roots[rank]).iter().position(|r| *r == row).expect("a place")
        };
        let ends: Vec<(usize, usize)> =
            chart.links.iter().map(|l| (place(0, l.ends[0].row), place(1, l.ends[1].row))).collect();
        let crossed = |(i, a): (usize, &(usize, usize))| {
            ends.iter().skip(i + 1).filter(|b| (a.0 < b.0) != (a.1 < b.1)).count()
        };
        ends.iter().enumerate().map(crossed).sum()
    }

    #[test]
    fn a_plain_permutation_is_undone() {
        let joined: Vec<(usize, usize)> = (0..23).map(|i| (i, (i * 7 + 3) % 23)).collect();
        let mut chart = chart(23, 23, &joined);
        assert!(crossings_by_pairs(&chart) > 50);
        assert_eq!(order(&mut chart, Effort::Full), 0);
        assert_eq!(crossings_by_pairs(&chart), 0);
    }

    #[test]
    fn what_is_in_order_stays_as_it_is() {
        let joined: Vec<(usize, usize)> = (0..9).map(|i| (i, i)).collect();
        let mut chart = chart(9, 9, &joined);
        let before = chart.rows_of(chart.roots[0]);
        assert_eq!(order(&mut chart, Effort::Full), 0);
        assert_eq!(chart.rows_of(chart.roots[0]), before);
    }

    #[test]
    fn fixed_orders_are_kept_and_their_crossings_counted() {
        let joined: Vec<(usize, usize)> = (0..6).map(|i| (i, 5 - i)).collect();
        let mut chart = chart(6, 6, &joined);
        for root in chart.roots.clone() {
            chart.nodes[root].free = false;
        }
        // Six that are all turned round cross in every pair.
        assert_eq!(order(&mut chart, Effort::Full), 15);
        assert_eq!(crossings_by_pairs(&chart), 15);
    }
}
