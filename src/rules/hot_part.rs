//! Ratings of devices, connectors, splices and linings and the ambients of their zones in; what is hotter than it stands
//! out.

use std::collections::BTreeSet;

use super::{Facts, Fault, Rule, Source, Verdict};
use crate::diag::Severity;
use crate::harness::{Device, DeviceClass, DeviceId, Located, PlaceId, ZoneId};
use crate::quantity::Temperature;

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

/// Something rated, and where.
struct Rated<'a> {
    what: String,
    rated: Temperature,
    device: &'a Device,
}

fn check(facts: &Facts<'_>, verdict: &mut Verdict) {
    let h = facts.harness;
    let mut told = BTreeSet::new();
    for (i, device) in h.devices.iter().enumerate() {
        let rated = ratings(facts, device);
        let place =
            device.lead_ends_at.map(|at| at.value).or(facts.routing.place_of.get(i).copied().flatten());
        let (Some(place), false) = (place, rated.is_empty()) else { continue };
        if !h.pins_of(DeviceId::at(i)).any(|pin| facts.is_wired(pin)) {
            continue;
        }
        match coolest(facts, place) {
            Ok(Some((zone, ambient))) => {
                for part in rated.iter().filter(|part| part.rated < ambient.value) {
                    verdict.finds(fault(facts, part, zone, ambient));
                }
            }
            Ok(None) => {}
            Err(zone) if told.insert(zone) => {
                let zone = h.zone(zone);
                verdict.not_judged(zone.span, &zone.name, "how hot it gets there is not said (`ambient:`)");
            }
            Err(_) => {}
        }
    }
    linings(facts, verdict);
}

/// The coolest zone of a place and its ambient.
///
/// # Errors
/// Where a zone of it says none.
fn coolest(facts: &Facts<'_>, place: PlaceId) -> Result<Option<(ZoneId, Located<Temperature>)>, ZoneId> {
    let h = facts.harness;
    let mut coolest: Option<(ZoneId, Located<Temperature>)> = None;
    for zone in &h.place(place).zones {
        let ambient = h.zone(*zone).ambient.ok_or(*zone)?;
        if coolest.is_none_or(|(_, c)| ambient.value < c.value) {
            coolest = Some((*zone, ambient));
        }
    }
    Ok(coolest)
}

/// What of a device is rated: itself, its connectors as the harness has them, a splice and its covering.
fn ratings<'a>(facts: &Facts<'_>, device: &'a Device) -> Vec<Rated<'a>> {
    let library = facts.library;
    let mut all = Vec::new();
    let mut put = |what: String, rated: Option<Temperature>| {
        all.extend(rated.map(|rated| Rated { what, rated, device }));
    };
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

fn fault(facts: &Facts<'_>, part: &Rated<'_>, zone: ZoneId, ambient: Located<Temperature>) -> Fault {
    let units = facts.harness.header.units;
    let rated = part.rated.show(units);
    Fault::new(format!(
        "`{}` sits in `{}` at up to {}; {} may have {rated}",
        part.device.name,
        facts.harness.zone(zone).name,
        ambient.value.show(units),
        part.what,
    ))
    .at(part.device.span, &part.device.name, format!("rated {rated}"))
    .limit(ambient.span, format!("up to {}", ambient.value.show(units)))
    .seen("a joint that comes and goes once everything is warm")
}

fn linings(facts: &Facts<'_>, verdict: &mut Verdict) {
    let h = facts.harness;
    let units = h.header.units;
    for hole in &h.holes {
        let Some(lining) = hole.lining else { continue };
        let Some(rated) = facts.library.linings.get(lining).rated else { continue };
        let sides = h.barrier(hole.barrier).between.map(|zone| h.zone(zone).ambient);
        let Some(hottest) = sides.into_iter().flatten().max_by_key(|a| a.value) else { continue };
        if rated < hottest.value {
            verdict.finds(
                Fault::new(format!(
                    "the lining `{}` of `{}` may have {}; beside it are {}",
                    facts.library.linings.name(lining),
                    hole.name,
                    rated.show(units),
                    hottest.value.show(units),
                ))
                .at(hole.span, &hole.name, format!("lining rated {}", rated.show(units)))
                .limit(hottest.span, format!("up to {}", hottest.value.show(units)))
                .seen("a grommet that falls out of its hole in crumbs, and wires on a bare edge"),
            );
        }
    }
}
