//! Sections of the load table in; its table out, bus by bus and phase by phase.

use super::figure::amps;
use crate::packet::table::{Cell, Column, Group, Reference, Row, Table};
use crate::plan::load_table::{LoadRow, Section};
use crate::quantity::{Current, Units};
use crate::trade::source_load::watched_above;
use crate::trade::voltage_drop::Duty;

/// Where a margin would stand.
const NO_SOURCE: &str = "not stated: no source rating given";

/// The load table.
pub fn loads(sections: &[Section], units: Units) -> Table {
    let unknown = sections.iter().any(|s| !s.unknown.is_empty());
    let watched = sections.iter().any(|s| s.share().is_some_and(|share| share > watched_above().value));
    let silent: Vec<String> = {
        let mut names: Vec<String> = Vec::new();
        for section in sections.iter().filter(|section| section.source.is_none()) {
            let name = bus_name(section).to_owned();
            if !names.contains(&name) {
                names.push(name);
            }
        }
        names
    };
    let lead = match silent.is_empty() {
        true => Vec::new(),
        false => vec![format!("{}: margin {NO_SOURCE}.", silent.join(", "))],
    };
    let notes = [
        (true, "Steady currents of this harness and what the spec says of the rest of the machine: no load analysis of it."
            .to_owned()),
        (unknown, "? Nobody says how much it draws; the margin is less by that.".to_owned()),
        (watched, format!(
            "! More than {} of the source continuously: reduce the load, or watch it by a placard or monitor ({}; a rule of thumb).",
            watched_above().value.show(units),
            watched_above().source(),
        )),
    ];
    Table {
        name: "load-table",
        title: "Load table",
        purpose: "What each bus gives in each phase, load by load, and what is left of its source.",
        lead,
        ticked: false,
        columns: vec![
            Column::words("load", 24),
            Column::words("circuit", 14),
            Column::words("fed by", 20),
            Column::figures("continuous", Some("A"), 12),
            Column::figures("with intermittent", Some("A"), 14),
            Column::words("said by", 20),
        ],
        rows: sections.iter().flat_map(|section| rows(section, units)).collect(),
        record_heads: [
            "bus",
            "phase",
            "line",
            "load",
            "device",
            "circuit",
            "supply",
            "protector",
            "continuous (A)",
            "with intermittent (A)",
            "said by",
        ]
        .map(str::to_owned)
        .to_vec(),
        notes: notes.into_iter().filter(|(used, _)| *used).map(|(_, note)| note).collect(),
    }
}

fn bus_name(section: &Section) -> &str {
    if section.bus.is_empty() { "no bus named" } else { &section.bus }
}

/// The name of a section.
fn heading(section: &Section) -> String {
    let bus = bus_name(section);
    if section.phase.is_empty() { bus.to_owned() } else { format!("{bus}: {}", section.phase) }
}

fn rows(section: &Section, units: Units) -> Vec<Row> {
    let mut rows: Vec<Row> = section.loads.iter().map(|load| of_load(section, load)).collect();
    if let Some(others) = section.others {
        rows.push(of_sum(section, "rest of the machine", [Some(others), Some(others)], "spec: others"));
    }
    let less = if section.unknown.is_empty() { "" } else { ", and what is not known" };
    let together = [Some(section.continuous), Some(section.continuous + section.intermittent)];
    rows.push(of_sum(section, "together", together, &format!("sum{less}")));
    if section.source.is_some() {
        rows.push(of_sum(section, "source gives", [section.source, section.source], "spec: source"));
        let share = section.share().map_or_else(String::new, |share| {
            let mark = if share > watched_above().value { " !" } else { "" };
            format!("{} of the source taken{mark}", share.show(units))
        });
        rows.push(of_sum(section, "margin", [section.margin(), section.least_margin()], &share));
    } else {
        rows.push(of_sum(section, "margin", [None, None], NO_SOURCE));
    }
    rows
}

fn of_load(section: &Section, load: &LoadRow) -> Row {
    let figure = load.current.map_or_else(|| "?".to_owned(), amps);
    let [long, short] = match load.duty {
        Duty::Continuous => [figure.clone(), figure],
        Duty::Intermittent => [String::new(), figure],
    };
    let protector = (!load.protector.is_empty()).then(|| load.protector.clone());
    Row {
        key: format!("{} {} {} {}", section.bus, section.phase, load.supply, load.pin),
        about: [("circuit", &load.circuit), ("device", &load.device), ("device", &load.supply)]
            .into_iter()
            .filter(|(_, id)| !id.is_empty())
            .map(|(kind, id)| Reference::new(kind, id))
            .collect(),
        cells: vec![
            Cell { names: Some(Reference::new("device", &load.device)), ..Cell::from(load.pin.clone()) },
            Cell::naming("circuit", &load.circuit),
            Cell { under: protector, ..Cell::naming("device", &load.supply) },
            long.clone().into(),
            short.clone().into(),
            load.said_by.clone().into(),
        ],
        record: vec![
            section.bus.clone(),
            section.phase.clone(),
            "load".to_owned(),
            load.pin.clone(),
            load.device.clone(),
            load.circuit.clone(),
            load.supply.clone(),
            load.protector.clone(),
            long,
            short,
            load.said_by.clone(),
        ],
        group: Some(Group::titled(heading(section))),
        part: false,
    }
}

fn of_sum(section: &Section, line: &str, currents: [Option<Current>; 2], said_by: &str) -> Row {
    let [long, short] = currents.map(|current| current.map_or_else(String::new, amps));
    let cells = [line, "", "", &long, &short, said_by];
    let record = [&section.bus, &section.phase, line, "", "", "", "", "", &long, &short, said_by];
    Row {
        key: format!("{} {} {line}", section.bus, section.phase),
        about: Vec::new(),
        cells: cells.map(Cell::from).to_vec(),
        record: record.map(str::to_owned).to_vec(),
        group: Some(Group::titled(heading(section))),
        part: false,
    }
}
