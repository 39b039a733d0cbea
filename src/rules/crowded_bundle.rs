//! Conductors in each run in; bundles with too many wires, or too thick, out.

use super::{Facts, Fault, Rule, Source, Verdict};
use crate::diag::Severity;
use crate::harness::RunId;
use crate::trade::installation::{bundle_diameter, wires_in_bundle};

/// The rule.
pub static RULE: Rule = Rule {
    name: "crowded-bundle",
    title: "A bundle has too many wires or is too thick",
    severity: Severity::Doubt,
    why: "One clamp lost or one fire then takes everything; a thick bundle also cools badly and is hard to mend.",
    limit: "75 wires, cores counted singly, and 2 in over all, measured by packing",
    source: Source::Document { document: "FAA-H-8083-31", place: "ch. 9 (also FAA-H-8083-32 ch. 4)" },
    remedy: "part the bundle in two, so that what must not fail together does not lie together",
    check,
};

fn check(facts: &Facts<'_>, verdict: &mut Verdict) {
    let h = facts.harness;
    let (most, widest) = (wires_in_bundle().value, bundle_diameter());
    for (i, run) in h.runs.iter().enumerate() {
        let bundle = facts.bundles.run(RunId::at(i));
        let seen = "a harness of which no part can be replaced alone";
        if bundle.conductors > most {
            let what = format!("run `{}` holds {} wires; {most} should be", run.name, bundle.conductors);
            let text = format!("{} wires", bundle.conductors);
            verdict.finds(Fault::new(what).at(run.span, &run.name, text).seen(seen));
        } else if !bundle.fits(widest.value) {
            let units = h.header.units;
            let [thick, most] = widest.beside(bundle.diameter(), units);
            let what = format!("the bundle of run `{}` is {thick} thick; {most} should be", run.name);
            verdict.finds(Fault::new(what).at(run.span, &run.name, format!("{thick} thick")).seen(seen));
        }
    }
}
