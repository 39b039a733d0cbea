//! Cables with a screen in; how each of their ends is dressed before its cores are terminated, out: jacket off, braid left
//! or cut, closed.
//!
//! The cores part where the tail begins, so that the jacket comes off as far as the tail is long; where a service loop is
//! cut, the jacket goes on through it. Where the screen is tied, so much braid is left standing as the part of the cable
//! says; where it is not, the braid is cut off with the jacket and its edge is closed with a sleeve.

use std::collections::BTreeMap;

use super::heat::{self, Heat, Need, Surroundings};
use super::termination::{Termination, Terminations, When};
use super::when_words;
use crate::graph::Routing;
use crate::harness::{CableId, Chosen, ConductorId, Harness, PinId, PlaceId};
use crate::parts::library::{CoveringPartId, Library};
use crate::parts::model::Screen;
use crate::quantity::Length;

/// What becomes of the braid at an end.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Braid {
    /// So much is left standing beyond the jacket, for the sleeve with the drain lead.
    Left(Length),
    /// Cut off with the jacket, and closed.
    Cut,
    /// The spec does not say where the screen is tied.
    Unsaid,
}

/// An end of a screened cable.
#[derive(Clone, Debug)]
pub struct CableEnd {
    /// The cable.
    pub cable: CableId,
    /// Where it ends; None where that is not known.
    pub place: Option<PlaceId>,
    /// Its cores there, and their pins.
    pub cores: Vec<(ConductorId, PinId)>,
    /// Jacket that is taken off; by default where the tail is.
    pub jacket_off: Chosen<Length>,
    /// The braid.
    pub braid: Braid,
    /// Sleeve with the name of the cable; None where the library has none that goes over it.
    pub marker: Option<CoveringPartId>,
    /// Sleeve that closes the edge of the braid; None where it is tied, or where the library has none.
    pub seal: Option<CoveringPartId>,
    /// The core that is made first, and its pin.
    pub first: (ConductorId, PinId),
    /// When that is.
    pub when: When,
    /// The same in words.
    pub when_words: String,
    /// Heat in the machine.
    pub heat: Option<Heat>,
}

/// Jacket that is taken off the cable of a conductor at a pin: as far as the tail is long. None for what has no jacket.
pub fn jacket_off(h: &Harness, library: &Library, id: ConductorId, pin: PinId) -> Option<Chosen<Length>> {
    let c = h.conductor(id);
    let part = library.wires.get(h.cable(c.cable?).wire);
    let over = part.jacket == Some(true) || part.screen.is_some();
    over.then(|| h.device(h.pin(pin).device).tail)
}

/// What to do about a jacket that may be there: the part of the cable does not say. None for what is known.
pub(super) fn jacket_words(h: &Harness, library: &Library, end: &Termination) -> Option<String> {
    let part = library.wires.get(h.cable(h.conductor(end.conductor).cable?).wire);
    let off = h.device(h.pin(end.pin).device).tail.value.show(h.header.units);
    (part.jacket.is_none() && part.screen.is_none()).then(|| {
        format!("no part says whether a jacket lies over these cores; if one does: take {off} of it off")
    })
}

/// Every end of every screened cable, cable by cable.
pub fn cable_ends(h: &Harness, library: &Library, routing: &Routing, made: &Terminations) -> Vec<CableEnd> {
    let about = Surroundings::of(h);
    let mut all = Vec::new();
    for id in (0..h.cables.len()).map(CableId::at) {
        let cable = h.cable(id);
        let part = library.wires.get(cable.wire);
        let Some(screen) = &part.screen else { continue };
        let mut at: BTreeMap<Option<PlaceId>, Vec<&Termination>> = BTreeMap::new();
        let cores = cable.cores.iter().flatten();
        for end in cores.filter_map(|core| made.of.get(core.index())).flatten() {
            at.entry(routing.place_of_pin(h, end.pin)).or_default().push(end);
        }
        for (place, ends) in at {
            let off = ends.iter().filter_map(|end| jacket_off(h, library, end.conductor, end.pin));
            let Some(jacket_off) = off.max_by_key(|off| off.value) else { continue };
            let Some(first) = ends.iter().min_by_key(|end| (end.when, end.pin)) else { continue };
            let braid = braid(h, routing, id, screen, place);
            let seal = library.insulation_sleeve_for(part.outside, part.outside);
            let seal = seal.filter(|_| braid == Braid::Cut);
            let marker = library.marker_sleeve_for(part.outside);
            let sleeves = [seal, marker].into_iter().flatten();
            let shrunk = sleeves.map(|id| Need::of(library.coverings.get(id))).max().unwrap_or(Need::No);
            let need = if matches!(braid, Braid::Left(_)) { Need::Yes } else { shrunk };
            let heat = if heat::in_machine(first.when) { need.with(about.at(place)) } else { None };
            all.push(CableEnd {
                cable: id,
                place,
                cores: ends.iter().map(|end| (end.conductor, end.pin)).collect(),
                jacket_off,
                braid,
                marker,
                seal,
                first: (first.conductor, first.pin),
                when: first.when,
                when_words: dressed(h, first),
                heat,
            });
        }
    }
    all
}

fn braid(h: &Harness, routing: &Routing, id: CableId, screen: &Screen, place: Option<PlaceId>) -> Braid {
    let Some(ties) = &h.cable(id).ties else { return Braid::Unsaid };
    let far = |drain: &ConductorId| {
        let c = h.conductor(*drain);
        let screen = h.cable(id).screen;
        routing.place_of_pin(h, if Some(c.from) == screen { c.to } else { c.from })
    };
    if ties.iter().any(|drain| far(drain) == place) { Braid::Left(screen.cut_back) } else { Braid::Cut }
}

/// When the end of a cable is dressed: as late as the first of its cores, and before it.
pub(super) fn dressed(h: &Harness, core: &Termination) -> String {
    match core.when {
        When::Bench | When::InsertAfterFeeding(_) => "bench, before the cores of this cable".to_owned(),
        When::AfterFeeding(_) | When::InPlace | When::Look(_) => {
            format!("{}; before the cores of this cable", when_words::when(h, core))
        }
    }
}
