//! Rows of the parts list in; its table out, sort by sort.

use super::figure::{FIGURES, length_unit, mass_to, mass_unit, maybe_length, rounded_words};
use crate::packet::table::{Cell, Column, Group, Reference, Row, Table};
use crate::plan::mass::not_in_it;
use crate::plan::parts_list::{PartRow, Sort};
use crate::quantity::{Mass, Units};
use crate::trade::allowances::TEST_PIECE;

/// The parts list.
pub fn parts(rows: &[PartRow], unclamped: usize, units: Units) -> Table {
    let unit = length_unit(units);
    let typical = rows.iter().any(|row| row.typical);
    let tested = rows.iter().any(|row| row.tests > 0);
    let lead = vec![in_all(rows, units)];
    Table {
        name: "parts-list",
        title: "Parts list",
        purpose: "What to have on the bench before the first cut. Lengths are what is used, without scrap. Pieces for tests \
                  come on top.",
        lead,
        ticked: true,
        columns: vec![
            Column::words("part", 28),
            Column::figures("pieces", None, 6),
            Column::figures("for tests", None, 5),
            Column::figures("length in all", Some(unit), 11),
            Column::figures("mass", Some(mass_unit(units)), 8),
            Column::words("used at", 22),
            Column::words("remark", 16),
        ],
        rows: rows.iter().map(|row| line(row, units)).collect(),
        record_heads: [
            "sort",
            "part",
            "description",
            "pieces",
            "pieces for tests",
            &format!("length in all ({unit})"),
            "mass",
            "used at",
            "remark",
        ]
        .map(str::to_owned)
        .to_vec(),
        notes: [rounded_words(typical).to_owned()]
            .into_iter()
            .chain(tested.then(|| {
                format!(
                    "For tests: terminals that are pulled to pieces, on {} of their wire each (common practice, no source).",
                    TEST_PIECE.show(units)
                )
            }))
            .chain((unclamped > 0).then(|| {
                format!("Of {unclamped} supports no clamp of the library closes on the bundle: tape or ties, not listed.")
            }))
            .collect(),
    }
}

/// What all of it weighs, and what is not in that.
fn in_all(rows: &[PartRow], units: Units) -> String {
    let known: Mass = rows.iter().filter_map(|row| row.mass).sum();
    let open: usize = rows.iter().map(|row| row.without_mass).sum();
    let known = format!(
        "All of it weighs about {} {}, as far as the parts say their mass",
        mass_to(known, units, FIGURES),
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
    let mass = row.mass.map_or_else(String::new, |m| mass_to(m, units, FIGURES));
    let length = maybe_length(row.length, units);
    let tests = if row.tests > 0 { format!("+{}", row.tests) } else { String::new() };
    let tool = row.sort == Sort::Tool;
    let named = if tool { Cell::from(row.part.clone()) } else { Cell::naming("part", &row.part) };
    Row {
        key: format!("{} {}", row.sort.word(), row.part),
        about: if tool { Vec::new() } else { vec![Reference::new("part", &row.part)] },
        cells: vec![
            Cell { under: Some(row.title.clone()).filter(|title| !title.is_empty()), ..named },
            row.pieces.to_string().into(),
            tests.clone().into(),
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
            row.tests.to_string(),
            length,
            row.mass.map_or_else(String::new, |m| m.show(units)),
            row.used_at.join(", "),
            row.remark.clone(),
        ],
        group: Some(Group::titled(row.sort.word())),
        part: false,
    }
}
