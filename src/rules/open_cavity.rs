//! Connectors of the harness in; those in wet zones that water can enter out.

use super::{Facts, Fault, Rule, Source, Verdict};
use crate::diag::Severity;
use crate::graph::{Fitted, fitted_shells};
use crate::harness::{DeviceClass, Zone};
use crate::spec::words::Hazard;

/// The rule.
pub static RULE: Rule = Rule {
    name: "open-cavity",
    title: "Water can enter a connector in a wet zone",
    severity: Severity::Stop,
    why: "Water in a connector joins its contacts and eats them; through one open cavity it comes to all of them.",
    limit: "in a zone with `water` among its hazards: a shell that seals on its wires, and a plug in every cavity that \
            stays empty (`cavity-plug:` of the shell)",
    source: Source::CommonPractice,
    remedy: "fit a sealed shell and plug its empty cavities",
    check,
};

fn check(facts: &Facts<'_>, verdict: &mut Verdict) {
    for fitted in fitted_shells(facts.harness) {
        let Some(zone) = wet_zone(facts, &fitted) else { continue };
        judge(facts, &fitted, zone, verdict);
    }
}

/// The wet zone that it lies in: a half of a connector in a hole lies where its wires run.
fn wet_zone<'a>(facts: &Facts<'a>, fitted: &Fitted<'a>) -> Option<&'a Zone> {
    let h = facts.harness;
    let place = (*facts.routing.place_of.get(fitted.device.index())?)?;
    let mut zones: Vec<_> = fitted
        .conductors
        .iter()
        .filter_map(|c| facts.routing.path_of(h, *c))
        .flat_map(|path| [path.runs.first(), path.runs.last()])
        .flatten()
        .map(|run| h.run(*run))
        .filter(|run| run.ends.contains(&place))
        .map(|run| run.zone)
        .collect();
    if zones.is_empty() {
        zones.clone_from(&h.place(place).zones);
    }
    zones.into_iter().map(|z| h.zone(z)).find(|z| z.hazards.contains(&Hazard::Water))
}

fn judge(facts: &Facts<'_>, fitted: &Fitted<'_>, zone: &Zone, verdict: &mut Verdict) {
    let h = facts.harness;
    let shell = facts.library.shells.get(fitted.shell);
    let part = facts.library.shells.name(fitted.shell);
    let device = h.device(fitted.device);
    let half = match device.class {
        DeviceClass::InLine { .. } => format!("the {} of `{}`", fitted.connector, device.name),
        _ => format!("the plug on `{}.{}`", device.name, fitted.connector),
    };
    let empty = shell.cavities().filter(|mark| !fitted.cavities.contains(mark)).count();
    let fault = match (shell.seal, &shell.cavity_plug) {
        (None, _) => Fault::new(format!(
            "{half}, `{part}`, is not sealed, and there is water in zone `{}`",
            zone.name
        ))
        .mend("fit a sealed connector, or keep it in a closed box and waive this"),
        (Some(_), None) if empty > 0 => Fault::new(format!(
            "{empty} {} of {half}, `{part}`, {} empty, no plug is known for {}, and there is water in zone `{}`",
            if empty == 1 { "cavity" } else { "cavities" },
            if empty == 1 { "stays" } else { "stay" },
            if empty == 1 { "it" } else { "them" },
            zone.name
        ))
        .mend(format!("name the plug in the part (`cavity-plug:` of `{part}`), so that it comes onto the parts list")),
        _ => return,
    };
    verdict.finds(
        fault
            .at(device.span, &device.name, "here")
            .at(zone.span, &zone.name, "`water` is among its hazards")
            .seen("green contacts, and readings that drift in wet weather"),
    );
}
