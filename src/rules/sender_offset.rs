//! Senders in; those out that ground currents put further off than the sender's tolerance.

use super::ground_words::{size, taken, unsure};
use super::{Facts, Fault, Rule, Source, Verdict};
use crate::diag::Severity;
use crate::graph::engine_return::insulates;
use crate::graph::ground_limit::{Held, offset_held};
use crate::graph::ground_network::{Misread, Offset, Range, Sender, Unread};
use crate::graph::ground_volts::beyond;
use crate::graph::{Phase, Scenario, Through, Unsure};
use crate::harness::{BodyId, Harness};
use crate::parts::words::Measure;
use crate::quantity::{Reading, Voltage, beside};
use crate::spec::words::BodyKind;

/// The rule.
pub static RULE: Rule = Rule {
    name: "sender-offset",
    title: "Ground currents shift a reading past its tolerance",
    severity: Severity::Doubt,
    why: "What grounds and returns drop under other currents is added to the signal: a pressure that looks safe is not, \
          or the pilot lands for one that was.",
    limit: "the declared tolerance of the sender, held against the voltage between its zero and the indicator's, the copper as \
            warm as its zones; where one does not say how hot it gets, from 20 °C (common practice, no source) to what the \
            insulation stands, and not judged where the verdict hangs on it",
    source: Source::Physics(
        "Ohm's and Kirchhoff's laws over wires, grounds and bonds; the sender's own scale",
    ),
    remedy: "open a ground loop first where there is one; give the grounds that are shared thicker or shorter wire, or use a \
             sender with a return wire of its own",
    check,
};

fn check(facts: &Facts<'_>, verdict: &mut Verdict) {
    let h = facts.harness;
    for sender in &facts.ground.senders {
        let device = h.device(sender.device);
        let Some(port) = device.ports.get(sender.port as usize) else { continue };
        let mut cannot = |reason: String| verdict.not_judged(device.span, &device.name, reason);
        let Some(tolerance) = port.tolerance.filter(|_| !port.scale.is_empty()) else {
            cannot("its part has no scale with a tolerance (`scale:`, `tolerance:`)".to_owned());
            continue;
        };
        match sender.zeros {
            Ok(_) => {}
            Err(Unread::NoReturn) => {
                cannot(
                    "its return is not wired, and the body it is grounded on is not given (`body:`)"
                        .to_owned(),
                );
                continue;
            }
            Err(Unread::NoGround) => {
                cannot(format!("`{}` has no ground to measure against", facts.device_spot(sender.reader).1));
                continue;
            }
        }
        let at = |phase| sender.offsets.iter().find(|(s, _)| *s == Scenario::Whole(phase)).map(|(_, o)| *o);
        let held = |range: &Range<Offset>| offset_held(range, tolerance, sender.at_least);
        let is_over = |phase| matches!(at(phase), Some(Ok(range)) if held(&range) == Some(Held::Over));
        if let Some(phase) = Phase::ALL.into_iter().find(|p| is_over(*p)) {
            verdict.finds(fault(facts, sender, phase, tolerance));
            continue;
        }
        for phase in Phase::ALL {
            let reason = match at(phase) {
                Some(Err(why)) => why_not(facts, why, phase),
                Some(Ok(range)) => match held(&range) {
                    None => {
                        let reader = facts.pin_name(sender.reader);
                        format!(
                            "how `{reader}` reads a resistance is not given (`bias:`), or its wire is not known"
                        )
                    }
                    Some(Held::Open(through)) => unsure(facts, Unsure::Resistance(through)),
                    Some(Held::AtLeast) => {
                        "a load of unknown current shares its grounds (`current:`)".to_owned()
                    }
                    // The last is told of drops only.
                    Some(Held::Within | Held::Over | Held::Unwarmed(_)) => continue,
                },
                None => continue,
            };
            verdict.not_judged(device.span, &device.name, reason);
            break;
        }
    }
}

/// What is not known on the way is named so often: a return from sender to sender passes as many wires as there are senders.
const TOLD: usize = 6;

/// Why an offset in a phase is not known, and what mends it.
pub(super) fn why_not(facts: &Facts, why: Unsure, phase: Phase) -> String {
    match why {
        Unsure::Current(bond) => {
            let b = facts.harness.bond(bond);
            let cranks = phase == Phase::Cranking && b.carries.is_some();
            let key = if cranks { "cranking" } else { "carries" };
            format!("what flows through the bond `{}` {} is not given (`{key}:`)", b.name, phase.words())
        }
        other => unsure(facts, other),
    }
}

