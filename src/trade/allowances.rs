//! What a wire needs beyond the run it covers: twist, sag, fold-back, reserve. Lengths in, extra lengths out.

use crate::quantity::Length;

/// Terminations that the slack at a wire's end must still allow: AC 43.13-1B par. 11-118, beside drip loop and
/// movement.
pub const RETERMINATIONS: usize = 2;

/// Clear length between two splices that are staggered along a bundle, so that each can be tied and the bundle tapers
/// between them. Common practice, no source.
pub const STAGGER_GAP: Length = Length::from_um(10_000);

/// Wire that a test piece for a pull takes. Common practice, no source.
pub const TEST_PIECE: Length = Length::from_um(150_000);

/// Test pieces of each kind of crimp: one before the first and one after the last of a batch. Common practice, no source.
pub const TEST_PIECES: usize = 2;

/// Extra conductor where a thin wire is folded back in its crimp barrel: once more the strip length. Common practice,
/// no source; only where the contact maker allows it.
pub fn fold_back(strip: Length) -> Length {
    strip.abs()
}

/// Reserve at one end for `times` new terminations, each of which costs what is cut off: the crimped contact with its
/// stripped end.
pub fn retermination_reserve(cut_off: Length, times: usize) -> Length {
    cut_off.abs().times(times)
}

/// Diameter of the circle on which the centres of `cores` equal cores lie when they are twisted together without a
/// core in the middle: d / sin(π / n). A single core lies in the middle: zero.
pub fn lay_diameter(core: Length, cores: usize) -> Length {
    match cores {
        0 | 1 => Length::ZERO,
        n => core * (1.0 / (std::f64::consts::PI / n as f64).sin()),
    }
}

/// How much longer a core is than the cable it is twisted into: √(1 + (π d / pitch)²), with `d` the diameter of the
/// circle the core's centre goes round and `pitch` the cable length of one turn. The helix rolled flat. None where
/// the pitch is not positive.
pub fn helix_factor(lay_diameter: Length, pitch: Length) -> Option<f64> {
    if pitch <= Length::ZERO {
        return None;
    }
    Some(1.0_f64.hypot(std::f64::consts::PI * lay_diameter.mm() / pitch.mm()))
}

/// Extra core length that twisting takes up over a run of finished cable; None where the pitch is not positive.
pub fn twist_take_up(run: Length, core: Length, cores: usize, pitch: Length) -> Option<Length> {
    helix_factor(lay_diameter(core, cores), pitch).map(|factor| run * (factor - 1.0))
}

/// Extra length of a wire that hangs `sag` below the straight line between two supports `span` apart: the parabola,
/// 8 sag² / (3 span), good to 1 percent of the extra while the sag is below a twentieth of the span. AC 43.13-1B par.
/// 11-118 allows a deflection of 1/2 in. Zero where the span is not positive.
pub fn sag_take_up(span: Length, sag: Length) -> Length {
    if span <= Length::ZERO {
        return Length::ZERO;
    }
    Length::from_mm(8.0 * sag.mm() * sag.mm() / (3.0 * span.mm()))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mm(value: f64) -> Length {
        Length::from_mm(value)
    }

    #[test]
    fn a_pair_goes_round_its_own_core_diameter() {
        assert_eq!(lay_diameter(mm(1.2), 2), mm(1.2));
        // Three touching circles: the centres lie at 2/√3 of a diameter.
        assert_eq!(lay_diameter(mm(1.2), 3), mm(1.386));
        assert_eq!((lay_diameter(mm(1.2), 1), lay_diameter(mm(1.2), 0)), (Length::ZERO, Length::ZERO));
    }

    #[test]
    fn one_turn_is_the_diagonal_of_its_rolled_out_cylinder() {
        // Circumference 40 and pitch 30 give a core of 50: 3-4-5.
        let d = Length::from_mm(40.0 / std::f64::consts::PI);
        assert!((helix_factor(d, mm(30.0)).unwrap() - 5.0 / 3.0).abs() < 1e-4);
        assert_eq!(helix_factor(Length::ZERO, mm(30.0)), Some(1.0));
        assert_eq!(helix_factor(d, Length::ZERO), None);
        assert_eq!(twist_take_up(mm(1000.0), mm(1.5), 2, mm(30.0)), Some(mm(12.262)));
    }

    #[test]
    fn sag_agrees_with_the_arc_of_a_circle() {
        // Supports 24 in apart (AC 43.13-1B par. 11-96a), deflection 1/2 in: arc of the circle through the three points.
        let (span, sag) = (609.6_f64, 12.7_f64);
        let radius = sag / 2.0 + span * span / (8.0 * sag);
        let arc = 2.0 * radius * (span / 2.0 / radius).asin();
        assert!((sag_take_up(mm(span), mm(sag)).mm() - (arc - span)).abs() < 0.002);
        assert_eq!(sag_take_up(Length::ZERO, mm(5.0)), Length::ZERO);
    }

    #[test]
    fn reserve_counts_every_new_end() {
        assert_eq!(retermination_reserve(mm(9.5), RETERMINATIONS), mm(19.0));
        assert_eq!(fold_back(mm(5.0)), mm(5.0));
    }
}
