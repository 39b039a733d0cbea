//! The parts list: what to have on the bench before the first cut, with counts and lengths of wire.
//!
//! Pieces are counted as `pieces` tells them. Wire is the sum of the cut lengths, without scrap; a cable counts once, not
//! for each core.

use std::collections::BTreeMap;

use serde::Serialize;

use super::Plan;
use super::clamping::Clamping;
use super::length::of_cable;
use super::pieces::{Piece, pieces};
use crate::harness::{CableId, Harness};
use crate::parts::library::{Library, WirePartId};
use crate::quantity::{Length, Mass, Units};

/// Group of parts, in the order of the list.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Sort {
    /// Wires, pairs and cables.
    Wire,
    /// Connector shells.
    Shell,
    /// Contacts.
    Contact,
    /// Lugs and push-on terminals.
    Lug,
    /// Splices.
    Splice,
    /// Marker sleeves, insulation, coverings of runs.
    Covering,
    /// Linings of holes.
    Lining,
    /// Clamps along the structure, and bands.
    Clamp,
    /// Backshells, cavity plugs.
    Sundry,
}

impl Sort {
    /// The word on the list.
    pub fn word(self) -> &'static str {
        match self {
            Sort::Wire => "wire",
            Sort::Shell => "connector",
            Sort::Contact => "contact",
            Sort::Lug => "lug",
            Sort::Splice => "splice",
            Sort::Covering => "sleeve",
            Sort::Lining => "lining",
            Sort::Clamp => "clamp",
            Sort::Sundry => "sundry",
        }
    }
}

/// A part and how much of it.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct PartRow {
    /// Group.
    pub sort: Sort,
    /// Name of the part.
    pub part: String,
    /// Its trade description.
    pub title: String,
    /// Pieces.
    pub pieces: usize,
    /// Length of all pieces together, for wire and for coverings of runs. None for what is counted.
    pub length: Option<Length>,
    /// Mass of all of it that is known; None where nothing of it is.
    pub mass: Option<Mass>,
    /// True where the mass is that of a part that comes with the tool: typical, from memory.
    pub typical: bool,
    /// Pieces whose mass is not known: the part does not say it, or their length is not known.
    pub without_mass: usize,
    /// Where it goes: devices, holes or runs, each once.
    pub used_at: Vec<String>,
    /// What a person must know: figures from memory, pieces whose length is not known.
    pub remark: String,
}

#[derive(Default)]
struct Heap {
    rows: BTreeMap<(Sort, String), PartRow>,
}

impl Heap {
    fn row(&mut self, sort: Sort, part: &str, title: &str) -> &mut PartRow {
        self.rows.entry((sort, part.to_owned())).or_insert_with(|| PartRow {
            sort,
            part: part.to_owned(),
            title: title.to_owned(),
            pieces: 0,
            length: None,
            mass: None,
            typical: false,
            without_mass: 0,
            used_at: Vec::new(),
            remark: String::new(),
        })
    }

    fn add(&mut self, sort: Sort, part: &str, title: &str, at: &str) -> &mut PartRow {
        let row = self.row(sort, part, title);
        row.pieces += 1;
        // What is counted comes device by device, so that a look at the last one is enough.
        if row.used_at.last().is_none_or(|last| last != at) {
            row.used_at.push(at.to_owned());
        }
        row
    }

    fn take(&mut self, piece: Piece<'_>) {
        let row = self.add(piece.sort, piece.part, piece.title, &piece.at);
        row.pieces += piece.count - 1;
        if let Some(length) = piece.length {
            row.length = Some(row.length.unwrap_or(Length::ZERO) + length);
        }
        match piece.mass {
            Some(mass) => {
                row.mass = Some(row.mass.unwrap_or(Mass::ZERO) + mass);
                row.typical |= piece.supplied;
            }
            None => row.without_mass += piece.count,
        }
        if !piece.remark.is_empty() {
            row.remark = piece.remark;
        }
    }
}

/// Everything the harness is made of, by group and name.
pub fn parts_list(h: &Harness, library: &Library, plan: &Plan, clamping: &Clamping) -> Vec<PartRow> {
    let mut heap = Heap::default();
    wires(h, library, plan, &mut heap);
    for piece in pieces(h, library, plan, clamping) {
        heap.take(piece);
    }
    let mut rows: Vec<PartRow> = heap.rows.into_values().collect();
    for row in &mut rows {
        row.used_at.sort();
        row.used_at.dedup();
        if row.without_mass > 0 && row.mass.is_some() {
            let open = format!("mass of {} not known, not in the sum", row.without_mass);
            row.remark = [std::mem::take(&mut row.remark), open]
                .into_iter()
                .filter(|words| !words.is_empty())
                .collect::<Vec<_>>()
                .join("; ");
        }
    }
    rows
}

fn wires(h: &Harness, library: &Library, plan: &Plan, heap: &mut Heap) {
    let single = h.conductor_ids().filter(|id| h.conductor(*id).cable.is_none()).map(|id| {
        let cut = plan.lengths.get(id.index()).and_then(|l| l.cut());
        (h.conductor(id).wire, cut, h.circuit(h.conductor(id).circuit).name.as_str())
    });
    let cables = (0..h.cables.len()).map(CableId::at).map(|id| {
        let cable = h.cable(id);
        (cable.wire, of_cable(h, &plan.lengths, id), cable.name.as_str())
    });
    let mut unknown: BTreeMap<WirePartId, usize> = BTreeMap::new();
    for (wire, cut, at) in single.chain(cables) {
        let part = library.wires.get(wire);
        let row = heap.add(Sort::Wire, library.wires.name(wire), &part.title, at);
        let sum = row.length.unwrap_or(Length::ZERO) + cut.unwrap_or(Length::ZERO);
        row.length = Some(sum);
        row.mass = part.mass.map(|m| m * sum);
        row.typical = part.typical;
        row.without_mass += usize::from(part.mass.is_none() || cut.is_none());
        if cut.is_none() {
            *unknown.entry(wire).or_default() += 1;
        }
        let typical = part.typical.then(|| "diameter and mass typical, from memory".to_owned());
        let open = unknown.get(&wire).map(|n| format!("length of {n} not known, not in the sum"));
        row.remark = typical.into_iter().chain(open).collect::<Vec<_>>().join("; ");
    }
}

impl PartRow {
    /// Heads of the columns.
    pub const COLUMNS: [&'static str; 8] =
        ["sort", "part", "description", "pieces", "length in all", "mass", "used at", "remark"];

    /// The row as text, one cell a column.
    pub fn cells(&self, units: Units) -> [String; 8] {
        [
            self.sort.word().to_owned(),
            self.part.clone(),
            self.title.clone(),
            self.pieces.to_string(),
            self.length.map_or_else(String::new, |l| l.show(units)),
            self.mass.map_or_else(String::new, |m| m.show(units)),
            self.used_at.join(", "),
            self.remark.clone(),
        ]
    }
}
