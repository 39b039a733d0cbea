//! Published tables in tests/reference: a file name in, its rows by column name out.
//!
//! Each file keeps its source in the `#` lines at its head.

use std::collections::BTreeMap;

use crate::tidy::{files_under, shown};

pub type Row = BTreeMap<String, String>;

pub fn rows(file: &str) -> Vec<Row> {
    let path = format!("{}/tests/reference/{file}", env!("CARGO_MANIFEST_DIR"));
    let mut reader = csv::ReaderBuilder::new().comment(Some(b'#')).from_path(&path).unwrap();
    let rows: Vec<Row> = reader.deserialize().map(|row| row.unwrap()).collect();
    assert!(!rows.is_empty(), "{file} has no rows");
    rows
}

/// A number of a row; panics with the row where it is none.
pub fn number(row: &Row, column: &str) -> f64 {
    row[column].parse().unwrap_or_else(|_| panic!("{column} of {row:?}"))
}

/// A number of a row, or None where the cell is empty.
pub fn maybe(row: &Row, column: &str) -> Option<f64> {
    (!row[column].is_empty()).then(|| number(row, column))
}

#[track_caller]
pub fn near(computed: f64, published: f64, tolerance: f64, place: &str) {
    assert!((computed - published).abs() <= tolerance, "{place}: computed {computed}, published {published}");
}

// A table that no test reads holds nothing.
#[test]
fn every_collected_table_is_read_by_a_test() {
    let sources: Vec<String> = ["src", "tests"]
        .into_iter()
        .flat_map(files_under)
        .filter(|path| path.extension().is_some_and(|e| e == "rs"))
        .map(|path| std::fs::read_to_string(path).unwrap())
        .collect();
    let tables: Vec<String> = files_under("tests/reference")
        .iter()
        .filter(|path| path.extension().is_some_and(|e| e == "csv"))
        .map(|path| shown(path))
        .collect();
    assert!(tables.len() > 25, "{tables:?}");
    let unread: Vec<&String> = tables
        .iter()
        .filter(|table| {
            let name = table.rsplit('/').next().unwrap_or(table);
            !sources.iter().any(|text| text.contains(&format!("{name}\"")))
        })
        .collect();
    assert!(unread.is_empty(), "no test reads {unread:?}");
}
