//! Rows of the crimp list in; its table out, in the order in which hands do the work.

use super::cut::about;
use super::figure::{length_unit, maybe_length};
use super::{end_cell, end_heads, end_record};
use crate::packet::table::{Cell, Column, Group, Reference, Row, Table};
use crate::plan::crimp_list::{CrimpRow, DressRow};
use crate::plan::end_words::EndWords;
use crate::quantity::Units;

/// What stands on the line of a contact that stays where it was pushed.
const ONE_WAY: &str = "STOP: does not come out again";

/// The crimp list: `dressed` are the ends of screened cables, `rows` those of conductors, in one count of steps. Rows keep
/// the order of the plan; neighbours that are made alike are one group, so that the tool is set once and what holds for all
/// of them is read once.
pub fn crimp(dressed: &[DressRow], rows: &[CrimpRow], units: Units) -> Table {
    let unit = length_unit(units);
    let folded = rows.iter().any(|row| row.end.fold_back.is_some());
    let in_cavity = rows.iter().any(|row| row.in_cavity);
    let columns = [
        Some(Column::figures("step", None, 4)),
        Some(Column::words("mark", 12)),
        Some(Column::words("wire", 9)),
        Some(Column::words("at", 11)),
        Some(Column::words("function", 19)),
        Some(Column::words("label", 17)),
        Some(Column::figures("strip", Some(unit), 5)),
        folded.then(|| Column::figures("of it folded", Some(unit), 4)),
        Some(Column::words("terminal", 15)),
        in_cavity.then(|| Column::words("in cavity", 4)),
    ];
    let shown = columns.each_ref().map(Option::is_some);
    let of_end = rows.iter().map(|row| (row.step, line(row, units)));
    let of_cable = dressed.iter().map(|row| (row.step, dress(row, units)));
    let mut lines: Vec<(usize, Row)> = of_end.chain(of_cable).collect();
    lines.sort_by_key(|(step, _)| *step);
    for (_, row) in &mut lines {
        let mut shown = shown.iter();
        row.cells.retain(|_| shown.next().copied().unwrap_or(true));
    }
    let star = dressed.iter().any(|row| row.by_default);
    Table {
        name: "crimp-list",
        title: "Crimp list",
        purpose: "One row an end, in the order of the work. Slide the sleeves on first, then strip, crimp, tug, insert \
                  and look. A row with two boxes is done twice: made, and put into its cavity.",
        lead: Vec::new(),
        ticked: true,
        columns: columns.into_iter().flatten().collect(),
        rows: lines.into_iter().map(|(_, row)| row).collect(),
        record_heads: heads(units),
        notes: star
            .then(|| "* A default of the tool: the spec does not say how long the tail is.".to_owned())
            .into_iter()
            .collect(),
    }
}

fn line(row: &CrimpRow, units: Units) -> Row {
    let end = &row.end;
    let beside = (!end.beside.is_empty()).then(|| format!("together with {}", end.beside));
    let drain = row.drains.then(|| "drain lead: strip it as the maker of the sleeve says".to_owned());
    let stagger = end.stagger.map(|stagger| {
        let of = [(stagger.wire, "the wire"), (stagger.lead, "the device's lead")];
        let cut = of.iter().filter(|(length, _)| length.um() > 0);
        let cut = cut.map(|(length, what)| format!("{} off {what}", length.show(units)));
        format!("stagger: first cut {}", cut.collect::<Vec<_>>().join(" and "))
    });
    let more: Vec<String> = beside.into_iter().chain(drain).chain(stagger).collect();
    let more = (!more.is_empty()).then(|| more.join("; "));
    let stop = if row.stop { "STOP: " } else { "" };
    let fold = maybe_length(end.fold_back.filter(|f| f.um() > 0), units);
    Row {
        // The step is no key: a row keeps its tick when work before it is added.
        key: format!("{} at {} {} {}", row.mark, end.device, end.connector, end.cavity),
        about: about(&row.mark, &row.circuit, "", [&end.device]),
        cells: vec![
            format!("{stop}{}", row.step).into(),
            Cell::naming("conductor", &row.mark),
            format!("{} {}", row.gauge, row.colour).into(),
            Cell { under: row.one_way.then(|| ONE_WAY.to_owned()), ..end_cell(end) },
            Cell { text: end.function.clone(), under: more, ..Cell::default() },
            end.label.clone().into(),
            maybe_length(end.strip, units).into(),
            fold.into(),
            Cell { under: alarm(end), ..terminal(row) },
            Cell { tick: row.in_cavity, ..Cell::default() },
        ],
        record: record(row, units),
        group: Some(group(row, units)),
        part: false,
    }
}

