//! Rows of the cut list in; its table out, spool by spool.

use indexmap::IndexMap;

use super::figure::{self, length_unit, maybe_length};
use super::{end_cell, end_heads, end_record};
use crate::packet::table::{Cell, Column, Group, Reference, Row, Table};
use crate::plan::cut_list::CutRow;
use crate::plan::length::CutLength;
use crate::quantity::Units;

/// The cut list of `rows`, whose lengths are made up as `lengths` says, one for each row. Rows of one wire type stand
/// together, in the order of the harness.
pub fn cut(rows: &[CutRow], lengths: &[CutLength], units: Units) -> Table {
    let unit = length_unit(units);
    // Spools in the order in which they are first needed.
    let mut spools: IndexMap<&str, Vec<(&CutRow, &CutLength)>> = IndexMap::new();
    for (row, length) in rows.iter().zip(lengths) {
        spools.entry(&row.wire).or_default().push((row, length));
    }
    let notes = [
        (
            rows.iter().any(|r| r.by_default),
            "* A default of the tool is in this length; the command fairlead why shows which.",
        ),
        (
            rows.iter().any(|r| r.cut_length.is_none()),
            "? The length is not known; the remark says what is missing.",
        ),
    ];
    Table {
        name: "cut-list",
        title: "Cut list",
        purpose: "One box a piece, spool by spool. Cut it, then tag both its ends with its mark before the next piece: a pen \
                  or tape will do, the printed sleeves go on when the ends are made. A cable is one piece: its cores \
                  stand below it.",
        lead: Vec::new(),
        ticked: true,
        columns: vec![
            Column::words("mark", 13),
            Column::figures("cut length", Some(unit), 10),
            Column::words("colour", 11),
            Column::words("from", 15),
            Column::words("to", 15),
            Column::words("circuit", 10),
            Column::words("remark", 22),
        ],
        rows: spools.values().flat_map(|rows| pieces(rows, units)).collect(),
        record_heads: heads(units),
        notes: notes.into_iter().filter(|(used, _)| *used).map(|(_, note)| note.to_owned()).collect(),
    }
}

/// The rows of a spool, each cable as one piece with its cores below it.
fn pieces(rows: &[(&CutRow, &CutLength)], units: Units) -> Vec<Row> {
    let mut pieces: IndexMap<(&str, &str), Vec<(&CutRow, &CutLength)>> = IndexMap::new();
    for (row, length) in rows {
        let alone = if row.cable.is_empty() { row.mark.as_str() } else { "" };
        pieces.entry((&row.cable, alone)).or_default().push((row, length));
    }
    let mut all = Vec::new();
    for ((cable, _), rows) in &pieces {
        let cores: Vec<Row> = rows.iter().map(|(row, length)| line(row, length, units)).collect();
        if !cable.is_empty() {
            all.extend(whole(cable, rows, units));
        }
        all.extend(cores);
    }
    all
}

/// A cable as the piece that is cut.
fn whole(cable: &str, rows: &[(&CutRow, &CutLength)], units: Units) -> Option<Row> {
    let (longest, made_of) = rows.iter().max_by_key(|(row, _)| row.cut_length)?;
    let once = |words: Vec<&str>| {
        let mut seen: Vec<&str> = Vec::new();
        words.into_iter().for_each(|word| {
            if !seen.contains(&word) {
                seen.push(word)
            }
        });
        seen.join(", ")
    };
    let names = |of: fn(&CutRow) -> &str| once(rows.iter().map(|(row, _)| of(row)).collect());
    let known = rows.iter().all(|(row, _)| row.cut_length.is_some());
    let length = if known { shown(longest, units) } else { "?".to_owned() };
    let circuits = names(|row| &row.circuit);
    let mut about: Vec<Reference> = vec![Reference::new("cable", cable)];
    about.extend(rows.iter().map(|(row, _)| Reference::new("circuit", &row.circuit)));
    about.dedup();
    let cores = if rows.len() == 1 { "1 core".to_owned() } else { format!("{} cores", rows.len()) };
    let cores = format!("cable, {cores}");
    Some(Row {
        key: format!("cable {cable}"),
        about,
        cells: vec![
            Cell::naming("cable", cable),
            Cell { text: length, terms: terms(made_of, units), ..Cell::default() },
            cores.into(),
            names(|row| &row.from.device).into(),
            names(|row| &row.to.device).into(),
            circuits.into(),
            Cell::default(),
        ],
        record: Vec::new(),
        group: Some(group(longest)),
        part: false,
    })
}

fn shown(row: &CutRow, units: Units) -> String {
    let star = if row.by_default { " *" } else { "" };
    row.cut_length.map_or_else(|| "?".to_owned(), |l| format!("{}{star}", figure::length(l, units)))
}

fn group(row: &CutRow) -> Group {
    let titled = Group::titled(format!("{}: {}", row.wire, row.wire_title));
    Group { cautions: row.cautions.clone(), ..titled }
}

