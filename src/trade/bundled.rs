//! What a wire in a bundle may carry: gauge, temperatures, bundle and altitude in, amperes with every term out.
//!
//! The method of AC 43.13-1B CHG 1 chapter 11 (par. 11-67 to 11-69, worked example on page 11-27): current in free air
//! for the difference between insulation rating and ambient, times the factor of the bundle, times the factor of the
//! altitude. A contact that may carry less goes before all of it (par. 11-67), and so does the maker's figure.

use super::derating::{Factor, altitude_factor, bundle_factor};
use super::free_air::{FreeAir, free_air};
use super::limit::Reading;
use crate::quantity::{Current, Fraction, Gauge, Length, Temperature, TemperatureDifference};

/// A wire and where it lies.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Asked {
    /// Its size.
    pub gauge: Gauge,
    /// What its insulation, or its conductor's plating if that is less, stands for good.
    pub limit: Temperature,
    /// Ambient of the hottest zone it passes.
    pub ambient: Temperature,
    /// Current-carrying wires in the bundle, this one included; 1 in free air.
    pub wires: usize,
    /// What the bundle carries as a share of what its wires could carry together; 100 percent where nobody knows.
    pub load: Fraction,
    /// Highest altitude of operation.
    pub altitude: Length,
}

/// What the wire may carry, and the terms it is made of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Bundled {
    /// Insulation limit less ambient; zero where the place is hotter than the limit.
    pub rise: TemperatureDifference,
    /// Current of the single wire in free air at that rise.
    pub free_air: FreeAir,
    /// Factor of the bundle.
    pub bundle: Factor,
    /// Factor of the altitude.
    pub altitude: Factor,
    /// The product of the three.
    pub ampacity: Current,
}

impl Bundled {
    /// How the least sure of the terms came here.
    pub fn reading(&self) -> Reading {
        self.free_air.reading.max(self.bundle.reading).max(self.altitude.reading)
    }

    /// How far off the ampacity may be, to either side, as a share of it: what its terms may be off, added up. None where
    /// one of them was held against nothing, and where it may carry nothing.
    pub fn within(&self) -> Option<Fraction> {
        let of_factor = |factor: Factor| {
            let share = factor.share.ratio();
            (share > 0.0).then(|| Some(factor.within?.ratio() / share)).flatten()
        };
        let sum = self.free_air.within().ratio() + of_factor(self.bundle)? + of_factor(self.altitude)?;
        (self.ampacity > Current::ZERO).then(|| Fraction::from_ratio(sum))
    }
}

/// What the curves do not cover.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Outside {
    /// Wire with less copper than 26 AWG or more than 4/0.
    Gauge(Gauge),
    /// No wire in the bundle.
    Wires,
    /// A bundle loaded above 100 percent.
    Load(Fraction),
    /// Above 60,000 ft.
    Altitude(Length),
}

impl std::fmt::Display for Outside {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Outside::Gauge(gauge) => {
                write!(f, "the free-air curves go from 26 AWG to 4/0 AWG, not to {gauge}")
            }
            Outside::Wires => f.write_str("a bundle without a wire carries nothing"),
            Outside::Load(load) => {
                write!(f, "the bundle curves end at 100 %, the load is {}", load.show(Default::default()))
            }
            Outside::Altitude(at) => {
                write!(f, "the altitude curve ends at 60,000 ft, {:.0} ft is above it", at.inches() / 12.0)
            }
        }
    }
}

/// Ampacity of a wire by the free-air method. Zero where the ambient reaches the limit.
///
/// # Errors
///
/// What the curves do not cover.
pub fn bundled(asked: &Asked) -> Result<Bundled, Outside> {
    let rise = asked.limit.above(asked.ambient).max(TemperatureDifference::ZERO);
    let free_air = free_air(asked.gauge, rise).ok_or(Outside::Gauge(asked.gauge))?;
    if asked.wires == 0 {
        return Err(Outside::Wires);
    }
    let bundle = bundle_factor(asked.wires, asked.load).ok_or(Outside::Load(asked.load))?;
    let altitude = altitude_factor(asked.altitude).ok_or(Outside::Altitude(asked.altitude))?;
    let ampacity = free_air.current * bundle.share * altitude.share;
    Ok(Bundled { rise, free_air, bundle, altitude, ampacity })
}

