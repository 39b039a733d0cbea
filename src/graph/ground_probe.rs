//! Solved network in; how far ground currents put each thermocouple off whose junction touches the engine, out.
//!
//! A grounded junction is as high as the body that its case sits on. A gauge that measures between its two pins does not
//! notice: both legs are lifted alike. One that measures the plus pin against its own ground adds what lies between that
//! body and its ground to the emf; a type K junction gives about 40 µV a degree, so a millivolt is 25 °C. The minus leg
//! lies beside that gap with a few ohms, which is nothing to the milliohms of grounds, and is not counted.
//!
//! The error is told at a temperature that is usual for what the probe measures, by the reference function there.

use super::electrical::Electrical;
use super::ground_flows::ground_pin;
use super::ground_network::{Phase, Range, Unsure};
use super::ground_sender::Asked;
use super::thermocouple_reading::NoReading;
use crate::harness::{BodyId, BondId, DeviceId};
use crate::quantity::{Temperature, TemperatureDifference, Voltage};
use crate::trade::thermocouple::{Shown, emf, shown};
use crate::trade::thermocouple_colour::ThermocoupleType;

/// A thermocouple whose junction touches its case, and what its legs come to.
#[derive(Clone, Debug)]
pub struct GroundedProbe {
    /// The probe.
    pub sensor: DeviceId,
    /// The gauge; of several devices that its legs come to, the first.
    pub gauge: DeviceId,
    /// Type that the gauge takes it for; its own where it comes to no thermocouple port.
    pub kind: ThermocoupleType,
    /// Temperature of the probe at which the error is told.
    pub at: Temperature,
    /// What is added to its emf, in each phase; whether nothing is, or why it is not known.
    pub shift: Shift,
}

/// What ground currents do to a grounded thermocouple.
#[derive(Clone, Debug)]
pub enum Shift {
    /// Nothing: the gauge measures between the two pins.
    None,
    /// Not known: the part of the gauge does not say how it measures.
    Unsaid,
    /// Not known: the body that the probe's case touches is not given.
    NoBody,
    /// Not known: the gauge has no ground.
    NoGround,
    /// Not known: the legs do not come to one thermocouple port of a gauge.
    Unread(NoReading),
    /// This much, by phase.
    Added {
        /// The body that the probe touches.
        body: BodyId,
        /// What is added in cruise and while cranking.
        by: Vec<(Phase, Result<Range<ProbeShift>, Unsure>)>,
        /// Bonds of which the current comes in, in order.
        bonds: Vec<BondId>,
        /// True where a load of unknown size shares its grounds: then this is not all.
        at_least: bool,
    },
}

/// What is added to an emf.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ProbeShift {
    /// How far the junction lies above the gauge's ground.
    pub volts: Voltage,
    /// What that does to the reading; None where it leaves the gauge's range.
    pub error: Option<TemperatureDifference>,
}

/// All grounded probes of which a leg comes to a device, in the order of the spec.
pub(super) fn probes(asked: &Asked, electrical: &Electrical) -> Vec<GroundedProbe> {
    let s = asked.solved();
    let h = s.h;
    let grounded = |d: &crate::harness::Device| d.case_grounds && !d.on_case.is_empty();
    if !h.devices.iter().any(grounded) {
        return Vec::new();
    }
    let mut found = Vec::new();
    for run in electrical.thermocouple_runs(h) {
        let d = h.device(run.sensor);
        let Some(port) = d.ports.get(run.port as usize).filter(|_| d.case_grounds) else { continue };
        let touches = port.pins.iter().find(|(_, pin)| d.on_case.contains(pin)).map(|(_, pin)| *pin);
        let reader = run.plus.ends.iter().chain(&run.minus.ends).next();
        let (Some(junction), Some(reader)) = (touches, reader.copied()) else { continue };
        let gauge = h.pin(reader).device;
        let at = run.example(h);
        let chain = match run.chain(h, s.routing) {
            Ok(chain) => chain,
            Err(why) => {
                let shift = Shift::Unread(why);
                found.push(GroundedProbe { sensor: run.sensor, gauge, kind: run.kind, at, shift });
                continue;
            }
        };
        let single_ended = h.port_of(reader).and_then(|(input, _)| input.single_ended);
        let shift = match (single_ended, d.body, ground_pin(h, electrical, gauge)) {
            (Some(false), ..) => Shift::None,
            (None, ..) => Shift::Unsaid,
            (_, None, _) => Shift::NoBody,
            (_, _, None) => Shift::NoGround,
            (Some(true), Some(body), Some(ground)) => {
                let segments = [[(junction, s.points.pin(junction)), (ground, s.points.pin(ground))]];
                let added = |volts| ProbeShift { volts, error: error(chain.gauge, at, volts) };
                let (by, bonds) = asked.whole(&segments);
                let by = by.into_iter().map(|(phase, range)| (phase, range.map(|r| r.map(added)))).collect();
                Shift::Added { body: body.value, by, bonds, at_least: asked.at_least(&segments) }
            }
        };
        found.push(GroundedProbe { sensor: run.sensor, gauge, kind: chain.gauge, at, shift });
    }
    found
}

/// Shown less true with so much added to the emf.
fn error(kind: ThermocoupleType, at: Temperature, volts: Voltage) -> Option<TemperatureDifference> {
    match shown(kind, emf(kind, at)? + volts) {
        Shown::At(t) => Some(t.above(at)),
        Shown::BelowRange | Shown::AboveRange => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// NIST SRD 60, type K: 8.138 mV at 200 °C, 8.539 mV at 210 °C; 29.129 mV at 700 °C, 28.289 mV at 680 °C.
    #[test]
    fn a_shift_is_read_off_the_table() {
        let off = |at, mv| {
            error(ThermocoupleType::K, Temperature::from_celsius(at), Voltage::from_millivolts(mv))
                .unwrap()
                .celsius()
        };
        assert!((off(200.0, 8.539 - 8.138) - 10.0).abs() < 0.03, "{}", off(200.0, 0.401));
        assert!((off(700.0, 28.289 - 29.129) + 20.0).abs() < 0.03, "{}", off(700.0, -0.84));
        let far = error(ThermocoupleType::K, Temperature::from_celsius(700.0), Voltage::from_volts(0.18));
        assert_eq!(far, None);
    }
}
