//! A run in; how far apart its clamps may be, how many it takes and whether it is tied out.
//!
//! A clamp stands at both ends of a run, and as many between as keep the spacing.

use crate::harness::Run;
use crate::quantity::Length;
use crate::trade::installation::{support_spacing, ties_beyond};

/// Furthest that the clamps of a run may be apart: as declared, where that keeps to the limit.
pub fn clamp_spacing(run: &Run) -> Length {
    let most = support_spacing().value;
    run.clamps.map_or(most, |declared| declared.value.min(most))
}

/// Clamps on a run, those at its ends counted.
pub fn clamp_count(run: &Run) -> usize {
    clamps_between(run.length.value, clamp_spacing(run)) + 2
}

/// Clamps between those at the ends of a run, so that no two are further apart than `spacing`.
pub fn clamps_between(length: Length, spacing: Length) -> usize {
    let (length, spacing) = (length.um(), spacing.um().max(1));
    usize::try_from((length + spacing - 1) / spacing - 1).unwrap_or(0)
}

/// True where the bundle is tied between its clamps: they may be so far apart that it would hang open, and no covering
/// holds it together.
pub fn is_tied_between_clamps(run: &Run) -> bool {
    clamp_spacing(run).min(run.length.value) > ties_beyond().value && run.cover.is_none()
}

/// True where the bundle is tied at all: also where the spec gives no clamps, for a loom that is carried falls apart
/// untied (common practice, no source). A covering holds it together.
pub fn is_tied(run: &Run) -> bool {
    run.cover.is_none() && (run.clamps.is_none() || is_tied_between_clamps(run))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_two_clamps_are_further_apart_than_allowed() {
        let mm = Length::from_mm;
        for (length, spacing, count) in
            [(200.0, 609.6, 0), (609.6, 609.6, 0), (609.7, 609.6, 1), (1219.2, 609.6, 1), (1300.0, 300.0, 4)]
        {
            assert_eq!(clamps_between(mm(length), mm(spacing)), count, "{length} by {spacing}");
            assert!(length / (count as f64 + 1.0) <= spacing);
        }
        assert_eq!(clamps_between(mm(100.0), Length::ZERO), 99_999);
    }
}
