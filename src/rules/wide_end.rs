//! Ends that are to pass a hole finished in; shells, terminals and splices that do not pass its bore, out.

use std::collections::BTreeMap;

use super::{Facts, Fault, Rule, Source, Verdict};
use crate::diag::Severity;
use crate::graph::feeding::{Fed, LooseEnd, Piece, feed, loose_ends, piece};
use crate::graph::fitting::Fitting;
use crate::harness::{DeviceClass, Hole, HoleId};
use crate::quantity::lengths_beside;
use crate::spec::words::FedEnds;

/// The rule.
pub static RULE: Rule = Rule {
    name: "wide-end",
    title: "An end that is to pass a hole finished does not pass it",
    severity: Severity::Stop,
    why: "A connector that does not go through its hole is found on the day of fitting: it is cut off again, or the hole is filed out.",
    limit: "the bore of a hole with `feed: finished`, against the outline of shell, terminal or splice; where nothing is said, the crimp list has wide ends finished after feeding",
    source: Source::Declared("the spec: `feed: finished` and `bore:` of the hole; the part: its outline"),
    remedy: "write `feed: bare` and finish the end after feeding, break the circuits with an in-line connector, or have the hole enlarged by whoever answers for the structure",
    check,
};

fn is_finished(hole: &Hole) -> bool {
    hole.feed.is_some_and(|feed| feed.value == FedEnds::Finished)
}

fn check(facts: &Facts<'_>, verdict: &mut Verdict) {
    let h = facts.harness;
    if !h.holes.iter().any(is_finished) {
        return;
    }
    let ends = loose_ends(h, facts.library);
    let (_, fed) = feed(h, facts.library, facts.routing, &ends);
    let mut pieces: BTreeMap<(HoleId, Piece), Vec<(&LooseEnd, &Fed)>> = BTreeMap::new();
    for (end, fed) in ends.iter().zip(&fed) {
        for hole in fed.through.iter().map(|passage| passage.hole).filter(|id| is_finished(h.hole(*id))) {
            pieces.entry((hole, piece(h, end.pin))).or_default().push((end, fed));
        }
    }
    for ((hole, _), ends) in &pieces {
        judge(facts, h.hole(*hole), ends, verdict);
    }
}

/// One connector, terminal or splice at one hole.
fn judge(facts: &Facts<'_>, hole: &Hole, ends: &[(&LooseEnd, &Fed)], verdict: &mut Verdict) {
    let h = facts.harness;
    let units = h.header.units;
    // What holds the widest end decides.
    let Some((end, fed)) = ends.iter().max_by_key(|(_, fed)| fed.girth.finished) else { return };
    let (span, device) = facts.device_spot(end.pin);
    let known = ends.iter().all(|(_, fed)| fed.girth.finished.is_some());
    let (Some(bore), Some(wide), true) = (hole.bore, fed.girth.finished, known) else {
        let reason = match hole.bore {
            None => format!("`bore:` is not given, through which `{device}` is to go finished"),
            Some(_) => {
                format!("what the ends at `{device}` get is not known, which are to go through finished")
            }
        };
        verdict.not_judged(hole.span, &hole.name, reason);
        return;
    };
    let what = what(facts, end);
    let fault = if wide > bore.value {
        let [wide, bore] = lengths_beside(wide, bore.value, units);
        Fault::new(format!(
            "{what} is {wide} across; it is to go through hole `{}` finished, whose bore is {bore}",
            hole.name
        ))
        .at(hole.span, &hole.name, format!("bore {bore}"))
        .at(span, device, format!("{wide} across"))
    } else if !fed.whole {
        Fault::new(format!(
            "{what} is to go through hole `{}` finished, but some of its wires go another way",
            hole.name
        ))
        .at(hole.span, &hole.name, "only some of the wires go through here")
        .at(span, device, "its wires part")
        .mend("lead all of its wires through one hole (`through:`), or write `feed: bare` and finish it after feeding")
    } else {
        return;
    };
    let limit = hole.feed.map_or(hole.span, |feed| feed.span);
    verdict
        .finds(fault.limit(limit, "finished").seen("a connector that is cut off to get the wires through"));
}

/// `shell dsub-25-socket of GAUGE`.
fn what(facts: &Facts<'_>, end: &LooseEnd) -> String {
    let (h, library) = (facts.harness, facts.library);
    let device = h.device(h.pin(end.pin).device);
    let part = match &end.fitting {
        Fitting::Contact { shell, .. } => format!("shell `{}`", library.shells.name(*shell)),
        Fitting::Lug(part) => format!("terminal `{}`", library.lugs.name(*part)),
        Fitting::Joint(part) => format!("splice `{}`", library.splices.name(*part)),
        Fitting::OwnLead(_) | Fitting::Screen(_) | Fitting::Unknown { .. } => "the wire".to_owned(),
    };
    match device.class {
        DeviceClass::Splice { .. } => format!("{part} (`{}`)", device.name),
        _ => format!("{part} of `{}`", device.name),
    }
}
