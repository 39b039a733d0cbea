//! Contacts, lugs, splices, coverings, linings and sundries in; faults of their figures and names out.

use super::Report;
use crate::parts::library::Library;
use crate::parts::model::{
    ContactPart, CoveringPart, CoveringUse, LiningPart, LugPart, SplicePart, SundryPart,
};
use crate::quantity::{Bounds, Length, Resistance};

/// More ends than this are no splice of a harness. Common practice, no source: it only catches slips of the pen.
const MOST_ENDS: u32 = 40;

pub(super) fn contact(_: &Library, _: &str, contact: &ContactPart, report: &mut Report<'_>) {
    report.above_zero("strip", contact.strip);
    insulation(contact.insulation, report);
    if let Some(fold) = contact.fold_back.filter(|gauge| !contact.wire.contains(*gauge)) {
        let what = format!("folds back wire of {fold} and thinner, and is made for {}", contact.wire);
        report.fault(&["fold-back"], what, "name a gauge of its range");
    }
    match (contact.one_way, &contact.extractor) {
        (true, Some(_)) => {
            let what = "cannot be pulled out and names an extraction tool";
            report.fault(&["extractor"], what, "take out `one-way` or `extractor`");
        }
        (false, None) => {
            let what = "does not say how it is pulled out";
            report.fault(&[], what, "name the `extractor`, or write `one-way: true` where there is none");
        }
        _ => {}
    }
}

pub(super) fn lug(_: &Library, _: &str, lug: &LugPart, report: &mut Report<'_>) {
    report.above_zero("strip", lug.strip);
    report.above_zero("width", lug.width);
    insulation(lug.insulation, report);
    if lug.stud.is_some() == lug.tab.is_some() {
        let what = if lug.stud.is_some() { "goes on a stud and on a blade" } else { "goes on nothing" };
        report.fault(&[], what, "say exactly one of `stud` and `tab`");
    }
    if let Some(stud) = lug.stud.filter(|stud| lug.width <= stud.diameter()) {
        let what = format!("is {} wide and goes on a {stud} stud of {}", lug.width, stud.diameter());
        report.fault(&["width"], what, "write the width of its tongue");
    }
}

pub(super) fn splice(library: &Library, _: &str, splice: &SplicePart, report: &mut Report<'_>) {
    for (key, value) in [("strip", splice.strip), ("outside", splice.outside), ("length", splice.length)] {
        report.above_zero(key, value);
    }
    if !(2..=MOST_ENDS).contains(&splice.ends) {
        let what = format!("joins {} ends", splice.ends);
        report.fault(&["ends"], what, format!("write how many it takes, from 2 to {MOST_ENDS}"));
    }
    let Some(name) = &splice.covering else { return };
    match library.coverings.look_up(name) {
        None => report.unknown(&["covering"], "covering", name, library.coverings.names()),
        Some((_, covering)) if covering.use_for != CoveringUse::Insulation => {
            let what = format!("is covered by `{name}`, which does not insulate");
            report.fault(&["covering"], what, "name a covering with `use-for: insulation`");
        }
        Some((_, covering)) if covering.over.high() < splice.outside => {
            let what = format!("is {} thick, and `{name}` goes over {}", splice.outside, covering.over);
            report.fault(&["covering"], what, "name a wider covering");
        }
        Some(_) => {}
    }
}

pub(super) fn covering(_: &Library, _: &str, covering: &CoveringPart, report: &mut Report<'_>) {
    report.above_zero("wall", covering.wall);
    report.above_zero("over", covering.over.high());
    if covering.piece == Some(Length::ZERO) {
        report.fault(&["piece"], "comes in pieces of nothing", "write the length of a piece");
    }
    let in_pieces = matches!(covering.use_for, CoveringUse::Marker | CoveringUse::Insulation);
    if in_pieces && covering.piece.is_none() {
        report.fault(&[], "does not say how long a piece is", "add `piece`");
    }
}

pub(super) fn lining(_: &Library, _: &str, lining: &LiningPart, report: &mut Report<'_>) {
    report.above_zero("bore", lining.bore);
    if lining.hole < lining.bore {
        let what = format!("has a bore of {} in a hole of {}", lining.bore, lining.hole);
        report.fault(&["hole"], what, "write the diameter of the hole in the wall");
    }
}

