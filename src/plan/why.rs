//! `why`: the name of anything in the harness in; how each of its figures comes about, with the lines that set them, out.
//!
//! One name may mean several things (a sensor and its circuit are often called alike): all of them are told. A name
//! that means nothing is answered with the nearest one that does.

use super::Plan;
use super::{why_bus, why_device, why_ground, why_mass, why_structure, why_wire};
use crate::diag::{Finding, Span, nearest};
use crate::graph::{Bundles, Loading, Routing};
use crate::harness::{
    BondId, BusId, CableId, CircuitId, ConductorId, DeviceId, Harness, HoleId, PinId, PlaceId, RunId,
};
use crate::parts::library::Library;

/// What may be asked about.
#[derive(Clone, Copy, Debug)]
pub struct Asked<'a> {
    /// The harness.
    pub h: &'a Harness,
    /// Parts.
    pub library: &'a Library,
    /// Where it lies.
    pub routing: &'a Routing,
    /// What lies side by side in every run and hole.
    pub bundles: &'a Bundles,
    /// Lengths and ends.
    pub plan: &'a Plan,
    /// What flows, what may flow and what feeds it.
    pub loading: &'a Loading,
    /// What was found, in the order in which it was told: `finding 1` is the first.
    pub findings: &'a [Finding],
}

/// How the figures of one thing come about.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Derivation {
    /// Its name.
    pub id: String,
    /// What it is.
    pub what: String,
    /// Where it stands in the sources; None for what the tool made.
    pub span: Option<Span>,
    /// Its figures, most asked for first.
    pub figures: Vec<Figure>,
}

/// A figure and its terms.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Figure {
    /// What the figure is.
    pub name: String,
    /// Its value with its unit; in words where it is not known.
    pub value: String,
    /// What it is made of.
    pub terms: Vec<Line>,
}

/// A term of a figure.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Line {
    /// What it is.
    pub words: String,
    /// Its value with its unit; empty where it has none.
    pub value: String,
    /// How it comes about; empty where it was simply read.
    pub formula: String,
    /// The lines that set it.
    pub spans: Vec<Span>,
    /// True where a default of the tool was used.
    pub by_default: bool,
    /// Law, document or practice behind it; empty for what was measured.
    pub source: String,
}

impl Derivation {
    pub(super) fn of(id: &str, what: String, span: Option<Span>) -> Derivation {
        Derivation { id: id.to_owned(), what, span, figures: Vec::new() }
    }

    pub(super) fn figure(&mut self, name: &str, value: impl Into<String>, terms: Vec<Line>) {
        self.figures.push(Figure { name: name.to_owned(), value: value.into(), terms });
    }
}

impl Line {
    pub(super) fn of(words: impl Into<String>, value: impl Into<String>) -> Line {
        Line { words: words.into(), value: value.into(), ..Line::default() }
    }

    pub(super) fn at(mut self, span: impl IntoIterator<Item = Span>) -> Line {
        self.spans.extend(span);
        self
    }

    pub(super) fn because(self, formula: impl Into<String>) -> Line {
        Line { formula: formula.into(), ..self }
    }

    pub(super) fn by(self, source: impl Into<String>) -> Line {
        Line { source: source.into(), ..self }
    }

    pub(super) fn by_default(self, by_default: bool) -> Line {
        Line { by_default, ..self }
    }
}

/// A name that means nothing here.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Unknown {
    /// The name.
    pub id: String,
    /// The nearest name that means something.
    pub nearest: Option<String>,
    /// How many findings there are, where one of them was asked for by its number.
    pub findings: Option<usize>,
}

impl std::fmt::Display for Unknown {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self.findings {
            Some(0) => return f.write_str("there is no finding"),
            Some(1) => return f.write_str("there is one finding: ask about `finding 1`"),
            Some(n) => return write!(f, "there are {n} findings: ask about `finding 1` to `finding {n}`"),
            None => write!(f, "nothing in this harness is called `{}`", self.id)?,
        }
        match &self.nearest {
            Some(name) => write!(f, "; did you mean `{name}`?"),
            None => write!(
                f,
                "; ask about a wire mark, circuit, device, pin, cable, hole, run, place, bus, bond, a rule, \
                 `finding 1` or `{}`",
                why_mass::NAME
            ),
        }
    }
}

/// A thing that has a name.
#[derive(Clone, Copy)]
enum Thing {
    Conductor(ConductorId),
    Circuit(CircuitId),
    Cable(CableId),
    Device(DeviceId),
    Pin(PinId),
    Hole(HoleId),
    Run(RunId),
    Place(PlaceId),
    Bus(BusId),
    Bond(BondId),
}

