//! Drops of the loads in; those above what bus and duty allow out.

use std::collections::{BTreeMap, BTreeSet};

use super::ground_words::{size, unsure};
use super::{Facts, Fault, Rule, Source, Verdict, contact_range};
use crate::diag::Severity;
use crate::graph::ground_limit::{Held, drop_held, is_contact, switches, undropped};
use crate::graph::ground_network::{Drop, DropTerm, Dropped, Lost, NoDrop, Range, regauged};
use crate::graph::{Unsure, duty_of, only_circuit_at};
use crate::harness::{Circuit, CircuitId, DeviceClass, PinId};
use crate::quantity::{Gauge, Voltage, beside};
use crate::trade::voltage_drop::{AllowedDrop, allowed_drop};
use crate::trade::wire_table::{resistance_at_20, table_gauges};

/// The rule.
pub static RULE: Rule = Rule {
    name: "drop-over-limit",
    title: "A load gets too little of the bus voltage",
    severity: Severity::Doubt,
    why: "Lamps are dim, relays chatter and an indicator restarts when the bus sags: the wire takes what the load needs.",
    limit: "the drop from the feed to the load and back to the body, all loads on, the copper as warm as its \
            zones and its current make it: by bus voltage and duty. Where a zone does not say how hot it gets, from 20 °C \
            (common practice, no source) to what the insulation stands, and not judged where the verdict hangs on it. What lies behind a \
            switch or relay is not judged; any device with two wired pins of which its part says nothing counts as one",
    source: Source::Document { document: "FAA AC 43.13-1B CHG 1", place: "Table 11-6 and par. 11-66" },
    remedy: "take thicker wire, or a shorter way",
    check,
};

/// Loads of one feed, and of one return, that are told wire by wire: those that lose the most. What mends them mends most of
/// the others, and each of these passes as many wires as there are loads where they are fed one from the other.
const WORST: usize = 6;

/// Circuits of a way that are named one by one: a way from load to load passes as many as there are loads.
const TOLD: usize = 6;

/// Wires of the longest way for which a gauge is sought: each is asked in each gauge, and what many loads share in a chain
/// wants feeds of its own sooner than thicker wire. The rule's own remedy stands then.
const LONG: usize = 60;

/// A load that loses too much.
struct Over<'f> {
    drop: &'f Drop,
    lost: Range<Lost>,
    circuit: &'f Circuit,
    allowed: AllowedDrop,
}

fn check(facts: &Facts<'_>, verdict: &mut Verdict) {
    let h = facts.harness;
    let mut over: Vec<Over> = Vec::new();
    let switches = switches(facts.feeds);
    behind_switches(facts, verdict);
    let mut own: BTreeMap<PinId, Option<CircuitId>> = BTreeMap::new();
    for drop in &facts.ground.drops {
        let Some(wire) = facts.electrical.conductors_at(drop.pin).first() else {
            let (span, name) = facts.device_spot(drop.pin);
            let reason = format!("`{}` is fed over no wire of its own", facts.pin_name(drop.pin));
            verdict.not_judged(span, name, reason);
            continue;
        };
        let (span, name) = facts.spot(*wire);
        let circuit = facts.circuit_of(*wire);
        if is_contact(h, &switches, drop.pin) {
            let pin = facts.pin_name(drop.pin);
            let reason = format!(
                "`{pin}` is taken as a contact of a closed switch, for its part says nothing of it; what it takes itself \
                 is not known (`ports:` or `links:` of its part)"
            );
            verdict.not_judged(span, name, reason);
            continue;
        }
        let Some(supply) = h.header.supply else {
            verdict.not_judged(span, name, "the supply voltage is not given (`supply:` of the harness)");
            continue;
        };
        let own = *own.entry(drop.feed).or_insert_with(|| only_circuit_at(h, facts.electrical, drop.feed));
        let duty = duty_of(h, facts.electrical, drop.pin, own);
        let Some(allowed) = allowed_drop(supply.value, duty) else {
            let reason = format!("no drop is allowed for a bus of {}", supply.value);
            verdict.not_judged(span, name, reason);
            continue;
        };
        match &drop.known {
            Ok(known) => match drop_held(known, allowed.drop, drop) {
                Held::Over => over.push(Over { drop, lost: *known, circuit, allowed }),
                Held::Open(through) => {
                    verdict.not_judged(span, name, unsure(facts, Unsure::Resistance(through)));
                }
                Held::AtLeast => {
                    let pin = facts.pin_name(drop.pin);
                    let reason =
                        format!("a load of unknown current shares the wires of `{pin}` (`current:`)");
                    verdict.not_judged(span, name, reason);
                }
                Held::Unwarmed(wire) => {
                    let c = h.conductor(wire);
                    let reason = format!(
                        "how far its current warms wire `{}` is not known: `{}` does not say what its insulation stands \
                         (`rated:`)",
                        c.mark,
                        facts.library.wires.name(c.wire)
                    );
                    verdict.not_judged(span, name, reason);
                }
                Held::Within => {}
            },
            Err(NoDrop::Current) => {
                let pin = facts.pin_name(drop.pin);
                verdict.not_judged(span, name, format!("nobody says what `{pin}` takes (`current:`)"));
            }
            Err(NoDrop::NoReturn) => verdict.not_judged(span, name, no_return(facts, drop)),
            Err(NoDrop::Unsure(why)) => verdict.not_judged(span, name, unsure(facts, *why)),
        }
    }
    let worse = worse(&over);
    for (one, worse) in over.iter().zip(worse) {
        verdict.finds(match worse {
            None => in_full(facts, one),
            Some((at, worst)) => in_short(facts, one, at, &over[worst]),
        });
    }
}

