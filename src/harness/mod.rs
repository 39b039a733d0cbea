//! Typed spec and parts in, resolved model out: see [`model`] for what it guarantees.
mod buses;
mod conductors;
mod cores;
mod devices;
mod ends;
pub mod ids;
mod in_line;
mod legs;
mod marks;
pub mod model;
mod names;
mod origin;
mod port;
pub mod resolve;
mod screens;
mod shop;
mod sides;
mod splices;
mod structure;
mod template;
mod wires;

pub use ids::*;
pub use model::*;
pub use port::{Port, PortBuild};
pub use shop::{Bench, Shop};
pub use splices::{Shift, SpliceBuild};
