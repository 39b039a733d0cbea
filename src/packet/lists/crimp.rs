//! Rows of the crimp list in; its table out, in the order in which hands do the work.

use super::cut::about;
use super::figure::{length_unit, maybe_length};
use super::{end_cell, end_heads, end_record};
use crate::packet::table::{Cell, Column, Row, Table};
use crate::plan::crimp_list::CrimpRow;
use crate::quantity::Units;

/// What stands on the line of a contact that stays where it was pushed.
const ONE_WAY: &str = "STOP: does not come out again";

/// The crimp list. Rows keep the order of the plan; each time of working is a group.
pub fn crimp(rows: &[CrimpRow], units: Units) -> Table {
    let unit = length_unit(units);
    Table {
        name: "crimp-list",
        title: "Crimp list",
        purpose: "One row an end, in the order of the work. Slide the sleeves on first, then strip, crimp, tug, insert \
                  and look.",
        columns: vec![
            Column::figures("step", None),
            Column::words("mark"),
            Column::words("at"),
            Column::words("slide on first"),
            Column::figures("strip", Some(unit)),
            Column::words("terminal"),
            Column::words("tool"),
            Column::words("then"),
        ],
        rows: rows.iter().map(|row| line(row, units)).collect(),
        record_heads: heads(units),
        notes: vec![],
    }
}

fn line(row: &CrimpRow, units: Units) -> Row {
    let end = &row.end;
    let fold = end.fold_back.filter(|f| f.um() > 0).map(|f| format!("{} folded back", f.show(units)));
    let some = |text: &str| Some(text.to_owned()).filter(|t| !t.is_empty());
    let mut then: Vec<String> = end.checks.clone();
    if row.one_way && !then.iter().any(|check| check.starts_with("STOP")) {
        then.insert(0, ONE_WAY.to_owned());
    }
    let beside = (!end.beside.is_empty()).then(|| format!("together with {}", end.beside.join(", ")));
    let title = [some(&row.terminal_title), beside].into_iter().flatten().collect::<Vec<_>>().join("; ");
    let label = (!end.label.is_empty()).then(|| format!("label {}", end.label));
    Row {
        // The step is no key: a row keeps its tick when work before it is added.
        key: format!("{} at {} {} {}", row.mark, end.device, end.connector, end.cavity),
        about: about(&row.mark, &row.circuit, "", [&end.device]),
        cells: vec![
            row.step.to_string().into(),
            Cell {
                under: Some(format!("{}, {}", row.gauge, row.colour)),
                ..Cell::naming("conductor", &row.mark)
            },
            end_cell(end),
            Cell { text: end.sleeves.join(", then "), under: label, names: None },
            Cell { text: maybe_length(end.strip, units), under: fold, names: None },
            Cell { text: end.terminal.clone(), under: some(&title), names: None },
            Cell { text: end.tool.clone(), under: some(&end.die), names: None },
            then.join("; ").into(),
        ],
        record: record(row, units),
        group: Some(end.when.clone()),
    }
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
