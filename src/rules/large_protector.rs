//! Breakers and fuses in; those that let more through than the thinnest wire behind them stands out.

use std::collections::BTreeSet;

use super::{Facts, Fault, Rule, Source, Verdict};
use crate::diag::{Severity, Span};
use crate::harness::{ConductorId, DeviceClass, DeviceId, Located};
use crate::parts::library::WirePartId;
use crate::quantity::{Current, Gauge};
use crate::trade::protection::largest_protector;
use crate::trade::thermocouple_colour::Alloy;
use crate::trade::wire_table::{InsulationClass, ampacity};

/// The rule.
pub static RULE: Rule = Rule {
    name: "large-protector",
    title: "A breaker or fuse is too large for a wire behind it",
    severity: Severity::Stop,
    why: "When that wire chafes through, it burns before the protector opens.",
    limit: "by Table 11-3 for the thinnest wire that the protector feeds, up to the loads; sizes between two rows as the \
            thinner row. Wire thinner than 22 AWG, which the table does not have: the protector opens before the rating \
            of the wire by Table 11-9 (par. 11-48)",
    source: Source::Document { document: "FAA AC 43.13-1B", place: "par. 11-48, Table 11-3" },
    remedy: "fit a smaller breaker or fuse, or thicker wire all the way to the load",
    check,
};

/// What a protector is: its rating, and whether it is a breaker.
fn protectors(class: &DeviceClass) -> impl Iterator<Item = (Located<Current>, bool)> {
    let (breaker, fuse) = match class {
        DeviceClass::Supply { breaker, fuse, .. } => (*breaker, *fuse),
        _ => (None, None),
    };
    breaker.into_iter().map(|b| (b, true)).chain(fuse.into_iter().map(|f| (f, false)))
}

fn check(facts: &Facts<'_>, verdict: &mut Verdict) {
    let h = facts.harness;
    for (i, device) in h.devices.iter().enumerate() {
        for (rating, is_breaker) in protectors(&device.class) {
            let mut over: Vec<(Current, &'static str, ConductorId)> = Vec::new();
            let mut beside = BTreeSet::new();
            for id in fed(facts, DeviceId::at(i)) {
                match largest(facts, id, is_breaker) {
                    Some((most, table)) if most < rating.value => over.push((most, table, id)),
                    Some(_) => {}
                    None => drop(beside.insert(h.conductor(id).gauge)),
                }
            }
            if let Some(gauge) = beside.first() {
                let reason = format!("the tables say nothing of {gauge} wire, which it feeds");
                verdict.not_judged(rating.span, &device.name, reason);
            }
            if !over.is_empty() {
                verdict.finds(fault(facts, DeviceId::at(i), rating, is_breaker, &over));
            }
        }
    }
}

/// Copper wires on the net of a supply, each once, in order.
fn fed(facts: &Facts<'_>, id: DeviceId) -> BTreeSet<ConductorId> {
    let h = facts.harness;
    let pins = h.pins_of(id).flat_map(|pin| facts.electrical.net(pin).pins.iter().copied());
    let wires = pins.flat_map(|pin| facts.electrical.conductors_at(pin).iter().copied());
    wires.filter(|c| !h.conductor(*c).drain && h.conductor(*c).alloy == Alloy::Copper).collect()
}

/// The largest protector of a wire, and by which table.
fn largest(facts: &Facts<'_>, id: ConductorId, is_breaker: bool) -> Option<(Current, &'static str)> {
    let c = facts.harness.conductor(id);
    match largest_protector(c.gauge) {
        Some(row) => {
            // The chart has no breaker for its two thickest sizes: those of the next thinner hold there.
            let thinner = || largest_protector(Gauge::Awg(2)).and_then(|row| row.breaker);
            let most = if is_breaker { row.breaker.or_else(thinner)? } else { row.fuse };
            Some((most, "Table 11-3"))
        }
        None => by_rating(facts, c.wire, c.gauge).map(|most| (most, "Table 11-9")),
    }
}

fn by_rating(facts: &Facts<'_>, wire: WirePartId, gauge: Gauge) -> Option<Current> {
    ampacity(gauge, InsulationClass::of_rating(facts.library.wires.get(wire).rated?)?)
}

fn fault(
    facts: &Facts<'_>,
    id: DeviceId,
    rating: Located<Current>,
    is_breaker: bool,
    over: &[(Current, &'static str, ConductorId)],
) -> Fault {
    let h = facts.harness;
    let units = h.header.units;
    let device = h.device(id);
    let what = if is_breaker { "breaker" } else { "fuse" };
    let Some((most, table, thinnest)) = over.iter().min_by_key(|(most, _, id)| (*most, *id)) else {
        return Fault::new("");
    };
    let gauge = h.conductor(*thinnest).gauge;
    let mut fault = Fault::new(format!(
        "`{}` is a {what} of {}; its thinnest wire, {gauge}, may have {} at most ({table})",
        device.name,
        rating.value.show(units),
        most.show(units),
    ))
    .at(rating.span, &device.name, format!("a {what} of {}", rating.value.show(units)));
    let mut named: BTreeSet<Span> = BTreeSet::new();
    for (most, _, id) in over {
        let (span, circuit) = facts.spot(*id);
        if named.insert(span) {
            let c = h.conductor(*id);
            fault =
                fault.at(span, circuit, format!("`{}`, {}: {} at most", c.mark, c.gauge, most.show(units)));
        }
    }
    fault.seen("a chafed wire that glows and burns the bundle while its protector holds")
}
