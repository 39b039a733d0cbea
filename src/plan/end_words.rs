//! An end of a conductor in the words of the lists: a termination in, device, connector, cavity, function and what is
//! done there, out.

use serde::Serialize;

use super::fitting::Fitting;
use super::heat::Heat;
use super::termination::{Stagger, Termination};
use super::{cable_ends, length, when_words};
use crate::graph::Routing;
use crate::harness::{DeviceClass, Harness, PinId, PinSite};
use crate::parts::library::{Library, WirePartId};
use crate::parts::words::{Measure, PortKind};
use crate::quantity::{Length, Units};
use crate::trade::colour::{Colour, Hue};
use crate::trade::thermocouple_colour::Alloy;

/// Where an end goes and what is done there.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct EndWords {
    /// Device.
    pub device: String,
    /// Place at which the wire ends; for a splice that is staggered with others, how far from it. Empty where it has
    /// none.
    pub place: String,
    /// Connector or half; empty where there is none.
    pub connector: String,
    /// Cavity, terminal or stud.
    pub cavity: String,
    /// Name of the pin, as on the label: `GAUGE.A.1`; where the terminal has no name, the device and what it is.
    pub pin: String,
    /// What the pin does; where a wire is joined to a lead of the device, the colour of that lead.
    pub function: String,
    /// Length of insulation taken off, fold-back included. None where it is not known.
    pub strip: Option<Length>,
    /// Part of it that is folded back.
    pub fold_back: Option<Length>,
    /// Name of the contact, lug or splice; where none fits, `STOP:` and why.
    pub terminal: String,
    /// Class of tool; empty where not known.
    pub tool: String,
    /// Die, locator or nozzle; empty where not known.
    pub die: String,
    /// What is slid on first, in that order.
    pub sleeves: Vec<String>,
    /// Text of the label.
    pub label: String,
    /// On the bench, or after feeding.
    pub when: String,
    /// What to check, in order.
    pub checks: Vec<String>,
    /// Other wires that go into the same contact or splice or onto the same blade, with its name; empty for none.
    pub beside: String,
    /// Jacket that is taken off the cable first: as long as the tail in which its cores part. None for what has none.
    pub jacket_off: Option<Length>,
    /// Service loop that lies at this end. None where there is none.
    pub service_loop: Option<Length>,
    /// What is cut off the wire and off the lead of the device first, so that splices do not lie abreast.
    pub stagger: Option<Stagger>,
    /// What can hurt somebody or the loom here; empty where nothing is known to.
    pub cautions: Vec<String>,
    /// The worst of it in a word or two, for the line itself; empty where there is nothing.
    pub alarm: String,
}

impl EndWords {
    /// Heads of the columns.
    pub const COLUMNS: [&'static str; 21] = [
        "device",
        "place",
        "connector",
        "cavity",
        "pin",
        "function",
        "slide on first",
        "label text",
        "strip",
        "of it folded back",
        "terminal",
        "tool",
        "die",
        "together with",
        "made when",
        "check",
        "jacket off",
        "service loop here",
        "cut off wire",
        "cut off device lead",
        "caution",
    ];

    /// The end as text, one cell a column.
    pub fn cells(&self, units: Units) -> [String; 21] {
        let length = |l: Option<Length>| l.map_or_else(String::new, |l| l.show(units));
        [
            self.device.clone(),
            self.place.clone(),
            self.connector.clone(),
            self.cavity.clone(),
            self.pin.clone(),
            self.function.clone(),
            self.sleeves.join("; then "),
            self.label.clone(),
            length(self.strip),
            length(self.fold_back),
            self.terminal.clone(),
            self.tool.clone(),
            self.die.clone(),
            self.beside.clone(),
            self.when.clone(),
            self.checks.join("; "),
            length(self.jacket_off),
            length(self.service_loop),
            length(self.stagger.map(|stagger| stagger.wire)),
            length(self.stagger.map(|stagger| stagger.lead)),
            self.cautions.join("; "),
        ]
    }
}

