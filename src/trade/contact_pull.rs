//! The least force a crimp must hold: gauge and class of requirement in, force out.

use crate::quantity::{Force, Fraction, Gauge};

/// Whose requirement.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum PullClass {
    /// UL 486A style values, as printed in terminal makers' crimp instructions (secondary).
    Commercial,
    /// MIL-T-7928 style values, as printed in terminal makers' crimp instructions (secondary). For lugs and splices.
    Military,
    /// NASA-STD-8739.4 chapter 6 Table 13-1, for crimped contacts; read for 24 and 22 AWG only. For other sizes that standard asks for
    /// 60 percent of the wire's tensile strength.
    Nasa,
}

impl PullClass {
    /// Source as printed.
    pub fn source(self) -> &'static str {
        match self {
            PullClass::Commercial => "UL 486A style, from terminal makers' instructions",
            PullClass::Military => "MIL-T-7928 style, from terminal makers' instructions",
            PullClass::Nasa => "NASA-STD-8739.4 ch. 6 Table 13-1",
        }
    }
}

/// Gauge, then newtons: commercial, military, NASA.
const TABLE: [(i8, f64, Option<f64>, Option<f64>); 13] = [
    (26, 13.4, Some(31.1), None),
    (24, 22.3, Some(44.5), Some(36.0)),
    (22, 35.6, Some(66.7), Some(57.0)),
    (20, 57.9, Some(84.5), None),
    (18, 89.0, Some(169.0), None),
    (16, 133.5, Some(222.5), None),
    (14, 222.5, Some(311.5), None),
    (12, 311.5, Some(489.3), None),
    (10, 356.0, Some(667.2), None),
    (8, 400.5, None, None),
    (6, 445.0, None, None),
    (4, 623.0, None, None),
    (2, 801.0, None, None),
];

/// Smallest pull-out force of a crimp on copper wire of this gauge; None where the requirement names no value for
/// it. The contact maker's own figure goes before all of these.
pub fn least_pull(gauge: Gauge, class: PullClass) -> Option<Force> {
    let Gauge::Awg(n) = gauge else { return None };
    let (_, commercial, military, nasa) = TABLE.iter().find(|row| row.0 == n)?;
    let newtons = match class {
        PullClass::Commercial => Some(*commercial),
        PullClass::Military => *military,
        PullClass::Nasa => *nasa,
    };
    newtons.map(Force::from_newtons)
}

/// Pull with which a contact's hold in its cavity may be tried: 80 percent of the least crimp tensile force
/// (NASA-STD-8739.4 par. 13.8.2).
pub fn retention_pull_limit(least_pull: Force) -> Force {
    least_pull * Fraction::from_percent(80.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn unlisted_sizes_have_no_value() {
        assert_eq!(least_pull(Gauge::Awg(28), PullClass::Commercial), None);
        assert_eq!(least_pull(Gauge::Awg(20), PullClass::Nasa), None);
        assert_eq!(least_pull("0.5 mm²".parse().unwrap(), PullClass::Military), None);
    }

    #[test]
    fn retention_is_tried_below_the_crimp() {
        assert_eq!(retention_pull_limit(Force::from_newtons(57.0)), Force::from_newtons(45.6));
    }
}
