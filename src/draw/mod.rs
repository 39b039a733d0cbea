//! Drawings: placed once into a [`Scene`] of final sheet coordinates, written from there by exporters that
//! place nothing.
//!
//! ```text
//! sheet (frame, title block) ─┐
//! symbols, legend, lettering ─┼─ Scene ─┬─ svg_out
//! one file a drawing kind ────┘         ├─ pdf_out
//!                                       └─ audit (what overlaps, touches or leaves the frame)
//! ```

pub mod audit;
pub(crate) mod base64;
mod block;
pub mod board;
mod deck;
pub mod faces;
pub mod field;
mod free;
#[cfg(test)]
#[path = "../../tests/benches/generator.rs"]
mod generator;
pub mod geometry;
pub mod graduation;
mod grid;
pub mod holes;
pub mod insulation;
mod key_table;
pub mod legend;
pub mod lettering;
pub mod mark;
pub mod outline;
pub mod palette;
pub mod paper;
mod particulars;
#[cfg(feature = "book")]
pub mod pdf_out;
pub mod routing;
#[cfg(test)]
mod sample;
pub mod scale;
pub mod scene;
pub mod sheet;
mod signs;
pub mod stroke;
pub mod svg_out;
pub mod symbols;
mod tagging;
mod thermocouple_words;
pub mod title_block;
pub mod typeface;
pub mod wire_end;
pub mod wiring;

pub use audit::{Defect, DefectKind, Report, audit};
pub use board::{Board, boards};
pub use faces::faces;
pub use geometry::{Area, Extent, Mm, Point, mm};
pub use holes::holes;
pub use lettering::{Height, Lettering};
pub use mark::{Layer, Mark, Tag, TagKind};
pub use palette::Ink;
pub use paper::Paper;
pub use routing::routing;
pub use scene::{Anchor, Item, Scene, Shape, Step, Text, Turn};
pub use sheet::{Format, Sheet};
pub use stroke::{Dash, LineWidth, Paint, Stroke};
pub use title_block::TitleBlock;
pub use typeface::Weight;
