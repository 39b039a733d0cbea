//! Loads in; the words by which lists and derivations call them out.

use crate::graph::{Load, Told};
use crate::harness::Harness;

/// The pin that a load is known by; its device where it has none.
pub fn served_pin(h: &Harness, load: &Load) -> String {
    match load.pin() {
        Some(pin) => h.pin(pin).name.clone(),
        None => h.device(load.device).name.clone(),
    }
}

/// Who says how much it takes.
pub fn said_by(h: &Harness, load: &Load) -> String {
    match load.told {
        Told::Circuit(circuit) => format!("circuit {}", h.circuit(circuit).name),
        Told::Part => match &h.device(load.device).part {
            Some(part) => format!("part {part}"),
            None => "its part".to_owned(),
        },
        Told::Nobody => "nobody".to_owned(),
    }
}
