//! Force: what a crimp must hold.

use super::define::{plain_text, quantity};
use super::scale::{ANY, Print, Scale, print, ratio, unit};

/// Steps of one pound-force: 4.4482216152605 N exactly.
const LBF: (i128, i128) = (44_482_216_152_605, 10_000);

const SCALE: Scale = Scale {
    noun: "a force",
    example: "57 N",
    least: 0,
    most: 1_000_000_000_000_000,
    units: &[unit(&["N"], 1_000_000_000), ratio(&["lbf"], LBF.0, LBF.1), unit(&["kN"], 1_000_000_000_000)],
    metric: &[print(ANY, "N", 1_000_000_000, 1)],
    inch: &[Print { below: ANY, unit: "lbf", steps: LBF.0, per: LBF.1, zero: 0, places: 1 }],
};

quantity! {
    /// A force, in whole nanonewtons.
    Force, SCALE, 1e9, "a force with its unit: N, kN or lbf",
    /// From newtons.
    from_newtons, try_from_newtons,
    /// In newtons.
    newtons
}
plain_text!(Force, SCALE);

impl Force {
    /// From pounds-force.
    pub fn from_pounds_force(value: f64) -> Force {
        Force::from_newtons(value * 4.448_221_615_260_5)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Units;
    super::super::define::round_trip!(Force, SCALE);

    #[test]
    fn reads_and_shows_pounds() {
        let pull: Force = "10 lbf".parse().unwrap();
        assert_eq!(pull, Force::from_pounds_force(10.0));
        assert_eq!((pull.show(Units::Metric), pull.show(Units::Inch)), ("44.5 N".into(), "10 lbf".into()));
    }
}
