//! How long each conductor is cut: paths, terminations and the shop's allowances in; an itemised length out.
//!
//! Cut length = runs + shift of the splices at its ends + tails + service loop at an indicator + reach to the places of devices that trade places +
//! twist take-up + reserve to terminate each end anew + staggering of splices + fold-back, rounded up to the shop's step. Cores of one cable
//! and wires that the shop twists together are cut as long as the longest of them. Every term keeps the lines that set
//! it, and says where a default was used.

use std::fmt::Write;

use super::fitting::{Fitting, outside};
use super::termination::{Termination, Terminations};
use crate::diag::Span;
use crate::graph::{Path, Reach, Routing};
use crate::harness::{
    Cable, CableId, Chosen, ConductorId, DeviceClass, DeviceId, Harness, Located, PinId, PinSite, RunId,
    Shift,
};
use crate::parts::library::Library;
use crate::parts::words::Style;
use crate::quantity::{Length, Units};
use crate::trade::allowances::{retermination_reserve, twist_take_up};

/// What a term of a cut length is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Term {
    /// Along a run.
    Run,
    /// To where a splice is shifted along the bundle; below nothing where that is on the wire's own way.
    Shift,
    /// From a place to the pin.
    Tail,
    /// Loop behind an indicator.
    ServiceLoop,
    /// To the place of a device that this one trades places with.
    Reach,
    /// Twist that the shop makes.
    Twist,
    /// To terminate an end anew.
    Reserve,
    /// For splices onto the leads of one device, so that they do not lie abreast.
    Stagger,
    /// Folded back into the contact.
    FoldBack,
    /// To be as long as the longest of its cable or twist.
    Evened,
    /// Up to the shop's step.
    Rounding,
}

/// Where the wire of a term lies.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Lies {
    /// Along a run.
    Run(RunId),
    /// At the end of this pin.
    End(PinId),
    /// All along.
    Along,
}

/// A term of a cut length.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Item {
    /// What it is for.
    pub term: Term,
    /// Where it lies.
    pub lies: Lies,
    /// The same in words, with the thing it belongs to.
    pub words: String,
    /// The length.
    pub length: Length,
    /// How it comes about, where it is more than one figure; empty otherwise.
    pub formula: String,
    /// The lines that set it.
    pub spans: Vec<Span>,
    /// True where the tool's default was used because the spec says nothing.
    pub by_default: bool,
    /// Law or practice behind it; empty for what was measured.
    pub source: &'static str,
}

/// The cut length of a conductor.
#[derive(Clone, Debug, Default)]
pub struct CutLength {
    /// Its terms.
    pub items: Vec<Item>,
    /// What is missing to know it, lower case; then there is no `need`.
    pub missing: Vec<String>,
    /// Their sum; None where something is missing.
    pub need: Option<Length>,
    /// Length that the spec declares.
    pub declared: Option<Located<Length>>,
}

impl CutLength {
    fn sum(&self) -> Length {
        self.items.iter().map(|i| i.length).sum()
    }

    /// True where a default of the tool is in it.
    pub fn by_default(&self) -> bool {
        self.items.iter().any(|i| i.by_default && i.length > Length::ZERO)
    }

    /// What is cut: as declared where the spec declares it, else as computed. None where neither is known.
    pub fn cut(&self) -> Option<Length> {
        self.declared.map(|d| d.value).or(self.need)
    }
}

/// Where it is said that splices are staggered.
pub(super) const STAGGERED: &str = "FAA-H-8083-32 ch. 4, spliced connections in wire bundles: staggered";

/// The cut length of every conductor, by conductor id.
pub fn lengths(h: &Harness, library: &Library, routing: &Routing, ends: &Terminations) -> Vec<CutLength> {
    let mut reach = Reach::over(routing);
    let units = h.header.units;
    let mut lengths: Vec<CutLength> = ends
        .of
        .iter()
        .map(|[from, to]| {
            let mut length = before_twist(h, routing, &mut reach, [from, to]);
            length.items.extend(twist(h, library, from.conductor, length.sum(), units));
            for end in [from, to] {
                reserve(h, end, &mut length);
            }
            length
        })
        .collect();
    even_out(h, &mut lengths);
    for length in &mut lengths {
        if length.missing.is_empty() {
            let step = h.shop.cut_step;
            let sum = length.sum();
            let need = sum.round_up_to(step.value);
            let words = format!("rounded up to {} steps", step.value.show(units));
            let spans = step.span.into_iter().collect();
            let by_default = step.span.is_none();
            length.items.push(item(Term::Rounding, words, need - sum).set_by(spans, by_default));
            length.need = Some(need);
        }
    }
    lengths
}

fn item(term: Term, words: String, length: Length) -> Item {
    let lies = Lies::Along;
    Item {
        term,
        lies,
        words,
        length,
        formula: String::new(),
        spans: Vec::new(),
        by_default: false,
        source: "",
    }
}

impl Item {
    fn set_by(self, spans: Vec<Span>, by_default: bool) -> Item {
        Item { spans, by_default, ..self }
    }

