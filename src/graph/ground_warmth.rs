//! Resistances that hang on how hot it gets in a zone that does not say so, on rings, in; the network solved at their ends,
//! and what it says there taken together, out.
//!
//! A wire in such a zone lies between two resistances ([`super::conductor_ohms`]). Where nothing leads around it, what it
//! carries does not hang on it, and the network is solved once. On a ring it does, and the whole network is solved for every
//! choice of an end for each such wire.
//!
//! That tells between what something lies where, with all but one of them held, it only rises or only falls:
//!
//! - With currents given, every voltage and current is a Moebius function of each resistance, without a pole in between
//!   ([`crate::trade::network_unknown`] says why). So it is where a drive is at its limit throughout: a given voltage in the
//!   ring instead of a given current. A drive that is enough, or at its limit, or pushes nothing, at all choices is so in
//!   between. Where one is so at some choices only, what the ring does bends in between, and these wires are taken as not
//!   known at all instead. So are they where there are more of them than [`MOST`] on all rings together.
//! - What a wire drops rises with its current, so each term of a drop has its ends there; the whole drop lies within the
//!   sums of these.
//! - Once a bond opens, what drives current is V behind R = (V − U) / I ([`super::ground_drive`]), and U, and so R, hangs on
//!   these wires too. R is taken to be anything between the ends that it comes to. Where the bond's own drive is the only
//!   one of its ring, that moves each current by no more than I' ΔR / (R + P), with P what lies around the bond, for all of
//!   them scale with what is pushed, and the voltage from body to body by P times as much. So much is taken off what a strap
//!   does at least. Where there are several drives, or for offsets, it is not known.
//!
//! Each wire is taken by itself, though those of one zone are as warm as each other: the ends lie further apart for it than
//! they need.

use super::conductor_ohms::{NoResistance, unsaid};
use super::electrical::{Electrical, Through};
use super::ground_drop::{DropTerm, add_up};
use super::ground_network::{GroundNetwork, Phase, Scenario, Unsure};
use super::ground_points::{Points, as_they_are};
use super::ground_probe::Shift;
use super::ground_range::{Range, SAME};
use super::ground_sender::{Offset, Sender};
use super::ground_strap::{Strap, StrapOpen, worst_first};
use super::routing::Routing;
use crate::harness::{BondId, ConductorId, Harness};
use crate::parts::library::Library;
use crate::quantity::{Current, Resistance, Voltage};

/// Wires that are tried at both their ends: sixteen networks.
const MOST: usize = 4;

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
    if open.is_empty() {
        return once(points);
    }
    let all = points.ohms;
    if open.len() <= MOST {
        let corner = |corner: usize| {
            let mut taken = all.clone();
            for (i, id) in open.iter().enumerate() {
                let at =
                    |range: Range<_>| Range::of(if corner >> i & 1 == 1 { range.high } else { range.low });
                taken[id.index()] = taken[id.index()].map(at);
            }
            once(of(taken))
        };
        if let Some(mut made) = together((0..1_usize << open.len()).map(corner).collect(), &open) {
            made.ohms = all;
            add_up(h, library, &made.wires.ways, &made.wires.terms, &mut made.drops);
            return made;
        }
    }
    let mut taken = all;
    for id in open {
        if let Some(unsaid) = unsaid(h, routing, id) {
            taken[id.index()] = Err(NoResistance::Open(unsaid));
        }
    }
    once(of(taken))
}

/// What all choices say together; None where that does not say what lies in between.
fn together(mut corners: Vec<GroundNetwork>, open: &[ConductorId]) -> Option<GroundNetwork> {
    let bends = |other: &GroundNetwork| other.limited || states(other) != states(&corners[0]);
    if corners.iter().any(bends) {
        return None;
    }
    // Of a choice the first wire that is not as in the first choice: where something changes with it, that has changed with
    // this wire alone before, so each range names one that it does hang on, in its own ring.
    let moved =
        |corner: usize| Through::Conductor(open[(corner.trailing_zeros() as usize).min(open.len() - 1)]);
    let owns = Owns::of(&corners, moved);
    corners.iter_mut().for_each(|corner| owns.lessen(&mut corner.straps));
    let mut all = corners.into_iter();
    let mut made = all.next()?;
    for (i, other) in all.enumerate() {
        take_in(&mut made, other, moved(i + 1), owns.steady());
    }
    for strap in made.straps.iter_mut().filter(|_| !owns.steady()) {
        let unsure = |open: &StrapOpen| open.open.filter(|_| !open.alone);
        if let Strap::Around(opens) = &*strap
            && let Some(open) = opens.iter().find_map(unsure)
        {
            *strap = Strap::Unsure(Unsure::Resistance(open));
        }
    }
    Some(made)
}

