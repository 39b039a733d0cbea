//! The wiring drawing: a resolved harness and its routing in, placed sheets out.
//!
//! Zones are columns with the barriers drawn between them, the zone with the indicator first. Devices are boxes with
//! their used pins, in-line connectors stand in the conductors they part, and each conductor is drawn once from pin to
//! pin, through the gate of the hole that its routing names. What does not go on one handy sheet is split at devices,
//! which then stand on several sheets, each time with the pins of that sheet.
//!
//! ```text
//! way      which zones a conductor passes, and by which hole
//! share    the whole design, and what one sheet draws of it
//! atom     conductors that stay together
//! split    what each sheet draws
//! lay      one sheet: all of the following
//!   columns  zones from left to right
//!   seat     the rank of every device
//!   build    ranks, nodes, rows, links        pins    the rows of a device; face how it looks
//!   order    few crossings, then sift         emblem  twists, screens, jackets
//!   body     what keeps its distances
//!   align    heights, straight where it can
//!   channel  lanes
//!   plan     all places
//!   draw_*   ink
//! sheet    legend, title block, and flags (flag) from sheet to sheet; onward the same at single pins
//! ```

mod align;
mod anew;
mod atom;
mod body;
mod build;
mod channel;
mod chart;
mod columns;
mod draw_device;
mod draw_zone;
mod emblem;
mod face;
mod flag;
mod key;
mod label;
mod lay;
mod onward;
mod order;
mod order_exact;
#[cfg(test)]
mod order_minimum;
#[cfg(test)]
mod order_on_sheets;
#[cfg(test)]
mod order_sat;
mod pins;
mod plan;
mod seat;
mod share;
mod sheet;
mod sift;
mod split;
mod way;
mod words;

pub use sheet::{Wiring, WiringSheet, wiring};
