//! How wires are held, kept apart and counted where they are installed: nothing in, limits with their sources out.
//!
//! Mostly FAA AC 43.13-1B chapter 11 and the FAA handbooks FAA-H-8083-31 and -32. What the document's words leave open
//! stays in the words beside the limit. How far a wire may be bent is in [`super::bend`], what the hands may do to it in
//! [`super::workmanship`].

use super::allowances::RETERMINATIONS;
use super::limit::{Limit, Reading};
use crate::quantity::{Gauge, Length, Resistance, Temperature};

const AC: &str = "FAA AC 43.13-1B";

/// A limit that was read in AC 43.13-1B.
fn read<T>(value: T, place: &'static str) -> Limit<T> {
    Limit { value, document: AC, place, reading: Reading::Text }
}

fn inches(value: f64) -> Length {
    Length::from_inches(value)
}

/// Furthest that two supports may lie apart, outside of trough, duct and conduit.
pub fn support_spacing() -> Limit<Length> {
    read(inches(24.0), "par. 11-96a")
}

/// Distance of supports above which the wires between them are tied together.
pub fn ties_beyond() -> Limit<Length> {
    read(inches(12.0), "par. 11-158b")
}

/// Pitch of continuous lacing, which is for the inside of panels and junction boxes only.
pub fn lacing_pitch() -> Limit<Length> {
    read(inches(6.0), "par. 11-96i")
}

/// Bundle diameter below which a single cord laces; at it and above the cord is doubled.
pub fn single_cord_below() -> Limit<Length> {
    read(inches(1.0), "par. 11-158a")
}

/// Largest sag between two supports under a hand's push; more is allowed where nothing can be touched.
pub fn sag() -> Limit<Length> {
    read(inches(0.5), "par. 11-118")
}

/// New terminations that the slack at a wire's end must still allow, beside drip loop and movement.
pub fn spare_terminations() -> Limit<usize> {
    read(RETERMINATIONS, "par. 11-118")
}

/// Distance to keep from lines of flammable fluid, fuel or oxygen and from fuel tank walls.
pub fn separation_from_fluid() -> Limit<Length> {
    read(inches(6.0), "par. 11-96 (w)")
}

/// The same where there is no room: with close clamps and rigid supports, so that no broken wire and no missing clamp
/// makes contact.
pub fn least_separation_from_fluid() -> Limit<Length> {
    read(inches(2.0), "par. 11-96 (w)")
}

/// Distance from the edge of a hole without a clamp below which the hole has a grommet.
pub fn clearance_without_grommet() -> Limit<Length> {
    read(inches(0.375), "par. 11-115")
}

/// Least distance from control cables; more commonly 3 in are kept unless there is a guard. From memory.
pub fn clearance_from_control_cables() -> Limit<Length> {
    Limit { reading: Reading::Memory, ..read(inches(0.5), "par. 11-125") }
}

/// Most wires in one bundle.
pub fn wires_in_bundle() -> Limit<usize> {
    Limit { value: 75, document: "FAA-H-8083-31", place: "chapter 9", reading: Reading::Text }
}

/// Largest diameter of a bundle, whichever limit comes first; the other handbook has 1.5 to 2 in.
pub fn bundle_diameter() -> Limit<Length> {
    Limit { value: inches(2.0), document: "FAA-H-8083-32", place: "chapter 4", reading: Reading::Text }
}

/// Resistance of a ground return, from the ground of generator or battery to that of any device, that is considered
/// satisfactory.
pub fn ground_return() -> Limit<Resistance> {
    Limit {
        value: Resistance::from_ohms(0.005),
        document: "FAA-H-8083-32",
        place: "chapter 4",
        reading: Reading::Text,
    }
}

/// The size below which a wire wants care of its own: see [`Requirement::ThinWire`].
pub fn thin_wire() -> Limit<Gauge> {
    Limit { value: Gauge::Awg(20), document: "FAA-H-8083-31", place: "chapter 9", reading: Reading::Text }
}

/// Hottest place for the terminals where a thermocouple changes to copper or to an instrument: the cool side of the
/// firewall.
pub fn thermocouple_terminals() -> Limit<Temperature> {
    Limit {
        value: Temperature::from_celsius(120.0),
        document: "CASA AC 21-99",
        place: "section 2 chapter 16 par. 6",
        reading: Reading::Text,
    }
}

/// Spare fuses to carry on an aircraft of one rating of which `fitted` can be replaced in flight: one, or half as many, whichever is
/// more.
pub fn spare_fuses(fitted: usize) -> Limit<usize> {
    Limit {
        value: if fitted == 0 { 0 } else { fitted.div_ceil(2).max(1) },
        document: "14 CFR 23.1357",
        place: "paragraph (e), before its amendment of 2017",
        reading: Reading::Secondary,
    }
}

/// What must be so, without a number.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Requirement {
    /// Wires run above fluid lines.
    AboveFluidLines,
    /// Wires do not hang on fluid lines.
    NotOnFluidLines,
    /// Wires that run down to an end drip before they reach it.
    DripLoop,
    /// Water leaves tubing.
    DrainHole,
    /// Extension wire is of the thermocouple's own materials.
    ExtensionMaterial,
    /// Wire thinner than 20 AWG is held.
    ThinWire,
    /// What closes an opening of a firewall stands fire.
    FireproofOpening,
}

/// The requirement in words, with its source.
pub fn requirement(what: Requirement) -> Limit<&'static str> {
    let elsewhere = |value, document, place| Limit { value, document, place, reading: Reading::Text };
    match what {
        Requirement::AboveFluidLines => elsewhere(
            "route wires above fluid lines; within 6 in support them closely and rigidly, never on the line",
            "TM 1-1500-204-23-4",
            "item (23)",
        ),
        Requirement::NotOnFluidLines => elsewhere(
            "never support wires from plumbing of flammable fluid or oxygen; a clamp on it only keeps them apart",
            "NAVEDTRA 14009",
            "",
        ),
        Requirement::DripLoop => read(
            "a drip loop is required where wires run down to a connector, terminal block, panel or junction box",
            "par. 11-96 (x)",
        ),
        Requirement::DrainHole => {
            read("a drain hole is required in drip loops and at the lowest point of tubing", "par. 11-96 (p)")
        }
        Requirement::ExtensionMaterial => elsewhere(
            "extension wire is of the same materials as the thermocouple: chromel and alumel on K, iron and constantan on J",
            "CASA AC 21-99",
            "section 2 chapter 16 par. 5",
        ),
        Requirement::ThinWire => elsewhere(
            "wire thinner than 20 AWG has extra support at its terminations, no fewer than 19 strands, and lies with at \
             least 3 other wires",
            "FAA-H-8083-31",
            "chapter 9",
        ),
        Requirement::FireproofOpening => Limit {
            value: "every opening in a firewall is sealed with close-fitting fireproof grommets, bushings or firewall fittings",
            document: "14 CFR 125.145",
            place: "paragraph (b)",
            reading: Reading::Secondary,
        },
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn half_the_fuses_and_at_least_one() {
        let spares = |fitted| spare_fuses(fitted).value;
        assert_eq!((spares(0), spares(1), spares(2), spares(3), spares(10)), (0, 1, 1, 2, 5));
    }

    #[test]
    fn the_reduced_separation_is_the_smaller() {
        assert!(least_separation_from_fluid().value < separation_from_fluid().value);
        assert_eq!(clearance_from_control_cables().source(), "FAA AC 43.13-1B, par. 11-125 (from memory)");
        assert_eq!(requirement(Requirement::NotOnFluidLines).source(), "NAVEDTRA 14009");
    }
}
