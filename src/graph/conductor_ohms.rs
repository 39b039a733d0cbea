//! A conductor, its path and the warmth of its zones in; its resistance, stretch by stretch, out.
//!
//! The wire runs along its path and through the tails at both ends, and behind an indicator through the service loop; a
//! length that the circuit declares goes before all that. What is only cut off to terminate an end anew does not count.
//! Copper is as warm as the zone is at most; where the zone says nothing, 20 °C, for which the tables are.
//! The wire's own current does not warm it here: the drop of a load adds that.

use crate::graph::Routing;
use crate::harness::{Chosen, ConductorId, DeviceId, Harness, Located, PinId, PinSite, RunId, ZoneId};
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
    /// Temperature of its copper; not given where the zone says none.
    pub warmth: Chosen<Temperature>,
    /// Its resistance.
    pub resistance: Resistance,
}

/// Why a conductor's resistance is not known.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoResistance {
    /// It has no path, so nobody knows how long it is.
    NoPath,
    /// It is not of copper.
    Alloy(Alloy),
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
    let stretch = |along, length: Chosen<Length>, warmth: Chosen<Temperature>| Stretch {
        along,
        length,
        warmth,
        resistance: resistance(c.gauge, length.value, warmth.value),
    };
    let path = routing.path_of(h, id);
    let of_zone = |zone: ZoneId| warmth(h.zone(zone).ambient);
    let at_end = |pin: PinId, run: Option<&RunId>| match (run, routing.place_of_pin(h, pin)) {
        (Some(run), _) => of_zone(h.run(*run).zone),
        (None, Some(place)) => hottest(h.place(place).zones.iter().map(|z| of_zone(*z))),
        (None, None) => warmth(None),
    };
    if let Some(declared) = h.circuit(c.circuit).length.filter(|_| !c.drain) {
        let along = path.into_iter().flat_map(|p| &p.runs).map(|r| of_zone(h.run(*r).zone));
        let ends = [c.from, c.to].map(|pin| at_end(pin, None));
        let all: Vec<Chosen<Temperature>> = along.collect();
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

/// The lead of a device's own at a pin: its length and resistance at 20 °C. None where the pin is no copper lead.
pub fn own_lead(h: &Harness, pin: PinId) -> Option<(Chosen<Length>, Resistance)> {
    let p = h.pin(pin);
    let PinSite::BareLead(gauge) = p.site else { return None };
    let lead = h.device(p.device).lead.filter(|_| p.alloy == Alloy::Copper)?;
    Some((lead, resistance(gauge, lead.value, of_tables())))
}

/// Temperature for which the tables of wire are.
fn of_tables() -> Temperature {
    Temperature::from_celsius(20.0)
}

fn warmth(ambient: Option<Located<Temperature>>) -> Chosen<Temperature> {
    match ambient {
        Some(at) => Chosen { value: at.value, span: Some(at.span) },
        None => Chosen { value: of_tables(), span: None },
    }
}

fn hottest(all: impl Iterator<Item = Chosen<Temperature>>) -> Chosen<Temperature> {
    all.max_by_key(|t| t.value).unwrap_or(warmth(None))
}
