//! A wire, pair or cable in; faults of its sizes, cores and family out.

use std::collections::BTreeMap;

use super::{Fault, Origin, Report};
use crate::parts::library::Library;
use crate::parts::model::{Core, WirePart};
use crate::quantity::{Gauge, Length};
use crate::trade::thermocouple_colour::{Alloy, ColourStandard, ThermocoupleType};

pub(super) fn check(library: &Library, _: &str, wire: &WirePart, report: &mut Report<'_>) {
    let sleeve = wire.screen.as_ref().and_then(|screen| screen.sleeve.as_deref());
    if let Some(sleeve) = sleeve.filter(|name| library.sundries.find(name).is_none()) {
        report.unknown(&["screen", "sleeve"], "sundry", sleeve, library.sundries.names());
    }
    report.above_zero("outside", wire.outside);
    sizes(wire, report);
    match wire.thermocouple() {
        Some(kind) => thermocouple(kind, wire, report),
        None if wire.colour_standard.is_some() => {
            let what = "has a thermocouple colour standard and no thermocouple cores";
            report.fault(
                &["colour-standard"],
                what,
                "give the alloys of its cores, or take the standard out",
            );
        }
        None => {}
    }
    let same_look = wire
        .cores
        .iter()
        .enumerate()
        .any(|(i, core)| wire.cores.iter().skip(i + 1).any(|other| other.colour == core.colour));
    if same_look {
        report.fault(&["cores"], "has two cores of one colour", "give each core its own colour");
    }
}

fn sizes(wire: &WirePart, report: &mut Report<'_>) {
    if wire.cores.is_empty() && wire.core_outside.is_some() {
        report.fault(
            &["core-outside"],
            "has the size of a core and no `cores`",
            "name the colours of its cores",
        );
    }
    if !wire.cores.is_empty() && wire.core_outside.is_none() {
        let remedy = "add `core-outside`, the diameter over one core's insulation";
        report.fault(&["cores"], "does not say how thick its cores are", remedy);
    }
    if wire.screen.is_some() && wire.cores.is_empty() {
        report.fault(&["screen"], "has a screen and no `cores` in it", "name the colours of its cores");
    }
    let Some(core) = wire.core_outside else { return };
    report.above_zero("core-outside", core);
    if core > wire.outside {
        let what = format!("is {} thick, thinner than its core of {core}", wire.outside);
        report.fault(&["outside"], what, "write the diameter of the whole as `outside`");
    }
    if core <= wire.gauge.solid_diameter() && core > Length::ZERO {
        let what = format!("has cores of {core}, no thicker than their bare conductor of {}", wire.gauge);
        report.fault(&["core-outside"], what, "write the diameter over the insulation");
    }
}

/// A pair of the right materials in the colours it claims.
fn thermocouple(kind: ThermocoupleType, wire: &WirePart, report: &mut Report<'_>) {
    let letter = kind.letter();
    let [plus, minus] = wire.cores.as_slice() else {
        let what = format!("is type {letter} with {} cores", wire.cores.len());
        report.fault(&["cores"], what, "a thermocouple pair has two cores, the positive one first");
        return;
    };
    let alloy = |core: &Core| core.alloy.unwrap_or(Alloy::Copper);
    if (alloy(plus), alloy(minus)) != (kind.positive(), kind.negative()) {
        let what = format!("is a pair of {} and {}", alloy(plus).name(), alloy(minus).name());
        let remedy =
            format!("type {letter} is {} and then {}", kind.positive().name(), kind.negative().name());
        report.fault(&["cores"], what, remedy);
        return;
    }
    let Some(standard) = wire.colour_standard else {
        report.fault(&["cores"], "does not say its colour standard", "add `colour-standard: ansi` or `iec`");
        return;
    };
    let colours = standard.pair(kind);
    if (plus.colour, minus.colour) != (colours.plus, colours.minus) {
        let other = match standard {
            ColourStandard::Ansi => ColourStandard::Iec,
            ColourStandard::Iec => ColourStandard::Ansi,
        };
        let is_other = (plus.colour, minus.colour) == (other.pair(kind).plus, other.pair(kind).minus);
        let what =
            format!("is {} and {}, not the colours of {}", plus.colour, minus.colour, standard.document());
        let remedy = if is_other {
            format!("those are the colours of {}", other.document())
        } else {
            format!("type {letter} is {} and {} there", colours.plus, colours.minus)
        };
        report.fault(&["cores"], what, remedy);
    }
}

