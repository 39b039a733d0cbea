//! What a part file may say: the parts of the trade, with all that the lists need to build from them.

use indexmap::IndexMap;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::words::{Measure, PortKind, Role, Style};
use crate::quantity::{
    Bounds, Current, Gauge, Length, LinearMass, Mass, Reading, Resistance, Signal, Temperature, Voltage,
};
use crate::spec::words::Label;
use crate::trade::colour::Colour;
use crate::trade::stud::StudSize;
use crate::trade::thermocouple_colour::{Alloy, ColourStandard, ThermocoupleType};

/// A part file: sections of parts, each part under its name.
#[derive(Clone, Debug, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct PartFile {
    /// Indicators, probes, senders, transducers, pick-ups, lamps, shunts.
    #[serde(default)]
    pub devices: IndexMap<String, DevicePart>,
    /// Connector shells, one entry a half.
    #[serde(default)]
    pub shells: IndexMap<String, ShellPart>,
    /// Crimp contacts of shells.
    #[serde(default)]
    pub contacts: IndexMap<String, ContactPart>,
    /// Ring lugs and blade terminals.
    #[serde(default)]
    pub lugs: IndexMap<String, LugPart>,
    /// Splices.
    #[serde(default)]
    pub splices: IndexMap<String, SplicePart>,
    /// Wires, pairs and cables.
    #[serde(default)]
    pub wires: IndexMap<String, WirePart>,
    /// Heat-shrink, marker sleeve, fire sleeve, conduit.
    #[serde(default)]
    pub coverings: IndexMap<String, CoveringPart>,
    /// Grommets and other linings of holes.
    #[serde(default)]
    pub linings: IndexMap<String, LiningPart>,
    /// Ties, clamps, sealant and other things used up.
    #[serde(default)]
    pub sundries: IndexMap<String, SundryPart>,
}

/// A device of the machine that the harness connects to.
#[derive(Clone, Debug, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct DevicePart {
    /// Trade description.
    pub title: String,
    /// What sort of device it is.
    pub style: Style,
    /// What it measures, where it is made for one thing.
    #[serde(default)]
    pub measures: Option<Measure>,
    /// Connectors on the device itself, by the letter or name on its case.
    #[serde(default)]
    pub connectors: IndexMap<String, DeviceConnector>,
    /// Screws, studs, tabs, bare leads and case contacts, by the mark on the device.
    #[serde(default)]
    pub terminals: IndexMap<String, Terminal>,
    /// Groups of pins that belong to one function.
    #[serde(default)]
    pub ports: IndexMap<String, Port>,
    /// Pins that are joined inside the device, by reference (`A.1` or a terminal's name); `case` is the case itself.
    #[serde(default)]
    pub links: Vec<Vec<String>>,
    /// Length of its own flexible leads, from the body to their end; none where it has none.
    #[serde(default)]
    pub lead: Option<Length>,
    /// True where the case is a conductor and touches what it is mounted on.
    #[serde(default)]
    pub case_grounds: bool,
    /// Highest temperature of its connector or terminals.
    #[serde(default)]
    pub rated: Option<Temperature>,
    /// True where it is joined to the primary circuit of a magneto, whose wire must be screened.
    #[serde(default)]
    pub taps_magneto: bool,
    /// True where it holds the resistor that keeps a fault of its wire from stopping the magneto.
    #[serde(default)]
    pub isolates: bool,
}

/// A connector on a device.
#[derive(Clone, Debug, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct DeviceConnector {
    /// Shell on the device; the harness gets its mate.
    pub shell: String,
    /// Words beside it on the case.
    #[serde(default)]
    pub title: Option<String>,
    /// Material of its contacts where a cavity is not copper: `{"1": chromel, "2": alumel}`.
    ///
    /// A thermocouple port of an indicator or converter has copper cavities: its reference junction lies there, so the
    /// contacts of both halves are ordinary ones, and the alloys end at them by design.
    #[serde(default)]
    pub alloys: IndexMap<Label, Alloy>,
}

