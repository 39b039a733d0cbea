//! The chart in; where twists, screens and cable jackets are shown, out: around the conductors that a cable or a lay
//! brings to one side of a device.

use std::collections::BTreeMap;

use super::build::{Built, Strand, strand};
use super::chart::RowId;
use super::seat::Side;
use crate::harness::{CableId, Harness};
use crate::parts::library::Library;

/// What is shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Kind {
    /// A screen.
    Screen,
    /// A jacket around cores.
    Jacket,
    /// Conductors twisted together.
    Twist,
}

/// A symbol around conductors.
#[derive(Clone, Debug)]
pub(super) struct Emblem {
    /// What it shows.
    pub kind: Kind,
    /// The cable, if it is one.
    pub cable: Option<CableId>,
    /// Rows it holds together, from the top.
    pub rows: Vec<RowId>,
    /// Side of the device.
    pub side: Side,
}

/// All symbols, device by device.
pub(super) fn emblems(h: &Harness, library: &Library, built: &Built) -> Vec<Emblem> {
    let chart = &built.chart;
    let mut out = Vec::new();
    for node in built.nodes.values() {
        let rows = chart.rows_of(*node);
        for side in [Side::Left, Side::Right] {
            let mut runs: Vec<(Strand, Vec<RowId>)> = Vec::new();
            for row in &rows {
                let link = chart.rows[*row].link(side);
                let Some(link) = link.filter(|_| chart.rows[*row].screen.is_none()) else { continue };
                let key = strand(h, chart.links[link].conductor);
                match runs.last_mut() {
                    Some((last, run)) if *last == key => run.push(*row),
                    _ => runs.push((key, vec![*row])),
                }
            }
            out.extend(runs.into_iter().filter_map(|(strand, rows)| emblem(h, library, strand, rows, side)));
        }
    }
    out
}

fn emblem(h: &Harness, library: &Library, strand: Strand, rows: Vec<RowId>, side: Side) -> Option<Emblem> {
    let (kind, cable) = match strand {
        Strand::Cable(id) => {
            let part = library.wires.get(h.cable(id).wire);
            let kind = match (&part.screen, part.cores.len(), part.lay) {
                (Some(_), _, _) => Kind::Screen,
                (None, 2, Some(_)) => Kind::Twist,
                (None, _, _) => Kind::Jacket,
            };
            (kind, Some(id))
        }
        Strand::Lay(id) => {
            h.lay(id).twist?;
            (Kind::Twist, None)
        }
    };
    (kind == Kind::Screen || rows.len() > 1).then_some(Emblem { kind, cable, rows, side })
}

/// Rows at which a symbol stands, with its number.
pub(super) fn by_row(emblems: &[Emblem]) -> BTreeMap<(RowId, Side), usize> {
    let rows = |(i, e): (usize, &Emblem)| e.rows.iter().map(move |r| ((*r, e.side), i)).collect::<Vec<_>>();
    emblems.iter().enumerate().flat_map(rows).collect()
}