/// Whether each drive is enough, and whether it pushes at all.
fn states(of: &GroundNetwork) -> Vec<Option<(bool, bool)>> {
    let all = of.driven.values().flatten();
    all.map(|driven| driven.map(|d| (d.drives == d.said, d.drives > Current::ZERO))).collect()
}

/// Between what the resistance of each drive's own lies, those of which it changes, and the first wire that changes it.
struct Owns(Vec<(BondId, Phase, [Resistance; 2], Through)>);

impl Owns {
    fn of(corners: &[GroundNetwork], moved: impl Fn(usize) -> Through) -> Owns {
        let mut found = Vec::new();
        let Some(first) = corners.first() else { return Owns(found) };
        for (phase, drives) in &first.driven {
            for bond in (0..drives.len()).map(BondId::at) {
                let own = |corner: &GroundNetwork| corner.driven(bond, *phase)?.own;
                let all: Vec<Resistance> = corners.iter().filter_map(own).collect();
                let (Some(least), Some(most)) = (all.iter().min(), all.iter().max()) else { continue };
                let differs = all.iter().position(|own| apart(own.ohms(), all[0].ohms()));
                if let Some(corner) = differs {
                    found.push((bond, *phase, [*least, *most], moved(corner)));
                }
            }
        }
        Owns(found)
    }

    /// True where no drive hangs on what is open.
    fn steady(&self) -> bool {
        self.0.is_empty()
    }

    /// Takes off the straps of a choice what it may be less for the drive of the bond.
    fn lessen(&self, straps: &mut [Strap]) {
        for (bond, phase, own, moved) in &self.0 {
            let Some(Strap::Around(opens)) = straps.get_mut(bond.index()) else { continue };
            opens.iter_mut().filter(|open| open.phase == *phase).for_each(|open| lessen(open, *own, *moved));
        }
    }
}

fn lessen(open: &mut StrapOpen, [least, most]: [Resistance; 2], moved: Through) {
    let share = (most - least).ohms() / (least + open.around).ohms().max(f64::MIN_POSITIVE);
    let less = open.flows.abs() * share;
    if less.amps() <= SAME {
        return;
    }
    open.open = open.open.or(Some(moved));
    open.flows = open.flows - less;
    open.gap = (open.gap - less * open.around).max(Voltage::ZERO);
    open.perhaps.extend(open.room.iter().filter(|(_, room)| *room < less).map(|(id, _)| *id));
    let perhaps = &mut open.perhaps;
    open.overloads.retain_mut(|o| {
        o.current = o.current - less;
        let surely = o.current > o.rating.ampacity;
        if !surely {
            perhaps.push(o.conductor);
        }
        surely
    });
}

/// Widens what is known to what another choice makes of it.
fn take_in(made: &mut GroundNetwork, other: GroundNetwork, open: Through, steady: bool) {
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
    // Nobody asks between what a drive lies: told only where it is the same.
    for (known, driven) in made.driven.values_mut().flatten().zip(other.driven.into_values().flatten()) {
        let same = known.zip(driven).is_some_and(|(a, b)| {
            let own = |d: Option<Resistance>| d.unwrap_or_default().ohms();
            !apart(a.drives.amps(), b.drives.amps())
                && !apart(a.lift.volts(), b.lift.volts())
                && !apart(own(a.own), own(b.own))
        });
        *known = known.filter(|_| same);
    }
    for (known, term) in made.wires.terms.iter_mut().zip(other.wires.terms) {
        take_in_term(known, term, open);
    }
    for (known, sender) in made.senders.iter_mut().zip(other.senders) {
        take_in_sender(known, sender, open, steady);
    }
    for (known, probe) in made.probes.iter_mut().zip(other.probes) {
        if let (Shift::Added { by, at_least, .. }, Shift::Added { by: others, at_least: of_other, .. }) =
            (&mut known.shift, probe.shift)
        {
            *at_least |= of_other;
            for ((_, known), (_, shift)) in by.iter_mut().zip(others) {
                widen_known(known, shift, open, |shift| shift.volts.volts());
            }
        }
    }
    for (known, strap) in made.straps.iter_mut().zip(other.straps) {
        if let (Strap::Around(known), Strap::Around(others)) = (known, strap) {
            known.iter_mut().zip(others).for_each(|(known, other)| take_in_strap(known, other, open));
        }
    }
}

