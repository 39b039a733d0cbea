//! A thermocouple's legs as they are wired in; what the gauge would show over them out.
//!
//! Every stretch of one material gives the emf of the pair that it forms with the other leg between the temperatures of
//! its ends (law of intermediate temperatures, see [`crate::trade::thermocouple_chain`]). The ends are taken to be at the
//! highest ambient temperature of the zone that their place lies in, at a wall at that of the warmer zone. Contacts on
//! the way are taken to be at one temperature from end to end, so that they give nothing whatever they are made of.

use super::routing::Routing;
use super::thermocouple_leg::{Leg, Piece, ThermocoupleRun};
use crate::harness::{ConductorId, Harness, PinId, PlaceId, ZoneId};
use crate::parts::words::{Measure, Role};
use crate::quantity::{Temperature, Voltage};
use crate::trade::thermocouple::{self, Shown};
use crate::trade::thermocouple_chain::{LegPiece, indicated_by_legs};
use crate::trade::thermocouple_colour::{Alloy, ThermocoupleType};

/// Temperatures of the probe, in °C, at which readings are told.
const PROBES: [f64; 4] = [20.0, 200.0, 400.0, 700.0];

/// A stretch of a leg that is of one material.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Stretch {
    /// What it is made of.
    pub alloy: Alloy,
    /// The pin at its end on the gauge's side.
    pub to: PinId,
    /// Where that pin is; `None` for a splice without a place.
    pub place: Option<PlaceId>,
    /// How warm that place is, or the zone whose ambient is not declared; `None` for a place that is not known or that
    /// no run leads to.
    pub warmth: Option<Result<Temperature, ZoneId>>,
}

impl Stretch {
    /// How warm its end is.
    ///
    /// # Errors
    /// Where the spec does not say.
    pub fn temperature(&self) -> Result<Temperature, NoReading> {
        match self.warmth {
            Some(Ok(t)) => Ok(t),
            Some(Err(zone)) => Err(NoReading::NoAmbient(zone)),
            None => Err(NoReading::NoPlace(self.to)),
        }
    }
}

/// Both legs of a thermocouple, as the gauge sees them.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Chain {
    /// Type of the probe.
    pub probe: ThermocoupleType,
    /// Type that the gauge's port is set up for.
    pub gauge: ThermocoupleType,
    /// The leg that comes to the gauge's positive pin, from the probe: first the probe's own lead.
    pub plus: Vec<Stretch>,
    /// The leg that comes to its negative pin.
    pub minus: Vec<Stretch>,
}

/// Why nothing can be said of a reading.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoReading {
    /// A leg comes to no pin.
    Open,
    /// A leg comes to several pins.
    Branches,
    /// The legs do not come to plus and minus of one thermocouple port.
    NotOnePort(PinId),
    /// The place of a joint is not known.
    NoPlace(PinId),
    /// The ambient temperature of this zone is not declared.
    NoAmbient(ZoneId),
    /// A temperature lies outside a reference function that is needed.
    OutsideTables,
}

impl NoReading {
    /// In words, lower case.
    pub fn words(self, h: &Harness) -> String {
        match self {
            NoReading::Open => "a leg comes to no pin".to_owned(),
            NoReading::Branches => "a leg branches to several pins".to_owned(),
            NoReading::NotOnePort(pin) => {
                format!("the legs do not come to one thermocouple port: one comes to `{}`", h.pin(pin).name)
            }
            NoReading::NoPlace(pin) => format!("where `{}` lies is not known", h.pin(pin).name),
            NoReading::NoAmbient(zone) => {
                format!("zone `{}` has no temperature (`ambient:`)", h.zone(zone).name)
            }
            NoReading::OutsideTables => "outside the reference functions".to_owned(),
        }
    }
}

/// What the gauge shows at one temperature of the probe.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct GaugeReading {
    /// The probe.
    pub probe: Temperature,
    /// What an ideal gauge shows.
    pub shown: Shown,
    /// Emf at its terminals; `None` where it is right whatever the terminals' temperature, and that is not known.
    pub emf: Option<Voltage>,
}

impl ThermocoupleRun {
    /// The legs as the gauge sees them.
    ///
    /// # Errors
    /// Where they do not come to plus and minus of one thermocouple port.
    pub fn chain(&self, h: &Harness, routing: &Routing) -> Result<Chain, NoReading> {
        let end = |leg: &Leg| match leg.ends.as_slice() {
            [] => Err(NoReading::Open),
            [only] => Ok(*only),
            _ => Err(NoReading::Branches),
        };
        let (at_plus, at_minus) = (end(&self.plus)?, end(&self.minus)?);
        let not_one = NoReading::NotOnePort(at_plus);
        let (port, role) = h.port_of(at_plus).ok_or(not_one)?;
        let (other, other_role) = h.port_of(at_minus).ok_or(not_one)?;
        let (plus, minus) = match (role, other_role) {
            _ if !std::ptr::eq(port, other) => return Err(not_one),
            (Role::Plus, Role::Minus) => (&self.plus, &self.minus),
            (Role::Minus, Role::Plus) => (&self.minus, &self.plus),
            _ => return Err(not_one),
        };
        let kinds = || std::iter::once(port.kind).chain(port.also.iter().copied());
        let fits = kinds().find_map(|k| k.thermocouple().filter(|t| *t == self.kind));
        let gauge = fits.or_else(|| kinds().find_map(|k| k.thermocouple())).ok_or(not_one)?;
        let [plus, minus] = [plus, minus].map(|leg| stretches(h, routing, leg));
        Ok(Chain { probe: self.kind, gauge, plus, minus })
    }