/// What loads have in common.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum End {
    /// The terminal that feeds them.
    Feed,
    /// The pin at which their current comes back to a body.
    Return,
}

/// Of each load: None where it is one of the worst at both its ends; otherwise the end where it is not, and the worst there.
fn worse(over: &[Over]) -> Vec<Option<((End, PinId), usize)>> {
    let mut at: BTreeMap<(End, PinId), Vec<usize>> = BTreeMap::new();
    for (i, one) in over.iter().enumerate() {
        let ends = [Some((End::Feed, one.drop.feed)), one.drop.returns_at().map(|pin| (End::Return, pin))];
        for end in ends.into_iter().flatten() {
            at.entry(end).or_default().push(i);
        }
    }
    let mut worse = vec![None; over.len()];
    for (end, mut all) in at {
        let too_much = |i: &usize| over[*i].lost.low.total() - over[*i].allowed.drop;
        all.sort_by_key(|i| (std::cmp::Reverse(too_much(i)), *i));
        for i in all.iter().skip(WORST) {
            worse[*i] = worse[*i].or(Some((end, all[0])));
        }
    }
    worse
}

/// Why a current comes back to no body. A switch in the return is a device of which the part says nothing.
fn no_return(facts: &Facts<'_>, drop: &Drop) -> String {
    let h = facts.harness;
    let pin = facts.pin_name(drop.pin);
    let silent = |p: &&PinId| {
        let fitted =
            matches!(h.device(h.pin(**p).device).class, DeviceClass::Equipment | DeviceClass::Sensor);
        fitted && h.pin(**p).port.is_none() && !facts.electrical.conductors_at(**p).is_empty()
    };
    match drop.stops_at().and_then(|at| facts.electrical.net(at).pins.iter().find(silent)) {
        Some(at) => format!(
            "the current of `{pin}` goes on into `{}`, of which its part says nothing; whether it comes back over that, \
             and what drops there, is not known (`links:` of its part)",
            facts.pin_name(*at)
        ),
        None => format!("the current of `{pin}` comes back to no body"),
    }
}

/// The drop over a switch is not in the spec, so that of what lies behind it is not known.
fn behind_switches(facts: &Facts<'_>, verdict: &mut Verdict) {
    let h = facts.harness;
    let drops = &facts.ground.drops;
    for open in undropped(h, facts.electrical, facts.feeds, facts.currents.loads(), drops) {
        let Some(wire) = facts.electrical.conductors_at(open.pin).first() else { continue };
        let (span, name) = facts.spot(*wire);
        let told = facts.pin_name(open.pin);
        let names: Vec<String> = open.over.iter().map(|s| format!("`{}`", h.device(*s).name)).collect();
        let over = if names.len() == 1 { "that" } else { "these" };
        let names = names.join(" and ");
        let reason = match open.sure {
            true => format!("`{told}` is fed through {names}; what drops over {over} is not known"),
            false => format!(
                "`{told}` is fed through {names}; from which of its feeds, and what drops over it, is not known (`links:` of \
                 its part)"
            ),
        };
        verdict.not_judged(span, name, reason);
    }
}

