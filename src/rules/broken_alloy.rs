//! Thermocouple legs in; pieces between probe and gauge that are not of the leg's material out.

use super::{Facts, Fault, Rule, Source, Verdict};
use crate::diag::Severity;
use crate::graph::{Leg, Piece, ThermocoupleRun};
use crate::harness::{DeviceClass, PinId, PinSite};
use crate::parts::fit::{self, WireEnd};
use crate::parts::words::Role;
use crate::trade::thermocouple_colour::Alloy;

/// The rule.
pub static RULE: Rule = Rule {
    name: "broken-alloy",
    title: "A thermocouple leg changes its material on the way",
    severity: Severity::Stop,
    why: "Where the material changes, a second junction forms: the gauge then reads the temperature of that place too, \
          and the error wanders with the heat under the cowling.",
    limit: "every wire and contact between the probe and the gauge's own pins is of the leg's material; the gauge's \
            own contacts are its cold junction and may be copper",
    source: Source::Document { document: "CASA AC 21-99", place: "section 2 chapter 16 par. 5" },
    remedy: "use the extension pair and contacts of the thermocouple's type all the way to the gauge",
    check,
};

fn check(facts: &Facts<'_>, verdict: &mut Verdict) {
    for run in facts.thermocouples {
        for side in [Role::Plus, Role::Minus] {
            check_leg(facts, run, side, verdict);
        }
    }
}

fn check_leg(facts: &Facts<'_>, run: &ThermocoupleRun, side: Role, verdict: &mut Verdict) {
    let h = facts.harness;
    let (leg, other, wanted) = match side {
        Role::Minus => (&run.minus, &run.plus, run.kind.negative()),
        _ => (&run.plus, &run.minus, run.kind.positive()),
    };
    let sensor = h.device(run.sensor);
    let inner =
        || leg.pieces.iter().skip(1).filter(|p| !matches!(p, Piece::Pin(pin) if leg.ends.contains(pin)));
    // Both legs gone over to each other's side is a swap, which other rules tell.
    let swapped = crossed(facts, run, leg) && crossed(facts, run, other);
    let wires = inner().filter_map(|p| match p {
        Piece::Conductor(c) => Some(*c),
        Piece::Pin(_) => None,
    });
    let mut foreign: Vec<_> = wires.filter(|c| h.conductor(*c).alloy != wanted).collect();
    foreign.retain(|c| !swapped || run.side(h.conductor(*c).alloy).is_none());
    if let Some(first) = foreign.first() {
        let alloy = h.conductor(*first).alloy;
        let what =
            if alloy == Alloy::Copper { "copper wire".to_owned() } else { format!("{} wire", alloy.name()) };
        let mut fault = Fault::new(format!(
            "the {} leg of `{}` runs over {what}; it must be {} as far as the gauge",
            side.word(),
            sensor.name,
            wanted.name()
        ));
        for c in &foreign {
            let (span, id) = facts.spot(*c);
            fault =
                fault.at(span, id, format!("`{}` is {}", h.conductor(*c).mark, h.conductor(*c).alloy.name()));
        }
        let chosen = foreign.iter().find_map(|c| h.conductor(*c).wire_span);
        let fault = fault.at(sensor.span, &sensor.name, "the probe").seen(
            "the reading is off by what the ends of that piece differ in temperature, and wanders as they warm and cool",
        );
        verdict.finds(match chosen {
            Some(span) => fault.limit(span, "the wire is chosen here"),
            None => fault,
        });
    }
    for (i, piece) in leg.pieces.iter().enumerate().skip(1) {
        let Piece::Pin(pin) = *piece else { continue };
        if leg.ends.contains(&pin) {
            continue;
        }
        // The wire that lands here; across mated contacts, the last one before.
        let before =
            leg.pieces.get(..i).and_then(|p| p.iter().rev().find(|p| matches!(p, Piece::Conductor(_))));
        let after = leg.pieces.get(i + 1).filter(|p| matches!(p, Piece::Conductor(_)));
        let Some(Piece::Conductor(wire)) = after.or(before).copied() else { continue };
        let carries = h.conductor(wire).alloy;
        let Some(alloy) = joint_alloy(facts, pin, wire) else { continue };
        if alloy == carries || carries == Alloy::Copper {
            continue;
        }
        let (span, id) = facts.device_spot(pin);
        let (wire_span, wire_id) = facts.spot(wire);
        // In a splice the wires touch each other and both legs are equally warm: a person may accept that.
        let in_contact = matches!(h.pin(pin).site, PinSite::Splice | PinSite::Stud(_));
        let fault = Fault::new(format!(
            "the {} leg of `{}` passes `{}`, which is {}; the wire there is {}",
            side.word(),
            sensor.name,
            facts.pin_name(pin),
            alloy.name(),
            carries.name()
        ))
        .at(wire_span, wire_id, "this leg passes it")
        .at(span, id, format!("joined by {}", alloy.name()))
        .seen("the reading shifts when one side of the joint is warmer than the other")
        .mend(format!(
            "choose a part there that has {} contacts, or run the pair through without a joint",
            carries.name()
        ));
        verdict.finds(if in_contact { fault.weighs(Severity::Doubt) } else { fault });
    }
}

/// True where a wire of the leg is of the other leg's material.
fn crossed(facts: &Facts<'_>, run: &ThermocoupleRun, leg: &Leg) -> bool {
    let own = leg.pieces.first().and_then(|p| run.side(p.alloy(facts.harness)));
    leg.pieces.iter().filter(|p| matches!(p, Piece::Conductor(_))).any(|p| {
        let side = run.side(p.alloy(facts.harness));
        side.is_some() && own.is_some() && side != own
    })
}

/// Material of what holds the wire at a joint on the way; `None` where no part is known for it.
fn joint_alloy(facts: &Facts<'_>, pin: PinId, wire: crate::harness::ConductorId) -> Option<Alloy> {
    let h = facts.harness;
    let device = h.device(h.pin(pin).device);
    let conductor = h.conductor(wire);
    match (&device.class, &h.pin(pin).site) {
        (DeviceClass::Splice { part, .. }, _) => {
            part.map(|p| facts.library.splices.get(p).alloy.unwrap_or(Alloy::Copper))
        }
        (_, PinSite::Cavity { connector, cavity }) => {
            let shell = device.connectors.get(*connector as usize)?.harness_shell;
            let end = WireEnd::of(facts.library, conductor.wire, conductor.core).carrying(conductor.alloy);
            let contact = fit::contact(facts.library, shell, cavity, end).ok()?;
            Some(facts.library.contacts.get(contact).alloy.unwrap_or(Alloy::Copper))
        }
        _ => Some(h.pin(pin).alloy),
    }
}
