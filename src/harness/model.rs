//! The resolved harness: every name looked up, every circuit turned into conductors, every default marked.
//!
//! Guarantees: ids are valid indices; a conductor joins two different pins; both pins of a conductor belong to
//! devices; names are unique within their kind; spans point into the run's sources.

use indexmap::IndexMap;

use super::ids::*;
use super::port::Port;
use super::shop::Shop;
use super::splices::{Shift, SpliceBuild};
use crate::diag::Span;
use crate::parts::library::{LiningPartId, ShellPartId, SplicePartId, WirePartId};
use crate::parts::words::{Measure, Role, Style};
use crate::quantity::{
    Current, Date, Fraction, Gauge, Length, Resistance, Station, Temperature, Units, Voltage,
};
use crate::spec::words::{BodyKind, CircuitKind, FedEnds, Hazard, OldGauge};
use crate::trade::colour::Colour;
use crate::trade::stud::StudSize;
use crate::trade::thermocouple_colour::{Alloy, ColourStandard};
use crate::trade::voltage_drop::Duty;

/// A value and where it was written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Located<T> {
    /// The value.
    pub value: T,
    /// Where it stands.
    pub span: Span,
}

/// A value that was given, or that the tool put in where nothing was said.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Chosen<T> {
    /// The value.
    pub value: T,
    /// Where it stands; `None` where it is the tool's default, which papers mark.
    pub span: Option<Span>,
}

/// The whole resolved harness.
#[derive(Clone, Debug)]
pub struct Harness {
    /// Titles and choices for all of it.
    pub header: Header,
    /// Allowances of the shop.
    pub shop: Shop,
    /// Zones.
    pub zones: Vec<Zone>,
    /// Barriers.
    pub barriers: Vec<Barrier>,
    /// Holes of all barriers.
    pub holes: Vec<Hole>,
    /// Places.
    pub places: Vec<Place>,
    /// Runs.
    pub runs: Vec<Run>,
    /// Bodies.
    pub bodies: Vec<Body>,
    /// Bonds.
    pub bonds: Vec<Bond>,
    /// Buses.
    pub buses: Vec<Bus>,
    /// Phases that the buses name, in the order of the spec.
    pub phases: Vec<String>,
    /// Devices: equipment, sensors, grounds, supplies, in-line connectors, splices, studs.
    pub devices: Vec<Device>,
    /// Pins of all devices, those of one device side by side; then the screens of cables.
    pub pins: Vec<Pin>,
    /// Circuits.
    pub circuits: Vec<Circuit>,
    /// Conductors, those of one circuit side by side; drain leads of cables last.
    pub conductors: Vec<Conductor>,
    /// What is laid together.
    pub lays: Vec<Lay>,
    /// Pairs and cables.
    pub cables: Vec<Cable>,
    /// Waivers.
    pub waivers: Vec<Waiver>,
    /// Device by name.
    pub device_by_name: IndexMap<String, DeviceId>,
}

/// Titles and choices for the whole harness.
#[derive(Clone, Debug)]
pub struct Header {
    /// Title.
    pub title: String,
    /// Drawing number.
    pub drawing: String,
    /// Revision index.
    pub revision: Option<String>,
    /// The machine it is for.
    pub machine: Option<String>,
    /// Legal owner.
    pub owner: Option<String>,
    /// Date of issue.
    pub issued: Option<Date>,
    /// Remark for every paper.
    pub remark: Option<String>,
    /// Nominal supply voltage.
    pub supply: Option<Located<Voltage>>,
    /// Declared thermocouple colours.
    pub thermocouple_colours: Option<Located<ColourStandard>>,
    /// Units of the papers.
    pub units: Units,
    /// Highest altitude.
    pub ceiling: Option<Located<Length>>,
    /// Where `harness:` stands.
    pub span: Span,
}

/// A zone.
#[derive(Clone, Debug)]
pub struct Zone {
    /// Name.
    pub name: String,
    /// Name in full.
    pub title: Option<String>,
    /// Highest ambient temperature.
    pub ambient: Option<Located<Temperature>>,
    /// What is about.
    pub hazards: Vec<Hazard>,
    /// False where splices are forbidden.
    pub splices_allowed: bool,
    /// Where it stands.
    pub span: Span,
}

