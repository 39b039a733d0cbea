//! The spec language as types: what a spec file may say. The language reference and the JSON Schema are generated
//! from these definitions, so the first sentence of each doc comment is what a designer reads.

use indexmap::IndexMap;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::words::{BodyKind, Cavities, CircuitKind, FedEnds, Hazard, Label, OldGauge, SplicePolicy};
use crate::quantity::{
    Current, Date, Fraction, Gauge, Length, Resistance, Station, Temperature, Units, Voltage,
};
use crate::trade::colour::Colour;
use crate::trade::stud::StudSize;
use crate::trade::thermocouple_colour::ColourStandard;
use crate::trade::voltage_drop::Duty;

/// A whole spec file: one harness, from the structure it runs along to the circuits it carries.
#[derive(Clone, Debug, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Spec {
    /// Version of the spec language; this tool reads 1.
    pub fairlead: u32,
    /// What the harness is, and choices that hold for all of it.
    pub harness: HarnessSpec,
    /// Allowances and steps of the shop that cuts the wire.
    #[serde(default)]
    pub shop: ShopSpec,
    /// Part files of your own, by path relative to this file, inside its folder.
    #[serde(default)]
    pub parts: Vec<String>,
    /// Spaces the harness runs through, by name.
    #[serde(default)]
    pub zones: IndexMap<String, ZoneSpec>,
    /// Walls between zones (firewall, bulkhead) and the holes in them.
    #[serde(default)]
    pub barriers: IndexMap<String, BarrierSpec>,
    /// Optional particulars of places; a place exists as soon as a run or a hole names it.
    #[serde(default)]
    pub places: IndexMap<String, PlaceSpec>,
    /// Runs from place to place, measured along the structure with a string.
    #[serde(default)]
    pub route: Vec<RunSpec>,
    /// Conducting bodies that things are mounted on: `engine: engine`, `airframe: structure`, `radio-rack: avionics`.
    #[serde(default)]
    pub bodies: IndexMap<String, BodyKind>,
    /// Straps and other joints between bodies.
    #[serde(default)]
    pub bonds: Vec<BondSpec>,
    /// Indicators, modules, lamps, shunts: what the harness serves.
    #[serde(default)]
    pub equipment: IndexMap<String, DeviceSpec>,
    /// Probes, senders, transducers and pick-ups.
    #[serde(default)]
    pub sensors: IndexMap<String, DeviceSpec>,
    /// Ground points: studs fixed to a body.
    #[serde(default)]
    pub grounds: IndexMap<String, GroundSpec>,
    /// Protected (or unprotected) feeds of power.
    #[serde(default)]
    pub supplies: IndexMap<String, SupplySpec>,
    /// Buses that the supplies are fed from: what they can give, and what else draws from them in each phase.
    #[serde(default)]
    pub buses: IndexMap<String, BusSpec>,
    /// In-line connectors: a mated pair of shells at a place on the route.
    #[serde(default)]
    pub connectors: IndexMap<String, ConnectorSpec>,
    /// Splices pinned to a place by the designer.
    #[serde(default)]
    pub splices: IndexMap<String, SpliceSpec>,
    /// Studs and terminal posts that join circuits, not fixed to a body.
    #[serde(default)]
    pub studs: IndexMap<String, StudSpec>,
    /// What connects to what.
    #[serde(default)]
    pub circuits: IndexMap<String, CircuitSpec>,
    /// Multi-core cables that carry several circuits in one jacket.
    #[serde(default)]
    pub cables: IndexMap<String, CableSpec>,
    /// Findings that a named person has accepted, with the reason.
    #[serde(default)]
    pub waive: Vec<WaiverSpec>,
}

