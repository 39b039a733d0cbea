//! The parts list: what to have on the bench before the first cut, with counts and lengths of wire.
//!
//! Pieces are counted as `pieces` tells them. Wire is the sum of the cut lengths, without scrap; a cable counts once, not
//! for each core. What is pulled to pieces for a test is told beside it: no part of the loom is. Tools come last.

use std::collections::{BTreeMap, BTreeSet};

use serde::Serialize;

use super::Plan;
use super::clamping::Clamping;
use super::fitting::Fitting;
use super::length::of_cable;
use super::pieces::{Piece, pieces};
use super::termination::Check;
use crate::harness::{CableId, Harness};
use crate::parts::library::{Library, WirePartId};
use crate::quantity::{Gauge, Length, Mass, Units};
use crate::trade::allowances::TEST_PIECES;

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
    /// Tools: they are no part of the loom.
    Tool,
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
            Sort::Tool => "tool",
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
    /// Pieces more for test pieces that are pulled.
    pub tests: usize,
    /// Length of all pieces together, for wire and for coverings of runs. None for what is counted.
    pub length: Option<Length>,
    /// Mass of all of it that is known; None where nothing of it is.
    pub mass: Option<Mass>,
    /// True where the mass is that of a part that comes with the tool: typical, from memory.
    pub typical: bool,
    /// Pieces whose mass is not known: the part does not say it, or their length is not known.
    pub without_mass: usize,
    /// Where it goes: devices, holes or runs, each once, with the number of pieces where that is more than one.
    pub used_at: Vec<String>,
    /// What a person must know: figures from memory, pieces whose length is not known.
    pub remark: String,
}

#[derive(Default)]
struct Heap {
    rows: BTreeMap<(Sort, String), PartRow>,
    /// Pieces by where they go.
    at: BTreeMap<(Sort, String), BTreeMap<String, usize>>,
}

impl Heap {
    fn row(&mut self, sort: Sort, part: &str, title: &str) -> &mut PartRow {
        self.rows.entry((sort, part.to_owned())).or_insert_with(|| PartRow {
            sort,
            part: part.to_owned(),
            title: title.to_owned(),
            pieces: 0,
            tests: 0,
            length: None,
            mass: None,
            typical: false,
            without_mass: 0,
            used_at: Vec::new(),
            remark: String::new(),
        })
    }

    fn add(&mut self, sort: Sort, part: &str, title: &str, at: &str, count: usize) -> &mut PartRow {
        *self.at.entry((sort, part.to_owned())).or_default().entry(at.to_owned()).or_default() += count;
        let row = self.row(sort, part, title);
        row.pieces += count;
        row
    }

    fn take(&mut self, piece: Piece<'_>) {
        let row = self.add(piece.sort, piece.part, piece.title, &piece.at, piece.count);
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
    tests(h, library, plan, &mut heap);
    tools(h, library, plan, &mut heap);
    let Heap { rows, at } = heap;
    let mut rows: Vec<PartRow> = rows.into_values().collect();
    for row in &mut rows {
        let at = at.get(&(row.sort, row.part.clone()));
        row.used_at.extend(at.into_iter().flatten().map(|(at, count)| match count {
            0 | 1 => at.clone(),
            count => format!("{at} ({count})"),
        }));
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
        let row = heap.add(Sort::Wire, library.wires.name(wire), &part.title, at, 1);
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

/// Test pieces of every kind of crimp: a terminal on a wire.
fn tests(h: &Harness, library: &Library, plan: &Plan, heap: &mut Heap) {
    let mut kinds: BTreeMap<(Sort, String), BTreeSet<WirePartId>> = BTreeMap::new();
    for end in plan.terminations.of.iter().flatten() {
        let pulled = end.checks.iter().any(|check| matches!(check, Check::Tug(_)));
        let Some(hold) = end.hold.as_ref().filter(|_| pulled) else { continue };
        let sort = match end.fitting {
            Fitting::Contact { .. } => Sort::Contact,
            Fitting::Lug(_) => Sort::Lug,
            _ => Sort::Splice,
        };
        kinds.entry((sort, hold.name.clone())).or_default().insert(h.conductor(end.conductor).wire);
    }
    let mut pieces: BTreeMap<WirePartId, usize> = BTreeMap::new();
    for (kind, wires) in kinds {
        wires.iter().for_each(|wire| *pieces.entry(*wire).or_default() += TEST_PIECES);
        if let Some(row) = heap.rows.get_mut(&kind) {
            row.tests = wires.len() * TEST_PIECES;
        }
    }
    for (wire, count) in pieces {
        if let Some(row) = heap.rows.get_mut(&(Sort::Wire, library.wires.name(wire).to_owned())) {
            row.tests = count;
        }
    }
}

/// Tools that the parts name, each once by one name; then what every bench needs, common practice, no source.
fn tools(h: &Harness, library: &Library, plan: &Plan, heap: &mut Heap) {
    let mut named: BTreeMap<String, (BTreeSet<String>, BTreeSet<String>)> = BTreeMap::new();
    let mut gauges: BTreeSet<Gauge> = BTreeSet::new();
    for end in plan.terminations.of.iter().flatten() {
        gauges.insert(h.conductor(end.conductor).gauge);
        let Some(hold) = &end.hold else { continue };
        // A tool that names its head itself is the same tool as one whose part names the head beside it.
        let (tool, head) = match hold.die.as_deref() {
            None => hold.tool.split_once(", ").unwrap_or((hold.tool.as_str(), "")),
            Some(die) => (hold.tool.as_str(), die),
        };
        let (heads, parts) = named.entry(tool.to_owned()).or_default();
        if !head.is_empty() {
            heads.insert(head.to_owned());
        }
        parts.insert(hold.name.clone());
        if let Fitting::Contact { part, .. } = end.fitting
            && let Some(extractor) = &library.contacts.get(part).extractor
        {
            named.entry(extractor.clone()).or_default().1.insert(hold.name.clone());
        }
    }
    for (tool, (heads, parts)) in named.into_iter().filter(|(tool, _)| !tool.is_empty()) {
        let heads = heads.into_iter().collect::<Vec<_>>().join("; ");
        let row = heap.row(Sort::Tool, &tool, &heads);
        row.pieces = 1;
        row.used_at = parts.into_iter().collect();
    }
    if gauges.is_empty() {
        return;
    }
    let gauges: Vec<String> = gauges.iter().rev().map(Gauge::to_string).collect();
    let always = [
        ("wire stripper", format!("for {}, without nicking a strand", gauges.join(", "))),
        ("pull tester", "for test pieces".to_owned()),
        ("label printer", "for the marker sleeves of this list".to_owned()),
        ("ohmmeter", "to ring out the loom".to_owned()),
    ];
    for (tool, what) in always {
        let row = heap.row(Sort::Tool, tool, &what);
        row.pieces = 1;
        row.remark = "common practice, no source".to_owned();
    }
}

impl PartRow {
    /// Heads of the columns.
    pub const COLUMNS: [&'static str; 9] = [
        "sort",
        "part",
        "description",
        "pieces",
        "test pieces",
        "length in all",
        "mass",
        "used at",
        "remark",
    ];

    /// The row as text, one cell a column.
    pub fn cells(&self, units: Units) -> [String; 9] {
        [
            self.sort.word().to_owned(),
            self.part.clone(),
            self.title.clone(),
            self.pieces.to_string(),
            self.tests.to_string(),
            self.length.map_or_else(String::new, |l| l.show(units)),
            self.mass.map_or_else(String::new, |m| m.show(units)),
            self.used_at.join(", "),
            self.remark.clone(),
        ]
    }
}
