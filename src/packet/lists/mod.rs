//! Rows of the plan in; the shop's lists as tables out, each for reading (few columns, two lines a cell) and for
//! machines (every column, one figure a cell, the unit in the head).

mod crimp;
mod cut;
mod drops;
mod figure;
mod install;
mod loads;
mod mass;
mod offsets;
mod parts;

pub use crimp::crimp;
pub use cut::cut;
pub use drops::drops;
pub use install::install;
pub use loads::loads;
pub use mass::mass_and_balance;
pub use offsets::offsets;
pub use parts::parts;

use super::table::{Cell, Reference};
use crate::plan::end_words::EndWords;
use crate::quantity::Units;
use figure::{length_unit, maybe_length};

/// Where an end goes, for reading: the pin as on the label.
fn end_cell(end: &EndWords) -> Cell {
    Cell { text: end.pin.clone(), names: Some(Reference::new("device", &end.device)), ..Cell::default() }
}

/// Heads of everything that is known of an end.
fn end_heads(side: &str, units: Units) -> Vec<String> {
    let unit = length_unit(units);
    EndWords::COLUMNS
        .iter()
        .map(|head| match *head {
            "strip"
            | "of it folded back"
            | "jacket off"
            | "service loop here"
            | "cut off wire"
            | "cut off device lead" => format!("{side}{head} ({unit})"),
            head => format!("{side}{head}"),
        })
        .collect()
}

/// Everything that is known of an end, in the order of [`end_heads`].
fn end_record(end: &EndWords, units: Units) -> Vec<String> {
    let mut cells = end.cells(units).to_vec();
    for (head, cell) in EndWords::COLUMNS.iter().zip(&mut cells) {
        match *head {
            "strip" => *cell = maybe_length(end.strip, units),
            "of it folded back" => *cell = maybe_length(end.fold_back, units),
            "jacket off" => *cell = maybe_length(end.jacket_off, units),
            "service loop here" => *cell = maybe_length(end.service_loop, units),
            "cut off wire" => *cell = maybe_length(end.stagger.map(|s| s.wire), units),
            "cut off device lead" => *cell = maybe_length(end.stagger.map(|s| s.lead), units),
            _ => {}
        }
    }
    cells
}
