//! Why the ground does what it does: resistances, drops, offsets of senders and straps that come loose, term by term.

use super::ground_words::{self, between};
use super::why::{Asked, Derivation, Line};
use super::why_offset;
use crate::graph::conductor_ohms::{self, Along, NoResistance, Stretch, Unsaid, stretches};
use crate::graph::engine_return::bonds_around;
use crate::graph::ground_network::{Drop, DropTerm, Lost, NoDrop, Offset, Range, Sender, Strap, StrapOpen};
use crate::graph::ground_volts::beyond;
use crate::graph::{Phase, Scenario, Through, Unsure, duty_of, only_circuit_at};
use crate::harness::{BondId, CircuitId, ConductorId, DeviceId};
use crate::quantity::{Resistance, Voltage};
use crate::trade::voltage_drop::{Duty, allowed_drop};
use crate::trade::wire_table::{resistance, resistance_at_20, warming_source};

const OHM: &str = "Ohm's law";
pub(super) const KIRCHHOFF: &str = "Kirchhoff's laws over the ground network";

/// Resistance of a wire, and what flows in it.
pub(super) fn of_conductor(asked: &Asked, id: ConductorId, told: &mut Derivation) {
    let h = asked.h;
    let units = h.header.units;
    match (asked.loading.ground.resistance(id), stretches(h, asked.routing, id)) {
        (Ok(sum), Ok(all)) => {
            let value = between(&sum, |ohms| ohms.show(units));
            told.figure("resistance", value, all.iter().map(|s| stretch(asked, id, s)).collect());
        }
        (Err(NoResistance::Alloy(alloy)), _) | (_, Err(NoResistance::Alloy(alloy))) => {
            let words = format!("not known: {} is in no table here", alloy.name());
            told.figure("resistance", words, Vec::new());
        }
        (Err(NoResistance::Warmth(unsaid) | NoResistance::Open(unsaid)), _) => {
            told.figure("resistance", format!("not known: {}", says_none(asked, unsaid)), Vec::new());
        }
        _ => told.figure("resistance", "not known: it has no path", Vec::new()),
    }
    for phase in Phase::ALL {
        let carried = asked.loading.ground.carried(id, phase);
        if let (Err(why), true) = (carried, asked.loading.ground.is_beside_bonds(id)) {
            let words = format!("not known: {}", unsure(asked, why));
            told.figure(&format!("current {}", phase.words()), words, Vec::new());
        }
        let exact = carried.ok().and_then(|range| range.exact().copied());
        if let Some(current) = exact.filter(|i| i.amps() != 0.0) {
            let c = h.conductor(id);
            let ends = [c.from, c.to].map(|pin| h.pin(pin).name.as_str());
            let [from, to] = if current.amps() < 0.0 { [ends[1], ends[0]] } else { ends };
            let mut lines = vec![Line::of(format!("from {from} to {to}"), "").by(KIRCHHOFF)];
            lines.extend(
                asked.loading.ground.silent(id).map(|pin| {
                    Line::of(format!("and a share of what {} takes", h.pin(pin).name), "not known")
                }),
            );
            told.figure(&format!("current {}", phase.words()), current.abs().show(units), lines);
        }
    }
}

fn stretch(asked: &Asked, id: ConductorId, s: &Stretch) -> Line {
    let h = asked.h;
    let units = h.header.units;
    let words = match s.along {
        Along::Run(run) => format!("run {}", h.run(run).name),
        Along::Tail(pin) => format!("tail at {}", h.pin(pin).name),
        Along::ServiceLoop(device) => format!("service loop at {}", h.device(device).name),
        Along::Declared => "length as the circuit says".to_owned(),
    };
    let c = h.conductor(id);
    let (linear, basis) = resistance_at_20(c.gauge);
    let warmth = s.warmth.value.show(units);
    let stands = asked.library.wires.get(c.wire).rated.map(|stands| stands.max(s.warmth.value));
    let (value, at) = match s.unsaid.zip(stands) {
        Some((unsaid, stands)) => {
            let most = resistance(c.gauge, s.length.value, stands).show(units);
            let said = says_none(asked, unsaid);
            let at = format!("from {warmth} to the {} that it stands: {said}", stands.show(units));
            (format!("{} to {most}", s.resistance.show(units)), at)
        }
        None => (s.resistance.show(units), format!("at {warmth}")),
    };
    let formula =
        format!("{} × {} × (234.5 + T) / 254.5 {at}", s.length.value.show(units), linear.show(units));
    Line::of(words, value)
        .because(formula)
        .at(s.length.span.into_iter().chain(s.warmth.span))
        .by_default(s.length.span.is_none())
        .by(format!("{}, AC 43.13-1B page 11-22", basis.source()))
}