    fn lying(self, lies: Lies) -> Item {
        Item { lies, ..self }
    }
}

/// Runs, tails, loops and reach: what lies along the structure.
fn before_twist(h: &Harness, routing: &Routing, reach: &mut Reach, ends: [&Termination; 2]) -> CutLength {
    let [from, to] = ends;
    let id = from.conductor;
    let c = h.conductor(id);
    let mut length = CutLength { declared: h.circuit(c.circuit).length, ..CutLength::default() };
    match routing.path_of(h, id) {
        _ if c.drain => {}
        Some(path) => {
            length.items.extend(path.runs.iter().map(|id| {
                let run = h.run(*id);
                item(Term::Run, format!("run {}", run.name), run.length.value)
                    .set_by(vec![run.length.span], false)
                    .lying(Lies::Run(*id))
            }));
            let moves =
                [from.pin, to.pin].into_iter().filter_map(|pin| reach_of(h, routing, reach, id, pin, path));
            length.items.extend(moves);
            length.items.extend(shifts(h, routing, id));
        }
        None => length.missing.push(no_path(h, routing, [from.pin, to.pin])),
    }
    for end in ends {
        let pin = h.pin(end.pin);
        let device = h.device(pin.device);
        // A drain lead is cut from the place of the end that it is tied at, wherever its sleeve sits between there and the pin.
        if c.drain && matches!(pin.site, PinSite::Screen(_)) {
            continue;
        }
        if device.tail.value > Length::ZERO {
            let spans = device.tail.span.into_iter().collect();
            let by_default = device.tail.span.is_none();
            let words = format!("tail at {}", pin.name);
            let tail = item(Term::Tail, words, device.tail.value).set_by(spans, by_default);
            length.items.push(tail.lying(Lies::End(end.pin)));
        }
        if let Some(service) = service_loop(h, end.pin) {
            let words = format!("service loop at {}", device.name);
            let by_default = service.span.is_none();
            let spans = service.span.into_iter().collect();
            let service = item(Term::ServiceLoop, words, service.value).set_by(spans, by_default);
            length.items.push(service.lying(Lies::End(end.pin)));
        }
    }
    length
}

/// The loop that a wire has at a pin, so that the device can be drawn out; None where it has none.
pub(super) fn service_loop(h: &Harness, pin: PinId) -> Option<Chosen<Length>> {
    let device = h.device(h.pin(pin).device);
    // A drain lead goes into its shell with the cores, through the loop; its other end is no pin of the device.
    let at_screen = matches!(h.pin(pin).site, PinSite::Screen(_));
    let looped = !at_screen && matches!(device.style, Some(Style::Indicator | Style::Converter));
    looped.then_some(h.shop.service_loop)
}

/// What lies between the place of a splice and the splice, where it is staggered with others.
fn shifts(h: &Harness, routing: &Routing, id: ConductorId) -> Vec<Item> {
    let shift = |(pin, shift, more): (PinId, Shift, Length)| {
        let splice = h.device(h.pin(pin).device);
        let run = h.run(shift.run);
        let pinned = match splice.class {
            DeviceClass::Splice { shift: Some(pinned), .. } => Some(pinned.span),
            _ => None,
        };
        let words = format!("shift of {} on run {}", splice.name, run.name);
        let spans = pinned.into_iter().collect();
        let source = if pinned.is_some() { "" } else { STAGGERED };
        Item { source, ..item(Term::Shift, words, more).set_by(spans, false).lying(Lies::Run(shift.run)) }
    };
    routing.shifts_of(h, id).into_iter().map(shift).collect()
}

fn no_path(h: &Harness, routing: &Routing, pins: [PinId; 2]) -> String {
    match pins.map(|pin| routing.place_of_pin(h, pin)) {
        [Some(a), Some(b)] => {
            format!("no run of the route leads from `{}` to `{}`", h.place(a).name, h.place(b).name)
        }
        [None, _] => format!("`{}` has no place", h.device(h.pin(pins[0]).device).name),
        [_, None] => format!("`{}` has no place", h.device(h.pin(pins[1]).device).name),
    }
}

/// What is still needed to reach the farthest of the devices that this one trades places with.
fn reach_of(
    h: &Harness,
    routing: &Routing,
    reach: &mut Reach,
    id: ConductorId,
    pin: PinId,
    path: &Path,
) -> Option<Item> {
    let device = h.device(h.pin(pin).device);
    let mut farthest: Option<(Path, Located<DeviceId>)> = None;
    for other in &device.trades_with {
        let partner = h.device(other.value);
        let mounted = routing.place_of.get(other.value.index()).copied().flatten();
        let Some(place) = partner.lead_ends_at.map(|p| p.value).or(mounted) else { continue };
        let Some(there) = reach.path(h, id, pin, place) else { continue };
        if farthest.as_ref().is_none_or(|(known, _)| known.length < there.length) {
            farthest = Some((there, *other));
        }
    }
    let (there, other) = farthest?;
    let more = (there.length - path.length).max(Length::ZERO);
    let units = h.header.units;
    let name = &h.device(other.value).name;
    let words = format!("reach to {name}, which {} trades places with", device.name);
    let formula = format!(
        "{} to {name} less {} to {}, not below zero",
        there.length.show(units),
        path.length.show(units),
        device.name
    );
    let mut spans = vec![other.span];
    spans.extend(there.runs.iter().filter(|r| !path.runs.contains(r)).map(|r| h.run(*r).length.span));
    Some(Item {
        formula,
        source: "common practice, no source",
        ..item(Term::Reach, words, more).set_by(spans, false).lying(Lies::End(pin))
    })
}

