//! Resistances that hang on how hot it gets in a zone that does not say so, on rings, in; the network solved at their ends,
//! and what it says there taken together, out.
//!
//! A wire in such a zone lies between two resistances ([`super::conductor_ohms`]). Where nothing leads around it, what it
//! carries does not hang on it, and the network is solved once. On a ring it does. Every voltage and current is a Moebius
//! function of each such resistance, without a pole in between ([`crate::trade::network_unknown`] says why), so with all
//! but one of them held it only rises or only falls, and its extremes lie where each of them is at one of its ends: the
//! whole network is solved for all such choices, each with what drives current through its bonds as that is then. Rings with more such wires than [`MOST`] between them are taken as not
//! known instead. Each wire is taken by itself, though those of one zone are as warm as each other: the ends lie further
//! apart for it than they need.

use super::conductor_ohms::{NoResistance, unsaid};
use super::electrical::{Electrical, Through};
use super::ground_drop::Dropped;
use super::ground_network::GroundNetwork;
use super::ground_points::{Points, as_they_are};
use super::ground_probe::Shift;
use super::ground_range::Range;
use super::ground_sender::{Offset, Sender};
use super::ground_strap::{Strap, StrapOpen, worst_first};
use super::routing::Routing;
use crate::harness::{ConductorId, Harness};
use crate::parts::library::Library;

/// Wires that are tried at both their ends: sixteen networks.
const MOST: usize = 4;
/// Ends no further apart than this are one: what is left of the arithmetic.
const SAME: f64 = 1e-9;

/// Solves the network as often as it takes.
pub(super) fn solved(
    h: &Harness,
    library: &Library,
    routing: &Routing,
    electrical: &Electrical,
    once: impl Fn(Points) -> GroundNetwork,
) -> GroundNetwork {
    let of = |taken| Points::of(h, library, routing, electrical, taken);
    let points = of(as_they_are(h, library, routing));
    let open = points.loose_on_rings();
    let Some(first) = open.first() else { return once(points) };
    let all = points.ohms;
    if open.len() > MOST {
        let mut taken = all;
        for id in open {
            if let Some(unsaid) = unsaid(h, routing, id) {
                taken[id.index()] = Err(NoResistance::Open(unsaid));
            }
        }
        return once(of(taken));
    }
    let corner = |corner: usize| {
        let mut taken = all.clone();
        for (i, id) in open.iter().enumerate() {
            let at = |range: Range<_>| Range::of(if corner >> i & 1 == 1 { range.high } else { range.low });
            taken[id.index()] = taken[id.index()].map(at);
        }
        once(of(taken))
    };
    let mut made = corner(0);
    for other in (1..1_usize << open.len()).map(corner) {
        take_in(&mut made, other, Through::Conductor(*first));
    }
    made.ohms = all;
    made
}

/// Widens what is known to what another choice makes of it.
fn take_in(made: &mut GroundNetwork, other: GroundNetwork, open: Through) {
    for (phase, currents) in other.carried {
        for (known, current) in made.carried.entry(phase).or_default().iter_mut().zip(currents) {
            widen_known(known, current, open, |current| current.amps());
        }
    }
    for (phase, all) in other.across {
        for (known, volts) in made.across.entry(phase).or_default().iter_mut().zip(all) {
            match (known.as_mut(), volts) {
                (Some(known), Some(volts)) => widen(known, volts, open, |volts| volts.volts()),
                _ => *known = None,
            }
        }
    }
    for (known, drop) in made.drops.iter_mut().zip(other.drops) {
        widen_known(&mut known.known, drop.known, open, |dropped: &Dropped| dropped.total().volts());
    }
    for (known, sender) in made.senders.iter_mut().zip(other.senders) {
        take_in_sender(known, sender, open);
    }
    for (known, probe) in made.probes.iter_mut().zip(other.probes) {
        if let (Shift::Added { by, .. }, Shift::Added { by: others, .. }) = (&mut known.shift, probe.shift) {
            for ((_, known), (_, shift)) in by.iter_mut().zip(others) {
                widen_known(known, shift, open, |shift| shift.volts.volts());
            }
        }
    }
    for (known, strap) in made.straps.iter_mut().zip(other.straps) {
        if let (Strap::Around(known), Strap::Around(others)) = (known, strap) {
            known.iter_mut().zip(others).for_each(|(known, other)| take_in_strap(known, &other, open));
        }
    }
}

fn take_in_sender(known: &mut Sender, sender: Sender, open: Through) {
    if let (Some(known), Some(wire)) = (&mut known.wire, sender.wire) {
        widen(known, wire, open, |ohms| ohms.ohms());
    }
    for ((_, known), (_, offset)) in known.offsets.iter_mut().zip(sender.offsets) {
        // By the error, which hangs on the signal wire too; the lower end is that of the lower voltage all the same.
        let key = |offset: &Offset| offset.misread.map_or(offset.volts.volts(), |m| m.error.value());
        widen_known(known, offset, open, key);
        if let Ok(range) = known
            && range.low.volts > range.high.volts
        {
            (range.low, range.high) = (range.high, range.low);
        }
    }
}

/// What is surely too much is so whatever the resistances are; what is so for some of them only is told apart.
fn take_in_strap(known: &mut StrapOpen, other: &StrapOpen, open: Through) {
    known.open = Some(open);
    known.flows = known.flows.min(other.flows);
    known.around = known.around.max(other.around);
    known.gap = known.gap.min(other.gap);
    let of = |strap: &StrapOpen, id: ConductorId| strap.overloads.iter().find(|o| o.conductor == id).copied();
    let all = known.overloads.iter().chain(&other.overloads).map(|o| o.conductor);
    let mut perhaps: Vec<ConductorId> =
        all.filter(|id| of(known, *id).is_none() || of(other, *id).is_none()).collect();
    perhaps.append(&mut known.perhaps);
    perhaps.extend(&other.perhaps);
    perhaps.sort_unstable();
    perhaps.dedup();
    known.overloads.retain_mut(|o| match of(other, o.conductor) {
        Some(less) => {
            o.current = o.current.min(less.current);
            o.whole = o.whole.zip(less.whole).map(|(a, b)| a.min(b));
            true
        }
        None => false,
    });
    worst_first(&mut known.overloads);
    known.perhaps = perhaps;
}

fn widen_known<T: Clone, E>(
    known: &mut Result<Range<T>, E>,
    other: Result<Range<T>, E>,
    open: Through,
    size: impl Fn(&T) -> f64,
) {
    match (known.as_mut(), other) {
        (Ok(known), Ok(other)) => widen(known, other, open, size),
        (Ok(_), Err(why)) => *known = Err(why),
        (Err(_), _) => {}
    }
}

fn widen<T: Clone>(known: &mut Range<T>, other: Range<T>, open: Through, size: impl Fn(&T) -> f64) {
    let ends = [&known.low, &known.high, &other.low, &other.high];
    let least = ends.into_iter().min_by(|a, b| size(a).total_cmp(&size(b))).cloned();
    let most = ends.into_iter().max_by(|a, b| size(a).total_cmp(&size(b))).cloned();
    let (Some(low), Some(high)) = (least, most) else { return };
    known.open = known.open.or(other.open).or_else(|| (size(&high) - size(&low) > SAME).then_some(open));
    if known.open.is_some() {
        (known.low, known.high) = (low, high);
    }
}