/// What leaves it open how warm copper gets.
fn says_none(asked: &Asked, unsaid: Unsaid) -> String {
    match unsaid {
        Unsaid::Zone(zone) => format!("zone `{}` says no ambient", asked.h.zone(zone).name),
        Unsaid::Place => "in which zone it lies is not known".to_owned(),
    }
}

/// Drops of the loads that the circuit feeds.
pub(super) fn of_circuit(asked: &Asked, id: CircuitId, told: &mut Derivation) {
    let h = asked.h;
    let fed = |drop: &&Drop| {
        let ends = |c: &ConductorId| [h.conductor(*c).from, h.conductor(*c).to].contains(&drop.pin);
        h.conductors_of(id).any(|c| ends(&c))
    };
    for drop in asked.loading.ground.drops.iter().filter(fed) {
        let name = format!("drop at {}", h.pin(drop.pin).name);
        match &drop.known {
            Ok(range) => {
                let units = h.header.units;
                let value = between(range, |lost: &Lost| lost.total().show(units));
                // Where a resistance leaves it open, the terms of the most.
                let known =
                    asked.loading.ground.dropped(h, drop).map(|dropped| dropped.high).unwrap_or_default();
                let parts = [("feed", &known.supply), ("return", &known.back)];
                let lines = parts.into_iter().flat_map(|(way, terms)| terms.iter().map(move |t| (way, t)));
                let mut lines: Vec<Line> = lines.map(|(way, t)| drop_term(asked, way, t)).collect();
                lines.extend(left_open(asked, range));
                lines.extend(allowed(asked, drop));
                told.figure(&name, value, lines);
            }
            Err(why) => told.figure(&name, format!("not known: {}", no_drop(asked, *why)), Vec::new()),
        }
    }
}

fn drop_term(asked: &Asked, way: &str, t: &DropTerm) -> Line {
    let h = asked.h;
    let units = h.header.units;
    let c = h.conductor(t.conductor);
    let formula = format!(
        "{} × {} with the copper at {}{}",
        t.current.show(units),
        t.resistance.show(units),
        t.warmth.show(units),
        if t.at_most { ", the most that its insulation stands" } else { "" }
    );
    Line::of(format!("{way}: {} of {}", c.mark, h.circuit(c.circuit).name), t.drop.show(units))
        .because(formula)
        .at([c.span])
        .by(format!("{OHM}; warmed by its own current, {}", warming_source()))
}

fn allowed(asked: &Asked, drop: &Drop) -> Option<Line> {
    let h = asked.h;
    let supply = h.header.supply?;
    let electrical = &asked.loading.electrical;
    let duty = duty_of(h, electrical, drop.pin, only_circuit_at(h, electrical, drop.feed));
    let word = match duty {
        Duty::Continuous => "continuous",
        Duty::Intermittent => "intermittent",
    };
    let allowed = allowed_drop(supply.value, duty)?;
    let words = format!("allowed on {}, {word}", supply.value.show(h.header.units));
    Some(Line::of(words, allowed.drop.show(h.header.units)).at([supply.span]).by(allowed.source()))
}

fn no_drop(asked: &Asked, why: NoDrop) -> String {
    ground_words::no_drop(asked.h, why)
}

pub(super) fn unsure(asked: &Asked, why: Unsure) -> String {
    let h = asked.h;
    let Unsure::Resistance(Through::Conductor(id)) = why else { return ground_words::unsure(h, why) };
    let mark = &h.conductor(id).mark;
    match conductor_ohms::unsaid(h, asked.routing, id) {
        Some(unsaid) => format!("how warm {mark} gets is not known: {}", says_none(asked, unsaid)),
        None if asked.loading.ground.resistance(id).is_ok() => {
            format!("how far its current warms {mark} is not known")
        }
        None => ground_words::unsure(h, why),
    }
}

pub(super) fn volts_words(asked: &Asked, volts: Voltage) -> String {
    ground_words::volts(asked.h, volts)
}

/// What leaves a value open.
pub(super) fn left_open<T>(asked: &Asked, range: &Range<T>) -> Option<Line> {
    let open = range.open?;
    let ends = if asked.loading.ground.is_bounded(open) {
        "taken at the least and at the most that it stands"
    } else {
        "taken as none and as open"
    };
    let words = format!("{}: {ends}", unsure(asked, Unsure::Resistance(open)));
    Some(Line::of(words, "").by("a voltage is a Moebius function of each resistance: its ends lie at theirs"))
}

