//! The parts list: what to have on the bench before the first cut, with counts and lengths of wire.
//!
//! Counts what the harness brings, not what it is connected to. A contact that holds two wires and a splice of several
//! count once. Wire is the sum of the cut lengths, without scrap; a cable counts once, not for each core.

use std::collections::{BTreeMap, BTreeSet};

use serde::Serialize;

use super::Plan;
use super::fitting::Fitting;
use super::length::of_cable;
use crate::graph::{Fitted, fitted_shells};
use crate::harness::{CableId, DeviceClass, Harness, PinId};
use crate::parts::library::{CoveringPartId, Library, ShellPartId, WirePartId};
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
    /// Mass of that wire, where the part says it.
    pub mass: Option<Mass>,
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
}

/// Everything the harness is made of, by group and name.
pub fn parts_list(h: &Harness, library: &Library, plan: &Plan) -> Vec<PartRow> {
    let mut heap = Heap::default();
    wires(h, library, plan, &mut heap);
    ends(h, library, plan, &mut heap);
    shells(h, library, &mut heap);
    structure(h, library, &mut heap);
    let mut rows: Vec<PartRow> = heap.rows.into_values().collect();
    for row in &mut rows {
        row.used_at.sort();
        row.used_at.dedup();
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
        if cut.is_none() {
            *unknown.entry(wire).or_default() += 1;
        }
        let typical = part.typical.then(|| "diameter and mass typical, from memory".to_owned());
        let open = unknown.get(&wire).map(|n| format!("length of {n} not known, not in the sum"));
        row.remark = typical.into_iter().chain(open).collect::<Vec<_>>().join("; ");
    }
}

fn ends(h: &Harness, library: &Library, plan: &Plan, heap: &mut Heap) {
    let mut counted: BTreeSet<PinId> = BTreeSet::new();
    for end in plan.terminations.of.iter().flatten() {
        let device = h.device(h.pin(end.pin).device).name.as_str();
        for sleeve in &end.sleeves {
            covering(library, sleeve.part, device, heap);
        }
        let Some(hold) = &end.hold else { continue };
        let sort = match end.fitting {
            Fitting::Contact { .. } => Sort::Contact,
            Fitting::Lug(_) => Sort::Lug,
            Fitting::OwnLead(_) | Fitting::Joint(_) => Sort::Splice,
            Fitting::Screen(_) => Sort::Sundry,
            Fitting::Unknown { .. } => continue,
        };
        // Each wire has its own lug; a contact or a splice takes all wires of its pin.
        if matches!(sort, Sort::Lug | Sort::Sundry) || counted.insert(end.pin) {
            heap.add(sort, &hold.name, &hold.title, device);
        }
    }
}

fn covering(library: &Library, part: CoveringPartId, at: &str, heap: &mut Heap) {
    heap.add(Sort::Covering, library.coverings.name(part), &library.coverings.get(part).title, at);
}

/// Shells that the harness brings, with backshells and plugs for the cavities that stay empty.
fn shells(h: &Harness, library: &Library, heap: &mut Heap) {
    for Fitted { device: id, connector, shell, cavities, .. } in fitted_shells(h) {
        let device = h.device(id);
        let part = library.shells.get(shell);
        let at = match device.class {
            DeviceClass::InLine { .. } => format!("{} {connector}", device.name),
            _ => device.name.clone(),
        };
        let row = heap.add(Sort::Shell, library.shells.name(shell), &part.title, &at);
        row.remark = mates(library, shell);
        let mut sundry = |name: &Option<String>, count: usize| {
            let Some(name) = name.as_deref().filter(|_| count > 0) else { return };
            let title = library.sundries.look_up(name).map_or(name, |(_, s)| s.title.as_str());
            heap.add(Sort::Sundry, name, title, &at).pieces += count - 1;
        };
        sundry(&part.backshell, 1);
        let empty = part.cavities().filter(|mark| !cavities.contains(mark)).count();
        sundry(&part.cavity_plug, empty);
    }
}

fn mates(library: &Library, shell: ShellPartId) -> String {
    format!("mates with {}", library.shells.get(shell).mate)
}

/// Coverings of runs and linings of holes.
fn structure(h: &Harness, library: &Library, heap: &mut Heap) {
    for run in &h.runs {
        let Some(cover) = &run.cover else { continue };
        let title = library.coverings.look_up(&cover.value).map_or("", |(_, c)| c.title.as_str());
        let row = heap.add(Sort::Covering, &cover.value, title, &run.name);
        row.length = Some(row.length.unwrap_or(Length::ZERO) + run.length.value);
    }
    for hole in &h.holes {
        if let Some(lining) = hole.lining {
            let title = &library.linings.get(lining).title;
            let row = heap.add(Sort::Lining, library.linings.name(lining), title, &hole.name);
            if let Some(seal) = &hole.seal {
                row.remark = format!("seal: {seal}");
            }
        }
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
