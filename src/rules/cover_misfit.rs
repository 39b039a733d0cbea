//! The bundle along each covered run in; coverings that do not go over it, or do not close on it, out.

use super::{Facts, Fault, Rule, Source, Verdict};
use crate::diag::Severity;
use crate::harness::{Located, Run, RunId};
use crate::parts::model::CoveringPart;
use crate::quantity::{Length, Units, lengths_beside};

/// The rule.
pub static RULE: Rule = Rule {
    name: "cover-misfit",
    title: "The covering of a run does not fit its bundle",
    severity: Severity::Stop,
    why: "A sleeve that is too narrow cannot be slid on without stripping insulation; one that is too wide slides, gathers oil and lets flame in at its ends.",
    limit: "the diameters that the covering goes over and closes on (`over:` of the part), against the bundle packed as tightly as it goes",
    source: Source::Declared(
        "the part: `over:` of the covering; a bundle laid by hand is never thinner than the tightest packing",
    ),
    remedy: "take a covering of another size (`cover:` of the run)",
    check,
};

fn check(facts: &Facts<'_>, verdict: &mut Verdict) {
    let units = facts.harness.header.units;
    for (i, run) in facts.harness.runs.iter().enumerate() {
        let Some(cover) = &run.cover else { continue };
        let Some((_, covering)) = facts.library.coverings.look_up(&cover.value) else { continue };
        let bundle = facts.bundles.run(RunId::at(i));
        if bundle.strands.is_empty() && bundle.leads.is_empty() {
            continue;
        }
        let (low, high) = (covering.over.low(), covering.over.high());
        if !bundle.fits(high) {
            // Where the area alone decides, nothing is packed.
            let least = bundle.at_least();
            let least = if least > high { least } else { bundle.diameter() };
            verdict.finds(
                misfit(units, run, cover, covering, least, "does not go over")
                    .mend(remedy(facts, cover, least)),
            );
        } else if let Some(lead) = bundle.leads.first() {
            let name = &facts.harness.device(*lead).name;
            let reason = format!("how thick the own leads of `{name}` in it are is not known");
            verdict.not_judged(run.span, &run.name, reason);
        } else if bundle.at_least() < low && bundle.diameter() < low {
            let thick = bundle.diameter();
            let fault = misfit(units, run, cover, covering, thick, "does not close on")
                .weighs(Severity::Doubt)
                .mend(remedy(facts, cover, thick))
                .seen("a sleeve that slides along the bundle and stays open at its ends");
            verdict.finds(fault);
        }
    }
}

fn misfit(
    units: Units,
    run: &Run,
    cover: &Located<String>,
    covering: &CoveringPart,
    thick: Length,
    how: &str,
) -> Fault {
    let shown = |length: Length| length.show(units);
    let (low, high) = (covering.over.low(), covering.over.high());
    // The end of its range that the bundle is beyond is shown as fine as the bundle itself.
    let over = thick > high;
    let [bundle, end] = lengths_beside(thick, if over { high } else { low }, units);
    let range = if over { format!("{} to {end}", shown(low)) } else { format!("{end} to {}", shown(high)) };
    Fault::new(format!(
        "`{}` {how} the bundle of run `{}`, which is {bundle} thick; it is made for {range}",
        cover.value, run.name,
    ))
    .at(run.span, &run.name, format!("bundle of {bundle}"))
    .limit(cover.span, format!("for {range}"))
    .seen("a sleeve that is slit to get it on, or not fitted at all")
}

/// The narrowest covering for the same use that fits.
fn remedy(facts: &Facts<'_>, cover: &Located<String>, thick: Length) -> String {
    let use_for = facts.library.coverings.look_up(&cover.value).map(|(_, c)| c.use_for);
    let fitting = facts
        .library
        .coverings
        .iter()
        .map(|(_, name, covering)| (name, covering))
        .filter(|(_, covering)| Some(covering.use_for) == use_for && covering.over.contains(thick))
        .min_by_key(|(_, covering)| covering.over.high());
    match fitting {
        Some((name, _)) => format!("take `{name}`, or another covering for a bundle of that size"),
        None => RULE.remedy.to_owned(),
    }
}
