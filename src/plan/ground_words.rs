//! Facts of the ground network in; the words by which derivations and lists call them out.

use crate::graph::ground_network::{GroundedProbe, NoDrop, Offset, ProbeShift, Range, Shift};
use crate::graph::ground_volts::beyond;
use crate::graph::{GroundNetwork, Scenario, Through, Unsure};
use crate::harness::Harness;
use crate::quantity::{TemperatureDifference, Voltage};

/// A state of the grounds: `while cranking, engine-airframe open`.
pub fn state(h: &Harness, scenario: Scenario) -> String {
    match scenario {
        Scenario::Whole(phase) => phase.words().to_owned(),
        Scenario::Open(bond, phase) => format!("{}, {} open", phase.words(), h.bond(bond).name),
    }
}

/// Why something is not known.
pub fn unsure(h: &Harness, why: Unsure) -> String {
    match why {
        Unsure::Apart => "nothing joins the two grounds".to_owned(),
        Unsure::Resistance(Through::Bond(id)) => {
            format!("the resistance of {} is not given", h.bond(id).name)
        }
        Unsure::Resistance(Through::Conductor(id)) => {
            format!("the resistance of {} is not known", h.conductor(id).mark)
        }
        Unsure::Resistance(Through::Lead(pin)) => {
            format!("how warm the lead of {} gets is not known", h.device(h.pin(pin).device).name)
        }
        Unsure::Resistance(_) => "a resistance is not known".to_owned(),
        Unsure::Load(pin) => format!("nobody says how much {} takes", h.pin(pin).name),
        Unsure::Drive(id) => format!("what the supply drives through {} was not found", h.bond(id).name),
        Unsure::Current(id) => format!("what flows through {} is not given", h.bond(id).name),
    }
}

/// Why a drop is not known.
pub fn no_drop(h: &Harness, why: NoDrop) -> String {
    match why {
        NoDrop::Current => "nobody says what it takes".to_owned(),
        NoDrop::NoReturn => "its current comes back to no body".to_owned(),
        NoDrop::Unsure(why) => unsure(h, why),
    }
}

/// A voltage; where it cannot be, that.
pub fn volts(h: &Harness, volts: Voltage) -> String {
    match beyond(h, volts) {
        Some(words) => format!("{words}: such a current does not flow"),
        None => volts.show(h.header.units),
    }
}

/// A voltage that is added to an emf: microvolts where there are few of them.
pub fn microvolts(h: &Harness, added: Voltage) -> String {
    match added.abs().millivolts() {
        few if few < 10.0 => format!("{:.1} µV", added.millivolts() * 1e3),
        _ => volts(h, added),
    }
}

/// A value, or both of its ends.
pub fn between<T>(range: &Range<T>, words: impl Fn(&T) -> String) -> String {
    match range.exact() {
        Some(value) => words(value),
        None => format!("between {} and {}", words(&range.low), words(&range.high)),
    }
}

/// How what is open was taken, for figures that lie between two ends.
pub fn taken(ground: &GroundNetwork, open: Through) -> &'static str {
    match ground.is_bounded(open) {
        true => {
            "how warm copper gets is not known: taken as cool as it may be, 20 °C where its zone says nothing, and as warm as it stands"
        }
        false => "a resistance is not known: taken as none and as open",
    }
}

/// What an offset does to the reading; the offset itself where that is not known.
pub fn offset(h: &Harness, offset: &Offset) -> String {
    misread(offset).unwrap_or_else(|| volts(h, offset.volts))
}

/// What an offset does to the reading; None where that is not known.
pub fn misread(offset: &Offset) -> Option<String> {
    let m = offset.misread?;
    let way = way(m.error.value());
    Some(match m.off_scale {
        true => format!("off its scale, {way}"),
        false => format!("{} {way} at {}", m.error.abs().show(), m.at.show()),
    })
}

/// Which way a reading is off.
fn way(error: f64) -> &'static str {
    if error < 0.0 { "low" } else { "high" }
}

/// What is added to the reading of a grounded thermocouple.
pub fn degrees(h: &Harness, shift: &ProbeShift) -> String {
    let off = |error: TemperatureDifference| {
        let size = if error < TemperatureDifference::ZERO { -error } else { error };
        format!("{} {}", size.show(h.header.units), way(error.celsius()))
    };
    shift.error.map_or("off its range".to_owned(), off)
}

/// Why nobody can say what is added to a grounded thermocouple; None where it is known, or nothing is.
pub fn unread(h: &Harness, probe: &GroundedProbe) -> Option<String> {
    let gauge = &h.device(probe.gauge).name;
    match &probe.shift {
        Shift::None | Shift::Added { .. } => None,
        Shift::Unsaid => Some(format!("how {gauge} measures is not said")),
        Shift::NoBody => Some("the body of its case is not given".to_owned()),
        Shift::NoGround => Some(format!("{gauge} has no ground")),
        Shift::Unread(why) => Some(why.words(h)),
    }
}
