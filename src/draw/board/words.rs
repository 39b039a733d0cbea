//! Everything that is written on a board, measured once: cards of places, labels of legs, rows of ends.

use super::card::{self, Card, Join};
use super::job::Job;
use super::loom::{Knot, Loom};
use crate::draw::block::Block;

/// What is written of an end.
#[derive(Clone, Debug)]
pub(super) struct Row {
    /// Its name and wires.
    pub name: Block,
    /// How its length comes about.
    pub told: Block,
    pub told_words: String,
}

/// The words of a loom, by knot.
pub(super) struct Texts {
    labels: Vec<Option<Block>>,
    rows: Vec<Vec<Row>>,
}

impl Texts {
    pub fn of(job: &Job, loom: &Loom) -> Texts {
        let label = |knot: &Knot| knot.up.map(|(_, leg)| card::of_leg(job, leg.run));
        let rows = |knot: &Knot| knot.ends.iter().map(|end| card::of_end(job, knot.place, end)).collect();
        Texts { labels: loom.knots.iter().map(label).collect(), rows: loom.knots.iter().map(rows).collect() }
    }

    /// What is written on the leg to a knot.
    pub fn label(&self, knot: usize) -> Option<&Block> {
        self.labels.get(knot)?.as_ref()
    }

    /// What is written at each end of a knot.
    pub fn rows(&self, knot: usize) -> &[Row] {
        self.rows.get(knot).map_or(&[], Vec::as_slice)
    }
}

/// The card of a knot of which these children are laid apart, and so many tails too. Letters of what is laid apart are
/// counted on from `letter`.
pub(super) fn card(
    job: &Job,
    loom: &Loom,
    knot: usize,
    apart: &[usize],
    loose: usize,
    letter: usize,
) -> Card {
    let of = &loom.knots[knot];
    let mut joins: Vec<Join> = Vec::new();
    for (letter, run) in &of.joins {
        let words = match of.broken {
            true => format!("goes on at {}", job.h.place(of.place).name),
            false => format!("{} goes on here", job.h.run(*run).name),
        };
        joins.push(Join { letter: *letter, words });
    }
    let legs = apart.iter().map(|child| {
        let to = &loom.knots[*child];
        format!("leg to {} laid apart", job.h.place(to.place).name)
    });
    let tails = (0..loose).map(|_| "ends laid apart".to_owned());
    joins.extend(legs.chain(tails).enumerate().map(|(n, words)| Join { letter: letter + n, words }));
    card::of_place(job, of, joins, knot == 0)
}
