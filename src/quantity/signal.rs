//! What a sender gives: a voltage or a resistance.

use std::fmt;
use std::str::FromStr;

use super::error::QuantityError;
use super::text_form::{Quantity, text_form};
use super::{Resistance, Voltage};

/// What a sender gives for what it measures.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Signal {
    /// A voltage between its signal and its return.
    Voltage(Voltage),
    /// A resistance between its signal and its return, or its case.
    Resistance(Resistance),
}

impl fmt::Display for Signal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Signal::Voltage(v) => v.fmt(f),
            Signal::Resistance(r) => r.fmt(f),
        }
    }
}

impl Quantity for Signal {
    const NOUN: &'static str = "a voltage or a resistance";
    const EXAMPLE: &'static str = "0.5 V";
    const DESCRIPTION: &'static str = "a voltage or a resistance with its unit: V, mV, Ω or ohm, kΩ";
}

impl FromStr for Signal {
    type Err = QuantityError;
    fn from_str(text: &str) -> Result<Signal, QuantityError> {
        let voltage = text.parse::<Voltage>().map(Signal::Voltage);
        let Err(fault) = voltage else { return voltage };
        text.parse::<Resistance>().map(Signal::Resistance).map_err(|_| {
            QuantityError::new(fault.message, "write what the sender gives, as in `0.5 V` or `240 Ω`")
        })
    }
}

text_form!(Signal);

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reads_both_kinds() {
        assert_eq!("500 mV".parse(), Ok(Signal::Voltage(Voltage::from_volts(0.5))));
        assert_eq!("240 ohm".parse(), Ok(Signal::Resistance(Resistance::from_ohms(240.0))));
        assert!("240".parse::<Signal>().is_err() && "240 A".parse::<Signal>().is_err());
        let back = Signal::Resistance(Resistance::from_ohms(10.0));
        assert_eq!(back.to_string().parse(), Ok(back));
    }
}
