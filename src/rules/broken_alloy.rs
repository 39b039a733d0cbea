//! Thermocouple legs in; pieces between probe and gauge that are not of the leg's material out.

use std::collections::BTreeMap;

use super::{Facts, Fault, Rule, Source, Verdict};
use crate::diag::Severity;
use crate::graph::thermocouple_reading::warmth;
use crate::graph::thermocouple_seen::whole;
use crate::graph::{Leg, Piece, ThermocoupleRun};
use crate::harness::{ConductorId, DeviceClass, DeviceId, PinId, PinSite};
use crate::parts::fit::{self, WireEnd};
use crate::parts::words::Role;
use crate::quantity::{TemperatureDifference, Units};
use crate::trade::installation::{Requirement, requirement};
use crate::trade::thermocouple_chain::joint_shift;
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

/// A piece that is not of the leg's material.
struct Foreign {
    side: Role,
    wire: ConductorId,
    /// The joint it passes; `None` for the wire itself.
    pin: Option<PinId>,
    alloy: Alloy,
}

fn check(facts: &Facts<'_>, verdict: &mut Verdict) {
    for run in facts.thermocouples {
        let (mut wires, mut joints) = (Vec::new(), BTreeMap::new());
        for side in [Role::Plus, Role::Minus] {
            look(facts, run, side, &mut wires, &mut joints);
        }
        if !wires.is_empty() {
            verdict.finds(of_wires(facts, run, &wires));
        }
        for (device, foreign) in &joints {
            verdict.finds(of_joint(facts, run, *device, foreign));
        }
    }
}

/// Both legs, or one of them, in words.
fn legs(foreign: &[Foreign]) -> &'static str {
    let has = |side| foreign.iter().any(|f| f.side == side);
    match (has(Role::Plus), has(Role::Minus)) {
        (true, true) => "both legs",
        (true, false) => "the plus leg",
        _ => "the minus leg",
    }
}

fn of_wires(facts: &Facts<'_>, run: &ThermocoupleRun, wires: &[Foreign]) -> Fault {
    let h = facts.harness;
    let sensor = h.device(run.sensor);
    let mut alloys: Vec<&str> = wires.iter().map(|f| f.alloy.name()).collect();
    alloys.dedup();
    let must = match legs(wires) {
        "both legs" => format!("{} and {}", run.kind.positive().name(), run.kind.negative().name()),
        "the plus leg" => run.kind.positive().name().to_owned(),
        _ => run.kind.negative().name().to_owned(),
    };
    let mut fault = Fault::new(format!(
        "{} of `{}` run{} over {} wire on the way to the gauge; the wire must be {must}",
        legs(wires),
        sensor.name,
        if legs(wires) == "both legs" { "" } else { "s" },
        alloys.join(" and "),
    ));
    for f in wires {
        let (span, id) = facts.spot(f.wire);
        fault = fault.at(
            span,
            id,
            format!("`{}`, {} leg: {}", h.conductor(f.wire).mark, f.side.word(), f.alloy.name()),
        );
    }
    let law = "the reading is off by what the ends of that wire differ in temperature, and wanders as they warm and cool";
    fault = fault.at(sensor.span, &sensor.name, "the probe").seen(facts.seen_at_gauge(run, law));
    fault = fault.by(requirement(Requirement::ExtensionMaterial).source());
    match wires.iter().find_map(|f| h.conductor(f.wire).wire_span) {
        Some(span) => fault.limit(span, "the wire is chosen here"),
        None => fault,
    }
}

fn of_joint(facts: &Facts<'_>, run: &ThermocoupleRun, device: DeviceId, foreign: &[Foreign]) -> Fault {
    let h = facts.harness;
    let (sensor, joint) = (h.device(run.sensor), h.device(device));
    let pins: Vec<String> =
        foreign.iter().filter_map(|f| f.pin).map(|p| format!("`{}`", facts.pin_name(p))).collect();
    let mut alloys: Vec<&str> = foreign.iter().map(|f| f.alloy.name()).collect();
    alloys.dedup();
    // In a splice or on a stud the wires touch each other and both legs are equally warm: a person may accept that.
    let in_contact = !matches!(joint.class, DeviceClass::InLine { .. });
    let mut fault = Fault::new(format!(
        "{} of `{}` pass{} {} at {}",
        legs(foreign),
        sensor.name,
        if legs(foreign) == "both legs" { "" } else { "es" },
        alloys.join(" and "),
        pins.join(", "),
    ));
    for f in foreign {
        let (span, id) = facts.spot(f.wire);
        let text = format!("the {} leg is {} here", f.side.word(), h.conductor(f.wire).alloy.name());
        fault = fault.at(span, id, text);
    }
    let fault = fault
        .at(joint.span, &joint.name, format!("joins them by {}", alloys.join(" and ")))
        .at(sensor.span, &sensor.name, "the probe")
        .seen(shift(facts, run, device, foreign))
        .mend(match foreign.iter().all(|f| run.side(f.alloy).is_some_and(|side| side != f.side)) {
            true => format!("exchange the two legs in the cavities of `{}`", joint.name),
            false => "choose a part there that comes with contacts of these alloys, or run the pair through without a \
                      joint"
                .to_owned(),
        });
    if in_contact { fault.weighs(Severity::Doubt) } else { fault }
}

