//! Runs in; the clamps that hold the harness, and the bands that close its fire sleeves, out: each with the spot where
//! it stands.
//!
//! One clamp stands at each end of a run, and as many between as keep the spacing: the declared one, or the limit where
//! none is declared. Where two runs of one size meet in one zone, one clamp serves both, unless a connector breaks the
//! bundle there. The size is that of the packed bundle, covering included: a bundle laid by hand is a little thicker.

use std::collections::{BTreeMap, BTreeSet};

use super::pieces::Spot;
pub use crate::graph::clamp::{clamp_spacing, clamps_between, is_tied, is_tied_between_clamps};
use crate::graph::{Bundles, Routing};
use crate::harness::{DeviceClass, Harness, PlaceId, RunId, ZoneId};
use crate::parts::library::{Library, SundryPartId};
use crate::parts::model::{CoveringPart, CoveringUse, SundryUse};
use crate::quantity::Length;

/// Clamps of one size at one spot.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Clamps {
    /// Along a run, or at a place.
    pub spot: Spot,
    /// The clamp; None where none of the library closes on the bundle.
    pub part: Option<SundryPartId>,
    /// How many.
    pub count: usize,
    /// How many of them stand on runs whose spacing the spec declares.
    pub declared: usize,
}

/// What holds the harness.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Clamping {
    /// Clamps: along the runs, then at the places.
    pub clamps: Vec<Clamps>,
    /// Bands: two for each run under a fire sleeve, where the library has one that goes over it.
    pub bands: Vec<(RunId, SundryPartId)>,
}

impl Clamping {
    /// Of all runs that hold something.
    pub fn of(h: &Harness, library: &Library, routing: &Routing, bundles: &Bundles) -> Clamping {
        let mut clamping = Clamping::default();
        let mut ends: BTreeMap<(PlaceId, ZoneId, Option<SundryPartId>), [usize; 2]> = BTreeMap::new();
        for (i, run) in h.runs.iter().enumerate() {
            let id = RunId::at(i);
            if routing.in_run.get(i).is_none_or(Vec::is_empty) {
                if bundles.run(id).leads.is_empty() {
                    continue;
                }
                // The lead of a device, whose thickness no part says: bands go over the sleeve as bought.
                let cover = cover_of(h, library, id).filter(|part| part.use_for == CoveringUse::Fire);
                let over = cover.map(|part| part.over.high() + part.wall.times(2));
                let band = over.and_then(|over| library.sundry_for(SundryUse::SleeveClamp, over));
                clamping.bands.extend(band.map(|band| (id, band)));
                continue;
            }
            let thick = covered(h, library, bundles, id);
            let part = library.sundry_for(SundryUse::Clamp, thick);
            let declared = usize::from(run.clamps.is_some());
            let count = clamps_between(run.length.value, clamp_spacing(run));
            if count > 0 {
                clamping.clamps.push(Clamps { spot: Spot::Run(id), part, count, declared: count * declared });
            }
            for place in run.ends {
                let [all, of_them] = ends.entry((place, run.zone, part)).or_default();
                *all += 1;
                *of_them += declared;
            }
            let sleeved = cover_of(h, library, id).is_some_and(|part| part.use_for == CoveringUse::Fire);
            let band = library.sundry_for(SundryUse::SleeveClamp, thick).filter(|_| sleeved);
            clamping.bands.extend(band.map(|band| (id, band)));
        }
        let broken = broken_at(h, routing);
        clamping.clamps.extend(ends.into_iter().map(|((place, _, part), [all, declared])| {
            let count = if broken.contains(&place) { all } else { all.div_ceil(2) };
            Clamps { spot: Spot::Place(place), part, count, declared: declared.min(count) }
        }));
        clamping
    }

    /// Supports for which the library has no clamp.
    pub fn unheld(&self) -> usize {
        self.clamps.iter().filter(|clamps| clamps.part.is_none()).map(|clamps| clamps.count).sum()
    }

    /// How many of each clamp, and how many of these by a declared spacing; first those that nothing of the library
    /// closes on.
    pub fn totals(&self) -> BTreeMap<Option<SundryPartId>, [usize; 2]> {
        let mut totals: BTreeMap<Option<SundryPartId>, [usize; 2]> = BTreeMap::new();
        for clamps in &self.clamps {
            let [all, declared] = totals.entry(clamps.part).or_default();
            *all += clamps.count;
            *declared += clamps.declared;
        }
        totals
    }
}

/// Places at which an in-line connector breaks the bundle: both of its halves are clamped.
fn broken_at(h: &Harness, routing: &Routing) -> BTreeSet<PlaceId> {
    let devices = h.devices.iter().zip(&routing.place_of);
    let in_line = devices.filter(|(device, _)| matches!(device.class, DeviceClass::InLine { .. }));
    in_line.filter_map(|(_, place)| *place).collect()
}

/// Diameter of what lies on a run, covering included.
pub fn covered(h: &Harness, library: &Library, bundles: &Bundles, id: RunId) -> Length {
    let bundle = bundles.run(id);
    cover_of(h, library, id).map_or_else(|| bundle.diameter(), |part| bundle.covered_diameter(part))
}

/// The covering of a run; None where it has none, or one that no library has.
pub fn cover_of<'a>(h: &Harness, library: &'a Library, id: RunId) -> Option<&'a CoveringPart> {
    let cover = h.run(id).cover.as_ref()?;
    library.coverings.look_up(&cover.value).map(|(_, part)| part)
}