fn apart(a: f64, b: f64) -> bool {
    (a - b).abs() > SAME
}

/// Wire by wire, so that what is lost on the way there and on the way back lies between the ends too.
fn take_in_term(known: &mut Option<Range<DropTerm>>, other: Option<Range<DropTerm>>, open: Through) {
    let (Some(range), Some(other)) = (known.as_mut(), other) else { return *known = None };
    let apart = |a: DropTerm, b: DropTerm| apart(a.drop.volts(), b.drop.volts());
    let changed = apart(range.low, other.low) || apart(range.high, other.high);
    if other.low.drop < range.low.drop {
        range.low = other.low;
    }
    if other.high.drop > range.high.drop {
        range.high = other.high;
    }
    range.open = range.open.or(other.open).or(changed.then_some(open));
}

fn take_in_sender(known: &mut Sender, sender: Sender, open: Through, steady: bool) {
    known.at_least |= sender.at_least;
    if let (Some(known), Some(wire)) = (&mut known.wire, sender.wire) {
        widen(known, wire, open, |ohms| ohms.ohms());
    }
    for ((scenario, known), (_, offset)) in known.offsets.iter_mut().zip(sender.offsets) {
        if let (Scenario::Open(..), false, Ok(a), Ok(b)) = (*scenario, steady, &*known, &offset)
            && a.ends().into_iter().zip(b.ends()).any(|(a, b)| apart(a.volts.volts(), b.volts.volts()))
        {
            *known = Err(Unsure::Resistance(open));
            continue;
        }
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
fn take_in_strap(known: &mut StrapOpen, other: StrapOpen, open: Through) {
    let mut changed = apart(known.flows.amps(), other.flows.amps())
        || apart(known.around.ohms(), other.around.ohms())
        || apart(known.gap.volts(), other.gap.volts())
        || known.above != other.above;
    known.flows = known.flows.min(other.flows);
    known.around = known.around.max(other.around);
    // Where it turns its sign it is nothing in between.
    known.gap = if known.above == other.above { known.gap.min(other.gap) } else { Voltage::ZERO };
    let mut perhaps: Vec<ConductorId> = std::mem::take(&mut known.perhaps);
    perhaps.extend(other.perhaps);
    let is_of = |strap: &StrapOpen, id: ConductorId| strap.overloads.iter().any(|o| o.conductor == id);
    perhaps.extend(other.overloads.iter().map(|o| o.conductor).filter(|id| !is_of(known, *id)));
    known.overloads.retain_mut(|o| {
        let same = other.overloads.iter().find(|less| less.conductor == o.conductor && less.along == o.along);
        match same {
            Some(less) => {
                let whole = |a: Option<Current>| a.unwrap_or_default().amps();
                changed |=
                    apart(o.current.amps(), less.current.amps()) || apart(whole(o.whole), whole(less.whole));
                o.current = o.current.min(less.current);
                o.whole = o.whole.zip(less.whole).map(|(a, b)| a.min(b));
            }
            None => perhaps.push(o.conductor),
        }
        same.is_some()
    });
    worst_first(&mut known.overloads);
    perhaps.sort_unstable();
    perhaps.dedup();
    changed |= !perhaps.is_empty();
    known.perhaps = perhaps;
    known.open = known.open.or(other.open).or(changed.then_some(open));
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