/// What the shop's own twist takes up. A pair or cable that is bought twisted is cut as a whole and needs none.
fn twist(h: &Harness, library: &Library, id: ConductorId, laid: Length, units: Units) -> Option<Item> {
    let c = h.conductor(id);
    let lay = h.lay(c.lay);
    let pitch = lay.twist.filter(|_| c.cable.is_none() && !c.drain)?;
    let wires = lay.conductors.iter().filter(|c| !h.conductor(**c).drain);
    let core = wires.clone().map(|w| outside(library, h.conductor(*w))).max()?;
    let count = wires.count();
    let more = twist_take_up(laid, core, count, pitch.value)?;
    let words = format!("twist of {count}, one turn in {}", pitch.value.show(units));
    let mut formula = format!("{} × (√(1 + (π d / turn)²) − 1)", laid.show(units));
    let _ = write!(formula, ", wire {}", core.show(units));
    let source = "the helix rolled flat";
    Some(Item { formula, source, ..item(Term::Twist, words, more).set_by(vec![pitch.span], false) })
}

/// Reserve and fold-back of one end.
fn reserve(h: &Harness, end: &Termination, length: &mut CutLength) {
    let times = h.shop.reterminations;
    let units = h.header.units;
    let name = &h.pin(end.pin).name;
    if matches!(end.fitting, Fitting::Unknown { .. }) {
        let words = format!("no reserve at {name}: what holds it is not known");
        length.items.push(item(Term::Reserve, words, Length::ZERO));
    }
    if let Some(hold) = &end.hold {
        let count = usize::try_from(times.value).unwrap_or(usize::MAX);
        let words = format!("reserve at {name}");
        let formula = format!("{} × {} cut off with {}", times.value, hold.cut_off.show(units), hold.name);
        let more = retermination_reserve(hold.cut_off, count);
        let spans = times.span.into_iter().collect();
        let by_default = times.span.is_none();
        // The paragraph asks for two; another number is the designer's own.
        let source = if by_default { "AC 43.13-1B par. 11-118 (two reterminations)" } else { "" };
        length.items.push(Item {
            formula,
            source,
            ..item(Term::Reserve, words, more).set_by(spans, by_default).lying(Lies::End(end.pin))
        });
    }
    if let Some(stagger) = end.stagger {
        // As long for every wire of the device: what one lead loses, its wire has over.
        let (words, more) = (
            format!("staggering of the splices at {}", h.device(h.pin(end.pin).device).name),
            stagger.wire + stagger.lead,
        );
        let staggered = item(Term::Stagger, words, more).lying(Lies::End(end.pin));
        length.items.push(Item { source: STAGGERED, ..staggered });
    }
    if let (Some(fold), Some(hold)) = (end.fold_back, &end.hold) {
        let words = format!("folded back in {} at {name}", hold.name);
        let source = "common practice, no source; only where the contact maker allows it";
        length.items.push(Item { source, ..item(Term::FoldBack, words, fold).lying(Lies::End(end.pin)) });
    }
}

/// Cores of a cable, and wires that are twisted together, get the length of the longest.
fn even_out(h: &Harness, lengths: &mut [CutLength]) {
    let cable = |cable: &Cable| cable.cores.iter().flatten().copied().collect::<Vec<_>>();
    let twisted = h.lays.iter().filter(|lay| lay.twist.is_some()).map(|lay| {
        lay.conductors
            .iter()
            .copied()
            .filter(|c| h.conductor(*c).cable.is_none() && !h.conductor(*c).drain)
            .collect()
    });
    let groups: Vec<Vec<ConductorId>> = h.cables.iter().map(cable).chain(twisted).collect();
    for group in groups {
        let of = |id: &ConductorId| lengths.get(id.index()).map_or(Length::ZERO, CutLength::sum);
        let Some(longest) = group.iter().copied().max_by_key(|id| (of(id), std::cmp::Reverse(*id))) else {
            continue;
        };
        let full = of(&longest);
        for id in &group {
            if let Some(length) = lengths.get_mut(id.index()) {
                let more = full - length.sum();
                if more > Length::ZERO {
                    let words = format!("as long as {}", h.conductor(longest).mark);
                    length.items.push(item(Term::Evened, words, more));
                }
            }
        }
    }
}

/// Length to cut of a cable: that of its cores. None where it is not known.
pub fn of_cable(h: &Harness, lengths: &[CutLength], cable: CableId) -> Option<Length> {
    let cores = h.cable(cable).cores.iter().flatten();
    cores.filter_map(|id| lengths.get(id.index())?.cut()).max()
}