/// The end of a screened cable: what is taken off and what becomes of the braid.
fn dress(row: &DressRow, units: Units) -> Row {
    let end = &row.end;
    let cable = Cell::naming("cable", &row.cable);
    let star = if row.by_default { " *" } else { "" };
    let off = end.jacket_off.map_or_else(String::new, |off| off.show(units));
    Row {
        key: format!("cable {} at {}", row.cable, end.device),
        about: std::iter::once(Reference::new("cable", &row.cable))
            .chain(row.circuits.iter().map(|circuit| Reference::new("circuit", circuit)))
            .collect(),
        cells: vec![
            row.step.to_string().into(),
            Cell { under: Some("cable".to_owned()), ..cable },
            format!("{} cores", row.cores.len()).into(),
            end.device.clone().into(),
            Cell {
                text: format!("take {off}{star} of jacket off"),
                under: Some(end.function.clone()),
                ..Cell::default()
            },
            end.label.clone().into(),
            Cell::default(),
            Cell::default(),
            match end.terminal.as_str() {
                "" => Cell { under: alarm(end), ..Cell::default() },
                seal => Cell { under: alarm(end), ..Cell::naming("part", seal) },
            },
            Cell::default(),
        ],
        record: dress_record(row, units),
        group: Some(dress_group(row, units)),
        part: false,
    }
}

fn alarm(end: &EndWords) -> Option<String> {
    (!end.alarm.is_empty()).then(|| end.alarm.clone())
}

/// The terminal; it names the part of the parts list only where it is one.
fn terminal(row: &CrimpRow) -> Cell {
    match row.terminal_title.as_str() {
        "" => row.end.terminal.clone().into(),
        _ => Cell::naming("part", &row.end.terminal),
    }
}

/// What is the same for a run of ends: the tool as it is set, when they are made, what goes on first and what is
/// checked. The terminal is told row by row: the legs of a pair alternate between two that must not be mixed up.
fn group(row: &CrimpRow, units: Units) -> Group {
    let end = &row.end;
    let tool: Vec<&str> = [end.tool.as_str(), &end.die].into_iter().filter(|t| !t.is_empty()).collect();
    let title = match (row.stop, tool.is_empty()) {
        (true, _) => "STOP: no part of the library fits".to_owned(),
        (false, true) => "no tool".to_owned(),
        (false, false) => tool.join(", "),
    };
    // A screened cable has a row of its own.
    let jacket = end.jacket_off.filter(|_| !row.screened);
    let jacket =
        jacket.map_or_else(String::new, |off| format!("take {} of it off each cable", off.show(units)));
    grouped(title, end, jacket, units)
}

fn dress_group(row: &DressRow, units: Units) -> Group {
    grouped("screened cables: jacket and braid".to_owned(), &row.end, String::new(), units)
}

fn grouped(title: String, end: &EndWords, jacket: String, units: Units) -> Group {
    let sleeves = end.sleeves.join(", then ");
    let first = if sleeves.is_empty() { sleeves } else { format!("slide on {sleeves}") };
    let service = end.service_loop.map_or_else(String::new, |service| {
        format!("the service loop of {} is at this end: it is in the cut length", service.show(units))
    });
    let details = [
        ("made", end.when.clone()),
        ("loop", service),
        ("jacket", jacket),
        ("first", first),
        ("then", end.checks.join("; ")),
    ];
    Group {
        title,
        cautions: end.cautions.clone(),
        details: details.into_iter().filter(|(_, text)| !text.is_empty()).collect(),
    }
}

fn heads(units: Units) -> Vec<String> {
    let own = ["step", "wire mark", "circuit", "wire type", "gauge", "colour"].map(str::to_owned);
    let last = ["terminal in words", "one-way", "cable to dress", "its cores"].map(str::to_owned);
    let braid = [format!("braid left ({})", length_unit(units))];
    own.into_iter().chain(end_heads("", units)).chain(last).chain(braid).collect()
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
    let last = [row.terminal_title.clone(), one_way.to_owned(), String::new(), String::new(), String::new()];
    own.into_iter().chain(end_record(&row.end, units)).chain(last).collect()
}

fn dress_record(row: &DressRow, units: Units) -> Vec<String> {
    let circuits = row.circuits.join(", ");
    let own = [row.step.to_string(), String::new(), circuits, row.wire.clone(), String::new(), String::new()];
    let last = [
        String::new(),
        String::new(),
        row.cable.clone(),
        row.cores.join(", "),
        maybe_length(row.braid_left, units),
    ];
    own.into_iter().chain(end_record(&row.end, units)).chain(last).collect()
}
