//! Screens and their ties in; screens that are tied nowhere, or to nothing that is ground, out.

use super::{Facts, Fault, Rule, Source, Verdict};
use crate::diag::Severity;
use crate::harness::{Cable, DeviceClass, PinId};
use crate::parts::words::Role;

/// The rule.
pub static RULE: Rule = Rule {
    name: "loose-screen",
    title: "A screen is tied nowhere",
    severity: Severity::Doubt,
    why: "A screen that floats hands on what it picks up to the wire inside: it is worse than none.",
    limit: "the screen of each piece of screened cable has a tie, and the tie leads to a ground or to the indicator",
    source: Source::CommonPractice,
    remedy: "tie the screen at the indicator's end (`screen:`); through a connector, give it a cavity there",
    check,
};

fn check(facts: &Facts<'_>, verdict: &mut Verdict) {
    for cable in &facts.harness.cables {
        if facts.library.wires.get(cable.wire).screen.is_none() {
            continue;
        }
        match (&cable.ties, cable.screen) {
            (None, _) => verdict.not_judged(
                cable.span,
                &cable.name,
                format!("nothing is said of the screen of `{}` (`screen:`)", cable.name),
            ),
            (Some(ties), Some(screen)) if !ties.is_empty() => {
                if !leads_to_ground(facts, screen) {
                    verdict.finds(to_nothing(facts, cable, screen));
                }
            }
            (Some(_), _) => {
                let fault = Fault::new(format!("the screen of `{}` is tied nowhere", cable.name));
                let fault = fault.at(cable.span, &cable.name, "its screen floats");
                verdict.finds(fault.seen("a reading that jumps with the engine's speed or with the radio"));
            }
        }
    }
}

/// True where its net touches a body, or a pin of a piece of equipment that is a ground or made for screens.
fn leads_to_ground(facts: &Facts<'_>, screen: PinId) -> bool {
    let h = facts.harness;
    let net = facts.electrical.net(screen);
    let grounds = |pin: &PinId| {
        let equipment = matches!(h.device(h.pin(*pin).device).class, DeviceClass::Equipment);
        equipment
            && h.port_of(*pin).is_some_and(|(_, r)| matches!(r, Role::Ground | Role::Shield | Role::Return))
    };
    !net.contacts.is_empty() || net.pins.iter().any(grounds)
}

fn to_nothing(facts: &Facts<'_>, cable: &Cable, screen: PinId) -> Fault {
    let h = facts.harness;
    let mut fault = Fault::new(format!("the screen of `{}` is tied to what leads to no ground", cable.name));
    for tie in facts.electrical.conductors_at(screen) {
        let (span, circuit) = facts.spot(*tie);
        let to = h.conductor(*tie).to;
        fault = fault.at(span, circuit, format!("tied to `{}`", facts.pin_name(to)));
        let (span, device) = facts.device_spot(to);
        fault = fault.at(span, device, "nothing leads on from here to a body or an indicator");
    }
    fault
        .mend("join what it is tied to with the indicator's ground")
        .seen("a reading that jumps with the engine's speed or with the radio")
}