/// What the harness is, and choices that hold for all of it.
#[derive(Clone, Debug, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct HarnessSpec {
    /// Title, as printed in the title block.
    pub title: String,
    /// Drawing number.
    pub drawing: String,
    /// Revision index.
    #[serde(default)]
    pub revision: Option<Label>,
    /// The machine it is for.
    #[serde(default)]
    pub machine: Option<String>,
    /// Legal owner of the drawing.
    #[serde(default)]
    pub owner: Option<String>,
    /// Date of issue.
    #[serde(default)]
    pub issued: Option<Date>,
    /// A remark printed on every paper, such as `invented for demonstration`.
    #[serde(default)]
    pub remark: Option<String>,
    /// Nominal voltage of the supply.
    #[serde(default)]
    pub supply: Option<Voltage>,
    /// Colour standard of the thermocouple wire: `ansi` (negative is red) or `iec` (negative is white).
    #[serde(default)]
    pub thermocouple_colours: Option<ColourStandard>,
    /// Units of the papers: `metric` or `inch`.
    #[serde(default)]
    pub units: Units,
    /// Hook-up wire used where a circuit does not name one.
    #[serde(default)]
    pub default_wire: Option<String>,
    /// How wires are marked.
    #[serde(default)]
    pub wire_marks: WireMarkSpec,
    /// Highest altitude it is used at: thin air cools wire less. Sea level where nothing is said.
    #[serde(default)]
    pub ceiling: Option<Length>,
}

/// How wires are marked.
#[derive(Clone, Debug, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct WireMarkSpec {
    /// Unit number before the circuit letter of the aircraft scheme (which engine or system of several).
    #[serde(default)]
    pub unit: Option<u32>,
    /// Another scheme, made of `{unit}`, `{letter}`, `{number}`, `{segment}`, `{gauge}`, `{ground}` and `{circuit}`;
    /// `{number}` and `{segment}` must be in it, so that no two wires are marked alike.
    #[serde(default)]
    pub pattern: Option<String>,
}

/// Allowances and steps of the shop that cuts the wire.
#[derive(Clone, Debug, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct ShopSpec {
    /// Cut lengths are rounded up to this step; 5 mm where nothing is said.
    #[serde(default)]
    pub cut_step: Option<Length>,
    /// Extra length coiled behind the indicator so that it can be drawn out; 150 mm where nothing is said.
    #[serde(default)]
    pub service_loop: Option<Length>,
    /// Length from a place on the route to the cavity or stud, for each end; 100 mm where nothing is said.
    #[serde(default)]
    pub tail: Option<Length>,
    /// How many times each end may be cut back and terminated anew; 2 where nothing is said (AC 43.13-1B par. 11-118).
    #[serde(default)]
    pub reterminations: Option<u32>,
    /// Length that one letter of a wire mark takes on its sleeve; 1.8 mm where nothing is said.
    #[serde(default)]
    pub mark_pitch: Option<Length>,
    /// The bench that looms are laid out on.
    #[serde(default)]
    pub bench: BenchSpec,
}

/// The bench that looms are laid out on at full size.
#[derive(Clone, Debug, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct BenchSpec {
    /// Its long side, free to lay wires on; 2400 mm where nothing is said.
    #[serde(default)]
    pub width: Option<Length>,
    /// Its short side, free to lay wires on; 1200 mm where nothing is said.
    #[serde(default)]
    pub depth: Option<Length>,
}

/// A space the harness runs through.
#[derive(Clone, Debug, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct ZoneSpec {
    /// Name in full.
    #[serde(default)]
    pub title: Option<String>,
    /// Highest ambient temperature in service.
    #[serde(default)]
    pub ambient: Option<Temperature>,
    /// What is about: `fuel`, `oil`, `oxygen`, `exhaust`, `ignition`, `charging`, `water`, `moving-parts`.
    #[serde(default)]
    pub hazards: Vec<Hazard>,
    /// Whether splices may lie here: `allowed` or `forbidden`; allowed where nothing is said.
    #[serde(default)]
    pub splices: SplicePolicy,
}

/// A wall between two zones.
#[derive(Clone, Debug, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct BarrierSpec {
    /// Name in full.
    #[serde(default)]
    pub title: Option<String>,
    /// The two zones it parts.
    pub between: [String; 2],
    /// How many holes the harness may use; no limit where nothing is said.
    #[serde(default)]
    pub max_holes: Option<u32>,
    /// The holes, by name. A hole is a place on the route.
    pub holes: IndexMap<String, HoleSpec>,
}

