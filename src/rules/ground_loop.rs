//! Loops of the electrical graph in; a finding for each, with its way spelled out.

use super::{Facts, Fault, Rule, Source, Verdict};
use crate::diag::Severity;
use crate::graph::{GroundLoop, Point, Through};
use crate::harness::PinSite;

/// The rule.
pub static RULE: Rule = Rule {
    name: "ground-loop",
    title: "Ground current can flow in a loop",
    severity: Severity::Stop,
    why: "Part of what the alternator and the starter send through the engine strap takes the way through the harness: it \
          shifts the readings, and if the strap comes loose, all of it takes that way and burns the wire.",
    limit: "from any point of the harness one way leads to the bodies, and a screen is tied at one end",
    source: Source::Physics("Kirchhoff's laws: current divides between parallel ways"),
    remedy: "open the loop at one place: ground this at one point only",
    check,
};

fn check(facts: &Facts<'_>, verdict: &mut Verdict) {
    let h = facts.harness;
    for found in facts.ground_loops {
        let mut fault = Fault::new(format!("ground current can flow in a loop: {}", spell(facts, found)));
        let mut screened = false;
        // Drain leads come last of all conductors, and what was added last is the likeliest to be one too many.
        let mut conductors = found.conductors.clone();
        conductors.sort_unstable_by(|a, b| b.cmp(a));
        for conductor in &conductors {
            let c = h.conductor(*conductor);
            screened |= [c.from, c.to].iter().any(|p| matches!(h.pin(*p).site, PinSite::Screen(_)));
            let (span, circuit) = facts.spot(*conductor);
            fault = fault.at(span, circuit, format!("`{}` is part of it", c.mark));
        }
        for step in &found.steps {
            if let Through::Case(device) = step.through {
                let device = h.device(device);
                let body = device.body.map_or(device.span, |b| b.span);
                fault = fault.at(body, &device.name, "grounded through its case");
            }
            if let Through::Bond(bond) = step.through {
                let bond = h.bond(bond);
                let carries = match bond.carries {
                    Some(a) => format!("carries {} of other current", a.value),
                    None => "other current flows here".to_owned(),
                };
                fault = fault.at(bond.span, &bond.name, carries);
            }
        }
        if screened {
            fault = fault.mend("tie the screen at the indicator's end only");
        }
        verdict.finds(fault.seen(
            "readings that move with electrical load; a hot or burnt ground wire if a strap comes loose",
        ));
    }
    for device in h.devices.iter().filter(|d| d.case_grounds && d.body.is_none()) {
        let wired_case = device.on_case.iter().any(|p| facts.is_wired(*p));
        if wired_case {
            verdict.not_judged(
                device.span,
                &device.name,
                "the body that its case touches is not given (`body:`)",
            );
        }
    }
}

/// The loop in words, from its body and back to it.
fn spell(facts: &Facts<'_>, found: &GroundLoop) -> String {
    let h = facts.harness;
    let body = |id| format!("`{}`", h.body(id).name);
    let mut words = vec![body(found.start)];
    for step in &found.steps {
        match step.through {
            Through::Conductor(c) => words.push(format!("wire `{}`", h.conductor(c).mark)),
            Through::Bond(b) => words.push(format!("bond `{}`", h.bond(b).name)),
            Through::Inside(d) => words.push(format!("inside `{}`", h.device(d).name)),
            Through::Mate(_) | Through::Stud(_) | Through::Case(_) | Through::Lead(_) => {}
        }
        words.push(match step.to {
            Point::Pin(p) => format!("`{}`", facts.pin_name(p)),
            Point::Body(b) if b == found.start => format!("back to {}", body(b)),
            Point::Body(b) => body(b),
        });
    }
    words.join(", ")
}
