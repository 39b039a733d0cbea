//! Rows of the parts list in; its table out, sort by sort.

use super::figure::{figures_of, length_unit, mass_to, mass_unit, maybe_length, rounded_words};
use crate::packet::table::{Cell, Column, Group, Reference, Row, Table};
use crate::plan::mass::not_in_it;
use crate::plan::parts_list::PartRow;
use crate::quantity::{Mass, Units};

/// The parts list.
pub fn parts(rows: &[PartRow], unclamped: usize, units: Units) -> Table {
    let unit = length_unit(units);
    let typical = rows.iter().any(|row| row.typical);
    let lead = vec![in_all(rows, typical, units)];
    Table {
        name: "parts-list",
        title: "Parts list",
        purpose: "What to have on the bench before the first cut. Lengths are what is used, without scrap.",
        lead,
        ticked: true,
        columns: vec![
            Column::words("part", 30),
            Column::figures("pieces", None, 7),
            Column::figures("length in all", Some(unit), 11),
            Column::figures("mass", Some(mass_unit(units)), 8),
            Column::words("used at", 24),
            Column::words("remark", 16),
        ],
        rows: rows.iter().map(|row| line(row, units)).collect(),
        record_heads: [
            "sort",
            "part",
            "description",
            "pieces",
            &format!("length in all ({unit})"),
            "mass",
            "used at",
            "remark",
        ]
        .map(str::to_owned)
        .to_vec(),
        notes: [rounded_words(typical).to_owned()]
            .into_iter()
            .chain((unclamped > 0).then(|| {
                format!("Of {unclamped} supports no clamp of the library closes on the bundle: tape or ties, not listed.")
            }))
            .collect(),
    }
}

/// What all of it weighs, and what is not in that.
fn in_all(rows: &[PartRow], typical: bool, units: Units) -> String {
    let known: Mass = rows.iter().filter_map(|row| row.mass).sum();
    let open: usize = rows.iter().map(|row| row.without_mass).sum();
    let known = format!(
        "All of it weighs about {} {}, as far as the parts say their mass",
        mass_to(known, units, figures_of(typical)),
        mass_unit(units)
    );
    let more = match open {
        0 => String::new(),
        1 => "; of 1 piece it is not known".to_owned(),
        n => format!("; of {n} pieces it is not known"),
    };
    format!("{known}{more}. Not in it: {}.", not_in_it())
}

fn line(row: &PartRow, units: Units) -> Row {
    let mass = row.mass.map_or_else(String::new, |m| mass_to(m, units, figures_of(row.typical)));
    let length = maybe_length(row.length, units);
    Row {
        key: format!("{} {}", row.sort.word(), row.part),
        about: vec![Reference::new("part", &row.part)],
        cells: vec![
            Cell { under: Some(row.title.clone()), ..Cell::naming("part", &row.part) },
            row.pieces.to_string().into(),
            length.clone().into(),
            mass.clone().into(),
            row.used_at.join(", ").into(),
            row.remark.clone().into(),
        ],
        record: vec![
            row.sort.word().to_owned(),
            row.part.clone(),
            row.title.clone(),
            row.pieces.to_string(),
            length,
            row.mass.map_or_else(String::new, |m| m.show(units)),
            row.used_at.join(", "),
            row.remark.clone(),
        ],
        group: Some(Group::titled(row.sort.word())),
    }
}
