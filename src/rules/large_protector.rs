//! Breakers and fuses in; those that let more through than the thinnest wire behind them stands out.

use std::collections::BTreeSet;

use super::{Facts, Fault, Rule, Source, Verdict};
use crate::diag::{Severity, Span};
use crate::graph::Feed;
use crate::harness::{ConductorId, DeviceClass, DeviceId, Located};
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
    limit: "by Table 11-3 for the thinnest wire that the protector feeds, up to the loads, through links and closed \
            switches; sizes between two rows as the \
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
    for feed in facts.feeds {
        let device = h.device(feed.supply);
        for (rating, is_breaker) in protectors(&device.class) {
            let mut over: Vec<(Current, &'static str, ConductorId)> = Vec::new();
            let mut open: Option<String> = None;
            for id in fed(facts, feed) {
                match largest(facts, id, is_breaker) {
                    Ok((most, table)) if most < rating.value => over.push((most, table, id)),
                    Ok(_) => {}
                    Err(why) => drop(open.get_or_insert(why)),
                }
            }
            if let Some(reason) = open {
                verdict.not_judged(rating.span, &device.name, reason);
            }
            if let Some(switch) = feed.behind.unsure.first() {
                let switch = &h.device(*switch).name;
                let reason = format!(
                    "it feeds `{switch}`; whether what that gives comes from here is not said (`links:` of its part)"
                );
                verdict.not_judged(rating.span, &device.name, reason);
            }
            if !over.is_empty() {
                verdict.finds(fault(facts, feed.supply, rating, is_breaker, &over));
            }
        }
    }
}

/// Wires behind a supply while every switch is closed, each once, in order.
fn fed(facts: &Facts<'_>, feed: &Feed) -> BTreeSet<ConductorId> {
    let wires = feed.behind.pins.iter().flat_map(|pin| facts.electrical.conductors_at(*pin).iter().copied());
    wires.filter(|c| !facts.harness.conductor(*c).drain).collect()
}

/// The largest protector of a wire, and by which table; why there is none known, where it is not.
fn largest(facts: &Facts<'_>, id: ConductorId, is_breaker: bool) -> Result<(Current, &'static str), String> {
    let c = facts.harness.conductor(id);
    if c.alloy != Alloy::Copper {
        return Err(format!("it feeds `{}`, of {}; the tables are for copper", c.mark, c.alloy.name()));
    }
    let Some(row) = largest_protector(c.gauge) else {
        return by_rating(facts, id).map(|most| (most, "Table 11-9"));
    };
    // The chart has no breaker for its two thickest sizes: those of the next thinner hold there.
    let thinner = || largest_protector(Gauge::Awg(2)).and_then(|row| row.breaker);
    let most = if is_breaker { row.breaker.or_else(thinner) } else { Some(row.fuse) };
    most.map(|most| (most, "Table 11-3")).ok_or_else(|| beside(c.gauge))
}

fn by_rating(facts: &Facts<'_>, id: ConductorId) -> Result<Current, String> {
    let c = facts.harness.conductor(id);
    let name = facts.library.wires.name(c.wire);
    let Some(rated) = facts.library.wires.get(c.wire).rated else {
        return Err(format!(
            "it feeds {} wire, for which Table 11-9 asks what the insulation stands; `{name}` does not say (`rated:`)",
            c.gauge
        ));
    };
    let Some(class) = InsulationClass::of_rating(rated) else {
        let stands = rated.show(facts.harness.header.units);
        return Err(format!(
            "it feeds {} wire; the insulation of `{name}` stands {stands}, less than Table 11-9 has a column for",
            c.gauge
        ));
    };
    ampacity(c.gauge, class).ok_or_else(|| beside(c.gauge))
}

fn beside(gauge: Gauge) -> String {
    format!("the tables have no row for {gauge} wire, which it feeds")
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