/// The words of an end.
pub fn words(h: &Harness, library: &Library, routing: &Routing, end: &Termination) -> EndWords {
    let pin = h.pin(end.pin);
    let device = h.device(pin.device);
    let (connector, cavity) = where_on(h, end.pin);
    let hold = end.hold.as_ref();
    let terminal = match (&end.fitting, hold) {
        (_, Some(hold)) => hold.name.clone(),
        (Fitting::Unknown { because }, None) => format!("STOP: {}", plain(because)),
        (_, None) => "screen".to_owned(),
    };
    let sleeves = end.sleeves.iter().map(|sleeve| library.coverings.name(sleeve.part).to_owned());
    let itself = hold.filter(|_| end.slides_splice).map(|hold| format!("{} (the splice itself)", hold.name));
    EndWords {
        device: device.name.clone(),
        place: routing.place_of_pin(h, end.pin).map_or_else(String::new, |p| {
            let name = h.place(p).name.clone();
            routing.shift_words(h, pin.device).map_or(name.clone(), |shift| format!("{name}, {shift}"))
        }),
        connector,
        pin: named(h, end.pin, &cavity),
        cavity,
        function: function(h, end.pin),
        strip: end.strip,
        fold_back: end.fold_back,
        terminal,
        tool: hold.map_or_else(String::new, |hold| hold.tool.clone()),
        die: hold.and_then(|hold| hold.die.clone()).unwrap_or_default(),
        sleeves: sleeves.chain(itself).collect(),
        label: end.label.clone(),
        when: when_words::when(h, end),
        checks: end.checks.iter().map(|c| c.words(h.header.units)).collect(),
        beside: beside(h, end),
        jacket_off: cable_ends::jacket_off(h, library, end.conductor, end.pin).map(|off| off.value),
        service_loop: length::service_loop(h, end.pin).map(|service| service.value),
        stagger: end.stagger,
        cautions: cautions(h, library, end),
        alarm: alarm(h, end),
    }
}

/// Heat, wires that nothing protects, and colours that mean something else than elsewhere.
fn cautions(h: &Harness, library: &Library, end: &Termination) -> Vec<String> {
    let heat = end.heat.as_ref().map(Heat::words);
    let sense = senses_shunt(h, end.pin).then(|| sense_words(&h.device(h.pin(end.pin).device).name));
    let jacket = cable_ends::jacket_words(h, library, end);
    heat.into_iter()
        .chain(sense)
        .chain(jacket)
        .chain(polarity(library, h.conductor(end.conductor).wire))
        .collect()
}

fn alarm(h: &Harness, end: &Termination) -> String {
    let sense = senses_shunt(h, end.pin).then(|| "NOT FUSED: see caution".to_owned());
    end.heat.as_ref().map(Heat::short).into_iter().chain(sense).collect::<Vec<_>>().join("; ")
}

/// True for a lead that reads the drop over a shunt: it hangs on the main cable, and no part of a spec protects it.
pub(in crate::plan) fn senses_shunt(h: &Harness, pin: PinId) -> bool {
    let measures = h.device(h.pin(pin).device).measures;
    let port = h.port_of(pin);
    measures == Some(Measure::Current) && port.is_some_and(|(port, _)| port.kind == PortKind::Millivolt)
}

/// Common practice, no source.
pub(in crate::plan) fn sense_words(shunt: &str) -> String {
    format!(
        "sense lead with the full current of the main cable behind it and no fuse in this spec: fuse it at {shunt}, as the \
         maker of the indicator says, unless the shunt lies in the ground lead (common practice, no source)"
    )
}

/// Which colour is minus, where that is red: everywhere else red is plus.
pub(super) fn polarity(library: &Library, wire: WirePartId) -> Option<String> {
    let part = library.wires.get(wire);
    let kind = part.thermocouple()?;
    let colour =
        |alloy: Alloy| part.cores.iter().find(|core| core.alloy == Some(alloy)).map(|core| &core.colour);
    let (plus, minus) = (colour(kind.positive())?, colour(kind.negative())?);
    let red = minus.code() == Colour::from(Hue::Red).code();
    red.then(|| {
        format!("RED IS MINUS on thermocouple wire: {} is plus, {} is minus", plus.code(), minus.code())
    })
}