/// A point of connection that is not a cavity. Exactly one of `stud`, `tab`, `bare-lead` and `case` is given.
#[derive(Clone, Debug, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Terminal {
    /// Screw or stud that takes a ring lug.
    #[serde(default)]
    pub stud: Option<StudSize>,
    /// Width of a blade that takes a push-on terminal.
    #[serde(default)]
    pub tab: Option<Length>,
    /// Gauge of a bare lead end, joined by a splice.
    #[serde(default)]
    pub bare_lead: Option<Gauge>,
    /// The case itself, grounded by its mounting; a wire to it goes under this screw.
    #[serde(default)]
    pub case: Option<StudSize>,
    /// Material; copper where nothing is said.
    #[serde(default)]
    pub alloy: Option<Alloy>,
    /// Insulation colour of the lead.
    #[serde(default)]
    pub colour: Option<Colour>,
}

/// A named group of pins with roles.
#[derive(Clone, Debug, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Port {
    /// What may be connected to it.
    pub kind: PortKind,
    /// Other kinds that it can be set up for; its pins have the roles of all of them.
    #[serde(default)]
    pub also: Vec<PortKind>,
    /// What it shows, where it is made for one thing.
    #[serde(default)]
    pub measures: Option<Measure>,
    /// Pins by role: `A.7` for cavity 7 of connector A, or a terminal's name.
    pub pins: IndexMap<Role, String>,
    /// Roles that may stay unconnected although the port is used.
    #[serde(default)]
    pub may_float: Vec<Role>,
    /// True where the device does not work without this port.
    #[serde(default)]
    pub required: bool,
    /// Current that the port takes or gives in service.
    #[serde(default)]
    pub current: Option<Current>,
    /// What a sender gives for what it measures, point by point: `[{reads: 0 psi, gives: 0.5 V}, …]`.
    #[serde(default)]
    pub scale: Vec<ScalePoint>,
    /// Largest error of the reading that is acceptable: `3 psi`.
    #[serde(default)]
    pub tolerance: Option<Reading>,
    /// How an indicator reads a resistance: a voltage through a resistor of its own.
    #[serde(default)]
    pub bias: Option<Bias>,
    /// How an indicator reads a thermocouple: true where it measures the plus pin against its own ground, false where it
    /// measures between the two pins.
    #[serde(default)]
    pub single_ended: Option<bool>,
}

/// A point of a sender's scale.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct ScalePoint {
    /// What is measured.
    pub reads: Reading,
    /// What the sender gives then: a voltage or a resistance.
    pub gives: Signal,
}

/// How an indicator reads a resistance.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Bias {
    /// Voltage that it puts on its resistor.
    pub volts: Voltage,
    /// The resistor between that voltage and the signal pin.
    pub through: Resistance,
}

impl Port {
    /// True where a sender of that kind can be connected.
    pub fn takes(&self, kind: PortKind) -> bool {
        self.kind == kind || self.also.contains(&kind)
    }
}

impl DevicePart {
    /// The name of the case in `links`.
    pub const CASE: &str = "case";

    /// What the reference `A.7` or `signal` points at; None where the device has no such thing.
    pub fn point<'a>(&'a self, reference: &'a str) -> Option<Point<'a>> {
        if let Some((connector, cavity)) = reference.split_once('.') {
            let (name, connector) = self.connectors.get_key_value(connector)?;
            return Some(Point::Cavity { name, connector, cavity });
        }
        self.terminals.get(reference).map(Point::Terminal)
    }
}

/// What a reference inside a device points at. That a cavity exists is for its shell to say.
#[derive(Clone, Copy, Debug)]
pub enum Point<'a> {
    /// A cavity of one of its connectors.
    Cavity {
        /// Letter or name of the connector.
        name: &'a str,
        /// The connector.
        connector: &'a DeviceConnector,
        /// Mark of the cavity.
        cavity: &'a str,
    },
    /// A screw, stud, tab, lead or the case.
    Terminal(&'a Terminal),
}