pub(super) fn sundry(_: &Library, _: &str, sundry: &SundryPart, report: &mut Report<'_>) {
    if sundry.resistance.is_some_and(|resistance| resistance <= Resistance::ZERO) {
        report.fault(&["resistance"], "has a resistance of nothing", "write it, or leave it out");
    }
    if sundry.use_for.is_some() && sundry.over.is_none() {
        report.fault(&["use-for"], "does not say which bundles it is made for", "add `over`");
    }
}

fn insulation(range: Bounds<Length>, report: &mut Report<'_>) {
    report.above_zero("insulation", range.high());
}

#[cfg(test)]
mod tests {
    use super::super::tests::told;

    #[test]
    fn contacts_say_how_they_come_out() {
        let contact = |rest: &str| {
            told(&format!(
                "contacts:\n  own: {{title: t, gender: pin, size: 20, wire: 24..20 AWG, insulation: 1..2 mm, \
                strip: 4 mm, tool: t, die: d, {rest}}}\n"
            ))
        };
        assert_eq!(contact("one-way: true, fold-back: 24 AWG"), [""; 0]);
        assert_eq!(contact("alloy: iron"), [": `own` does not say how it is pulled out"]);
        assert_eq!(
            contact("one-way: true, extractor: hook"),
            ["extractor: `own` cannot be pulled out and names an extraction tool"]
        );
        assert_eq!(
            contact("extractor: hook, fold-back: 18 AWG"),
            ["fold-back: `own` folds back wire of 18 AWG and thinner, and is made for 24..20 AWG"]
        );
    }

    #[test]
    fn a_lug_goes_on_one_thing() {
        let lug = |rest: &str| {
            told(&format!(
                "lugs:\n  own: {{title: t, wire: 24..20 AWG, insulation: 1..2 mm, strip: 4 mm, tool: t, die: d, {rest}}}\n"
            ))
        };
        assert_eq!(lug("width: 8 mm, stud: M4"), [""; 0]);
        assert_eq!(lug("width: 8 mm"), [": `own` goes on nothing"]);
        assert_eq!(lug("width: 8 mm, stud: M4, tab: 6.3 mm"), [": `own` goes on a stud and on a blade"]);
        assert_eq!(lug("width: 4 mm, stud: M4"), ["width: `own` is 4 mm wide and goes on a M4 stud of 4 mm"]);
        assert_eq!(lug("width: 0 mm, tab: 6.3 mm"), ["width: `own` has a `width` of nothing"]);
    }

    #[test]
    fn a_splice_joins_and_is_covered() {
        let splice = |ends: u32, cover: &str| {
            told(&format!(
                "splices:\n  own: {{title: t, wire: 24..20 AWG, ends: {ends}, strip: 4 mm, tool: t, die: d, \
                outside: 6 mm, length: 20 mm, covering: {cover}}}\n"
            ))
        };
        assert_eq!(splice(2, "heat-shrink-9"), [""; 0]);
        assert_eq!(splice(1, "heat-shrink-9"), ["ends: `own` joins 1 ends"]);
        assert_eq!(splice(2, "fire-sleeve-6").len(), 1);
        assert_eq!(
            splice(2, "heat-shrink-6"),
            ["covering: `own` is 6 mm thick, and `heat-shrink-6` goes over 2..5.5 mm"]
        );
        assert_eq!(splice(41, "nothing").len(), 2);
    }

    #[test]
    fn the_rest_has_size() {
        let text = "coverings:\n  own: {title: t, use-for: marker, over: 1..2 mm, wall: 0 mm}\n\
            linings:\n  own: {title: t, bore: 10 mm, hole: 9 mm}\n\
            sundries:\n  own: {title: t, use-for: clamp, resistance: 0 Ω}\n";
        assert_eq!(
            told(text),
            [
                "wall: `own` has a `wall` of nothing",
                ": `own` does not say how long a piece is",
                "hole: `own` has a bore of 10 mm in a hole of 9 mm",
                "resistance: `own` has a resistance of nothing",
                "use-for: `own` does not say which bundles it is made for",
            ]
        );
    }
}
