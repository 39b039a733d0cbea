//! Wire marks and the sleeves that carry them in; marks that are longer than their sleeve out.

use std::collections::BTreeMap;

use super::{Facts, Fault, Rule, Source, Verdict};
use crate::diag::Severity;
use crate::harness::{ConductorId, PinSite};
use crate::parts::library::CoveringPartId;
use crate::quantity::{Length, lengths_beside};

/// The rule.
pub static RULE: Rule = Rule {
    name: "long-mark",
    title: "A wire mark is longer than its sleeve",
    severity: Severity::Doubt,
    why: "A mark that runs off its sleeve is cut short by the printer, and wires whose marks differ at the end are then \
          marked alike.",
    limit: "letters of the mark times `mark-pitch:` of the shop, against the length of a piece of the marker sleeve that \
            goes over the wire",
    source: Source::Declared("the part: `piece:` of the sleeve; the spec: `mark-pitch:` of the shop"),
    remedy: "shorten the circuit's name in the pattern of `wire-marks:`, print smaller (`mark-pitch:`), or use a longer \
             sleeve from a part file of your own",
    check,
};

fn check(facts: &Facts<'_>, verdict: &mut Verdict) {
    let h = facts.harness;
    let pitch = h.shop.mark_pitch;
    // Of each circuit and sleeve, its longest mark: one finding for all of them.
    let mut long: BTreeMap<(u32, CoveringPartId), (Length, ConductorId, usize)> = BTreeMap::new();
    for id in h.conductor_ids() {
        let c = h.conductor(id);
        // A drain lead is marked where it is tied.
        let marked = [c.from, c.to].iter().any(|p| !matches!(h.pin(*p).site, PinSite::Screen(_)));
        let sleeve = facts.library.marker_sleeve_for(facts.library.wires.get(c.wire).insulation());
        let Some(sleeve) = sleeve.filter(|_| marked) else { continue };
        // Every marker sleeve says how long its pieces are; part files are held to it.
        let Some(piece) = facts.library.coverings.get(sleeve).piece else { continue };
        let length = pitch.value.times(c.mark.chars().count());
        if length > piece {
            let entry = long.entry((c.circuit.0, sleeve)).or_insert((length, id, 0));
            entry.2 += 1;
            if length > entry.0 {
                (entry.0, entry.1) = (length, id);
            }
        }
    }
    for ((_, sleeve), (length, id, count)) in &long {
        let part = facts.library.coverings.get(*sleeve);
        let units = facts.harness.header.units;
        let [length, piece] = lengths_beside(*length, part.piece.unwrap_or_default(), units);
        let (span, circuit) = facts.spot(*id);
        let mark = &h.conductor(*id).mark;
        let others = match count - 1 {
            0 => String::new(),
            1 => ", as is another of its circuit".to_owned(),
            n => format!(", as are {n} others of its circuit"),
        };
        let fault = Fault::new(format!(
            "the mark `{mark}` is {length} long and its sleeve `{}` {piece}{others}",
            facts.library.coverings.name(*sleeve)
        ))
        .at(
            span,
            circuit,
            format!("{} letters of {}", mark.chars().count(), pitch.value.show(units)),
        );
        let fault = match pitch.span {
            Some(span) => fault.limit(span, "length of a letter"),
            None => fault,
        };
        verdict.finds(
            fault.seen("two wires with the same mark on the bench, and one of them in the wrong cavity"),
        );
    }
}
