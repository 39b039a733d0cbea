//! A chain of thermocouple pieces in; what a pilot would see of it, in words, out.

use std::cmp::Ordering;

use super::thermocouple_reading::{Chain, GaugeReading, NoReading};
use crate::quantity::{Temperature, TemperatureDifference, Units};
use crate::trade::thermocouple::Shown;

/// Which way the reading goes while the probe warms from 20 to 700 °C and the zones stay as they are.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Trend {
    /// It rises.
    Rises,
    /// It stands still, or cannot be told.
    Stands,
    /// It falls.
    Falls,
}

/// A temperature in whole degrees.
pub fn whole(t: Temperature, units: Units) -> String {
    match units {
        Units::Metric => degrees(t.celsius(), "°C"),
        Units::Inch => degrees(t.fahrenheit(), "°F"),
    }
}

/// A difference in whole degrees, without its sign.
pub fn whole_difference(d: TemperatureDifference, units: Units) -> String {
    match units {
        Units::Metric => degrees(d.abs().celsius(), "°C"),
        Units::Inch => degrees(d.abs().fahrenheit(), "°F"),
    }
}

fn degrees(value: f64, unit: &str) -> String {
    // Adding nothing turns -0 into 0.
    format!("{:.0} {unit}", value.round() + 0.0)
}

/// What a gauge shows.
pub fn shown_words(shown: Shown, units: Units) -> String {
    match shown {
        Shown::BelowRange => "less than it can read".to_owned(),
        Shown::At(t) => whole(t, units),
        Shown::AboveRange => "more than it can read".to_owned(),
    }
}

impl GaugeReading {
    /// How far the gauge is above the probe; `None` where it is off its scale.
    pub fn error(&self) -> Option<TemperatureDifference> {
        match self.shown {
            Shown::At(t) => Some(t.above(self.probe)),
            Shown::BelowRange | Shown::AboveRange => None,
        }
    }

    /// `34 °C low`, `12 °C high` or `right`; `None` where it is off its scale.
    pub fn off_by(&self, units: Units) -> Option<String> {
        let error = self.error()?;
        let by = whole_difference(error, units);
        let rounded = error.celsius().round();
        Some(match rounded.partial_cmp(&0.0) {
            Some(Ordering::Less) => format!("{by} low"),
            Some(Ordering::Greater) => format!("{by} high"),
            _ => "right".to_owned(),
        })
    }
}

impl Chain {
    /// Which way the reading goes as the probe warms.
    pub fn trend(&self) -> Trend {
        let rank = |shown| match shown {
            Shown::BelowRange => f64::NEG_INFINITY,
            Shown::At(t) => Temperature::celsius(t),
            Shown::AboveRange => f64::INFINITY,
        };
        let seen: Vec<f64> = self.table().filter_map(|(_, r)| Some(rank(r.ok()?.shown))).collect();
        let pairs = || seen.iter().zip(seen.iter().skip(1));
        let ends = seen.first().zip(seen.last());
        // Off the scale on one side twice is neither up nor down.
        match ends {
            Some((first, last)) if pairs().all(|(a, b)| b <= a) && last < first => Trend::Falls,
            Some((first, last)) if pairs().all(|(a, b)| b >= a) && last > first => Trend::Rises,
            _ => Trend::Stands,
        }
    }

    /// What is seen in service: `reads 316 °C low (-116 °C) with the probe at 200 °C and falls as the engine warms`.
    /// At `example` where the gauge is on its scale there, else at the nearest usual temperature below it.
    ///
    /// # Errors
    /// Where no reading follows from the spec.
    pub fn seen(&self, example: Temperature, units: Units) -> Result<String, NoReading> {
        let there = self.at(example)?;
        let below = self.table().filter(|(t, _)| *t < example).filter_map(|(_, r)| r.ok());
        let on_scale = |r: &GaugeReading| r.error().is_some();
        let told = if on_scale(&there) { Some(there) } else { below.filter(on_scale).last() };
        let mut words = match told {
            Some(r) => format!(
                "reads {} ({}) with the probe at {}",
                r.off_by(units).unwrap_or_default(),
                shown_words(r.shown, units),
                whole(r.probe, units)
            ),
            None => format!(
                "shows {} with the probe at {}",
                shown_words(there.shown, units),
                whole(example, units)
            ),
        };
        words.push_str(match self.trend() {
            Trend::Falls => " and falls as the engine warms",
            Trend::Rises => ", yet rises as the engine warms",
            Trend::Stands => " and stands still as the engine warms",
        });
        if told.is_some_and(|r| r.probe != there.probe) {
            words.push_str(&format!(
                "; at {} it shows {}",
                whole(example, units),
                shown_words(there.shown, units)
            ));
        }
        Ok(words)
    }
}