fn fault(facts: &Facts, sender: &Sender, phase: Phase, tolerance: Reading) -> Fault {
    let h = facts.harness;
    let device = h.device(sender.device);
    let told = sender.offsets.iter().filter_map(|(scenario, offset)| match scenario {
        Scenario::Whole(p) => Some((*p, offset.as_ref().ok()?)),
        Scenario::Open(..) => None,
    });
    let told: Vec<(Phase, &Range<Offset>)> = told.collect();
    let found = told.iter().find(|(p, _)| *p == phase).map(|(_, range)| *range);
    let error = found.and_then(|range| nearer(range).misread).map_or(tolerance, |m| m.error.abs());
    let most = &beside(error, tolerance, Reading::show)[1];
    let shown = |error: Reading| beside(error, tolerance, Reading::show)[0].clone();
    let message = found.map(|range| error_words(range, &shown)).unwrap_or_default();
    let volts = found.map_or(Voltage::ZERO, |range| nearer(range).volts);
    let open = found.is_some_and(|range| range.open.is_some()) && beyond(h, volts).is_none();
    let least = if open { "at least " } else { "" };
    let mut fault =
        Fault::new(format!("`{}` reads {message} {}, its tolerance is {most}", device.name, phase.words()));
    fault = fault.at(
        device.span,
        &device.name,
        format!("its zero lies {least}{} {} that of its indicator", size(h, volts), above(volts)),
    );
    let shares = shares(facts, sender, phase, volts);
    // What is lost in the last figure shown is no place to look at.
    let least = volts.abs() * 0.01;
    for (through, share) in shares.iter().filter(|(_, share)| most_of(share) > least) {
        fault = label(facts, fault, *through, &share_words(h, share));
    }
    if let Some(open) = found.and_then(|range| range.open) {
        let unsaid = |through: &Through| match through {
            Through::Bond(id) => h.bond(*id).resistance.is_none(),
            Through::Conductor(id) => {
                facts.ground.resistance(*id).ok().is_none_or(|range| range.exact().is_none())
            }
            _ => false,
        };
        let on_way = sender.way.iter().map(|(through, _)| *through);
        for through in on_way.filter(unsaid).take(TOLD).chain([open]) {
            fault = label(facts, fault, through, taken(facts, through));
        }
    }
    if phase == Phase::Cranking {
        fault = fault.weighs(Severity::Note);
    }
    fault = fault.mend(remedy(facts, sender, &shares));
    let what = device.measures.map_or("the reading", Measure::words);
    let words = told.iter().filter(|(_, o)| o.low.misread.is_some());
    let words: Vec<String> =
        words.map(|(p, o)| format!("{} {}", error_words(o, &shown), p.words())).collect();
    let same = told.windows(2).all(|w| w[0].1 == w[1].1);
    fault.seen(match words.first() {
        Some(first) if same => {
            format!("{what} reads {}", first.trim_end_matches(Phase::Cruise.words()).trim_end())
        }
        _ => format!("{what} reads {}", words.join(", ")),
    })
}

/// What each wire and bond on the way adds to an offset; below zero what it takes off. The largest first.
fn shares(facts: &Facts, sender: &Sender, phase: Phase, volts: Voltage) -> Vec<(Through, Range<Voltage>)> {
    let turned = |part: Range<Voltage>| match volts < Voltage::ZERO {
        true => Range { low: -part.high, high: -part.low, open: part.open },
        false => part,
    };
    let terms = facts.ground.terms(sender, phase).into_iter();
    let mut shares: Vec<_> = terms.map(|(through, part)| (through, turned(part))).collect();
    shares.sort_by_key(|(_, share)| std::cmp::Reverse(most_of(share)));
    shares
}

fn most_of(share: &Range<Voltage>) -> Voltage {
    share.low.abs().max(share.high.abs())
}

fn share_words(h: &Harness, share: &Range<Voltage>) -> String {
    let sign = |volts: Voltage| if volts < Voltage::ZERO { "off it" } else { "of it" };
    let words = |volts: Voltage| format!("{} {}", size(h, volts), sign(volts));
    match share.exact() {
        Some(volts) => beyond(h, *volts).unwrap_or_else(|| words(*volts)),
        None if sign(share.low) == sign(share.high) => {
            let (least, most) = (share.low.abs().min(share.high.abs()), most_of(share));
            format!("between {} and {} {}", size(h, least), size(h, most), sign(share.low))
        }
        None => format!("between {} and {}", words(share.low), words(share.high)),
    }
}

