//! The crimp list: one row a termination, in the order in which hands make them.
//!
//! First what is finished on the bench, then what is crimped there and goes into its shell after feeding, then what is
//! made after feeding, then what is joined to the devices' own leads; last what could not be judged. Inside each, screened
//! cables are dressed first, then their drain leads joined; then come the ends, device by device and cavity by cavity, so
//! that a connector is filled in one go. Of in-line connectors all plugs come before all other halves: their contacts
//! differ, and the work is set up once for each.

use std::collections::{BTreeMap, BTreeSet};

use serde::Serialize;

use super::Plan;
use super::cable_ends::{Braid, CableEnd, dressed};
use super::end_words::{EndWords, words};
use super::fitting::Fitting;
use super::heat::Heat;
use super::termination::{Termination, When};
use crate::graph::Routing;
use crate::harness::{CableId, ConductorId, DeviceClass, DeviceId, Harness, PinId, PinSite, PlaceId};
use crate::parts::library::Library;
use crate::quantity::{Gauge, Length};

/// A termination to make.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct CrimpRow {
    /// Number of the row, from 1.
    pub step: usize,
    /// Wire mark.
    pub mark: String,
    /// Circuit.
    pub circuit: String,
    /// Name of the wire, pair or cable.
    pub wire: String,
    /// Gauge.
    pub gauge: Gauge,
    /// Letters of its colour.
    pub colour: String,
    /// The end, and what is done there.
    pub end: EndWords,
    /// Trade description of the terminal; empty where none is known.
    pub terminal_title: String,
    /// True where no part fits: the end cannot be made.
    pub stop: bool,
    /// True for a contact that cannot be pulled out of its cavity again.
    pub one_way: bool,
    /// True for a core of a cable with a screen, whose end is dressed in a row of its own.
    pub screened: bool,
    /// True for a drain lead where it is joined to its screen.
    pub drains: bool,
    /// True for a contact: it is made and, maybe much later, put into its cavity.
    pub in_cavity: bool,
}

/// An end of a screened cable to dress.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct DressRow {
    /// Number of the row, from 1, in one count with the terminations.
    pub step: usize,
    /// Cable.
    pub cable: String,
    /// Circuits that its cores serve, each once.
    pub circuits: Vec<String>,
    /// Name of its part.
    pub wire: String,
    /// Marks of its cores.
    pub cores: Vec<String>,
    /// The end, and what is done there: its function says what becomes of the braid, its terminal is the sleeve that closes
    /// the edge of it.
    pub end: EndWords,
    /// True where a default of the tool is the length of jacket that is taken off.
    pub by_default: bool,
    /// Braid that is left standing for the drain lead. None where it is cut off with the jacket, or not known.
    pub braid_left: Option<Length>,
}

fn stage(when: When) -> u8 {
    match when {
        When::Bench => 0,
        When::InsertAfterFeeding(_) => 1,
        When::AfterFeeding(_) => 2,
        When::InPlace => 3,
        When::Look(_) => 4,
    }
}

/// Dressing, drain leads, ends.
const DRESS: u8 = 0;
const DRAIN: u8 = 1;
const END: u8 = 2;

/// Where a row stands, from the first that tells two apart.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Key {
    stage: u8,
    sort: u8,
    /// Half of an in-line connector, from 1; 0 for every other device.
    half: u8,
    device: DeviceId,
    pin: PinId,
    conductor: ConductorId,
}

/// Pins of a device lie side by side in the order of its cavities.
fn key(h: &Harness, end: &Termination, sort: u8) -> Key {
    let device = h.pin(end.pin).device;
    let half = match (&h.device(device).class, &h.pin(end.pin).site) {
        (DeviceClass::InLine { .. }, PinSite::Cavity { connector, .. }) => u8::from(*connector > 0) + 1,
        _ => 0,
    };
    Key { stage: stage(end.when), sort, half, device, pin: end.pin, conductor: end.conductor }
}

/// For the dressing of a screen the end that is made first of the cores there: what goes over the jacket does not go
/// over the contacts any more, so that it comes before them. None for every other end.
fn first_core<'a>(
    h: &Harness,
    routing: &Routing,
    firsts: &Firsts<'a>,
    end: &Termination,
) -> Option<&'a Termination> {
    let PinSite::Screen(cable) = h.pin(end.pin).site else { return None };
    let drain = h.conductor(end.conductor);
    let tied = if drain.from == end.pin { drain.to } else { drain.from };
    firsts.get(&(cable, routing.place_of_pin(h, tied)?)).copied()
}

/// The core that is made first at each end of each screened cable.
type Firsts<'a> = BTreeMap<(CableId, PlaceId), &'a Termination>;

fn firsts(plan: &Plan) -> Firsts<'_> {
    let first = |end: &CableEnd| {
        let (id, pin) = end.first;
        let core = plan.terminations.of.get(id.index())?.iter().find(|core| core.pin == pin)?;
        Some(((end.cable, end.place?), core))
    };
    plan.cables.iter().filter_map(first).collect()
}

