//! Ends that are made with heat in the machine: what holds them and where they lie in; what stands about, out.
//!
//! Hot air lights fuel vapour and fans a fire that is fed with oxygen. All of it is common practice, no source; the
//! machine's own manual comes first.

use super::fitting::{Hold, Method};
use super::termination::{Sleeve, When};
use crate::harness::{Harness, Place, PlaceId, Zone};
use crate::parts::library::Library;
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
}

impl Heat {
    /// A word or two for the line itself.
    pub fn short(&self) -> String {
        match self {
            Heat::Fire { what, .. } => format!("NO HEAT HERE: {}", what.words()),
            Heat::InMachine => "heat in the machine".to_owned(),
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

/// True for an end that is made with heat: solder sleeves, and sleeves that are shrunk on.
pub fn needs_heat(library: &Library, hold: Option<&Hold>, sleeves: &[Sleeve]) -> bool {
    hold.is_some_and(|hold| hold.method == Method::Solder)
        || sleeves.iter().any(|sleeve| library.coverings.get(sleeve.part).shrinks)
}