/// Offsets of a sender, in every state of the grounds.
pub(super) fn of_sender(asked: &Asked, id: DeviceId, told: &mut Derivation) {
    for sender in asked.loading.ground.senders.iter().filter(|s| s.device == id) {
        let reader = asked.h.pin(sender.reader).name.clone();
        told.figure("read at", reader, reading(asked, sender));
        let state = |scenario: &Scenario| ground_words::state(asked.h, *scenario);
        if let Some(bond) = sender.hangs_on().next() {
            let words = format!("no zero to read against: {} open", asked.h.bond(bond).name);
            told.figure("worst offset", words, vec![zero_lost(asked)]);
        } else if let Some((scenario, offset)) = sender.worst() {
            let line = Line::of(state(&scenario), volts_words(asked, offset.volts)).by(KIRCHHOFF);
            told.figure("worst offset", offset_words(asked, &offset), vec![line]);
        }
        for (scenario, offset) in &sender.offsets {
            let name = format!("offset {}", state(scenario));
            match offset {
                Ok(range) => {
                    let terms = offset_terms(asked, sender, *scenario, range);
                    told.figure(&name, between(range, |offset| offset_words(asked, offset)), terms);
                }
                Err(Unsure::Apart) if matches!(scenario, Scenario::Open(..)) => {
                    told.figure(&name, "no zero to read against", vec![zero_lost(asked)]);
                }
                Err(why) => told.figure(&name, format!("not known: {}", unsure(asked, *why)), Vec::new()),
            }
        }
    }
}

/// Nothing but its signal wire leads from the body of a sender to its indicator.
fn zero_lost(asked: &Asked) -> Line {
    let up_to = asked
        .h
        .header
        .supply
        .map(|v| format!("up to the {} of the supply", v.value.show(asked.h.header.units)));
    Line::of(
        "nothing joins its case to the indicator's ground",
        up_to.unwrap_or_else(|| "up to the supply".to_owned()),
    )
    .because("what the engine makes and takes then seeks its way through signal wires and pins")
    .by(KIRCHHOFF)
}

/// Contacts are not measured, and no document that can be read gives a figure for those of this harness.
pub(super) fn not_counted() -> Line {
    Line::of("contacts, crimps, lugs on studs and splices", "not counted")
        .because("taken as no resistance: none of them is measured")
        .by("no source")
}

fn offset_words(asked: &Asked, offset: &Offset) -> String {
    ground_words::offset(asked.h, offset)
}

fn offset_terms(asked: &Asked, sender: &Sender, scenario: Scenario, range: &Range<Offset>) -> Vec<Line> {
    let h = asked.h;
    let mut lines = Vec::new();
    if let Ok(zeros) = &sender.zeros {
        let name = |pin| h.pin(pin).name.as_str();
        let words = format!("{} above {}", name(zeros.sender), name(zeros.reference));
        let volts = between(range, |offset| volts_words(asked, offset.volts));
        lines.push(Line::of(words, volts).by(KIRCHHOFF));
    }
    lines.extend(left_open(asked, range));
    if let (Scenario::Whole(phase), Some(offset)) = (scenario, range.exact()) {
        let all = asked.loading.ground.terms(sender, phase);
        let exact = |(through, volts): &(Through, Range<Voltage>)| Some((*through, *volts.exact()?));
        let terms: Vec<(Through, Voltage)> = all.iter().filter_map(exact).collect();
        let sum: Voltage = terms.iter().map(|(_, v)| *v).sum();
        lines.extend(terms.iter().filter_map(|(through, volts)| term(asked, *through, phase, *volts)));
        let rest = offset.volts - sum;
        if beyond(h, offset.volts).is_none()
            && terms.len() == all.len()
            && rest.abs() > Voltage::from_millivolts(0.001)
        {
            lines.push(Line::of("in leads of the senders' own", volts_words(asked, rest)).by(OHM));
        }
    }
    lines.push(not_counted());
    lines
}