/// A piece of work, before it has a number.
enum Work<'a> {
    Dress(&'a CableEnd),
    End(&'a Termination),
}

/// All work in order.
fn work<'a>(h: &Harness, routing: &Routing, plan: &'a Plan, firsts: &Firsts<'a>) -> Vec<(Key, Work<'a>)> {
    let of_end = |end: &'a Termination| {
        let key = match first_core(h, routing, firsts, end) {
            Some(core) => Key { sort: DRAIN, half: 0, conductor: end.conductor, ..key(h, core, END) },
            None => key(h, end, END),
        };
        (key, Work::End(end))
    };
    let of_cable = |end: &'a CableEnd| {
        let (conductor, pin) = end.first;
        let device = h.pin(pin).device;
        let key = Key { stage: stage(end.when), sort: DRESS, half: 0, device, pin, conductor };
        (key, Work::Dress(end))
    };
    let ends = plan.terminations.of.iter().flatten().map(of_end);
    let cables = plan.cables.iter().map(of_cable);
    let mut all: Vec<(Key, Work<'a>)> = ends.chain(cables).collect();
    all.sort_by_key(|(key, _)| *key);
    all
}

/// One row for each end of each screened cable, and one for each end of each conductor; their steps run through both.
pub fn crimp_list(
    h: &Harness,
    library: &Library,
    routing: &Routing,
    plan: &Plan,
) -> (Vec<DressRow>, Vec<CrimpRow>) {
    let firsts = firsts(plan);
    let at = |end: &Termination| {
        let words = words(h, library, routing, end);
        match first_core(h, routing, &firsts, end) {
            Some(core) => EndWords { when: dressed(h, core), ..words },
            None => words,
        }
    };
    let row = |end: &Termination, step: usize| {
        let c = h.conductor(end.conductor);
        CrimpRow {
            step,
            mark: c.mark.clone(),
            circuit: h.circuit(c.circuit).name.clone(),
            wire: library.wires.name(c.wire).to_owned(),
            gauge: c.gauge,
            colour: c.colour.value.code(),
            end: at(end),
            terminal_title: end.hold.as_ref().map_or_else(String::new, |hold| hold.title.clone()),
            stop: matches!(end.fitting, Fitting::Unknown { .. }),
            one_way: end.hold.as_ref().is_some_and(|hold| hold.one_way),
            screened: c.cable.is_some_and(|cable| library.wires.get(h.cable(cable).wire).screen.is_some()),
            drains: matches!(end.fitting, Fitting::Screen(_)),
            in_cavity: matches!(end.fitting, Fitting::Contact { .. }),
        }
    };
    let (mut cables, mut ends) = (Vec::new(), Vec::new());
    for (step, (_, work)) in (1..).zip(work(h, routing, plan, &firsts)) {
        match work {
            Work::Dress(end) => cables.push(dress(h, library, end, step)),
            Work::End(end) => ends.push(row(end, step)),
        }
    }
    (cables, ends)
}

fn dress(h: &Harness, library: &Library, end: &CableEnd, step: usize) -> DressRow {
    let cable = h.cable(end.cable);
    let circuit = |id: &ConductorId| h.circuit(h.conductor(*id).circuit).name.as_str();
    let devices = once(end.cores.iter().map(|(_, pin)| h.device(h.pin(*pin).device).name.as_str()));
    let sleeve = |part: Option<_>| part.map(|part| library.coverings.name(part).to_owned());
    let (braid_left, braid) = match end.braid {
        Braid::Left(length) => {
            (Some(length), format!("leave {} of braid for its drain lead", length.show(h.header.units)))
        }
        Braid::Cut if end.seal.is_some() => {
            (None, "cut the braid off with the jacket, close its edge".to_owned())
        }
        Braid::Cut => (
            None,
            "cut the braid off with the jacket; no sleeve of the library closes its edge: tape it".to_owned(),
        ),
        Braid::Unsaid => (None, "ask: the spec does not say where its braid is tied".to_owned()),
    };
    let seal = sleeve(end.seal);
    let loops = end.cores.iter().filter_map(|(_, pin)| super::length::service_loop(h, *pin));
    let device = devices.join(", ");
    let words = EndWords {
        device: device.clone(),
        place: end.place.map_or_else(String::new, |place| h.place(place).name.clone()),
        connector: String::new(),
        cavity: String::new(),
        pin: device.clone(),
        function: braid,
        strip: None,
        fold_back: None,
        terminal: seal.clone().unwrap_or_default(),
        tool: String::new(),
        die: String::new(),
        sleeves: sleeve(end.marker).into_iter().chain(seal).collect(),
        label: end.marker.map_or_else(String::new, |_| format!("{} {device}", cable.name)),
        when: end.when_words.clone(),
        checks: vec!["look: no core nicked, no strand of the braid near a core".to_owned()],
        beside: String::new(),
        jacket_off: Some(end.jacket_off.value),
        service_loop: loops.map(|service| service.value).max(),
        stagger: None,
        cautions: end.heat.iter().map(Heat::words).collect(),
        alarm: end.heat.as_ref().map(Heat::short).unwrap_or_default(),
    };
    DressRow {
        step,
        cable: cable.name.clone(),
        circuits: once(end.cores.iter().map(|(id, _)| circuit(id))),
        wire: library.wires.name(cable.wire).to_owned(),
        cores: end.cores.iter().map(|(id, _)| h.conductor(*id).mark.clone()).collect(),
        end: words,
        by_default: end.jacket_off.span.is_none(),
        braid_left,
    }
}

/// Each name once, in order.
fn once<'a>(names: impl Iterator<Item = &'a str>) -> Vec<String> {
    let mut seen = BTreeSet::new();
    names.filter(|name| seen.insert(*name)).map(str::to_owned).collect()
}
