//! A small chart that is ordered in; the same chart with fewer crossings, where beginning from other orders finds one, out.
//!
//! What exchanges lead to depends on where they begin. So they begin again: from an order that is all by chance, from the
//! best known with a few parts by chance, and from the best known with a few circuits moved past each other in every
//! rank that they share; always the same ones. An order as good as the best known takes its place, so that the search
//! wanders over plains. Source of the idea: iterated local search, Lourenço, Martin, Stützle (2003), from memory.
//! Cost: bounded; a fixed number of beginnings, of charts up to a fixed size.

use super::chart::NodeId;
use super::order::Sorter;
use super::sift::{shift, units};

/// Most links of a chart that is begun anew, and how often.
const SMALL: usize = 80;
const STARTS: usize = 240;
/// Most parts that are disordered at once, and circuits that are moved.
const KICKED: usize = 3;

/// What may change places, and how many there are of it.
#[derive(Clone, Copy, Debug)]
enum Run {
    Children(NodeId, usize),
    /// Rows of a leaf from a place on.
    Rows(NodeId, usize, usize),
}

/// Random numbers that are the same on every machine: xorshift64, Marsaglia 2003.
pub(super) struct Dice(pub u64);

impl Dice {
    pub fn roll(&mut self, below: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        usize::try_from(self.0 % below.max(1) as u64).unwrap_or(0)
    }
}

/// Begins anew while something crosses; returns how many crossings are left.
pub(super) fn begin_anew(sorter: &mut Sorter, crossings: usize) -> usize {
    if crossings == 0 || sorter.chart.links.len() > SMALL {
        return crossings;
    }
    let (mut best, mut kept) = (crossings, sorter.state());
    let (runs, groups) = (runs(sorter), units(sorter.chart));
    let mut dice = Dice(0x9E37_79B9_7F4A_7C15);
    for start in 0..STARTS {
        if start % 3 != 0 {
            sorter.restore(kept.clone());
        }
        match start % 3 {
            0 => runs.iter().for_each(|run| disorder(sorter, *run, &mut dice)),
            1 => {
                for _ in 0..=dice.roll(KICKED) {
                    let run = runs.get(dice.roll(runs.len())).copied();
                    run.into_iter().for_each(|run| disorder(sorter, run, &mut dice));
                }
            }
            _ => {
                for _ in 0..=dice.roll(KICKED) {
                    let Some(group) = groups.get(dice.roll(groups.len())) else { continue };
                    let (one, other) = (group.get(dice.roll(group.len())), group.get(dice.roll(group.len())));
                    if let (Some(one), Some(other)) = (one, other)
                        && one != other
                    {
                        shift(sorter.chart, one, other, dice.roll(2) == 0);
                    }
                }
            }
        }
        (0..sorter.chart.roots.len()).for_each(|rank| sorter.number(rank));
        sorter.exchange_all();
        let now = sorter.crossings();
        if now <= best {
            (best, kept) = (now, sorter.state());
        }
        if best == 0 {
            break;
        }
    }
    sorter.restore(kept);
    best
}

/// All that may change places.
fn runs(sorter: &Sorter) -> Vec<Run> {
    let chart = &*sorter.chart;
    let mut out = Vec::new();
    for (id, node) in chart.nodes.iter().enumerate() {
        if node.free && node.children.len() > 1 {
            out.push(Run::Children(id, node.children.len()));
        }
        let mut start = 0;
        for class in node.rows.chunk_by(|a, b| chart.rows[*a].class == chart.rows[*b].class) {
            if class.len() > 1 {
                out.push(Run::Rows(id, start, class.len()));
            }
            start += class.len();
        }
    }
    out
}

/// Puts a run into an order by chance (Fisher and Yates).
fn disorder(sorter: &mut Sorter, run: Run, dice: &mut Dice) {
    let (Run::Children(_, size) | Run::Rows(_, _, size)) = run;
    for i in (1..size).rev() {
        let j = dice.roll(i + 1);
        match run {
            Run::Children(node, _) => sorter.chart.nodes[node].children.swap(i, j),
            Run::Rows(node, start, _) => sorter.chart.nodes[node].rows.swap(start + i, start + j),
        }
    }
}
