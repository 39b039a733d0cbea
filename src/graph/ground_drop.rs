//! Solved network and loads in; the drop of each load that a feed of the spec serves, wire by wire, out.
//!
//! From the terminal of the feed to the load, and from the load to the body that takes its current, all loads drawing at
//! once. The copper of each wire is as warm as its zone at most, and warmer by its own current as AC 43.13-1B page 11-22
//! has it, where Table 11-9 gives it an ampacity. Where it gives none (a zone does not say how hot it gets, a size beside the
//! table, thinner air than it is for) the copper is no cooler than without a current, and no warmer than its insulation
//! stands: hotter than that is a finding of its own.

use std::cell::OnceCell;

use super::conductor_ohms::stretches;
use super::electrical::{Step, Through};
use super::ground_flows::ground_pin;
use super::ground_network::{Range, Solved, Unsure};
use super::ground_range::SAME;
use super::load::{Load, Site};
use super::rating::by_table_at;
use super::routing::Routing;
use crate::harness::{ConductorId, Harness, PinId};
use crate::parts::library::Library;
use crate::quantity::{Current, Gauge, Resistance, Temperature, Voltage};
use crate::trade::wire_table::{
    conductor_temperature, copper_factor, resistance as trade_resistance, resistance_at_20,
};

/// The drop of one load.
#[derive(Clone, Debug)]
pub struct Drop {
    /// Index of the load: see [`super::Currents::loads`].
    pub load: usize,
    /// Terminal of its feed.
    pub feed: PinId,
    /// Where it takes its current.
    pub pin: PinId,
    /// The drop, or why it is not known.
    pub known: Result<Range<Dropped>, NoDrop>,
    /// True where a load of unknown size shares its wires: then it drops more than this.
    pub at_least: bool,
    /// A wire that its own current warms nobody knows how far, for its part does not say what its insulation stands: then it
    /// drops more than this too.
    pub unwarmed: Option<ConductorId>,
}

/// What a load drops, and where.
#[derive(Clone, Debug, Default)]
pub struct Dropped {
    /// Wires from the feed to the load, in order.
    pub supply: Vec<DropTerm>,
    /// Wires from the load to the body, in order.
    pub back: Vec<DropTerm>,
}

impl Dropped {
    /// All of it.
    pub fn total(&self) -> Voltage {
        self.supply.iter().chain(&self.back).map(|t| t.drop).sum()
    }
}

/// The drop along one wire.
#[derive(Clone, Copy, Debug)]
pub struct DropTerm {
    /// The wire.
    pub conductor: ConductorId,
    /// Its current, along the way; below zero against it.
    pub current: Current,
    /// Temperature of its copper with that current.
    pub warmth: Temperature,
    /// True where that is the most that its insulation stands, for nobody knows how warm it gets.
    pub at_most: bool,
    /// Resistance at that temperature.
    pub resistance: Resistance,
    /// What it drops.
    pub drop: Voltage,
}

/// Why a drop is not known.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoDrop {
    /// Nobody says what the load takes.
    Current,
    /// Its current comes to no body.
    NoReturn,
    /// Something in its way is not sure.
    Unsure(Unsure),
}

/// The drops of all loads that are fed from a supply of the spec.
pub(super) fn drops<'s>(s: &'s Solved<'s, '_, '_>, loads: &[Load]) -> Vec<Drop> {
    let asked = Asked { s, terms: vec![OnceCell::new(); s.h.conductors.len()] };
    let of_load = |(i, load): (usize, &Load)| {
        let Site::Pin(pin) = load.from else { return None };
        let feed = *s.outlets.feed.get(&s.points.local(pin))?;
        let back = match load.to {
            Site::Pin(pin) => Some(pin),
            Site::Inside(id) => ground_pin(s.h, s.electrical, id),
            Site::Machine => None,
        };
        let known = match load.current {
            None => Err(NoDrop::Current),
            Some(_) => asked.dropped(feed, pin, back),
        };
        let nets = [Some(pin), back].into_iter().flatten().map(|p| s.points.local(p));
        let at_least = nets.into_iter().any(|net| s.flows.unknown.contains(&net));
        let unwarmed =
            known.as_ref().ok().and_then(|range| range.ends().into_iter().find_map(|end| unwarmed(s, end)));
        Some(Drop { load: i, feed, pin, known, at_least, unwarmed })
    };
    loads.iter().enumerate().filter_map(of_load).collect()
}

/// The ways of the loads, asked wire by wire.
struct Asked<'s, 'r, 'n> {
    s: &'s Solved<'s, 'r, 'n>,
    /// What each wire drops, by conductor.
    terms: Vec<OnceCell<Option<Range<DropTerm>>>>,
}

