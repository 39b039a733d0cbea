//! What holds each end of each conductor: the pin it goes to in; contact, lug, splice or screw out.

use crate::harness::{Conductor, ConductorId, DeviceClass, Harness, PinId, PinSite};
use crate::parts::fit::{self, Misfit, WireEnd};
use crate::parts::library::{ContactPartId, Library, LugPartId, ShellPartId, SplicePartId, WirePartId};
use crate::parts::model::BarrelMake;
use crate::quantity::{Gauge, Length};
use crate::trade::thermocouple_colour::Alloy;

/// What holds an end.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Fitting {
    /// A contact, in a cavity of this shell.
    Contact {
        /// The contact.
        part: ContactPartId,
        /// The shell that the harness brings.
        shell: ShellPartId,
    },
    /// A ring lug, under a screw or on a stud; or a push-on terminal on a blade.
    Lug(LugPartId),
    /// A splice onto the lead that the device brings.
    OwnLead(SplicePartId),
    /// A splice that is a thing of the harness: all its wires end in one piece.
    Joint(SplicePartId),
    /// The screen of a cable, to which a drain lead is joined.
    Screen(WirePartId),
    /// Nothing of the library fits, or the spec leaves out what is needed to choose.
    Unknown {
        /// Why, lower case.
        because: String,
    },
}

/// How an end is held fast.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Method {
    /// Crimped.
    Crimp,
    /// Clamped under a screw of the contact itself.
    Clamp,
    /// Soldered by a sleeve that brings its solder.
    Solder,
}

/// What a crimp barrel is like, and with it what a good crimp looks like.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Barrel {
    /// Closed, with an inspection hole, set by indents.
    Indented,
    /// Open, with wings that hold the insulation.
    Open,
    /// Of a lug or push-on terminal, inside an insulating sleeve.
    Insulated,
    /// Of a lug or push-on terminal, bare.
    Bare,
    /// Of a splice: wires reach a stop in its middle.
    Splice,
    /// The part does not say.
    Unknown,
}

impl Barrel {
    fn of(make: Option<BarrelMake>) -> Barrel {
        match make {
            Some(BarrelMake::Indented) => Barrel::Indented,
            Some(BarrelMake::Open) => Barrel::Open,
            Some(BarrelMake::Insulated) => Barrel::Insulated,
            Some(BarrelMake::Bare) => Barrel::Bare,
            None => Barrel::Unknown,
        }
    }
}

/// What the bench must know of a fitting.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Hold {
    /// Name of the part.
    pub name: String,
    /// Its title.
    pub title: String,
    /// Length of insulation taken off, fold-back not counted.
    pub strip: Length,
    /// Wire of this gauge and thinner is stripped to double length and folded back.
    pub fold_back: Option<Gauge>,
    /// Class of tool.
    pub tool: String,
    /// Die, locator or nozzle; None where it needs none.
    pub die: Option<String>,
    /// True where it cannot be pulled out of its cavity again.
    pub one_way: bool,
    /// Material.
    pub alloy: Alloy,
    /// How it is held.
    pub method: Method,
    /// What its barrel is like, where it is crimped.
    pub barrel: Barrel,
    /// Wire that is lost each time the end is cut back and terminated anew.
    pub cut_off: Length,
}

impl Hold {
    /// A part that is crimped, soldered or screwed on by its tool, whatever it is besides.
    fn of(name: &str, title: &str, strip: Length, [tool, die]: [&str; 2], alloy: Option<Alloy>) -> Hold {
        Hold {
            name: name.to_owned(),
            title: title.to_owned(),
            strip,
            fold_back: None,
            tool: tool.to_owned(),
            die: Some(die).filter(|die| !["", NO_DIE].contains(die)).map(str::to_owned),
            one_way: false,
            alloy: alloy.unwrap_or(Alloy::Copper),
            method: method(tool, die),
            barrel: Barrel::Unknown,
            cut_off: behind_crimp(strip),
        }
    }
}

impl Fitting {
    /// What the bench must know; None for a screen and for what is not known.
    pub fn hold(&self, library: &Library) -> Option<Hold> {
        match self {
            Fitting::Contact { part, .. } => {
                let (name, p) = (library.contacts.name(*part), library.contacts.get(*part));
                let hold = Hold::of(name, &p.title, p.strip, [&p.tool, &p.die], p.alloy);
                Some(Hold {
                    fold_back: p.fold_back,
                    one_way: p.one_way,
                    barrel: Barrel::of(p.barrel),
                    ..hold
                })
            }
            Fitting::Lug(part) => {
                let (name, p) = (library.lugs.name(*part), library.lugs.get(*part));
                let hold = Hold::of(name, &p.title, p.strip, [&p.tool, &p.die], p.alloy);
                Some(Hold { barrel: Barrel::of(p.barrel), ..hold })
            }
            Fitting::OwnLead(part) | Fitting::Joint(part) => {
                let (name, p) = (library.splices.name(*part), library.splices.get(*part));
                let hold = Hold::of(name, &p.title, p.strip, [&p.tool, &p.die], p.alloy);
                // A wire reaches to the middle of its splice, and is cut off behind it.
                let cut_off = Length::from_um(p.length.um() / 2).max(p.strip);
                Some(Hold { cut_off, barrel: Barrel::Splice, ..hold })
            }
            Fitting::Screen(wire) => {
                let screen = library.wires.get(*wire).screen.as_ref()?;
                let name = screen.sleeve.as_deref()?;
                let (_, p) = library.sundries.look_up(name)?;
                let tool = p.tool.as_deref().unwrap_or_default();
                let hold = Hold::of(name, &p.title, screen.cut_back, [tool, ""], None);
                Some(Hold { method: Method::Solder, cut_off: screen.cut_back, ..hold })
            }
            Fitting::Unknown { .. } => None,
        }
    }
}

