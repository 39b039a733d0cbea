//! Solved network and loads in; the drop of each load that a feed of the spec serves, wire by wire, out.
//!
//! From the terminal of the feed to the load, and from the load to the body that takes its current, all loads drawing at
//! once. The copper of each wire is as warm as its zone at most, and warmer by its own current as AC 43.13-1B page 11-22
//! has it, where Table 11-9 gives it an ampacity. Where it gives none (a zone does not say how hot it gets, a size beside the
//! table, thinner air than it is for) the copper is no cooler than without a current, and no warmer than its insulation
//! stands: hotter than that is a finding of its own.

use super::conductor_ohms::stretches;
use super::electrical::{Point, Step, Through};
use super::ground_flows::ground_pin;
use super::ground_network::{GroundNetwork, Range, Solved, Unsure};
use super::ground_range::SAME;
use super::ground_tally::{Passed, Tally};
use super::ground_ways::Ways;
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
    pub known: Result<Range<Lost>, NoDrop>,
    /// True where a load of unknown size shares its wires: then it drops more than this.
    pub at_least: bool,
    /// A wire that its own current warms nobody knows how far, for its part does not say what its insulation stands: then it
    /// drops more than this too.
    pub unwarmed: Option<ConductorId>,
    way: Way,
}

impl Drop {
    /// The pin at the body that takes its current; None where none does.
    pub fn returns_at(&self) -> Option<PinId> {
        self.way.ends.ok()?;
        self.way.stretches.last().map(|[_, to]| *to)
    }

    /// Of a current that comes to no body, the last pin that it is known to come to; None where it is given at none.
    pub fn stops_at(&self) -> Option<PinId> {
        self.way.ends.is_err().then_some(self.way.last)?
    }
}

/// From the feed to the load; then from the load to the body, by way of powered devices.
#[derive(Clone, Debug)]
struct Way {
    stretches: Vec<[PinId; 2]>,
    /// The last pin that it is known to come to, after the load.
    last: Option<PinId>,
    ends: Result<(), NoDrop>,
}

/// What a load loses.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Lost {
    /// From the feed to the load.
    pub supply: Voltage,
    /// From the load to the body.
    pub back: Voltage,
}

impl Lost {
    /// All of it.
    pub fn total(&self) -> Voltage {
        self.supply + self.back
    }
}

/// What a load drops, wire by wire.
#[derive(Clone, Debug, Default)]
pub struct Dropped {
    /// Wires from the feed to the load, in order.
    pub supply: Vec<DropTerm>,
    /// Wires from the load to the body, in order.
    pub back: Vec<DropTerm>,
}

