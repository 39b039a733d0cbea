//! Each end of each conductor: the resolved harness and where it lies in; what the hands do there, out.

use std::collections::BTreeMap;

use serde::Serialize;

use super::feeding::{Fed, Feed, Girth, LooseEnd, Passage, Passing, feed, loose_ends};
use super::fitting::{Barrel, Fitting, Hold, Method, OnPin, outside};
use super::heat::{self, Heat, Surroundings};
use crate::graph::Routing;
use crate::harness::{Conductor, ConductorId, DeviceId, Harness, HoleId, PinId, PinSite};
use crate::parts::library::{CoveringPartId, Library};
use crate::quantity::{Force, Gauge, Length, Units};
use crate::trade::allowances::STAGGER_GAP;
use crate::trade::contact_pull::{PullClass, least_pull};
use crate::trade::thermocouple_colour::Alloy;
use crate::trade::workmanship::{largest_insulation_gap, least_insulation_gap};

/// When an end is made.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum When {
    /// On the bench, finished.
    Bench,
    /// Its contact on the bench, its shell after the wire was fed through this hole.
    InsertAfterFeeding(HoleId),
    /// After the wire was fed through this hole.
    AfterFeeding(HoleId),
    /// In the machine, onto the lead that the device brings.
    InPlace,
    /// Not judged, because the bore of this hole or what the end gets is not known.
    Look(HoleId),
}

impl When {
    /// The turn in which the end is fed through a hole, from 0: finished, with its contact on, bare, after a look.
    pub fn turn(self) -> usize {
        match self {
            When::Bench => 0,
            When::InsertAfterFeeding(_) => 1,
            When::AfterFeeding(_) | When::InPlace => 2,
            When::Look(_) => 3,
        }
    }
}

/// A sleeve that is slid on before anything else is done to the end.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Sleeve {
    /// The covering.
    pub part: CoveringPartId,
    /// Text on it; None for one that insulates.
    pub text: Option<String>,
}

/// What is tried to destruction, since the parts of the loom are not. Common practice, no source.
const SAMPLE: &str = "test pieces of this wire, first and last of the batch";

/// Something to check at an end.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Check {
    /// One-way contact: the cavity before the push.
    CavityBeforePush,
    /// What a good crimp of this barrel on this wire looks like.
    LookAtCrimp(Barrel, Gauge),
    /// Pull by hand; a sample of this wire, contact and tool holds at least this much.
    Tug(Option<(Force, PullClass)>),
    /// The contact is felt to lock and stays when pulled lightly.
    Seated,
    /// The clamping screw holds; no insulation under it.
    Clamped,
    /// Solder has flowed, the ends of the sleeve are closed.
    SolderFlowed,
    /// No strand of the screen touches a core.
    ScreenClear,
}

impl Check {
    /// Words for the papers.
    pub fn words(self, units: Units) -> String {
        match self {
            Check::CavityBeforePush => {
                "STOP: check the cavity before the push, it does not come out again".to_owned()
            }
            Check::LookAtCrimp(barrel, gauge) => look(barrel, gauge, units),
            Check::Tug(None) => {
                format!("tug by hand; no pull figure known, the maker's counts: pull {SAMPLE}")
            }
            Check::Tug(Some((force, class))) => {
                let style = class.source().split(',').next().unwrap_or_default();
                format!("tug by hand; {SAMPLE}, hold {} ({style})", force.show(units))
            }
            Check::Seated => "feel it lock, pull lightly".to_owned(),
            Check::Clamped => "screw tight on bare wire, tug by hand".to_owned(),
            Check::SolderFlowed => "look: solder flowed, sleeve closed at both ends".to_owned(),
            Check::ScreenClear => "look: no strand of the screen near a core".to_owned(),
        }
    }
}