/// A hole through a barrier.
#[derive(Clone, Debug, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct HoleSpec {
    /// Clear diameter inside the lining.
    #[serde(default)]
    pub bore: Option<Length>,
    /// Grommet, bushing or fitting that lines it: a part of the library.
    #[serde(default)]
    pub lining: Option<String>,
    /// What closes it after the wires are in, in words for the one who does it: `putty`, `none needed`.
    #[serde(default)]
    pub seal: Option<String>,
    /// Most conductors that may pass.
    #[serde(default)]
    pub max_conductors: Option<u32>,
    /// Most of the bore's area that the conductors may take.
    #[serde(default)]
    pub max_fill: Option<Fraction>,
    /// Conductors that are in it already and belong to another harness.
    #[serde(default)]
    pub others: u32,
    /// Outside diameter of each of those others; their room is not known where nothing is said.
    #[serde(default)]
    pub others_outside: Option<Length>,
    /// How ends go through: `finished`, with terminals and shells on, or `bare`; what passes its bore goes finished where
    /// nothing is said.
    #[serde(default)]
    pub feed: Option<FedEnds>,
}

/// Particulars of a place.
#[derive(Clone, Debug, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct PlaceSpec {
    /// Name in full.
    #[serde(default)]
    pub title: Option<String>,
    /// Distance from the weighing datum, aft positive: gives the arm of what lies there.
    #[serde(default)]
    pub station: Option<Station>,
    /// Where it lies: `[x, y]` from a corner left of and below everything, x to the right, y upwards; looked at from the
    /// side or from above, as the designer chooses, all places the same way. Where every place on the route has one, the
    /// routing drawing is a map to scale.
    #[serde(default)]
    pub position: Option<[Length; 2]>,
    /// Radius of the tightest bend that the bundle makes here.
    #[serde(default)]
    pub bend: Option<Length>,
    /// True where a magneto is mounted here.
    #[serde(default)]
    pub magneto: bool,
}

/// A run of the route.
#[derive(Clone, Debug, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct RunSpec {
    /// Place it starts at.
    pub from: String,
    /// Place it ends at.
    pub to: String,
    /// Zone it lies in.
    pub zone: String,
    /// Length measured along the structure.
    pub length: Length,
    /// Temperature of the hottest surface beside it.
    #[serde(default)]
    pub surface: Option<Temperature>,
    /// Covering over the whole run: a part of the library.
    #[serde(default)]
    pub cover: Option<String>,
    /// What it passes close by; circuits with `keep-off` avoid it.
    #[serde(default)]
    pub beside: Vec<Hazard>,
    /// How far it is kept from what it passes, as measured: `{fuel: 80 mm}`.
    #[serde(default)]
    pub apart: IndexMap<Hazard, Length>,
    /// True where it is clamped closely and rigidly, so that a broken wire or a lost clamp touches nothing.
    #[serde(default)]
    pub rigid: bool,
    /// Distance between its clamps.
    #[serde(default)]
    pub clamps: Option<Length>,
    /// How far it hangs through between two clamps.
    #[serde(default)]
    pub slack: Option<Length>,
    /// Radius of the tightest bend that the bundle makes on it.
    #[serde(default)]
    pub bend: Option<Length>,
}

/// A strap or other joint between two bodies.
#[derive(Clone, Debug, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct BondSpec {
    /// Body at one end.
    pub from: String,
    /// Body at the other end.
    pub to: String,
    /// Resistance from body to body.
    #[serde(default)]
    pub resistance: Option<Resistance>,
    /// Other current that flows through it while the engine runs: the return of the alternator.
    #[serde(default)]
    pub carries: Option<Current>,
    /// Other current that flows through it while the engine is cranked: the return of the starter.
    #[serde(default)]
    pub cranking: Option<Current>,
    /// Name in full.
    #[serde(default)]
    pub title: Option<String>,
}

