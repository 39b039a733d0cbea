//! The harness as two graphs, and the questions asked of them.
mod route;
mod route_search;
mod route_splice;
pub mod routing;

pub use route::RouteGraph;
pub use route_splice::{SplicePlace, splice_places};
pub use routing::{Path, Routing};