/// What is seen at a good crimp. The gap is a limit of its source; the rest is common practice, no source.
fn look(barrel: Barrel, gauge: Gauge, units: Units) -> String {
    match barrel {
        Barrel::Indented => {
            let (least, most) = (least_insulation_gap(), largest_insulation_gap(gauge));
            format!(
                "look: strands in the inspection hole, none outside; insulation {} to {} off the barrel ({})",
                least.value.show(units),
                most.value.show(units),
                least.document
            )
        }
        Barrel::Open => "look: every strand in the barrel and just past its front, bellmouth at the rear, insulation held \
                         by its wings"
            .to_owned(),
        Barrel::Insulated => "look: strands just past the front of the barrel, none outside, insulation inside the sleeve"
            .to_owned(),
        Barrel::Bare => {
            "look: strands just past the front of the barrel, none outside, indent in its middle".to_owned()
        }
        Barrel::Unknown => "barrel not known: look at the maker's drawing for what a good crimp shows".to_owned(),
        Barrel::Splice => {
            "look: strands up to the stop in the middle, none outside, an indent on each side".to_owned()
        }
    }
}

/// What is cut off where several wires are joined to the leads of one device, so that their splices do not lie abreast.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Stagger {
    /// Off the wire.
    pub wire: Length,
    /// Off the lead of the device.
    pub lead: Length,
}

/// One end of one conductor.
#[derive(Clone, Debug)]
pub struct Termination {
    /// The conductor.
    pub conductor: ConductorId,
    /// The pin that the end goes to.
    pub pin: PinId,
    /// What holds it.
    pub fitting: Fitting,
    /// What the bench must know of that; None where it is not known, and for a screen.
    pub hold: Option<Hold>,
    /// Length of insulation taken off, fold-back included. None where it is not known: part files do not say how far the
    /// drain lead of a screen is stripped.
    pub strip: Option<Length>,
    /// Part of `strip` that is folded back; None where the end is not folded.
    pub fold_back: Option<Length>,
    /// Sleeves in the order in which they are slid on.
    pub sleeves: Vec<Sleeve>,
    /// Label text; empty where nothing carries one.
    pub label: String,
    /// Other conductors that go into the same contact or splice, onto the same tab or lead.
    pub beside: Vec<ConductorId>,
    /// True where the splice is itself a sleeve and is slid onto this conductor before it is joined.
    pub slides_splice: bool,
    /// When it is made.
    pub when: When,
    /// Holes that it is fed through, in the order in which it comes to them.
    pub through: Vec<Passage>,
    /// Holes that the other end of the conductor is fed through.
    pub stays_at: Vec<HoleId>,
    /// How wide it is.
    pub girth: Girth,
    /// What can be said of it and the holes.
    pub passing: Passing,
    /// True where all wires of its connector or splice are fed through the same holes.
    pub whole: bool,
    /// What to check, in order.
    pub checks: Vec<Check>,
    /// Heat that it is made with in the machine; None where it needs none, or is made on the bench.
    pub heat: Option<Heat>,
    /// What is cut off so that splices do not lie abreast; None where there is one alone, and where the lead of the device is
    /// known to be too short.
    pub stagger: Option<Stagger>,
}

/// Every end of every conductor, and which way each hole is fed.
#[derive(Clone, Debug)]
pub struct Terminations {
    /// By conductor id: at `from`, at `to`.
    pub of: Vec<[Termination; 2]>,
    /// By hole id; None where nothing crosses.
    pub feeds: Vec<Option<Feed>>,
}

/// Works out all ends.
pub fn terminate(h: &Harness, library: &Library, routing: &Routing) -> Terminations {
    let on = OnPin::of(h);
    let ends = loose_ends(h, library);
    let (feeds, fed) = feed(h, library, routing, &ends);
    let mut when: Vec<When> =
        ends.iter().zip(&fed).map(|(end, fed)| when(&end.fitting, fed.passing)).collect();
    joints_together(h, &ends, &mut when);
    let each = ends.into_iter().zip(fed).zip(when);
    let about = Surroundings::of(h);
    let mut made = each.map(|((end, fed), when)| {
        let heat = heat::in_machine(when).then(|| about.at(routing.place_of_pin(h, end.pin)));
        let made = termination(h, library, &on, end, fed, when);
        let hot = heat::needs_heat(library, made.hold.as_ref(), &made.sleeves);
        Termination { heat: heat.and_then(|heat| hot.with(heat)), ..made }
    });
    let mut of = Vec::with_capacity(h.conductors.len());
    while let (Some(from), Some(to)) = (made.next(), made.next()) {
        of.push([from, to]);
    }
    stagger(h, library, &mut of);
    Terminations { of, feeds }
}

