//! The harness as two graphs, and the questions asked of them.
pub mod bend;
pub mod bundle;
pub mod current;
pub mod electrical;
pub mod fitted;
pub mod ground_loop;
pub mod load;
mod ring;
mod route;
mod route_reach;
mod route_search;
mod route_splice;
pub mod routing;
pub mod thermocouple_leg;
mod thermocouple_reading;

pub use bend::{LeastBend, LeastBends, conductors_at_place};
pub use bundle::{Bundle, Bundles, Strand};
pub use current::{Basis, Currents, Share};
pub use electrical::{Contact, Electrical, Net, Point, Step, Through};
pub use fitted::{Fitted, fitted_shells};
pub use ground_loop::GroundLoop;
pub use load::{Load, Loads, Site, Told};
pub use route::RouteGraph;
pub use route_reach::Reach;
pub use route_splice::{SplicePlace, splice_places};
pub use routing::{Path, Routing};
pub use thermocouple_leg::{Change, Leg, Piece, ThermocoupleRun};