/// What it loses, and where.
fn sentence(facts: &Facts, over: &Over) -> Fault {
    let h = facts.harness;
    // Where something is left open, what it drops at least is what is told.
    let Range { low: lost, open, .. } = over.lost;
    let least = if open.is_some() { "at least " } else { "" };
    let pin = facts.pin_name(over.drop.pin);
    let parts = format!("{} in the feed, {} in the return", size(h, lost.supply), size(h, lost.back));
    let [total, most] = beside(lost.total(), over.allowed.drop, |volts| size(h, volts));
    let fault = Fault::new(match none_left(facts, over) {
        None => format!("`{pin}` loses {least}{total} on its wires ({parts}), {most} is allowed"),
        Some(supply) => format!(
            "`{pin}` cannot work: with its current its wires would take all of the {} ({parts}), {most} is allowed",
            supply.show(h.header.units),
        ),
    });
    fault.at(over.circuit.span, &over.circuit.name, format!("feeds `{pin}`"))
}

/// The supply voltage, where the wires would take all of it.
fn none_left(facts: &Facts, over: &Over) -> Option<Voltage> {
    let supply = facts.harness.header.supply?.value;
    (supply <= over.lost.low.total()).then_some(supply)
}

/// Where it comes from, what is allowed, and what is left of it.
fn at_the_feed(facts: &Facts, over: &Over, mut fault: Fault) -> Fault {
    let h = facts.harness;
    let pin = facts.pin_name(over.drop.pin);
    let feed = h.device(h.pin(over.drop.feed).device);
    fault = fault.at(feed.span, &feed.name, "fed from here");
    let lost = over.lost.low.total();
    if let Some(supply) = h.header.supply {
        let [_, most] = beside(lost, over.allowed.drop, |volts| size(h, volts));
        fault = fault.limit(supply.span, format!("allows {most} by {}", over.allowed.source()));
    }
    let left = h.header.supply.map_or(Voltage::ZERO, |v| v.value - lost);
    fault.seen(match none_left(facts, over) {
        Some(_) => format!("`{pin}` does not work: its wires leave nothing of the bus voltage"),
        None => format!("{} at `{pin}` with everything on", size(h, left)),
    })
}

/// A load among many: what it loses, and which of those it shares a feed or return with to mend first.
fn in_short(facts: &Facts, over: &Over, (end, at): (End, PinId), worst: &Over) -> Fault {
    let name = facts.device_spot(at).1;
    let shares = match end {
        End::Feed => format!("of what `{name}` feeds"),
        End::Return => format!("of what comes back at `{name}`"),
    };
    let worst = facts.pin_name(worst.drop.pin);
    let fault = at_the_feed(facts, over, sentence(facts, over));
    fault.mend(format!("mend `{worst}` first, which loses the most {shares}; then check again"))
}

fn in_full(facts: &Facts, over: &Over) -> Fault {
    let h = facts.harness;
    let mut fault = sentence(facts, over);
    // Where something is left open, what mends it mends the most.
    let Some(Range { low: known, high, open }) = facts.ground.dropped(h, over.drop) else {
        return at_the_feed(facts, over, fault);
    };
    let by_circuit = by_circuit(facts, &known);
    let takes: Vec<&(CircuitId, Voltage)> =
        by_circuit.iter().filter(|(_, volts)| *volts > Voltage::ZERO).collect();
    let (told, rest) = takes.split_at(takes.len().min(TOLD));
    for (id, volts) in told {
        let circuit = h.circuit(*id);
        fault = fault.at(circuit.span, &circuit.name, format!("{} of it", size(h, *volts)));
    }
    if let Some((id, _)) = rest.first() {
        let circuit = h.circuit(*id);
        let volts = rest.iter().map(|(_, volts)| *volts).sum();
        let words = match rest.len() {
            1 => format!("{} of it", size(h, volts)),
            n => format!("{} of it with {} more", size(h, volts), n - 1),
        };
        fault = fault.at(circuit.span, &circuit.name, words);
    }
    fault = at_the_feed(facts, over, fault);
    let list = |circuits: &[CircuitId]| listed(circuits.iter().map(|id| h.circuit(*id).name.as_str()));
    match thicker(facts, &high, &by_circuit, over.allowed.drop) {
        Mend::Gauge { circuits, gauge, total: Some(total) } => {
            let then = size(h, total);
            let most = if open.is_some() { "at most " } else { "" };
            fault.mend(format!("make {} {gauge} or thicker: then {most}{then} are lost", list(&circuits)))
        }
        Mend::Gauge { circuits, gauge, total: None } => fault.mend(format!(
            "make {} {gauge} at least, then check again: the current divides, and more of it takes the thicker wire",
            list(&circuits)
        )),
        Mend::NoContact { circuits, gauge } => fault.mend(format!(
            "take a shorter way, a second wire on pins of its own, or a part with larger contacts: what holds the ends \
             of {} takes no {gauge}",
            list(&circuits)
        )),
        Mend::None => fault,
    }
}

