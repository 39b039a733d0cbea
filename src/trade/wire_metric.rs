//! Flexible stranded copper wire by metric size: cross-section in, resistance out.
//!
//! IEC 60228 (DIN VDE 0295) class 5, metal-coated: the largest resistance at 20 °C that the standard lets a conductor of
//! the nominal size have. Read in printed copies of the table (secondary). The actual cross-section is not fixed by the
//! standard, the resistance is.

use crate::quantity::{Area, LinearResistance};

/// Cross-section in mm², Ω/km at 20 °C. Below 0.5 mm² DIN VDE 0295 only.
const CLASS_5: [(f64, f64); 19] = [
    (0.14, 138.0),
    (0.22, 99.0),
    (0.25, 79.0),
    (0.34, 56.0),
    (0.5, 40.1),
    (0.75, 26.7),
    (1.0, 20.0),
    (1.5, 13.7),
    (2.5, 8.21),
    (4.0, 5.09),
    (6.0, 3.39),
    (10.0, 1.95),
    (16.0, 1.24),
    (25.0, 0.795),
    (35.0, 0.565),
    (50.0, 0.393),
    (70.0, 0.277),
    (95.0, 0.210),
    (120.0, 0.164),
];

/// Largest resistance of a metre of flexible tinned copper wire of this nominal size. A size between two rows
/// lies on the straight line between them on double-logarithmic paper. None outside 0.14 to 120 mm².
pub(super) fn flexible_at_20(size: Area) -> Option<LinearResistance> {
    let mm2 = size.mm2();
    let row = CLASS_5.iter().find(|row| Area::from_mm2(row.0) == size);
    let per_km = row.map(|row| row.1).or_else(|| {
        let below = CLASS_5.iter().rfind(|row| row.0 < mm2)?;
        let above = CLASS_5.iter().find(|row| row.0 > mm2)?;
        let share = (mm2 / below.0).ln() / (above.0 / below.0).ln();
        Some(below.1 * (above.1 / below.1).powf(share))
    })?;
    Some(LinearResistance::from_ohms_per_metre(per_km / 1000.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn thicker_wire_resists_less_and_solid_copper_least() {
        let ohms = |mm2: f64| flexible_at_20(Area::from_mm2(mm2)).map(LinearResistance::ohms_per_metre);
        let all: Vec<f64> = (14..=12_000).filter_map(|n| ohms(f64::from(n) / 100.0)).collect();
        assert_eq!(all.len(), 11_987);
        assert!(all.is_sorted_by(|a, b| a > b));
        for (i, r) in all.iter().enumerate() {
            assert!(*r > 0.017_241 / ((i + 14) as f64 / 100.0));
        }
        assert_eq!((ohms(0.13), ohms(121.0), ohms(0.5)), (None, None, Some(0.0401)));
    }
}