impl Point<'_> {
    /// Its material.
    pub fn alloy(&self) -> Alloy {
        let given = match self {
            Point::Cavity { connector, cavity, .. } => connector.alloys.get(*cavity).copied(),
            Point::Terminal(terminal) => terminal.alloy,
        };
        given.unwrap_or(Alloy::Copper)
    }
}

/// Half of a connector.
#[derive(Clone, Debug, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct ShellPart {
    /// Trade description.
    pub title: String,
    /// Name of the half it mates with.
    pub mate: String,
    /// Its cavities as seen from the wire-entry side: rows from the top, cavity marks from the left.
    pub face: Face,
    /// Contacts that fit its cavities, preferred one first.
    pub contacts: Vec<String>,
    /// Cavities that take one contact only, such as the compensated contacts of a thermocouple connector.
    #[serde(default)]
    pub only: IndexMap<Label, String>,
    /// Wire outside diameters that its seals close on; none where it is not sealed.
    #[serde(default)]
    pub seal: Option<Bounds<Length>>,
    /// Plug for an empty cavity of a sealed shell: a sundry.
    #[serde(default)]
    pub cavity_plug: Option<String>,
    /// Strain relief or backshell that belongs to it: a sundry.
    #[serde(default)]
    pub backshell: Option<String>,
    /// Largest width and height, to judge whether it passes a hole.
    pub outline: [Length; 2],
    /// Highest temperature.
    #[serde(default)]
    pub rated: Option<Temperature>,
    /// How the halves are kept from mating wrong, as seen on the face.
    #[serde(default)]
    pub key: Option<String>,
    /// Mass without contacts and backshell.
    #[serde(default)]
    pub mass: Option<Mass>,
}

impl ShellPart {
    /// Marks of its cavities: rows from the top, each from the left, as seen from the wire-entry side.
    pub fn cavities(&self) -> impl Iterator<Item = &str> {
        self.face.rows.iter().flatten().map(|mark| mark.0.as_str())
    }

    /// True where it has a cavity of that mark.
    pub fn has_cavity(&self, mark: &str) -> bool {
        self.cavities().any(|cavity| cavity == mark)
    }
}

/// Layout of cavities, seen from the wire-entry side.
#[derive(Clone, Debug, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Face {
    /// Rows from the top; cavity marks from the left.
    pub rows: Vec<Vec<Label>>,
    /// Distance between neighbours in a row.
    pub pitch: Length,
    /// Distance between rows; the pitch where nothing is said.
    #[serde(default)]
    pub row_pitch: Option<Length>,
    /// Shift of every second row to the right.
    #[serde(default)]
    pub stagger: Option<Length>,
    /// Outline of the face.
    pub shape: FaceShape,
}

/// Outline of a connector face.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum FaceShape {
    /// Trapezium with rounded corners, wide side up as seen from the wire-entry side of the pin half.
    Trapezium,
    /// Rectangle with rounded corners.
    Block,
    /// Circle.
    Round,
}

/// A crimp contact.
#[derive(Clone, Debug, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct ContactPart {
    /// Trade description.
    pub title: String,
    /// `pin` or `socket`.
    pub gender: Gender,
    /// Size as the trade names it: `20`, `1.5 mm`.
    pub size: Label,
    /// Wire it is made for.
    pub wire: Bounds<Gauge>,
    /// Insulation outside diameters its wire-side barrel or support takes.
    pub insulation: Bounds<Length>,
    /// Length of insulation taken off.
    pub strip: Length,
    /// Wire of this gauge and thinner is stripped to double length and folded back.
    #[serde(default)]
    pub fold_back: Option<Gauge>,
    /// What its crimp barrel is like; not known where nothing is said.
    #[serde(default)]
    pub barrel: Option<BarrelMake>,
    /// Class of crimp tool.
    pub tool: String,
    /// Die, locator or positioner class.
    pub die: String,
    /// True where the contact cannot be pulled out again without harm.
    #[serde(default)]
    pub one_way: bool,
    /// Extraction tool class, where it can be pulled out.
    #[serde(default)]
    pub extractor: Option<String>,
    /// Material; copper where nothing is said.
    #[serde(default)]
    pub alloy: Option<Alloy>,
    /// Mass of a piece.
    #[serde(default)]
    pub mass: Option<Mass>,
}