fn line(row: &CutRow, made_of: &CutLength, units: Units) -> Row {
    let part = !row.cable.is_empty();
    let mut remarks = Vec::new();
    if let (false, Some(turn)) = (row.twist_with.is_empty(), row.turn) {
        let with = row.twist_with.join(", ");
        remarks.push(format!("TWIST with {with}, one turn in {}, before it is laid", turn.show(units)));
    }
    if let (Some(_), Some(need)) = (row.declared_length, row.computed_length) {
        remarks.push(format!("as the spec says; computed {}", need.show(units)));
    }
    if !row.through.is_empty() {
        remarks.push(format!("through {}", row.through.join(", ")));
    }
    if row.cut_length.is_none() {
        remarks.extend(row.missing.iter().cloned());
    }
    if !row.note.is_empty() {
        remarks.push(row.note.clone());
    }
    Row {
        key: row.mark.clone(),
        about: about(&row.mark, &row.circuit, &row.cable, [&row.from.device, &row.to.device]),
        cells: vec![
            Cell::naming("conductor", &row.mark),
            // The piece that is cut is the cable.
            if part {
                Cell::default()
            } else {
                Cell { text: shown(row, units), terms: terms(made_of, units), ..Cell::default() }
            },
            format!("{} {}", row.colour, row.colour_name).into(),
            end_cell(&row.from),
            end_cell(&row.to),
            Cell::naming("circuit", &row.circuit),
            remarks.join("; ").into(),
        ],
        record: record(row, made_of, units),
        group: Some(group(row)),
        part,
    }
}

/// What a cut length is made of, without the terms that come to nothing.
fn terms(length: &CutLength, units: Units) -> Vec<(String, String)> {
    let counts = length.items.iter().filter(|item| item.length.um() != 0);
    counts
        .map(|item| {
            let star = if item.by_default { " *" } else { "" };
            (item.words.clone(), format!("{}{star}", item.length.show(units)))
        })
        .collect()
}

/// What a row about a conductor names.
pub(super) fn about<'a>(
    mark: &str,
    circuit: &str,
    cable: &str,
    devices: impl IntoIterator<Item = &'a String>,
) -> Vec<Reference> {
    let cable = (!cable.is_empty()).then(|| Reference::new("cable", cable));
    [Reference::new("conductor", mark), Reference::new("circuit", circuit)]
        .into_iter()
        .chain(cable)
        .chain(devices.into_iter().map(|d| Reference::new("device", d)))
        .collect()
}

fn heads(units: Units) -> Vec<String> {
    let unit = length_unit(units);
    let own = [
        "wire mark".to_owned(),
        "circuit".to_owned(),
        "system".to_owned(),
        "wire type".to_owned(),
        "wire".to_owned(),
        "cut as one with cable".to_owned(),
        "gauge".to_owned(),
        "colour".to_owned(),
        "colour in words".to_owned(),
        format!("cut length ({unit})"),
        format!("length in the spec ({unit})"),
        format!("computed length ({unit})"),
        format!("of it: route ({unit})"),
        format!("of it: tails and loop ({unit})"),
        format!("of it: reach ({unit})"),
        format!("of it: reserves ({unit})"),
        format!("of it: twist, evening, rounding ({unit})"),
        "a default is in it".to_owned(),
        "made of".to_owned(),
        "missing".to_owned(),
        "through".to_owned(),
    ];
    own.into_iter()
        .chain(end_heads("from: ", units))
        .chain(end_heads("to: ", units))
        .chain([
            "twist with".to_owned(),
            format!("one turn in ({unit})"),
            "caution".to_owned(),
            "note".to_owned(),
        ])
        .collect()
}

fn record(row: &CutRow, made_of: &CutLength, units: Units) -> Vec<String> {
    let own = [
        row.mark.clone(),
        row.circuit.clone(),
        row.system.clone(),
        row.wire.clone(),
        row.wire_title.clone(),
        row.cable.clone(),
        row.gauge.to_string(),
        row.colour.clone(),
        row.colour_name.clone(),
        maybe_length(row.cut_length, units),
        maybe_length(row.declared_length, units),
        maybe_length(row.computed_length, units),
        figure::length(row.terms.route, units),
        figure::length(row.terms.tails, units),
        figure::length(row.terms.reach, units),
        figure::length(row.terms.reserves, units),
        figure::length(row.terms.rest, units),
        if row.by_default { "yes" } else { "no" }.to_owned(),
        terms(made_of, units)
            .iter()
            .map(|(words, length)| format!("{words} {length}"))
            .collect::<Vec<_>>()
            .join("; "),
        row.missing.join("; "),
        if row.through.is_empty() { "none".to_owned() } else { row.through.join(", ") },
    ];
    own.into_iter()
        .chain(end_record(&row.from, units))
        .chain(end_record(&row.to, units))
        .chain([
            row.twist_with.join(", "),
            maybe_length(row.turn, units),
            row.cautions.join("; "),
            row.note.clone(),
        ])
        .collect()
}
