//! Wire ends and parts in; ends that no contact, lug or splice takes out.

use std::collections::BTreeMap;

use super::{Facts, Fault, Rule, Source, Verdict};
use crate::diag::Severity;
use crate::harness::{CircuitId, ConductorId, DeviceClass, DeviceId, PinId, PinSite};
use crate::parts::fit::{self, Misfit, WireEnd};
use crate::quantity::{Bounds, Gauge, Length};

/// The rule.
pub static RULE: Rule = Rule {
    name: "contact-range",
    title: "A wire is too thin or too thick for what holds it",
    severity: Severity::Stop,
    why: "Too thin, it pulls out of the crimp; too thick, strands are left outside; and a seal that does not close lets \
          water in.",
    limit: "wire range and insulation range of the contact, lug or splice, and seal range of the shell",
    source: Source::Declared("the part: its wire, insulation and seal ranges"),
    remedy: "choose a wire within the range (`gauge:` or `wire:`), or a connector made for this wire",
    check,
};

/// What a wire end meets.
#[derive(PartialEq)]
enum Trouble {
    Misfit(Misfit),
    Seal { shell: String, takes: Bounds<Length> },
    Unknown(String),
}

/// Wires of one circuit that meet the same trouble at one device: told once.
struct Meeting {
    trouble: Trouble,
    end: WireEnd,
    wires: Vec<(ConductorId, PinId)>,
}

fn check(facts: &Facts<'_>, verdict: &mut Verdict) {
    let h = facts.harness;
    for circuit in (0..h.circuits.len()).map(CircuitId::at) {
        circuit_ends(facts, h.conductors_of(circuit), verdict);
    }
    circuit_ends(facts, h.conductor_ids().filter(|c| h.conductor(*c).drain), verdict);
    for (i, device) in h.devices.iter().enumerate() {
        if let DeviceClass::Splice { .. } = device.class {
            splice(facts, DeviceId::at(i), verdict);
        }
    }
}

fn circuit_ends(facts: &Facts<'_>, wires: impl Iterator<Item = ConductorId>, verdict: &mut Verdict) {
    let h = facts.harness;
    let mut meetings: BTreeMap<(CircuitId, DeviceId), Vec<Meeting>> = BTreeMap::new();
    for id in wires {
        let c = h.conductor(id);
        for pin in [c.from, c.to] {
            let end = WireEnd::of(facts.library, c.wire, c.core);
            let Some(trouble) = trouble(facts, pin, end) else { continue };
            let here = meetings.entry((c.circuit, h.pin(pin).device)).or_default();
            match here.iter_mut().find(|m| m.trouble == trouble && m.end == end) {
                Some(meeting) => meeting.wires.push((id, pin)),
                None => here.push(Meeting { trouble, end, wires: vec![(id, pin)] }),
            }
        }
    }
    for meeting in meetings.values().flatten() {
        let (Trouble::Unknown(reason), [(first, _), ..]) = (&meeting.trouble, meeting.wires.as_slice())
        else {
            verdict.finds(fault(facts, meeting));
            continue;
        };
        let (span, circuit) = facts.spot(*first);
        verdict.not_judged(span, circuit, reason.as_str());
    }
}