/// Wires of a family differ in gauge only: each is held against the first of its family and the first of its gauge.
pub(super) fn families(library: &Library, origin: Origin, faults: &mut Vec<Fault>) {
    let mut first: BTreeMap<&str, (&str, &WirePart)> = BTreeMap::new();
    let mut first_of_gauge: BTreeMap<(&str, Gauge), &str> = BTreeMap::new();
    for (id, name, wire) in library.wires.iter() {
        let family = wire.family.as_str();
        let (sister, model) = *first.entry(family).or_insert((name, wire));
        let twin = *first_of_gauge.entry((family, wire.gauge)).or_insert(name);
        if !origin.includes(library.wires.span(id)) {
            continue;
        }
        let mut report = Report { section: "wires", part: name, faults };
        if twin != name {
            let what = format!("has the gauge of `{twin}` in family `{family}`");
            report.fault(&["family"], what, "name another family: each gauge is in it once");
        } else if !same_make(wire, model) {
            let what = format!("is made otherwise than `{sister}` of the same family `{family}`");
            report.fault(&["family"], what, "name another family: its wires differ in gauge only");
        }
    }
}

fn same_make(a: &WirePart, b: &WirePart) -> bool {
    let look = |core: &Core| (core.colour, core.alloy.unwrap_or(Alloy::Copper));
    a.cores.iter().map(look).eq(b.cores.iter().map(look))
        && a.screen.is_some() == b.screen.is_some()
        && a.colour_standard == b.colour_standard
}

#[cfg(test)]
mod tests {
    use super::super::tests::told;

    fn wire(rest: &str) -> Vec<String> {
        told(&format!("wires:\n  own: {{title: t, gauge: 20 AWG, outside: 3 mm, {rest}}}\n"))
    }

    #[test]
    fn a_pair_has_the_colours_it_claims() {
        let pair = |cores: &str, standard: &str| {
            wire(&format!("family: own, core-outside: 1.4 mm, cores: {cores}, colour-standard: {standard}"))
        };
        let yellow_red = "[{colour: YE, alloy: chromel}, {colour: RD, alloy: alumel}]";
        assert_eq!(pair(yellow_red, "ansi"), [""; 0]);
        assert_eq!(pair(yellow_red, "iec"), ["cores: `own` is YE and RD, not the colours of IEC 60584-3"]);
        assert_eq!(
            pair("[{colour: RD, alloy: alumel}, {colour: YE, alloy: chromel}]", "ansi"),
            ["cores: `own` is a pair of alumel and chromel"]
        );
        assert_eq!(
            pair("[{colour: YE, alloy: chromel}, {colour: WH, alloy: constantan}]", "ansi"),
            ["cores: `own` is a pair of chromel and constantan"]
        );
        assert_eq!(
            wire(
                "family: own, core-outside: 1.4 mm, cores: [{colour: YE}, {colour: RD}], colour-standard: ansi"
            ),
            ["colour-standard: `own` has a thermocouple colour standard and no thermocouple cores"]
        );
    }

    #[test]
    fn cores_fit_in_the_whole_and_are_told_apart() {
        assert_eq!(
            wire("family: own, core-outside: 3.2 mm, cores: [{colour: WH}, {colour: WH}]"),
            [
                "outside: `own` is 3 mm thick, thinner than its core of 3.2 mm",
                "cores: `own` has two cores of one colour",
            ]
        );
        assert_eq!(wire("family: own, cores: [{colour: WH}]").len(), 1);
        assert_eq!(wire("family: own, core-outside: 1 mm").len(), 1);
        // 20 AWG is 0.81 mm of solid conductor (ASTM B258).
        assert_eq!(wire("family: own, core-outside: 0.8 mm, cores: [{colour: WH}]").len(), 1);
        assert_eq!(wire("family: own, core-outside: 0.82 mm, cores: [{colour: WH}]"), [""; 0]);
    }

    #[test]
    fn sisters_differ_in_gauge_only() {
        assert_eq!(wire("family: etfe"), ["family: `own` has the gauge of `etfe-20` in family `etfe`"]);
        assert_eq!(
            told("wires:\n  own: {title: t, gauge: 18 AWG, outside: 3 mm, family: screened-2}\n"),
            ["family: `own` is made otherwise than `screened-2-22` of the same family `screened-2`"]
        );
    }
}
