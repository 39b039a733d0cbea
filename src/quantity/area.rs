//! Cross-section.

use super::define::{plain_text, quantity};
use super::scale::{ANY, Print, Scale, print, ratio, unit};

const SCALE: Scale = Scale {
    noun: "an area",
    example: "0.5 mm²",
    least: 0,
    most: 1_000_000_000_000_000_000,
    units: &[
        unit(&["mm²", "mm2", "mm^2"], 1_000_000_000),
        unit(&["cm²", "cm2", "cm^2"], 100_000_000_000),
        unit(&["in²", "in2", "in^2", "sq in"], 645_160_000_000),
        // A circle of 0.001 in: pi/4 * 0.0254² mm² = 506 707.4790974977 nano-mm².
        ratio(&["cmil", "circ mil"], 5_067_074_790_974_977, 10_000_000_000),
    ],
    metric: &[print(ANY, "mm²", 1_000_000_000, 3)],
    inch: &[Print { below: ANY, unit: "in²", steps: 645_160_000_000, per: 1, zero: 0, places: 4 }],
};

quantity! {
    /// A cross-section, in whole billionths of a square millimetre.
    Area, SCALE, 1e9, "an area with its unit: mm² or mm2, cm², in², cmil",
    /// From square millimetres.
    from_mm2, try_from_mm2,
    /// In square millimetres.
    mm2
}
plain_text!(Area, SCALE);

#[cfg(test)]
mod tests {
    use super::*;
    super::super::define::round_trip!(Area, SCALE);

    #[test]
    fn reads_square_and_circular_units() {
        assert_eq!("0.5 mm2".parse(), Ok(Area::from_mm2(0.5)));
        assert_eq!("1 in²".parse(), Ok(Area::from_mm2(645.16)));
        // AC 43.13-1B Table 11-9, No. 20: 1216 circular mils, which is 0.616 mm².
        assert_eq!("1216 cmil".parse::<Area>().unwrap().show(Default::default()), "0.616 mm²");
    }
}
