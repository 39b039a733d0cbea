//! The wiring drawing: a resolved harness and its routing in, one placed sheet out.
//!
//! Zones are columns with the barriers drawn between them, the zone with the indicator first. Devices are boxes with
//! their used pins, in-line connectors stand in the conductors they part, and each conductor is drawn once from pin to
//! pin, through the gate of the hole that its routing names.
//!
//! ```text
//! way      which zones a conductor passes, and by which hole
//! columns  zones from left to right
//! seat     the rank of every device
//! build    ranks, nodes, rows, links        pins    the rows of a device; face how it looks
//! order    few crossings, then sift         emblem  twists, screens, jackets
//! body     what keeps its distances
//! align    heights, straight where it can
//! channel  lanes
//! plan     all places
//! draw_*   ink
//! ```

mod align;
mod body;
mod build;
mod channel;
mod chart;
mod columns;
mod draw_device;
mod draw_zone;
mod emblem;
mod face;
mod key;
mod label;
mod order;
mod pins;
mod plan;
mod seat;
mod sheet;
mod sift;
mod way;
mod words;

pub use sheet::{WiringSheet, wiring};
