//! Thermocouple legs and their insulation colours in; legs whose colour says another polarity out.

use super::{Facts, Fault, Rule, Source, Verdict};
use crate::diag::{Severity, Span};
use crate::graph::{Piece, ThermocoupleRun};
use crate::harness::ConductorId;
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
        place: "conductor colours",
    },
    remedy: "connect the pair by its colours, or correct `colours:` or `thermocouple-colours:`",
    check,
};

fn check(facts: &Facts<'_>, verdict: &mut Verdict) {
    let mut undeclared: Option<(Span, &str)> = None;
    for run in facts.thermocouples {
        for (side, leg) in [(Role::Plus, &run.plus), (Role::Minus, &run.minus)] {
            for piece in &leg.pieces {
                let Piece::Conductor(c) = *piece else { continue };
                let conductor = facts.harness.conductor(c);
                // Copper is told elsewhere, and its colour means nothing here.
                if conductor.alloy == Alloy::Copper {
                    continue;
                }
                let declared = facts.harness.header.thermocouple_colours;
                let of_part = facts.library.wires.get(conductor.wire).colour_standard;
                match (declared, of_part) {
                    (Some(s), _) => judge(facts, run, (side, c), (s.value, Some(s.span)), verdict),
                    (None, Some(s)) => judge(facts, run, (side, c), (s, conductor.wire_span), verdict),
                    (None, None) => {
                        undeclared.get_or_insert(facts.spot(c));
                    }
                }
            }
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

fn judge(
    facts: &Facts<'_>,
    run: &ThermocoupleRun,
    (side, c): (Role, ConductorId),
    (standard, declared): (ColourStandard, Option<Span>),
    verdict: &mut Verdict,
) {
    let conductor = facts.harness.conductor(c);
    let colour = conductor.colour.value;
    let pair = standard.pair(run.kind);
    let (own, other) = if side == Role::Plus { (pair.plus, pair.minus) } else { (pair.minus, pair.plus) };
    if colour == own {
        return;
    }
    let (span, circuit) = facts.spot(c);
    let name = standard_name(standard);
    let says = if colour == other {
        format!("{} is {} in {name} colours", colour.name(), opposite(side))
    } else {
        format!("{} is no leg of type {} in {name} colours", colour.name(), run.kind.letter())
    };
    let mut fault = Fault::new(format!(
        "the {} leg of `{}` is {} in `{circuit}`; {says}",
        side.word(),
        facts.harness.device(run.sensor).name,
        colour.name(),
    ));
    fault = match conductor.colour.span {
        Some(given) => fault.at(given, circuit, format!("{} here, {} expected", colour.name(), own.name())),
        None => fault.at(span, circuit, format!("{} here, {} expected", colour.name(), own.name())),
    };
    if let Some(span) = declared {
        fault = fault
            .limit(span, format!("{name} colours: plus {}, minus {}", pair.plus.name(), pair.minus.name()));
    }
    let other_standard = [ColourStandard::Ansi, ColourStandard::Iec].into_iter().find(|s| *s != standard);
    if let Some(s) = other_standard.filter(|s| side_in(*s, run, colour) == Some(side) && colour != other) {
        fault = fault.mend(format!(
            "this is {} in {} colours: use wire of one standard throughout, and declare that one",
            side.word(),
            standard_name(s)
        ));
    }
    // A colour that says the wrong polarity stops; one that says nothing is for a person to look at.
    let fault = if colour == other { fault } else { fault.weighs(Severity::Doubt) };
    verdict.finds(fault.seen(
        "whoever joins this pair by its colours swaps the legs, and the reading falls as the engine warms",
    ));
}

fn side_in(standard: ColourStandard, run: &ThermocoupleRun, colour: Colour) -> Option<Role> {
    standard.alloy_of(run.kind, colour).and_then(|alloy| run.side(alloy))
}

fn opposite(side: Role) -> &'static str {
    if side == Role::Plus { "minus" } else { "plus" }
}

fn standard_name(standard: ColourStandard) -> &'static str {
    match standard {
        ColourStandard::Ansi => "ANSI",
        ColourStandard::Iec => "IEC",
    }
}
