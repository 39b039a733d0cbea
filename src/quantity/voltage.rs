//! Electrical potential: supply voltages and thermocouple emf.

use super::define::{plain_text, quantity};
use super::scale::{ANY, Scale, print, unit};

const SCALE: Scale = Scale {
    noun: "a voltage",
    example: "14 V",
    least: -1_000_000_000_000_000_000,
    most: 1_000_000_000_000_000_000,
    units: &[
        unit(&["V", "volt", "volts"], 1_000_000_000_000),
        unit(&["mV"], 1_000_000_000),
        unit(&["µV", "uV"], 1_000_000),
        unit(&["kV"], 1_000_000_000_000_000),
    ],
    metric: PRINTS,
    inch: PRINTS,
};
const PRINTS: &[super::scale::Print] =
    &[print(1_000_000_000_000, "mV", 1_000_000_000, 3), print(ANY, "V", 1_000_000_000_000, 2)];

quantity! {
    /// A voltage, in whole picovolts so that a thermocouple emf keeps a millionth of a degree.
    Voltage, SCALE, 1e12, "a voltage with its unit: V, mV, µV or kV",
    /// From volts.
    from_volts, try_from_volts,
    /// In volts.
    volts
}
plain_text!(Voltage, SCALE);

impl Voltage {
    /// From millivolts, in which thermocouple tables are printed.
    pub fn from_millivolts(value: f64) -> Voltage {
        Voltage::from_volts(value / 1e3)
    }

    /// In millivolts.
    pub fn millivolts(self) -> f64 {
        self.0 as f64 / 1e9
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Units;
    super::super::define::round_trip!(Voltage, SCALE);

    #[test]
    fn reads_units_and_refuses_what_has_none() {
        assert_eq!("14 V".parse(), Ok(Voltage::from_volts(14.0)));
        assert_eq!("-1.889mV".parse(), Ok(Voltage::from_millivolts(-1.889)));
        assert_eq!("5 uV".parse::<Voltage>(), "5 μV".parse());
        let bare = "14".parse::<Voltage>().unwrap_err();
        assert_eq!(bare.message, "`14` has no unit");
        assert_eq!(bare.remedy, "write it as `14 V` if that is what is meant");
        let amps = "14 A".parse::<Voltage>().unwrap_err();
        assert_eq!(amps.message, "`A` in `14 A` is not a unit of voltage");
        let comma = "13,8 V".parse::<Voltage>().unwrap_err();
        assert!(comma.remedy.contains("with a point"), "{comma}");
        for bad in ["", "V", "nan V", "inf V", "1e3 V", "14 v", "9999999999 V", "1.2.3 V", "--1 V"] {
            assert!(bad.parse::<Voltage>().is_err(), "{bad}");
        }
    }

    #[test]
    fn yaml_takes_text_only() {
        assert_eq!(serde_yaml::from_str::<Voltage>("14 V").unwrap(), Voltage::from_volts(14.0));
        let bare = serde_yaml::from_str::<Voltage>("14").unwrap_err().to_string();
        assert!(bare.contains("`14` has no unit; write it as `14 V`"), "{bare}");
        assert!(serde_yaml::from_str::<Voltage>(".nan").is_err());
        assert!(serde_yaml::from_str::<Voltage>("[14 V]").is_err());
        assert_eq!(serde_json::to_string(&Voltage::from_volts(13.75)).unwrap(), "\"13.75 V\"");
    }

    #[test]
    fn shows_without_noise() {
        assert_eq!(Voltage::from_volts(0.1 + 0.2).to_string(), "300 mV");
        assert_eq!(Voltage::from_volts(14.0 / 3.0).show(Units::Metric), "4.67 V");
        assert_eq!(Voltage::from_millivolts(-0.0001).show(Units::Metric), "0 mV");
        assert_eq!(Voltage::try_from_volts(f64::NAN), None);
    }
}
