//! A conductor, its path and the warmth of its zones in; its resistance, stretch by stretch, out, and between what it lies
//! where a zone does not say how hot it gets.
//!
//! The wire runs along its path and through the tails at both ends, and behind an indicator through the service loop; a
//! length that the circuit declares goes before all that. What is only cut off to terminate an end anew does not count.
//! Copper is as warm as the zone is at most. The wire's own current does not warm it here: the drop of a load adds that.
//!
//! Where the zone does not say how hot it gets, it is taken to get as warm as a workshop at least, 20 °C (common practice,
//! no source), and copper in it to be no warmer than its insulation stands at most: hotter than that is a finding of its
//! own. Where the insulation says nothing either, the resistance is not known.

use super::electrical::Through;
use super::ground_range::Range;
use super::routing::Routing;
use crate::harness::{Chosen, ConductorId, DeviceId, Harness, Located, PinId, PinSite, RunId, ZoneId};
use crate::parts::library::Library;
use crate::parts::words::Style;
use crate::quantity::{Length, Resistance, Temperature};
use crate::trade::thermocouple_colour::Alloy;
use crate::trade::wire_table::resistance;

/// A stretch of a conductor.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Along {
    /// Along a run.
    Run(RunId),
    /// From the place to this pin.
    Tail(PinId),
    /// The loop behind an indicator.
    ServiceLoop(DeviceId),
    /// All of it, as the circuit declares.
    Declared,
}

/// A stretch at one temperature.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Stretch {
    /// What it is.
    pub along: Along,
    /// Its length, and where that is said.
    pub length: Chosen<Length>,
    /// Temperature of its copper; where a zone does not say it, the least.
    pub warmth: Chosen<Temperature>,
    /// What does not say it.
    pub unsaid: Option<Unsaid>,
    /// Its resistance at that temperature.
    pub resistance: Resistance,
}

/// What leaves it open how warm copper gets.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Unsaid {
    /// A zone without `ambient:`.
    Zone(ZoneId),
    /// It has no place, or one that lies in no zone.
    Place,
}

/// Why a conductor's resistance is not known.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoResistance {
    /// It has no path, so nobody knows how long it is.
    NoPath,
    /// It is not of copper.
    Alloy(Alloy),
    /// Nobody says how hot it gets where it lies, nor what its insulation stands.
    Warmth(Unsaid),
    /// It is not tried at both its ends: too many on all rings together are open in this way, or what the supply drives
    /// comes to its limit at some of these ends only ([`super::ground_warmth`]).
    Open(Unsaid),
}

/// How warm copper is, or gets at least.
#[derive(Clone, Copy)]
struct Warmth {
    at: Chosen<Temperature>,
    unsaid: Option<Unsaid>,
}

/// The stretches of a conductor, in order from its `from`.
///
/// # Errors
/// Where its resistance is not known.
pub fn stretches(h: &Harness, routing: &Routing, id: ConductorId) -> Result<Vec<Stretch>, NoResistance> {
    let c = h.conductor(id);
    if c.alloy != Alloy::Copper {
        return Err(NoResistance::Alloy(c.alloy));
    }
    let stretch = |along, length: Chosen<Length>, Warmth { at, unsaid }| Stretch {
        along,
        length,
        warmth: at,
        unsaid,
        resistance: resistance(c.gauge, length.value, at.value),
    };
    let path = routing.path_of(h, id);
    let of_zone = |zone: ZoneId| of_zone(h, zone);
    let at_end = |pin: PinId, run: Option<&RunId>| match (run, routing.place_of_pin(h, pin)) {
        (Some(run), _) => of_zone(h.run(*run).zone),
        (None, Some(place)) => hottest(h.place(place).zones.iter().map(|z| of_zone(*z))),
        (None, None) => hottest(std::iter::empty()),
    };
    if let Some(declared) = h.circuit(c.circuit).length.filter(|_| !c.drain) {
        let along = path.into_iter().flat_map(|p| &p.runs).map(|r| of_zone(h.run(*r).zone));
        let ends = [c.from, c.to].map(|pin| at_end(pin, None));
        let all: Vec<Warmth> = along.collect();
        let hot = if all.is_empty() { hottest(ends.into_iter()) } else { hottest(all.into_iter()) };
        let length = Chosen { value: declared.value, span: Some(declared.span) };
        return Ok(vec![stretch(Along::Declared, length, hot)]);
    }
    let runs = match path {
        _ if c.drain => &[][..],
        Some(path) => &path.runs,
        None => return Err(NoResistance::NoPath),
    };
    let mut made = Vec::with_capacity(runs.len() + 3);
    let end = |pin: PinId, run: Option<&RunId>| {
        let device = h.device(h.pin(pin).device);
        // A drain lead starts inside the tail of the end that it is tied at.
        let inside = c.drain && matches!(h.pin(pin).site, PinSite::Screen(_));
        let at = at_end(pin, run);
        let tail =
            (!inside && device.tail.value > Length::ZERO).then(|| stretch(Along::Tail(pin), device.tail, at));
        let loops = !c.drain && matches!(device.style, Some(Style::Indicator | Style::Converter));
        let behind = Along::ServiceLoop(h.pin(pin).device);
        let service = loops.then(|| stretch(behind, h.shop.service_loop, at));
        [tail, service]
    };
    made.extend(end(c.from, runs.first()).into_iter().flatten());
    made.extend(runs.iter().map(|id| {
        let run = h.run(*id);
        let length = Chosen { value: run.length.value, span: Some(run.length.span) };
        stretch(Along::Run(*id), length, of_zone(run.zone))
    }));
    made.extend(end(c.to, runs.last()).into_iter().rev().flatten());
    Ok(made)
}

