//! The cut list: one row a conductor, with all that a person needs to cut, mark and keep it apart.

use serde::Serialize;

use super::Plan;
use super::end_words::{EndWords, words};
use crate::graph::Routing;
use crate::harness::{ConductorId, Harness};
use crate::parts::library::Library;
use crate::quantity::{Gauge, Length, Units};

/// A conductor to cut.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct CutRow {
    /// Wire mark.
    pub mark: String,
    /// Circuit.
    pub circuit: String,
    /// System that it belongs to.
    pub system: String,
    /// One end, towards the circuit's `from`.
    pub from: EndWords,
    /// The other end.
    pub to: EndWords,
    /// Name of the wire, pair or cable.
    pub wire: String,
    /// Its trade description.
    pub wire_title: String,
    /// Pair or cable it is a core of: that is cut as one piece. Empty for a single wire.
    pub cable: String,
    /// Gauge.
    pub gauge: Gauge,
    /// Letters of its colour.
    pub colour: String,
    /// Its colour in words.
    pub colour_name: String,
    /// Length to cut. None where something is missing to know it.
    pub cut_length: Option<Length>,
    /// Length that the spec declares, beside the computed one.
    pub declared_length: Option<Length>,
    /// True where a default of the tool is in the length.
    pub by_default: bool,
    /// What is missing to know the length.
    pub missing: Vec<String>,
    /// Remark of the circuit.
    pub note: String,
}

/// One row a conductor, in the order of the harness: circuits as in the spec, drain leads last.
pub fn cut_list(h: &Harness, library: &Library, routing: &Routing, plan: &Plan) -> Vec<CutRow> {
    let ends = h.conductor_ids().zip(&plan.terminations.of).zip(&plan.lengths);
    let row = |((id, [from, to]), length): ((ConductorId, &[_; 2]), &super::length::CutLength)| {
        let c = h.conductor(id);
        let circuit = h.circuit(c.circuit);
        CutRow {
            mark: c.mark.clone(),
            circuit: circuit.name.clone(),
            system: circuit.system.clone(),
            from: words(h, library, routing, from),
            to: words(h, library, routing, to),
            wire: library.wires.name(c.wire).to_owned(),
            wire_title: library.wires.get(c.wire).title.clone(),
            cable: c.cable.map_or_else(String::new, |cable| h.cable(cable).name.clone()),
            gauge: c.gauge,
            colour: c.colour.value.code(),
            colour_name: c.colour.value.name(),
            cut_length: length.need,
            declared_length: length.declared.map(|d| d.value),
            by_default: length.by_default(),
            missing: length.missing.clone(),
            note: circuit.note.clone().unwrap_or_default(),
        }
    };
    ends.map(row).collect()
}

impl CutRow {
    /// Heads of the columns.
    pub fn columns() -> Vec<String> {
        let own = [
            "wire mark",
            "circuit",
            "system",
            "wire type",
            "cut as one with cable",
            "gauge",
            "colour",
            "colour in words",
            "cut length",
            "length in the spec",
            "a default is in it",
        ];
        let end = |side: &str| EndWords::COLUMNS.map(|c| format!("{side}: {c}"));
        own.map(str::to_owned)
            .into_iter()
            .chain(end("from"))
            .chain(end("to"))
            .chain(["note".to_owned()])
            .collect()
    }

    /// The row as text, one cell a column.
    pub fn cells(&self, units: Units) -> Vec<String> {
        let length = |l: Option<Length>| l.map_or_else(String::new, |l| l.show(units));
        let cut = match self.cut_length {
            Some(need) => need.show(units),
            None => format!("not known: {}", self.missing.join("; ")),
        };
        let own = [
            self.mark.clone(),
            self.circuit.clone(),
            self.system.clone(),
            self.wire.clone(),
            self.cable.clone(),
            self.gauge.to_string(),
            self.colour.clone(),
            self.colour_name.clone(),
            cut,
            length(self.declared_length),
            if self.by_default { "yes".to_owned() } else { String::new() },
        ];
        let ends = [&self.from, &self.to].map(|end| end.cells(units));
        own.into_iter().chain(ends.into_iter().flatten()).chain([self.note.clone()]).collect()
    }
}