/// What a crimp barrel is like.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum BarrelMake {
    /// Closed, with an inspection hole, set by indents.
    Indented,
    /// Open, with wings that hold the insulation.
    Open,
    /// Closed, inside an insulating sleeve.
    Insulated,
    /// Closed, without a sleeve or an inspection hole.
    Bare,
}

/// Which half of a mated pair a contact is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Gender {
    /// Pin.
    Pin,
    /// Socket.
    Socket,
}

/// A ring lug or a push-on terminal. Exactly one of `stud` and `tab` is given.
#[derive(Clone, Debug, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct LugPart {
    /// Trade description.
    pub title: String,
    /// Stud it goes on.
    #[serde(default)]
    pub stud: Option<StudSize>,
    /// Width of the blade it is pushed on.
    #[serde(default)]
    pub tab: Option<Length>,
    /// Wire it is made for.
    pub wire: Bounds<Gauge>,
    /// Insulation outside diameters its support takes.
    pub insulation: Bounds<Length>,
    /// Length of insulation taken off.
    pub strip: Length,
    /// What its crimp barrel is like; not known where nothing is said.
    #[serde(default)]
    pub barrel: Option<BarrelMake>,
    /// Class of crimp tool.
    pub tool: String,
    /// Die class.
    pub die: String,
    /// Width of its tongue: what must pass a hole.
    pub width: Length,
    /// Material; copper where nothing is said.
    #[serde(default)]
    pub alloy: Option<Alloy>,
    /// Mass of a piece.
    #[serde(default)]
    pub mass: Option<Mass>,
}

/// A splice.
#[derive(Clone, Debug, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct SplicePart {
    /// Trade description.
    pub title: String,
    /// Wire it is made for; the sum of the areas on one side must lie in it too.
    pub wire: Bounds<Gauge>,
    /// Most wire ends it takes.
    pub ends: u32,
    /// Length of insulation taken off.
    pub strip: Length,
    /// Class of crimp tool or heat source.
    pub tool: String,
    /// Die class or nozzle.
    pub die: String,
    /// Diameter when finished.
    pub outside: Length,
    /// Length when finished.
    pub length: Length,
    /// True where it is closed against fluids.
    #[serde(default)]
    pub sealed: bool,
    /// Covering to slide on before crimping, where it does not bring its own.
    #[serde(default)]
    pub covering: Option<String>,
    /// Highest temperature.
    #[serde(default)]
    pub rated: Option<Temperature>,
    /// Material; copper where nothing is said.
    #[serde(default)]
    pub alloy: Option<Alloy>,
    /// Mass of a piece.
    #[serde(default)]
    pub mass: Option<Mass>,
}

/// A wire, pair or cable.
#[derive(Clone, Debug, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct WirePart {
    /// Trade description.
    pub title: String,
    /// Family: wires of one family differ in gauge only, so that `gauge: 20 AWG` finds its sister.
    pub family: String,
    /// Gauge of each core.
    pub gauge: Gauge,
    /// Finished outside diameter of the whole.
    pub outside: Length,
    /// Outside diameter of one core, for pairs and cables.
    #[serde(default)]
    pub core_outside: Option<Length>,
    /// Cores of a pair or cable; empty for a single wire, whose colour is free.
    #[serde(default)]
    pub cores: Vec<Core>,
    /// True where a jacket lies over the cores, which is taken off at each end; not known where nothing is said.
    #[serde(default)]
    pub jacket: Option<bool>,
    /// Screen over all cores.
    #[serde(default)]
    pub screen: Option<Screen>,
    /// Lay of the twist as made; none where it is not twisted.
    #[serde(default)]
    pub lay: Option<Length>,
    /// Highest conductor temperature (insulation class).
    #[serde(default)]
    pub rated: Option<Temperature>,
    /// Mass for a length.
    #[serde(default)]
    pub mass: Option<LinearMass>,
    /// Colour standard of a thermocouple pair.
    #[serde(default)]
    pub colour_standard: Option<ColourStandard>,
    /// True where a figure here is typical and from memory, not from a standard; printed on the parts list.
    #[serde(default)]
    pub typical: bool,
}