/// A barrier.
#[derive(Clone, Debug)]
pub struct Barrier {
    /// Name.
    pub name: String,
    /// Name in full.
    pub title: Option<String>,
    /// The zones it parts.
    pub between: [ZoneId; 2],
    /// Most holes that may be used.
    pub max_holes: Option<Located<u32>>,
    /// Its holes.
    pub holes: Vec<HoleId>,
    /// Where it stands.
    pub span: Span,
}

/// A hole.
#[derive(Clone, Debug)]
pub struct Hole {
    /// Name.
    pub name: String,
    /// Its barrier.
    pub barrier: BarrierId,
    /// The place it is.
    pub place: PlaceId,
    /// Clear diameter: as declared, else the lining's.
    pub bore: Option<Located<Length>>,
    /// Lining.
    pub lining: Option<LiningPartId>,
    /// Seal.
    pub seal: Option<String>,
    /// Most conductors.
    pub max_conductors: Option<Located<u32>>,
    /// Most fill by area.
    pub max_fill: Option<Located<Fraction>>,
    /// Conductors of other harnesses in it.
    pub others: u32,
    /// Outside diameter of each of those.
    pub others_outside: Option<Located<Length>>,
    /// How ends are fed through it, where the designer says so.
    pub feed: Option<Located<FedEnds>>,
    /// Where it stands.
    pub span: Span,
}

/// A place.
#[derive(Clone, Debug)]
pub struct Place {
    /// Name.
    pub name: String,
    /// Name in full.
    pub title: Option<String>,
    /// Zones of the runs that meet here, sorted, without repeats.
    pub zones: Vec<ZoneId>,
    /// The hole it is.
    pub hole: Option<HoleId>,
    /// Distance from the weighing datum.
    pub station: Option<Located<Station>>,
    /// Where it lies as the designer looks at it, to the right and upwards.
    pub position: Option<Located<[Length; 2]>>,
    /// Radius of the tightest bend here.
    pub bend: Option<Located<Length>>,
    /// Where it is said that a magneto is here.
    pub magneto: Option<Span>,
    /// Where it is named first.
    pub span: Span,
}

/// A run.
#[derive(Clone, Debug)]
pub struct Run {
    /// `FH1-baffle`: its two ends, with `-2`, `-3` behind it where several runs join the same places.
    pub name: String,
    /// Ends.
    pub ends: [PlaceId; 2],
    /// Zone.
    pub zone: ZoneId,
    /// Measured length.
    pub length: Located<Length>,
    /// Hottest surface beside it.
    pub surface: Option<Located<Temperature>>,
    /// Covering over all of it: name of a part.
    pub cover: Option<Located<String>>,
    /// What it passes.
    pub beside: Vec<Hazard>,
    /// How far it is kept from what it passes.
    pub apart: Vec<(Hazard, Located<Length>)>,
    /// True where it is clamped closely and rigidly.
    pub rigid: bool,
    /// Distance between clamps.
    pub clamps: Option<Located<Length>>,
    /// Slack between two clamps.
    pub slack: Option<Located<Length>>,
    /// Radius of the tightest bend on it.
    pub bend: Option<Located<Length>>,
    /// Where it stands.
    pub span: Span,
}

/// A conducting body.
#[derive(Clone, Debug)]
pub struct Body {
    /// Name.
    pub name: String,
    /// Kind.
    pub kind: BodyKind,
    /// Where it stands.
    pub span: Span,
}

/// A bond.
#[derive(Clone, Debug)]
pub struct Bond {
    /// Title, or `engine-airframe`.
    pub name: String,
    /// Bodies.
    pub ends: [BodyId; 2],
    /// Resistance.
    pub resistance: Option<Located<Resistance>>,
    /// Other current in it while the engine runs.
    pub carries: Option<Located<Current>>,
    /// Other current in it while the engine is cranked.
    pub cranking: Option<Located<Current>>,
    /// Where it stands.
    pub span: Span,
}

/// A bus.
#[derive(Clone, Debug)]
pub struct Bus {
    /// Name.
    pub name: String,
    /// Name in full.
    pub title: Option<String>,
    /// What its source gives continuously.
    pub source: Option<Located<Current>>,
    /// What the rest of the machine draws, by phase.
    pub others: Vec<(String, Located<Current>)>,
    /// Where its bar or terminal is.
    pub at: Option<Located<PlaceId>>,
    /// True where the section `buses` has it; else only supplies name it.
    pub declared: bool,
    /// Where it stands.
    pub span: Span,
}

