//! Electrical current.

use super::define::{plain_text, quantity};
use super::scale::{ANY, Print, Scale, print, unit};

const SCALE: Scale = Scale {
    noun: "a current",
    example: "2 A",
    // What is written is an amount; only what is worked out has a direction.
    least: 0,
    // 5000 A. Starters of the largest engines that take a harness like this draw less than half of it (common practice, no
    // source): more is a slip of the pen.
    most: 5_000_000_000_000,
    units: &[
        unit(&["A", "amp", "amps"], 1_000_000_000),
        unit(&["mA"], 1_000_000),
        unit(&["µA", "uA"], 1_000),
    ],
    metric: PRINTS,
    inch: PRINTS,
};
const PRINTS: &[Print] = &[print(1_000_000_000, "mA", 1_000_000, 1), print(ANY, "A", 1_000_000_000, 2)];

quantity! {
    /// A current, in whole nanoamperes; the sign is the direction where there is one.
    Current, SCALE, 1e9, "a current with its unit: A, mA or µA",
    /// From amperes.
    from_amps, try_from_amps,
    /// In amperes.
    amps
}
plain_text!(Current, SCALE);

#[cfg(test)]
mod tests {
    use super::*;
    super::super::define::round_trip!(Current, SCALE);

    #[test]
    fn reads_amperes_and_parts_of_them() {
        assert_eq!("7.5 A".parse(), Ok(Current::from_amps(7.5)));
        assert_eq!("120 mA".parse(), Ok(Current::from_amps(0.12)));
        assert_eq!(Current::from_amps(0.12).to_string(), "120 mA");
    }
}
