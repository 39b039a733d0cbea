//! Bends of runs and places in; bends that are tighter than the thickest wire in them allows out.

use super::{Facts, Fault, Rule, Source, Verdict};
use crate::diag::Severity;
use crate::graph::{LeastBend, LeastBends, bent_places};
use crate::harness::{ConductorId, Located};
use crate::quantity::{Length, lengths_beside};

/// The rule.
pub static RULE: Rule = Rule {
    name: "tight-bend",
    title: "A bundle is bent more tightly than its thickest wire allows",
    severity: Severity::Stop,
    why: "Bent too tightly, insulation cracks on the outside and creeps on the inside, and strands break.",
    limit: "`bend:` of a run or place, the inside radius: 10 times the outside diameter of the largest wire or cable that \
            is bent there, of whatever kind (TM 1-1500-204-23-4: a stop below it); where thermocouple wire is among \
            them, 20 times the outside diameter of the largest of that as well, unless its maker says otherwise (FAA AC \
            43.13-1B par. 11-96, from memory: a doubt below it). The larger radius holds. A run that does not say its \
            bends is not found here: the install sheet names the radius to keep",
    source: Source::Document { document: "TM 1-1500-204-23-4", place: "item (27)" },
    remedy: "lead the bundle round a wider bend",
    check,
};

fn check(facts: &Facts<'_>, verdict: &mut Verdict) {
    let h = facts.harness;
    for (run, inside) in h.runs.iter().zip(&facts.routing.in_run) {
        if let Some(bend) = run.bend {
            judge(facts, Bent { what: "on run", name: &run.name, bend }, inside, verdict);
        }
    }
    for (id, inside) in bent_places(h, facts.routing) {
        let place = h.place(id);
        if let Some(bend) = place.bend {
            judge(facts, Bent { what: "at place", name: &place.name, bend }, &inside, verdict);
        }
    }
}

/// What is bent.
struct Bent<'a> {
    what: &'static str,
    name: &'a str,
    bend: Located<Length>,
}

fn judge(facts: &Facts<'_>, bent: Bent<'_>, inside: &[ConductorId], verdict: &mut Verdict) {
    let Some(least) = LeastBends::of(facts.harness, facts.library, inside) else { return };
    let radius = bent.bend.value;
    let units = facts.harness.header.units;
    let wider = least.thermocouple.filter(|couple| radius < couple.radius.value);
    if radius < least.any.radius.value {
        let mut fault = fault(facts, &bent, &least.any, "wire or cable");
        if let Some(couple) = wider {
            fault = fault.mend(format!(
                "lead the bundle round a wider bend: the thermocouple wire `{}` in it wants {}, {} times its {}, where \
                 its maker says nothing else; {}",
                couple.strand.name(facts.harness),
                couple.radius.value.show(units),
                couple.times(),
                couple.outside.show(units),
                couple.radius.source(),
            ));
        }
        verdict.finds(fault);
    } else if let Some(couple) = wider {
        verdict.finds(
            fault(facts, &bent, &couple, "thermocouple wire")
                .weighs(Severity::Doubt)
                .by(couple.radius.source())
                .mend(format!(
                    "ask the maker of the wire, or lead the bundle round a wider bend; it keeps the {} of any wire, {} \
                     times the {} of `{}`",
                    least.any.radius.value.show(units),
                    least.any.times(),
                    least.any.outside.show(units),
                    least.any.strand.name(facts.harness),
                )),
        );
    }
}

fn fault(facts: &Facts<'_>, bent: &Bent<'_>, least: &LeastBend, kind: &str) -> Fault {
    let h = facts.harness;
    let units = h.header.units;
    let name = least.strand.name(h);
    let [bend, radius] = lengths_beside(bent.bend.value, least.radius.value, units);
    let mut fault = Fault::new(format!(
        "the bundle is bent to {} {} `{}`; its thickest {kind}, `{name}`, needs {}, {} times its {}",
        bend,
        bent.what,
        bent.name,
        radius,
        least.times(),
        least.outside.show(units)
    ))
    .at(bent.bend.span, bent.name, format!("radius {bend}"));
    if let Some(conductor) = least.strand.conductor(h) {
        let (span, circuit) = facts.spot(conductor);
        fault = fault.at(span, circuit, format!("`{name}` is {} thick", least.outside.show(units)));
    }
    fault.seen("a wire that breaks inside its insulation, and a reading that comes and goes")
}