/// Every name and what it means. A ground, stud or splice has one pin of its own name and a hole is a place: these are
/// named once.
fn things(h: &Harness) -> impl Iterator<Item = (&str, Thing)> {
    let own = |i: usize| h.device(h.pins[i].device).name != h.pins[i].name;
    let conductors = h.conductors.iter().enumerate();
    let circuits = h.circuits.iter().enumerate();
    let cables = h.cables.iter().enumerate();
    let devices = h.devices.iter().enumerate();
    let pins = h.pins.iter().enumerate().filter(move |(i, _)| own(*i));
    let holes = h.holes.iter().enumerate();
    let runs = h.runs.iter().enumerate();
    let buses = h.buses.iter().enumerate();
    let bonds = h.bonds.iter().enumerate();
    let places = h.places.iter().enumerate().filter(|(_, p)| p.hole.is_none());
    conductors
        .map(|(i, x)| (x.mark.as_str(), Thing::Conductor(ConductorId::at(i))))
        .chain(circuits.map(|(i, x)| (x.name.as_str(), Thing::Circuit(CircuitId::at(i)))))
        .chain(cables.map(|(i, x)| (x.name.as_str(), Thing::Cable(CableId::at(i)))))
        .chain(devices.map(|(i, x)| (x.name.as_str(), Thing::Device(DeviceId::at(i)))))
        .chain(pins.map(|(i, x)| (x.name.as_str(), Thing::Pin(PinId::at(i)))))
        .chain(holes.map(|(i, x)| (x.name.as_str(), Thing::Hole(HoleId::at(i)))))
        .chain(runs.map(|(i, x)| (x.name.as_str(), Thing::Run(RunId::at(i)))))
        .chain(places.map(|(i, x)| (x.name.as_str(), Thing::Place(PlaceId::at(i)))))
        .chain(buses.map(|(i, x)| (x.name.as_str(), Thing::Bus(BusId::at(i)))))
        .chain(bonds.map(|(i, x)| (x.name.as_str(), Thing::Bond(BondId::at(i)))))
}

fn of_thing(asked: &Asked, thing: Thing) -> Derivation {
    match thing {
        Thing::Conductor(id) => why_wire::conductor(asked, id),
        Thing::Circuit(id) => why_wire::circuit(asked, id),
        Thing::Cable(id) => why_wire::cable(asked, id),
        Thing::Device(id) => why_device::device(asked, id),
        Thing::Pin(id) => why_device::pin(asked, id),
        Thing::Hole(id) => why_structure::hole(asked, id),
        Thing::Run(id) => why_structure::run(asked, id),
        Thing::Place(id) => why_structure::place(asked, id),
        Thing::Bus(id) => why_bus::bus(asked, id),
        Thing::Bond(id) => why_ground::bond(asked, id),
    }
}

/// Everything that `id` means: wire marks, circuits, cables, devices, pins, holes, runs, places, buses, bonds; then
/// findings, by `finding 2` or the name of their rule; then what all of the harness weighs, by `mass` or by no name at all.
///
/// # Errors
/// Where it means nothing: with the nearest name.
pub fn derive(asked: &Asked, id: &str) -> Result<Vec<Derivation>, Unknown> {
    let id = id.trim();
    let meant = things(asked.h).filter(|(name, _)| *name == id);
    let mut found: Vec<Derivation> = meant.map(|(_, thing)| of_thing(asked, thing)).collect();
    let number = id.strip_prefix("finding").map(|n| n.trim_start_matches([' ', '-', '#']));
    let number: Option<usize> = number.and_then(|n| n.parse().ok());
    for (i, finding) in asked.findings.iter().enumerate() {
        if finding.rule == id || number == Some(i + 1) {
            found.push(of_finding(i, finding));
        }
    }
    // Where something in the spec is called so too, both are told; no name at all can mean nothing else.
    if id.is_empty() || id == why_mass::NAME {
        found.push(why_mass::whole(asked));
    }
    if !found.is_empty() {
        return Ok(found);
    }
    let names = || things(asked.h).map(|(name, _)| name).chain(asked.findings.iter().map(|f| f.rule));
    // A mark is often said without what stands behind it: `E1A20` for `E1A20-CHROM`.
    let begun = names().find(|name| !id.is_empty() && name.starts_with(id));
    let nearest = begun.or_else(|| nearest(id, names())).map(str::to_owned);
    Err(Unknown { id: id.to_owned(), nearest, findings: number.map(|_| asked.findings.len()) })
}

/// A finding as a derivation: what it says, then every place it names; the line that set the limit stands last.
fn of_finding(i: usize, finding: &Finding) -> Derivation {
    let what = format!("{}, {}: {}", finding.rule, finding.severity.word(), finding.message);
    let span = finding.labels.first().map(|l| l.span);
    let mut told = Derivation::of(&format!("finding {}", i + 1), what, span);
    let place = |l: &crate::diag::Label| {
        let words = match (&l.id, l.text.as_str()) {
            (Some(id), "") => id.clone(),
            (Some(id), text) => format!("{id}: {text}"),
            (None, text) => text.to_owned(),
        };
        Line::of(words, "").at([l.span])
    };
    told.figure("places", "", finding.labels.iter().map(place).collect());
    let said = [
        ("in service", finding.in_service.as_str()),
        ("remedy", finding.remedy.as_str()),
        ("source", finding.source.as_str()),
        ("waived", finding.waived.as_deref().unwrap_or("")),
    ];
    for (name, value) in said.into_iter().filter(|(_, value)| !value.is_empty()) {
        told.figure(name, value, Vec::new());
    }
    told
}
