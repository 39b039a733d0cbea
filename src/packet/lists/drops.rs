//! Rows of the drop table in; its table out, supply by supply.

use super::figure::volts;
use crate::graph::ground_network::Range;
use crate::packet::table::{Cell, Column, Group, Reference, Row, Table};
use crate::plan::drop_table::DropRow;
use crate::plan::standing::Standing;
use crate::quantity::{Units, Voltage};
use crate::trade::voltage_drop::Duty;

/// The drop table, on a bus of this voltage.
pub fn drops(rows: &[DropRow], bus: Option<Voltage>, units: Units) -> Table {
    let source = rows.iter().find_map(|row| row.allowed).map(|allowed| allowed.source());
    let held = match (bus, source) {
        (Some(bus), Some(source)) => {
            format!("Held against what a bus of {} may lose: {source}.", bus.show(units))
        }
        _ => "Not held against a limit: the spec does not give the supply voltage.".to_owned(),
    };
    let mut notes = vec![
            "Loss over the wires alone, all loads on, the copper as warm as its zone and its own current make it. \
                Contacts, crimps, lugs, splices and switches are not counted, for none of them is measured."
            .to_owned(),
    ];
    notes.extend(taken(rows.iter().filter_map(|row| row.taken)));
    Table {
        name: "drop-table",
        title: "Voltage drops",
        purpose: "What each load loses of the bus voltage on its wires, there and back, and what it may lose.",
        lead: [over(rows), held].into_iter().filter(|words| !words.is_empty()).collect(),
        ticked: false,
        columns: vec![
            Column::words("load", 20),
            Column::words("circuit", 14),
            Column::words("drawn", 11),
            Column::figures("feed", Some("V"), 10),
            Column::figures("return", Some("V"), 10),
            Column::figures("drop", Some("V"), 10),
            Column::figures("allowed", Some("V"), 8),
            Column::words("against the limit", 17),
        ],
        rows: rows.iter().map(row).collect(),
        record_heads: [
            "supply",
            "load",
            "device",
            "circuit",
            "drawn",
            "feed, at least (V)",
            "feed, at most (V)",
            "return, at least (V)",
            "return, at most (V)",
            "drop, at least (V)",
            "drop, at most (V)",
            "allowed (V)",
            "standing",
            "why",
        ]
        .map(str::to_owned)
        .to_vec(),
        notes,
    }
}

/// Notes on how what is open was taken, each once.
pub(super) fn taken(all: impl Iterator<Item = &'static str>) -> Vec<String> {
    let mut all: Vec<&str> = all.collect();
    all.sort_unstable();
    all.dedup();
    all.into_iter().map(|taken| format!("Between two figures where {taken}.")).collect()
}

/// What must be read first: loads that lose too much.
fn over(rows: &[DropRow]) -> String {
    let over: Vec<&str> =
        rows.iter().filter(|row| row.standing == Standing::Over).map(|row| row.pin.as_str()).collect();
    if over.is_empty() { String::new() } else { format!("Too much is lost at {}.", over.join(", ")) }
}

/// A figure, or both its ends.
fn shown(range: &Option<Range<Voltage>>) -> String {
    match range {
        None => String::new(),
        Some(range) => match range.exact() {
            Some(value) => volts(*value),
            None => format!("{} to {}", volts(range.low), volts(range.high)),
        },
    }
}

fn ends(range: &Option<Range<Voltage>>) -> [String; 2] {
    range.as_ref().map_or_else(Default::default, |range| [volts(range.low), volts(range.high)])
}

fn row(of: &DropRow) -> Row {
    let drawn = match of.duty {
        Duty::Continuous => "all the time",
        Duty::Intermittent => "for short times",
    };
    let allowed = of.allowed.map_or_else(String::new, |allowed| volts(allowed.drop));
    let why = of.standing.why().to_owned();
    let group = match of.supply.as_str() {
        "" => "Fed over a switch".to_owned(),
        supply => format!("From {supply}"),
    };
    let naming = |kind: &'static str, id: &str| match id {
        "" => Cell::default(),
        id => Cell::naming(kind, id),
    };
    let figures = [&of.feed, &of.back, &of.total];
    let record = [&of.supply, &of.pin, &of.device, &of.circuit].map(|text| text.to_owned()).into_iter();
    Row {
        key: format!("{} {}", of.supply, of.pin),
        about: [("circuit", &of.circuit), ("device", &of.device), ("device", &of.supply)]
            .into_iter()
            .filter(|(_, id)| !id.is_empty())
            .map(|(kind, id)| Reference::new(kind, id))
            .collect(),
        cells: [
            Cell { names: Some(Reference::new("device", &of.device)), ..Cell::from(of.pin.clone()) },
            naming("circuit", &of.circuit),
            drawn.into(),
        ]
        .into_iter()
        .chain(figures.map(|range| Cell::from(shown(range))))
        .chain([allowed.clone().into(), of.standing.words().into()])
        .collect(),
        record: record
            .chain([drawn.to_owned()])
            .chain(figures.into_iter().flat_map(ends))
            .chain([allowed, of.standing.word().to_owned(), why])
            .collect(),
        group: Some(Group::titled(group)),
        part: false,
    }
}