/// Names in quotes: `A`, `B` and `C`; of many the first ones, and how many more there are.
fn listed<'n>(names: impl ExactSizeIterator<Item = &'n str>) -> String {
    let few = if names.len() > TOLD + 1 { TOLD } else { names.len() };
    let more = (names.len() > few).then(|| format!("{} more", names.len() - few));
    let names: Vec<String> = names.take(few).map(|name| format!("`{name}`")).chain(more).collect();
    match names.split_last() {
        Some((last, before)) if !before.is_empty() => format!("{} and {last}", before.join(", ")),
        _ => names.concat(),
    }
}

/// What each circuit drops, most first.
fn by_circuit(facts: &Facts, known: &Dropped) -> Vec<(CircuitId, Voltage)> {
    let mut sums: BTreeMap<CircuitId, Voltage> = BTreeMap::new();
    for term in known.terms() {
        *sums.entry(facts.harness.conductor(term.conductor).circuit).or_default() += term.drop;
    }
    let mut sums: Vec<(CircuitId, Voltage)> = sums.into_iter().collect();
    sums.sort_by_key(|(id, volts)| (std::cmp::Reverse(*volts), *id));
    sums
}

/// What thicker wire does for a load.
enum Mend {
    /// These circuits in this gauge; what is lost then, where the currents stay as they are.
    Gauge { circuits: Vec<CircuitId>, gauge: Gauge, total: Option<Voltage> },
    /// This gauge would do, but no part takes it at an end of these circuits.
    NoContact { circuits: Vec<CircuitId>, gauge: Gauge },
    /// No gauge of the table does.
    None,
}

/// The thinnest gauge of the table that mends it where every thinner circuit of the way gets it whose ends can be
/// held, and those circuits. Each wire as warm as its current makes one of that gauge.
fn thicker(facts: &Facts, known: &Dropped, by_circuit: &[(CircuitId, Voltage)], allowed: Voltage) -> Mend {
    let h = facts.harness;
    let terms: Vec<&DropTerm> = known.terms().collect();
    if terms.len() > LONG {
        return Mend::None;
    }
    let ohms = |gauge| resistance_at_20(gauge).0.ohms_per_metre();
    let circuit = |term: &DropTerm| h.conductor(term.conductor).circuit;
    let thinner = |term: &DropTerm, gauge| ohms(gauge) < ohms(h.conductor(term.conductor).gauge);
    let held = |id: CircuitId, gauge: Gauge| {
        let own = terms.iter().filter(|term| circuit(term) == id);
        own.into_iter().all(|term| contact_range::takes(facts, term.conductor, gauge))
    };
    let with = |gauge: Gauge, changed: &BTreeSet<CircuitId>| -> Voltage {
        let drop = |term: &&DropTerm| match changed.contains(&circuit(term)) && thinner(term, gauge) {
            true => regauged(h, facts.library, facts.routing, term, gauge).drop,
            false => term.drop,
        };
        terms.iter().map(drop).sum()
    };
    let mut unheld: Option<(Vec<CircuitId>, Gauge)> = None;
    for gauge in table_gauges() {
        let all: BTreeSet<CircuitId> =
            terms.iter().filter(|term| thinner(term, gauge)).map(|term| circuit(term)).collect();
        if with(gauge, &all) > allowed {
            continue;
        }
        let (can, cannot): (BTreeSet<CircuitId>, BTreeSet<CircuitId>) =
            all.into_iter().partition(|id| held(*id, gauge));
        let in_order = |of: &BTreeSet<CircuitId>| {
            by_circuit.iter().map(|(id, _)| *id).filter(|id| of.contains(id)).collect::<Vec<_>>()
        };
        let total = with(gauge, &can);
        if total <= allowed {
            let divides = terms
                .iter()
                .any(|term| can.contains(&circuit(term)) && facts.currents.may_divide(term.conductor));
            let total = (!divides).then_some(total);
            return Mend::Gauge { circuits: in_order(&can), gauge, total };
        }
        unheld.get_or_insert((in_order(&cannot), gauge));
    }
    unheld.map_or(Mend::None, |(circuits, gauge)| Mend::NoContact { circuits, gauge })
}
