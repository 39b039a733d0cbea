//! Electrical resistance.

use super::define::{plain_text, quantity};
use super::scale::{ANY, Print, Scale, print, unit};

const SCALE: Scale = Scale {
    noun: "a resistance",
    example: "1.5 mΩ",
    least: 0,
    most: 1_000_000_000_000_000_000,
    units: &[
        unit(&["Ω", "ohm", "ohms", "Ohm", "R"], 1_000_000_000),
        unit(&["mΩ", "mohm", "mohms"], 1_000_000),
        unit(&["µΩ", "uΩ", "µohm", "uohm"], 1_000),
        unit(&["kΩ", "kohm", "kohms", "k"], 1_000_000_000_000),
        unit(&["MΩ", "Mohm", "Mohms"], 1_000_000_000_000_000),
    ],
    metric: PRINTS,
    inch: PRINTS,
};
const PRINTS: &[Print] = &[
    print(1_000_000_000, "mΩ", 1_000_000, 2),
    print(10_000_000_000_000, "Ω", 1_000_000_000, 2),
    print(1_000_000_000_000_000, "kΩ", 1_000_000_000_000, 2),
    print(ANY, "MΩ", 1_000_000_000_000_000, 2),
];

quantity! {
    /// A resistance, in whole nano-ohms.
    Resistance, SCALE, 1e9, "a resistance with its unit: Ω or ohm, mΩ or mohm, µΩ, kΩ, MΩ",
    /// From ohms.
    from_ohms, try_from_ohms,
    /// In ohms.
    ohms
}
plain_text!(Resistance, SCALE);

#[cfg(test)]
mod tests {
    use super::*;
    super::super::define::round_trip!(Resistance, SCALE);

    #[test]
    fn reads_greek_and_plain_letters() {
        let strap = Resistance::from_ohms(0.0015);
        for text in ["1.5 mΩ", "1.5 m\u{2126}", "1.5 mohm", "1500 uohm", "0.0015 ohm"] {
            assert_eq!(text.parse(), Ok(strap), "{text}");
        }
        assert_eq!(strap.to_string(), "1.5 mΩ");
        assert_eq!("-1 Ω".parse::<Resistance>().unwrap_err().message, "`-1 Ω` is negative");
        assert_eq!(Resistance::from_ohms(240.0).to_string(), "240 Ω");
    }
}