/// Length lost with a crimped contact or lug: the stripped end in its barrel, and as much again in the support of the
/// insulation. Common practice, no source: part files do not give the length of a contact.
fn behind_crimp(strip: Length) -> Length {
    strip.times(2)
}

/// What part files write where a fitting has no die.
const NO_DIE: &str = "none";

/// Part files name a tool class, not a method; a fitting without a die is held by its own screw.
fn method(tool: &str, die: &str) -> Method {
    if die == NO_DIE {
        Method::Clamp
    } else if ["hot-air", "hot air", "solder"].iter().any(|word| tool.to_lowercase().contains(word)) {
        Method::Solder
    } else {
        Method::Crimp
    }
}

/// The conductors that end on each pin, by pin id, in order.
#[derive(Clone, Debug)]
pub struct OnPin(Vec<Vec<ConductorId>>);

impl OnPin {
    /// Of the whole harness.
    pub fn of(h: &Harness) -> OnPin {
        let mut on = vec![Vec::new(); h.pins.len()];
        for id in h.conductor_ids() {
            let c = h.conductor(id);
            on[c.from.index()].push(id);
            on[c.to.index()].push(id);
        }
        OnPin(on)
    }

    /// On one pin.
    pub fn get(&self, pin: PinId) -> &[ConductorId] {
        self.0.get(pin.index()).map_or(&[], Vec::as_slice)
    }
}

/// What holds the end of `c` at `pin`.
pub fn holding(h: &Harness, library: &Library, on: &OnPin, c: &Conductor, pin: PinId) -> Fitting {
    let site = h.pin(pin);
    let device = h.device(site.device);
    // A pair ends in copper at an indicator, where its reference junction lies; everywhere else the fitting carries the
    // material of the wire on, if there is such a one.
    let carries_on = site.alloy != Alloy::Copper || matches!(device.class, DeviceClass::InLine { .. });
    let alloy = if carries_on { c.alloy } else { Alloy::Copper };
    let end = WireEnd::of(library, c.wire, c.core).carrying(alloy);
    let wire = library.wires.name(c.wire);
    let (found, what) = match &site.site {
        PinSite::Cavity { connector, cavity } => {
            let Some(connector) = device.connectors.get(*connector as usize) else {
                return unknown(format!("`{}` has no such connector", device.name));
            };
            let shell = connector.harness_shell;
            let found =
                fit::contact(library, shell, cavity, end).map(|part| Fitting::Contact { part, shell });
            (found, format!("cavity {cavity} of `{}`", library.shells.name(shell)))
        }
        PinSite::Stud(Some(stud)) | PinSite::Case(stud) => {
            (fit::lug(library, *stud, end).map(Fitting::Lug), format!("a {stud} stud"))
        }
        PinSite::Stud(None) => return unknown(format!("the stud size of `{}` is not given", device.name)),
        PinSite::Tab(width) => {
            (fit::push_on(library, *width, end).map(Fitting::Lug), format!("a {width} blade"))
        }
        PinSite::BareLead(lead) => {
            let wires = on.get(pin).iter().map(|id| h.conductor(*id).gauge);
            let gauges: Vec<Gauge> = std::iter::once(*lead).chain(wires).collect();
            let found = fit::splice(library, &gauges, Some(c.alloy)).map(Fitting::OwnLead);
            (found, format!("a splice to a lead of {lead}"))
        }
        PinSite::Splice => match device.class {
            DeviceClass::Splice { part: Some(part), .. } => return Fitting::Joint(part),
            _ => return unknown(format!("the library has no splice for the wires of `{}`", device.name)),
        },
        PinSite::Screen(cable) => return Fitting::Screen(h.cable(*cable).wire),
    };
    found.unwrap_or_else(|misfit| unknown(format!("`{wire}` does not go on {what}: {}", words(&misfit))))
}

/// What comes nearest, in words.
fn words(misfit: &Misfit) -> String {
    match misfit {
        Misfit::NoPart(what) => format!("the library has not {what}"),
        Misfit::Gauge { part, made_for } => format!("`{part}` is made for {made_for}"),
        Misfit::Insulation { part, takes } => format!("`{part}` takes insulation of {takes}"),
        Misfit::Together { part, made_for } => format!("a side of `{part}` takes {made_for} in all"),
        Misfit::Ends { part, most } => format!("`{part}` takes {most} ends at most"),
    }
}

fn unknown(because: String) -> Fitting {
    Fitting::Unknown { because }
}

/// Outside diameter of a conductor over its insulation: of the core, for one of a pair or cable.
pub fn outside(library: &Library, c: &Conductor) -> Length {
    let wire = library.wires.get(c.wire);
    if c.cable.is_some() { wire.core_outside.unwrap_or(wire.outside) } else { wire.outside }
}