/// What a device is in this harness.
#[derive(Clone, Debug)]
pub enum DeviceClass {
    /// Of the section `equipment`.
    Equipment,
    /// Of the section `sensors`.
    Sensor,
    /// A ground point on a body.
    Ground {
        /// Stud size.
        stud: Option<Located<StudSize>>,
        /// Most lugs: declared.
        max_lugs: Option<Located<u32>>,
        /// Lugs of other circuits on it.
        others: u32,
    },
    /// A feed of power.
    Supply {
        /// Breaker rating.
        breaker: Option<Located<Current>>,
        /// Fuse rating.
        fuse: Option<Located<Current>>,
        /// Bus, by name.
        bus: Option<Located<BusId>>,
    },
    /// An in-line connector. Its pins come in mated couples: see [`Harness::mate`].
    InLine {
        /// Plug half.
        plug: ShellPartId,
        /// Other half.
        receptacle: ShellPartId,
        /// Neighbouring place that the plug's wires run to.
        plug_faces: PlaceId,
    },
    /// A splice. It has one pin; every conductor that ends in it ends on that pin.
    Splice {
        /// Part; `None` where the library has none that takes its wires.
        part: Option<SplicePartId>,
        /// True where the tool made it for a `join`.
        made: bool,
        /// What its part says of it; `None` as `part`.
        build: Option<SpliceBuild>,
        /// Where the designer shifted it to from its place.
        shift: Option<Located<Shift>>,
    },
    /// A stud or post.
    Stud {
        /// Size.
        size: StudSize,
        /// Most lugs: declared.
        max_lugs: Option<Located<u32>>,
        /// Lugs of other circuits on it.
        others: u32,
    },
}

/// Anything with pins.
#[derive(Clone, Debug)]
pub struct Device {
    /// Name.
    pub name: String,
    /// Name in full: from the spec, else the part's.
    pub title: String,
    /// What it is.
    pub class: DeviceClass,
    /// Sort, for equipment and sensors.
    pub style: Option<Style>,
    /// What it measures.
    pub measures: Option<Measure>,
    /// Name of its part, where it has one.
    pub part: Option<String>,
    /// Place; `None` only for a splice that the route graph has still to place.
    pub place: Option<PlaceId>,
    /// Body that its case or stud touches.
    pub body: Option<Located<BodyId>>,
    /// True where case and body are one conductor.
    pub case_grounds: bool,
    /// Length of its own leads.
    pub lead: Option<Chosen<Length>>,
    /// Place where they end, if not where it is mounted.
    pub lead_ends_at: Option<Located<PlaceId>>,
    /// Sensors it changes places with.
    pub trades_with: Vec<Located<DeviceId>>,
    /// From the place to its pins.
    pub tail: Chosen<Length>,
    /// Its first pin.
    pub first_pin: PinId,
    /// Number of its pins.
    pub pin_count: u32,
    /// Its connectors.
    pub connectors: Vec<Connector>,
    /// Its ports.
    pub ports: Vec<Port>,
    /// Groups of pins joined inside.
    pub links: Vec<Vec<PinId>>,
    /// Pins that are the case, or are joined to it inside.
    pub on_case: Vec<PinId>,
    /// How it is mounted, as far as the spec says.
    pub mounting: Mounting,
    /// True where it is joined to the primary circuit of a magneto.
    pub taps_magneto: bool,
    /// True where it keeps a fault of its wire from stopping the magneto.
    pub isolates: bool,
    /// Remark for the bench.
    pub note: Option<String>,
    /// Where it stands (its name).
    pub span: Span,
    /// Where its place is written.
    pub at_span: Option<Span>,
}

/// How a device is mounted; `None` where the spec does not say.
#[derive(Clone, Copy, Debug, Default)]
pub struct Mounting {
    /// Distance of an exhaust probe from the flange.
    pub from_flange: Option<Located<Length>>,
    /// Distance from the centre of the primary instruments.
    pub off_centre: Option<Located<Length>>,
    /// What became of the gauge that it served before.
    pub old_gauge: Option<Located<OldGauge>>,
    /// True where its wires hang in a drip loop.
    pub drip_loop: Option<Located<bool>>,
}

/// A connector of a device, or a half of an in-line connector.
#[derive(Clone, Debug)]
pub struct Connector {
    /// Letter or name; `plug` and `receptacle` for the halves of an in-line connector.
    pub name: String,
    /// Shell on the device; for a half of an in-line connector the same as `harness_shell`.
    pub device_shell: ShellPartId,
    /// Shell that the harness wires go into.
    pub harness_shell: ShellPartId,
}