/// A piece of equipment or a sensor.
#[derive(Clone, Debug, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct DeviceSpec {
    /// Part of the library, or of a part file of your own.
    pub part: String,
    /// Place it is mounted at.
    pub at: String,
    /// Name in full.
    #[serde(default)]
    pub title: Option<String>,
    /// Body that its case touches.
    #[serde(default)]
    pub body: Option<String>,
    /// Place where the loose end of its own leads lies, if not where it is mounted.
    #[serde(default)]
    pub lead_ends_at: Option<String>,
    /// Length of its own leads as measured, if not the part's.
    #[serde(default)]
    pub lead: Option<Length>,
    /// Other sensors that it changes places with: its wires must reach those too.
    #[serde(default)]
    pub trades_with: Vec<String>,
    /// Length from the place to the cavity or stud, if not the shop's.
    #[serde(default)]
    pub tail: Option<Length>,
    /// Distance of an exhaust probe from the exhaust flange, along the pipe.
    #[serde(default)]
    pub from_flange: Option<Length>,
    /// Distance of an indicator or lamp from the centre of the primary instruments.
    #[serde(default)]
    pub off_centre: Option<Length>,
    /// What became of the gauge that the sender served before: `connected` to it still, `removed`, or `none` where
    /// there never was one.
    #[serde(default)]
    pub old_gauge: Option<OldGauge>,
    /// True where its wires hang in a drip loop before they rise to it, false where they run down into it.
    #[serde(default)]
    pub drip_loop: Option<bool>,
    /// A remark for the bench.
    #[serde(default)]
    pub note: Option<String>,
}

/// A ground point.
#[derive(Clone, Debug, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct GroundSpec {
    /// Body it is fixed to.
    pub body: String,
    /// Place.
    pub at: String,
    /// Stud size: `#10`, `1/4 in`, `M6`.
    #[serde(default)]
    pub stud: Option<StudSize>,
    /// Most lugs on the stud; 4 where nothing is said (AC 43.13-1B).
    #[serde(default)]
    pub max_lugs: Option<u32>,
    /// Lugs on it already that belong to other circuits of the machine.
    #[serde(default)]
    pub others: u32,
    /// Name in full.
    #[serde(default)]
    pub title: Option<String>,
}

/// A feed of power.
#[derive(Clone, Debug, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct SupplySpec {
    /// Place of its terminal.
    pub at: String,
    /// Rating of the circuit breaker.
    #[serde(default)]
    pub breaker: Option<Current>,
    /// Rating of the fuse.
    #[serde(default)]
    pub fuse: Option<Current>,
    /// Bus it is fed from; one of `buses` where that section is given.
    #[serde(default)]
    pub bus: Option<String>,
    /// Size of its terminal screw or stud.
    #[serde(default)]
    pub stud: Option<StudSize>,
    /// Name in full.
    #[serde(default)]
    pub title: Option<String>,
}

/// A bus: what feeds it and what else draws from it.
#[derive(Clone, Debug, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct BusSpec {
    /// Place of its bar or terminal; breakers and fuses are measured from here.
    #[serde(default)]
    pub at: Option<String>,
    /// Current that its source gives continuously.
    #[serde(default)]
    pub source: Option<Current>,
    /// What the rest of the machine draws, by phase: `{start: 4 A, cruise: 22 A, landing: 31 A}`.
    #[serde(default)]
    pub others: IndexMap<String, Current>,
    /// Name in full.
    #[serde(default)]
    pub title: Option<String>,
}

/// An in-line connector: a mated pair of shells.
#[derive(Clone, Debug, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct ConnectorSpec {
    /// Shell of the plug half; the other half is its mate.
    pub plug: String,
    /// Place on the route.
    pub at: String,
    /// Neighbouring place towards which the wires of the plug half run.
    pub plug_faces: String,
    /// Name in full.
    #[serde(default)]
    pub title: Option<String>,
}

/// A splice pinned to a place.
#[derive(Clone, Debug, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct SpliceSpec {
    /// Splice of the library.
    pub part: String,
    /// Place.
    pub at: String,
    /// How far it lies from its place, so that it does not lie beside another; found by the tool where nothing is said.
    #[serde(default)]
    pub shift: Option<Length>,
    /// Neighbouring place towards which it is shifted.
    #[serde(default)]
    pub towards: Option<String>,
    /// Name in full.
    #[serde(default)]
    pub title: Option<String>,
}

/// A stud or terminal post.
#[derive(Clone, Debug, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct StudSpec {
    /// Size: `#10`, `1/4 in`, `M6`.
    pub size: StudSize,
    /// Place.
    pub at: String,
    /// Most lugs on it; 4 where nothing is said (AC 43.13-1B).
    #[serde(default)]
    pub max_lugs: Option<u32>,
    /// Lugs on it already that belong to other circuits of the machine.
    #[serde(default)]
    pub others: u32,
    /// Name in full.
    #[serde(default)]
    pub title: Option<String>,
}