fn trouble(facts: &Facts<'_>, pin: PinId, end: WireEnd) -> Option<Trouble> {
    let h = facts.harness;
    let (library, device) = (facts.library, h.device(h.pin(pin).device));
    match &h.pin(pin).site {
        PinSite::Cavity { connector, cavity } => {
            let id = device.connectors.get(*connector as usize)?.harness_shell;
            if let Err(misfit) = fit::contact(library, id, cavity, end) {
                return Some(Trouble::Misfit(misfit));
            }
            let takes = library.shells.get(id).seal?;
            let shell = library.shells.name(id).to_owned();
            match end.outside {
                None => Some(Trouble::Unknown(format!(
                    "the diameter of this cable's cores is not given, and `{shell}` seals on them"
                ))),
                Some(outside) if !takes.contains(outside) => Some(Trouble::Seal { shell, takes }),
                Some(_) => None,
            }
        }
        PinSite::Stud(Some(size)) | PinSite::Case(size) => {
            fit::lug(library, *size, end).err().map(Trouble::Misfit)
        }
        PinSite::Stud(None) => {
            Some(Trouble::Unknown(format!("the stud size of `{}` is not given", device.name)))
        }
        PinSite::Tab(width) => fit::push_on(library, *width, end).err().map(Trouble::Misfit),
        PinSite::BareLead(gauge) => {
            let wires = facts.electrical.conductors_at(pin).iter().map(|c| h.conductor(*c).gauge);
            let gauges: Vec<Gauge> = std::iter::once(*gauge).chain(wires).collect();
            fit::splice(library, &gauges, None).err().map(Trouble::Misfit)
        }
        PinSite::Splice | PinSite::Screen(_) => None,
    }
}

/// False where no part takes the wire of this conductor at one of its ends, were it of that gauge of its family. A lead of
/// a device's own, a splice and a screen are taken to find a part.
pub(super) fn takes(facts: &Facts<'_>, id: ConductorId, gauge: Gauge) -> bool {
    let (library, c) = (facts.library, facts.harness.conductor(id));
    let sister =
        library.wire_by_family(&library.wires.get(c.wire).family, gauge).filter(|_| c.core.is_none());
    let mut end = WireEnd::of(library, sister.unwrap_or(c.wire), c.core);
    if sister.is_none() {
        end = WireEnd { gauge, outside: None, ..end };
    }
    [c.from, c.to].into_iter().all(|pin| {
        let lead = matches!(facts.harness.pin(pin).site, PinSite::BareLead(_));
        lead || !matches!(trouble(facts, pin, end), Some(Trouble::Misfit(_) | Trouble::Seal { .. }))
    })
}

fn fault(facts: &Facts<'_>, meeting: &Meeting) -> Fault {
    let h = facts.harness;
    let Meeting { trouble, end, wires } = meeting;
    let list = |words: Vec<&str>| words.iter().map(|w| format!("`{w}`")).collect::<Vec<_>>().join(", ");
    let marks = list(wires.iter().map(|(c, _)| h.conductor(*c).mark.as_str()).collect());
    let places = list(wires.iter().map(|(_, p)| facts.pin_name(*p)).collect());
    let (who, is, end_s) = if wires.len() == 1 { ("wire", "is", "s") } else { ("wires", "are", "") };
    let over = end.outside.map(|o| o.show(facts.harness.header.units)).unwrap_or_default();
    let (message, limit) = match trouble {
        Trouble::Misfit(Misfit::NoPart(what)) => (
            format!("no part is known that holds {who} {marks} at {places}: {what}"),
            "needs a part".to_owned(),
        ),
        Trouble::Misfit(Misfit::Gauge { part, made_for }) => (
            format!("{who} {marks} {is} {} at {places}; `{part}` takes {made_for}", end.gauge),
            format!("takes {made_for}"),
        ),
        Trouble::Misfit(Misfit::Insulation { part, takes }) => (
            format!("{who} {marks} {is} {over} over the insulation at {places}; `{part}` takes {takes}"),
            format!("takes {takes} over the insulation"),
        ),
        Trouble::Misfit(Misfit::Ends { part, most }) => (
            format!(
                "{who} {marks} find{end_s} no splice to the lead at {places}; `{part}` takes {most} ends"
            ),
            format!("takes {most} ends"),
        ),
        Trouble::Misfit(Misfit::Together { part, made_for }) => (
            format!(
                "{who} {marks} and the lead at {places} are too thick together; `{part}` takes {made_for}"
            ),
            format!("takes {made_for}"),
        ),
        Trouble::Seal { shell, takes } => (
            format!(
                "{who} {marks} {is} {over} over the insulation at {places}; the seals of `{shell}` close on {takes}"
            ),
            format!("seals close on {takes}"),
        ),
        Trouble::Unknown(reason) => (reason.clone(), String::new()),
    };
    let mut fault = Fault::new(message);
    for (id, _) in wires {
        let (span, circuit) = facts.spot(*id);
        fault = fault.at(span, circuit, if wires.len() == 1 { "this wire" } else { "these wires" });
    }
    if let Some((id, span)) = wires.iter().find_map(|(c, _)| Some((*c, h.conductor(*c).wire_span?))) {
        fault = fault.at(span, facts.spot(id).1, "chosen here");
    }
    fault = match trouble {
        Trouble::Misfit(Misfit::Gauge { made_for, .. }) => fault.mend(format!(
            "use wire of {made_for} there (`gauge:` or `wire:`), or a part made for {}",
            end.gauge
        )),
        Trouble::Misfit(Misfit::Insulation { takes, .. }) | Trouble::Seal { takes, .. } => {
            fault.mend(format!("use wire of {takes} over its insulation, or a part made for this one"))
        }
        _ => fault,
    };
    if let Some((_, pin)) = wires.first() {
        fault = fault.limit(facts.device_spot(*pin).0, limit);
    }
    fault.seen(match trouble {
        Trouble::Seal { .. } => "water in the connector, and readings that drift after rain or a wash",
        _ => "a crimp that pulls out or opens with vibration",
    })
}