impl Dropped {
    /// All wires, in order.
    pub fn terms(&self) -> impl Iterator<Item = &DropTerm> {
        self.supply.iter().chain(&self.back)
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

/// The drop of each wire that a load's current takes, from its `from` to its `to`, by conductor; None of other wires, and
/// where it is not known. What a wire drops rises with its current, so the ends of the current give its ends; those of a
/// whole way lie within the sums of these.
pub(super) type Terms = Vec<Option<Range<DropTerm>>>;

/// What loads drop wire by wire, for those who ask.
#[derive(Clone, Debug, Default)]
pub(super) struct WireDrops {
    pub ways: Ways,
    pub terms: Terms,
}

/// What each wire drops, and the drops of all loads that are fed from a supply of the spec.
pub(super) fn drops(s: &Solved<'_, '_, '_>, loads: &[Load]) -> (Terms, Vec<Drop>) {
    let of_load = |(i, load): (usize, &Load)| {
        let Site::Pin(pin) = load.from else { return None };
        let feed = *s.outlets.feed.get(&s.points.local(pin))?;
        let back = match load.to {
            Site::Pin(pin) => Some(pin),
            Site::Inside(id) => ground_pin(s.h, s.electrical, id),
            Site::Machine => None,
        };
        let way = match load.current {
            None => Way { stretches: Vec::new(), last: None, ends: Err(NoDrop::Current) },
            Some(_) => way(s, [feed, pin], back),
        };
        let nets = [Some(pin), back].into_iter().flatten().map(|p| s.points.local(p));
        let at_least = nets.into_iter().any(|net| s.flows.unknown.contains(&net));
        let known = way.ends.map(|()| Range::of(Lost::default()));
        Some(Drop { load: i, feed, pin, known, at_least, unwarmed: None, way })
    };
    let mut drops: Vec<Drop> = loads.iter().enumerate().filter_map(of_load).collect();
    let mut terms: Terms = vec![None; s.h.conductors.len()];
    for id in on_ways(s.ways, &drops) {
        terms[id.index()] = own_term(s, id);
    }
    add_up(s.h, s.library, s.ways, &terms, &mut drops);
    (terms, drops)
}

/// The way of a load, as far as it goes.
fn way(s: &Solved, supply: [PinId; 2], back: Option<PinId>) -> Way {
    let mut way = Way { stretches: vec![supply], last: back, ends: Err(NoDrop::NoReturn) };
    let Some(mut from) = back else { return way };
    for _ in 0..4 {
        let net = s.points.local(from);
        if s.flows.stuck.contains(&net) {
            return way;
        }
        if let Some(body) = s.outlets.body.get(&net) {
            let contacts = &s.electrical.net(from).contacts;
            if let Some(contact) = contacts.iter().find(|c| c.body == *body) {
                way.stretches.push([from, contact.pin]);
                way.ends = Ok(());
            }
            return way;
        }
        let Some((outlet, ground)) = s.outlets.passes.get(&net) else { return way };
        way.stretches.push([from, *outlet]);
        from = *ground;
        way.last = Some(from);
    }
    way
}

/// Wires on the ways of loads. Where a way starts, ends and turns is counted, and the counts summed up towards the roots:
/// near-linear, however long the ways are.
fn on_ways(ways: &Ways, drops: &[Drop]) -> Vec<ConductorId> {
    let mut below = vec![0_i64; ways.order().len()];
    for [from, to] in drops.iter().flat_map(|drop| &drop.way.stretches) {
        let [from, to] = [*from, *to].map(Ways::knot);
        let Some(turn) = ways.turn(from, to) else { continue };
        for (node, count) in [(from, 1), (to, 1), (turn, -2)] {
            below[node.index()] += count;
        }
    }
    let mut wires = Vec::new();
    for node in ways.order().iter().rev() {
        let count = below[node.index()];
        let Some((above, through)) = ways.up(*node).filter(|_| count > 0) else { continue };
        below[above.index()] += count;
        if let Through::Conductor(id) = through {
            wires.push(id);
        }
    }
    wires
}

/// Adds up what the wires drop along the way of each load.
pub(super) fn add_up(
    h: &Harness,
    library: &Library,
    ways: &Ways,
    terms: &[Option<Range<DropTerm>>],
    drops: &mut [Drop],
) {
    let tally = Tally::of(h, library, ways, terms);
    for drop in drops {
        let passed: Result<Vec<Passed>, NoDrop> =
            drop.way.stretches.iter().map(|stretch| tally.between(*stretch)).collect();
        let known = passed.and_then(|passed| drop.way.ends.map(|()| passed));
        let passed = known.as_deref().unwrap_or_default();
        let (to, back) = passed.split_at(passed.len().min(1));
        let end = |of: fn(&Passed) -> Voltage| Lost {
            supply: to.iter().map(of).sum(),
            back: back.iter().map(of).sum(),
        };
        let range =
            Range { low: end(|p| p.low), high: end(|p| p.high), open: passed.iter().find_map(|p| p.open) };
        drop.unwarmed = (0..2).find_map(|end| passed.iter().find_map(|p| p.unwarmed[end]));
        drop.known = known.map(|_| range);
    }
}

/// What a wire drops from its `from` to its `to`. None where it is not known.
fn own_term(s: &Solved, id: ConductorId) -> Option<Range<DropTerm>> {
    let ohms = s.points.ohms[id.index()].ok()?.low;
    let current = s.current(None, id)?;
    // What drops most where a current goes against the way is what drops least along it.
    let end = |amps: Current, most: bool| term(s, id, amps, ohms, most == (amps >= Current::ZERO));
    let (low, high) = (end(current.low, false), end(current.high, true));
    let warmth = || ((high.drop - low.drop).volts() > SAME).then_some(Through::Conductor(id));
    Some(Range { low, high, open: current.open.or_else(warmth) })
}

impl GroundNetwork {
    /// What a load drops, wire by wire; None where its drop is not known. Costs the length of its way.
    pub fn dropped(&self, h: &Harness, drop: &Drop) -> Option<Range<Dropped>> {
        let known = drop.known.as_ref().ok()?;
        let mut range = Range { open: known.open, ..Range::of(Dropped::default()) };
        for (i, [from, to]) in drop.way.stretches.iter().enumerate() {
            let mut at = Point::Pin(*from);
            for Step { through, to } in self.wires.ways.way(*from, *to)? {
                if let Through::Conductor(id) = through {
                    let own = self.wires.terms.get(id.index()).copied().flatten()?;
                    let term = if at == Point::Pin(h.conductor(id).from) { own } else { against(own) };
                    for (end, term) in [(&mut range.low, term.low), (&mut range.high, term.high)] {
                        if i == 0 { end.supply.push(term) } else { end.back.push(term) }
                    }
                }
                at = to;
            }
        }
        Some(range)
    }
}

/// What is dropped along a wire that is passed from its `to` to its `from`. It is as warm: that asks how much
/// current flows, not which way.
pub(super) fn against(term: Range<DropTerm>) -> Range<DropTerm> {
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
