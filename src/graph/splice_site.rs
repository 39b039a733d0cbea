//! Whether a splice may lie at a place or on a run: the structure in, what speaks against it out.

use super::route::RouteGraph;
use crate::harness::{Harness, HoleId, Located, PlaceId, RunId, ZoneId};
use crate::quantity::{Length, Temperature};

/// What speaks against a splice.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unfit {
    /// The place is a hole.
    Hole(HoleId),
    /// A zone that it lies in forbids splices.
    Zone(ZoneId),
    /// It lies in zones that a wall parts, without a hole there.
    BetweenWalls,
    /// The bundle bends there.
    Bend(Located<Length>),
    /// The run is covered, so that nobody sees the splice.
    Covered(RunId),
    /// A zone that it lies in, or a surface beside the run, is hotter than the splice may become.
    Hot(Located<Temperature>),
}

/// What speaks against a splice at a place; None where it may lie there. `rated`: the highest temperature of its part,
/// None where that is not known and heat is not looked at.
pub fn unfit_place(
    h: &Harness,
    route: &RouteGraph,
    place: PlaceId,
    rated: Option<Temperature>,
) -> Option<Unfit> {
    let here = h.place(place);
    if let Some(hole) = here.hole {
        return Some(Unfit::Hole(hole));
    }
    if let Some(zone) = here.zones.iter().find(|z| !h.zone(**z).splices_allowed) {
        return Some(Unfit::Zone(*zone));
    }
    if route.is_between_walls(place) {
        return Some(Unfit::BetweenWalls);
    }
    if let Some(bend) = here.bend {
        return Some(Unfit::Bend(bend));
    }
    here.zones.iter().find_map(|z| too_hot(h.zone(*z).ambient, rated))
}

/// What speaks against a splice on a run, away from its ends; None where it may lie there.
pub fn unfit_run(h: &Harness, run: RunId, rated: Option<Temperature>) -> Option<Unfit> {
    let along = h.run(run);
    if !h.zone(along.zone).splices_allowed {
        return Some(Unfit::Zone(along.zone));
    }
    if let Some(bend) = along.bend {
        return Some(Unfit::Bend(bend));
    }
    let heat = [h.zone(along.zone).ambient, along.surface];
    if let Some(hot) = heat.into_iter().find_map(|heat| too_hot(heat, rated)) {
        return Some(hot);
    }
    along.cover.as_ref().map(|_| Unfit::Covered(run))
}

fn too_hot(heat: Option<Located<Temperature>>, rated: Option<Temperature>) -> Option<Unfit> {
    heat.filter(|heat| rated.is_some_and(|rated| heat.value > rated)).map(Unfit::Hot)
}