/// Difference across a joint for which its shift is told: a unit to measure by, not a limit.
const ACROSS: f64 = 10.0;

/// What is seen of a joint of other materials, for each ten degrees that its sides differ.
fn shift(facts: &Facts<'_>, run: &ThermocoupleRun, device: DeviceId, foreign: &[Foreign]) -> String {
    let h = facts.harness;
    let units = h.header.units;
    let law = "the reading shifts when one side of the joint is warmer than the other";
    let of = |side, right| foreign.iter().find(|f| f.side == side).map_or(right, |f| f.alloy);
    let joint = [of(Role::Plus, run.kind.positive()), of(Role::Minus, run.kind.negative())];
    let place = facts.routing.place_of.get(device.index()).copied().flatten();
    let warm = place.and_then(|p| warmth(h, p)).and_then(Result::ok);
    let across = TemperatureDifference::from_celsius(ACROSS);
    let probe = run.example(h);
    match warm.and_then(|t| Some((t, joint_shift(run.kind, joint, t, across, probe)?))) {
        Some((t, by)) => format!(
            "{law}: with the joint at {} and the probe at {} it reads {} {} for each {} by which the gauge's side is cooler",
            whole(t, units),
            whole(probe, units),
            tenths(by, units),
            if by < TemperatureDifference::ZERO { "low" } else { "high" },
            across.show(units)
        ),
        None => law.to_owned(),
    }
}

/// A difference to a tenth of a degree, without its sign.
fn tenths(d: TemperatureDifference, units: Units) -> String {
    match units {
        Units::Metric => format!("{:.1} °C", d.abs().celsius()),
        Units::Inch => format!("{:.1} °F", d.abs().fahrenheit()),
    }
}

fn look(
    facts: &Facts<'_>,
    run: &ThermocoupleRun,
    side: Role,
    wires: &mut Vec<Foreign>,
    joints: &mut BTreeMap<DeviceId, Vec<Foreign>>,
) {
    let h = facts.harness;
    let (leg, other, wanted) = match side {
        Role::Minus => (&run.minus, &run.plus, run.kind.negative()),
        _ => (&run.plus, &run.minus, run.kind.positive()),
    };
    // Both legs gone over to each other's side is a swap, which other rules tell.
    let swapped = crossed(facts, run, leg) && crossed(facts, run, other);
    for (i, piece) in leg.pieces.iter().enumerate() {
        match *piece {
            Piece::Conductor(wire) => {
                let alloy = h.conductor(wire).alloy;
                if alloy != wanted && !(swapped && run.side(alloy).is_some()) {
                    wires.push(Foreign { side, wire, pin: None, alloy });
                }
            }
            Piece::Pin(pin) if !leg.ends.contains(&pin) => {
                // The wire that lands here.
                let beside =
                    [i.checked_sub(1), Some(i + 1)].into_iter().flatten().filter_map(|k| leg.pieces.get(k));
                let wire = beside.into_iter().find_map(|p| match p {
                    Piece::Conductor(c) => Some(*c),
                    Piece::Pin(_) => None,
                });
                let Some(wire) = wire else { continue };
                let carries = h.conductor(wire).alloy;
                let Some(alloy) = joint_alloy(facts, pin, wire) else { continue };
                if alloy != carries && carries != Alloy::Copper {
                    joints.entry(h.pin(pin).device).or_default().push(Foreign {
                        side,
                        wire,
                        pin: Some(pin),
                        alloy,
                    });
                }
            }
            Piece::Pin(_) => {}
        }
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

/// Material of what holds the wire at a joint, or at the probe; `None` where no part is known for it.
fn joint_alloy(facts: &Facts<'_>, pin: PinId, wire: ConductorId) -> Option<Alloy> {
    let (h, library) = (facts.harness, facts.library);
    let device = h.device(h.pin(pin).device);
    let conductor = h.conductor(wire);
    let end = WireEnd::of(library, conductor.wire, conductor.core).carrying(conductor.alloy);
    let alloy = match (&device.class, &h.pin(pin).site) {
        (DeviceClass::Splice { part, .. }, _) => library.splices.get((*part)?).alloy,
        (DeviceClass::Stud { .. } | DeviceClass::Ground { .. }, _) => return Some(h.pin(pin).alloy),
        (_, PinSite::Cavity { connector, cavity }) => {
            let shell = device.connectors.get(*connector as usize)?.harness_shell;
            library.contacts.get(fit::contact(library, shell, cavity, end).ok()?).alloy
        }
        (_, PinSite::Stud(size)) => library.lugs.get(fit::lug(library, (*size)?, end).ok()?).alloy,
        (_, PinSite::Tab(width)) => library.lugs.get(fit::push_on(library, *width, end).ok()?).alloy,
        (_, PinSite::BareLead(gauge)) => {
            library.splices.get(fit::splice(library, &[*gauge, end.gauge], end.alloy).ok()?).alloy
        }
        (_, PinSite::Case(_) | PinSite::Splice | PinSite::Screen(_)) => return None,
    };
    Some(alloy.unwrap_or(Alloy::Copper))
}