/// How a wire is held at a pin.
#[derive(Clone, Debug, PartialEq)]
pub enum PinSite {
    /// A cavity of `connectors[connector]`.
    Cavity {
        /// Index of the connector in its device.
        connector: u32,
        /// Mark of the cavity.
        cavity: String,
    },
    /// A screw or stud; `None` where its size is not known.
    Stud(Option<StudSize>),
    /// A blade of this width.
    Tab(Length),
    /// The bare end of a lead.
    BareLead(Gauge),
    /// The case, by a screw of this size.
    Case(StudSize),
    /// Inside a splice.
    Splice,
    /// The screen of a cable: not a place where a wire is put, but where its drain leads start.
    Screen(CableId),
}

/// A pin.
#[derive(Clone, Debug)]
pub struct Pin {
    /// Full reference: `GAUGE.A.7`, `EGT2.plus`, `ENG`; `FWD.plug.3` for half of an in-line connector.
    pub name: String,
    /// Its device; for a screen, the device at which its first tie lies.
    pub device: DeviceId,
    /// How a wire is held.
    pub site: PinSite,
    /// The port it belongs to: index into the device's ports, and its role there.
    pub port: Option<(u32, Role)>,
    /// Material.
    pub alloy: Alloy,
    /// Colour of the device's own lead.
    pub colour: Option<Colour>,
}

/// A circuit.
#[derive(Clone, Debug)]
pub struct Circuit {
    /// Name.
    pub name: String,
    /// What it is for.
    pub kind: CircuitKind,
    /// System that lists group it under.
    pub system: String,
    /// Its first conductor.
    pub first_conductor: ConductorId,
    /// Number of its conductors.
    pub conductor_count: u32,
    /// Whole ports it was given by (device and index of the port), `from` first.
    pub ports: Vec<Located<(DeviceId, u32)>>,
    /// Holes and places it must pass.
    pub through: Vec<Located<PlaceId>>,
    /// Hazards whose runs it avoids.
    pub keep_off: Vec<Hazard>,
    /// Declared length of each conductor.
    pub length: Option<Located<Length>>,
    /// Declared current.
    pub current: Option<Located<Current>>,
    /// How long it flows.
    pub duty: Duty,
    /// Phases in which it draws; empty: all.
    pub during: Vec<Located<PhaseId>>,
    /// The joint that its ends meet in, for a `join`.
    pub joint: Option<DeviceId>,
    /// Remark for the bench.
    pub note: Option<String>,
    /// Where it stands (its name).
    pub span: Span,
}

/// A piece of wire or a core, from pin to pin.
#[derive(Clone, Debug)]
pub struct Conductor {
    /// Wire mark: unique.
    pub mark: String,
    /// Circuit.
    pub circuit: CircuitId,
    /// Leg of the circuit, from 0; segments of one leg through in-line connectors share it.
    pub leg: u32,
    /// Role that the leg plays, where a port says it.
    pub role: Option<Role>,
    /// One end, towards the circuit's `from`.
    pub from: PinId,
    /// The other end.
    pub to: PinId,
    /// Wire, pair or cable it is of.
    pub wire: WirePartId,
    /// Index of the core in `cable`.
    pub core: Option<u32>,
    /// Pair or cable it is a core of.
    pub cable: Option<CableId>,
    /// Gauge.
    pub gauge: Gauge,
    /// Material.
    pub alloy: Alloy,
    /// Insulation colour, and where the spec gave it.
    pub colour: Chosen<Colour>,
    /// What it is laid together with.
    pub lay: LayId,
    /// True for the drain lead of a screen: it runs inside the tail and never along the route.
    pub drain: bool,
    /// Where it stands: the leg in the spec, else the circuit's name.
    pub span: Span,
    /// Where its wire was chosen: `wire:` or `gauge:` of the circuit, `default-wire` of the harness.
    pub wire_span: Option<Span>,
}

/// Conductors laid together, from one place to another.
#[derive(Clone, Debug)]
pub struct Lay {
    /// The conductors.
    pub conductors: Vec<ConductorId>,
    /// Twist that the shop makes: length of one turn.
    pub twist: Option<Located<Length>>,
    /// Holes and places to pass, in order from the first conductor's `from`.
    pub through: Vec<PlaceId>,
    /// Hazards whose runs are avoided.
    pub keep_off: Vec<Hazard>,
}

