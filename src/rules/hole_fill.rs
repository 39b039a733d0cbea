//! What lies in each hole in; holes whose wires do not fit the bore, or take more of its area than they may, out.

use super::{Facts, Fault, Rule, Source, Verdict};
use crate::diag::Severity;
use crate::graph::Bundle;
use crate::harness::{Hole, HoleId, Located};
use crate::quantity::{Length, Units, beside};

/// The rule.
pub static RULE: Rule = Rule {
    name: "hole-fill",
    title: "The wires in a hole do not fit it, or fill it past its limit",
    severity: Severity::Stop,
    why: "Wires that are forced through a hole are chafed by its lining, and a hole without room around them cannot be sealed against fire and fumes.",
    limit: "`max-fill:` of the hole for the share of its area; its bore for the wires packed as tightly as they go; conductors of other harnesses count where `others-outside:` tells their size",
    source: Source::Declared(
        "the spec: `bore:` and `max-fill:` of the hole; a bundle laid by hand is never thinner than the tightest packing",
    ),
    remedy: "lead a circuit through another hole (`through:`), take thinner wire, or have the hole enlarged by whoever answers for the structure",
    check,
};

fn check(facts: &Facts<'_>, verdict: &mut Verdict) {
    let units = facts.harness.header.units;
    for (i, hole) in facts.harness.holes.iter().enumerate() {
        let own = facts.bundles.hole(HoleId::at(i));
        if own.strands.is_empty() {
            continue;
        }
        let Some(bore) = hole.bore else {
            verdict.not_judged(hole.span, &hole.name, "`bore:` of this hole is not given");
            continue;
        };
        let all = facts.bundles.hole_with_others(HoleId::at(i));
        if !all.fits(bore.value) {
            verdict.finds(too_thick(hole, all, bore, units));
        } else if let Some(fault) = too_full(hole, all, bore, units) {
            verdict.finds(fault);
        } else if let Some(reason) = unknown(facts, hole, own) {
            verdict.not_judged(hole.span, &hole.name, reason);
        }
    }
}

/// `4 wires and cables`, others included.
fn strands(all: &Bundle) -> String {
    match all.diameters.len() {
        1 => "1 wire or cable".to_owned(),
        n => format!("{n} wires and cables"),
    }
}

fn too_thick(hole: &Hole, all: &Bundle, bore: Located<Length>, units: Units) -> Fault {
    // Where the area alone decides, nothing is packed.
    let least = all.at_least();
    let (least, how) = if least > bore.value {
        (least, "side by side, they take")
    } else {
        (all.diameter(), "packed as tightly as was found, they take")
    };
    let shown = |length: Length| length.show(units);
    Fault::new(format!(
        "the {} in hole `{}` do not fit its bore of {}: {how} {}",
        strands(all),
        hole.name,
        shown(bore.value),
        shown(least)
    ))
    .at(hole.span, &hole.name, format!("{} at least", shown(least)))
    .limit(bore.span, format!("bore {}", shown(bore.value)))
    .seen("wires that do not go through, or insulation cut at the lining")
}

fn too_full(hole: &Hole, all: &Bundle, bore: Located<Length>, units: Units) -> Option<Fault> {
    let (limit, fill) = (hole.max_fill?, all.fill(bore.value)?);
    if fill <= limit.value {
        return None;
    }
    let shown = |length: Length| length.show(units);
    let room = match all.spare(bore.value) {
        Some(spare) => format!(", room for one more of {}", shown(spare)),
        None => String::new(),
    };
    let [filled, most] = beside(fill, limit.value, |share| share.show(units));
    let fault = Fault::new(format!(
        "hole `{}` is filled to {} of its area; it may be filled to {}",
        hole.name, filled, most
    ))
    .at(hole.span, &hole.name, format!("{} in {}{room}", strands(all), shown(bore.value)))
    .limit(limit.span, format!("at most {most}"))
    .seen("chafed insulation at the lining, and a seal that does not close");
    Some(fault)
}

/// What lies in the hole and is of unknown thickness.
fn unknown(facts: &Facts<'_>, hole: &Hole, own: &Bundle) -> Option<String> {
    if hole.others > 0 && hole.others_outside.is_none() {
        let n = hole.others;
        let who = if n == 1 { "the conductor".to_owned() } else { format!("the {n} conductors") };
        return Some(format!("the size of {who} of other harnesses in it is not given (`others-outside:`)"));
    }
    let lead = own.leads.first()?;
    let name = &facts.harness.device(*lead).name;
    Some(format!("how thick the own leads of `{name}` in it are is not known"))
}