/// What a whole bundle may carry at `load`: the ampacity of each wire summed, times the load (AC 43.13-1B par. 11-69,
/// last step of its example).
pub fn harness_current(wires: impl IntoIterator<Item = Current>, load: Fraction) -> Current {
    wires.into_iter().sum::<Current>() * load
}

#[cfg(test)]
mod tests {
    use super::*;

    fn asked() -> Asked {
        Asked {
            gauge: Gauge::Awg(20),
            limit: Temperature::from_celsius(150.0),
            ambient: Temperature::from_celsius(70.0),
            wires: 1,
            load: Fraction::from_percent(100.0),
            altitude: Length::ZERO,
        }
    }

    #[test]
    fn alone_at_sea_level_it_is_the_free_air_current() {
        let found = bundled(&asked()).unwrap();
        assert_eq!((found.ampacity, found.reading()), (found.free_air.current, Reading::Secondary));
        assert_eq!(found.within(), Some(Fraction::from_percent(3.0)));
    }

    /// 8 wires at 60 % are 0.595, 20,000 ft are 0.91: 3 % + 0.01 / 0.595 + 0.01 / 0.91 = 5.78 %.
    #[test]
    fn what_the_terms_may_be_off_adds_up() {
        let (load, altitude) = (Fraction::from_percent(60.0), Length::from_inches(240_000.0));
        let lain = |asked| bundled(&asked).unwrap();
        let off = lain(Asked { wires: 8, load, altitude, ..asked() }).within().unwrap();
        assert!((off.ratio() - 0.057_796).abs() < 1e-6, "{off}");
        let hot = Asked { ambient: Temperature::from_celsius(150.0), ..asked() };
        assert_eq!((lain(Asked { wires: 60, ..asked() }).within(), lain(hot).within()), (None, None));
    }

    #[test]
    fn hotter_fuller_and_higher_carries_less() {
        let base = bundled(&Asked { wires: 12, ..asked() }).unwrap().ampacity;
        let worse = [
            Asked { wires: 12, ambient: Temperature::from_celsius(100.0), ..asked() },
            Asked { wires: 30, ..asked() },
            Asked { wires: 12, altitude: Length::from_inches(120_000.0), ..asked() },
            Asked { wires: 12, limit: Temperature::from_celsius(105.0), ..asked() },
            Asked { wires: 12, gauge: Gauge::Awg(22), ..asked() },
        ];
        for worse in worse {
            assert!(bundled(&worse).unwrap().ampacity < base, "{worse:?}");
        }
        let idle = Asked { wires: 12, load: Fraction::from_percent(20.0), ..asked() };
        assert!(bundled(&idle).unwrap().ampacity > base);
    }

    #[test]
    fn what_is_outside_is_said() {
        let why = |asked: Asked| bundled(&asked).unwrap_err().to_string();
        assert_eq!(
            why(Asked { gauge: Gauge::Awg(30), ..asked() }),
            "the free-air curves go from 26 AWG to 4/0 AWG, not to 30 AWG"
        );
        assert_eq!(why(Asked { wires: 0, ..asked() }), "a bundle without a wire carries nothing");
        assert_eq!(
            why(Asked { load: Fraction::from_percent(120.0), ..asked() }),
            "the bundle curves end at 100 %, the load is 120 %"
        );
        assert_eq!(
            why(Asked { altitude: Length::from_inches(12.0 * 61_000.0), ..asked() }),
            "the altitude curve ends at 60,000 ft, 61000 ft is above it"
        );
        let hot = Asked { ambient: Temperature::from_celsius(150.0), ..asked() };
        assert_eq!(bundled(&hot).unwrap().ampacity, Current::ZERO);
    }
}