    /// The pins at which a leg changes its material, the gauge's own among them, each once in order: those are its
    /// terminals. None of a leg that comes to no pin.
    pub fn terminals(&self, h: &Harness, routing: &Routing) -> Vec<PinId> {
        let wired = [&self.plus, &self.minus].into_iter().filter(|leg| !leg.ends.is_empty());
        let mut pins: Vec<PinId> = wired.flat_map(|leg| stretches(h, routing, leg)).map(|s| s.to).collect();
        pins.sort_unstable();
        pins.dedup();
        pins
    }

    /// A temperature of the probe that is usual for what it measures, to give an example by.
    pub fn example(&self, harness: &Harness) -> Temperature {
        let device = harness.device(self.sensor);
        let port = device.ports.get(self.port as usize);
        let celsius = match port.and_then(|p| p.measures).or(device.measures) {
            Some(Measure::CylinderHead) => 200.0,
            Some(Measure::ExhaustGas | Measure::TurbineInlet) => 700.0,
            _ => 100.0,
        };
        Temperature::from_celsius(celsius)
    }
}

impl Chain {
    /// True where each leg is of the right material all the way: then the gauge is right at any temperature.
    pub fn is_right(&self) -> bool {
        let only = |leg: &[Stretch], alloy: Alloy| matches!(leg, [one] if one.alloy == alloy);
        self.probe == self.gauge
            && only(&self.plus, self.gauge.positive())
            && only(&self.minus, self.gauge.negative())
    }

    /// The same with the legs exchanged at the gauge.
    pub fn exchanged(&self) -> Chain {
        Chain { probe: self.probe, gauge: self.gauge, plus: self.minus.clone(), minus: self.plus.clone() }
    }

    /// What the gauge shows with the probe at `probe`.
    ///
    /// # Errors
    /// Where a temperature that it takes is not declared, or is outside a reference function.
    pub fn at(&self, probe: Temperature) -> Result<GaugeReading, NoReading> {
        let pieces = |leg: &[Stretch]| {
            let piece = |s: &Stretch| Ok(LegPiece { alloy: s.alloy, to: s.temperature()? });
            leg.iter().map(piece).collect::<Result<Vec<_>, NoReading>>()
        };
        let computed = pieces(&self.plus).and_then(|plus| {
            let minus = pieces(&self.minus)?;
            indicated_by_legs(self.gauge, probe, &plus, &minus).ok_or(NoReading::OutsideTables)
        });
        match computed {
            Ok(reading) => Ok(GaugeReading { probe, shown: reading.shown, emf: Some(reading.emf) }),
            // What the terminals take away the gauge adds again, however warm they are.
            Err(NoReading::NoAmbient(_) | NoReading::NoPlace(_)) if self.is_right() => {
                match thermocouple::emf(self.gauge, probe) {
                    Some(_) => Ok(GaugeReading { probe, shown: Shown::At(probe), emf: None }),
                    None => Err(NoReading::OutsideTables),
                }
            }
            Err(why) => Err(why),
        }
    }

    /// Readings at usual temperatures of a probe: 20, 200, 400 and 700 °C.
    pub fn table(&self) -> impl Iterator<Item = (Temperature, Result<GaugeReading, NoReading>)> + '_ {
        PROBES.iter().map(|t| Temperature::from_celsius(*t)).map(|t| (t, self.at(t)))
    }
}

/// A leg by its materials: the probe's own lead first, which is of what its pin says.
fn stretches(h: &Harness, routing: &Routing, leg: &Leg) -> Vec<Stretch> {
    let Some(Piece::Pin(start)) = leg.pieces.first().copied() else { return Vec::new() };
    let mut of: Vec<(Alloy, PinId)> = vec![(h.pin(start).alloy, start)];
    for (conductor, to) in over(leg) {
        let alloy = h.conductor(conductor).alloy;
        match of.last_mut() {
            Some((known, end)) if *known == alloy => *end = to,
            _ => of.push((alloy, to)),
        }
    }
    let stretch = |(alloy, to)| {
        let place = routing.place_of_pin(h, to);
        Stretch { alloy, to, place, warmth: place.and_then(|p| warmth(h, p)) }
    };
    of.into_iter().map(stretch).collect()
}

/// The conductors of a leg, each with the pin it leads to.
fn over(leg: &Leg) -> impl Iterator<Item = (ConductorId, PinId)> + '_ {
    let next = leg.pieces.iter().skip(1);
    leg.pieces.iter().zip(next).filter_map(|pair| match pair {
        (Piece::Conductor(c), Piece::Pin(to)) => Some((*c, *to)),
        _ => None,
    })
}

/// Ambient temperature of a place: of the warmer of its zones.
///
/// # Errors
/// The zone whose ambient temperature is not declared. `None` for a place that no run leads to.
pub fn warmth(h: &Harness, place: PlaceId) -> Option<Result<Temperature, ZoneId>> {
    let zones = &h.place(place).zones;
    let of = |zone: &ZoneId| h.zone(*zone).ambient.map(|t| t.value).ok_or(*zone);
    let all: Result<Vec<Temperature>, ZoneId> = zones.iter().map(of).collect();
    all.map(|t| t.into_iter().max()).transpose()
}