/// Splices onto the leads of one device, pin by pin: each lies one finished length and a gap behind the last.
fn stagger(h: &Harness, library: &Library, of: &mut [[Termination; 2]]) {
    let mut joined: BTreeMap<DeviceId, BTreeMap<PinId, Length>> = BTreeMap::new();
    for end in of.iter().flatten() {
        if let Fitting::OwnLead(part) = end.fitting {
            let pins = joined.entry(h.pin(end.pin).device).or_default();
            pins.insert(end.pin, library.splices.get(part).length);
        }
    }
    for end in of.iter_mut().flatten().filter(|end| matches!(end.fitting, Fitting::OwnLead(_))) {
        let device = h.pin(end.pin).device;
        let Some(pins) = joined.get(&device).filter(|pins| pins.len() > 1) else { continue };
        let step = pins.values().copied().max().unwrap_or_default() + STAGGER_GAP;
        let before = pins.range(..end.pin).count();
        let behind = pins.len() - 1 - before;
        // A lead that is cut to nothing holds no splice, and what is cut off does not come back. A part with bare leads says
        // how long they are; of one that did not, nothing would be cut.
        let enough = h.device(device).lead.is_some_and(|lead| lead.value > step.times(pins.len()));
        end.stagger = enough.then(|| Stagger { wire: step.times(behind), lead: step.times(before) });
    }
}

fn when(fitting: &Fitting, passing: Passing) -> When {
    if matches!(fitting, Fitting::OwnLead(_)) {
        return When::InPlace;
    }
    match (passing, fitting) {
        (Passing::Stays | Passing::Finished, _) => When::Bench,
        (Passing::Loose(hole), Fitting::Contact { .. }) => When::InsertAfterFeeding(hole),
        (Passing::Loose(hole) | Passing::Bare(hole), _) => When::AfterFeeding(hole),
        (Passing::NotJudged(hole), _) => When::Look(hole),
    }
}

/// A splice is one piece: all its ends are made when the last of them can be.
fn joints_together(h: &Harness, ends: &[LooseEnd], when: &mut [When]) {
    let mut latest: Vec<Option<When>> = vec![None; h.devices.len()];
    let joint = |end: &LooseEnd| -> Option<DeviceId> {
        matches!(h.pin(end.pin).site, PinSite::Splice).then_some(h.pin(end.pin).device)
    };
    for (end, when) in ends.iter().zip(when.iter()) {
        if let Some(slot) = joint(end).and_then(|d| latest.get_mut(d.index())) {
            *slot = (*slot).max(Some(*when));
        }
    }
    for (end, when) in ends.iter().zip(when) {
        if let Some(Some(last)) = joint(end).and_then(|d| latest.get(d.index())) {
            *when = *last;
        }
    }
}