/// A pair or cable.
#[derive(Clone, Debug)]
pub struct Cable {
    /// Name: as in the spec, else made of its circuit's name.
    pub name: String,
    /// Part.
    pub wire: WirePartId,
    /// Conductors by core.
    pub cores: Vec<Option<ConductorId>>,
    /// Pin that stands for its screen.
    pub screen: Option<PinId>,
    /// Drain leads that tie the screen. `None`: the spec says nothing of the screen; empty: left floating on purpose.
    pub ties: Option<Vec<ConductorId>>,
    /// Where it stands.
    pub span: Span,
}

/// A waiver.
#[derive(Clone, Debug)]
pub struct Waiver {
    /// Rule.
    pub rule: Located<String>,
    /// Thing it covers.
    pub at: Located<String>,
    /// Reason.
    pub because: Option<String>,
    /// Who accepted it.
    pub by: Option<String>,
    /// Last day.
    pub until: Option<Located<Date>>,
    /// Where it stands.
    pub span: Span,
}

impl Port {
    /// True where the two can be connected: one takes the kind of the other.
    pub fn suits(&self, other: &Port) -> bool {
        let takes = |a: &Port, b: &Port| a.kind == b.kind || a.also.contains(&b.kind);
        takes(self, other) || takes(other, self)
    }
}

macro_rules! lookups {
    ($($(#[$doc:meta])* $one:ident: $many:ident[$id:ident] -> $thing:ident),+ $(,)?) => {
        impl Harness {$(
            $(#[$doc])*
            pub fn $one(&self, id: $id) -> &$thing {
                &self.$many[id.index()]
            }
        )+}
    };
}

lookups! {
    /// The zone of an id.
    zone: zones[ZoneId] -> Zone,
    /// The barrier of an id.
    barrier: barriers[BarrierId] -> Barrier,
    /// The hole of an id.
    hole: holes[HoleId] -> Hole,
    /// The bus of an id.
    bus: buses[BusId] -> Bus,
    /// The place of an id.
    place: places[PlaceId] -> Place,
    /// The run of an id.
    run: runs[RunId] -> Run,
    /// The body of an id.
    body: bodies[BodyId] -> Body,
    /// The bond of an id.
    bond: bonds[BondId] -> Bond,
    /// The device of an id.
    device: devices[DeviceId] -> Device,
    /// The pin of an id.
    pin: pins[PinId] -> Pin,
    /// The circuit of an id.
    circuit: circuits[CircuitId] -> Circuit,
    /// The conductor of an id.
    conductor: conductors[ConductorId] -> Conductor,
    /// The lay of an id.
    lay: lays[LayId] -> Lay,
    /// The cable of an id.
    cable: cables[CableId] -> Cable,
}

impl Harness {
    /// Pins of a device.
    pub fn pins_of(&self, id: DeviceId) -> impl Iterator<Item = PinId> + use<> {
        let d = self.device(id);
        (d.first_pin.0..d.first_pin.0 + d.pin_count).map(PinId)
    }

    /// Conductors of a circuit; drain leads of cables are not among them.
    pub fn conductors_of(&self, id: CircuitId) -> impl Iterator<Item = ConductorId> + use<> {
        let c = self.circuit(id);
        (c.first_conductor.0..c.first_conductor.0 + c.conductor_count).map(ConductorId)
    }

    /// All conductors with their ids.
    pub fn conductor_ids(&self) -> impl Iterator<Item = ConductorId> + use<> {
        (0..self.conductors.len()).map(ConductorId::at)
    }

    /// The pin on the other half of an in-line connector that mates with this one.
    ///
    /// The pins of such a device are the plug's cavities and then the receptacle's, in the same order.
    pub fn mate(&self, pin: PinId) -> Option<PinId> {
        let device = self.device(self.pin(pin).device);
        if !matches!(device.class, DeviceClass::InLine { .. }) {
            return None;
        }
        let half = device.pin_count / 2;
        let at = pin.0.checked_sub(device.first_pin.0)?;
        Some(PinId(device.first_pin.0 + if at < half { at + half } else { at - half }))
    }

    /// The port that a pin belongs to, and its role there.
    pub fn port_of(&self, pin: PinId) -> Option<(&Port, Role)> {
        let pin = self.pin(pin);
        let (port, role) = pin.port?;
        Some((self.device(pin.device).ports.get(port as usize)?, role))
    }
}
