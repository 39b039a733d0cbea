//! Offsets of senders in; their table out, sender by sender, state of the grounds by state.

use super::drops::taken;
use super::figure::{millivolts, millivolts_to};
use crate::packet::table::{Cell, Column, Group, Reference, Row, Table};
use crate::plan::offset_table::{OffsetGroup, OffsetRow, Offsets};
use crate::plan::standing::Standing;

/// The table of offsets.
pub fn offsets(offsets: &Offsets) -> Table {
    let rows = || offsets.groups.iter().flat_map(|group| group.rows.iter().map(move |row| (group, row)));
    let lead = [
        named(rows(), &|row| row.standing == Standing::Over, "Off by more than the tolerance"),
        named(
            rows(),
            &|row| row.standing == Standing::Beyond,
            "Off by more than the tolerance, or without a zero, while a bond is open",
        ),
        named(
            rows(),
            &|row| matches!(row.standing, Standing::NotJudged(_)),
            "Not judged, in one state at least",
        ),
    ];
    let untouched = match offsets.untouched.as_slice() {
        [] => String::new(),
        names => format!(
            "No ground current shifts what is counted as pulses or measured between its own two wires: {}.",
            names.join(", ")
        ),
    };
    let unread = match offsets.unread.as_slice() {
        [] => String::new(),
        names => format!("Wired, but read by no indicator, so nothing is told of it: {}.", names.join(", ")),
    };
    let notes = [
        "How far the zero of a sender lies above that of its indicator, and what that does to the reading, where it is worst \
         on the scale. With every load on."
            .to_owned(),
        "Contacts, crimps, lugs on studs and splices are not counted, for none of them is measured.".to_owned(),
    ]
    .into_iter()
    .chain(taken(rows().filter_map(|(_, row)| row.taken)))
    .chain([untouched, unread]);
    Table {
        name: "sender-offsets",
        title: "Offsets of senders",
        purpose: "How far each sender reads wrong by what its grounds carry: in cruise, while cranking, and with a bond open.",
        lead: lead.into_iter().flatten().collect(),
        ticked: false,
        columns: vec![
            Column::words("grounds", 28),
            Column::figures("offset", Some("mV"), 16),
            Column::figures("the reading is off by", None, 28),
            Column::words("against the tolerance", 28),
        ],
        rows: rows().map(|(group, row)| line(group, row)).collect(),
        record_heads: [
            "sender",
            "title",
            "read at",
            "grounds",
            "offset, at least (mV)",
            "offset, at most (mV)",
            "error, at least",
            "error, at most",
            "unit",
            "at a reading of",
            "in words",
            "tolerance",
            "standing",
            "why",
            "worst",
        ]
        .map(str::to_owned)
        .to_vec(),
        notes: notes.filter(|note| !note.is_empty()).collect(),
    }
}

/// The senders of which a row is so, each once; None where there is none.
fn named<'a>(
    rows: impl Iterator<Item = (&'a OffsetGroup, &'a OffsetRow)>,
    is_so: &dyn Fn(&OffsetRow) -> bool,
    what: &str,
) -> Option<String> {
    let mut names: Vec<&str> =
        rows.filter(|(_, row)| is_so(row)).map(|(group, _)| group.sender.as_str()).collect();
    names.dedup();
    (!names.is_empty()).then(|| format!("{what}: {}.", names.join(", ")))
}

fn line(group: &OffsetGroup, row: &OffsetRow) -> Row {
    let volts = row.volts.as_ref().map_or_else(Default::default, |r| [r.low, r.high].map(millivolts));
    let errors = row.error.as_ref();
    let [low, high] =
        errors.map_or_else(Default::default, |r| [r.low, r.high].map(|e| e.error.value().to_string()));
    // Both ends may be worst at different readings; then the words say which.
    let at = errors.filter(|r| r.low.at == r.high.at).map_or_else(String::new, |r| r.low.at.show());
    let unit = errors.map_or("", |r| r.low.error.unit().word());
    let why = row.standing.why().to_owned();
    let offset = match &row.volts {
        Some(range) if row.beyond.is_empty() => match range.exact() {
            Some(value) => millivolts_to(*value, 3),
            None => format!("{} to {}", millivolts_to(range.low, 3), millivolts_to(range.high, 3)),
        },
        _ => row.beyond.clone(),
    };
    let state = if row.state.is_empty() { "in any state" } else { &row.state };
    let worst = row.worst.then(|| "the worst".to_owned());
    Row {
        key: format!("{} {} {state}", group.sender, group.read_at),
        about: vec![Reference::new("device", &group.sender)],
        cells: vec![
            Cell { under: worst, ..Cell::from(state) },
            offset.into(),
            row.reading.clone().into(),
            row.standing.words().into(),
        ],
        record: [&group.sender, &group.title, &group.read_at, &row.state]
            .map(|text| text.to_owned())
            .into_iter()
            .chain(volts)
            .chain([low, high, unit.to_owned(), at, row.reading.clone(), group.tolerance.clone()])
            .chain([row.standing.word().to_owned(), why])
            .chain([if row.worst { "worst".to_owned() } else { String::new() }])
            .collect(),
        group: Some(heading(group)),
        part: false,
    }
}

fn heading(group: &OffsetGroup) -> Group {
    let with = group.with.join(", ");
    let details = [
        ("read at", &group.read_at),
        ("in series with", &with),
        ("tolerance", &group.tolerance),
        ("worst", &group.worst),
    ];
    Group {
        details: details
            .into_iter()
            .filter(|(_, text)| !text.is_empty())
            .map(|(name, text)| (name, text.clone()))
            .collect(),
        ..Group::titled(format!("{}: {}", group.sender, group.title))
    }
}
