//! Findings, lists and drawings in; a packet of finished papers out, and onto the disk as a whole.
//!
//! ```text
//! plan rows ─ table ─┬─ csv
//! scenes ────────────┼─ page (index.html and papers)
//! findings ──────────┴─ book (all of it as one PDF)
//!                    └─ file_set + manifest ─ write ─ folder
//! ```
//!
//! Only this stage writes files. A packet is complete in memory before the first byte reaches the disk.

#[cfg(feature = "book")]
pub mod book;
pub mod bound;
pub mod cautions;
pub mod csv;
pub mod file_set;
pub mod heading;
pub mod lists;
pub mod manifest;
mod page;
pub mod papers;
mod places;
pub mod table;
pub mod write;

pub use file_set::FileSet;
pub use manifest::Manifest;
pub use papers::{Papers, Unmade};
pub use table::Table;
pub use write::WriteError;
