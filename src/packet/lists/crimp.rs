//! Rows of the crimp list in; its table out, in the order in which hands do the work.

use super::cut::about;
use super::figure::{length_unit, maybe_length};
use super::{end_cell, end_heads, end_record};
use crate::packet::table::{Cell, Column, Group, Row, Table};
use crate::plan::crimp_list::CrimpRow;
use crate::quantity::Units;

/// What stands on the line of a contact that stays where it was pushed.
const ONE_WAY: &str = "STOP: does not come out again";

/// The crimp list. Rows keep the order of the plan; neighbours that are made alike are one group, so that the tool is
/// set once and what holds for all of them is read once.
pub fn crimp(rows: &[CrimpRow], units: Units) -> Table {
    let unit = length_unit(units);
    Table {
        name: "crimp-list",
        title: "Crimp list",
        purpose: "One row an end, in the order of the work. Slide the sleeves on first, then strip, crimp, tug, insert \
                  and look.",
        lead: Vec::new(),
        ticked: true,
        columns: vec![
            Column::figures("step", None, 4),
            Column::words("mark", 12),
            Column::words("wire", 9),
            Column::words("at", 13),
            Column::words("function", 21),
            Column::words("label", 20),
            Column::figures("strip", Some(unit), 5),
            Column::words("terminal", 12),
        ],
        rows: rows.iter().map(|row| line(row, units)).collect(),
        record_heads: heads(units),
        notes: vec![],
    }
}

fn line(row: &CrimpRow, units: Units) -> Row {
    let end = &row.end;
    let fold = end.fold_back.filter(|f| f.um() > 0).map(|f| format!("{} folded back", f.show(units)));
    let beside = (!end.beside.is_empty()).then(|| format!("together with {}", end.beside));
    let stop = if row.stop { "STOP: " } else { "" };
    Row {
        // The step is no key: a row keeps its tick when work before it is added.
        key: format!("{} at {} {} {}", row.mark, end.device, end.connector, end.cavity),
        about: about(&row.mark, &row.circuit, "", [&end.device]),
        cells: vec![
            format!("{stop}{}", row.step).into(),
            Cell::naming("conductor", &row.mark),
            format!("{} {}", row.gauge, row.colour).into(),
            Cell { under: row.one_way.then(|| ONE_WAY.to_owned()), ..end_cell(end) },
            Cell { text: end.function.clone(), under: beside, ..Cell::default() },
            end.label.clone().into(),
            Cell { text: maybe_length(end.strip, units), under: fold, ..Cell::default() },
            terminal(row),
        ],
        record: record(row, units),
        group: Some(group(row)),
    }
}

/// The terminal; it names the part of the parts list only where it is one.
fn terminal(row: &CrimpRow) -> Cell {
    match row.terminal_title.as_str() {
        "" => row.end.terminal.clone().into(),
        _ => Cell::naming("part", &row.end.terminal),
    }
}

/// What is the same for a run of ends: the tool as it is set, when they are made, what goes on first and what is
/// checked. The terminal is
/// told row by row: the legs of a pair alternate between two that must not be mixed up.
fn group(row: &CrimpRow) -> Group {
    let end = &row.end;
    let tool: Vec<&str> = [end.tool.as_str(), &end.die].into_iter().filter(|t| !t.is_empty()).collect();
    let title = match (row.stop, tool.is_empty()) {
        (true, _) => "STOP: no part of the library fits".to_owned(),
        (false, true) => "no tool".to_owned(),
        (false, false) => tool.join(", "),
    };
    let sleeves = end.sleeves.join(", then ");
    let first = if sleeves.is_empty() { sleeves } else { format!("slide on {sleeves}") };
    let details = [("made", end.when.clone()), ("first", first), ("then", end.checks.join("; "))];
    Group { title, details: details.into_iter().filter(|(_, text)| !text.is_empty()).collect() }
}

fn heads(units: Units) -> Vec<String> {
    let own = ["step", "wire mark", "circuit", "wire type", "gauge", "colour"].map(str::to_owned);
    let last = ["terminal in words", "one-way"].map(str::to_owned);
    own.into_iter().chain(end_heads("", units)).chain(last).collect()
}

fn record(row: &CrimpRow, units: Units) -> Vec<String> {
    let own = [
        row.step.to_string(),
        row.mark.clone(),
        row.circuit.clone(),
        row.wire.clone(),
        row.gauge.to_string(),
        row.colour.clone(),
    ];
    let one_way = if row.one_way { ONE_WAY } else { "" };
    let last = [row.terminal_title.clone(), one_way.to_owned()];
    own.into_iter().chain(end_record(&row.end, units)).chain(last).collect()
}