/// All wires of a splice together.
fn splice(facts: &Facts<'_>, id: DeviceId, verdict: &mut Verdict) {
    let h = facts.harness;
    let device = h.device(id);
    let DeviceClass::Splice { part, .. } = device.class else { return };
    let ends: Vec<ConductorId> =
        h.pins_of(id).flat_map(|p| facts.electrical.conductors_at(p)).copied().collect();
    if ends.len() < 2 {
        return;
    }
    let gauges: Vec<Gauge> = ends.iter().map(|c| h.conductor(*c).gauge).collect();
    let message = match part {
        Some(part) => {
            let (name, part) = (facts.library.splices.name(part), facts.library.splices.get(part));
            let wrong = ends.iter().find(|c| !part.wire.contains(h.conductor(**c).gauge));
            match wrong {
                Some(c) => {
                    let c = h.conductor(*c);
                    format!(
                        "wire `{}` is {} in splice `{}`; `{name}` takes {}",
                        c.mark, c.gauge, device.name, part.wire
                    )
                }
                None if ends.len() > part.ends as usize => {
                    format!(
                        "{} wires meet in splice `{}`; `{name}` takes {}",
                        ends.len(),
                        device.name,
                        part.ends
                    )
                }
                None => return,
            }
        }
        None => match fit::splice(facts.library, &gauges, None) {
            Ok(_) => return,
            Err(Misfit::Ends { part, most }) => format!(
                "{} wires meet in splice `{}`; the largest that takes them, `{part}`, has room for {most}",
                ends.len(),
                device.name
            ),
            Err(Misfit::Together { part, made_for }) => format!(
                "{} wires meet in splice `{}` and are too thick together; `{part}` takes {made_for} on a side",
                ends.len(),
                device.name
            ),
            Err(_) => format!("no splice is known that takes the {} wires of `{}`", ends.len(), device.name),
        },
    };
    let mut fault = Fault::new(message);
    for c in &ends {
        let (span, circuit) = facts.spot(*c);
        fault = fault.at(span, circuit, format!("`{}`, {}", h.conductor(*c).mark, h.conductor(*c).gauge));
    }
    verdict.finds(
        fault
            .at(device.span, &device.name, "this splice")
            .seen("a splice that pulls apart or gets warm")
            .mend("join some of the wires at a stud or a second splice, or use wires of one gauge"),
    );
}