/// Text of the lists: names of parts stand there without the quotes of a message.
pub(super) fn plain(text: &str) -> String {
    text.replace('`', "")
}

/// The other wires and what holds them all.
fn beside(h: &Harness, end: &Termination) -> String {
    if end.beside.is_empty() {
        return String::new();
    }
    let marks: Vec<&str> = end.beside.iter().map(|id| h.conductor(*id).mark.as_str()).collect();
    let marks = marks.join(", ");
    match (&end.fitting, &end.hold) {
        // Each wire has its own.
        (Fitting::Lug(_), _) => format!("{marks} on one blade"),
        (_, Some(hold)) => format!("{marks} in one {}", hold.name),
        (_, None) => marks,
    }
}

/// The pin as on the label; for what has no name of its own, the device and what is there.
fn named(h: &Harness, pin: PinId, what: &str) -> String {
    let pin = h.pin(pin);
    let device = &h.device(pin.device).name;
    match pin.site {
        PinSite::Screen(_) => format!("{device} {what}"),
        _ if pin.name == *device => format!("{device} {what}"),
        _ => pin.name.clone(),
    }
}

/// Connector and cavity; for what is no connector, the empty text and the terminal.
pub(super) fn where_on(h: &Harness, pin: PinId) -> (String, String) {
    let pin = h.pin(pin);
    let device = h.device(pin.device);
    let own = pin.name.strip_prefix(device.name.as_str()).and_then(|n| n.strip_prefix('.')).unwrap_or("");
    let named = |what: String| if own.is_empty() { what } else { own.to_owned() };
    let cavity = match &pin.site {
        PinSite::Cavity { connector, cavity } => {
            let connector = device.connectors.get(*connector as usize).map(|c| c.name.clone());
            return (connector.unwrap_or_default(), cavity.clone());
        }
        PinSite::Stud(Some(size)) => named(format!("{size} stud")),
        PinSite::Stud(None) => named("stud".to_owned()),
        PinSite::Tab(_) => named("blade".to_owned()),
        PinSite::BareLead(_) => named("lead".to_owned()),
        PinSite::Case(_) => named("case".to_owned()),
        PinSite::Splice => "splice".to_owned(),
        PinSite::Screen(cable) => format!("screen of {}", h.cable(*cable).name),
    };
    (String::new(), cavity)
}

/// What a pin does, and the colour of the device's own lead where the wire is joined to one.
fn function(h: &Harness, id: PinId) -> String {
    let pin = h.pin(id);
    let lead = pin.colour.as_ref().filter(|_| matches!(pin.site, PinSite::BareLead(_)));
    let lead = lead.map(|colour| format!("onto device lead {}", colour.code()));
    let does = does(h, id);
    [Some(does), lead].into_iter().flatten().filter(|words| !words.is_empty()).collect::<Vec<_>>().join(", ")
}

/// Measured quantity or port, and role.
fn does(h: &Harness, id: PinId) -> String {
    let pin = h.pin(id);
    let device = h.device(pin.device);
    if let Some((port, role)) = h.port_of(id) {
        let what = port.measures.or(device.measures).map_or(port.name.as_str(), |m| m.words());
        let role = role.word();
        return if what == role { role.to_owned() } else { format!("{what}, {role}") };
    }
    match (&device.class, &pin.site) {
        (_, PinSite::Screen(_)) => "screen".to_owned(),
        (DeviceClass::Ground { .. }, _) => {
            let body = device.body.map_or("", |b| h.body(b.value).name.as_str());
            format!("ground point on {body}")
        }
        (DeviceClass::Supply { .. }, _) => "supply".to_owned(),
        (DeviceClass::InLine { .. }, _) => "in-line connector".to_owned(),
        (DeviceClass::Splice { .. }, _) => "splice".to_owned(),
        (DeviceClass::Stud { .. }, _) => "stud".to_owned(),
        (DeviceClass::Equipment | DeviceClass::Sensor, _) => String::new(),
    }
}
