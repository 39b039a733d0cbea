//! How far a conductor would go if one of its ends were somewhere else, and how far places lie apart: for probes that
//! change places.

use super::route_search::{Journey, Passing, Ways};
use super::routing::{Path, Routing, end_of, passing};
use crate::harness::{ConductorId, Harness, PinId, PlaceId};
use crate::quantity::Length;

/// Answers for many conductors; searches are kept, so that conductors that share their far end share one.
#[derive(Debug)]
pub struct Reach<'r> {
    routing: &'r Routing,
    ways: Ways<'r>,
}

impl<'r> Reach<'r> {
    /// Over the route of this routing.
    pub fn over(routing: &'r Routing) -> Reach<'r> {
        Reach { routing, ways: Ways::over(&routing.route) }
    }

    /// The shortest admissible way between two places: how far a lead must reach. None where there is none. Questions
    /// about one `from` share a search.
    pub fn distance(&mut self, from: PlaceId, to: PlaceId) -> Option<Length> {
        Some(self.way(from, to)?.length)
    }

    /// That way itself.
    pub fn way(&mut self, from: PlaceId, to: PlaceId) -> Option<Path> {
        self.ways.best(&Journey {
            from: from.into(),
            through: &[],
            to: to.into(),
            keep_off: &[],
            passing: Passing::Once,
        })
    }

    /// The path that the conductor would take if its end `moved` were at `place`, from its other end on. None where
    /// there is no way or the other end has no place.
    pub fn path(
        &mut self,
        h: &Harness,
        conductor: ConductorId,
        moved: PinId,
        place: PlaceId,
    ) -> Option<Path> {
        let c = h.conductor(conductor);
        let fixed = if c.from == moved { c.to } else { c.from };
        let from = end_of(h, &self.routing.route, &self.routing.place_of, fixed)?;
        let lay = h.lay(c.lay);
        // Places to pass stand in the order from the conductor's `from`.
        let mut through = lay.through.clone();
        if c.from == moved {
            through.reverse();
        }
        self.ways.best(&Journey {
            from,
            through: &through,
            to: place.into(),
            keep_off: &lay.keep_off,
            passing: passing(h, conductor),
        })
    }
}