/// A circuit: give `from` and `to`, or `legs`, or `join`.
#[derive(Clone, Debug, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct CircuitSpec {
    /// One end: a device (`CHT1`), a port (`GAUGE.cht-1`), a pin (`GAUGE.A.7`, `OILP.signal`) or a ground, supply or stud.
    #[serde(default)]
    pub from: Option<String>,
    /// The other end.
    #[serde(default)]
    pub to: Option<String>,
    /// Pin by pin, exactly as it is or shall be: `{EGT2.plus: GAUGE.A.7, EGT2.minus: GAUGE.A.8}`.
    #[serde(default)]
    pub legs: Option<IndexMap<String, String>>,
    /// Several ends that become one electrical point: at a stud or ground among them, else at a splice.
    #[serde(default)]
    pub join: Option<Vec<String>>,
    /// The splice or stud that makes the join, or the place for it; found by the tool where nothing is said.
    #[serde(default)]
    pub joined_at: Option<String>,
    /// In-line connectors on the way, in order from `from` to `to`: `{FWD: [3, 4]}` or `{FWD: auto}`.
    #[serde(default)]
    pub via: IndexMap<String, Cavities>,
    /// What the circuit is for; read from its ports where nothing is said.
    #[serde(default)]
    pub kind: Option<CircuitKind>,
    /// Wire, pair or cable: a part of the library.
    #[serde(default)]
    pub wire: Option<String>,
    /// Gauge of hook-up wire, of the same family as the default wire.
    #[serde(default)]
    pub gauge: Option<Gauge>,
    /// Insulation colours as they are or shall be, one for each leg in order.
    #[serde(default)]
    pub colours: Vec<Colour>,
    /// Holes that it must cross, or places that it must pass; no run is passed twice.
    #[serde(default)]
    pub through: Vec<String>,
    /// Runs beside these are avoided.
    #[serde(default)]
    pub keep_off: Vec<Hazard>,
    /// The legs are twisted together with this lay (length of one full turn).
    #[serde(default)]
    pub twist: Option<Length>,
    /// Where the screen of a screened wire is tied: pins or ground points; an empty list leaves it floating.
    #[serde(default)]
    pub screen: Option<Vec<String>>,
    /// Length of each conductor as found or already cut; computed where nothing is said.
    #[serde(default)]
    pub length: Option<Length>,
    /// Current that flows in service, if the parts do not say it.
    #[serde(default)]
    pub current: Option<Current>,
    /// How long it flows: `continuous` or `intermittent` (two minutes at most); continuous where nothing is said.
    #[serde(default)]
    pub duty: Duty,
    /// Phases in which it draws current, of those that its bus names; all of them where nothing is said.
    #[serde(default)]
    pub during: Vec<String>,
    /// Circuit function letter of its wire marks, if not the one of its kind.
    #[serde(default)]
    pub letter: Option<char>,
    /// First wire number of its marks, if not the next free one.
    #[serde(default)]
    pub number: Option<u32>,
    /// System under which lists and drawings group it.
    #[serde(default)]
    pub system: Option<String>,
    /// A remark for the bench.
    #[serde(default)]
    pub note: Option<String>,
}

/// A multi-core cable that carries several circuits.
#[derive(Clone, Debug, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct CableSpec {
    /// Cable of the library.
    pub wire: String,
    /// Circuits whose conductors take its cores, in order.
    pub carries: Vec<String>,
    /// Where its screen is tied: pins or ground points; an empty list leaves it floating.
    #[serde(default)]
    pub screen: Option<Vec<String>>,
}

/// A finding that a named person has accepted.
#[derive(Clone, Debug, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct WaiverSpec {
    /// The rule.
    pub rule: String,
    /// The thing it is waived for: any id that the finding names.
    pub at: String,
    /// Why it is acceptable here.
    #[serde(default)]
    pub because: Option<String>,
    /// Who accepted it; a stop stands until somebody does.
    #[serde(default)]
    pub by: Option<String>,
    /// Last day on which the waiver holds.
    #[serde(default)]
    pub until: Option<Date>,
}