fn label(facts: &Facts, fault: Fault, through: Through, words: &str) -> Fault {
    let h = facts.harness;
    match through {
        Through::Bond(id) => fault.at(h.bond(id).span, &h.bond(id).name, words),
        Through::Conductor(id) => {
            let (span, circuit) = facts.spot(id);
            fault.at(span, circuit, format!("`{}`: {words}", h.conductor(id).mark))
        }
        _ => fault,
    }
}

/// What mends it; only what surely adds to the offset is worth mending. While there is a loop nothing else is worth doing, and the figures will be others without it. The one
/// ground of the indicators is never moved to please a sender on another body: see `split-engine-ground`.
fn remedy(facts: &Facts, sender: &Sender, shares: &[(Through, Range<Voltage>)]) -> String {
    let h = facts.harness;
    let reader = h.device(h.pin(sender.reader).device);
    let on_way = |through: &Through| sender.way.iter().any(|(passed, _)| passed == through);
    let looped = facts.ground_loops.iter().find(|found| {
        let of_loop = found.steps.iter().map(|step| step.through);
        of_loop.into_iter().any(|through| match through {
            Through::Conductor(_) => on_way(&through),
            Through::Bond(bond) => sender.bonds.contains(&bond),
            _ => false,
        })
    });
    if looped.is_some() {
        return "open the loop first (`ground-loop`), and check again: the figures will be others".to_owned();
    }
    let adds = shares.iter().filter(|(_, share)| share.low > Voltage::ZERO);
    let most = adds.rev().max_by_key(|(_, share)| share.low).map(|(through, _)| *through);
    if let Some(Through::Bond(bond)) =
        most.filter(|through| matches!(through, Through::Bond(bond) if insulates(h, *bond).is_some()))
    {
        let name = &h.bond(bond).name;
        return format!("mend the bond `{name}` first (`insulating-bond`), and check again");
    }
    let Ok(zeros) = &sender.zeros else { return RULE.remedy.to_owned() };
    let wire = match most {
        Some(Through::Conductor(id)) => {
            format!("give wire `{}` more copper or a shorter way, or ", h.conductor(id).mark)
        }
        _ => String::new(),
    };
    let Some(body) = zeros.body else {
        let name = &h.device(sender.device).name;
        return format!(
            "{wire}give the return of `{name}` a wire to `{}` that nothing else shares",
            reader.name
        );
    };
    let with_return = format!("{wire}use a sender with a return wire of its own to `{}`", reader.name);
    let on_engine = |body: BodyId| h.body(body).kind == BodyKind::Engine;
    let grounded =
        facts.electrical.net(zeros.reference).contacts.iter().map(|c| c.body).find(|b| on_engine(*b));
    match grounded {
        Some(engine) if engine == body => with_return,
        None if on_engine(body) => {
            format!("ground `{}` at the engine's ground point, or {with_return}", reader.name)
        }
        _ => format!("{with_return}, insulated from `{}`", h.body(body).name),
    }
}

/// The end at which the reading is less far off.
fn nearer(range: &Range<Offset>) -> &Offset {
    let size = |offset: &Offset| offset.misread.map_or(0.0, |m| m.error.abs().value());
    if size(&range.high) < size(&range.low) { &range.high } else { &range.low }
}

/// `4.2 psi high at 60 psi`; where a resistance leaves it open, what it is at least, or both ends.
fn error_words(range: &Range<Offset>, shown: &dyn Fn(Reading) -> String) -> String {
    let words = |offset: &Offset| offset.misread.map(|m| of_one(m, shown)).unwrap_or_default();
    let low = |offset: &Offset| offset.misread.map(|m| m.error.value() < 0.0);
    match range.exact() {
        Some(offset) => words(offset),
        None if low(&range.low) == low(&range.high) => format!("at least {}", words(nearer(range))),
        None => format!("between {} and {}", words(&range.low), words(&range.high)),
    }
}

fn of_one(m: Misread, shown: &dyn Fn(Reading) -> String) -> String {
    let way = if m.error.value() < 0.0 { "low" } else { "high" };
    match m.off_scale {
        true => format!("off its scale, {way},"),
        false => format!("{} {way} at {}", shown(m.error.abs()), m.at.show()),
    }
}

fn above(volts: Voltage) -> &'static str {
    if volts < Voltage::ZERO { "below" } else { "above" }
}
