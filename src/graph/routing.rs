//! Where everything lies: the path of each lay, and what passes each run and hole.

use crate::harness::{ConductorId, HoleId, PlaceId, RunId};
use crate::quantity::Length;

/// A way along the route.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Path {
    /// Places passed, both ends included; one place where both ends are the same.
    pub places: Vec<PlaceId>,
    /// Runs between them.
    pub runs: Vec<RunId>,
    /// Holes crossed: passed from one zone into another, in order.
    pub holes: Vec<HoleId>,
    /// Sum of the runs.
    pub length: Length,
}

/// Where everything lies.
#[derive(Clone, Debug)]
pub struct Routing {
    /// Place of each device, by device id; a splice that the tool made has got its place here.
    pub place_of: Vec<Option<PlaceId>>,
    /// Path of each lay, by lay id. `None`: there is no way, or an end has no place.
    pub paths: Vec<Option<Path>>,
    /// Conductors in each run, by run id.
    pub in_run: Vec<Vec<ConductorId>>,
    /// Conductors through each hole, by hole id. Where an in-line connector sits in the hole, the conductors of its
    /// fuller side.
    pub in_hole: Vec<Vec<ConductorId>>,
}
