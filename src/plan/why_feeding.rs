//! Why an end passes a hole finished, with its contact alone, bare or not at all: widths against the bore.

use std::collections::BTreeMap;

use super::end_words::where_on;
use super::fitting::Fitting;
use super::termination::{Termination, When};
use super::why::{Asked, Derivation, Line};
use crate::graph::feeding::{Passing, piece};
use crate::harness::HoleId;
use crate::parts::model::FaceShape;
use crate::quantity::Length;
use crate::spec::words::FedEnds;

/// Ends that are alike at a hole: what goes through in one piece, what holds them, when they are made.
type Alike<'a> = BTreeMap<(crate::graph::feeding::Piece, String, When, Option<Length>), Vec<&'a Termination>>;

/// The ends that are fed through a hole, those that are alike in one line.
pub(super) fn hole(asked: &Asked, id: HoleId, told: &mut Derivation) {
    let passes = |end: &&Termination| end.through.iter().any(|passage| passage.hole == id);
    let mut alike: Alike = BTreeMap::new();
    for end in asked.plan.terminations.of.iter().flatten().filter(passes) {
        let key = (piece(asked.h, end.pin), name(asked, end), end.when, end.girth.finished);
        alike.entry(key).or_default().push(end);
    }
    if alike.is_empty() {
        return;
    }
    let all: Vec<&Termination> = alike.values().flatten().copied().collect();
    let terms = alike.values().filter_map(|ends| line(asked, ends, id)).collect();
    told.figure("ends through it", turns(&all), terms);
}

/// `12 finished, 3 with their contacts on`.
fn turns(ends: &[&Termination]) -> String {
    const WORDS: [&str; 4] = [
        "finished",
        "with the contact on, shells after feeding",
        "bare, terminated after feeding",
        "to be looked at",
    ];
    let mut counts = [0_usize; 4];
    for end in ends {
        counts[end.when.turn().min(3)] += 1;
    }
    let told = counts.iter().zip(WORDS).filter(|(n, _)| **n > 0).map(|(n, words)| format!("{n} {words}"));
    told.collect::<Vec<_>>().join("; ")
}

/// An end at every hole that it is fed through.
pub(super) fn end(asked: &Asked, end: &Termination) -> Vec<Line> {
    end.through.iter().filter_map(|passage| line(asked, &[end], passage.hole)).collect()
}

/// What goes through in one piece, and where it goes: `shell dsub-25-socket, to GAUGE A, 12 ends`.
fn line(asked: &Asked, ends: &[&Termination], hole: HoleId) -> Option<Line> {
    let h = asked.h;
    let first = *ends.first()?;
    let device = &h.device(h.pin(first.pin).device).name;
    let connector = where_on(h, first.pin).0;
    let to = match (&first.fitting, ends.len()) {
        (_, 1) => h.pin(first.pin).name.clone(),
        (Fitting::Contact { .. }, _) if !connector.is_empty() => format!("{device} {connector}"),
        _ => device.clone(),
    };
    let count = if ends.len() == 1 { String::new() } else { format!(", {} ends", ends.len()) };
    let words = format!("{}, to {to}{count}", name(asked, first));
    let value = match first.girth.finished {
        Some(wide) => wide.show(h.header.units),
        None => "not known".to_owned(),
    };
    let bore = h.hole(hole).bore.map(|bore| bore.span);
    Some(
        Line::of(words, value)
            .at(bore.or(Some(h.hole(hole).span)))
            .because(fits(asked, first, hole))
            .by(basis(asked, first)),
    )
}

/// What is wide of an end, with its part.
fn name(asked: &Asked, end: &Termination) -> String {
    let library = asked.library;
    match &end.fitting {
        Fitting::Contact { shell, .. } => format!("shell {}", library.shells.name(*shell)),
        Fitting::Lug(part) => format!("terminal {}", library.lugs.name(*part)),
        Fitting::Joint(part) => format!("splice {}", library.splices.name(*part)),
        Fitting::OwnLead(_) | Fitting::Screen(_) => "bare wire".to_owned(),
        Fitting::Unknown { .. } => "an end of unknown size".to_owned(),
    }
}

/// From what a width is taken.
fn basis(asked: &Asked, end: &Termination) -> String {
    let library = asked.library;
    let (what, supplied) = match &end.fitting {
        Fitting::Contact { shell, .. } => {
            let what = match library.shells.get(*shell).face.shape {
                FaceShape::Round => "diameter of the part's outline",
                FaceShape::Trapezium | FaceShape::Block => "diagonal of the part's outline",
            };
            (what, library.shells.span(*shell).is_none())
        }
        Fitting::Lug(part) => ("width of the part", library.lugs.span(*part).is_none()),
        Fitting::Joint(part) => ("outside of the part", library.splices.span(*part).is_none()),
        Fitting::OwnLead(_) | Fitting::Screen(_) => {
            ("over the insulation", library.wires.get(asked.h.conductor(end.conductor).wire).typical)
        }
        Fitting::Unknown { .. } => return String::new(),
    };
    if supplied { format!("{what}; typical, from memory") } else { what.to_owned() }
}

/// Whether it passes, by how much, and what is done where it does not.
fn fits(asked: &Asked, end: &Termination, id: HoleId) -> String {
    let h = asked.h;
    let units = h.header.units;
    let hole = h.hole(id);
    let (Some(bore), Some(finished), Some(loose)) =
        (hole.bore.map(|bore| bore.value), end.girth.finished, end.girth.loose)
    else {
        let what =
            if hole.bore.is_none() { "its bore is not given" } else { "what the end gets is not known" };
        return format!("{}: not judged, {what}", hole.name);
    };
    let against = |wide: Length| match bore - wide {
        left if left >= Length::ZERO => format!("passes, {} less than", left.show(units)),
        left => format!("does not pass, {} more than", left.abs().show(units)),
    };
    let bore = format!("the bore of {}, {}", hole.name, bore.show(units));
    let alone = match &end.fitting {
        Fitting::Contact { .. } if finished != loose => {
            format!("; its contact, {}, {} it", loose.show(units), against(loose))
        }
        Fitting::Joint(_) if finished != loose => {
            format!("; its wire, {}, {} it", loose.show(units), against(loose))
        }
        _ => String::new(),
    };
    format!("{} {bore}{alone}: {}", against(finished), done(asked, end, id))
}

/// What is done, and why where the widths alone do not say it.
fn done(asked: &Asked, end: &Termination, id: HoleId) -> String {
    let h = asked.h;
    let made = match end.when {
        When::Bench => return "fed finished".to_owned(),
        When::InsertAfterFeeding(_) => "contact on the bench, into its shell after feeding",
        When::AfterFeeding(_) => "fed bare, made after feeding",
        When::InPlace => return "fed bare, joined to the device's own lead".to_owned(),
        When::Look(_) => return "to be looked at".to_owned(),
    };
    let because = match end.passing {
        Passing::Bare(at) if h.hole(at).feed.is_some_and(|feed| feed.value == FedEnds::Bare) => {
            format!(" (`feed: bare` of {})", h.hole(at).name)
        }
        Passing::Loose(_) | Passing::Finished | Passing::Stays if !end.whole => {
            " (some wires of the same piece go another way)".to_owned()
        }
        Passing::Loose(at) | Passing::Bare(at) if at != id => format!(" (for {})", h.hole(at).name),
        Passing::Loose(_) | Passing::Bare(_) => String::new(),
        Passing::Finished | Passing::Stays => " (with the other ends of its splice)".to_owned(),
        Passing::NotJudged(_) => String::new(),
    };
    format!("{made}{because}")
}