/// What turns volts into a reading: signal wire, divider, scale.
fn reading(asked: &Asked, sender: &Sender) -> Vec<Line> {
    let h = asked.h;
    let units = h.header.units;
    let mut lines = Vec::new();
    if let Some(wire) = sender.wire {
        let ohms = between(&wire, |ohms| ohms.show(units));
        lines.push(Line::of("signal wire, which the sender's current passes too", ohms).by(OHM));
        if let Some(bias) = h.port_of(sender.reader).and_then(|(port, _)| port.bias) {
            let words = format!("through {}", bias.through.show(units));
            let formula = "a pin at v is taken for a sender of R₀ v / (V − v)";
            lines.push(Line::of(words, bias.volts.show(units)).because(formula).by("voltage divider"));
        }
    }
    if let Some(port) = h.device(sender.device).ports.get(sender.port as usize) {
        let points = port.scale.iter().map(|p| Line::of(p.gives.to_string(), p.reads.show()).by("the part"));
        lines.extend(points);
        lines.extend(port.tolerance.map(|t| Line::of("tolerance", t.show()).by("the part")));
        lines.extend(why_offset::excitation(port));
    }
    lines
}

fn term(asked: &Asked, through: Through, phase: Phase, volts: Voltage) -> Option<Line> {
    let h = asked.h;
    let units = h.header.units;
    match through {
        Through::Conductor(id) => {
            let c = h.conductor(id);
            let current = asked.loading.ground.carried(id, phase).ok()?.exact()?.abs();
            let ohms = *asked.loading.ground.resistance(id).ok()?.exact()?;
            let formula = format!("{} × {}", current.show(units), ohms.show(units));
            let words = format!("{} of {}", c.mark, h.circuit(c.circuit).name);
            Some(Line::of(words, volts_words(asked, volts)).because(formula).at([c.span]).by(OHM))
        }
        Through::Bond(id) => {
            let b = h.bond(id);
            let spans = b.resistance.map(|r| r.span);
            let formula = match (asked.loading.ground.driven(id, phase), b.resistance) {
                (Some(d), Some(r)) => {
                    let (drives, ohms) = (d.drives.show(units), bond_ohms(asked, r.value));
                    format!("{drives} driven between its bodies, {ohms}")
                }
                _ => String::new(),
            };
            let volts = volts_words(asked, volts);
            Some(Line::of(b.name.clone(), volts).because(formula).at(spans).by(OHM))
        }
        _ => None,
    }
}

/// Resistance of a bond as the spec gives it: nobody measures nothing, so that it is taken at its word is said.
fn bond_ohms(asked: &Asked, given: Resistance) -> String {
    if given == Resistance::ZERO { "0 Ω as given".to_owned() } else { given.show(asked.h.header.units) }
}

/// A bond: what it carries and drops, and what becomes of the harness without it.
pub(super) fn bond(asked: &Asked, id: BondId) -> Derivation {
    let h = asked.h;
    let units = h.header.units;
    let b = h.bond(id);
    let ends = b.ends.map(|end| h.body(end).name.as_str());
    let mut told = Derivation::of(&b.name, format!("bond from {} to {}", ends[0], ends[1]), Some(b.span));
    match b.resistance {
        Some(r) => {
            let given = vec![Line::of("as the spec says", "").at([r.span])];
            told.figure("resistance", bond_ohms(asked, r.value), given);
        }
        None => told.figure("resistance", "not given", Vec::new()),
    }
    for phase in Phase::ALL {
        let (Some(driven), Some(volts)) =
            (asked.loading.ground.driven(id, phase), asked.loading.ground.across(id, phase))
        else {
            continue;
        };
        let said = if b.carries.is_some_and(|c| c.value == driven.said) { b.carries } else { b.cranking };
        let [high, low] = if volts < Voltage::ZERO { [ends[1], ends[0]] } else { ends };
        let mut line =
            Line::of("driven from body to body", driven.drives.show(units)).at(said.map(|c| c.span));
        if let (true, Some(supply)) = (driven.drives < driven.said, h.header.supply) {
            let (most, said) = (supply.value.show(units), driven.said.show(units));
            line = line.because(format!("{most} drive no more of the {said} that are said")).by(OHM);
        }
        let above = match volts {
            Voltage::ZERO => format!("{high} lies level with {low}"),
            _ => format!("{high} lies above {low}"),
        };
        let above = Line::of(above, "").by(KIRCHHOFF);
        let volts = volts_words(asked, volts.abs());
        told.figure(&format!("voltage {}", phase.words()), volts, vec![line, above]);
    }
    match asked.loading.ground.straps.get(id.index()) {
        Some(Strap::Alone) => {
            let others: Vec<String> =
                bonds_around(h, id).into_iter().map(|other| format!("`{}`", h.bond(other).name)).collect();
            let bonds = if others.len() == 1 { "the bond" } else { "the bonds" };
            let goes = match others.is_empty() {
                true => stops(asked, id),
                false => format!("its current takes {bonds} {}", others.join(" and ")),
            };
            told.figure("if it opens", format!("no wire of the harness leads around it: {goes}"), Vec::new());
        }
        Some(Strap::Around(opens)) => opens.iter().for_each(|open| if_open(asked, open, &mut told)),
        Some(Strap::Unsure(why)) => {
            told.figure("if it opens", format!("not known: {}", unsure(asked, *why)), Vec::new());
        }
        None => {}
    }
    told
}

