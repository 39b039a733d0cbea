//! Grounded thermocouples in; those out that ground currents put further off than new wire may be.

use super::ground_words::{probe_volts, unsure};
use super::sender_offset::why_not;
use super::{Facts, Fault, Rule, Source, Verdict};
use crate::diag::Severity;
use crate::graph::ground_limit::{Held, shift_held};
use crate::graph::ground_network::{GroundedProbe, ProbeShift, Range, Shift};
use crate::graph::thermocouple_seen::{whole, whole_difference};
use crate::graph::{Phase, Unsure};
use crate::harness::{BodyId, BondId};
use crate::quantity::{TemperatureDifference, Voltage};
use crate::trade::thermocouple_limits::limit_of_error;

/// The rule.
pub static RULE: Rule = Rule {
    name: "shifted-probe",
    title: "Ground currents shift the reading of a grounded thermocouple",
    severity: Severity::Doubt,
    why: "A junction that touches the engine is lifted with it. A gauge that measures against its own ground adds that to a \
          few millivolts of emf: a hot cylinder looks cool, or the other way about, as the alternator's load changes.",
    limit: "the standard limits of error of new thermocouple wire at a usual temperature of the probe",
    source: Source::Document {
        document: "ASTM E230 / ANSI MC96.1 in copies of its table",
        place: "standard limits of error; NIST SRD 60 and Kirchhoff's laws",
    },
    remedy: "use a probe with an isolated junction, or a gauge that measures between the two pins",
    check,
};

fn check(facts: &Facts<'_>, verdict: &mut Verdict) {
    let h = facts.harness;
    for probe in &facts.ground.probes {
        let device = h.device(probe.sensor);
        let gauge = &h.device(probe.gauge).name;
        let (by, bonds, body, at_least) = match &probe.shift {
            Shift::None => continue,
            Shift::Unsaid => {
                let reason = format!(
                    "its junction is grounded, and the part of `{gauge}` does not say whether it measures against its own \
                     ground (`single-ended:`)"
                );
                verdict.not_judged(device.span, &device.name, reason);
                continue;
            }
            Shift::NoBody => {
                let reason = "the body that its case touches is not given (`body:`)";
                verdict.not_judged(device.span, &device.name, reason);
                continue;
            }
            Shift::NoGround => {
                let reason = format!("`{gauge}` has no ground to measure against");
                verdict.not_judged(device.span, &device.name, reason);
                continue;
            }
            Shift::Unread(why) => {
                verdict.not_judged(device.span, &device.name, why.words(h));
                continue;
            }
            Shift::Added { body, by, bonds, at_least } => (by, bonds, *body, *at_least),
        };
        let Some(limit) = limit_of_error(probe.kind, probe.at) else {
            let at = whole(probe.at, h.header.units);
            verdict.not_judged(
                device.span,
                &device.name,
                format!("how far off new wire may be at {at} is in no table here"),
            );
            continue;
        };
        let over = |phase: &&(Phase, Result<Range<ProbeShift>, Unsure>)| {
            phase.1.as_ref().is_ok_and(|range| shift_held(range, limit, at_least) == Held::Over)
        };
        if let Some((phase, Ok(range))) = by.iter().find(over) {
            verdict.finds(fault(facts, probe, *phase, range, limit, bonds, body));
            continue;
        }
        for (phase, range) in by {
            let reason = match range {
                Err(why) => why_not(facts, *why, *phase),
                Ok(range) => match shift_held(range, limit, at_least) {
                    Held::Open(through) => unsure(facts, Unsure::Resistance(through)),
                    Held::AtLeast => "a load of unknown current shares its grounds (`current:`)".to_owned(),
                    // The last is told of drops only.
                    Held::Within | Held::Over | Held::Unwarmed(_) => continue,
                },
            };
            verdict.not_judged(device.span, &device.name, reason);
            break;
        }
    }
}

fn fault(
    facts: &Facts,
    probe: &GroundedProbe,
    phase: Phase,
    range: &Range<ProbeShift>,
    limit: TemperatureDifference,
    bonds: &[BondId],
    body: BodyId,
) -> Fault {
    let h = facts.harness;
    let units = h.header.units;
    let (device, gauge) = (h.device(probe.sensor), h.device(probe.gauge));
    let nearer = if range.high.volts.abs() < range.low.volts.abs() { &range.high } else { &range.low };
    let least = if range.open.is_some() { "at least " } else { "" };
    let low = nearer.volts < Voltage::ZERO;
    let way = if low { "low" } else { "high" };
    let off = match nearer.error {
        Some(error) => format!("{least}{} {way}", whole_difference(error, units)),
        None => format!("off its range, {way},"),
    };
    let mut fault = Fault::new(format!(
        "`{}` reads {off} at {} {}; new wire may be {} off",
        device.name,
        whole(probe.at, units),
        phase.words(),
        limit.show(units)
    ))
    .at(
        device.span,
        &device.name,
        format!(
            "its junction touches `{}`, {least}{} {} the ground of `{}`",
            h.body(body).name,
            probe_volts(h, nearer.volts),
            if low { "below" } else { "above" },
            gauge.name
        ),
    )
    .at(gauge.span, &gauge.name, "measures against its own ground");
    for bond in bonds.iter().map(|id| h.bond(*id)) {
        fault = fault.at(bond.span, &bond.name, "lifts it by what it carries");
    }
    if phase == Phase::Cranking {
        fault = fault.weighs(Severity::Note);
    }
    fault.seen("a temperature that jumps as the alternator or a lamp is switched on")
}
