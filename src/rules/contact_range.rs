//! Wire ends and parts in; ends that no contact, lug or splice takes out.

use super::{Facts, Fault, Rule, Source, Verdict};
use crate::diag::Severity;
use crate::harness::{ConductorId, DeviceClass, DeviceId, PinId, PinSite};
use crate::parts::fit::{self, Misfit, WireEnd};
use crate::quantity::{Gauge, Length, Units};

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
enum Trouble {
    Misfit(Misfit),
    Seal { shell: String, takes: crate::quantity::Bounds<Length> },
    Unknown(String),
}

fn check(facts: &Facts<'_>, verdict: &mut Verdict) {
    let h = facts.harness;
    for id in h.conductor_ids() {
        let c = h.conductor(id);
        for pin in [c.from, c.to] {
            let end = WireEnd::of(facts.library, c.wire, c.core);
            match trouble(facts, pin, end) {
                Some(Trouble::Unknown(reason)) => {
                    let (span, circuit) = facts.spot(id);
                    verdict.not_judged(span, circuit, reason);
                }
                Some(found) => verdict.finds(fault(facts, id, pin, &found, end)),
                None => {}
            }
        }
    }
    for (i, device) in h.devices.iter().enumerate() {
        if let DeviceClass::Splice { .. } = device.class {
            splice(facts, DeviceId::at(i), verdict);
        }
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
            fit::splice(library, &[*gauge, end.gauge], None).err().map(Trouble::Misfit)
        }
        PinSite::Splice | PinSite::Screen(_) => None,
    }
}

fn fault(facts: &Facts<'_>, id: ConductorId, pin: PinId, trouble: &Trouble, end: WireEnd) -> Fault {
    let c = facts.harness.conductor(id);
    let place = facts.pin_name(pin);
    let over = end.outside.map(|o| o.show(Units::Metric)).unwrap_or_default();
    let (message, limit) = match trouble {
        Trouble::Misfit(Misfit::NoPart(what)) => {
            (format!("no part is known that holds wire `{}` at `{place}`: {what}", c.mark), String::new())
        }
        Trouble::Misfit(Misfit::Gauge { part, made_for }) => (
            format!("wire `{}` is {} at `{place}`; `{part}` takes {made_for}", c.mark, c.gauge),
            format!("takes {made_for}"),
        ),
        Trouble::Misfit(Misfit::Insulation { part, takes }) => (
            format!("wire `{}` is {over} over its insulation at `{place}`; `{part}` takes {takes}", c.mark),
            format!("takes {takes} over the insulation"),
        ),
        Trouble::Misfit(Misfit::Ends { part, most }) => (
            format!("wire `{}` and the lead at `{place}` find no splice; `{part}` takes {most} ends", c.mark),
            format!("takes {most} ends"),
        ),
        Trouble::Misfit(Misfit::Together { part, made_for }) => (
            format!(
                "wire `{}` and the lead at `{place}` are too thick together; `{part}` takes {made_for}",
                c.mark
            ),
            format!("takes {made_for}"),
        ),
        Trouble::Seal { shell, takes } => (
            format!(
                "wire `{}` is {over} over its insulation at `{place}`; the seals of `{shell}` close on {takes}",
                c.mark
            ),
            format!("seals close on {takes}"),
        ),
        Trouble::Unknown(reason) => (reason.clone(), String::new()),
    };
    let (span, circuit) = facts.spot(id);
    let mut fault = Fault::new(message).at(span, circuit, "this wire");
    if let Some(chosen) = c.wire_span {
        fault = fault.at(chosen, circuit, "chosen here");
    }
    let (at, device) = facts.device_spot(pin);
    fault.limit(at, if limit.is_empty() { format!("`{device}`") } else { limit }).seen(match trouble {
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
