//! Thermocouple legs and their insulation colours in; legs whose colour says another polarity out.

use std::collections::BTreeMap;

use super::{Facts, Fault, Rule, Source, Verdict};
use crate::diag::{Severity, Span};
use crate::graph::{Chain, Piece, ThermocoupleRun};
use crate::harness::{CircuitId, ConductorId};
use crate::parts::words::Role;
use crate::trade::colour::Colour;
use crate::trade::thermocouple_colour::{Alloy, ColourStandard};

/// The rule.
pub static RULE: Rule = Rule {
    name: "colour-against-polarity",
    title: "The colour of a thermocouple leg says another polarity",
    severity: Severity::Stop,
    why: "The next person believes the colour: red is minus in one standard and no leg of this type in the other.",
    limit: "colours of the declared standard: ANSI red is minus, IEC white is minus",
    source: Source::Document {
        document: "ASTM E230 / ANSI MC96.1 and IEC 60584-3",
        place: "conductor colours, as printed in makers' copies",
    },
    remedy: "connect the pair by its colours, or correct `colours:` or `thermocouple-colours:`",
    check,
};

fn check(facts: &Facts<'_>, verdict: &mut Verdict) {
    let mut undeclared: Option<(Span, &str)> = None;
    for run in facts.thermocouples {
        // Both legs of a circuit have one cause and one finding.
        let mut wrong: BTreeMap<CircuitId, Vec<(Role, ConductorId)>> = BTreeMap::new();
        for (side, leg) in [(Role::Plus, &run.plus), (Role::Minus, &run.minus)] {
            for piece in &leg.pieces {
                let Piece::Conductor(c) = *piece else { continue };
                // Copper is told elsewhere, and its colour means nothing here.
                if facts.harness.conductor(c).alloy == Alloy::Copper {
                    continue;
                }
                match standard_of(facts, c) {
                    None => {
                        undeclared.get_or_insert(facts.spot(c));
                    }
                    Some((standard, _)) if says_wrong(facts, run, standard, side, c) => {
                        wrong.entry(facts.harness.conductor(c).circuit).or_default().push((side, c));
                    }
                    Some(_) => {}
                }
            }
        }
        for legs in wrong.values() {
            verdict.finds(fault(facts, run, legs));
        }
    }
    if let Some((span, id)) = undeclared {
        verdict.not_judged(
            span,
            id,
            "the colour standard is not declared (`thermocouple-colours:` of the harness)",
        );
    }
}

/// The colours that hold for a conductor, and where that is said: the harness's, else those of its wire.
fn standard_of(facts: &Facts<'_>, c: ConductorId) -> Option<(ColourStandard, Option<Span>)> {
    let conductor = facts.harness.conductor(c);
    let declared = facts.harness.header.thermocouple_colours.map(|s| (s.value, Some(s.span)));
    declared.or_else(|| Some((facts.library.wires.get(conductor.wire).colour_standard?, conductor.wire_span)))
}

/// Colours of a leg of this side, and of the other one.
fn colours(run: &ThermocoupleRun, standard: ColourStandard, side: Role) -> (Colour, Colour) {
    let pair = standard.pair(run.kind);
    if side == Role::Plus { (pair.plus, pair.minus) } else { (pair.minus, pair.plus) }
}

fn says_wrong(
    facts: &Facts<'_>,
    run: &ThermocoupleRun,
    standard: ColourStandard,
    side: Role,
    c: ConductorId,
) -> bool {
    let colour = facts.harness.conductor(c).colour.value;
    let (own, other) = colours(run, standard, side);
    // A colour that is right for the gauge's pin and wrong for the probe's: the legs swap elsewhere, which is told.
    let leg = if side == Role::Plus { &run.plus } else { &run.minus };
    let at_gauge = leg.end().and_then(|p| facts.harness.port_of(p)).map(|(_, role)| role);
    colour != own && !(colour == other && at_gauge.is_some_and(|role| role != side))
}

fn fault(facts: &Facts<'_>, run: &ThermocoupleRun, legs: &[(Role, ConductorId)]) -> Fault {
    let h = facts.harness;
    let (standard, declared) = legs.first().and_then(|(_, c)| standard_of(facts, *c)).unzip();
    let standard = standard.unwrap_or(ColourStandard::Ansi);
    let (name, pair) = (standard_name(standard), standard.pair(run.kind));
    let colour = |c: &ConductorId| h.conductor(*c).colour.value;
    let is: Vec<String> =
        legs.iter().map(|(side, c)| format!("{} is {}", side.word(), colour(c).name())).collect();
    let circuit = legs.first().map_or("", |(_, c)| facts.spot(*c).1);
    let mut fault = Fault::new(format!(
        "the colours of `{}` in circuit `{circuit}` say another polarity: {}; in {name} colours plus is {} and minus is {}",
        h.device(run.sensor).name,
        is.join(" and "),
        pair.plus.name(),
        pair.minus.name(),
    ));
    for (side, c) in legs {
        let (span, id) = facts.spot(*c);
        let (own, _) = colours(run, standard, *side);
        let text = format!("{} for {}, {} expected", colour(c).name(), side.word(), own.name());
        fault = fault.at(h.conductor(*c).colour.span.unwrap_or(span), id, text);
    }
    if let Some(span) = declared.flatten() {
        fault = fault.limit(span, format!("{name} colours hold here"));
    }
    let reversed = legs.iter().any(|(side, c)| colour(c) == colours(run, standard, *side).1);
    let of_other = [ColourStandard::Ansi, ColourStandard::Iec]
        .into_iter()
        .find(|s| *s != standard && legs.iter().all(|(side, c)| side_in(*s, run, colour(c)) == Some(*side)));
    if let Some(s) = of_other {
        fault = fault.mend(format!(
            "these are {} colours: use wire of one standard throughout, and declare that one",
            standard_name(s)
        ));
    }
    // A colour that says the wrong polarity stops; one that says nothing is for a person to look at.
    if !reversed {
        fault = fault.weighs(Severity::Doubt);
    }
    let law = "whoever joins this pair by its colours swaps the legs";
    // How far, where the legs are right as they are: swapped at the gauge, with the zones at their ambient temperatures.
    let swapped = run.chain(h, facts.routing).ok().filter(Chain::is_right).map(|chain| chain.exchanged());
    match swapped.and_then(|chain| chain.seen(run.example(h), facts.harness.header.units).ok()) {
        Some(seen) if reversed => {
            fault.seen(format!("{law}: the gauge then {seen}, with the zones at their ambient temperatures"))
        }
        _ => fault.seen(format!("{law}, and the reading falls as the engine warms")),
    }
}

fn side_in(standard: ColourStandard, run: &ThermocoupleRun, colour: Colour) -> Option<Role> {
    standard.alloy_of(run.kind, colour).and_then(|alloy| run.side(alloy))
}

fn standard_name(standard: ColourStandard) -> &'static str {
    match standard {
        ColourStandard::Ansi => "ANSI",
        ColourStandard::Iec => "IEC",
    }
}