impl Asked<'_, '_, '_> {
    fn dropped(&self, feed: PinId, pin: PinId, back: Option<PinId>) -> Result<Range<Dropped>, NoDrop> {
        let s = self.s;
        let mut range = Range::of(Dropped::default());
        let ways = |of: &mut Range<Dropped>, terms: Vec<Range<DropTerm>>, back: bool| {
            for term in terms {
                of.open = of.open.or(term.open);
                for (dropped, term) in [(&mut of.low, term.low), (&mut of.high, term.high)] {
                    let way = if back { &mut dropped.back } else { &mut dropped.supply };
                    way.push(term);
                }
            }
        };
        ways(&mut range, self.terms(feed, pin)?, false);
        let mut from = back.ok_or(NoDrop::NoReturn)?;
        for _ in 0..4 {
            let net = s.points.local(from);
            if s.flows.stuck.contains(&net) {
                return Err(NoDrop::NoReturn);
            }
            if let Some(body) = s.outlets.body.get(&net) {
                let contacts = &s.electrical.net(from).contacts;
                let contact = contacts.iter().find(|c| c.body == *body).ok_or(NoDrop::NoReturn)?;
                ways(&mut range, self.terms(from, contact.pin)?, true);
                return Ok(range);
            }
            let (outlet, ground) = s.outlets.passes.get(&net).ok_or(NoDrop::NoReturn)?;
            ways(&mut range, self.terms(from, *outlet)?, true);
            from = *ground;
        }
        Err(NoDrop::NoReturn)
    }

    /// What each wire of a way drops. What a wire drops rises with its current, so the ends of the current give its ends; those
    /// of the whole way lie within the sums of these.
    fn terms(&self, from: PinId, to: PinId) -> Result<Vec<Range<DropTerm>>, NoDrop> {
        let steps = self.s.ways.way(from, to).ok_or(NoDrop::Unsure(Unsure::Apart))?;
        let mut at = from;
        let mut terms = Vec::new();
        for Step { through, to } in steps {
            if let Through::Conductor(id) = through {
                let term = self.term(id).ok_or(NoDrop::Unsure(Unsure::Resistance(through)))?;
                terms.push(if self.s.h.conductor(id).from == at { term } else { against(term) });
            }
            if let super::Point::Pin(pin) = to {
                at = pin;
            }
        }
        Ok(terms)
    }

    /// What a wire drops from its `from` to its `to`: worked out once, however many loads it serves. None where it is not known.
    fn term(&self, id: ConductorId) -> Option<Range<DropTerm>> {
        let s = self.s;
        let of_wire = || {
            let ohms = s.points.ohms[id.index()].ok()?.low;
            let current = s.current(None, id)?;
            // What drops most where a current goes against the way is what drops least along it.
            let end = |amps: Current, most: bool| term(s, id, amps, ohms, most == (amps >= Current::ZERO));
            let (low, high) = (end(current.low, false), end(current.high, true));
            let warmth = || ((high.drop - low.drop).volts() > SAME).then_some(Through::Conductor(id));
            Some(Range { low, high, open: current.open.or_else(warmth) })
        };
        *self.terms[id.index()].get_or_init(of_wire)
    }
}

/// The first wire of a way that carries current, gets no ampacity from the table and does not say what it stands.
fn unwarmed(s: &Solved, dropped: &Dropped) -> Option<ConductorId> {
    let all = dropped.supply.iter().chain(&dropped.back).filter(|term| term.current.amps().abs() > SAME);
    let silent = |id: &ConductorId| s.library.wires.get(s.h.conductor(*id).wire).rated.is_none();
    all.map(|term| term.conductor).find(silent)
}

/// What is dropped along a wire that is passed from its `to` to its `from`. It is as warm: that asks how much
/// current flows, not which way.
fn against(term: Range<DropTerm>) -> Range<DropTerm> {
    let turned = |t: DropTerm| DropTerm { current: -t.current, drop: -t.drop, ..t };
    Range { low: turned(term.high), high: turned(term.low), open: term.open }
}

fn term(s: &Solved, id: ConductorId, current: Current, ohms: Resistance, most: bool) -> DropTerm {
    term_of(s.h, s.library, s.routing, (id, s.h.conductor(id).gauge), current, (ohms, most))
}

/// The same current over the same way in wire of another gauge: thicker wire has less resistance, and stays cooler.
/// What the rest of the network makes of it is not looked at: where the current may divide, more of it takes this way.
pub fn regauged(
    h: &Harness,
    library: &Library,
    routing: &Routing,
    term: &DropTerm,
    gauge: Gauge,
) -> DropTerm {
    let id = term.conductor;
    let own = h.conductor(id).gauge;
    let ohms: Resistance = stretches(h, routing, id).unwrap_or_default().iter().map(|s| s.resistance).sum();
    let share = resistance_at_20(gauge).0.ohms_per_metre() / resistance_at_20(own).0.ohms_per_metre();
    term_of(h, library, routing, (id, gauge), term.current, (ohms * share, term.at_most))
}

/// A wire with its copper as warm as its current makes it; where nobody knows how warm that is, as warm as its insulation
/// stands, or else as it is without a current.
fn term_of(
    h: &Harness,
    library: &Library,
    routing: &Routing,
    (id, gauge): (ConductorId, Gauge),
    current: Current,
    (ohms, most): (Resistance, bool),
) -> DropTerm {
    let stretches = stretches(h, routing, id).unwrap_or_default();
    let ambient = stretches.iter().map(|s| s.warmth.value).max().unwrap_or(Temperature::from_celsius(20.0));
    let stands = library.wires.get(h.conductor(id).wire).rated;
    let (warmth, resistance, at_most) = match (by_table_at(h, library, routing, id, gauge), stands) {
        (Some(rating), _) => {
            let warmth = match ambient < rating.limit {
                true => conductor_temperature(ambient, rating.limit, current, rating.ampacity),
                false => ambient,
            };
            let more = copper_factor(warmth) / copper_factor(ambient).max(f64::MIN_POSITIVE);
            (warmth, ohms * more, false)
        }
        (None, Some(stands)) if most => {
            let warmth = ambient.max(stands);
            let all = stretches.iter().map(|s| trade_resistance(gauge, s.length.value, warmth)).sum();
            (warmth, all, true)
        }
        (None, _) => (ambient, ohms, false),
    };
    DropTerm { conductor: id, current, warmth, at_most, resistance, drop: current * resistance }
}
