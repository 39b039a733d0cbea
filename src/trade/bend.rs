//! How tightly a wire, cable or bundle may be bent: what it is and its diameter in, least radius with source out.
//!
//! FAA AC 43.13-1B par. 11-96, TM 1-1500-204-23-4 and NASA-STD-8739.4. The radius is that of the inside of the bend, a
//! multiple of the outside diameter. The maker's figure goes before all of these.

use super::limit::{Limit, Reading};
use crate::quantity::Length;

/// What is bent.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Bent {
    /// A single wire or a cable; the diameter is its own.
    WireOrCable,
    /// A bundle; the diameter is that of its largest wire or cable.
    Bundle,
    /// A wire at a terminal strip, where it is suitably supported.
    AtTerminals,
    /// Coaxial or other radio-frequency cable.
    Coaxial,
    /// Thermocouple wire.
    Thermocouple,
    /// A cable of several conductors, insulated otherwise than with polyimide.
    Multiconductor,
    /// A cable of several conductors, insulated with polyimide.
    Polyimide,
}

/// How long it stays bent.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Term {
    /// While it is handled.
    Short,
    /// For good, as installed.
    Long,
}

/// Least inside radius of a bend. Only the two kinds of multiconductor cable tell short from long term.
pub fn bend_radius(bent: Bent, term: Term, diameter: Length) -> Limit<Length> {
    const AC: &str = "FAA AC 43.13-1B";
    const NASA: &str = "NASA-STD-8739.4";
    let (times, document, place, reading) = match (bent, term) {
        (Bent::WireOrCable, _) => (10, "TM 1-1500-204-23-4", "item (27)", Reading::Text),
        (Bent::Bundle, _) => (10, AC, "par. 11-96 (aa) and (bb)", Reading::Memory),
        (Bent::AtTerminals, _) => (3, AC, "par. 11-96", Reading::Memory),
        (Bent::Coaxial, _) => (6, AC, "par. 11-96", Reading::Memory),
        (Bent::Thermocouple, _) => (20, AC, "par. 11-96", Reading::Memory),
        (Bent::Multiconductor, Term::Short) => (6, NASA, "par. 7.3.21", Reading::Text),
        (Bent::Multiconductor, Term::Long) => (10, NASA, "par. 7.3.21", Reading::Text),
        (Bent::Polyimide, Term::Short) => (10, NASA, "par. 7.3.21", Reading::Text),
        (Bent::Polyimide, Term::Long) => (15, NASA, "par. 7.3.21", Reading::Text),
    };
    Limit { value: diameter.abs().times(times), document, place, reading }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_stays_bent_is_bent_less() {
        let d = Length::from_mm(4.0);
        for bent in [
            Bent::WireOrCable,
            Bent::Bundle,
            Bent::AtTerminals,
            Bent::Coaxial,
            Bent::Thermocouple,
            Bent::Multiconductor,
            Bent::Polyimide,
        ] {
            let (short, long) = (bend_radius(bent, Term::Short, d), bend_radius(bent, Term::Long, d));
            assert!(short.value <= long.value && long.value >= d.times(3), "{bent:?}");
        }
        assert_eq!(bend_radius(Bent::WireOrCable, Term::Long, d).value, Length::from_mm(40.0));
    }
}