/// The resistance of a conductor: one value, or, where it is not said how hot it gets on the way, the ends between which it
/// lies.
///
/// # Errors
/// Where it is not known.
pub fn ohms(
    h: &Harness,
    library: &Library,
    routing: &Routing,
    id: ConductorId,
) -> Result<Range<Resistance>, NoResistance> {
    let all = stretches(h, routing, id)?;
    let low = all.iter().map(|s| s.resistance).sum();
    let Some(unsaid) = all.iter().find_map(|s| s.unsaid) else { return Ok(Range::of(low)) };
    let stands = library.wires.get(h.conductor(id).wire).rated.ok_or(NoResistance::Warmth(unsaid))?;
    let gauge = h.conductor(id).gauge;
    let most = |s: &Stretch| match s.unsaid {
        Some(_) => resistance(gauge, s.length.value, s.warmth.value.max(stands)),
        None => s.resistance,
    };
    Ok(Range { low, high: all.iter().map(most).sum(), open: Some(Through::Conductor(id)) })
}

/// What leaves the resistance of a conductor open.
pub fn unsaid(h: &Harness, routing: &Routing, id: ConductorId) -> Option<Unsaid> {
    stretches(h, routing, id).ok()?.iter().find_map(|s| s.unsaid)
}

/// A lead that a device brings itself.
#[derive(Clone, Copy, Debug)]
pub struct OwnLead {
    /// Its resistance where it gets least warm.
    pub low: Resistance,
    /// Where it gets warmest: as warm as its zones are, and where one does not say it, as the device stands. None where
    /// the device does not say that either.
    pub high: Option<Resistance>,
}

/// The lead of a device's own at a pin, in the hottest zone of where the device is and where the lead ends. None where the
/// pin is no copper lead.
pub fn own_lead(h: &Harness, library: &Library, routing: &Routing, pin: PinId) -> Option<OwnLead> {
    let p = h.pin(pin);
    let PinSite::BareLead(gauge) = p.site else { return None };
    let device = h.device(p.device);
    let lead = device.lead.filter(|_| p.alloy == Alloy::Copper)?;
    let places = [routing.place_of.get(p.device.index()).copied().flatten(), routing.place_of_pin(h, pin)];
    let zones = places.into_iter().flatten().flat_map(|place| &h.place(place).zones);
    let warmth = hottest(zones.map(|zone| of_zone(h, *zone)));
    let low = resistance(gauge, lead.value, warmth.at.value);
    let high = match warmth.unsaid {
        None => Some(low),
        Some(_) => {
            let part = device.part.as_ref().and_then(|name| library.devices.find(name));
            let stands = part.and_then(|id| library.devices.get(id).rated);
            stands.map(|stands| resistance(gauge, lead.value, stands.max(warmth.at.value)))
        }
    };
    Some(OwnLead { low, high })
}

/// What a zone gets at least that says nothing of it; the tables of wire are for it.
fn workshop() -> Temperature {
    Temperature::from_celsius(20.0)
}

fn of_zone(h: &Harness, zone: ZoneId) -> Warmth {
    match h.zone(zone).ambient {
        Some(Located { value, span }) => Warmth { at: Chosen { value, span: Some(span) }, unsaid: None },
        None => Warmth { at: Chosen { value: workshop(), span: None }, unsaid: Some(Unsaid::Zone(zone)) },
    }
}

/// Of several places the hottest, as far as they say it.
fn hottest(all: impl Iterator<Item = Warmth>) -> Warmth {
    let warmer = |a: Warmth, b: Warmth| Warmth {
        at: if b.at.value >= a.at.value { b.at } else { a.at },
        unsaid: a.unsaid.or(b.unsaid),
    };
    let none = Warmth { at: Chosen { value: workshop(), span: None }, unsaid: Some(Unsaid::Place) };
    all.reduce(warmer).unwrap_or(none)
}