impl WirePart {
    /// Outside diameter of the insulation that is stripped and crimped: of a core, else of the wire.
    pub fn insulation(&self) -> Length {
        self.core_outside.unwrap_or(self.outside)
    }

    /// The thermocouple type its cores make; None for copper.
    pub fn thermocouple(&self) -> Option<ThermocoupleType> {
        self.cores.iter().find_map(|core| core.alloy.and_then(Alloy::leg_of))
    }
}

/// A core of a pair or cable.
#[derive(Clone, Debug, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Core {
    /// Insulation colour.
    pub colour: Colour,
    /// Material; copper where nothing is said.
    #[serde(default)]
    pub alloy: Option<Alloy>,
}

/// Screen of a cable.
#[derive(Clone, Debug, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Screen {
    /// Make: `tinned copper braid`.
    pub make: String,
    /// Length cut back at an end that is not tied.
    pub cut_back: Length,
    /// Gauge of the drain lead that ties it.
    pub drain: Gauge,
    /// What joins the drain lead to it: a sundry.
    #[serde(default)]
    pub sleeve: Option<String>,
}

/// A covering that is slid or wrapped on.
#[derive(Clone, Debug, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct CoveringPart {
    /// Trade description.
    pub title: String,
    /// What it is for.
    pub use_for: CoveringUse,
    /// Diameters it goes over and closes on.
    pub over: Bounds<Length>,
    /// Wall thickness when on.
    pub wall: Length,
    /// True where heat shrinks it on; not known where nothing is said.
    #[serde(default)]
    pub shrinks: Option<bool>,
    /// Highest temperature.
    #[serde(default)]
    pub rated: Option<Temperature>,
    /// Length of a piece, for marker sleeves and splice covers.
    #[serde(default)]
    pub piece: Option<Length>,
    /// Mass for a length, when on.
    #[serde(default)]
    pub mass: Option<LinearMass>,
}

/// What a covering is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum CoveringUse {
    /// Carries the wire mark.
    Marker,
    /// Insulates a splice or lug barrel.
    Insulation,
    /// Shields a run from heat and flame.
    Fire,
    /// Shields a run from chafing.
    Chafe,
}

/// A lining of a hole.
#[derive(Clone, Debug, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct LiningPart {
    /// Trade description.
    pub title: String,
    /// Clear diameter inside.
    pub bore: Length,
    /// Diameter of the hole in the wall.
    pub hole: Length,
    /// Highest temperature.
    #[serde(default)]
    pub rated: Option<Temperature>,
    /// Mass of a piece.
    #[serde(default)]
    pub mass: Option<Mass>,
}

/// Something used up while building.
#[derive(Clone, Debug, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct SundryPart {
    /// Trade description.
    pub title: String,
    /// What it is for, where the tool chooses it by the size of a bundle.
    #[serde(default)]
    pub use_for: Option<SundryUse>,
    /// Bundle diameters it is made for, for ties and clamps.
    #[serde(default)]
    pub over: Option<Bounds<Length>>,
    /// Class of tool that it is put on with, where it needs one.
    #[serde(default)]
    pub tool: Option<String>,
    /// Resistance, for terminating resistors and the like.
    #[serde(default)]
    pub resistance: Option<Resistance>,
    /// Mass of a piece.
    #[serde(default)]
    pub mass: Option<Mass>,
}

/// What a sundry is for, where the size of a bundle chooses it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum SundryUse {
    /// Ties a bundle together.
    Tie,
    /// Holds a bundle to the structure.
    Clamp,
    /// Closes the end of a sleeve.
    SleeveClamp,
}
