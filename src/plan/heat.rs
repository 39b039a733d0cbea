//! Ends that are made with heat in the machine: what holds them and where they lie in; what stands about, out.
//!
//! Hot air lights fuel vapour and fans a fire that is fed with oxygen. All of it is common practice, no source; the
//! machine's own manual comes first.

use super::fitting::{Hold, Method};
use super::termination::{Sleeve, When};
use crate::harness::{Harness, Place, PlaceId, Zone};
use crate::parts::library::Library;
use crate::parts::model::CoveringPart;
use crate::spec::words::Hazard;

/// Heat at an end that is finished in the machine.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Heat {
    /// The spec says that fuel or oxygen is there.
    Fire {
        /// What.
        what: Hazard,
        /// Where: the zone, or the run that passes it.
        place: String,
    },
    /// The spec says of neither that it is there.
    InMachine,
    /// That, if a sleeve is shrunk on, which its part does not say.
    IfShrunk(Box<Heat>),
}

/// Whether an end is made with heat, from the least to the surest.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Need {
    /// It is not.
    No,
    /// The part of a sleeve does not say whether it is shrunk on.
    IfShrunk,
    /// It is.
    Yes,
}

impl Need {
    /// Of a sleeve.
    pub fn of(covering: &CoveringPart) -> Need {
        match covering.shrinks {
            Some(true) => Need::Yes,
            Some(false) => Need::No,
            None => Need::IfShrunk,
        }
    }

    /// What stands about, as far as it matters.
    pub fn with(self, about: Heat) -> Option<Heat> {
        match self {
            Need::No => None,
            Need::IfShrunk => Some(Heat::IfShrunk(Box::new(about))),
            Need::Yes => Some(about),
        }
    }
}

impl Heat {
    /// A word or two for the line itself.
    pub fn short(&self) -> String {
        match self {
            Heat::Fire { what, .. } => format!("NO HEAT HERE: {}", what.words()),
            Heat::InMachine => "heat in the machine".to_owned(),
            Heat::IfShrunk(about) => format!("if its sleeve is shrunk with heat: {}", about.short()),
        }
    }

    /// What to do about it.
    pub fn words(&self) -> String {
        match self {
            Heat::Fire { what, place } => format!(
                "{} in {place}: no hot air, flame or spark there. Finish this end on the bench, with the device taken off or as \
                 a pigtail with a crimped joint, or take a terminal and a marker that need no heat",
                what.words()
            ),
            Heat::InMachine => {
                "heat in the machine: only where no fuel, oil or vapour can come; shield what is beside it"
                    .to_owned()
            }
            Heat::IfShrunk(about) => {
                format!(
                    "no part says whether a sleeve of this end is shrunk with heat; if it is: {}",
                    about.words()
                )
            }
        }
    }
}

/// What is about at each place, by place id.
#[derive(Clone, Debug)]
pub struct Surroundings(Vec<Heat>);

impl Surroundings {
    /// From the zones of the places and the runs that meet there.
    pub fn of(h: &Harness) -> Surroundings {
        let title = |zone: &Zone| zone.title.clone().unwrap_or_else(|| zone.name.clone());
        let fires = [Hazard::Fuel, Hazard::Oxygen];
        let in_zones = |place: &Place| {
            fires.into_iter().find_map(|what| {
                let zone =
                    place.zones.iter().map(|zone| h.zone(*zone)).find(|zone| zone.hazards.contains(&what))?;
                Some(Heat::Fire { what, place: title(zone) })
            })
        };
        let mut about: Vec<Heat> =
            h.places.iter().map(|place| in_zones(place).unwrap_or(Heat::InMachine)).collect();
        for run in &h.runs {
            let Some(what) = fires.into_iter().find(|what| run.beside.contains(what)) else { continue };
            for place in run.ends {
                if let Some(heat) = about.get_mut(place.index()).filter(|heat| **heat == Heat::InMachine) {
                    *heat = Heat::Fire { what, place: format!("run {}", run.name) };
                }
            }
        }
        Surroundings(about)
    }

    /// At a place.
    pub fn at(&self, place: Option<PlaceId>) -> Heat {
        place.and_then(|place| self.0.get(place.index())).cloned().unwrap_or(Heat::InMachine)
    }
}

/// True for what is not made on the bench.
pub fn in_machine(when: When) -> bool {
    !matches!(when, When::Bench | When::InsertAfterFeeding(_))
}

/// Whether an end is made with heat: solder sleeves are, and sleeves that are shrunk on.
pub fn needs_heat(library: &Library, hold: Option<&Hold>, sleeves: &[Sleeve]) -> Need {
    if hold.is_some_and(|hold| hold.method == Method::Solder) {
        return Need::Yes;
    }
    let sleeves = sleeves.iter().map(|sleeve| Need::of(library.coverings.get(sleeve.part)));
    sleeves.max().unwrap_or(Need::No)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A sleeve of which no part says that it is shrunk still warns, but says under what condition; none is made harmless
    /// by silence.
    #[test]
    fn silence_about_shrinking_is_a_condition() {
        let (_, _, sleeve) = Library::supplied().coverings.iter().next().unwrap();
        let mut sleeve = sleeve.clone();
        let told = [Some(false), None, Some(true)].map(|shrinks| {
            sleeve.shrinks = shrinks;
            Need::of(&sleeve)
        });
        assert_eq!(told, [Need::No, Need::IfShrunk, Need::Yes]);
        assert!(told.is_sorted());
        assert_eq!(Need::No.with(Heat::InMachine), None);
        let if_shrunk = Need::IfShrunk.with(Heat::InMachine).unwrap();
        assert_eq!(if_shrunk.short(), "if its sleeve is shrunk with heat: heat in the machine");
        assert_eq!(Need::Yes.with(Heat::InMachine).unwrap().short(), Heat::InMachine.short());
    }
}
