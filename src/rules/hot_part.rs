//! Ratings of devices, connectors, splices and linings and the ambients of their zones in; what is hotter than it stands
//! out.

use std::collections::BTreeSet;

use super::{Facts, Fault, Rule, Source, Verdict};
use crate::diag::Severity;
use crate::harness::{Device, DeviceClass, DeviceId, Located, PlaceId, ZoneId};
use crate::quantity::{Temperature, beside};

/// The rule.
pub static RULE: Rule = Rule {
    name: "hot-part",
    title: "A connector, splice or device sits where it is hotter than it stands",
    severity: Severity::Stop,
    why: "Contacts lose their spring, seals harden, a splice's sleeve opens: the joint fails long after it was tested.",
    limit: "`rated:` of the part is not below the `ambient:` of the zone it sits in; at a place between two zones the \
            cooler one counts, for a lining the hotter one",
    source: Source::Declared("the part's own rating"),
    remedy: "choose a part that stands the heat, or move it to a cooler zone",
    check,
};

/// Something that a part says the rating of, or ought to.
struct Rated {
    what: String,
    /// What it stands; None where its part does not say it.
    rated: Option<Temperature>,
}

fn check(facts: &Facts<'_>, verdict: &mut Verdict) {
    let h = facts.harness;
    let mut told = BTreeSet::new();
    for (i, device) in h.devices.iter().enumerate() {
        let rated = ratings(facts, device);
        let place =
            device.lead_ends_at.map(|at| at.value).or(facts.routing.place_of.get(i).copied().flatten());
        if rated.is_empty() || !h.pins_of(DeviceId::at(i)).any(|pin| facts.is_wired(pin)) {
            continue;
        }
        let Some((place, (coolest, unsaid))) = place.map(|place| (place, coolest(facts, place))) else {
            verdict.not_judged(device.span, &device.name, UNPLACED);
            continue;
        };
        if coolest.is_none() && unsaid.is_none() {
            verdict.not_judged(device.span, &device.name, no_zone(facts, place));
            continue;
        }
        for part in rated {
            let Some(rated) = part.rated else {
                verdict.not_judged(
                    device.span,
                    &device.name,
                    format!("what {} may have is not said (`rated:`)", part.what),
                );
                continue;
            };
            match (coolest, unsaid) {
                // What stands one of the zones stands the cooler of them.
                (Some((_, ambient)), _) if rated >= ambient.value => {}
                (Some((zone, ambient)), None) => {
                    verdict.finds(fault(facts, device, &part.what, rated, zone, ambient));
                }
                (_, Some(zone)) if told.insert(zone) => unsaid_ambient(facts, zone, verdict),
                _ => {}
            }
        }
    }
    linings(facts, verdict);
}

/// Why nobody can say how hot a splice gets that lies anywhere.
pub(super) const UNPLACED: &str = "where it lies is not known";

/// Says that nobody can tell how hot it gets in a zone.
pub(super) fn unsaid_ambient(facts: &Facts<'_>, zone: ZoneId, verdict: &mut Verdict) {
    let zone = facts.harness.zone(zone);
    verdict.not_judged(zone.span, &zone.name, "how hot it gets there is not said (`ambient:`)");
}

/// Why nobody can say how hot it gets at a place.
pub(super) fn no_zone(facts: &Facts<'_>, place: PlaceId) -> String {
    format!("no run leads to `{}`, so in which zone it lies is not known", facts.harness.place(place).name)
}

/// The coolest zone of a place and its ambient, among those that say it, and the first that does not.
pub(super) fn coolest(
    facts: &Facts<'_>,
    place: PlaceId,
) -> (Option<(ZoneId, Located<Temperature>)>, Option<ZoneId>) {
    let h = facts.harness;
    let zones = &h.place(place).zones;
    let said = zones.iter().filter_map(|zone| Some((*zone, h.zone(*zone).ambient?)));
    let unsaid = zones.iter().find(|zone| h.zone(**zone).ambient.is_none());
    (said.min_by_key(|(_, ambient)| ambient.value), unsaid.copied())
}

/// What of a device is rated: itself, its connectors as the harness has them, a splice and its covering.
fn ratings(facts: &Facts<'_>, device: &Device) -> Vec<Rated> {
    let library = facts.library;
    let mut all = Vec::new();
    let mut put = |what: String, rated: Option<Temperature>| all.push(Rated { what, rated });
    if let Some(id) = device.part.as_ref().and_then(|name| library.devices.find(name)) {
        put("its pins".to_owned(), library.devices.get(id).rated);
    }
    for connector in &device.connectors {
        let shell = connector.harness_shell;
        put(
            format!("`{}` at `{}`", library.shells.name(shell), connector.name),
            library.shells.get(shell).rated,
        );
    }
    if let DeviceClass::Splice { part: Some(part), .. } = device.class {
        let splice = library.splices.get(part);
        put(format!("`{}`", library.splices.name(part)), splice.rated);
        let covering = splice.covering.as_ref().and_then(|name| library.coverings.find(name));
        if let Some(id) = covering {
            put(format!("`{}` over it", library.coverings.name(id)), library.coverings.get(id).rated);
        }
    }
    all
}

fn fault(
    facts: &Facts<'_>,
    device: &Device,
    what: &str,
    rated: Temperature,
    zone: ZoneId,
    ambient: Located<Temperature>,
) -> Fault {
    let units = facts.harness.header.units;
    let [rated, hot] = beside(rated, ambient.value, |t| t.show(units));
    Fault::new(format!(
        "`{}` sits in `{}` at up to {}; {what} may have {rated}",
        device.name,
        facts.harness.zone(zone).name,
        hot,
    ))
    .at(device.span, &device.name, format!("rated {rated}"))
    .limit(ambient.span, format!("up to {hot}"))
    .seen("a joint that comes and goes once everything is warm")
}

fn linings(facts: &Facts<'_>, verdict: &mut Verdict) {
    let h = facts.harness;
    let units = h.header.units;
    for hole in &h.holes {
        let Some(lining) = hole.lining else { continue };
        let name = facts.library.linings.name(lining);
        let Some(rated) = facts.library.linings.get(lining).rated else {
            verdict.not_judged(
                hole.span,
                &hole.name,
                format!("`{name}` does not say what it stands (`rated:`)"),
            );
            continue;
        };
        let sides = h.barrier(hole.barrier).between.map(|zone| h.zone(zone));
        let hottest = sides.iter().filter_map(|zone| zone.ambient).max_by_key(|ambient| ambient.value);
        if let Some(hottest) = hottest.filter(|hottest| rated < hottest.value) {
            let [stands, hot] = beside(rated, hottest.value, |t| t.show(units));
            verdict.finds(
                Fault::new(format!(
                    "the lining `{name}` of `{}` may have {}; beside it are {}",
                    hole.name, stands, hot,
                ))
                .at(hole.span, &hole.name, format!("lining rated {stands}"))
                .limit(hottest.span, format!("up to {hot}"))
                .seen("a grommet that falls out of its hole in crumbs, and wires on a bare edge"),
            );
        } else if let Some(unsaid) = sides.iter().find(|zone| zone.ambient.is_none()) {
            // The side that is said is not known to be the hotter one.
            verdict.not_judged(
                hole.span,
                &hole.name,
                format!("how hot its lining gets in `{}` is not said (`ambient:`)", unsaid.name),
            );
        }
    }
}