fn termination(
    h: &Harness,
    library: &Library,
    on: &OnPin,
    end: LooseEnd,
    fed: Fed,
    when: When,
) -> Termination {
    let c = h.conductor(end.conductor);
    let hold = end.fitting.hold(library);
    let folded = hold.as_ref().filter(|hold| hold.fold_back.is_some_and(|thin| c.gauge <= thin));
    let fold_back = folded.map(|hold| crate::trade::allowances::fold_back(hold.strip));
    let bare = match &end.fitting {
        Fitting::Screen(_) => None,
        _ => hold.as_ref().map(|hold| hold.strip),
    };
    let marker = match end.fitting {
        Fitting::Screen(_) => None,
        _ => library.marker_sleeve_for(outside(library, c)),
    };
    let label = label(h, library, c, end.pin, marker);
    // One sleeve covers the whole splice; it is slid onto the first of its wires.
    let first = on.get(end.pin).first() == Some(&end.conductor);
    let splice = matches!(end.fitting, Fitting::OwnLead(_) | Fitting::Joint(_));
    let slides_splice = first && splice && hold.as_ref().is_some_and(|hold| hold.method == Method::Solder);
    let mut sleeves = Vec::new();
    if !matches!(end.fitting, Fitting::Screen(_)) {
        sleeves.extend(marker.map(|part| Sleeve { part, text: Some(label.clone()) }));
        let cover = insulating(library, &end.fitting).filter(|_| first);
        sleeves.extend(cover.map(|part| Sleeve { part, text: None }));
    }
    let shared = matches!(
        h.pin(end.pin).site,
        PinSite::Cavity { .. } | PinSite::Tab(_) | PinSite::BareLead(_) | PinSite::Splice
    );
    let others = on.get(end.pin).iter().copied().filter(|other| shared && *other != end.conductor);
    Termination {
        conductor: end.conductor,
        pin: end.pin,
        strip: bare.map(|bare| bare + fold_back.unwrap_or(Length::ZERO)),
        fold_back,
        sleeves,
        label,
        beside: others.collect(),
        slides_splice,
        when,
        through: fed.through,
        stays_at: fed.stays_at,
        girth: fed.girth,
        passing: fed.passing,
        whole: fed.whole,
        checks: checks(c, &end.fitting, hold.as_ref()),
        heat: None,
        stagger: None,
        hold,
        fitting: end.fitting,
    }
}

/// Wire mark, then the pin it goes to where the sleeve is long enough for both.
fn label(
    h: &Harness,
    library: &Library,
    c: &Conductor,
    pin: PinId,
    marker: Option<CoveringPartId>,
) -> String {
    let both = format!("{} {}", c.mark, h.pin(pin).name);
    let piece = marker.and_then(|part| library.coverings.get(part).piece);
    let fits = piece.is_none_or(|piece| h.shop.mark_pitch.value.times(both.chars().count()) <= piece);
    match h.pin(pin).site {
        // It carries no sleeve: its other end does.
        PinSite::Screen(_) => String::new(),
        _ if fits => both,
        _ => c.mark.clone(),
    }
}

/// The sleeve that a splice does not bring itself.
fn insulating(library: &Library, fitting: &Fitting) -> Option<CoveringPartId> {
    match fitting {
        Fitting::OwnLead(part) | Fitting::Joint(part) => {
            library.splices.get(*part).covering.as_deref().and_then(|name| library.coverings.find(name))
        }
        _ => None,
    }
}

fn checks(c: &Conductor, fitting: &Fitting, hold: Option<&Hold>) -> Vec<Check> {
    let Some(hold) = hold else {
        return match fitting {
            Fitting::Screen(_) => vec![Check::ScreenClear],
            _ => Vec::new(),
        };
    };
    let mut checks = match hold.method {
        // The published forces are those of copper wire.
        Method::Crimp => {
            let pull = (c.alloy == Alloy::Copper).then(|| pull(c, fitting)).flatten();
            vec![Check::LookAtCrimp(hold.barrel, c.gauge), Check::Tug(pull)]
        }
        Method::Clamp => vec![Check::Clamped],
        Method::Solder if matches!(fitting, Fitting::Screen(_)) => {
            vec![Check::SolderFlowed, Check::ScreenClear]
        }
        Method::Solder => vec![Check::SolderFlowed, Check::Tug(None)],
    };
    if matches!(fitting, Fitting::Contact { .. }) && hold.method != Method::Clamp {
        if hold.one_way {
            checks.push(Check::CavityBeforePush);
        }
        checks.push(Check::Seated);
    }
    checks
}

/// The stricter requirement that names a value for the gauge: lugs and splices have other tables than contacts.
fn pull(c: &Conductor, fitting: &Fitting) -> Option<(Force, PullClass)> {
    let classes: &[PullClass] = match fitting {
        Fitting::Contact { .. } => &[PullClass::Nasa],
        _ => &[PullClass::Military, PullClass::Commercial],
    };
    classes.iter().copied().find_map(|class| least_pull(c.gauge, class).map(|force| (force, class)))
}
