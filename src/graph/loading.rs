//! Harness, parts and routing in; all that is known of currents, together, out: for lists and derivations.

use super::current::Currents;
use super::electrical::Electrical;
use super::feed::{Feed, feeds};
use super::ground_network::GroundNetwork;
use super::rating::Ratings;
use super::routing::Routing;
use crate::harness::Harness;
use crate::parts::library::Library;

/// What flows, what may flow and what feeds it.
#[derive(Clone, Debug)]
pub struct Loading {
    /// The electrical graph.
    pub electrical: Electrical,
    /// Steady current in every conductor.
    pub currents: Currents,
    /// What every conductor may carry where it lies.
    pub ratings: Ratings,
    /// What each supply feeds.
    pub feeds: Vec<Feed>,
    /// The ground as a network of resistances, solved.
    pub ground: GroundNetwork,
}

impl Loading {
    /// Works it out.
    pub fn of(h: &Harness, library: &Library, routing: &Routing) -> Loading {
        let electrical = Electrical::of(h);
        let currents = Currents::of(h, &electrical);
        let feeds = feeds(h, &electrical, &currents);
        let ground = GroundNetwork::of(h, library, routing, &electrical, &currents);
        let ratings = Ratings::of(h, library, routing, &currents, &ground);
        Loading { electrical, currents, ratings, feeds, ground }
    }
}
