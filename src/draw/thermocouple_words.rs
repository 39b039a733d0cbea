//! The harness in; which colour of its thermocouple wires is plus and which is minus, in words, out. Red is plus on other
//! wires of the same sheet, so it is said wherever such wires are connected.

use crate::harness::Harness;
use crate::trade::thermocouple_colour::{Alloy, ThermocoupleType};

/// `⚠ type K by ASTM E230 / ANSI MC96.1: YE plus, RD minus`, type by type as they are wired; None where the
/// spec names no standard or nothing is wired so.
pub fn thermocouple_colours(h: &Harness) -> Option<String> {
    of(h, h.conductors.iter().map(|c| c.alloy))
}

/// The same for some conductors, by their alloys.
pub fn of(h: &Harness, alloys: impl Iterator<Item = Alloy>) -> Option<String> {
    let standard = h.header.thermocouple_colours?.value;
    let mut kinds: Vec<ThermocoupleType> = Vec::new();
    for kind in alloys.filter_map(Alloy::leg_of) {
        if !kinds.contains(&kind) {
            kinds.push(kind);
        }
    }
    let one = |kind: &ThermocoupleType| {
        let pair = standard.pair(*kind);
        let (plus, minus) = (pair.plus.code(), pair.minus.code());
        format!("⚠ type {} by {}: {plus} plus, {minus} minus", kind.letter(), standard.document())
    };
    (!kinds.is_empty()).then(|| kinds.iter().map(one).collect::<Vec<_>>().join("; "))
}