/// What is left of the current of a bond that nothing leads around.
fn stops(asked: &Asked, id: BondId) -> String {
    let senders = asked.loading.ground.senders.iter().filter(|s| s.hangs_on().any(|bond| bond == id));
    let names: Vec<&str> = senders.map(|s| asked.h.device(s.device).name.as_str()).collect();
    match names.split_last() {
        None => "its current stops".to_owned(),
        Some((only, [])) => {
            format!("what is left of its current takes the signal wire of {only}, which loses its zero")
        }
        Some((last, first)) => format!(
            "what is left of its current takes the signal wires of {} and {last}, which lose their zero",
            first.join(", ")
        ),
    }
}

fn if_open(asked: &Asked, open: &StrapOpen, told: &mut Derivation) {
    let h = asked.h;
    let units = h.header.units;
    let [least, most] = if open.open.is_some() { ["at least ", "at most "] } else { ["", ""] };
    let mut lines = vec![
        Line::of("resistance of the ways that are left", format!("{most}{}", open.around.show(units)))
            .by(KIRCHHOFF),
    ];
    match open.open {
        None => lines.extend(flows(asked, open)),
        Some(open) => lines.push(Line::of(
            format!(
                "{}: taken at the least and at the most that it stands",
                unsure(asked, Unsure::Resistance(open))
            ),
            "",
        )),
    }
    lines.push(
        Line::of("from body to body", format!("{least}{}", volts_words(asked, open.gap))).by(KIRCHHOFF),
    );
    lines.extend(open.overloads.iter().map(|o| {
        let c = h.conductor(o.conductor);
        let formula = format!(
            "it may carry {}: {} of the table × {}",
            o.rating.ampacity.show(units),
            o.rating.tabled.show(units),
            o.rating.factor.show(units)
        );
        Line::of(
            format!("{} of {}, {}", c.mark, h.circuit(c.circuit).name, c.gauge),
            format!("{least}{}", o.current.show(units)),
        )
        .because(formula)
        .at([c.span])
        .by("AC 43.13-1B CHG 1 Table 11-9")
    }));
    lines.extend(open.perhaps.iter().map(|id| {
        let c = h.conductor(*id);
        let words = format!("{} of {}, {}", c.mark, h.circuit(c.circuit).name, c.gauge);
        Line::of(words, "not known whether it carries more than it may").at([c.span])
    }));
    let flows = format!("{least}{}", open.flows.show(units));
    told.figure(&format!("if it opens {}", open.phase.words()), flows, lines);
}

/// What the supply still drives, and how hard it is held back, where nothing leaves that open.
fn flows(asked: &Asked, open: &StrapOpen) -> Vec<Line> {
    let h = asked.h;
    let units = h.header.units;
    let driven = open.driven;
    let still = Line::of("still flows", open.flows.show(units));
    let (Some(supply), Some(own)) = (h.header.supply, driven.own) else {
        let all = "all of it: no supply voltage limits it";
        return vec![if driven.said.amps() > 0.0 { still.because(all).by(OHM) } else { still }];
    };
    let (volts, span) = (supply.value.show(units), [supply.span]);
    let with_bond = match driven.drives < driven.said {
        true => Line::of("resistance of what drives it", "none")
            .because(format!("{volts} drive no more than {} with the bond", driven.drives.show(units))),
        false => Line::of("resistance of what drives it", own.show(units)).because(format!(
            "({volts} − {} over the bond) / {}",
            driven.lift.show(units),
            driven.said.show(units)
        )),
    };
    // What others drive through the ways that are left holds it back, or helps it.
    let others = supply.value - open.flows * (own + open.around);
    let left = match others.abs() < supply.value * 1e-4 {
        true => volts,
        false => {
            let sign = if others < Voltage::ZERO { "+" } else { "−" };
            format!("({volts} {sign} {} of other currents there)", others.abs().show(units))
        }
    };
    let around = open.around.show(units);
    let formula = match driven.drives < driven.said {
        true => format!("{left} / {around}"),
        false => format!("{left} / ({} + {around})", own.show(units)),
    };
    vec![with_bond.at(span).by(OHM), still.because(formula).at(span).by(OHM)]
}
