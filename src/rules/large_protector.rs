//! Breakers and fuses in; those that let more through than the thinnest wire behind them stands out.

use std::collections::BTreeSet;

use super::{Facts, Fault, Rule, Source, Verdict};
use crate::diag::{Severity, Span};
use crate::graph::Feed;
use crate::harness::{ConductorId, DeviceClass, DeviceId, Located};
use crate::quantity::{Current, Gauge, beside};
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
            switches; sizes between two rows as the thinner row. Any device with two wired pins of which its part says \
            nothing is taken as a closed switch: what only a wire behind one does not stand is a doubt. Wire thinner than 22 AWG, which the table does not have: the protector opens before the rating \
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

/// A wire that stands less than the protector lets through.
struct Over {
    id: ConductorId,
    /// The largest protector for it, and the table that says so.
    most: Current,
    table: &'static str,
    /// What is taken as a closed switch before it.
    switch: Option<DeviceId>,
}

fn check(facts: &Facts<'_>, verdict: &mut Verdict) {
    let h = facts.harness;
    for feed in facts.feeds {
        let device = h.device(feed.supply);
        for (rating, is_breaker) in protectors(&device.class) {
            let mut over: Vec<Over> = Vec::new();
            let mut open: Option<String> = None;
            for id in fed(facts, feed) {
                match largest(facts, id, is_breaker) {
                    Ok((most, table)) if most < rating.value => {
                        let switch = feed.behind.after.get(&h.conductor(id).from).copied();
                        over.push(Over { most, table, id, switch });
                    }
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
            // What no switch parts from it is sure; then the thinnest.
            if let Some(worst) = over.iter().min_by_key(|o| (o.switch.is_some(), o.most, o.id)) {
                verdict.finds(fault(facts, feed.supply, rating, is_breaker, worst, &over));
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
    most.map(|most| (most, "Table 11-3")).ok_or_else(|| no_row(c.gauge))
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
    ampacity(c.gauge, class).ok_or_else(|| no_row(c.gauge))
}

fn no_row(gauge: Gauge) -> String {
    format!("the tables have no row for {gauge} wire, which it feeds")
}

fn fault(
    facts: &Facts<'_>,
    id: DeviceId,
    rating: Located<Current>,
    is_breaker: bool,
    worst: &Over,
    over: &[Over],
) -> Fault {
    let h = facts.harness;
    let units = h.header.units;
    let device = h.device(id);
    let what = if is_breaker { "breaker" } else { "fuse" };
    let gauge = h.conductor(worst.id).gauge;
    let switch = worst.switch.map(|switch| h.device(switch));
    let behind =
        switch.map_or_else(String::new, |s| format!("behind `{}`, taken as a closed switch, ", s.name));
    let [rated, most] = beside(rating.value, worst.most, |current| current.show(units));
    let mut fault = Fault::new(format!(
        "`{}` is a {what} of {rated}; {behind}its thinnest wire, {gauge}, may have {most} at most ({})",
        device.name, worst.table,
    ))
    .at(rating.span, &device.name, format!("a {what} of {rated}"));
    if let Some(switch) = switch {
        let words = "its part says nothing of its pins (`links:`, `ports:`): taken as a closed switch";
        fault = fault.weighs(Severity::Doubt).at(switch.span, &switch.name, words);
    }
    let mut named: BTreeSet<Span> = BTreeSet::new();
    for Over { id, most, switch, .. } in over {
        let (span, circuit) = facts.spot(*id);
        if named.insert(span) {
            let c = h.conductor(*id);
            let behind = switch.map_or_else(String::new, |s| format!(", behind `{}`", h.device(s).name));
            let words = format!("`{}`, {}: {} at most{behind}", c.mark, c.gauge, most.show(units));
            fault = fault.at(span, circuit, words);
        }
    }
    fault.seen("a chafed wire that glows and burns the bundle while its protector holds")
}
